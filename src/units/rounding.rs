//! The only place where anything is rounded.
//!
//! Halves go up (away from zero for amounts below zero), as retail tax law asks for and as people round by hand; the
//! default of the decimal library is banker's rounding, so it is never called without a strategy. Where a division
//! comes before the rounding, both are done in whole numbers in one step: a quotient cut to 28 digits first could fall
//! on the wrong side of a half.

use rust_decimal::{Decimal, RoundingStrategy};

use super::{Error, Figure, Measure, Money, Operation};

/// Which way to round.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RoundingPolicy {
    /// To the nearest; a half goes away from zero.
    HalfUp,
    /// To the next higher; what is whole already stays.
    Up,
}

impl RoundingPolicy {
    /// An amount rounded to a multiple of a step.
    ///
    /// # Errors
    /// When the step is not above zero, or the result is out of range.
    pub fn to_step(self, amount: Money, step: Money) -> Result<Money, Error> {
        let figure = |money: Money| Figure {
            measure: Measure::Money,
            value: money.get(),
        };
        if step <= Money::ZERO {
            return Err(Error::DividedByZero {
                left: figure(amount),
                measure: Measure::Money,
            });
        }
        let refusal = || Error::DoesNotFit {
            left: figure(amount),
            operation: Operation::Over,
            right: figure(step),
        };
        let steps = self.whole(amount.cents(), step.cents()).ok_or_else(refusal)?;
        let cents = steps.checked_mul(step.cents()).ok_or_else(refusal)?;
        Money::new(Decimal::try_from_i128_with_scale(cents, 2).map_err(|_| refusal())?).map_err(|_| refusal())
    }

    /// A decimal to so many places, for showing.
    pub fn places(self, value: Decimal, places: u32) -> Decimal {
        let strategy = match self {
            RoundingPolicy::HalfUp => RoundingStrategy::MidpointAwayFromZero,
            RoundingPolicy::Up => RoundingStrategy::ToPositiveInfinity,
        };
        value.round_dp_with_strategy(places, strategy)
    }

    /// left x right / divisor to so many places, divided and rounded in one step; `None` when it does not fit or the
    /// divisor is zero.
    pub(crate) fn product_over(self, left: Decimal, right: Decimal, divisor: Decimal, places: u32) -> Option<Decimal> {
        let product = left.mantissa().checked_mul(right.mantissa())?;
        let scale = left.scale() + right.scale();
        let wanted = places + divisor.scale();
        let (numerator, denominator) = if wanted >= scale {
            (
                product.checked_mul(10_i128.checked_pow(wanted - scale)?)?,
                divisor.mantissa(),
            )
        } else {
            (
                product,
                divisor.mantissa().checked_mul(10_i128.checked_pow(scale - wanted)?)?,
            )
        };
        Decimal::try_from_i128_with_scale(self.whole(numerator, denominator)?, places).ok()
    }

    /// A fraction to a whole number; `None` for a zero denominator.
    pub(crate) fn whole(self, numerator: i128, denominator: i128) -> Option<i128> {
        let (quotient, rest) = (numerator.checked_div(denominator)?, numerator.checked_rem(denominator)?);
        let negative = (numerator < 0) != (denominator < 0);
        let (rest, denominator) = (rest.unsigned_abs(), denominator.unsigned_abs());
        let away = match self {
            RoundingPolicy::HalfUp => rest >= denominator - rest && rest != 0,
            RoundingPolicy::Up => rest != 0 && !negative,
        };
        match (away, negative) {
            (false, _) => Some(quotient),
            (true, false) => quotient.checked_add(1),
            (true, true) => quotient.checked_sub(1),
        }
    }
}

/// A decimal as a whole number of 10^-`places`; `None` when it is finer or does not fit.
pub(super) fn rescaled(value: Decimal, places: u32) -> Option<i128> {
    let missing = places.checked_sub(value.scale())?;
    value.mantissa().checked_mul(10_i128.checked_pow(missing)?)
}
