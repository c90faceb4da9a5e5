//! The cost build-up, each figure with its sum, so that margin and markup cannot be taken for each other.

use rust_decimal::Decimal;

use super::words::{hourly, money, number, rate};
use crate::{
    conversation::CostsShown,
    pricing::cost::{PerPeriod, Period},
    units::Money,
};

/// The build-up in four lines: the loaded wage, what a billable hour carries, the break-even, the target.
pub(super) fn costs(shown: &CostsShown) -> String {
    let mut lines = vec![loaded_wage(shown)];
    lines.extend(per_hour(shown));
    lines.push(break_even(shown));
    lines.extend(target(shown));
    lines.join("\n")
}

/// What the account's own rate leaves, beside the target.
pub(super) fn stand(shown: &CostsShown) -> String {
    target(shown).unwrap_or_else(|| break_even(shown))
}

fn loaded_wage(shown: &CostsShown) -> String {
    let loaded = hourly(shown.loaded_wage);
    match (shown.wage, shown.burden) {
        (Some(wage), Some(burden)) if !burden.get().is_zero() => {
            format!(
                "Loaded wage: {} + {}% = {loaded} an hour",
                hourly(wage),
                number(burden.get())
            )
        }
        _ => format!("Loaded wage: {loaded} an hour"),
    }
}

/// Overhead and equipment of a billable hour; nothing when there are none.
fn per_hour(shown: &CostsShown) -> Option<String> {
    let mut parts = Vec::new();
    if !shown.overhead.get().is_zero() {
        let sum = shown
            .overhead_said
            .map(|said| over_hours(said, shown))
            .unwrap_or_default();
        parts.push(format!("Overhead: {sum}{}", hourly(shown.overhead)));
    }
    if !shown.equipment.get().is_zero() {
        let word = if parts.is_empty() { "Equipment: " } else { "equipment " };
        parts.push(format!("{word}{}", hourly(shown.equipment)));
    }
    (!parts.is_empty()).then(|| format!("{} an hour", parts.join(", ")))
}

/// `$1,400.00 / 110 h = `; a figure for a month beside one for a year is taken twelve times.
fn over_hours(said: PerPeriod<Money>, shown: &CostsShown) -> String {
    let Some(hours) = shown.hours_said else {
        return String::new();
    };
    let twelve = |own: Period, other: Period| {
        if own == Period::Month && other == Period::Year {
            " x 12"
        } else {
            ""
        }
    };
    format!(
        "{}{} / {} h{} = ",
        money(said.amount),
        twelve(said.period, hours.period),
        number(hours.amount.get()),
        twelve(hours.period, said.period)
    )
}

fn break_even(shown: &CostsShown) -> String {
    let parts = [shown.loaded_wage, shown.overhead, shown.equipment];
    let terms: Vec<String> = parts
        .iter()
        .filter(|part| !part.get().is_zero())
        .map(|part| hourly(*part))
        .collect();
    let sum: Decimal = parts.iter().map(|part| part.get()).sum();
    let even = hourly(shown.break_even);
    if terms.len() < 2 {
        return format!("Break-even: {even} an hour");
    }
    // Each part is rounded for showing, the sum before it.
    let rounded = if sum == shown.break_even.get() {
        ""
    } else {
        " (a cent of rounding)"
    };
    format!("Break-even: {} = {even} an hour{rounded}", terms.join(" + "))
}

/// The target with its margin and the markup that it is, and what the account's own rate leaves.
fn target(shown: &CostsShown) -> Option<String> {
    let target = shown.target.map(|target| match shown.margin {
        Some((margin, markup)) => format!(
            "Target: {} / (1 - {}%) = {} an hour, a margin of {}%, the same as {}% on top.",
            hourly(shown.break_even),
            number(margin.get()),
            rate(target),
            number(margin.get()),
            number(markup.get())
        ),
        None => format!("Target: {} an hour.", rate(target)),
    });
    let rate = shown.rate.map(|(at, margin)| {
        let margin = margin.get();
        if margin.is_sign_negative() && !margin.is_zero() {
            format!("Mind: your rate of {} is under break-even.", rate(at))
        } else {
            format!("Your rate of {} leaves a margin of {}%.", rate(at), number(margin))
        }
    });
    let parts: Vec<String> = target.into_iter().chain(rate).collect();
    (!parts.is_empty()).then(|| parts.join(" "))
}
