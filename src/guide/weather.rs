//! Heat index and wind chill by the National Weather Service's published equations, and what published levels ask for.
//!
//! Heat index: Rothfusz's regression with both adjustments, and Steadman's simple formula where it gives under 80 F
//! (NWS technical attachment SR 90-23, <https://www.wpc.ncep.noaa.gov/html/heatindex_equation.shtml>). The values are for
//! shade. Wind chill: the formula of 2001. Both in degrees Fahrenheit; beyond their limits the air's own temperature is
//! what they come to.

use super::{Guide, Source};

/// Heat or cold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Heat index.
    Heat,
    /// Wind chill.
    Chill,
}

/// What is asked for from a level on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Level {
    /// Heat or cold.
    pub kind: Kind,
    /// Degrees Fahrenheit: from here up for heat, from here down for cold.
    pub from: i32,
    /// What is asked for.
    pub text: String,
    /// Who says so.
    pub source: &'static Source,
}

/// Under this the simple formula is the answer, degrees Fahrenheit.
const SIMPLE_BELOW: f64 = 80.0;

/// The heat index in degrees Fahrenheit, unrounded, of an air temperature in degrees Fahrenheit and a relative humidity
/// in percent.
pub fn heat_index(fahrenheit: f64, humidity: f64) -> f64 {
    let (t, r) = (fahrenheit, humidity);
    let simple = 0.5 * (t + 61.0 + (t - 68.0) * 1.2 + r * 0.094);
    let averaged = f64::midpoint(simple, t);
    if averaged < SIMPLE_BELOW {
        return averaged;
    }
    let full = -42.379 + 2.049_015_23 * t + 10.143_331_27 * r
        - 0.224_755_41 * t * r
        - 0.006_837_83 * t * t
        - 0.054_817_17 * r * r
        + 0.001_228_74 * t * t * r
        + 0.000_852_82 * t * r * r
        - 0.000_001_99 * t * t * r * r;
    full + adjustment(t, r)
}

/// Dry air takes off, damp air adds, each within its own limits.
fn adjustment(t: f64, r: f64) -> f64 {
    if r < 13.0 && (80.0..=112.0).contains(&t) {
        return -((13.0 - r) / 4.0) * ((17.0 - (t - 95.0).abs()) / 17.0).sqrt();
    }
    if r > 85.0 && (80.0..=87.0).contains(&t) {
        return ((r - 85.0) / 10.0) * ((87.0 - t) / 5.0);
    }
    0.0
}

/// The wind chill in degrees Fahrenheit, unrounded, of an air temperature in degrees Fahrenheit and a wind in miles an
/// hour. Above 50 F, or up to 3 mph, it is the air temperature.
pub fn wind_chill(fahrenheit: f64, mph: f64) -> f64 {
    if fahrenheit > 50.0 || mph <= 3.0 {
        return fahrenheit;
    }
    let wind = mph.powf(0.16);
    35.74 + 0.6215 * fahrenheit - 35.75 * wind + 0.4275 * fahrenheit * wind
}

impl Guide {
    /// The levels that a heat index reaches, lowest first.
    pub fn heat_levels(&self, index: f64) -> Vec<&Level> {
        self.levels_of(Kind::Heat, |from| index >= from)
    }

    /// The levels that a wind chill reaches, mildest first.
    pub fn chill_levels(&self, chill: f64) -> Vec<&Level> {
        self.levels_of(Kind::Chill, |from| chill <= from)
    }

    fn levels_of(&self, kind: Kind, reaches: impl Fn(f64) -> bool) -> Vec<&Level> {
        let own = self.levels.iter().filter(|level| level.kind == kind);
        own.filter(|level| reaches(f64::from(level.from))).collect()
    }
}
