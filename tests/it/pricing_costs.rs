//! The cost of a man-hour, built up: what is paid => what it comes to. The notation is at the head of the corpus.

use tallyhand::pricing::cost::{self, Costs, Equipment, PerPeriod, Period};
use tallyhand::pricing::quote;

use crate::pricing_notation::{check_corpus, sheet, value};

#[test]
fn costs_build_up_as_written() {
    check_corpus("fixtures/pricing/costs.txt", 30, |text| {
        let (left, rate) = match text.split_once(" ? at ") {
            Some((left, rate)) => (left, Some(rate)),
            None => (text, None),
        };
        let build_up = cost::build_up(&costs(left)?).map_err(|refusal| refusal.to_string())?;
        let answer = || match rate {
            None => {
                let target = build_up
                    .target()?
                    .map_or_else(|| "none".to_owned(), |rate| rate.to_string());
                Ok(format!(
                    "loaded {}, overhead {}, equipment {}, break-even {}, target {target}",
                    build_up.loaded_wage()?,
                    build_up.overhead_per_hour()?,
                    build_up.equipment_per_hour()?,
                    build_up.break_even()?,
                ))
            }
            Some(rate) => {
                let rate = value::<tallyhand::units::RatePerManHour>(rate).expect("a rate");
                let covered = if build_up.is_covered_by(rate.into()) {
                    "covered"
                } else {
                    "not covered"
                };
                Ok(format!(
                    "margin {}%, markup {}%, {covered}",
                    build_up.margin_at(rate)?,
                    build_up.markup_at(rate)?
                ))
            }
        };
        answer().map_err(|refusal: tallyhand::pricing::Refusal| refusal.to_string())
    });
}

#[test]
fn margins_become_markups_and_back_as_written() {
    check_corpus("fixtures/pricing/margins.txt", 12, |text| {
        let (what, figure) = text.split_once(' ').ok_or("what and how much")?;
        let figure = value(figure.trim_end_matches('%'))?;
        let answer = match what {
            "margin" => cost::markup_for_margin(figure).map(|markup| format!("markup {markup}%")),
            "markup" => cost::margin_for_markup(figure).map(|margin| format!("margin {margin}%")),
            _ => return Err(format!("{what:?} is neither")),
        };
        answer.map_err(|refusal| refusal.to_string())
    });
}

/// A quote at just the break-even that is shown pays for its cost, whatever its lines lost to rounding: 38.687... an hour is
/// shown as 38.69, and 1 at 7 minutes at 38.69 is 4.51, which makes 38.66. A cent an hour less does not, once there is
/// enough work for it to come to a cent a line.
#[test]
fn a_quote_at_the_break_even_shown_is_covered() {
    let build_up =
        cost::build_up(&costs("wage 22; burden 18%; overhead 1400 a month; hours 110 a month").expect("costs"))
            .expect("a build-up");
    assert_eq!(
        build_up.break_even().map(|even| even.to_string()),
        Ok("38.69".to_owned())
    );
    let covered = |rate: &str, lines: &str| {
        let quote = quote(&sheet(&format!("rate {rate}; {lines}")).expect("a sheet")).expect("a quote");
        build_up.is_covered_by_quote(&quote)
    };
    for units in 1..=40 {
        for minutes in [1, 3, 7, 11, 25] {
            let lines = format!("{units} at {minutes}; 2 at 3.5; set-up 15");
            assert_eq!(covered("38.69", &lines), Ok(true), "{lines}");
        }
    }
    assert_eq!(covered("38.69", "1 at 7"), Ok(true));
    assert_eq!(covered("38.68", "200 at 7"), Ok(false));
    assert_eq!(covered("38.69", "200 at 7; discount 1%"), Ok(false));
}

/// Reads what is paid.
pub(crate) fn costs(text: &str) -> Result<Costs, String> {
    let mut costs = Costs::default();
    for part in text.split("; ") {
        let words: Vec<&str> = part.split(' ').collect();
        match words[..] {
            ["wage", wage] => costs.wage = Some(value(wage)?),
            ["burden", burden] => costs.burden = Some(value(burden.trim_end_matches('%'))?),
            ["margin", margin] => costs.margin = Some(value(margin.trim_end_matches('%'))?),
            ["overhead", money, "a", stretch] => {
                costs.overhead = Some(PerPeriod {
                    amount: value(money)?,
                    period: period(stretch)?,
                });
            }
            ["hours", hours, "a", stretch] => {
                costs.billable_hours = Some(PerPeriod {
                    amount: value(hours)?,
                    period: period(stretch)?,
                });
            }
            ["equipment", price, "over", years] => {
                costs.equipment.push(Equipment {
                    price: value(price)?,
                    years: value(years)?,
                });
            }
            _ => return Err(format!("{part:?} is no cost")),
        }
    }
    Ok(costs)
}

fn period(text: &str) -> Result<Period, String> {
    match text {
        "month" => Ok(Period::Month),
        "year" => Ok(Period::Year),
        _ => Err(format!("{text:?} is no stretch of time")),
    }
}
