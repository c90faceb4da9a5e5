//! One shape for every number with a unit: a private decimal, a constructor that checks range and fineness, and the way
//! back to text. The arithmetic is not here: each unit says for itself what may be done with it.

use rust_decimal::Decimal;

use super::{Error, Figure, Measure, RoundingPolicy};

/// What becomes of a value with more decimals than are kept.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Finer {
    /// It is a mistake.
    Refused,
    /// It may come from a division (a third of a yard): half up.
    Rounded,
}

/// What a number with a unit may be.
#[derive(Clone, Copy)]
pub(super) struct Bounds {
    pub(super) measure: Measure,
    pub(super) least: Decimal,
    pub(super) greatest: Decimal,
    /// Decimals that are kept.
    pub(super) places: u32,
    pub(super) finer: Finer,
    /// Decimals that are always written (two for dollars).
    pub(super) written: u32,
}

impl Bounds {
    /// The value with no more zeros behind it than are always written, if it lies in the range and is not too fine.
    pub(super) fn check(self, value: Decimal) -> Result<Decimal, Error> {
        let (least, greatest, places) = (self.least, self.greatest, self.places);
        let figure = Figure {
            measure: self.measure,
            value,
        };
        if value < least || value > greatest {
            return Err(Error::OutOfRange {
                figure,
                least,
                greatest,
            });
        }
        let mut value = value;
        if value.scale() > places && self.finer == Finer::Rounded {
            value = RoundingPolicy::HalfUp.places(value, places);
        }
        if value.scale() > self.written {
            value = value.normalize();
        }
        if value.scale() > places {
            return Err(Error::TooFine { figure, places });
        }
        if value.scale() < self.written {
            value.rescale(self.written);
        }
        Ok(value)
    }
}

/// A decimal constant: `number` x 10^-`scale`.
pub(super) const fn decimal(number: i64, scale: u32) -> Decimal {
    let magnitude = number.unsigned_abs();
    Decimal::from_parts(magnitude as u32, (magnitude >> 32) as u32, 0, number < 0, scale)
}

/// Reads a plain decimal number (`12`, `-3.5`): nothing that would have to be shortened to fit.
pub(super) fn read(measure: Measure, text: &str) -> Result<Decimal, Error> {
    Decimal::from_str_exact(text).map_err(|_| Error::NotANumber { measure })
}

/// Declares a number with a unit; see the module header.
macro_rules! bounded_decimal {
    (
        $(#[$doc:meta])* $name:ident, least $least:expr, greatest $greatest:expr,
        places $places:expr, written $written:expr, finer $finer:ident
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub struct $name(rust_decimal::Decimal);

        impl $name {
            /// The least value that can be made.
            pub const LEAST: rust_decimal::Decimal = $least;
            /// The greatest value that can be made.
            pub const GREATEST: rust_decimal::Decimal = $greatest;
            /// How many decimals are kept.
            pub const PLACES: u32 = $places;

            const BOUNDS: $crate::units::bounded::Bounds = $crate::units::bounded::Bounds {
                measure: $crate::units::Measure::$name,
                least: Self::LEAST,
                greatest: Self::GREATEST,
                places: Self::PLACES,
                written: $written,
                finer: $crate::units::bounded::Finer::$finer,
            };

            /// Checks range and fineness. Nothing is rounded, but where the type says so.
            ///
            /// # Errors
            /// Outside [`Self::LEAST`] to [`Self::GREATEST`]; with more than [`Self::PLACES`] decimals, where those are
            /// not rounded.
            pub fn new(value: rust_decimal::Decimal) -> Result<Self, $crate::units::Error> {
                Self::BOUNDS.check(value).map(Self)
            }

            /// The bare number.
            pub fn get(self) -> rust_decimal::Decimal {
                self.0
            }

            /// The number with what it measures, for an error that names it.
            #[allow(dead_code, reason = "not every unit is an operand of something that can fail")]
            pub(in crate::units) fn figure(self) -> $crate::units::Figure {
                $crate::units::Figure { measure: $crate::units::Measure::$name, value: self.0 }
            }
        }

        impl std::fmt::Display for $name {
            /// Writes the bare number: never cut, never rounded.
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(f)
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::units::Error;

            /// Reads a plain decimal number.
            ///
            /// # Errors
            /// When the text is no plain decimal number, or the number is refused by [`Self::new`].
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                Self::new($crate::units::bounded::read($crate::units::Measure::$name, text)?)
            }
        }
    };
}

pub(super) use bounded_decimal;
