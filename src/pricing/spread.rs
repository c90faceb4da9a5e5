//! One time said for the whole work, shared out over its lines.

use super::refusal::Refusal;
use super::sheet::{Effort, Sheet};
use crate::units::ManMinutes;

/// Shares out `whole` over the lines in proportion to the work they had, so that the lines add up to it exactly: each
/// share is rounded at the microsecond and the last line takes what is left. Set-up, haul and drive stay as they
/// are.
///
/// # Errors
/// When nothing is counted, or several lines have no work to share by.
pub fn spread(sheet: &Sheet, whole: ManMinutes) -> Result<Sheet, Refusal> {
    let mut spread = sheet.clone();
    let Some((last, rest)) = spread.lines.split_last_mut() else {
        return Err(Refusal::NothingCounted);
    };
    let mut left = whole;
    if !rest.is_empty() {
        let all = sheet
            .lines
            .iter()
            .map(|line| line.man_minutes())
            .collect::<Result<Vec<_>, _>>()?;
        let sum = ManMinutes::checked_sum(all.iter().copied())?;
        if sum.is_zero() {
            return Err(Refusal::NoWork);
        }
        for (line, work) in rest.iter_mut().zip(all) {
            // Rounding up several shares could ask for more than is left by a microsecond or so.
            let share = work.checked_share(whole, sum)?.min(left);
            line.effort = Effort::Whole(share);
            left = left.checked_sub(share)?;
        }
    }
    last.effort = Effort::Whole(left);
    Ok(spread)
}
