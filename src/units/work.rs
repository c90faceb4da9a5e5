//! Time: minutes on the clock, and man-minutes of work. One becomes the other only by way of a crew.
//!
//! ```
//! use tallyhand::units::{Crew, ManMinutes, Minutes};
//! let on_the_clock: Minutes = "40".parse()?;
//! assert_eq!(on_the_clock.checked_by(Crew::new(2)?)?, "80".parse::<ManMinutes>()?);
//! # Ok::<(), tallyhand::units::Error>(())
//! ```

use std::{fmt, str::FromStr};

use rust_decimal::Decimal;

use super::bounded::{self, bounded_decimal, decimal};
use super::rounding::RoundingPolicy;
use super::{Error, Figure, Measure, Operation, Quantity};

/// Seconds in a minute.
const SIXTY: Decimal = decimal(60, 0);
/// The greatest time, in seconds.
const GREATEST_SECONDS: Decimal = decimal(600_000_000_000, 0);
/// Decimals of a second that are kept of a figure that comes in.
const SECOND_PLACES: u32 = 6;
/// Decimals of a figure that is shown beside the exact one.
const SHOWN_PLACES: u32 = 2;

/// Declares a time: minutes to whoever uses it, held in seconds.
macro_rules! time {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        ///
        /// Held in seconds, so that a third of a minute (20 seconds a foot) is as exact as a half.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
        pub struct $name(Decimal);

        impl $name {
            /// No time.
            pub const ZERO: $name = $name(Decimal::ZERO);
            /// The least value that can be made, in minutes.
            pub const LEAST: Decimal = Decimal::ZERO;
            /// The greatest value that can be made, in minutes.
            pub const GREATEST: Decimal = decimal(10_000_000_000, 0);

            /// Decimals of a minute that are written; two different microseconds are never written alike.
            pub const PLACES: u32 = 8;

            /// This many minutes, kept to the microsecond, half up: what was divided from whole seconds, and cut to the
            /// digits of a decimal, is whole seconds again.
            ///
            /// # Errors
            /// Outside [`Self::LEAST`] to [`Self::GREATEST`], or so little that nothing would be left of it.
            pub fn new(minutes: Decimal) -> Result<Self, Error> {
                let figure = Figure { measure: Measure::$name, value: minutes };
                let (least, greatest) = (Self::LEAST, Self::GREATEST);
                if minutes < least || minutes > greatest {
                    return Err(Error::OutOfRange { figure, least, greatest });
                }
                let seconds = RoundingPolicy::HalfUp.product_over(minutes, SIXTY, Decimal::ONE, SECOND_PLACES);
                match seconds {
                    Some(seconds) if !seconds.is_zero() || minutes.is_zero() => Ok($name(seconds.normalize())),
                    _ => Err(Error::TooFine { figure, places: Self::PLACES }),
                }
            }

            /// The minutes, to eight decimals, half up, without zeros behind them. Reading them gives the same time
            /// again, if that is of whole microseconds.
            pub fn get(self) -> Decimal {
                RoundingPolicy::HalfUp
                    .product_over(self.0, Decimal::ONE, SIXTY, Self::PLACES)
                    .expect("minutes are fewer than seconds")
                    .normalize()
            }

            /// Whether it is no time.
            pub fn is_zero(self) -> bool {
                self.0.is_zero()
            }

            /// The minutes with what they measure, for an error that names them.
            pub(super) fn figure(self) -> Figure {
                Figure { measure: Measure::$name, value: self.get() }
            }
        }

        impl fmt::Display for $name {
            /// Writes the minutes, as [`Self::get`] gives them.
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.get().fmt(f)
            }
        }

        impl FromStr for $name {
            type Err = Error;

            /// Reads minutes as a plain decimal number.
            ///
            /// # Errors
            /// When the text is no plain decimal number, or the number is refused by [`Self::new`].
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                Self::new(bounded::read(Measure::$name, text)?)
            }
        }
    };
}

time! {
    /// Work: minutes worked times people working. Of one unit, of a line or of a whole job; not below zero.
    ManMinutes
}

time! {
    /// Minutes on the clock, not below zero.
    Minutes
}

bounded_decimal! {
    /// Man-hours that can be billed in some stretch of time: more than none.
    ManHours, least decimal(1, 4), greatest decimal(100_000_000, 0),
    places 4, written 0, finer Refused
}

bounded_decimal! {
    /// Years of use: more than none, at most 100, to two decimals.
    Years, least decimal(1, 2), greatest decimal(100, 0),
    places 2, written 0, finer Refused
}

bounded_decimal! {
    /// Days that something is kept: none, or whole days up to ten years.
    Days, least decimal(0, 0), greatest decimal(3_653, 0),
    places 0, written 0, finer Refused
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
    /// The work of a crew in this time.
    ///
    /// # Errors
    /// When the work is out of range.
    pub fn checked_by(self, crew: Crew) -> Result<ManMinutes, Error> {
        let refusal = || Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Times,
            right: crew.figure(),
        };
        ManMinutes::kept(self.0.checked_mul(Decimal::from(crew.get())), refusal)
    }
}

impl ManMinutes {
    /// Decimals of a second that are kept of a figure that comes in.
    pub(super) const SECOND_PLACES: u32 = SECOND_PLACES;
    /// Decimals of a second that a computed figure may have.
    const FINEST_SECOND_PLACES: u32 = SECOND_PLACES + Quantity::PLACES;

    /// The work of this many seconds of one person.
    pub(super) fn from_seconds(seconds: Decimal) -> Result<ManMinutes, Error> {
        Self::kept(Some(seconds), || {
            let value = seconds.checked_div(SIXTY).unwrap_or(seconds);
            let figure = Figure {
                measure: Measure::ManMinutes,
                value,
            };
            Error::OutOfRange {
                figure,
                least: Self::LEAST,
                greatest: Self::GREATEST,
            }
        })
    }

    /// A computed figure in seconds: refused out of range, or finer than one multiplication by a quantity makes it.
    fn kept(seconds: Option<Decimal>, refusal: impl FnOnce() -> Error) -> Result<ManMinutes, Error> {
        let mut seconds = seconds.filter(|seconds| *seconds >= Decimal::ZERO && *seconds <= GREATEST_SECONDS);
        if let Some(fine) = seconds.filter(|seconds| seconds.scale() > Self::FINEST_SECOND_PLACES) {
            seconds = Some(fine.normalize()).filter(|seconds| seconds.scale() <= Self::FINEST_SECOND_PLACES);
        }
        seconds.map(ManMinutes).ok_or_else(refusal)
    }

    /// The work in seconds of one person.
    pub(super) fn seconds(self) -> Decimal {
        self.0
    }

    /// The work of both.
    ///
    /// # Errors
    /// When the sum is out of range.
    pub fn checked_add(self, other: ManMinutes) -> Result<ManMinutes, Error> {
        let refusal = || Error::DoesNotFit {
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
        let refusal = || Error::DoesNotFit {
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
    /// When the work is out of range, or would need more than ten decimals of a second (a figure that was multiplied
    /// by a broken quantity before).
    pub fn checked_mul(self, quantity: Quantity) -> Result<ManMinutes, Error> {
        let refusal = || Error::DoesNotFit {
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
        let refusal = || Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Over,
            right: quantity.figure(),
        };
        let seconds_a_minute = quantity.get().checked_mul(SIXTY).ok_or_else(refusal)?;
        let each = RoundingPolicy::HalfUp.product_over(self.0, Decimal::ONE, seconds_a_minute, SHOWN_PLACES);
        ManMinutes::new(each.ok_or_else(refusal)?)
    }

    /// This work's share of `whole` where all the work together is `all`: whole x this / all, half up at the
    /// microsecond.
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
        let refusal = || Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Times,
            right: whole.figure(),
        };
        let share = RoundingPolicy::HalfUp.product_over(self.0, whole.0, all.0, SECOND_PLACES);
        ManMinutes::kept(share, refusal)
    }

    /// The time on the clock for a crew, half up at the hundredth.
    ///
    /// # Errors
    /// When the time is out of range.
    pub fn checked_elapsed(self, crew: Crew) -> Result<Minutes, Error> {
        let refusal = || Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Over,
            right: crew.figure(),
        };
        let seconds_a_minute = SIXTY.checked_mul(crew.get().into()).ok_or_else(refusal)?;
        let elapsed = RoundingPolicy::HalfUp.product_over(self.0, Decimal::ONE, seconds_a_minute, SHOWN_PLACES);
        Minutes::new(elapsed.ok_or_else(refusal)?)
    }
}
