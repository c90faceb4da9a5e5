//! Dollars for each unit of a service: finer than a cent where it must be (8.5 cents a square foot).

use rust_decimal::Decimal;

use super::bounded::{bounded_decimal, decimal};
use super::{Error, Money, Operation, Quantity, Unrounded};

bounded_decimal! {
    /// A price or a material cost for each unit, in dollars, not below zero, to four decimals.
    ///
    /// It becomes money only by a quantity:
    /// ```
    /// use tallyhand::units::{Money, Quantity, RoundingPolicy, UnitPrice};
    /// let price: UnitPrice = "0.085".parse()?;
    /// let feet: Quantity = "2000".parse()?;
    /// assert_eq!(price.checked_mul(feet)?.round(RoundingPolicy::HalfUp)?, Money::from_cents(170_00));
    /// # Ok::<(), tallyhand::units::Error>(())
    /// ```
    UnitPrice, least Decimal::ZERO, greatest decimal(10_000_000, 0),
    places 4, written 2, finer Refused
}

impl Default for UnitPrice {
    fn default() -> Self {
        Self::ZERO
    }
}

impl UnitPrice {
    /// Nothing.
    pub const ZERO: UnitPrice = UnitPrice(decimal(0, 2));

    /// Whether it is nothing.
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }

    /// The price of this many units, exactly.
    ///
    /// # Errors
    /// When the result is beyond what [`Unrounded`] holds.
    pub fn checked_mul(self, quantity: Quantity) -> Result<Unrounded, Error> {
        Unrounded::from_dollars_product(self.0, quantity.get()).ok_or_else(|| Error::DoesNotFit {
            left: self.figure(),
            operation: Operation::Times,
            right: quantity.figure(),
        })
    }
}

impl TryFrom<Money> for UnitPrice {
    type Error = Error;

    /// The same number of dollars, for each unit.
    ///
    /// # Errors
    /// When it is below zero or above the greatest unit price.
    fn try_from(money: Money) -> Result<Self, Self::Error> {
        UnitPrice::new(money.get())
    }
}
