//! Dollars for each man-hour: the rate that is charged, and the rate that was made.
//!
//! They are two types because a rate made can be a loss, and because nothing may be priced with it by accident.

use super::bounded::{bounded_decimal, decimal};
use super::rounding::RoundingPolicy;
use super::{Error, ManMinutes, Operation, Unrounded};

bounded_decimal! {
    /// Dollars charged for each man-hour: more than nothing, at most 10,000. Said in dollars and cents; a rate worked
    /// backwards from a price keeps eight decimals, so that the price comes out again to the cent.
    RatePerManHour, least decimal(1, 8), greatest decimal(10_000, 0),
    places 8, written 2, finer Refused
}

bounded_decimal! {
    /// Dollars made for each man-hour, eight decimals; below zero it is a loss.
    RateMade, least decimal(-1_000_000_000_000_000, 0), greatest decimal(1_000_000_000_000_000, 0),
    places 8, written 2, finer Refused
}

impl RatePerManHour {
    /// What this work costs at this rate, exactly.
    ///
    /// # Errors
    /// When the result is beyond what [`Unrounded`] holds.
    pub fn checked_mul(self, work: ManMinutes) -> Result<Unrounded, Error> {
        Unrounded::from_seconds_product(self.0, work.seconds()).ok_or_else(|| Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Times,
            right: work.figure(),
        })
    }

    /// The rate to the cent, half up; a rate below half a cent has none.
    ///
    /// # Errors
    /// When nothing is left of it.
    pub fn to_cents(self) -> Result<RatePerManHour, Error> {
        RatePerManHour::new(RoundingPolicy::HalfUp.places(self.0, 2))
    }
}

impl RateMade {
    /// The rate to the cent, half up, for showing.
    pub fn to_cents(self) -> RateMade {
        RateMade(RoundingPolicy::HalfUp.places(self.0, 2))
    }

    /// The same figure as a rate to charge.
    ///
    /// # Errors
    /// When it is a loss, nothing, or above the greatest rate.
    pub fn to_charge(self) -> Result<RatePerManHour, Error> {
        RatePerManHour::new(self.0)
    }
}

impl From<RatePerManHour> for RateMade {
    fn from(rate: RatePerManHour) -> Self {
        RateMade(rate.0)
    }
}
