//! What an hour of work costs the business: a wage, an overhead, a break-even. Never charged by itself.

use super::bounded::{bounded_decimal, decimal};
use super::{Error, RatePerManHour};

bounded_decimal! {
    /// Dollars that one man-hour costs, not below zero, eight decimals.
    HourlyCost, least decimal(0, 0), greatest decimal(1_000_000, 0),
    places 8, written 2, finer Refused
}

impl HourlyCost {
    /// Nothing.
    pub const ZERO: HourlyCost = HourlyCost(decimal(0, 2));

    /// The rate that just covers it.
    ///
    /// # Errors
    /// When it is nothing, or above the greatest rate.
    pub fn to_charge(self) -> Result<RatePerManHour, Error> {
        RatePerManHour::new(self.0)
    }
}
