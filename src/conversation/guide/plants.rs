//! When and how a plant is cut: the day, the place, the rows, and what is asked for once because of it.

use super::{
    super::{
        answer::{DatesShown, GuideSays, HowShown, Part, WhenShown},
        ask::{Ask, Question},
        desk::{Desk, Worked},
    },
    names::{self, Meant},
    show, today,
};
use crate::{
    guide::{
        FactKind, MonthDay, Place, Plant, Source, Verdict, Window, guide,
        season::{Code, Near, Rule},
    },
    journal::{Event, Hole, Item},
    language::{self, Expecting, GuideSaid},
};

/// Most dates shown of a plant.
const DATES_MAX: usize = 3;

/// Where the account works, or the state that the question names.
fn place_asked_of(desk: &Desk<'_>, said: &GuideSaid) -> Place {
    let place = desk.book().settings().guide_place();
    match language::state_asked_of(&said.words) {
        Some(state) if place.state.as_deref() != Some(state) => Place {
            state: Some(state.to_string()),
            ..Place::default()
        },
        _ => place,
    }
}

/// When a plant is cut, and with `asked` whether it may be on a day.
pub(super) fn when(desk: &mut Desk<'_>, said: &GuideSaid, day: Option<(u8, Option<u8>)>, asked: bool) -> Worked {
    let on = day.and_then(|(month, day)| match day {
        Some(day) => MonthDay::new(month, day),
        None => MonthDay::middle_of(month),
    });
    let day = on.unwrap_or_else(|| today(desk));
    let asked = asked || on.is_some();
    let plants: Vec<&'static Plant> = match names::meant(desk, said) {
        Meant::One(plant) => vec![plant],
        Meant::Group(plants) => plants,
        Meant::Unknown(word) => {
            nothing_known(desk, Some(word));
            return Ok(());
        }
        Meant::Nothing => {
            nothing_known(desk, None);
            return Ok(());
        }
    };
    let place = place_asked_of(desk, said);
    let mut sources = Vec::new();
    let mut shown: Vec<WhenShown> = Vec::new();
    for plant in &plants {
        shown.push(when_shown(plant, day, asked, &place, &mut sources));
    }
    let one = (plants.len() == 1).then(|| plants[0].name.as_str());
    mention(desk, said);
    show(desk, GuideSays::When(shown), one, &sources);
    if let Some(plant) = one.filter(|_| language::state_asked_of(&said.words).is_none()) {
        ask_where(desk, plants[0], plant, asked.then_some(day));
    }
    Ok(())
}

/// How a plant is cut.
pub(super) fn how(desk: &mut Desk<'_>, said: &GuideSaid) -> Worked {
    let plant = match names::meant(desk, said) {
        Meant::One(plant) => plant,
        Meant::Group(_) => return when(desk, said, None, false),
        Meant::Unknown(word) => {
            nothing_known(desk, Some(word));
            return Ok(());
        }
        Meant::Nothing => {
            nothing_known(desk, None);
            return Ok(());
        }
    };
    let place = desk.book().settings().guide_place();
    let mut sources: Vec<&'static Source> = Vec::new();
    let mut facts = |kind: FactKind| -> Vec<String> {
        sources.extend(plant.facts(kind).map(|fact| fact.source));
        plant.facts(kind).map(|fact| fact.said()).collect()
    };
    let (mut ways, mut share) = (facts(FactKind::How), facts(FactKind::Share));
    let care = facts(FactKind::Care).into_iter().next();
    if ways.is_empty() {
        let topic = format!("how:{}", plant.form);
        sources.extend(guide().practice(&topic).map(|row| row.source));
        ways.extend(guide().practice(&topic).map(|row| row.said()));
    }
    if share.is_empty() {
        let general = guide().practice("share").next();
        sources.extend(general.map(|row| row.source));
        share.extend(general.map(|row| row.said()));
    }
    let day = today(desk);
    let when = when_shown(plant, day, false, &place, &mut sources);
    mention(desk, said);
    let shown = HowShown {
        plant: plant.name.clone(),
        ways,
        share,
        care,
        when,
    };
    show(desk, GuideSays::How(Box::new(shown)), Some(&plant.name), &sources);
    Ok(())
}

/// The kind of the price list that was named is the one being talked about.
fn mention(desk: &mut Desk<'_>, said: &GuideSaid) {
    if let Some(service) = said.plant.clone().filter(|name| desk.book().service(name).is_some())
        && desk.talk().services != [service.as_str()]
    {
        desk.record(Event::ServiceMentioned { service });
    }
}

fn nothing_known(desk: &mut Desk<'_>, word: Option<String>) {
    let rule = guide().practice("bloom").next();
    let sources: Vec<&'static Source> = rule.map(|row| row.source).into_iter().collect();
    let rule = rule.map(|row| row.said()).unwrap_or_default();
    show(desk, GuideSays::NothingKnown { word, rule }, None, &sources);
}

fn when_shown(
    plant: &'static Plant,
    day: MonthDay,
    asked: bool,
    place: &Place,
    sources: &mut Vec<&'static Source>,
) -> WhenShown {
    let season = guide().season(plant, day, place);
    let times = guide().best_times(plant, place);
    sources.extend(times.iter().map(|row| row.source));
    sources.extend(season.rows.iter().map(|row| row.source));
    sources.extend(season.closed.iter().map(|row| row.source));
    let mut relative: Vec<String> = Vec::new();
    for text in times.iter().filter_map(|row| row.relative.clone()) {
        if !relative.contains(&text) {
            relative.push(text);
        }
    }
    let care = plant.facts(FactKind::Care).next();
    sources.extend(care.map(|fact| fact.source));
    if matches!(season.verdict, Verdict::Avoid | Verdict::Outside) {
        sources.extend(guide().practice("hazard").map(|row| row.source));
    }
    let differ = match season.verdict {
        Verdict::Differ => season.rows.iter().map(|row| opinion(row)).collect(),
        _ => Vec::new(),
    };
    WhenShown {
        plant: plant.name.clone(),
        wood: plant.wood,
        relative_differ: guide().relative_differ(plant),
        dates: times
            .iter()
            .filter(|row| !row.dates.is_empty())
            .take(DATES_MAX)
            .map(|row| dates(row))
            .collect(),
        day,
        asked,
        verdict: season.verdict,
        elsewhere: season.near == Near::Elsewhere,
        differ,
        closed: closed(plant, place, sources),
        closed_by_state: closed_by_state(plant, place, sources),
        last_frost: place.last_frost.filter(|_| by_frost(&relative)),
        care: care.map(|fact| fact.said()),
        relative,
    }
}

/// The time goes by the last frost.
fn by_frost(relative: &[String]) -> bool {
    relative
        .iter()
        .any(|text| text == "after frost" || text == "before growth")
}

fn dates(row: &Window) -> DatesShown {
    DatesShown {
        dates: row.dates.to_string(),
        state: row.state.clone(),
        zones: row.zones.map(|zones| zones.to_string()),
        note: row.note.clone(),
    }
}

/// What one source says of a day, in short.
fn opinion(row: &Window) -> String {
    let says = match row.code {
        Code::Best => "best",
        Code::Fine => "not critical",
        Code::Avoid => "avoid",
    };
    let source = row.source.text.split(',').next().unwrap_or_default();
    format!("{says} ({source})")
}

/// The closed seasons of the account's state.
fn closed(plant: &Plant, place: &Place, sources: &mut Vec<&'static Source>) -> Vec<String> {
    let rows = guide().closed_of(plant);
    let rows: Vec<_> = rows.filter(|row| place.state.as_ref() == Some(&row.state)).collect();
    sources.extend(rows.iter().map(|row| row.source));
    rows.iter().map(|row| row.text.clone()).collect()
}

/// The closed seasons of every state, while that of the account is not known.
fn closed_by_state(
    plant: &Plant,
    place: &Place,
    sources: &mut Vec<&'static Source>,
) -> Option<(String, Vec<(String, String)>)> {
    let rows = guide().closed_of(plant).filter(|_| place.state.is_none());
    let rows: Vec<_> = rows
        .filter(|row| row.rule == Rule::Avoid && !row.dates.is_empty())
        .collect();
    let disease = rows.first()?.disease.clone();
    let mut by_dates: Vec<(String, String)> = Vec::new();
    for row in rows {
        sources.push(row.source);
        let dates = row.dates.to_string();
        match by_dates.iter_mut().find(|(known, _)| *known == dates) {
            Some((_, states)) => {
                states.push_str(", ");
                states.push_str(&row.state);
            }
            None => by_dates.push((dates, row.state.clone())),
        }
    }
    Some((disease, by_dates))
}

/// Asks once where the account works, when an answer was less sure for want of it: the question just answered is
/// answered again when it is known.
fn ask_where(desk: &mut Desk<'_>, plant: &Plant, name: &str, day: Option<MonthDay>) {
    let place = desk.book().settings().guide_place();
    let dated = guide().windows_of(plant).any(|row| !row.dates.is_empty());
    let times: Vec<String> = guide()
        .best_times(plant, &place)
        .iter()
        .filter_map(|row| row.relative.clone())
        .collect();
    let region = place.state.is_none() && place.zone.is_none() && dated && !desk.book().asked_region();
    let frost = place.last_frost.is_none() && by_frost(&times) && !desk.book().asked_frost();
    let (hole, question) = match (region, frost) {
        (true, _) => (Hole::Region, Question::Region),
        (false, true) => (Hole::LastFrost, Question::LastFrost),
        (false, false) => return,
    };
    if desk.talk().pending.is_some() {
        return;
    }
    let again = match day {
        Some(day) => format!("can I prune {name} {} {}?", day.month_name(), day.day),
        None => format!("when do I prune {name}?"),
    };
    let slot = desk.slot(Item::Whole, hole);
    let ask = Ask::value(slot, question, Expecting::Nothing);
    let open = ask.to_open(&again, desk.said_at(), Expecting::Nothing, 0, Vec::new());
    desk.record(Event::QuestionAsked(open));
    desk.say(Part::Ask(ask));
}

/// A line on a plant priced or planned out of its season: (its code, what is said, who says so).
pub(in crate::conversation) fn season_line(
    desk: &Desk<'_>,
    service: &str,
    day: MonthDay,
) -> Option<(String, WhenShown, &'static Source)> {
    let plant = names::plant_of(service)?;
    let place = desk.book().settings().guide_place();
    let mut sources = Vec::new();
    let shown = when_shown(plant, day, true, &place, &mut sources);
    let out = matches!(shown.verdict, Verdict::Avoid | Verdict::Outside | Verdict::Closed);
    let season = guide().season(plant, day, &place);
    let source = season
        .closed
        .first()
        .map(|row| row.source)
        .or(season.rows.first().map(|row| row.source));
    let code = format!("season {} {}", plant.name, day.month);
    out.then_some(())?;
    Some((code, shown, source?))
}
