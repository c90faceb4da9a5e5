//! Measures that can be two things, so that it is asked which: meters (feet could be meant, or meters that come to so many
//! feet), and a count `on each side` (of one side, or of both together).

use rust_decimal::Decimal;

use super::lines::line_text;
use super::meaning::{Doubt, LineSaid, QuantitySaid, Span};
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

/// `40 ft of hedge on each side`, `40 ft hedge both sides`: 40 of each, or 40 together.
pub(super) fn on_each_side(words: &Words<'_>, lines: &[LineSaid]) -> Option<Doubt> {
    let text = words.tokens.text;
    (1..words.len()).find_map(|at| {
        let each = words.one_of(at, &["each", "both", "either", "every", "per", "a"]);
        // "on both sides of the drive" is where it stands.
        let where_it_stands = words.spelled(at, "both") && words.spelled(at + 2, "of");
        if !each || where_it_stands || !words.one_of(at + 1, &["side", "sides", "end", "ends"]) {
            return None;
        }
        let led = words.one_of(at - 1, &["on", "for", "at", "of", "down", "along"]);
        let start = words.span(at - usize::from(led), at + 1).start;
        let span = Span {
            start,
            end: words.span(at + 1, at + 2).end,
        };
        let said = lines.iter().rfind(|line| line.span.end <= span.start)?;
        let QuantitySaid::Exact(count) = said.quantity else {
            return None;
        };
        if text[said.span.end..span.start].contains([',', '.', ';', '\n']) {
            return None;
        }
        let with = |count: Decimal| {
            let line = LineSaid {
                quantity: QuantitySaid::Exact(count),
                ..said.clone()
            };
            let rest = format!("{}{}", text[said.span.end..span.start].trim_end(), &text[span.end..]);
            format!("{}{}{rest}", &text[..said.span.start], line_text(&line))
        };
        let twice = count.checked_mul(Decimal::TWO)?;
        Some(Doubt::Either {
            words: text[span.start..span.end].to_string(),
            choices: vec![with(twice), with(count)],
            span,
        })
    })
}
