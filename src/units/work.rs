//! Time: minutes on the clock, and man-minutes of work. One becomes the other only by way of a crew.
//!
//! ```
//! use tallyhand::units::{Crew, ManMinutes, Minutes};
//! let on_the_clock: Minutes = "40".parse()?;
//! assert_eq!(on_the_clock.checked_by(Crew::new(2)?)?, "80".parse::<ManMinutes>()?);
//! # Ok::<(), tallyhand::units::Error>(())
//! ```

use std::fmt;

use rust_decimal::Decimal;

use super::bounded::{bounded_decimal, decimal};
use super::rounding::RoundingPolicy;
use super::{Error, Figure, Measure, Operation, Quantity};

bounded_decimal! {
    /// Work: minutes worked times people working. Of one unit, of a line or of a whole job; not below zero.
    ///
    /// A figure that comes in has at most eight decimals; one that was multiplied by a quantity may have twelve.
    #[derive(Default)]
    ManMinutes, least Decimal::ZERO, greatest decimal(10_000_000_000, 0), places 8, written 0
}

bounded_decimal! {
    /// Minutes on the clock, not below zero.
    #[derive(Default)]
    Minutes, least Decimal::ZERO, greatest decimal(10_000_000_000, 0), places 8, written 0
}

bounded_decimal! {
    /// Man-hours that can be billed in some stretch of time: more than none.
    ManHours, least decimal(1, 4), greatest decimal(100_000_000, 0), places 4, written 0
}

bounded_decimal! {
    /// Years of use: more than none, at most 100, to two decimals.
    Years, least decimal(1, 2), greatest decimal(100, 0), places 2, written 0
}

/// People working together, 1 to 1,000.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Crew(u32);

impl Crew {
    /// The largest crew taken.
    pub const GREATEST: u32 = 1_000;
    /// One person.
    pub const ONE: Crew = Crew(1);

    /// This many people.
    ///
    /// # Errors
    /// For none, or more than [`Crew::GREATEST`].
    pub fn new(people: u32) -> Result<Self, Error> {
        if people == 0 || people > Self::GREATEST {
            return Err(Error::OutOfRange {
                figure: Figure {
                    measure: Measure::Crew,
                    value: people.into(),
                },
                least: Decimal::ONE,
                greatest: Self::GREATEST.into(),
            });
        }
        Ok(Crew(people))
    }

    /// How many people.
    pub fn get(self) -> u32 {
        self.0
    }

    fn figure(self) -> Figure {
        Figure {
            measure: Measure::Crew,
            value: self.0.into(),
        }
    }
}

impl fmt::Display for Crew {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl Minutes {
    /// No time.
    pub const ZERO: Minutes = Minutes(Decimal::ZERO);

    /// The work of a crew in this time.
    ///
    /// # Errors
    /// When the work is out of range.
    pub fn checked_by(self, crew: Crew) -> Result<ManMinutes, Error> {
        let refusal = Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Times,
            right: crew.figure(),
        };
        ManMinutes::kept(self.0.checked_mul(Decimal::from(crew.get())), refusal)
    }
}

impl ManMinutes {
    /// No work.
    pub const ZERO: ManMinutes = ManMinutes(Decimal::ZERO);

    /// Whether it is no work.
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }

    /// The work of both.
    ///
    /// # Errors
    /// When the sum is out of range.
    pub fn checked_add(self, other: ManMinutes) -> Result<ManMinutes, Error> {
        let refusal = Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Plus,
            right: other.figure(),
        };
        ManMinutes::kept(self.0.checked_add(other.0), refusal)
    }

    /// The work left when the other is taken away.
    ///
    /// # Errors
    /// When less than nothing would be left.
    pub fn checked_sub(self, other: ManMinutes) -> Result<ManMinutes, Error> {
        let refusal = Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Minus,
            right: other.figure(),
        };
        ManMinutes::kept(self.0.checked_sub(other.0), refusal)
    }

    /// The work of many parts; none for none.
    ///
    /// # Errors
    /// When a sum on the way is out of range.
    pub fn checked_sum(parts: impl IntoIterator<Item = ManMinutes>) -> Result<ManMinutes, Error> {
        parts.into_iter().try_fold(ManMinutes::ZERO, ManMinutes::checked_add)
    }

    /// The work of this many units that take this long each, exactly.
    ///
    /// # Errors
    /// When the work is out of range.
    pub fn checked_mul(self, quantity: Quantity) -> Result<ManMinutes, Error> {
        let refusal = Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Times,
            right: quantity.figure(),
        };
        ManMinutes::kept(self.0.checked_mul(quantity.get()), refusal)
    }

    /// The work of each unit, half up at the hundredth: only to be shown beside the whole.
    ///
    /// # Errors
    /// When the work is out of range.
    pub fn checked_each(self, quantity: Quantity) -> Result<ManMinutes, Error> {
        let refusal = Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Over,
            right: quantity.figure(),
        };
        let each = RoundingPolicy::HalfUp.product_over(self.0, Decimal::ONE, quantity.get(), SHOWN_PLACES);
        ManMinutes::kept(each, refusal)
    }

    /// This work's share of `whole` where all the work together is `all`: whole x this / all, half up at the eighth
    /// decimal.
    ///
    /// # Errors
    /// When there is no work at all, or the share is out of range.
    pub fn checked_share(self, whole: ManMinutes, all: ManMinutes) -> Result<ManMinutes, Error> {
        if all.is_zero() {
            return Err(Error::DividedByZero {
                left: self.figure(),
                measure: Measure::ManMinutes,
            });
        }
        let refusal = Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Times,
            right: whole.figure(),
        };
        let share = RoundingPolicy::HalfUp.product_over(self.0, whole.0, all.0, ManMinutes::PLACES);
        ManMinutes::kept(share, refusal)
    }

    /// The time on the clock for a crew, half up at the hundredth.
    ///
    /// # Errors
    /// When the time is out of range.
    pub fn checked_elapsed(self, crew: Crew) -> Result<Minutes, Error> {
        let refusal = Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Over,
            right: crew.figure(),
        };
        let people = Decimal::from(crew.get());
        let elapsed = RoundingPolicy::HalfUp.product_over(self.0, Decimal::ONE, people, SHOWN_PLACES);
        Minutes::new(elapsed.ok_or(refusal)?)
    }

    /// A computed figure: range checked, and as fine as a quantity's decimals make it.
    fn kept(result: Option<Decimal>, refusal: Error) -> Result<ManMinutes, Error> {
        match result {
            Some(value) if value >= Self::LEAST && value <= Self::GREATEST => Ok(ManMinutes(value.normalize())),
            _ => Err(refusal),
        }
    }
}

/// Decimals of a figure that is shown beside the exact one.
const SHOWN_PLACES: u32 = 2;
