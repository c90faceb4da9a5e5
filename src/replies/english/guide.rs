//! The guide in words: short lines, what differs said as differing, and nothing surer than its source.

use rust_decimal::Decimal;

use super::words::{capital, joined, number};
use crate::{
    conversation::{Caution, DatesShown, GuideSays, GuideShown, HowShown, ToolShown, WhenShown},
    guide::{Verdict, Wood},
};

/// Said where no calendar of the account's own state and zone is known.
const ELSEWHERE: &str = " by another state's or zone's calendar";
/// Letters in a line at most.
const LINE_MAX: usize = 150;

/// An answer of the guide.
pub(super) fn guide(shown: &GuideShown) -> String {
    folded(&unfolded(shown))
}

/// Lines no longer than a phone breaks once: cut behind a sentence, else behind a part of one, else at a space.
fn folded(text: &str) -> String {
    let mut lines = Vec::new();
    for line in text.lines() {
        let mut rest = line;
        while rest.len() > LINE_MAX {
            let head = rest
                .char_indices()
                .map(|(at, _)| at)
                .take_while(|at| *at < LINE_MAX)
                .last()
                .unwrap_or(0);
            let head = &rest[..head];
            let cut = [". ", "; ", ", ", " "]
                .iter()
                .find_map(|stop| head.rfind(stop).map(|at| at + stop.len()));
            let cut = cut.unwrap_or(head.len()).max(1);
            lines.push(rest[..cut].trim_end());
            rest = &rest[cut..];
        }
        lines.push(rest);
    }
    lines.join("\n")
}

fn unfolded(shown: &GuideShown) -> String {
    match &shown.says {
        GuideSays::When(plants) => when(plants),
        GuideSays::How(shown) => how(shown),
        GuideSays::Tool { inches, tools, others } => tool(*inches, tools, others),
        GuideSays::Share { plant, limits } => share(plant.as_ref(), limits),
        GuideSays::Tall(feet) => format!("{} ft tall: heard.", number(*feet)),
        GuideSays::Practice(texts) => format!("{}.", texts.join(". ")),
        GuideSays::WhyNotTop(reasons) => format!("{}. \"says who\" for the sources.", reasons.join(". ")),
        GuideSays::WantsTopped { place, reason } => {
            let at = place.as_ref().map(|place| format!(" at {place}")).unwrap_or_default();
            format!(
                "Topping{at}: noted as the client's choice. Why not: {}.",
                lowered(reason)
            )
        }
        GuideSays::Sources => format!("From: {}.", shown.sources.join("; ")),
        GuideSays::NoSources => {
            "I have said nothing yet that has a source. Ask me about a plant or a hazard.".to_string()
        }
        GuideSays::NothingKnown { word, rule } => match word {
            Some(word) => format!("I have nothing on \"{word}\". In general: {}.", lowered(rule)),
            None => format!(
                "Which plant? Say \"when do I prune azaleas\". In general: {}.",
                lowered(rule)
            ),
        },
        GuideSays::SaidBefore => {
            "I gave that caution for this job already; it stands. \"says who\" for its source.".to_string()
        }
        GuideSays::NothingSpecial => "Heard. I have no caution for that.".to_string(),
        GuideSays::NotNow => "OK. Say \"texas\" or \"zone 8a\" any time.".to_string(),
        GuideSays::PlaceCautionKept { place, text } => format!("Kept for whoever comes to {place}: {text}"),
        figures => figures_text(figures),
    }
}

fn figures_text(says: &GuideSays) -> String {
    match says {
        GuideSays::Heat {
            fahrenheit,
            humidity,
            index,
            levels,
        } => format!(
            "{} F at {}%: heat index {index} F in the shade, sun can add up to 15.{}",
            number(*fahrenheit),
            number(*humidity),
            asked_for(levels)
        ),
        GuideSays::AirAlone {
            fahrenheit,
            by_humidity,
            by_wind,
        } => air_alone(&number(*fahrenheit), by_humidity, by_wind),
        GuideSays::FeelsLike { fahrenheit, levels } => feels_like(&number(*fahrenheit), levels),
        GuideSays::Chill {
            fahrenheit,
            wind,
            chill,
            levels,
        } => format!(
            "{} F, wind {} mph: wind chill {chill} F.{}",
            number(*fahrenheit),
            number(*wind),
            asked_for(levels)
        ),
        GuideSays::Wind(wind) => format!("Wind {} mph: no federal limit for ladders was found.", number(*wind)),
        GuideSays::Noise { levels, dose } => noise(levels, dose.as_ref()),
        GuideSays::Lift { pounds, ceiling } if *pounds > Decimal::from(*ceiling) => format!(
            "{} lb is over the {ceiling} lb that NIOSH takes as the ceiling in perfect conditions: two people or a cart.",
            number(*pounds)
        ),
        GuideSays::Lift { pounds, ceiling } => format!(
            "{} lb is under the {ceiling} lb ceiling, which holds only close to the body at waist height, without twisting.",
            number(*pounds)
        ),
        GuideSays::Ladder { feet, base } => {
            format!(
                "Ladder at {} ft: foot {} ft out (1 for 4).",
                number(*feet),
                number(*base)
            )
        }
        GuideSays::Line { kilovolts, keep } => {
            let inches = if keep.1.is_zero() {
                String::new()
            } else {
                format!(" {} in", number(keep.1))
            };
            format!(
                "{} kV: at least {} ft{inches} off for anyone who is not a line-clearance worker.",
                number(*kilovolts),
                number(keep.0)
            )
        }
        GuideSays::Thunder { seconds, miles } => format!(
            "{} seconds: about {} miles off. Any thunder you hear is close enough to go in.",
            number(*seconds),
            number(*miles)
        ),
        _ => String::new(),
    }
}

/// A temperature alone, with what it comes to by what was not said.
fn air_alone(fahrenheit: &str, by_humidity: &[(u8, i64)], by_wind: &[(u8, i64)]) -> String {
    let listed = |rows: &[(u8, i64)], unit: &str| {
        let each: Vec<String> = rows
            .iter()
            .map(|(measure, index)| format!("{index} at {measure}{unit}"))
            .collect();
        each.join(", ")
    };
    if !by_humidity.is_empty() {
        let index = listed(by_humidity, "%");
        return format!(
            "{fahrenheit} F is a heat index of {index} humidity, in the shade. Say \"{fahrenheit} and 60%\" for what holds."
        );
    }
    if !by_wind.is_empty() {
        let chill = listed(by_wind, " mph");
        return format!("{fahrenheit} F is a wind chill of {chill}. Say \"{fahrenheit} and wind 15\" for what holds.");
    }
    format!(
        "{fahrenheit} F: the heat index counts from about 80 F, the wind chill up to 50 F. Say \"{fahrenheit} and 60%\" if you want it."
    )
}

/// An index that was told as such.
fn feels_like(fahrenheit: &str, levels: &[String]) -> String {
    if levels.is_empty() {
        return format!("Feels like {fahrenheit} F: no published level is reached.");
    }
    format!("Feels like {fahrenheit} F.{}", asked_for(levels))
}

fn asked_for(levels: &[String]) -> String {
    levels.iter().map(|text| format!("\n- {text}")).collect()
}

fn noise(levels: &[(Decimal, Decimal, Option<Decimal>)], dose: Option<&(Decimal, Decimal)>) -> String {
    let each: Vec<String> = levels
        .iter()
        .map(|(level, hours, lasts)| match lasts {
            Some(lasts) => format!(
                "{} dBA for {} h ({} h a day at most)",
                number(*level),
                number(*lasts),
                number(*hours)
            ),
            None => format!("{} dBA: {} h a day", number(*level), number(*hours)),
        })
        .collect();
    let mut text = format!("{}.", each.join(", "));
    if let Some((dose, average)) = dose {
        let over = if *dose > Decimal::ONE_HUNDRED { ": over it" } else { "" };
        text.push_str(&format!(
            " That is {}% of the federal day's limit (like 8 h at {} dBA){over}.",
            number(*dose),
            number(*average)
        ));
    }
    text
}

/// A caution.
pub(super) fn caution(caution: &Caution) -> String {
    match caution.code.as_str() {
        "place" => format!("! Here: {}", caution.text),
        _ => folded(&format!("! {}", caution.text)),
    }
}

/// The verdict for programs.
pub(in crate::replies) fn verdict_code(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Best => "best",
        Verdict::Fine => "fine",
        Verdict::Avoid => "avoid",
        Verdict::Outside => "outside",
        Verdict::Closed => "closed",
        Verdict::Differ => "differ",
        Verdict::Unsaid => "unsaid",
    }
}

/// One line on a plant that is priced or planned out of its season.
pub(in crate::replies) fn out_of_season(shown: &WhenShown) -> String {
    folded(&season_line(shown))
}

fn season_line(shown: &WhenShown) -> String {
    let name = capital(&shown.plant);
    let month = shown.day.month_name();
    let far = if shown.elsewhere { ELSEWHERE } else { "" };
    match shown.verdict {
        Verdict::Closed => {
            let closed = shown.closed.first().cloned().unwrap_or_default();
            format!("! {name} in {month}: closed season. {closed}. The price stands.")
        }
        Verdict::Avoid => format!(
            "! {name} in {month}: a time to avoid but for damage or hazard{far}; best {}.",
            shortly(shown)
        ),
        _ => format!("! {name} in {month} is out of season{far}; best {}.", shortly(shown)),
    }
}

/// The best time in the fewest words.
fn shortly(shown: &WhenShown) -> String {
    let mut first = shown.clone();
    first.dates.truncate(1);
    times(&first)
}

fn when(plants: &[WhenShown]) -> String {
    match plants {
        [one] => one_plant(one),
        several => {
            let lines = several.iter().map(|shown| {
                let verdict = if shown.asked { verdict(shown) } else { String::new() };
                let then = if verdict.is_empty() {
                    verdict
                } else {
                    format!(" {verdict}")
                };
                format!("{}: {}.{then}", capital(&shown.plant), times(shown))
            });
            lines.collect::<Vec<_>>().join("\n")
        }
    }
}

fn one_plant(shown: &WhenShown) -> String {
    let mut lines = Vec::new();
    let wood = match shown.wood {
        Wood::Old => " (blooms on old wood)",
        Wood::New => " (blooms on new wood)",
        Wood::None => "",
    };
    let said = verdict(shown);
    if shown.asked && !said.is_empty() {
        lines.push(format!("{}: {said}", capital(&shown.plant)));
        lines.push(format!("Best: {}{wood}.", times(shown)));
    } else {
        lines.push(format!("{}: {}{wood}.", capital(&shown.plant), times(shown)));
        if !said.is_empty() {
            lines.push(said);
        }
    }
    if shown.relative_differ {
        lines.push(format!("Sources differ: {}.", shown.relative.join(" or ")));
    }
    lines.extend(shown.closed.iter().map(|text| format!("{text}.")));
    lines.extend(shown.closed_by_state.as_ref().map(|(disease, by_dates)| {
        let each: Vec<String> = by_dates
            .iter()
            .map(|(dates, states)| format!("{dates} in {states}"))
            .collect();
        format!("{}, closed: {}.", capital(disease), each.join("; "))
    }));
    lines.extend(shown.care.iter().map(|text| format!("{text}.")));
    lines.join("\n")
}

/// When a plant is cut, in a few words.
fn times(shown: &WhenShown) -> String {
    let mut parts: Vec<String> = Vec::new();
    if !shown.relative_differ {
        parts.extend(shown.relative.first().map(|text| match shown.last_frost {
            Some(day) if text == "after frost" => format!("after your last frost, about {day}"),
            Some(day) if text == "before growth" => format!("before growth (your last frost: about {day})"),
            _ => text.clone(),
        }));
    }
    parts.extend(shown.dates.iter().map(dates));
    if parts.is_empty() && shown.relative_differ {
        parts.push(shown.relative.join(" or "));
    }
    if parts.is_empty() {
        parts.push("no time of year is named".to_string());
    }
    parts.join("; ")
}

fn dates(shown: &DatesShown) -> String {
    let zones = shown.zones.as_ref().map(|zones| {
        let several = if zones.contains('-') { "s" } else { "" };
        format!("zone{several} {zones}")
    });
    let place: Vec<String> = [shown.state.clone(), zones].into_iter().flatten().collect();
    let mut about = place.join(", ");
    if !shown.note.is_empty() {
        if !about.is_empty() {
            about.push_str("; ");
        }
        about.push_str(&shown.note);
    }
    if about.is_empty() {
        return shown.dates.clone();
    }
    format!("{} ({about})", shown.dates)
}

/// What is said of the day.
fn verdict(shown: &WhenShown) -> String {
    let day = if shown.asked {
        shown.day.to_string()
    } else {
        format!("Now ({})", shown.day)
    };
    let far = if shown.elsewhere { ELSEWHERE } else { "" };
    match shown.verdict {
        Verdict::Best => format!("{day} is a good time{far}."),
        Verdict::Fine => format!("{day} is not critical{far}."),
        Verdict::Avoid => format!("{day}: leave it but for damage or hazard{far}."),
        Verdict::Outside => format!("{day} is out of season{far}; dead or dangerous wood any time."),
        Verdict::Closed => format!("{day}: no. It is closed season."),
        Verdict::Differ if shown.differ.is_empty() => format!("{day}: it depends on the state."),
        Verdict::Differ => format!("{day}: sources differ, {}.", joined(&shown.differ)),
        Verdict::Unsaid if shown.asked => format!("no source names {} for it.", shown.day.month_name()),
        Verdict::Unsaid => String::new(),
    }
}

fn how(shown: &HowShown) -> String {
    let mut lines = vec![format!("{}: {}.", capital(&shown.plant), shown.ways.join(". "))];
    lines.push(format!("How much: {}.", shown.share.join(". ")));
    lines.extend(shown.care.iter().map(|text| format!("{text}.")));
    lines.push(format!("When: {}.", times(&shown.when)));
    lines.join("\n")
}

fn tool(inches: Option<Decimal>, tools: &[ToolShown], others: &[ToolShown]) -> String {
    let Some(inches) = inches else {
        let each: Vec<String> = tools
            .iter()
            .filter(|tool| tool.upto < Decimal::ONE_HUNDRED)
            .map(|tool| format!("{} to {} in", tool.name, number(tool.upto)))
            .collect();
        return format!(
            "By diameter: {}. Over about 4 in ask a qualified arborist first.",
            each.join(", ")
        );
    };
    let Some(tool) = tools.first() else {
        return "I have no tool for that.".to_string();
    };
    let note = if tool.note.is_empty() {
        String::new()
    } else {
        format!(" ({})", tool.note)
    };
    let mut text = format!("{} in: {}{note}.", number(inches), tool.name);
    for other in others {
        let why = if other.note.is_empty() {
            String::new()
        } else {
            format!(": {}", other.note)
        };
        text.push_str(&format!(" Sources differ: {}{why}.", other.name));
    }
    if inches > Decimal::TWO {
        text.push_str(" Three cuts so the bark does not tear; the sources say from over 1, 1.5 or 2 in.");
    }
    text
}

fn share(plant: Option<&(String, Vec<String>)>, limits: &[String]) -> String {
    let own = plant.filter(|(_, own)| !own.is_empty());
    let head = own
        .map(|(name, own)| format!("{}: {}.\n", capital(name), own.join(". ")))
        .unwrap_or_default();
    format!("{head}Sources differ in general: {}.", limits.join("; "))
}

fn lowered(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map(|first| first.to_lowercase().chain(letters).collect())
        .unwrap_or_default()
}
