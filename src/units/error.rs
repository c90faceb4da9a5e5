//! Why a value could not be made or computed: it is out of its range, finer than can be kept, or the result does not
//! fit.
//!
//! Every variant carries the values, with what they measure, so that whoever words the answer can name both operands.

use std::fmt;

use rust_decimal::Decimal;

/// What a figure measures, for naming it in a refusal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Measure {
    /// Dollars, in whole cents.
    Money,
    /// Dollars before their one rounding.
    UnroundedMoney,
    /// Dollars for each unit of a service.
    UnitPrice,
    /// Dollars for each man-hour.
    RatePerManHour,
    /// Dollars made for each man-hour; may be a loss.
    RateMade,
    /// Dollars that a man-hour costs.
    HourlyCost,
    /// Minutes worked times people working.
    ManMinutes,
    /// Minutes on the clock.
    Minutes,
    /// Hours worked times people working.
    ManHours,
    /// People.
    Crew,
    /// Units of a service.
    Quantity,
    /// Parts of a hundred.
    Percent,
    /// Years of use.
    Years,
    /// Days that something is kept.
    Days,
}

/// A figure with what it measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Figure {
    /// What it measures.
    pub measure: Measure,
    /// How much.
    pub value: Decimal,
}

/// The sign between two figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Operation {
    /// Addition.
    Plus,
    /// Subtraction.
    Minus,
    /// Multiplication.
    Times,
    /// Division.
    Over,
}

/// A value that cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// Below the least or above the greatest value of its kind.
    #[error("{figure} is outside {least} to {greatest}")]
    OutOfRange {
        /// The value refused.
        figure: Figure,
        /// The least value taken.
        least: Decimal,
        /// The greatest value taken.
        greatest: Decimal,
    },
    /// More decimals than its kind keeps.
    #[error("{figure} has more than {places} decimals")]
    TooFine {
        /// The value refused.
        figure: Figure,
        /// Decimals that are kept.
        places: u32,
    },
    /// The result of an operation is beyond what its kind holds.
    #[error("{left} {operation} {right} does not fit")]
    DoesNotFit {
        /// The left operand.
        left: Figure,
        /// What was to be done.
        operation: Operation,
        /// The right operand.
        right: Figure,
    },
    /// The right operand of a division is zero.
    #[error("{left} cannot be divided by zero {measure}")]
    DividedByZero {
        /// The left operand.
        left: Figure,
        /// What the zero measures.
        measure: Measure,
    },
    /// A text that is not a plain decimal number.
    #[error("not a number of {measure}")]
    NotANumber {
        /// What was to be read.
        measure: Measure,
    },
}

impl fmt::Display for Measure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Measure::Money => "dollars",
            Measure::UnroundedMoney => "dollars unrounded",
            Measure::UnitPrice => "dollars a unit",
            Measure::RatePerManHour => "dollars a man-hour",
            Measure::RateMade => "dollars made a man-hour",
            Measure::HourlyCost => "dollars cost a man-hour",
            Measure::ManMinutes => "man-minutes",
            Measure::Minutes => "minutes",
            Measure::ManHours => "man-hours",
            Measure::Crew => "people",
            Measure::Quantity => "units",
            Measure::Percent => "percent",
            Measure::Years => "years",
            Measure::Days => "days",
        })
    }
}

impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.value, self.measure)
    }
}

impl fmt::Display for Operation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Operation::Plus => "+",
            Operation::Minus => "-",
            Operation::Times => "x",
            Operation::Over => "/",
        })
    }
}
