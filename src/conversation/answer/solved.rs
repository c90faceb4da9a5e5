//! Sums worked backwards, as parts of an answer.

use rust_decimal::Decimal;

use super::{CostsShown, Remark};
use crate::{
    conversation::Counted,
    pricing,
    units::{Crew, ManMinutes, Minutes, Money, QuoteNo, RateMade, RatePerManHour, UnitPrice},
};

/// Something worked backwards: the figures that answer it, and the sum behind them.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// Dollars made for each man-hour.
    pub rate: Option<RateMade>,
    /// Man-minutes for one unit.
    pub minutes_each: Option<ManMinutes>,
    /// Man-minutes for the whole.
    pub man_minutes: Option<ManMinutes>,
    /// Dollars.
    pub price: Option<Money>,
    /// The sum.
    pub sum: SolveSum,
}

/// The sum behind something worked backwards.
#[derive(Debug, Clone, PartialEq)]
pub enum SolveSum {
    /// The rate that a quote's work makes at a price: (price - materials - fees) x 60 / man-minutes.
    QuoteRate {
        /// The quote.
        of: QuotePrice,
        /// Man-minutes now, or as supposed.
        man_minutes: ManMinutes,
        /// What was supposed of the time.
        supposed: Supposed,
        /// The rate aimed at.
        aim: RatePerManHour,
    },
    /// The rate that one unit makes at a price: (price - material) x 60 / minutes.
    UnitRate {
        /// Of what, when known.
        unit: Option<Counted>,
        /// The price of one.
        price_each: UnitPrice,
        /// The material in one, markup included.
        material: Money,
        /// The minutes of one.
        minutes_each: ManMinutes,
        /// What was supposed of the time.
        supposed: Supposed,
        /// The rate aimed at.
        aim: RatePerManHour,
    },
    /// The man-minutes that a price leaves for a quote's work: (price - materials - fees) x 60 / rate.
    QuoteMinutes {
        /// The quote.
        of: QuotePrice,
        /// The rate.
        rate: RatePerManHour,
        /// The time.
        time: pricing::solve::TimeForPrice,
        /// People.
        crew: Crew,
    },
    /// The minutes that a price leaves for one unit: (price - material) x 60 / rate.
    UnitMinutes {
        /// Of what, when known.
        unit: Option<Counted>,
        /// The price of one.
        price_each: UnitPrice,
        /// The material in one, markup included.
        material: Money,
        /// The rate.
        rate: RatePerManHour,
        /// The minutes of one on the list or the quote, when known.
        now: Option<ManMinutes>,
    },
    /// A quote at other rates, each with its total and what the work makes.
    Rates {
        /// The quote.
        no: QuoteNo,
        /// What is counted on it.
        lines: Vec<Counted>,
        /// Each rate with the quote at it.
        rows: Vec<(RatePerManHour, pricing::Quote)>,
        /// The price before tax as it stands, with the rate that it makes.
        now: (Money, Option<RateMade>),
    },
    /// The price that makes the rate with a chance: allowed man-minutes / 60 x rate + materials + fees.
    Chance {
        /// The quote, with that price.
        of: QuotePrice,
        /// The chance, 0 to 1.
        chance: Decimal,
        /// What the work takes no more than that often.
        allowed: ManMinutes,
        /// The rate.
        rate: RatePerManHour,
    },
    /// The cost build-up.
    BreakEven(CostsShown),
}

/// A quote with a price to work backwards from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuotePrice {
    /// Which.
    pub no: QuoteNo,
    /// Where.
    pub place: Option<String>,
    /// The price before tax.
    pub price: Money,
    /// Material in it, markup included.
    pub materials: Money,
    /// Fees in it.
    pub fees: Money,
}

/// What was supposed of the time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Supposed {
    /// Nothing: it is the book's.
    Nothing,
    /// This long on the clock, for so many people.
    Elapsed {
        /// Minutes on the clock.
        minutes: Minutes,
        /// People.
        crew: Crew,
        /// The ends, when a range was said.
        range: Option<Remark>,
    },
    /// So many man-minutes in all.
    ManMinutes {
        /// The ends, when a range was said.
        range: Option<Remark>,
    },
    /// So many minutes for each unit.
    Each {
        /// Of what.
        unit: Counted,
        /// Minutes.
        minutes: ManMinutes,
        /// The ends, when a range was said.
        range: Option<Remark>,
    },
}
