//! Set-up, haul and drive: man-minutes at the quote's rate, each its own row, each rounded half up.

use super::Draft;
use crate::pricing::explain::SumStep;
use crate::pricing::quote::{Extra, ExtraWhat};
use crate::pricing::refusal::Refusal;
use crate::pricing::sheet::Sheet;
use crate::units::RoundingPolicy;

pub(super) fn apply(sheet: &Sheet, draft: &mut Draft) -> Result<(), Refusal> {
    let rate = sheet.quote_rate();
    let rows = [
        (ExtraWhat::SetUp, sheet.set_up),
        (ExtraWhat::Haul, sheet.haul),
        (ExtraWhat::Drive, sheet.drive),
    ];
    for (what, work) in rows {
        let Some(man_minutes) = work.filter(|work| !work.is_zero()) else {
            continue;
        };
        let price = rate.checked_mul(man_minutes)?.round(RoundingPolicy::HalfUp)?;
        draft.steps.push(SumStep::ExtraWork {
            what,
            man_minutes,
            rate,
            price,
        });
        draft.add_extra(Extra {
            what,
            man_minutes: Some(man_minutes),
            price,
        })?;
    }
    Ok(())
}
