//! Lists: minutes, the price list, quotes.

use rust_decimal::Decimal;

use super::{
    settings::priced_row,
    words::{class, joined, minutes, money, number, per},
};
use crate::{
    conversation::{PricedShown, QuoteList, QuotesShown, TimedShown, TimesShown},
    pricing::Basis,
    units::RoundingPolicy,
};

/// How many rows of the price list go into one message.
const ROWS_MAX: usize = 40;

/// Minutes, a class a line.
pub(super) fn times(rows: &[TimesShown]) -> String {
    if rows.is_empty() {
        return "I have no minutes for that. Say them like \"holly small 5 min\".".to_string();
    }
    let lines: Vec<String> = rows.iter().take(ROWS_MAX).map(time).collect();
    cut(lines, rows.len())
}

/// Minutes of one class.
pub(super) fn time(row: &TimesShown) -> String {
    let name = class(&row.service, row.size.as_deref());
    let basis = match row.basis {
        Basis::Set => "set",
        Basis::Learned => "learned",
        Basis::Starter => "starter guess",
        Basis::Said => "said",
    };
    let between = row
        .between
        .map(|(low, high)| format!(", likely {} to {}", number(low), number(high)));
    let behind = between
        .map(|between| format!("{between}; {} done or timed", number(row.units)))
        .unwrap_or_default();
    format!(
        "{name}: {}{} ({basis}{behind})",
        minutes(row.minutes_each),
        per(row.unit)
    )
}

/// The price list, a class a line.
pub(super) fn price_list(rows: &[PricedShown]) -> String {
    let lines: Vec<String> = rows.iter().take(ROWS_MAX).map(priced_row).collect();
    cut(lines, rows.len())
}

/// Single units that were timed, and what it makes of the list.
pub(super) fn timed(shown: &TimedShown) -> String {
    let name = class(&shown.service, shown.size.as_deref());
    let readings: Vec<String> = shown.readings.iter().map(|reading| number(reading.get())).collect();
    let sum: Decimal = shown.readings.iter().map(|reading| reading.get()).sum();
    let count = Decimal::from(shown.readings.len());
    let mean = number(RoundingPolicy::HalfUp.places(sum / count, 2));
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

/// Set minutes that are kept, or let go.
pub(super) fn kept(named: &[(String, Option<String>)], keep: bool) -> String {
    let names: Vec<String> = named
        .iter()
        .take(ROWS_MAX)
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

fn cut(mut lines: Vec<String>, all: usize) -> String {
    if all > lines.len() {
        lines.push(format!("and {} more; name a kind to see it.", all - lines.len()));
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
