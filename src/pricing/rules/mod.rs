//! The rules of a price, in the order they apply. This list is the only place that knows the order.
//!
//! A rule reads the sheet, changes the draft and leaves a step that tells what it did. It keeps two promises: the
//! draft's `sum` stays what its lines and extras add up to, and every amount that it adds is in whole cents, so that
//! what is shown is what was added.

mod discount;
mod fees;
mod lines;
mod minimum;
mod price_said;
mod rounding;
mod tax;
mod work_extras;

use super::explain::SumStep;
use super::quote::{Extra, Quote, QuoteLine};
use super::refusal::{PercentOf, Refusal, check_percent};
use super::sheet::Sheet;
use crate::units::{ManMinutes, Money};

type Rule = fn(&Sheet, &mut Draft) -> Result<(), Refusal>;

/// Counted lines; set-up, haul and drive; fees; then either the price said, or the minimum and the rounding; then the
/// discount; then tax.
const ORDER: [Rule; 8] = [
    lines::apply,
    work_extras::apply,
    fees::apply,
    minimum::apply,
    rounding::apply,
    price_said::apply,
    discount::apply,
    tax::apply,
];

/// A price in the making.
struct Draft {
    lines: Vec<QuoteLine>,
    extras: Vec<Extra>,
    steps: Vec<SumStep>,
    /// Lines and extras so far.
    sum: Money,
    /// Their work so far.
    man_minutes: ManMinutes,
    materials: Money,
    fees: Money,
    discount: Money,
    tax: Money,
}

/// Prices a sheet.
///
/// # Errors
/// When nothing is counted, a percentage or an amount makes no sense, or a figure is beyond what its unit holds.
pub fn quote(sheet: &Sheet) -> Result<Quote, Refusal> {
    if sheet.lines.is_empty() {
        return Err(Refusal::NothingCounted);
    }
    check_percent(PercentOf::Markup, sheet.markup, 0, 1_000)?;
    let mut draft = Draft::new(sheet);
    for rule in ORDER {
        rule(sheet, &mut draft)?;
    }
    draft.finish(sheet)
}

impl Draft {
    fn new(sheet: &Sheet) -> Draft {
        Draft {
            lines: Vec::with_capacity(sheet.lines.len()),
            extras: Vec::new(),
            steps: Vec::with_capacity(2 * sheet.lines.len() + 10),
            sum: Money::ZERO,
            man_minutes: ManMinutes::ZERO,
            materials: Money::ZERO,
            fees: Money::ZERO,
            discount: Money::ZERO,
            tax: Money::ZERO,
        }
    }

    /// Adds a row that is no counted line.
    fn add_extra(&mut self, extra: Extra) -> Result<(), Refusal> {
        self.sum = self.sum.checked_add(extra.price)?;
        if let Some(work) = extra.man_minutes {
            self.man_minutes = self.man_minutes.checked_add(work)?;
        }
        self.extras.push(extra);
        Ok(())
    }

    /// The sum less the discount.
    fn price_before_tax(&self) -> Result<Money, Refusal> {
        Ok(self.sum.checked_sub(self.discount)?)
    }

    fn finish(mut self, sheet: &Sheet) -> Result<Quote, Refusal> {
        let price_before_tax = self.price_before_tax()?;
        let total = price_before_tax.checked_add(self.tax)?;
        self.steps.push(SumStep::Total {
            price_before_tax,
            tax: self.tax,
            total,
        });
        let elapsed = self.man_minutes.checked_elapsed(sheet.crew)?;
        self.steps.push(SumStep::Elapsed {
            man_minutes: self.man_minutes,
            crew: sheet.crew,
            elapsed,
        });
        let rate_made = if self.man_minutes.is_zero() {
            None
        } else {
            let for_work = price_before_tax.checked_sub(self.materials)?.checked_sub(self.fees)?;
            let rate = for_work.checked_per_man_hour(self.man_minutes)?;
            self.steps.push(SumStep::RateMade {
                price_before_tax,
                materials: self.materials,
                fees: self.fees,
                man_minutes: self.man_minutes,
                rate,
            });
            Some(rate)
        };
        let short_of_minimum = match sheet.minimum {
            Some(minimum) if price_before_tax < minimum => Some(minimum.checked_sub(price_before_tax)?),
            _ => None,
        };
        Ok(Quote {
            lines: self.lines,
            extras: self.extras,
            crew: sheet.crew,
            man_minutes: self.man_minutes,
            elapsed_minutes: elapsed,
            rate: sheet.quote_rate(),
            materials: self.materials,
            fees: self.fees,
            subtotal: self.sum,
            discount: self.discount,
            price_before_tax,
            tax: self.tax,
            total,
            rate_made,
            short_of_minimum,
            steps: self.steps,
        })
    }
}
