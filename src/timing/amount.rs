//! Man-minutes, counts and chances as the statistics see them: floating point, checked at the border.
//!
//! These are not the exact amounts that prices are made of; they are measurements and estimates, where the last digits
//! of a decimal mean nothing. Invariant: every value held here is finite and within its range, so no formula behind the
//! border needs to ask.

use super::error::Error;

/// The largest figure taken, man-minutes or units: far above any real job, far below where squares lose digits.
pub const LIMIT: f64 = 1e9;

/// Man-minutes (people times minutes), 0 or more; also the man-minutes that one unit takes.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct ManMinutes(f64);

impl ManMinutes {
    /// No time at all.
    pub const ZERO: ManMinutes = ManMinutes(0.0);

    /// Takes a figure in man-minutes; [`Error::NotManMinutes`] when it is negative, not finite or above [`LIMIT`].
    pub fn new(value: f64) -> Result<Self, Error> {
        if (0.0..=LIMIT).contains(&value) {
            Ok(ManMinutes(value))
        } else {
            Err(Error::NotManMinutes { value })
        }
    }

    /// A computed figure, brought into range: work cannot take less than no time.
    pub(super) fn clamped(value: f64) -> Self {
        ManMinutes(value.clamp(0.0, LIMIT))
    }

    /// The figure in man-minutes.
    pub fn get(self) -> f64 {
        self.0
    }
}

/// A count of units (plants, feet, yards, whole jobs), 0 or more, parts of a unit allowed.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Units(f64);

impl Units {
    /// Takes a count; [`Error::NotUnits`] when it is negative, not finite or above [`LIMIT`].
    pub fn new(value: f64) -> Result<Self, Error> {
        if (0.0..=LIMIT).contains(&value) {
            Ok(Units(value))
        } else {
            Err(Error::NotUnits { value })
        }
    }

    /// A sum or a faded sum of valid counts.
    pub(super) fn computed(value: f64) -> Self {
        Units(value.max(0.0))
    }

    /// The count.
    pub fn get(self) -> f64 {
        self.0
    }
}

/// A chance, strictly between 0 and 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Chance(f64);

impl Chance {
    /// Takes a chance (0.8 is 8 times in 10); [`Error::NotChance`] at 0, at 1 and outside.
    pub fn new(value: f64) -> Result<Self, Error> {
        if value > 0.0 && value < 1.0 {
            Ok(Chance(value))
        } else {
            Err(Error::NotChance { value })
        }
    }

    /// The chance as a fraction of one.
    pub fn get(self) -> f64 {
        self.0
    }
}

/// The range that holds the truth 8 times in 10, in man-minutes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// One time in ten it is below.
    pub low: ManMinutes,
    /// One time in ten it is above.
    pub high: ManMinutes,
}

impl Range {
    /// Whether a figure lies in the range, ends included.
    pub fn holds(&self, minutes: ManMinutes) -> bool {
        self.low <= minutes && minutes <= self.high
    }
}

#[cfg(test)]
mod tests {
    use super::{Chance, Error, LIMIT, ManMinutes, Units};

    #[test]
    fn figures_outside_their_range_are_refused_with_the_figure() {
        for value in [-0.001, f64::INFINITY, f64::NEG_INFINITY, LIMIT * 1.01] {
            assert_eq!(ManMinutes::new(value), Err(Error::NotManMinutes { value }));
            assert_eq!(Units::new(value), Err(Error::NotUnits { value }));
        }
        assert!(ManMinutes::new(f64::NAN).is_err() && Units::new(f64::NAN).is_err() && Chance::new(f64::NAN).is_err());
        for value in [0.0, 1.0, -0.5, 1.5] {
            assert_eq!(Chance::new(value), Err(Error::NotChance { value }));
        }
        assert_eq!(ManMinutes::new(0.0).map(ManMinutes::get), Ok(0.0));
        assert_eq!(Units::new(LIMIT).map(Units::get), Ok(LIMIT));
    }
}
