//! Money before its one rounding, exact.
//!
//! A rate is for an hour, so labour is rate x seconds / 3600, and that has no finite decimals. The division is
//! therefore put off: the amount is held as a whole number of 10^-18 parts of which 3600 are a dollar. Eighteen places
//! are what the operands can need together (quantity 4, seconds 6, rate 8), so nothing is ever cut; what does not fit
//! in 128 bits is refused. The division by 3600 and the rounding happen in one step, in [`RoundingPolicy`].

use rust_decimal::Decimal;

use super::bounded::decimal;
use super::rounding::RoundingPolicy;
use super::{
    Error, Figure, ManMinutes, Measure, Money, Operation, Percent, Quantity, RateMade, RatePerManHour, UnitPrice,
};

/// Decimal places of a part that are held.
const PLACES: u32 = 18;
/// Ten to the [`PLACES`].
const SCALE: i128 = 10_i128.pow(PLACES);
/// Parts in a dollar: seconds in an hour.
const PARTS: i128 = 3_600;
/// Below this a price for each unit is shown finer than to the cent.
const TEN_CENTS: Decimal = decimal(10, 2);
/// A cent.
const CENT: i128 = PARTS * SCALE / 100;
/// One percent of one ten-thousandth: the step that a [`Percent`] can be told in, as parts of one.
const PERCENT_PARTS: i128 = 1_000_000;

/// An amount of money that has not been rounded yet.
///
/// It cannot be paid or shown: it has no `Display` and is no [`Money`] until it is rounded.
/// ```
/// use tallyhand::units::{ManMinutes, Money, RatePerManHour, RoundingPolicy};
/// let rate: RatePerManHour = "95".parse()?;
/// let seven: ManMinutes = "7".parse()?;
/// let labour = rate.checked_mul(seven)?;
/// assert_eq!(labour.round(RoundingPolicy::HalfUp)?, Money::from_cents(11_08));
/// # Ok::<(), tallyhand::units::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Unrounded(i128);

impl Unrounded {
    /// Nothing.
    pub const ZERO: Unrounded = Unrounded(0);

    /// Whether it is nothing.
    pub fn is_zero(self) -> bool {
        self.0 == 0
    }

    /// The sum.
    ///
    /// # Errors
    /// When the sum does not fit.
    pub fn checked_add(self, other: Unrounded) -> Result<Unrounded, Error> {
        self.0
            .checked_add(other.0)
            .map(Unrounded)
            .ok_or_else(|| Error::DoesNotFit {
                left: self.figure(),
                operation: Operation::Plus,
                right: other.figure(),
            })
    }

    /// The difference.
    ///
    /// # Errors
    /// When the difference does not fit.
    pub fn checked_sub(self, other: Unrounded) -> Result<Unrounded, Error> {
        self.0
            .checked_sub(other.0)
            .map(Unrounded)
            .ok_or_else(|| Error::DoesNotFit {
                left: self.figure(),
                operation: Operation::Minus,
                right: other.figure(),
            })
    }

    /// The rate that this amount makes over this work: amount x 60 / man-minutes, half up at the eighth decimal.
    ///
    /// # Errors
    /// When there is no work, or the rate is out of range.
    pub fn checked_per_man_hour(self, work: ManMinutes) -> Result<RateMade, Error> {
        RateMade::new(self.parts_over(work.seconds(), || work.figure(), RateMade::PLACES)?)
    }

    /// The work that makes this rate at this amount: amount x 60 / rate, half up at the microsecond.
    ///
    /// # Errors
    /// When the amount is below zero, or the work is out of range.
    pub fn checked_work_at(self, rate: RatePerManHour) -> Result<ManMinutes, Error> {
        ManMinutes::from_seconds(self.parts_over(rate.get(), || rate.figure(), ManMinutes::SECOND_PLACES)?)
    }

    /// The amount for each unit, half up at the cent, or at the hundredth of a cent where that is less than ten cents:
    /// only to be shown beside the whole, never multiplied back.
    ///
    /// # Errors
    /// When the amount is below zero or the price is out of range.
    pub fn checked_each(self, quantity: Quantity) -> Result<UnitPrice, Error> {
        let refusal = || Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Over,
            right: quantity.figure(),
        };
        let parts = (quantity.get().normalize())
            .checked_mul(Decimal::from(PARTS))
            .ok_or_else(refusal)?;
        let each = |places| self.parts_over(parts, || quantity.figure(), places);
        let mut shown = each(2)?;
        if shown < TEN_CENTS {
            shown = each(UnitPrice::PLACES)?;
        }
        UnitPrice::new(shown)
    }

    /// This amount with a percentage put on top, exactly.
    ///
    /// # Errors
    /// When the result does not fit, or would need more places than are held.
    pub fn checked_mark_up(self, markup: Percent) -> Result<Unrounded, Error> {
        self.checked_add(self.checked_percent(markup)?)
    }

    /// The one rounding, to whole cents.
    ///
    /// # Errors
    /// When the result is beyond what [`Money`] holds.
    pub fn round(self, policy: RoundingPolicy) -> Result<Money, Error> {
        let cents = policy.whole(self.0, CENT).expect("a cent is not zero");
        Money::new(Decimal::try_from_i128_with_scale(cents, 2).map_err(|_| self.too_much())?)
    }

    /// This share of the amount, exactly.
    pub(super) fn checked_percent(self, percent: Percent) -> Result<Unrounded, Error> {
        let parts = percent.get().mantissa() * 10_i128.pow(Percent::PLACES - percent.get().scale());
        let refusal = || Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Times,
            right: Figure {
                measure: Measure::Percent,
                value: percent.get(),
            },
        };
        let (whole, rest) = (self.0 / PERCENT_PARTS, (self.0 % PERCENT_PARTS) * parts);
        if rest % PERCENT_PARTS != 0 {
            return Err(refusal());
        }
        let share = whole
            .checked_mul(parts)
            .and_then(|share| share.checked_add(rest / PERCENT_PARTS));
        share.map(Unrounded).ok_or_else(refusal)
    }

    /// The product of two decimals in dollars; `None` when it does not fit.
    pub(super) fn from_dollars_product(left: Decimal, right: Decimal) -> Option<Unrounded> {
        let product = left.mantissa().checked_mul(right.mantissa())?.checked_mul(PARTS)?;
        scaled(product, left.scale() + right.scale())
    }

    /// Seconds at dollars an hour; `None` when it does not fit.
    pub(super) fn from_seconds_product(rate: Decimal, seconds: Decimal) -> Option<Unrounded> {
        let product = rate.mantissa().checked_mul(seconds.mantissa())?;
        scaled(product, rate.scale() + seconds.scale())
    }

    /// Parts divided by seconds or by a rate (`named` in an error), divided and rounded in one step.
    fn parts_over(self, divisor: Decimal, named: impl Fn() -> Figure, places: u32) -> Result<Decimal, Error> {
        if divisor.is_zero() {
            return Err(Error::DividedByZero {
                left: self.figure(),
                measure: named().measure,
            });
        }
        // `places` and the divisor's own decimals are never more than the eighteen held, so the numerator needs no
        // factor.
        let factor = 10_i128.pow(PLACES - places - divisor.scale());
        let quotient = (divisor.mantissa().checked_mul(factor))
            .and_then(|denominator| RoundingPolicy::HalfUp.whole(self.0, denominator))
            .and_then(|quotient| Decimal::try_from_i128_with_scale(quotient, places).ok());
        quotient.ok_or_else(|| Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Over,
            right: named(),
        })
    }

    /// In dollars, cut to what a decimal shows: only for naming it in an error.
    fn figure(self) -> Figure {
        let dollars = Decimal::try_from_i128_with_scale(self.0 / CENT, 2).unwrap_or(Decimal::MAX);
        Figure {
            measure: Measure::UnroundedMoney,
            value: dollars,
        }
    }

    fn too_much(self) -> Error {
        Error::OutOfRange {
            figure: self.figure(),
            least: Money::LEAST,
            greatest: Money::GREATEST,
        }
    }
}

impl From<Money> for Unrounded {
    fn from(money: Money) -> Self {
        Unrounded(money.cents() * CENT)
    }
}

/// A whole number of 10^-`scale` brought to 10^-20.
fn scaled(number: i128, scale: u32) -> Option<Unrounded> {
    let missing = PLACES.checked_sub(scale)?;
    number.checked_mul(10_i128.checked_pow(missing)?).map(Unrounded)
}
