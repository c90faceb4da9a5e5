//! Parts of a hundred: of money only, and never of another percentage.

use rust_decimal::Decimal;

use super::bounded::{bounded_decimal, decimal};
use super::rounding::RoundingPolicy;
use super::{Error, ManMinutes, Measure, Money, Operation, Unrounded};

bounded_decimal! {
    /// A percentage, `7.25` for 7.25%, to four decimals. What range makes sense (a tax, a margin, how much faster) is
    /// for the rule that uses it to say, so negative ones and ones above 100 can be held.
    Percent, least decimal(-1_000_000, 0), greatest decimal(1_000_000, 0),
    places 4, written 0, finer Refused
}

impl Percent {
    /// Nothing.
    pub const ZERO: Percent = Percent(Decimal::ZERO);

    /// This share of an amount, exactly.
    ///
    /// # Errors
    /// When the result is beyond what [`Unrounded`] holds.
    pub fn checked_of(self, money: Money) -> Result<Unrounded, Error> {
        Unrounded::from(money).checked_percent(self)
    }

    /// By how much `new` is less than `old`, in percent of `old`: (old - new) / old x 100, half up at the hundredth.
    ///
    /// # Errors
    /// When `old` is no work, or the percentage is out of range.
    pub fn checked_less(new: ManMinutes, old: ManMinutes) -> Result<Percent, Error> {
        if old.is_zero() {
            return Err(Error::DividedByZero {
                left: new.figure(),
                measure: Measure::ManMinutes,
            });
        }
        let refusal = || Error::DoesNotFit {
            left: new.figure(),
            operation: Operation::Over,
            right: old.figure(),
        };
        let less = old.seconds().checked_sub(new.seconds()).ok_or_else(refusal)?;
        let percent = RoundingPolicy::HalfUp.product_over(less, Decimal::ONE_HUNDRED, old.seconds(), 2);
        Percent::new(percent.ok_or_else(refusal)?)
    }
}
