//! Rounding to the account's step, as a row of its own. A price said stands as it is.
//!
//! The nearest multiple may lie below the minimum, or at nothing; a price never does, so then it is the next one up.

use super::Draft;
use crate::pricing::explain::SumStep;
use crate::pricing::quote::{Extra, ExtraWhat};
use crate::pricing::refusal::Refusal;
use crate::pricing::sheet::{Sheet, Step};
use crate::units::{Money, RoundingPolicy};

pub(super) fn apply(sheet: &Sheet, draft: &mut Draft) -> Result<(), Refusal> {
    let (policy, step) = match sheet.step {
        Step::None => return Ok(()),
        Step::Nearest(step) => (RoundingPolicy::HalfUp, step),
        Step::Up(step) => (RoundingPolicy::Up, step),
    };
    if step <= Money::ZERO {
        return Err(Refusal::StepNotAboveZero(step));
    }
    if sheet.price_said.is_some() {
        return Ok(());
    }
    let sum = draft.sum;
    let mut rounded = policy.to_step(sum, step)?;
    if rounded < sum && (rounded.is_zero() || sheet.minimum.is_some_and(|minimum| rounded < minimum)) {
        rounded = RoundingPolicy::Up.to_step(sum, step)?;
    }
    let change = rounded.checked_sub(sum)?;
    if change.is_zero() {
        return Ok(());
    }
    draft.steps.push(SumStep::Rounding {
        sum,
        step: sheet.step,
        change,
        rounded,
    });
    draft.add_extra(Extra {
        what: ExtraWhat::Rounding,
        man_minutes: None,
        price: change,
    })
}
