//! Measures that no price list here counts in: meters. Feet could be meant, or meters that come to so many feet; the two
//! prices differ, so it is asked.

use rust_decimal::Decimal;

use super::meaning::Doubt;
use super::rules::number::number;
use super::words::Words;

/// Feet in a meter: 1 / 0.3048, the international foot of 1959 (exact definition).
const FOOT_IN_METERS: Decimal = Decimal::from_parts(3048, 0, 0, false, 4);

/// The first length in meters as a question.
pub(super) fn meters(words: &Words<'_>) -> Option<Doubt> {
    let text = words.tokens.text;
    (0..words.len()).find_map(|at| {
        let count = number(words, at)?;
        if !words.one_of(count.end, &["meter", "meters", "metre", "metres", "mtr", "mtrs"]) {
            return None;
        }
        let span = words.span(at, count.end + 1);
        let feet = count.value.checked_div(FOOT_IN_METERS)?.round_dp(1).normalize();
        let with = |figure: Decimal| format!("{}{figure} ft{}", &text[..span.start], &text[span.end..]);
        Some(Doubt::Either {
            words: text[span.start..span.end].to_string(),
            choices: vec![with(feet), with(count.value.normalize())],
            span,
        })
    })
}
