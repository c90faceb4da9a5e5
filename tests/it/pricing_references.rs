//! Figures from outside the program: each row of `fixtures/references/pricing/` names its source and when it was read.

use std::fs;

use rust_decimal::Decimal;
use tallyhand::{
    pricing::{Refusal, cost},
    units::{HourlyCost, ManMinutes, Money, Percent, Quantity, RatePerManHour, RoundingPolicy, UnitPrice, Unrounded},
};

use crate::{pricing_costs::costs, pricing_notation::value};

/// Runs `check` on each row of a table; every row has to have a source and a day.
#[track_caller]
fn check_table(name: &str, floor: usize, check: impl Fn(&[&str]) -> Result<(), String>) {
    let path = format!("fixtures/references/pricing/{name}.tsv");
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
    let mut rows = text.lines().enumerate().filter(|(_, line)| !line.starts_with('#'));
    let (_, head) = rows.next().expect("a table has a head");
    let sourced = head.ends_with("\tsource\tread_on");
    assert!(
        sourced || name == "rounding_python",
        "{path}: the head has no source and day"
    );
    let columns = head.split('\t').count();
    let (mut wrong, mut count) = (Vec::new(), 0);
    for (number, row) in rows {
        count += 1;
        let cells: Vec<&str> = row.split('\t').collect();
        let whole = cells.len() == columns && (!sourced || cells[columns - 2..].iter().all(|cell| !cell.is_empty()));
        let result = if whole {
            check(&cells)
        } else {
            Err("cells are missing".to_owned())
        };
        if let Err(why) = result {
            wrong.push(format!("{path}:{}: {row}\n  {why}", number + 1));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {count} rows:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
    assert!(count >= floor, "{path} has only {count} rows, fewer than {floor}");
}

fn same(name: &str, actual: impl ToString, expected: &str) -> Result<(), String> {
    let (actual, expected) = (actual.to_string(), expected.to_owned());
    let equal = match (actual.parse::<Decimal>(), expected.parse::<Decimal>()) {
        (Ok(actual), Ok(expected)) => actual == expected,
        _ => actual == expected,
    };
    if equal {
        Ok(())
    } else {
        Err(format!("{name}: expected {expected}, actual {actual}"))
    }
}

fn text_of(refusal: impl ToString) -> String {
    refusal.to_string()
}

fn cents(unrounded: Unrounded) -> Result<Money, String> {
    unrounded.round(RoundingPolicy::HalfUp).map_err(text_of)
}

#[test]
fn work_at_a_rate() {
    check_table("work_at_rate", 13, |row| {
        let price = value::<RatePerManHour>(row[1])?
            .checked_mul(value(row[0])?)
            .map_err(text_of)?;
        same("price", cents(price)?, row[2])
    });
}

#[test]
fn rate_made() {
    check_table("rate_made", 4, |row| {
        let made = value::<Money>(row[0])?
            .checked_per_man_hour(value(row[1])?)
            .map_err(text_of)?;
        same("rate made", made.to_cents(), row[2])
    });
}

#[test]
fn labour_burden() {
    check_table("burden", 6, |row| {
        let build_up = cost::build_up(&costs(&format!("wage {}; burden {}%", row[0], row[1]))?).map_err(text_of)?;
        same("loaded wage", build_up.loaded_wage().map_err(text_of)?, row[2])
    });
}

#[test]
fn break_even_and_target() {
    check_table("break_even", 6, |row| {
        let build_up = cost::build_up(&costs(row[0])?).map_err(text_of)?;
        let shown = |figure: Result<HourlyCost, Refusal>| figure.map_err(text_of);
        same("loaded wage", shown(build_up.loaded_wage())?, row[1])?;
        same("overhead", shown(build_up.overhead_per_hour())?, row[2])?;
        same("equipment", shown(build_up.equipment_per_hour())?, row[3])?;
        same("break-even", shown(build_up.break_even())?, row[4])?;
        let target = build_up
            .target()
            .map_err(text_of)?
            .map_or_else(|| "-".to_owned(), |rate| rate.to_string());
        same("target", target, row[5])
    });
}

#[test]
fn margin_and_markup() {
    check_table("margin_markup", 22, |row| {
        let places = value(row[3])?;
        let (result, expected) = match row[2] {
            "margin" => (cost::markup_for_margin(value(row[0])?), row[1]),
            _ => (cost::margin_for_markup(value(row[1])?), row[0]),
        };
        let shown = RoundingPolicy::HalfUp.places(result.map_err(text_of)?.get(), places);
        same("result", shown, expected)
    });
}

#[test]
fn tax_to_the_cent() {
    check_table("tax_rounding", 11, |row| {
        let tax = value::<Percent>(row[1])?.checked_of(value(row[0])?).map_err(text_of)?;
        same("tax", cents(tax)?, row[2])
    });
}

#[test]
fn tax_on_top_to_pennies_nickels_and_dimes() {
    check_table("tax_on_top", 14, |row| {
        let amount = Unrounded::from(value::<Money>(row[0])?);
        let whole = cents(amount.checked_mark_up(value(row[1])?).map_err(text_of)?)?;
        same("penny", whole, row[2])?;
        for (step, expected) in [("0.05", row[3]), ("0.10", row[4])] {
            let rounded = RoundingPolicy::HalfUp.to_step(whole, value(step)?).map_err(text_of)?;
            same(step, rounded, expected)?;
        }
        Ok(())
    });
}

#[test]
fn price_of_units() {
    check_table("unit_price", 3, |row| {
        let price = value::<UnitPrice>(row[1])?
            .checked_mul(value(row[0])?)
            .map_err(text_of)?;
        same("price", cents(price)?, row[2])
    });
}

/// Written by `tests/reference/rounding.py`, whose head names the version of Python.
#[test]
fn rounding_agrees_with_the_decimal_module_of_python() {
    check_table("rounding_python", 780, |row| {
        let [what, a, b, c, expected] = row else {
            return Err("five cells".to_owned());
        };
        match *what {
            "line" => {
                let work = value::<ManMinutes>(b)?.checked_mul(value(a)?).map_err(text_of)?;
                same(
                    "line",
                    cents(value::<RatePerManHour>(c)?.checked_mul(work).map_err(text_of)?)?,
                    expected,
                )
            }
            "material" => {
                let cost = value::<UnitPrice>(b)?
                    .checked_mul(value::<Quantity>(a)?)
                    .map_err(text_of)?;
                same(
                    "material",
                    cents(cost.checked_mark_up(value(c)?).map_err(text_of)?)?,
                    expected,
                )
            }
            "percent" => same(
                "share",
                cents(value::<Percent>(b)?.checked_of(value(a)?).map_err(text_of)?)?,
                expected,
            ),
            "nearest" | "up" => {
                let policy = if *what == "up" {
                    RoundingPolicy::Up
                } else {
                    RoundingPolicy::HalfUp
                };
                same(
                    "multiple",
                    policy.to_step(value(a)?, value(b)?).map_err(text_of)?,
                    expected,
                )
            }
            "rate made" => same(
                "rate",
                value::<Money>(a)?.checked_per_man_hour(value(b)?).map_err(text_of)?,
                expected,
            ),
            "work for price" => same(
                "work",
                value::<Money>(a)?.checked_work_at(value(b)?).map_err(text_of)?,
                expected,
            ),
            _ => Err(format!("{what:?} is not computed here")),
        }
    });
}
