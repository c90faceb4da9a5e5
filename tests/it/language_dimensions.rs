//! The corpora by dimension: every line is a message and the values of one dimension that a right reading finds in it.
//!
//! All lines were written by hand. A failing line is shown as `file:line` with what was expected, what was found and the
//! pieces of the reading.

use tallyhand::language::{
    Change, ClassSaid, DaySaid, Expecting, LineSaid, Meaning, MinutesSaid, QuantitySaid, Reading, ServiceName, Setting,
    Solve, Unit, Vocabulary, WhenSaid, WorkedSaid, read,
};

/// The standard account of the corpora: names only.
fn standard() -> Vocabulary {
    let kind = |name: &str, aliases: &[&str], unit, sizes: &[&str], has_material| ServiceName {
        name: name.to_string(),
        aliases: aliases.iter().map(ToString::to_string).collect(),
        unit,
        sizes: sizes.iter().map(ToString::to_string).collect(),
        has_material,
    };
    let three = ["small", "medium", "large"];
    Vocabulary::new(
        vec![
            kind("crape myrtle", &["crape", "crepe", "myrtle"], Unit::Each, &three, false),
            kind("holly", &[], Unit::Each, &["small", "large"], false),
            kind("boxwood", &["box"], Unit::Each, &three, false),
            kind("azalea", &[], Unit::Each, &[], false),
            kind("hedge", &[], Unit::Foot, &[], false),
            kind("mulch", &[], Unit::Yard, &[], true),
            kind(
                "mow",
                &["mowing", "cut the grass", "mow the lawn", "lawn"],
                Unit::Job,
                &[],
                false,
            ),
            kind(
                "gutter clean",
                &["gutters", "gutter", "gutter cleaning", "clean the gutters"],
                Unit::Job,
                &[],
                false,
            ),
        ],
        Vec::new(),
    )
}

/// A value per line of the message, in the corpus's form.
type Values = fn(&Reading) -> Vec<String>;

#[track_caller]
fn check(name: &str, text: &str, floor: usize, values: Values) {
    let vocabulary = standard();
    let (mut count, mut failures) = (0, Vec::new());
    for (index, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        // `=> right !! today`: a line that is read wrongly today; the wrong answer is asserted, so that a change shows.
        let line = line.split_once(" !! ").map_or(line.to_string(), |(head, today)| {
            format!(
                "{} => {today}",
                head.rsplit_once("=>").expect("a corpus line has an arrow").0
            )
        });
        let (message, expected) = line.rsplit_once("=>").expect("a corpus line has an arrow");
        let message = message.trim().replace("\\n", "\n");
        let reading = read(&message, &vocabulary, Expecting::Nothing);
        let found = values(&reading);
        let found = if found.is_empty() {
            "nothing".to_string()
        } else {
            found.join(", ")
        };
        count += 1;
        if !same(&found, expected.trim()) {
            let pieces: Vec<String> = reading
                .pieces
                .iter()
                .map(|p| format!("{} [{}]", p.value(), p.rule))
                .collect();
            failures.push(format!(
                "fixtures/language/dimensions/{name}:{}: {message:?}\n    expected {}\n    found    {found}\n    pieces   {}",
                index + 1,
                expected.trim(),
                pieces.join(" | ")
            ));
        }
    }
    assert!(count >= floor, "{name} holds {count} lines, fewer than {floor}");
    assert!(
        failures.is_empty(),
        "{} of {count} lines of {name} are read wrongly:\n{}",
        failures.len(),
        failures.join("\n")
    );
}

fn same(found: &str, expected: &str) -> bool {
    let plain = |text: &str| {
        text.to_lowercase()
            .replace("court", "ct")
            .replace("drive", "dr")
            .replace("street", "st")
            .replace("road", "rd")
            .replace("lane", "ln")
            .replace(".00", "")
    };
    plain(found) == plain(expected)
}

fn minutes(said: &MinutesSaid) -> String {
    let value = said.minutes.round_dp(4).normalize();
    match said.range {
        Some((low, high)) => format!("{value} min ({}-{})", low.normalize(), high.normalize()),
        None => format!("{value} min"),
    }
}

fn class_text(class: &ClassSaid) -> String {
    let kind = class.service.as_deref().or(class.unknown.as_deref()).unwrap_or("");
    [kind, class.size.as_deref().unwrap_or("")]
        .iter()
        .filter(|p| !p.is_empty())
        .copied()
        .collect::<Vec<_>>()
        .join(" ")
}

fn lines(reading: &Reading) -> Vec<LineSaid> {
    let mut found = Vec::new();
    for said in &reading.meanings {
        match &said.meaning {
            Meaning::Quote { lines, .. } => found.extend(lines.iter().cloned()),
            Meaning::Finish(finish) => found.extend(finish.done.iter().cloned()),
            Meaning::Revise { changes, .. } => {
                for change in changes {
                    if let Change::Quantity(line) | Change::Add(line) | Change::Drop(line) = change {
                        found.push(line.clone());
                    }
                }
            }
            _ => {}
        }
    }
    found
}

fn counts(reading: &Reading) -> Vec<String> {
    lines(reading)
        .iter()
        .filter_map(|line| {
            let count = match &line.quantity {
                QuantitySaid::Exact(n) => n.normalize().to_string(),
                QuantitySaid::Vague(_) | QuantitySaid::Between(..) => "?".to_string(),
                QuantitySaid::Unsaid => return None,
            };
            Some(format!("{count} {}", class_text(&line.class)).trim().to_string())
        })
        .collect()
}

fn places(reading: &Reading) -> Vec<String> {
    use tallyhand::language::{AnswerSaid, Look};
    let place = |meaning: &Meaning| match meaning {
        Meaning::Quote { place, .. }
        | Meaning::Here { place, .. }
        | Meaning::Won { place, .. }
        | Meaning::Lost { place, .. }
        | Meaning::Plan { place, .. }
        | Meaning::Paid { place, .. }
        | Meaning::Note { place, .. }
        | Meaning::Look(Look::LastTime(place) | Look::ShowQuote(place)) => place.clone(),
        Meaning::Finish(finish) => finish.place.clone(),
        Meaning::Answer(AnswerSaid::Place(place)) => Some(place.clone()),
        Meaning::Revise { changes, place, .. } => {
            let named = changes.iter().find_map(|change| match change {
                Change::Place(place) => Some(place.clone()),
                _ => None,
            });
            named.or_else(|| place.clone())
        }
        _ => None,
    };
    let mut names: Vec<String> = reading
        .meanings
        .iter()
        .filter_map(|s| place(&s.meaning))
        .map(|p| p.name)
        .collect();
    names.dedup();
    names
}

fn durations(reading: &Reading) -> Vec<String> {
    let mut found = Vec::new();
    for said in &reading.meanings {
        match &said.meaning {
            Meaning::Set(Setting::Service {
                minutes_each: Some(m), ..
            }) => found.push(minutes(m)),
            Meaning::Set(Setting::ExtraMinutes(_, m)) => found.push(format!("{} min", m.normalize())),
            Meaning::Quote { lines, changes, .. } => {
                found.extend(lines.iter().filter_map(|line| line.minutes_each.as_ref().map(minutes)));
                found.extend(changes.iter().filter_map(change_minutes));
            }
            Meaning::Revise { changes, .. } => found.extend(changes.iter().filter_map(change_minutes)),
            Meaning::Solve(Solve::RateIfTime { minutes: m, .. } | Solve::RateIfMinutes(_, m)) => found.push(minutes(m)),
            Meaning::Time(series) => {
                found.extend(
                    series
                        .iter()
                        .flat_map(|s| &s.readings)
                        .map(|r| format!("{} min", r.round_dp(4).normalize())),
                );
            }
            Meaning::Finish(finish) => {
                if let Some(WorkedSaid::Elapsed(m) | WorkedSaid::EachPerson(m) | WorkedSaid::ManMinutes(m)) =
                    &finish.worked
                {
                    found.push(minutes(m));
                }
            }
            Meaning::Answer(tallyhand::language::AnswerSaid::Minutes(m)) => found.push(minutes(m)),
            _ => {}
        }
    }
    found
}

fn change_minutes(change: &Change) -> Option<String> {
    match change {
        Change::Minutes(_, m) | Change::WorkElapsed { minutes: m, .. } | Change::WorkManMinutes(m) => Some(minutes(m)),
        Change::ExtraMinutes(_, m) => Some(format!("{} min", m.normalize())),
        _ => None,
    }
}

fn sizes(reading: &Reading) -> Vec<String> {
    let mut found: Vec<String> = lines(reading).into_iter().filter_map(|line| line.class.size).collect();
    for said in &reading.meanings {
        found.extend(classes(&said.meaning).into_iter().filter_map(|class| class.size));
    }
    found
}

fn kinds(reading: &Reading) -> Vec<String> {
    let mut found: Vec<String> = lines(reading)
        .into_iter()
        .filter_map(|line| line.class.service)
        .collect();
    for said in &reading.meanings {
        found.extend(classes(&said.meaning).into_iter().filter_map(|class| class.service));
        if let Meaning::Guide(guide) = &said.meaning {
            found.extend(guide.plant.clone());
        }
    }
    let mut once: Vec<String> = Vec::new();
    for kind in found {
        if !once.contains(&kind) {
            once.push(kind);
        }
    }
    once
}

fn classes(meaning: &Meaning) -> Vec<ClassSaid> {
    match meaning {
        Meaning::Set(Setting::Service { class, .. }) => vec![class.clone()],
        Meaning::Set(Setting::Rate { class: Some(class), .. } | Setting::KeepMinutes { class: Some(class), .. }) => {
            vec![class.clone()]
        }
        Meaning::Revise { changes, .. } | Meaning::Quote { changes, .. } => changes
            .iter()
            .filter_map(|change| match change {
                Change::Minutes(class, _) | Change::PriceEach(class, _) => Some(class.clone()),
                _ => None,
            })
            .collect(),
        Meaning::Solve(
            Solve::RateAtPrice { class: Some(class), .. }
            | Solve::MinutesForPrice { class: Some(class), .. }
            | Solve::RateIfTime { class: Some(class), .. }
            | Solve::RateIfMinutes(class, _),
        ) => vec![class.clone()],
        Meaning::Time(series) => series.iter().map(|s| s.class.clone()).collect(),
        Meaning::Look(tallyhand::language::Look::Times(Some(class)) | tallyhand::language::Look::Plot(class)) => {
            vec![class.clone()]
        }
        Meaning::Answer(tallyhand::language::AnswerSaid::Class(class)) => vec![class.clone()],
        _ => Vec::new(),
    }
}

/// Days from Monday 2026-01-12, 09:00.
fn days(reading: &Reading) -> Vec<String> {
    let mut found = Vec::new();
    for said in &reading.meanings {
        let when = match &said.meaning {
            Meaning::Plan { when, .. } => Some(*when),
            Meaning::Here { at, .. } => *at,
            Meaning::Finish(finish) => finish.at,
            Meaning::Look(tallyhand::language::Look::Day(day)) => Some(WhenSaid {
                day: Some(*day),
                minute_of_day: None,
            }),
            _ => None,
        };
        found.extend(when.and_then(|when| day_text(&when)));
    }
    found
}

fn day_text(when: &WhenSaid) -> Option<String> {
    use chrono::{Datelike, Days, NaiveDate};
    let today = NaiveDate::from_ymd_opt(2026, 1, 12).expect("a day");
    let day = match when.day? {
        DaySaid::InDays(days) if days >= 0 => today.checked_add_days(Days::new(u64::try_from(days).ok()?))?,
        DaySaid::InDays(days) => today.checked_sub_days(Days::new(u64::try_from(-days).ok()?))?,
        DaySaid::Weekday { weekday, week } => {
            let ahead = i64::from(weekday) + 7 * i64::from(week);
            let ahead = if week == 0 && ahead == 0 { 7 } else { ahead };
            today.checked_add_signed(chrono::TimeDelta::days(ahead))?
        }
        DaySaid::Later(_) => return None,
        DaySaid::WeekAfter(weekday) => today.checked_add_signed(chrono::TimeDelta::days(i64::from(weekday) + 7))?,
        DaySaid::DayOfMonth(day) => {
            let this = today.with_day(u32::from(day))?;
            if this >= today { this } else { this.with_month(2)? }
        }
        DaySaid::Date { month, day, year } => {
            let date = NaiveDate::from_ymd_opt(year.unwrap_or(2026), u32::from(month), u32::from(day))?;
            if date >= today { date } else { date.with_year(2027)? }
        }
    };
    Some(match when.minute_of_day {
        Some(minute) => format!("{day} {:02}:{:02}", minute / 60, minute % 60),
        None => day.to_string(),
    })
}

#[test]
fn counts_are_read() {
    check(
        "count.txt",
        include_str!("../../fixtures/language/dimensions/count.txt"),
        50,
        counts,
    );
}

#[test]
fn durations_are_read() {
    check(
        "duration.txt",
        include_str!("../../fixtures/language/dimensions/duration.txt"),
        50,
        durations,
    );
}

#[test]
fn sizes_are_read() {
    check(
        "size.txt",
        include_str!("../../fixtures/language/dimensions/size.txt"),
        45,
        sizes,
    );
}

#[test]
fn kinds_are_read() {
    check(
        "kind.txt",
        include_str!("../../fixtures/language/dimensions/kind.txt"),
        50,
        kinds,
    );
}

#[test]
fn places_are_read() {
    check(
        "place.txt",
        include_str!("../../fixtures/language/dimensions/place.txt"),
        50,
        places,
    );
}

#[test]
fn days_are_read() {
    check(
        "day.txt",
        include_str!("../../fixtures/language/dimensions/day.txt"),
        50,
        days,
    );
}
