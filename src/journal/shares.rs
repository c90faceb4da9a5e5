//! What did each line of a job earn and take?
//!
//! The work of a job with several kinds is shared out by the minutes quoted for each line, what it earned by the lines'
//! prices; the last line takes what rounding leaves, so that the shares of a job add up to the job to the cent.

use rust_decimal::Decimal;

use super::{event::DoneLine, quotes::QuoteEntry};
use crate::units::RoundingPolicy;

/// A line's share of what a finished job earned and took.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Share {
    /// Which line of the sheet.
    pub(super) line: usize,
    /// Dollars, to the cent.
    pub(super) earned: Decimal,
    /// Man-minutes worked.
    pub(super) man_minutes: Decimal,
    /// Man-minutes quoted.
    pub(super) quoted_man_minutes: Decimal,
}

impl Share {
    /// Man-minutes worked and dollars earned.
    pub(super) fn figures(&self) -> (Decimal, Decimal) {
        (self.man_minutes, self.earned)
    }

    /// Shares out a finished job over its lines; the last line takes what rounding leaves.
    pub(super) fn of(entry: &QuoteEntry) -> Vec<Share> {
        let (Some(worth), Some(finish), Some(earned)) = (entry.worth(), &entry.finish, entry.earned()) else {
            return Vec::new();
        };
        let quoted = entry.quoted_man_minutes().get();
        let minutes: Vec<Decimal> = worth.lines.iter().map(|line| line.man_minutes.get()).collect();
        let done: Vec<Decimal> = (0..minutes.len())
            .map(|line| done_minutes(entry, line, &minutes))
            .collect();
        let prices: Vec<Decimal> = worth
            .lines
            .iter()
            .map(|line| line.price.get().max(Decimal::ZERO))
            .collect();
        let earned = shared_out(earned.get(), &prices, 2);
        let worked = shared_out(finish.man_minutes.get(), &done, 4);
        let quoted = shared_out(quoted, &minutes, 4);
        (0..minutes.len())
            .map(|line| Share {
                line,
                earned: earned[line],
                man_minutes: worked[line],
                quoted_man_minutes: quoted[line],
            })
            .collect()
    }
}

/// The minutes quoted for what was really done of a line.
fn done_minutes(entry: &QuoteEntry, line: usize, quoted: &[Decimal]) -> Decimal {
    let (Some(counted), Some(finish)) = (entry.sheet.lines.get(line), &entry.finish) else {
        return Decimal::ZERO;
    };
    let same = |done: &&DoneLine| done.service == counted.service && done.size == counted.size;
    let done = finish.done.iter().find(same).map(|done| done.quantity.get());
    let share = done.and_then(|done| done.checked_div(counted.quantity.get()));
    share
        .and_then(|share| quoted[line].checked_mul(share))
        .unwrap_or(quoted[line])
}

/// A figure divided by weights, each part rounded, the last taking the rest; evenly when there are no weights.
fn shared_out(whole: Decimal, weights: &[Decimal], places: u32) -> Vec<Decimal> {
    let sum: Decimal = weights.iter().sum();
    let mut left = whole;
    let mut parts = Vec::with_capacity(weights.len());
    for (index, weight) in weights.iter().enumerate() {
        let part = if index + 1 == weights.len() {
            left
        } else {
            let part = match whole.checked_mul(*weight).and_then(|part| part.checked_div(sum)) {
                Some(part) => part,
                None => whole / Decimal::from(weights.len()),
            };
            RoundingPolicy::HalfUp.places(part, places)
        };
        left -= part;
        parts.push(part);
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::{Decimal, shared_out};

    #[test]
    fn parts_add_up_to_the_whole() {
        let weights = [Decimal::ONE, Decimal::ONE, Decimal::ONE];
        let parts = shared_out(Decimal::from(100), &weights, 2);
        let wanted: Vec<Decimal> = [3333, 3333, 3334].map(|cents| Decimal::new(cents, 2)).to_vec();
        assert_eq!(parts, wanted);
        assert_eq!(
            shared_out(Decimal::ONE, &[Decimal::ZERO], 2),
            vec![Decimal::ONE],
            "a line without a price takes all when it is the only one"
        );
    }
}
