//! What was measured of each class over time, and what was believed after each job or sitting: the points of a plot.
//!
//! A job of several classes gives each of them the share of its time that the model lays to it, so its figures are
//! estimates; a job of one class and a reading are measurements. A point is never changed by what comes later.

use rust_decimal::Decimal;

use crate::units::Timestamp;

/// The name of a class: kind and size.
pub(super) type ClassName = (String, Option<String>);

/// One job or one sitting with the stopwatch, as one class saw it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CoursePoint {
    /// When.
    pub at: Timestamp,
    /// What gave the figures.
    pub from: TimedFrom,
    /// Man-minutes for one: a figure for each reading, or one for a job, to the hundredth.
    pub each: Vec<Decimal>,
    /// How many were done or timed.
    pub units: Decimal,
    /// Man-minutes for one, believed after it.
    pub mean: Decimal,
    /// One time in ten the true figure is below.
    pub low: Decimal,
    /// One time in ten it is above.
    pub high: Decimal,
}

/// What gave a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimedFrom {
    /// A stopwatch, a unit at a time.
    Stopwatch,
    /// A finished job: its time over its units.
    Job,
}
