//! Money, counts and minutes as pages show them.

use rust_decimal::Decimal;

use crate::{
    journal::{QuoteEntry, data},
    pricing::SheetLine,
    units::{Money, Unit},
};

/// How many kinds of a job are named in a list.
const NAMED_MAX: usize = 3;

/// `$171.00`, a loss with its sign.
pub(super) fn money(amount: Money) -> String {
    let value = amount.get();
    if value.is_sign_negative() && !value.is_zero() {
        format!("-${}", data::cents(value.abs()))
    } else {
        format!("${}", data::cents(value))
    }
}

/// A figure without trailing zeros.
pub(super) fn number(value: Decimal) -> String {
    data::plain(value)
}

/// `12 crape myrtle small`, `40 feet hedge`, `mow`.
pub(super) fn counted(line: &SheetLine) -> String {
    let quantity = number(line.quantity.get());
    let class = class(&line.service, line.size.as_deref());
    match line.unit {
        Unit::Each => format!("{quantity} {class}"),
        Unit::Job if line.quantity.get() == Decimal::ONE => class,
        unit => format!("{quantity} {} {class}", unit.name()),
    }
}

/// A kind with its size.
pub(super) fn class(service: &str, size: Option<&str>) -> String {
    match size {
        Some(size) => format!("{service} {size}"),
        None => service.to_string(),
    }
}

/// What a job is, in a line.
pub(super) fn work(entry: &QuoteEntry) -> String {
    let lines = &entry.sheet.lines;
    let mut named: Vec<String> = lines.iter().take(NAMED_MAX).map(counted).collect();
    if lines.len() > NAMED_MAX {
        named.push(format!("{} more", lines.len() - NAMED_MAX));
    }
    named.join(", ")
}

/// What is counted, as a heading of minutes: `each`, `a foot`.
pub(super) fn per(unit: Unit) -> &'static str {
    match unit {
        Unit::Each => "each",
        Unit::Job => "a job",
        Unit::Foot => "a foot",
        Unit::SquareFoot => "a sq ft",
        Unit::Yard => "a yard",
        Unit::Bag => "a bag",
        Unit::Load => "a load",
        Unit::Hour => "an hour",
    }
}
