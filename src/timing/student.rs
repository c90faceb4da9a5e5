//! Student's t: the shape of every answer here, since neither the minutes nor their scatter are known for sure.
//!
//! The distribution is `statrs`'s; this adds the location and scale, and one Newton step on the quantile, whose inverse
//! of the incomplete beta loses digits near the middle.

use statrs::distribution::{Continuous, ContinuousCDF, StudentsT};

/// A t distribution with a location, a scale (not a standard deviation) and degrees of freedom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Student {
    location: f64,
    scale: f64,
    freedom: f64,
    standard: StudentsT,
}

impl Student {
    /// Makes one. The scale and the degrees of freedom have to be above zero, the location finite: a caller that cannot
    /// promise that has a bug, so it panics.
    pub fn new(location: f64, scale: f64, freedom: f64) -> Self {
        assert!(
            location.is_finite() && scale.is_finite(),
            "location {location} and scale {scale} are finite"
        );
        let standard = StudentsT::new(0.0, 1.0, freedom).expect("degrees of freedom are above zero");
        assert!(scale > 0.0, "scale {scale} is above zero");
        Student {
            location,
            scale,
            freedom,
            standard,
        }
    }

    /// The middle: mean (where there is one) and median.
    pub fn location(&self) -> f64 {
        self.location
    }

    /// The scale, in the unit of the location.
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// The degrees of freedom.
    pub fn freedom(&self) -> f64 {
        self.freedom
    }

    /// How many scales a value is above (or, negative, below) the middle.
    pub fn standardised(&self, value: f64) -> f64 {
        (value - self.location) / self.scale
    }

    /// The chance of a value at or below the given one.
    pub fn at_most(&self, value: f64) -> f64 {
        self.standard.cdf(self.standardised(value))
    }

    /// The value that is not exceeded with chance `p`, which lies strictly between 0 and 1.
    pub fn quantile(&self, p: f64) -> f64 {
        assert!(p > 0.0 && p < 1.0, "chance {p} lies between 0 and 1");
        if p == 0.5 {
            return self.location;
        }
        let first = self.standard.inverse_cdf(p);
        let slope = self.standard.pdf(first);
        let step = if slope > 0.0 {
            (self.standard.cdf(first) - p) / slope
        } else {
            0.0
        };
        let polished = if step.abs() < 1e-3 * first.abs().max(1e-3) {
            first - step
        } else {
            first
        };
        self.location + self.scale * polished
    }
}
