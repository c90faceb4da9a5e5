//! The sum, told step by step: what was put together, by which rule, with what result. Values only; the words for them
//! are made elsewhere. Each rule leaves its own steps while it computes, so the telling cannot differ from the sum.

use super::quote::ExtraWhat;
use super::sheet::{FeeKind, Material, Step};
use crate::units::{Crew, ManMinutes, Minutes, Money, Percent, Quantity, RateMade, RatePerManHour, UnitPrice};

/// One step of the sum. `line` is an index into the quote's lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SumStep {
    /// quantity x minutes each = man-minutes (only the man-minutes where they were said for the whole line).
    LineWork {
        /// Which line.
        line: usize,
        /// Units.
        quantity: Quantity,
        /// Man-minutes for one unit, where they were said so.
        minutes_each: Option<ManMinutes>,
        /// Man-minutes for the line.
        man_minutes: ManMinutes,
    },
    /// man-minutes / 60 x rate + material = price, rounded once, half up at the cent.
    LinePrice {
        /// Which line.
        line: usize,
        /// Man-minutes for the line.
        man_minutes: ManMinutes,
        /// The rate of the line.
        rate: RatePerManHour,
        /// quantity x material each, with its markup, when there is any.
        material: Option<(Quantity, Material)>,
        /// The result.
        price: Money,
    },
    /// quantity x fixed price = price.
    LineFixed {
        /// Which line.
        line: usize,
        /// Units.
        quantity: Quantity,
        /// The fixed price.
        price_each: UnitPrice,
        /// The result.
        price: Money,
    },
    /// man-minutes / 60 x rate = price, half up at the cent.
    ExtraWork {
        /// Set-up, haul or drive.
        what: ExtraWhat,
        /// Its work.
        man_minutes: ManMinutes,
        /// The quote's rate.
        rate: RatePerManHour,
        /// The result.
        price: Money,
    },
    /// A fee added.
    Fee {
        /// Which.
        what: FeeKind,
        /// How much.
        price: Money,
    },
    /// sum + lift = minimum.
    Minimum {
        /// The sum so far.
        sum: Money,
        /// The account's minimum.
        minimum: Money,
        /// What was added.
        lift: Money,
    },
    /// sum + change = a multiple of the step.
    Rounding {
        /// The sum so far.
        sum: Money,
        /// The account's step.
        step: Step,
        /// What was added, or taken off when below zero.
        change: Money,
        /// The result.
        rounded: Money,
    },
    /// sum + change = the price said.
    PriceSaid {
        /// The sum so far.
        sum: Money,
        /// What was added, or taken off when below zero.
        change: Money,
        /// The price said.
        price: Money,
    },
    /// lines + extras = subtotal.
    Subtotal(Money),
    /// what is left so far - discount = price before tax; once for each thing taken off.
    Discount {
        /// The subtotal, or what is left of it.
        subtotal: Money,
        /// The percentage, when one was said.
        percent: Option<Percent>,
        /// What is taken off.
        discount: Money,
        /// The result.
        price_before_tax: Money,
    },
    /// percent of an amount = tax, half up at the cent.
    Tax {
        /// What is taxed: the price before tax, or the material in it.
        taxed: Money,
        /// Whether only the material is taxed.
        materials_only: bool,
        /// The percentage.
        percent: Percent,
        /// The result.
        tax: Money,
    },
    /// price before tax + tax = total.
    Total {
        /// Price before tax.
        price_before_tax: Money,
        /// Tax.
        tax: Money,
        /// The result.
        total: Money,
    },
    /// man-minutes / crew = elapsed minutes.
    Elapsed {
        /// All work.
        man_minutes: ManMinutes,
        /// People.
        crew: Crew,
        /// The result.
        elapsed: Minutes,
    },
    /// (price before tax - materials - fees) x 60 / man-minutes = rate made.
    RateMade {
        /// Price before tax.
        price_before_tax: Money,
        /// Material, markup included.
        materials: Money,
        /// Fees.
        fees: Money,
        /// All work.
        man_minutes: ManMinutes,
        /// The result.
        rate: RateMade,
    },
}
