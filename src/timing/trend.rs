//! Is the crew getting faster at a class? A learning curve, fitted by least squares on logarithms.
//!
//! The curve is `minutes of unit x = first x^exponent`: the **unit-time** variant (Crawford), where the curve gives the
//! time of the x-th unit, not Wright's cumulative average. A job of several units stands for them all at the mean of
//! `ln x` over its units. Its weight is its expected minutes times the class's share in the job, since the variance of
//! a logarithm of a mean falls with the minutes, and a total over mixed classes says little of the small ones.
//!
//! Nothing fades here: a trend is about the whole history. Sums are kept centred (Welford), so that they stay exact to
//! rounding at any number of jobs.

use super::amount::{ManMinutes, Units};
use super::student::Student;

/// Fewer jobs and sittings than this show no trend.
pub const OBSERVATIONS_MIN: u32 = 8;
/// A trend is shown when the range that holds the exponent 95 times in 100 leaves out zero.
const TAIL: f64 = 0.025;

/// A learning curve that the jobs of a class show beyond doubt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trend {
    /// The exponent; below zero, the crew gets faster.
    pub exponent: f64,
    /// Lower end of the 95% range of the exponent.
    pub exponent_low: f64,
    /// Upper end of the 95% range of the exponent.
    pub exponent_high: f64,
    /// Man-minutes each that the curve gives for the first job or reading.
    pub first: ManMinutes,
    /// Man-minutes each that the curve gives for the latest.
    pub current: ManMinutes,
    /// Units done.
    pub units: Units,
    /// Jobs and sittings behind it.
    pub observations: u32,
}

impl Trend {
    /// What a unit takes, as a share of before, each time the number of units done has doubled.
    pub fn per_doubling(&self) -> f64 {
        self.exponent.exp2()
    }
}

/// `first x^exponent`: the minutes of the x-th unit (or, as Wright has it, the average over the first x).
pub fn curve_minutes(first: ManMinutes, exponent: f64, unit: f64) -> ManMinutes {
    ManMinutes::clamped(first.get() * unit.powf(exponent))
}

/// The exponent of a curve by its factor per doubling: 0.8 for "an 80% curve".
pub fn exponent_of(per_doubling: f64) -> f64 {
    per_doubling.log2()
}

/// The running sums of a log-log regression.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LearningCurve {
    observations: u32,
    units: f64,
    weight: f64,
    mean_x: f64,
    mean_y: f64,
    square_x: f64,
    square_y: f64,
    product: f64,
    first_x: f64,
    last_x: f64,
}

impl LearningCurve {
    /// Adds a job: how many units, man-minutes each, and how much it weighs (any unit, above zero).
    pub fn observe(&mut self, units: f64, minutes_each: f64, weight: f64) {
        if units <= 0.0 {
            return;
        }
        let x = mean_log(self.units, units);
        self.units += units;
        if minutes_each <= 0.0 || weight <= 0.0 {
            return;
        }
        let y = minutes_each.ln();
        self.weight += weight;
        let (off_x, off_y) = (x - self.mean_x, y - self.mean_y);
        self.mean_x += off_x * weight / self.weight;
        self.mean_y += off_y * weight / self.weight;
        self.square_x += weight * off_x * (x - self.mean_x);
        self.square_y += weight * off_y * (y - self.mean_y);
        self.product += weight * off_x * (y - self.mean_y);
        if self.observations == 0 {
            self.first_x = x;
        }
        self.last_x = x;
        self.observations = self.observations.saturating_add(1);
    }

    /// The running sums.
    pub(super) fn figures(&self) -> Vec<f64> {
        vec![
            f64::from(self.observations),
            self.units,
            self.weight,
            self.mean_x,
            self.mean_y,
            self.square_x,
            self.square_y,
            self.product,
            self.first_x,
            self.last_x,
        ]
    }

    /// The fitted exponent with its standard error and degrees of freedom, however doubtful; none before the third job.
    pub fn fit(&self) -> Option<(f64, f64, f64)> {
        if self.observations < 3 || self.square_x <= 0.0 {
            return None;
        }
        let freedom = f64::from(self.observations) - 2.0;
        let exponent = self.product / self.square_x;
        let residual = (self.square_y - exponent * self.product).max(0.0) / freedom;
        Some((exponent, (residual / self.square_x).sqrt(), freedom))
    }

    /// The minutes that the fitted curve gives at a place on the axis of `ln x`.
    fn minutes_at(&self, exponent: f64, x: f64) -> ManMinutes {
        ManMinutes::clamped((self.mean_y + exponent * (x - self.mean_x)).exp())
    }

    /// The trend, when there is one to speak of.
    pub fn trend(&self) -> Option<Trend> {
        if self.observations < OBSERVATIONS_MIN {
            return None;
        }
        let (exponent, error, freedom) = self.fit()?;
        let reach = error * Student::new(0.0, 1.0, freedom).quantile(1.0 - TAIL);
        if exponent.abs() <= reach {
            return None;
        }
        Some(Trend {
            exponent,
            exponent_low: exponent - reach,
            exponent_high: exponent + reach,
            first: self.minutes_at(exponent, self.first_x),
            current: self.minutes_at(exponent, self.last_x),
            units: Units::computed(self.units),
            observations: self.observations,
        })
    }
}

/// Mean of `ln x` over the units done after the first `before`, each taken at its middle: unit 1 spans 0.5 to 1.5.
fn mean_log(before: f64, units: f64) -> f64 {
    let integral = |x: f64| x * (x.ln() - 1.0);
    if units <= 1.0 {
        return (before + 0.5 + units / 2.0).ln();
    }
    let (from, to) = (before + 0.5, before + units + 0.5);
    // Far along, the difference of the integrals would cancel; the middle is then as good.
    if units < before * 1e-3 {
        (from + units / 2.0).ln()
    } else {
        (integral(to) - integral(from)) / units
    }
}
