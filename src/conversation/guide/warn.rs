//! Which cautions go with this message: those that its words call up, those of the work, the season, and the owner's own.
//!
//! Each comes once for a job and a person (P8). They are added after everything else is settled and change nothing else,
//! so they can never stand in the way of a price.

use std::collections::BTreeSet;

use super::{
    super::{
        answer::{Caution, GuideSays, Part, WhenShown},
        desk::Desk,
    },
    day_of, figures, names, season_line, today,
};
use crate::{
    guide::{
        Verdict, Warning,
        cautions::{Doing, Moment},
        guide,
    },
    journal::{Event, QuoteEntry},
    language::GuideAbout,
    units::QuoteNo,
};

/// Most cautions in an answer that the words called up.
const HEARD_MAX: usize = 4;
/// Most cautions of the work beside a price, and when the crew comes.
const WORK_MAX: (usize, usize) = (2, 5);
/// Most lines on seasons.
const SEASONS_MAX: usize = 2;
/// Feet from which something is work from a ladder: common practice, no source.
const TALL_FEET: u32 = 8;
/// Where the owner's own cautions come from, in place of a source of the guide.
pub(super) const OWN_WORDS: &str = "own words";

/// What a message came to, as far as cautions go.
#[derive(Debug, Default)]
pub(in crate::conversation) struct Saying {
    /// Its words may call cautions up.
    pub(in crate::conversation) texts: Vec<String>,
    /// What the guide was asked or told.
    pub(in crate::conversation) guide: Vec<GuideAbout>,
    /// A quote was made or changed.
    pub(in crate::conversation) priced: bool,
    /// A day was fixed.
    pub(in crate::conversation) planned: bool,
    /// The crew came.
    pub(in crate::conversation) here: bool,
}

/// Adds the cautions.
pub(in crate::conversation) fn warn(desk: &mut Desk<'_>, saying: &Saying) {
    let entry = desk.current_quote().filter(|quote| quote.status.is_active()).cloned();
    let no = entry.as_ref().map(|entry| entry.no);
    let place = entry.as_ref().and_then(|entry| entry.place.as_deref());
    let mut codes = heard(saying, place);
    let mut calm: BTreeSet<&str> = BTreeSet::new();
    if saying
        .guide
        .iter()
        .any(|about| matches!(about, GuideAbout::Weather { .. } | GuideAbout::FeelsLike(_)))
    {
        calm.extend(["heat", "cold"]);
    }
    // The answer about an oleander says already that it is poisonous.
    let asked = |about: &GuideAbout| matches!(about, GuideAbout::When(_) | GuideAbout::May(_) | GuideAbout::How);
    if saying.guide.iter().any(asked) {
        calm.insert("toxic");
    }
    codes.retain(|code| !calm.contains(code.as_str()));
    let measured: Vec<&str> = saying.guide.iter().filter_map(figures::weather_code).collect();
    codes.extend(measured.iter().map(|code| (*code).to_string()));
    codes.truncate(HEARD_MAX);
    if let Some(entry) = &entry {
        if saying.priced {
            codes.extend(of_work(desk, entry, Moment::Quote).into_iter().take(WORK_MAX.0));
        }
        if saying.here {
            let before = desk
                .book()
                .cautions_of(entry.no)
                .map(str::to_string)
                .collect::<BTreeSet<_>>();
            let work = of_work(desk, entry, Moment::Here);
            let known = |code: &&String| guide().warning(code).is_some();
            codes.extend(before.iter().filter(known).cloned());
            codes.extend(work);
            own_words(desk, entry);
        }
        if saying.priced || saying.planned {
            seasons(desk, entry);
        }
    }
    let all: BTreeSet<String> = codes.into_iter().collect();
    let mut chosen: Vec<&Warning> = all.iter().filter_map(|code| guide().warning(code)).collect();
    chosen.sort_by_key(|warning| warning.rank);
    for warning in chosen.into_iter().take(HEARD_MAX + WORK_MAX.1) {
        // Who has told the figures needs no word on how to tell them.
        let short = saying.here || measured.contains(&warning.code.as_str());
        let text = if short { &warning.crew } else { &warning.text };
        give(
            desk,
            no,
            &warning.code,
            text.clone(),
            &warning.source.key,
            warning.source.cited(),
        );
    }
}

/// What is said when a remark called up nothing that was not said before.
pub(in crate::conversation) fn nothing_new(saying: &Saying) -> GuideSays {
    if heard(saying, None).is_empty() {
        GuideSays::NothingSpecial
    } else {
        GuideSays::SaidBefore
    }
}

/// The cautions that words and questions call up.
fn heard(saying: &Saying, place: Option<&str>) -> Vec<String> {
    let mut codes: Vec<String> = Vec::new();
    for text in &saying.texts {
        // A street may be called after a hornet.
        let text = match place {
            Some(place) => text.to_lowercase().replace(&place.to_lowercase(), " "),
            None => text.clone(),
        };
        codes.extend(guide().heard(&text).into_iter().map(|warning| warning.code.clone()));
    }
    let by_question = saying.guide.iter().filter_map(|about| match about {
        GuideAbout::Line(_) => Some("wires"),
        GuideAbout::Lift(_) => Some("lift"),
        GuideAbout::Ladder(_) => Some("ladder"),
        GuideAbout::Noise(_) => Some("noise"),
        GuideAbout::Thunder(_) => Some("lightning"),
        GuideAbout::Weather {
            wind: Some(_),
            fahrenheit: None,
            ..
        } => Some("wind"),
        GuideAbout::Tall(feet) if *feet >= TALL_FEET.into() => Some("ladder"),
        _ => None,
    });
    codes.extend(by_question.map(str::to_string));
    let mut seen = BTreeSet::new();
    codes.retain(|code| seen.insert(code.clone()));
    codes
}

/// The cautions of the work on a quote.
fn of_work(desk: &Desk<'_>, entry: &QuoteEntry, moment: Moment) -> Vec<String> {
    let mut doing: Vec<Doing<'_>> = entry
        .sheet
        .lines
        .iter()
        .map(|line| Doing {
            service: &line.service,
            size: line.size.as_deref(),
            plant: names::plant_of(&line.service),
        })
        .collect();
    if entry.sheet.haul.is_some() {
        doing.push(Doing {
            service: "haul",
            size: None,
            plant: None,
        });
    }
    let month = entry.planned.map_or_else(|| today(desk), |at| day_of(desk, at)).month;
    let called = guide().called_by_work(&doing, month, moment);
    called.into_iter().map(|warning| warning.code.clone()).collect()
}

/// Lines on plants that are priced or planned out of season.
fn seasons(desk: &mut Desk<'_>, entry: &QuoteEntry) {
    let day = entry.planned.map_or_else(|| today(desk), |at| day_of(desk, at));
    let mut seen: BTreeSet<String> = BTreeSet::new();
    let mut lines = Vec::new();
    for line in &entry.sheet.lines {
        if let Some((code, shown, source)) = season_line(desk, &line.service, day)
            && seen.insert(code.clone())
        {
            lines.push((code, shown, source));
        }
    }
    for (code, shown, source) in lines.into_iter().take(SEASONS_MAX) {
        out_of_season(desk, entry.no, &code, shown, source);
    }
}

fn out_of_season(
    desk: &mut Desk<'_>,
    no: QuoteNo,
    code: &str,
    shown: WhenShown,
    source: &'static crate::guide::Source,
) {
    if desk.book().was_cautioned(no, desk.inbound.member, code) {
        return;
    }
    desk.record(Event::CautionGiven {
        no: Some(no),
        code: code.to_string(),
        source: source.key.clone(),
    });
    let code = match shown.verdict {
        Verdict::Closed => "closed season",
        _ => "season",
    };
    desk.say(Part::OutOfSeason {
        code,
        shown: Box::new(shown),
        source: source.cited(),
    });
}

/// Words of a note that whoever comes needs: how to get in, and what is loose or buried there.
const NEEDED_THERE: [&str; 10] = [
    "gate",
    "code",
    "dog",
    "dogs",
    "lock",
    "alarm",
    "key",
    "septic",
    "sprinkler",
    "sprinklers",
];

fn is_for_whoever_comes(note: &str) -> bool {
    let lower = note.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphanumeric());
    words.any(|word| NEEDED_THERE.contains(&word))
}

/// What the owner wants whoever comes here to know: his cautions for the place, and notes on getting in.
fn own_words(desk: &mut Desk<'_>, entry: &QuoteEntry) {
    let place = entry.place.as_deref().and_then(|name| desk.book().place(name));
    let mut words = place.map(|place| place.cautions.clone()).unwrap_or_default();
    let notes = place.map(|place| place.notes.clone()).unwrap_or_default();
    let all = notes.into_iter().chain(entry.notes.iter().cloned());
    words.extend(all.filter(|note| is_for_whoever_comes(note)));
    for text in words {
        let code = format!("place {text}");
        if desk.book().was_cautioned(entry.no, desk.inbound.member, &code) {
            continue;
        }
        desk.record(Event::CautionGiven {
            no: Some(entry.no),
            code,
            source: OWN_WORDS.to_string(),
        });
        desk.say(Part::Caution(Caution {
            code: "place".to_string(),
            text,
            source: "your own note".to_string(),
        }));
    }
}

fn give(desk: &mut Desk<'_>, no: Option<QuoteNo>, code: &str, text: String, key: &str, source: String) {
    let member = desk.inbound.member;
    if no.is_some_and(|no| desk.book().was_cautioned(no, member, code)) {
        return;
    }
    desk.record(Event::CautionGiven {
        no,
        code: code.to_string(),
        source: key.to_string(),
    });
    desk.say(Part::Caution(Caution {
        code: code.to_string(),
        text,
        source,
    }));
}
