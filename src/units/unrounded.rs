//! Money before its one rounding, exact.
//!
//! A rate is for sixty minutes, so labour is rate x minutes / 60, and a sixtieth has no finite decimals. The division
//! is therefore put off: the amount is held as a whole number of 10^-20 sixtieths of a dollar. Twenty places are what
//! the operands can need together (quantity 4, minutes 8, rate 8), so nothing is ever cut; what does not fit in 128 bits
//! is refused. The division by sixty and the rounding happen in one step, in [`RoundingPolicy`].

use rust_decimal::Decimal;

use super::rounding::RoundingPolicy;
use super::{Error, Figure, ManMinutes, Measure, Money, Operation, Percent, RateMade, RatePerManHour};

/// Decimal places of a sixtieth that are held.
const PLACES: u32 = 20;
/// Ten to the [`PLACES`].
const SCALE: i128 = 10_i128.pow(PLACES);
/// Sixtieths in a dollar.
const SIXTY: i128 = 60;
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
        self.0.checked_add(other.0).map(Unrounded).ok_or(Error::DoesNotFit {
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
        self.0.checked_sub(other.0).map(Unrounded).ok_or(Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Minus,
            right: other.figure(),
        })
    }

    /// The rate that this amount makes over this work: sixtieths / man-minutes, half up at the eighth decimal.
    ///
    /// # Errors
    /// When there is no work, or the rate is out of range.
    pub fn checked_per_man_hour(self, work: ManMinutes) -> Result<RateMade, Error> {
        RateMade::new(self.over(work.figure(), RateMade::PLACES)?)
    }

    /// The work that makes this rate at this amount: sixtieths / rate, half up at the eighth decimal.
    ///
    /// # Errors
    /// When the amount is below zero, or the work is out of range.
    pub fn checked_work_at(self, rate: RatePerManHour) -> Result<ManMinutes, Error> {
        ManMinutes::new(self.over(rate.figure(), ManMinutes::PLACES)?)
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
        const CENT: i128 = SIXTY * SCALE / 100;
        let cents = policy.whole(self.0, CENT).expect("a cent is not zero");
        Money::new(Decimal::try_from_i128_with_scale(cents, 2).map_err(|_| self.too_much())?)
    }

    /// This share of the amount, exactly.
    pub(super) fn checked_percent(self, percent: Percent) -> Result<Unrounded, Error> {
        let parts = percent.get().mantissa() * 10_i128.pow(Percent::PLACES - percent.get().scale());
        let refusal = Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Times,
            right: Figure {
                measure: Measure::Percent,
                value: percent.get(),
            },
        };
        let (whole, rest) = (self.0 / PERCENT_PARTS, (self.0 % PERCENT_PARTS) * parts);
        if rest % PERCENT_PARTS != 0 {
            return Err(refusal);
        }
        let share = whole
            .checked_mul(parts)
            .and_then(|share| share.checked_add(rest / PERCENT_PARTS));
        share.map(Unrounded).ok_or(refusal)
    }

    /// The product of two decimals in dollars; `None` when it does not fit.
    pub(super) fn from_dollars_product(left: Decimal, right: Decimal) -> Option<Unrounded> {
        let product = left.mantissa().checked_mul(right.mantissa())?.checked_mul(SIXTY)?;
        scaled(product, left.scale() + right.scale())
    }

    /// The product of two decimals in sixtieths of a dollar; `None` when it does not fit.
    pub(super) fn from_sixtieths_product(left: Decimal, right: Decimal) -> Option<Unrounded> {
        let product = left.mantissa().checked_mul(right.mantissa())?;
        scaled(product, left.scale() + right.scale())
    }

    /// Sixtieths divided by a figure, divided and rounded in one step.
    fn over(self, divisor: Figure, places: u32) -> Result<Decimal, Error> {
        if divisor.value.is_zero() {
            return Err(Error::DividedByZero {
                left: self.figure(),
                measure: divisor.measure,
            });
        }
        // places + the divisor's own decimals never exceed the twenty that are held, so the numerator needs no factor.
        let factor = 10_i128.pow(PLACES - places - divisor.value.scale());
        let quotient = (divisor.value.mantissa().checked_mul(factor))
            .and_then(|denominator| RoundingPolicy::HalfUp.whole(self.0, denominator))
            .and_then(|quotient| Decimal::try_from_i128_with_scale(quotient, places).ok());
        quotient.ok_or(Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Over,
            right: divisor,
        })
    }

    /// In dollars, cut to what a decimal shows: only for naming it in an error.
    fn figure(self) -> Figure {
        let dollars = Decimal::try_from_i128_with_scale(self.0 / (SIXTY * SCALE / 100), 2).unwrap_or(Decimal::MAX);
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
        Unrounded(money.cents() * (SIXTY * SCALE / 100))
    }
}

/// A whole number of 10^-`scale` brought to 10^-20.
fn scaled(number: i128, scale: u32) -> Option<Unrounded> {
    let missing = PLACES.checked_sub(scale)?;
    number.checked_mul(10_i128.checked_pow(missing)?).map(Unrounded)
}
