//! Published limits as arithmetic: distance from a line, a ladder's base, noise, lifting, how far a flash is.

use rust_decimal::Decimal;

/// Pounds: the load constant of the revised NIOSH lifting equation, the ceiling in perfect conditions (NIOSH 94-110).
pub const LIFT_POUNDS: u32 = 51;

/// Hours that 90 dBA may last (29 CFR 1910.95).
const NOISE_HOURS: f64 = 8.0;
/// Decibels at which they are counted.
const NOISE_CRITERION: f64 = 90.0;
/// Decibels that halve the time.
const NOISE_EXCHANGE: f64 = 5.0;

/// A stretch of noise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Noise {
    /// dBA, slow response.
    pub decibels: f64,
    /// Hours.
    pub hours: f64,
}

/// Inches that a person who is no line-clearance worker keeps from a line of a voltage in kilovolts: 10 ft, and above
/// 50 kV 4 in more for every 10 kV (29 CFR 1910.333(c)(3)(i)). A part of 10 kV is counted whole, which is our reading.
pub fn line_inches(kilovolts: Decimal) -> Decimal {
    let (fifty, ten) = (Decimal::from(50), Decimal::from(10));
    let steps = ((kilovolts - fifty) / ten).ceil().max(Decimal::ZERO);
    Decimal::from(120) + Decimal::from(4) * steps
}

/// Feet from the wall to the foot of a leaning ladder of a working length in feet: a quarter of it.
pub fn ladder_base_feet(working_length_feet: Decimal) -> Decimal {
    working_length_feet / Decimal::from(4)
}

/// Hours that a level in dBA may last: 8 at 90, half for every 5 more (29 CFR 1910.95 Appendix A).
pub fn noise_hours(decibels: f64) -> f64 {
    NOISE_HOURS / 2f64.powf((decibels - NOISE_CRITERION) / NOISE_EXCHANGE)
}

/// The noise dose in percent of a day's limit.
pub fn noise_dose(stretches: &[Noise]) -> f64 {
    let parts = stretches.iter().map(|noise| noise.hours / noise_hours(noise.decibels));
    100.0 * parts.sum::<f64>()
}

/// The level in dBA that would give a dose, in percent, in 8 hours.
pub fn noise_average(dose: f64) -> f64 {
    16.61 * (dose / 100.0).log10() + NOISE_CRITERION
}

/// Miles to a flash whose thunder came after some seconds: 5 seconds a mile.
pub fn flash_miles(seconds: Decimal) -> Decimal {
    seconds / Decimal::from(5)
}
