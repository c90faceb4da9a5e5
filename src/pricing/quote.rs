//! A finished price: figures as shown, that add up by hand.

use super::explain::SumStep;
use super::sheet::{Basis, FeeKind};
use crate::units::{Crew, ManMinutes, Minutes, Money, Quantity, RateMade, RatePerManHour, Unit, UnitPrice};

/// A price, with all that is shown of it.
///
/// Invariants: the prices of `lines` and `extras` add up to `subtotal`; `subtotal` - `discount` = `price_before_tax`;
/// `price_before_tax` + `tax` = `total`; the man-minutes of `lines` and `extras` add up to `man_minutes`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quote {
    /// The counted lines, in the sheet's order.
    pub lines: Vec<QuoteLine>,
    /// Everything else in the subtotal, in the order applied.
    pub extras: Vec<Extra>,
    /// People who will work.
    pub crew: Crew,
    /// All work, exact.
    pub man_minutes: ManMinutes,
    /// Time on the clock for the crew, half up at the hundredth.
    pub elapsed_minutes: Minutes,
    /// The quote's rate.
    pub rate: RatePerManHour,
    /// Material in the lines, markup included.
    pub materials: Money,
    /// Fees in the extras.
    pub fees: Money,
    /// Lines and extras together.
    pub subtotal: Money,
    /// What is taken off.
    pub discount: Money,
    /// Subtotal less discount.
    pub price_before_tax: Money,
    /// Tax.
    pub tax: Money,
    /// What the client pays.
    pub total: Money,
    /// What the work makes: (price before tax - materials - fees) x 60 / man-minutes. `None` without work.
    pub rate_made: Option<RateMade>,
    /// By how much the price before tax lies below the account's minimum, when a discount or a price said took it
    /// there.
    pub short_of_minimum: Option<Money>,
    pub(super) steps: Vec<SumStep>,
}

/// One counted line of a quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteLine {
    /// The kind of work.
    pub service: String,
    /// Its size.
    pub size: Option<String>,
    /// What one unit is.
    pub unit: Unit,
    /// How many units.
    pub quantity: Quantity,
    /// Man-minutes for one unit; the whole shared out, half up at the hundredth, where only the whole was said.
    pub minutes_each: ManMinutes,
    /// Man-minutes for the line, exact.
    pub man_minutes: ManMinutes,
    /// The rate of the line.
    pub rate: RatePerManHour,
    /// The price of one unit, half up at the cent (finer below ten cents), from the line before its rounding, for showing;
    /// a fixed price as it was said.
    pub unit_price: UnitPrice,
    /// The price of the line, material included.
    pub price: Money,
    /// The material in it, markup included.
    pub material: Money,
    /// Whether the price for each unit was fixed.
    pub fixed_price: bool,
    /// What the line makes: (price - material) x 60 / man-minutes. `None` without work.
    pub rate_made: Option<RateMade>,
    /// Where the minutes came from.
    pub basis: Basis,
}

/// A part of the subtotal that was not counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Extra {
    /// What it is.
    pub what: ExtraWhat,
    /// Its work, for those that are work.
    pub man_minutes: Option<ManMinutes>,
    /// Its price; an adjustment may be below zero.
    pub price: Money,
}

/// What an extra is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ExtraWhat {
    /// Set-up.
    SetUp,
    /// Hauling.
    Haul,
    /// Driving.
    Drive,
    /// A fee.
    Fee(FeeKind),
    /// The lift to the minimum.
    Minimum,
    /// Rounding to the step.
    Rounding,
    /// What brings the sum to the price said.
    PriceSaid,
}

impl ExtraWhat {
    /// What the trade calls it; the name that answers and files carry.
    pub fn name(self) -> &'static str {
        match self {
            ExtraWhat::SetUp => "set-up",
            ExtraWhat::Haul => "haul",
            ExtraWhat::Drive => "drive",
            ExtraWhat::Fee(FeeKind::DumpFee) => "dump fee",
            ExtraWhat::Minimum => "minimum",
            ExtraWhat::Rounding => "rounding",
            ExtraWhat::PriceSaid => "price said",
        }
    }
}

impl Quote {
    /// The whole sum, step by step, as it was computed.
    pub fn explain(&self) -> &[SumStep] {
        &self.steps
    }
}
