//! The whole sum of a quote, step by step.

use super::words::{clock, count, minutes, money, number, per, rate, rate_made, unit_price};
use crate::{
    conversation::WhyShown,
    pricing::{ExtraWhat, FeeKind, Quote, Step, SumStep},
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

fn told(step: &SumStep, priced: &Quote) -> Option<String> {
    Some(match step {
        SumStep::LineWork {
            line,
            quantity,
            minutes_each,
            man_minutes,
        } => {
            let name = name_of(priced, *line);
            match minutes_each {
                Some(each) => {
                    format!(
                        "{name}: {} x {} = {} man-min",
                        number(quantity.get()),
                        minutes(*each),
                        number(man_minutes.get())
                    )
                }
                None => format!("{name}: {} man-min in all", number(man_minutes.get())),
            }
        }
        SumStep::LinePrice {
            man_minutes,
            rate: at,
            material,
            price,
            ..
        } => {
            let material = material.map(|(quantity, material)| {
                let markup = material.markup.get();
                let markup = if markup.is_zero() {
                    String::new()
                } else {
                    format!(" + {}%", number(markup))
                };
                format!(
                    " + {} x {}{markup} material",
                    number(quantity.get()),
                    unit_price(material.each)
                )
            });
            let material = material.unwrap_or_default();
            format!(
                "  {} / 60 x {}{material} = {}",
                number(man_minutes.get()),
                rate(*at),
                money(*price)
            )
        }
        SumStep::LineFixed {
            line,
            quantity,
            price_each,
            price,
        } => format!(
            "{}: {} x {} = {}",
            name_of(priced, *line),
            number(quantity.get()),
            unit_price(*price_each),
            money(*price)
        ),
        SumStep::ExtraWork {
            what,
            man_minutes,
            rate: at,
            price,
        } => {
            format!(
                "{}: {} / 60 x {} = {}",
                extra(*what),
                minutes(*man_minutes),
                rate(*at),
                money(*price)
            )
        }
        SumStep::Fee {
            what: FeeKind::DumpFee,
            price,
        } => format!("Dump fee: {}", money(*price)),
        SumStep::Minimum { sum, minimum, lift } => {
            format!("Minimum: {} + {} = {}", money(*sum), money(*lift), money(*minimum))
        }
        SumStep::Rounding {
            sum,
            step,
            change,
            rounded,
        } => {
            let to = match step {
                Step::Nearest(step) => format!("to {}", money(*step)),
                Step::Up(step) => format!("up to {}", money(*step)),
                Step::None => "to the cent".to_string(),
            };
            format!(
                "Rounded {to}: {} + {} = {}",
                money(*sum),
                money(*change),
                money(*rounded)
            )
        }
        SumStep::PriceSaid { sum, change, price } => {
            format!("Your price: {} + {} = {}", money(*sum), money(*change), money(*price))
        }
        SumStep::Subtotal(subtotal) => format!("Subtotal: {}", money(*subtotal)),
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
                money(*subtotal),
                money(*discount),
                money(*price_before_tax)
            )
        }
        SumStep::Tax {
            taxed,
            materials_only,
            percent,
            tax,
        } => {
            let on = if *materials_only { " material" } else { "" };
            format!(
                "Tax: {}% of {}{on} = {}",
                number(percent.get()),
                money(*taxed),
                money(*tax)
            )
        }
        SumStep::Total {
            price_before_tax,
            tax,
            total,
        } if !tax.is_zero() => {
            format!(
                "Total: {} + {} = {}",
                money(*price_before_tax),
                money(*tax),
                money(*total)
            )
        }
        SumStep::Total { total, .. } => format!("Total: {}", money(*total)),
        SumStep::Elapsed {
            man_minutes,
            crew,
            elapsed,
        } => {
            if crew.get() == 1 {
                return None;
            }
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
        } => format!(
            "Makes: ({} - {} - {}) x 60 / {} = {} an hour",
            money(*price_before_tax),
            money(*materials),
            money(*fees),
            number(man_minutes.get()),
            rate_made(rate.to_cents())
        ),
    })
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
