//! Why a price, a backwards sum or a cost build-up cannot be made from what was given. Values only: whoever answers the
//! owner words them.

use crate::units::{self, Money, Percent};

/// Something asked for that has no sensible answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// The sheet has no lines.
    #[error("nothing is counted")]
    NothingCounted,
    /// A percentage that its use does not allow.
    #[error("{of:?} of {percent} percent is outside {least} to {greatest}")]
    PercentOutOfRange {
        /// What it was for.
        of: PercentOf,
        /// The percentage.
        percent: Percent,
        /// The least that is taken.
        least: u32,
        /// The greatest that is taken.
        greatest: u32,
    },
    /// An amount below zero where none makes sense.
    #[error("{of:?} of {amount} is below zero")]
    BelowZero {
        /// What it was for.
        of: AmountOf,
        /// The amount.
        amount: Money,
    },
    /// A step of rounding that is not above zero.
    #[error("prices cannot be rounded to {0}")]
    StepNotAboveZero(Money),
    /// More is taken off than there is.
    #[error("a discount of {discount} is more than {subtotal}")]
    DiscountAbovePrice {
        /// What was to be taken off.
        discount: Money,
        /// What there is.
        subtotal: Money,
    },
    /// A rate is asked for where no work is.
    #[error("there is no work to make a rate")]
    NoWork,
    /// Material and fees leave nothing of the price for work.
    #[error("{price} leaves nothing for work after materials {materials} and fees {fees}")]
    NothingForWork {
        /// The price before tax.
        price: Money,
        /// Material, markup included.
        materials: Money,
        /// Fees.
        fees: Money,
    },
    /// A line that the quote does not have.
    #[error("there is no line {0}")]
    NoSuchLine(usize),
    /// A margin of the whole price or more, which no price can give.
    #[error("no price gives a margin of {0} percent")]
    MarginWithoutPrice(Percent),
    /// A figure that the cost build-up needs and does not have.
    #[error("{0:?} is missing")]
    CostMissing(CostPart),
    /// A value that does not fit.
    #[error(transparent)]
    Value(#[from] units::Error),
}

/// What a percentage is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PercentOf {
    /// A discount.
    Discount,
    /// Tax.
    Tax,
    /// Markup, on material or on cost.
    Markup,
    /// Labour burden.
    Burden,
    /// Margin.
    Margin,
}

/// What an amount is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AmountOf {
    /// A fee.
    Fee,
    /// The minimum.
    Minimum,
    /// A discount.
    Discount,
    /// A price.
    Price,
    /// Overhead.
    Overhead,
    /// The price of a piece of equipment.
    Equipment,
}

/// A figure of the cost build-up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CostPart {
    /// Wage.
    Wage,
    /// Billable hours.
    BillableHours,
}

/// Refuses a percentage outside `least` to `greatest`.
pub(super) fn check_percent(of: PercentOf, percent: Percent, least: u32, greatest: u32) -> Result<(), Refusal> {
    let value = percent.get();
    if value < least.into() || value > greatest.into() {
        return Err(Refusal::PercentOutOfRange {
            of,
            percent,
            least,
            greatest,
        });
    }
    Ok(())
}

/// Refuses an amount below zero.
pub(super) fn check_not_below_zero(of: AmountOf, amount: Money) -> Result<(), Refusal> {
    if amount.is_negative() {
        Err(Refusal::BelowZero { of, amount })
    } else {
        Ok(())
    }
}
