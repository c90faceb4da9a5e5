//! Dollars that can be paid: whole cents.
//!
//! Adding and subtracting stay in whole cents. Everything finer (a price times a quantity, a percentage) is
//! [`Unrounded`] until it is rounded once.
//!
//! ```
//! use tallyhand::units::Money;
//! let ten = Money::from_cents(10_00);
//! assert_eq!(ten.checked_add(ten)?, Money::from_cents(20_00));
//! # Ok::<(), tallyhand::units::Error>(())
//! ```

use rust_decimal::Decimal;

use super::bounded::{bounded_decimal, decimal};
use super::rounding::rescaled;
use super::{Error, Figure, ManMinutes, Operation, RateMade, RatePerManHour, Unrounded};

bounded_decimal! {
    /// An amount in dollars, whole cents, up to a million million either way; below zero it is owed the other way (a
    /// price said below the sum of its lines).
    Money, least decimal(-1_000_000_000_000, 0), greatest decimal(1_000_000_000_000, 0),
    places 2, written 2, finer Refused
}

impl Default for Money {
    fn default() -> Self {
        Self::ZERO
    }
}

impl Money {
    /// Nothing.
    pub const ZERO: Money = Money::from_cents(0);

    /// This many cents.
    ///
    /// Only as wide as cannot leave the range.
    pub const fn from_cents(cents: i32) -> Money {
        Money(Decimal::from_parts(cents.unsigned_abs(), 0, 0, cents < 0, 2))
    }

    /// Whether it is nothing.
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }

    /// Whether it is less than nothing.
    pub fn is_negative(self) -> bool {
        self.0 < Decimal::ZERO
    }

    /// The sum.
    ///
    /// # Errors
    /// When the sum is out of range.
    pub fn checked_add(self, other: Money) -> Result<Money, Error> {
        self.kept(self.0.checked_add(other.0), Operation::Plus, other.figure())
    }

    /// The difference.
    ///
    /// # Errors
    /// When the difference is out of range.
    pub fn checked_sub(self, other: Money) -> Result<Money, Error> {
        self.kept(self.0.checked_sub(other.0), Operation::Minus, other.figure())
    }

    /// The sum of many amounts; nothing for none.
    ///
    /// # Errors
    /// When a sum on the way is out of range.
    pub fn checked_sum(amounts: impl IntoIterator<Item = Money>) -> Result<Money, Error> {
        amounts.into_iter().try_fold(Money::ZERO, Money::checked_add)
    }

    /// The rate that this amount makes over this work: money x 60 / man-minutes, half up at the eighth decimal.
    ///
    /// # Errors
    /// When there is no work, or the rate is out of range.
    pub fn checked_per_man_hour(self, work: ManMinutes) -> Result<RateMade, Error> {
        Unrounded::from(self).checked_per_man_hour(work)
    }

    /// The work that makes this rate at this amount: money x 60 / rate, half up at the microsecond.
    ///
    /// # Errors
    /// When the amount is negative or the work is out of range.
    pub fn checked_work_at(self, rate: RatePerManHour) -> Result<ManMinutes, Error> {
        Unrounded::from(self).checked_work_at(rate)
    }

    /// The whole number of cents.
    pub(super) fn cents(self) -> i128 {
        rescaled(self.0, 2).expect("money is within a million million and has at most two decimals")
    }

    fn kept(self, result: Option<Decimal>, operation: Operation, right: Figure) -> Result<Money, Error> {
        let refusal = || Error::DoesNotFit {
            left: self.figure(),
            operation,
            right,
        };
        Money::new(result.ok_or_else(refusal)?).map_err(|_| refusal())
    }
}
