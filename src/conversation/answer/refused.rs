//! What cannot be, and what it was taken for.

use chrono::NaiveTime;
use rust_decimal::Decimal;

use crate::{conversation::desk::Stop, language::ExtraKind, pricing};

/// What a figure was taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum What {
    /// How many.
    Count,
    /// Minutes.
    Minutes,
    /// Dollars for an hour.
    Rate,
    /// Dollars.
    Price,
    /// Dollars for material.
    Material,
    /// Dollars of a fee.
    Fee,
    /// The minimum.
    Minimum,
    /// What is taken off.
    Discount,
    /// Tax.
    Tax,
    /// A step of rounding.
    Step,
    /// Markup.
    Markup,
    /// People.
    Crew,
    /// A wage.
    Wage,
    /// Burden.
    Burden,
    /// Overhead.
    Overhead,
    /// Billable hours.
    Hours,
    /// Margin.
    Margin,
    /// Years of use.
    Years,
    /// Days that recordings are kept.
    RecordingDays,
    /// Money that came in.
    Payment,
    /// A chance.
    Chance,
    /// Degrees Fahrenheit.
    Temperature,
    /// Relative humidity.
    Humidity,
    /// Miles an hour.
    Wind,
    /// Decibels.
    Decibels,
    /// Pounds.
    Weight,
    /// Feet.
    Length,
    /// Kilovolts.
    Voltage,
    /// Seconds.
    Seconds,
    /// Days that an offer stands.
    OfferDays,
}

/// Why something cannot be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// A figure out of range.
    OutOfRange {
        /// What it was taken for.
        what: What,
        /// The figure.
        value: Decimal,
    },
    /// Minutes for something that is money.
    NotMinutes(ExtraKind),
    /// Money for something that is minutes.
    NotMoney(ExtraKind, Decimal),
    /// A time zone that is not on the public list.
    NoSuchZone(String),
    /// No piece of equipment, or more than one, is called so.
    NoSuchEquipment {
        /// As said.
        said: String,
        /// What there is.
        known: Vec<String>,
    },
    /// No USDA zone is called so.
    NoSuchHardinessZone(String),
    /// A price that cannot be worked out.
    Pricing(pricing::Refusal),
    /// A day that is not in the calendar.
    NoSuchDay,
    /// Days later than a day that was never fixed.
    NoDayYet,
    /// A time of day that is ahead, or before the work began.
    TimeDoesNotFit(NaiveTime),
    /// A break that would begin before the work or end before it begins.
    BreakDoesNotFit,
    /// Lines for clients: too many, or too long.
    ClientLines {
        /// Lines that fit.
        lines: usize,
        /// Letters that fit on one.
        letters: usize,
    },
    /// Of so many people all would have left.
    NobodyLeft(u32),
}

impl From<pricing::Refusal> for Stop {
    fn from(refusal: pricing::Refusal) -> Self {
        Stop::Refused(Refused::Pricing(refusal))
    }
}
