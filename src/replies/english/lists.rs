//! Lists: minutes, the price list, quotes.

use rust_decimal::Decimal;

use super::{
    settings::priced_row,
    words::{capital, class, joined, minutes, money, number, per, plural, unit_price},
};
use crate::{
    conversation::{PricedShown, QuoteList, QuotesShown, TimedShown, TimesShown, TrendShown},
    pricing::Basis,
    units::{RoundingPolicy, Unit},
};

/// More classes than this are told a kind a line, so that the list stays short on a phone.
const CLASSES_MAX: usize = 8;
/// How many kinds go into one message.
const KINDS_MAX: usize = 12;

/// Minutes: a class a line with what is behind it, or, where there are many, a kind a line.
pub(super) fn times(rows: &[TimesShown]) -> String {
    if rows.is_empty() {
        return "I have no minutes for that. Say them like \"holly small 5 min\".".to_string();
    }
    if rows.len() <= CLASSES_MAX {
        let with_trend = |row| std::iter::once(time(row)).chain(row.trend.as_ref().map(|curve| trend(row, curve)));
        let lines: Vec<String> = rows.iter().flat_map(with_trend).collect();
        return lines.join("\n");
    }
    let kinds: Vec<&[TimesShown]> = rows.chunk_by(|one, other| one.service == other.service).collect();
    let lines = kinds.iter().take(KINDS_MAX).map(|kind| kind_of_times(kind)).collect();
    cut(lines, kinds.len(), &format!("times {}", rows[0].service))
}

/// The minutes of all sizes of a kind.
fn kind_of_times(rows: &[TimesShown]) -> String {
    let size = |row: &TimesShown| {
        let size = row.size.as_ref().map(|size| format!("{size} ")).unwrap_or_default();
        let basis = match row.basis {
            Basis::Learned => " learned",
            Basis::Starter => " guess",
            Basis::Set | Basis::Said => "",
        };
        format!("{size}{}{basis}", number(row.minutes_each.get()))
    };
    let sizes: Vec<String> = rows.iter().map(size).collect();
    let (name, each) = rows
        .first()
        .map_or(("", ""), |row| (row.service.as_str(), per(row.unit)));
    format!("{name}: {} min{each}", sizes.join(", "))
}

/// Minutes of one class: `holly small: 6.1 min each (learned; likely 5.2 to 7.2; 34 done, 5 jobs)`.
pub(super) fn time(row: &TimesShown) -> String {
    let name = class(&row.service, row.size.as_deref());
    let basis = match row.basis {
        Basis::Set if row.kept => "yours, kept",
        Basis::Set => "set",
        Basis::Learned => "learned",
        Basis::Starter if row.kept => "starter guess, kept",
        Basis::Starter => "starter guess",
        Basis::Said => "said",
    };
    let between = row
        .between
        .map(|(low, high)| format!("; likely {} to {}", tenths(low), tenths(high)));
    let jobs = match row.jobs {
        0 => "by stopwatch".to_string(),
        1 => "1 job".to_string(),
        jobs => format!("{jobs} jobs"),
    };
    let behind = between
        .map(|between| format!("{between}; {} done, {jobs}", number(row.units)))
        .unwrap_or_default();
    format!(
        "{name}: {}{} ({basis}{behind})",
        minutes(row.minutes_each),
        per(row.unit)
    )
}

/// To a tenth; a time below a minute stays as it is.
fn tenths(value: Decimal) -> String {
    let places = if value < Decimal::ONE { 2 } else { 1 };
    number(RoundingPolicy::HalfUp.places(value, places))
}

/// How the crew got faster or slower at a class, with what that is worth.
pub(super) fn trend(row: &TimesShown, shown: &TrendShown) -> String {
    let name = match (&row.size, row.unit) {
        (Some(size), Unit::Each) => format!("{size} {}", plural(&row.service)),
        (Some(size), _) => format!("{size} {}", row.service),
        (None, Unit::Each) => plural(&row.service),
        (None, _) => row.service.clone(),
    };
    let word = if shown.more.is_sign_negative() { "less" } else { "more" };
    let whole = RoundingPolicy::HalfUp.places(shown.more.abs(), 0);
    let worth = if whole.is_zero() {
        String::new()
    } else {
        format!("; at the same price that is ${} an hour {word}", number(whole))
    };
    format!(
        "{} went from {} to {} min over {} jobs{worth}.",
        capital(&name),
        tenths(shown.curve.first.get()),
        tenths(shown.curve.current.get()),
        shown.curve.jobs
    )
}

/// The price list: a class a line, or, where there are many, a kind a line.
pub(super) fn price_list(rows: &[PricedShown]) -> String {
    if rows.len() <= CLASSES_MAX {
        let lines: Vec<String> = rows.iter().map(priced_row).collect();
        return lines.join("\n");
    }
    let kinds: Vec<&[PricedShown]> = rows.chunk_by(|one, other| one.service == other.service).collect();
    let lines = kinds.iter().take(KINDS_MAX).map(|kind| kind_of_prices(kind)).collect();
    cut(lines, kinds.len(), &format!("price list {}", rows[0].service))
}

/// The prices of all sizes of a kind.
fn kind_of_prices(rows: &[PricedShown]) -> String {
    let size = |row: &PricedShown| {
        let size = row.size.as_ref().map(|size| format!("{size} ")).unwrap_or_default();
        let guess = if row.basis == Basis::Starter { " guess" } else { "" };
        let price = row.price_each.map_or_else(|| money(row.unit_price), unit_price);
        format!("{size}{price}{guess}")
    };
    let sizes: Vec<String> = rows.iter().map(size).collect();
    let (name, each) = rows
        .first()
        .map_or(("", ""), |row| (row.service.as_str(), per(row.unit)));
    format!("{name}: {}{each}", sizes.join(", "))
}

/// Single units that were timed, and what it makes of the list.
pub(super) fn timed(shown: &TimedShown) -> String {
    let name = class(&shown.service, shown.size.as_deref());
    let hundredths = |minutes: Decimal| number(RoundingPolicy::HalfUp.places(minutes, 2));
    let readings: Vec<String> = shown.readings.iter().map(|reading| hundredths(reading.get())).collect();
    let sum: Decimal = shown.readings.iter().map(|reading| reading.get()).sum();
    if shown.readings.is_empty() {
        return format!("Nothing timed for {name}.");
    }
    let count = Decimal::from(shown.readings.len());
    let mean = hundredths(sum / count);
    let mean = if shown.readings.len() == 1 {
        String::new()
    } else {
        format!(", {mean} on average")
    };
    let now = shown
        .now
        .as_ref()
        .map(|row| format!("\n{}", time(row)))
        .unwrap_or_default();
    format!(
        "Timed {} {name}: {} min{mean}.{now}",
        shown.readings.len(),
        joined(&readings)
    )
}

/// A figure far out that was taken out, because what it should have been was said too late.
pub(super) fn taken_out(say_again: bool) -> &'static str {
    if say_again {
        "I took it out: too much was said since to put another figure in its place. Say it again as it was."
    } else {
        "I took it out."
    }
}

/// Set minutes that are kept, or let go.
pub(super) fn kept(named: &[(String, Option<String>)], keep: bool) -> String {
    let names: Vec<String> = named
        .iter()
        .take(KINDS_MAX)
        .map(|(service, size)| class(service, size.as_deref()))
        .collect();
    let names = if named.len() > 6 {
        "all of them".to_string()
    } else {
        joined(&names)
    };
    let word = if keep {
        "I keep your minutes for"
    } else {
        "Learned minutes may take over for"
    };
    format!("{word} {names}.")
}

fn ago(days: i64) -> String {
    match days {
        ..=0 => "today".to_string(),
        1 => "1 day".to_string(),
        days => format!("{days} days"),
    }
}

fn cut(mut lines: Vec<String>, all: usize, example: &str) -> String {
    if all > lines.len() {
        lines.push(format!(
            "and {} kinds more. Name one to see it: \"{example}\".",
            all - lines.len()
        ));
    } else {
        lines.push(format!("Name one to see more of it: \"{example}\"."));
    }
    lines.join("\n")
}

/// Quotes, one a line.
pub(super) fn quotes(shown: &QuotesShown) -> String {
    let (none, head) = match shown.list {
        QuoteList::Open => ("No open quotes.".to_string(), "open".to_string()),
        QuoteList::Unanswered(days) => (
            format!("No open quote is {days} days old or older."),
            format!("without an answer for {days} days or more"),
        ),
        QuoteList::Owed => ("Nothing is owed to you.".to_string(), "owed".to_string()),
    };
    if shown.count == 0 {
        return none;
    }
    let mut lines = vec![format!("{} {head}, {} in all:", shown.count, money(shown.sum))];
    for row in &shown.rows {
        let place = row.place.as_ref().map(|place| format!(", {place}")).unwrap_or_default();
        let age = match (row.since, row.days) {
            (Some(since), Some(days)) => format!(", {} ({})", since.format("%b %-d"), ago(days)),
            _ => String::new(),
        };
        lines.push(format!("Quote {}{place}: {}{age}", row.no, money(row.amount)));
    }
    let left = shown.count - shown.rows.len();
    if left > 0 {
        lines.push(format!("and {left} more."));
    }
    lines.join("\n")
}
