//! The cost build-up.

use super::words::{hourly, number, rate};
use crate::conversation::CostsShown;

/// The build-up, a figure a line.
pub(super) fn costs(shown: &CostsShown) -> String {
    let mut lines = vec![format!("Wage with burden: {} an hour", hourly(shown.loaded_wage))];
    if !shown.overhead.get().is_zero() {
        lines.push(format!("Overhead: {} an hour", hourly(shown.overhead)));
    }
    if !shown.equipment.get().is_zero() {
        lines.push(format!("Equipment: {} an hour", hourly(shown.equipment)));
    }
    lines.push(costs_line(shown));
    lines.join("\n")
}

/// Break-even, target, and how the rate stands to them.
pub(super) fn costs_line(shown: &CostsShown) -> String {
    let mut text = format!("Break-even: {} an hour", hourly(shown.break_even));
    if let Some(target) = shown.target {
        text.push_str(&format!("; with your margin {}", rate(target)));
    }
    text.push('.');
    if let Some((at, margin)) = shown.rate {
        let margin = margin.get();
        let stands = if margin.is_sign_negative() && !margin.is_zero() {
            format!(" Mind: your rate of {} is under it.", rate(at))
        } else {
            format!(" Your rate of {} leaves {}%.", rate(at), number(margin))
        };
        text.push_str(&stands);
    }
    text
}
