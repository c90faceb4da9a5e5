//! Lists: minutes, the price list, quotes.

use super::{
    settings::priced_row,
    words::{class, minutes, money, number, per},
};
use crate::{
    conversation::{PricedShown, QuoteList, QuotesShown, TimesShown},
    pricing::Basis,
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

fn time(row: &TimesShown) -> String {
    let name = class(&row.service, row.size.as_deref());
    let basis = match row.basis {
        Basis::Set => "set",
        Basis::Learned => "learned",
        Basis::Starter => "starter guess",
        Basis::Said => "said",
    };
    let between = row
        .between
        .map(|(low, high)| format!(", {} to {}", number(low), number(high)))
        .unwrap_or_default();
    format!(
        "{name}: {}{} ({basis}{between})",
        minutes(row.minutes_each),
        per(row.unit)
    )
}

/// The price list, a class a line.
pub(super) fn price_list(rows: &[PricedShown]) -> String {
    let lines: Vec<String> = rows.iter().take(ROWS_MAX).map(priced_row).collect();
    cut(lines, rows.len())
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
        QuoteList::Open => ("No open quotes.", "open"),
        QuoteList::Owed => ("Nothing is owed to you.", "owed"),
    };
    if shown.count == 0 {
        return none.to_string();
    }
    let mut lines = vec![format!("{} {head}, {} in all:", shown.count, money(shown.sum))];
    for row in &shown.rows {
        let place = row.place.as_ref().map(|place| format!(", {place}")).unwrap_or_default();
        lines.push(format!("Quote {}{place}: {}", row.no, money(row.amount)));
    }
    let left = shown.count - shown.rows.len();
    if left > 0 {
        lines.push(format!("and {left} more."));
    }
    lines.join("\n")
}
