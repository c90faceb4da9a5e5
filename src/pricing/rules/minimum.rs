//! The minimum: a sum below it is lifted to it, before tax, as a row of its own. A price said stands as it is.

use super::Draft;
use crate::pricing::explain::SumStep;
use crate::pricing::quote::{Extra, ExtraWhat};
use crate::pricing::refusal::{AmountOf, Refusal, check_not_below_zero};
use crate::pricing::sheet::Sheet;

pub(super) fn apply(sheet: &Sheet, draft: &mut Draft) -> Result<(), Refusal> {
    let Some(minimum) = sheet.minimum else { return Ok(()) };
    check_not_below_zero(AmountOf::Minimum, minimum)?;
    if sheet.price_said.is_some() || draft.sum >= minimum {
        return Ok(());
    }
    let lift = minimum.checked_sub(draft.sum)?;
    draft.steps.push(SumStep::Minimum {
        sum: draft.sum,
        minimum,
        lift,
    });
    draft.add_extra(Extra {
        what: ExtraWhat::Minimum,
        man_minutes: None,
        price: lift,
    })
}
