//! How many man-minutes a piece of work is going to take: a Student t distribution, and the questions asked of it.
//!
//! The distribution reaches below zero when little is known; answers in man-minutes are cut off there.

use super::amount::{Chance, ManMinutes, Range};
use super::student::Student;

/// One time in ten below the range shown, one time in ten above it.
pub(super) const TAIL: f64 = 0.1;

/// The predictive distribution of one total.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    total: Student,
}

impl Forecast {
    pub(super) fn new(total: Student) -> Self {
        Forecast { total }
    }

    /// The middle: as likely to take longer as shorter.
    pub fn mean(&self) -> ManMinutes {
        ManMinutes::clamped(self.total.location())
    }

    /// The range that holds the total 8 times in 10.
    pub fn likely(&self) -> Range {
        Range {
            low: ManMinutes::clamped(self.total.quantile(TAIL)),
            high: ManMinutes::clamped(self.total.quantile(1.0 - TAIL)),
        }
    }

    /// The chance (0 to 1) that the work takes no more than a budget. With the budget that a price pays for at the
    /// asked rate, it is the chance of making that rate.
    pub fn chance_within(&self, budget: ManMinutes) -> f64 {
        self.total.at_most(budget.get())
    }

    /// The man-minutes to allow so that the work takes no more with the given chance.
    pub fn budget_for(&self, chance: Chance) -> ManMinutes {
        ManMinutes::clamped(self.total.quantile(chance.get()))
    }

    /// The distribution itself, in man-minutes.
    pub fn distribution(&self) -> &Student {
        &self.total
    }
}
