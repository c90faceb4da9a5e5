//! What does the guide say? Questions about plants, tools, weather and limits, and what a client wants against good
//! practice.
//!
//! The rules that pick rows are the guide's; here it is settled which plant and which day are meant, where the account
//! works, and what is asked for once. Nothing here touches a price.

mod figures;
mod names;
mod plants;
mod warn;

pub(super) use self::{
    figures::as_air,
    names::{calls_up_a_caution, guess, is_heard},
    plants::season_line,
    warn::{Saying, nothing_new, warn},
};

use rust_decimal::Decimal;

use self::names::Meant;
use super::{
    answer::{GuideSays, GuideShown, Part, ToolShown},
    ask::{Ask, Question},
    days,
    desk::{Desk, Stop, Worked},
    places,
};
use crate::{
    guide::{FactKind, MonthDay, Source, Tool, guide},
    journal::{Event, Hole, Item},
    language::{Expecting, GuideAbout, GuideSaid, PlaceSaid},
};

/// Answers a question for the guide. A remark is left to the cautions.
pub(super) fn answer(desk: &mut Desk<'_>, said: &GuideSaid) -> Worked {
    match &said.about {
        GuideAbout::Remark => Ok(()),
        GuideAbout::Tall(feet) => {
            say(desk, GuideSays::Tall(*feet));
            Ok(())
        }
        GuideAbout::When(day) => plants::when(desk, said, *day, false),
        GuideAbout::May(day) => plants::when(desk, said, *day, true),
        GuideAbout::How => plants::how(desk, said),
        GuideAbout::Tool(inches) => {
            tool(desk, *inches);
            Ok(())
        }
        GuideAbout::Share => {
            share(desk, said);
            Ok(())
        }
        GuideAbout::Practice(topic) => {
            practice(desk, topic);
            Ok(())
        }
        GuideAbout::WhyNotTop => {
            why_not_top(desk, said);
            Ok(())
        }
        GuideAbout::WantsTopped => {
            wants_topped(desk, said);
            Ok(())
        }
        GuideAbout::Source => {
            sources(desk);
            Ok(())
        }
        about => figures::answer(desk, about),
    }
}

/// Puts an answer of the guide into the answer, with where it comes from.
fn show(desk: &mut Desk<'_>, says: GuideSays, plant: Option<&str>, sources: &[&'static Source]) {
    let mut keys: Vec<String> = Vec::new();
    let mut cited: Vec<String> = Vec::new();
    for source in sources {
        if !keys.contains(&source.key) {
            keys.push(source.key.clone());
            cited.push(source.cited());
        }
    }
    desk.record(Event::GuideShown {
        plant: plant.map(str::to_string),
        sources: keys,
    });
    desk.say(Part::Guide(Box::new(GuideShown { says, sources: cited })));
}

/// Says something that needs no source and leaves what was said last as it was.
pub(super) fn say(desk: &mut Desk<'_>, says: GuideSays) {
    desk.say(Part::Guide(Box::new(GuideShown {
        says,
        sources: Vec::new(),
    })));
}

/// Where the last answer of the guide, and the cautions since, come from.
pub(super) fn sources(desk: &mut Desk<'_>) {
    let keys = desk.talk().guide.sources;
    let known = |key: &String| guide().sources.iter().find(|source| source.key == *key);
    let mut cited: Vec<String> = keys.iter().filter_map(known).map(|source| source.cited()).collect();
    if keys.iter().any(|key| key == warn::OWN_WORDS) {
        cited.push("your own note".to_string());
    }
    let says = if cited.is_empty() {
        GuideSays::NoSources
    } else {
        GuideSays::Sources
    };
    desk.say(Part::Guide(Box::new(GuideShown { says, sources: cited })));
}

/// Today in the account's time zone.
fn today(desk: &Desk<'_>) -> MonthDay {
    day_of(desk, desk.ctx.now)
}

/// The day of an instant in the account's time zone.
fn day_of(desk: &Desk<'_>, at: crate::units::Timestamp) -> MonthDay {
    use chrono::Datelike as _;
    let date = days::local(desk, at).date_naive();
    let part = |value: u32| u8::try_from(value).unwrap_or(1);
    MonthDay::new(part(date.month()), part(date.day())).unwrap_or(MonthDay { month: 1, day: 1 })
}

fn tool(desk: &mut Desk<'_>, inches: Option<Decimal>) {
    let shown = |tool: &Tool| ToolShown {
        name: tool.name.clone(),
        over: tool.over,
        upto: tool.upto,
        note: tool.note.clone(),
    };
    let known = inches.and_then(|inches| guide().tool(inches));
    let (tools, others): (Vec<&Tool>, Vec<&Tool>) = match known {
        Some((tool, others)) => (vec![tool], others),
        None => (guide().tools.iter().filter(|tool| tool.main).collect(), Vec::new()),
    };
    let mut sources: Vec<&'static Source> = tools.iter().chain(&others).map(|tool| tool.source).collect();
    let mut says = others.iter().map(|tool| shown(tool)).collect::<Vec<_>>();
    says.dedup();
    if inches.is_some_and(|inches| inches > Decimal::from(2)) {
        sources.extend(guide().practice("cuts").map(|row| row.source));
    }
    let says = GuideSays::Tool {
        inches,
        tools: tools.iter().map(|tool| shown(tool)).collect(),
        others: says,
    };
    show(desk, says, None, &sources);
}

fn practice(desk: &mut Desk<'_>, topic: &str) {
    let rows = || guide().practice(topic);
    let sources: Vec<&'static Source> = rows().map(|row| row.source).collect();
    let texts = rows().map(|row| row.said()).collect();
    show(desk, GuideSays::Practice(texts), None, &sources);
}

fn share(desk: &mut Desk<'_>, said: &GuideSaid) {
    let mut sources: Vec<&'static Source> = Vec::new();
    let plant = match names::meant(desk, said) {
        Meant::One(plant) => {
            sources.extend(plant.facts(FactKind::Share).map(|fact| fact.source));
            let own = plant.facts(FactKind::Share).map(|fact| fact.said()).collect();
            Some((plant.name.clone(), own))
        }
        _ => None,
    };
    sources.extend(guide().practice("share").map(|row| row.source));
    let limits = guide().practice("share").map(|row| row.said()).collect();
    let name = plant.as_ref().map(|(name, _)| name.clone());
    show(desk, GuideSays::Share { plant, limits }, name.as_deref(), &sources);
}

/// Why this plant is not topped: what is known of it, and of topping as such.
fn reasons(desk: &Desk<'_>, said: &GuideSaid) -> Vec<(String, &'static Source)> {
    let mut reasons: Vec<(String, &'static Source)> = Vec::new();
    if let Meant::One(plant) = names::meant(desk, said) {
        reasons.extend(plant.facts(FactKind::Top).map(|fact| (fact.said(), fact.source)));
    }
    if reasons.is_empty() {
        reasons.extend(guide().practice("top").map(|row| (row.said(), row.source)));
    }
    reasons
}

fn why_not_top(desk: &mut Desk<'_>, said: &GuideSaid) {
    let (texts, sources): (Vec<String>, Vec<&'static Source>) = reasons(desk, said).into_iter().unzip();
    show(desk, GuideSays::WhyNotTop(texts), None, &sources);
}

/// Topping is the client's to choose: kept with the quote in hand, with one plain line why not.
fn wants_topped(desk: &mut Desk<'_>, said: &GuideSaid) {
    let quote = desk.current_quote().map(|quote| (quote.no, quote.place.clone()));
    let (no, place) = quote.map_or((None, None), |(no, place)| (Some(no), place));
    desk.record(Event::NoteKept {
        no,
        place: None,
        text: "Client's choice: topping".to_string(),
    });
    let reason = reasons(desk, said).into_iter().next();
    let sources: Vec<&'static Source> = reason.iter().map(|(_, source)| *source).collect();
    let reason = reason.map(|(text, _)| text).unwrap_or_default();
    show(desk, GuideSays::WantsTopped { place, reason }, None, &sources);
}

/// Keeps words for whoever comes to a place: the one named, or that of the quote in hand.
pub(super) fn place_caution(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, text: &str) -> Worked {
    let chosen = places::choose(desk, Item::Whole, place)?;
    let named = places::keep(desk, chosen);
    let place = named.or_else(|| desk.current_quote().and_then(|quote| quote.place.clone()));
    let Some(place) = place else {
        let slot = desk.slot(Item::Whole, Hole::Place);
        return Err(Stop::from(Ask::value(slot, Question::CautionWhere, Expecting::Nothing)));
    };
    desk.record(Event::PlaceCautionKept {
        place: place.clone(),
        text: text.to_string(),
    });
    say(
        desk,
        GuideSays::PlaceCautionKept {
            place,
            text: text.to_string(),
        },
    );
    Ok(())
}
