//! Fees that are passed on as they are: no work, no markup.

use super::Draft;
use crate::pricing::explain::SumStep;
use crate::pricing::quote::{Extra, ExtraWhat};
use crate::pricing::refusal::{AmountOf, Refusal, check_not_below_zero};
use crate::pricing::sheet::Sheet;

pub(super) fn apply(sheet: &Sheet, draft: &mut Draft) -> Result<(), Refusal> {
    for &(what, price) in &sheet.fees {
        check_not_below_zero(AmountOf::Fee, price)?;
        if price.is_zero() {
            continue;
        }
        draft.fees = draft.fees.checked_add(price)?;
        draft.steps.push(SumStep::Fee { what, price });
        draft.add_extra(Extra {
            what: ExtraWhat::Fee(what),
            man_minutes: None,
            price,
        })?;
    }
    Ok(())
}
