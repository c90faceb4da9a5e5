//! How many of something were counted.

use rust_decimal::Decimal;

use super::bounded::{bounded_decimal, decimal};

bounded_decimal! {
    /// Units counted (plants, feet, yards, bags, hours, jobs): more than nothing, at most 100,000, to four decimals;
    /// finer ones are rounded half up, so that a third of a yard is 0.3333.
    Quantity, least decimal(1, 4), greatest decimal(100_000, 0),
    places 4, written 0, finer Rounded
}

impl Quantity {
    /// One unit.
    pub const ONE: Quantity = Quantity(Decimal::ONE);
}
