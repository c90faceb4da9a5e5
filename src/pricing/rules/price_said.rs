//! A price said by hand stands in place of the sum, above or below it, as a row of its own.

use super::Draft;
use crate::pricing::explain::SumStep;
use crate::pricing::quote::{Extra, ExtraWhat};
use crate::pricing::refusal::{AmountOf, Refusal, check_not_below_zero};
use crate::pricing::sheet::Sheet;

pub(super) fn apply(sheet: &Sheet, draft: &mut Draft) -> Result<(), Refusal> {
    let Some(price) = sheet.price_said else { return Ok(()) };
    check_not_below_zero(AmountOf::Price, price)?;
    let sum = draft.sum;
    let change = price.checked_sub(sum)?;
    if change.is_zero() {
        return Ok(());
    }
    draft.steps.push(SumStep::PriceSaid { sum, change, price });
    draft.add_extra(Extra {
        what: ExtraWhat::PriceSaid,
        man_minutes: None,
        price: change,
    })
}
