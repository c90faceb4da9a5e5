//! The whole sum of a quote, step by step.

use rust_decimal::Decimal;

use super::solved::less;
use super::words::{clock, count, minutes, money, number, per, rate, rate_made, unit_price};
use crate::{
    conversation::WhyShown,
    pricing::{ExtraWhat, FeeKind, Quote, Step, SumStep},
    units::{Money, Unit},
};

/// The sum.
pub(super) fn why(shown: &WhyShown) -> String {
    let head = if shown.what_if { "What if, quote" } else { "Quote" };
    let mut lines = vec![format!("{head} {}, step by step:", shown.no)];
    lines.extend(
        shown
            .priced
            .explain()
            .iter()
            .filter_map(|step| told(step, &shown.priced)),
    );
    lines.join("\n")
}

/// A step in words; one that says nothing new is passed over.
fn told(step: &SumStep, priced: &Quote) -> Option<String> {
    match step {
        SumStep::LineWork { .. } | SumStep::LinePrice { .. } | SumStep::LineFixed { .. } => Some(line(step, priced)),
        SumStep::Elapsed { crew, .. } if crew.get() == 1 => None,
        _ => Some(rest(step)),
    }
}

/// A step of a counted line.
fn line(step: &SumStep, priced: &Quote) -> String {
    match *step {
        SumStep::LineWork {
            line,
            quantity,
            minutes_each,
            man_minutes,
        } => {
            let name = name_of(priced, line);
            let all = number(man_minutes.get());
            match minutes_each {
                Some(each) => format!("{name}: {} x {} = {all} man-min", number(quantity.get()), minutes(each)),
                None => format!("{name}: {all} man-min in all"),
            }
        }
        SumStep::LinePrice {
            man_minutes,
            rate: at,
            material,
            price,
            ..
        } => {
            let work = format!("{} / 60 x {}", number(man_minutes.get()), rate(at));
            let Some((quantity, material)) = material else {
                return format!("  {work} = {}", money(price));
            };
            let bought = format!("{} x {}", number(quantity.get()), unit_price(material.each));
            let markup = material.markup.get();
            let bought = if markup.is_zero() {
                bought
            } else {
                let factor = Decimal::ONE + markup / Decimal::ONE_HUNDRED;
                format!("{bought} x {} ({}% markup)", number(factor), number(markup))
            };
            format!("  {work} + {bought} material = {}", money(price))
        }
        SumStep::LineFixed {
            line,
            quantity,
            price_each,
            price,
        } => {
            let each = per(priced.lines.get(line).map_or(Unit::Each, |line| line.unit));
            format!(
                "  fixed at {}{each}: {} x {} = {}",
                unit_price(price_each),
                number(quantity.get()),
                unit_price(price_each),
                money(price)
            )
        }
        _ => String::new(),
    }
}

/// A step of what is added to the lines.
fn rest(step: &SumStep) -> String {
    match *step {
        SumStep::ExtraWork {
            what,
            man_minutes,
            rate: at,
            price,
        } => {
            format!(
                "{}: {} / 60 x {} = {}",
                extra(what),
                minutes(man_minutes),
                rate(at),
                money(price)
            )
        }
        SumStep::Fee {
            what: FeeKind::DumpFee,
            price,
        } => format!("Dump fee: {}", money(price)),
        SumStep::Minimum { sum, minimum, lift } => added("Minimum", sum, lift, minimum),
        SumStep::Rounding {
            sum,
            step,
            change,
            rounded,
        } => added(&rounding(step), sum, change, rounded),
        SumStep::PriceSaid { sum, change, price } => added("Your price", sum, change, price),
        _ => result(step),
    }
}

/// A step of what the sum comes to.
fn result(step: &SumStep) -> String {
    match *step {
        SumStep::Subtotal(subtotal) => format!("Subtotal: {}", money(subtotal)),
        SumStep::Discount {
            subtotal,
            percent,
            discount,
            price_before_tax,
        } => {
            let percent = percent
                .map(|percent| format!(" ({}%)", number(percent.get())))
                .unwrap_or_default();
            format!(
                "Less{percent}: {} - {} = {}",
                money(subtotal),
                money(discount),
                money(price_before_tax)
            )
        }
        SumStep::Tax {
            taxed,
            materials_only,
            percent,
            tax,
        } => {
            let on = if materials_only { " material" } else { "" };
            format!(
                "Tax: {}% of {}{on} = {}",
                number(percent.get()),
                money(taxed),
                money(tax)
            )
        }
        SumStep::Total {
            price_before_tax,
            tax,
            total,
        } if !tax.is_zero() => added("Total", price_before_tax, tax, total),
        SumStep::Total { total, .. } => format!("Total: {}", money(total)),
        SumStep::Elapsed {
            man_minutes,
            crew,
            elapsed,
        } => {
            format!(
                "Time: {} man-min / {crew} people = {}",
                number(man_minutes.get()),
                clock(elapsed.get())
            )
        }
        SumStep::RateMade {
            price_before_tax,
            materials,
            fees,
            man_minutes,
            rate,
        } => {
            let left = less(money(price_before_tax), materials, fees);
            let rate = rate_made(rate.to_cents());
            format!("Makes: {left} x 60 / {} = {rate} an hour", number(man_minutes.get()))
        }
        _ => String::new(),
    }
}

/// `what: sum + change = result`.
fn added(what: &str, sum: Money, change: Money, result: Money) -> String {
    if change.is_negative() {
        let off = Money::ZERO.checked_sub(change).unwrap_or(change);
        format!("{what}: {} - {} = {}", money(sum), money(off), money(result))
    } else {
        format!("{what}: {} + {} = {}", money(sum), money(change), money(result))
    }
}

fn rounding(step: Step) -> String {
    match step {
        Step::Nearest(step) => format!("Rounded to {}", money(step)),
        Step::Up(step) => format!("Rounded up to {}", money(step)),
        Step::None => "Rounded to the cent".to_string(),
    }
}

fn name_of(priced: &Quote, line: usize) -> String {
    priced.lines.get(line).map_or_else(String::new, |line| {
        let each = per(line.unit).trim_start();
        let named = count(line.quantity.get(), line.unit, &line.service, line.size.as_deref());
        if each.is_empty() || each == "each" {
            named
        } else {
            format!("{named} ({each})")
        }
    })
}

fn extra(what: ExtraWhat) -> &'static str {
    match what {
        ExtraWhat::SetUp => "Set-up",
        ExtraWhat::Haul => "Haul",
        ExtraWhat::Drive => "Drive",
        ExtraWhat::Fee(FeeKind::DumpFee) => "Dump fee",
        ExtraWhat::Minimum => "Minimum",
        ExtraWhat::Rounding => "Rounding",
        ExtraWhat::PriceSaid => "Your price",
    }
}
