//! Where the marks of an axis go: round figures for minutes, whole days for time.

use chrono::{DateTime, Datelike, Days, NaiveDate};
use chrono_tz::Tz;

use crate::units::Timestamp;

/// How many marks an axis of figures has at most.
const STEPS_MAX: f64 = 6.0;
/// Seconds of a day.
const DAY: f64 = 86_400.0;

/// Marks from zero on, in steps of 1, 2 or 5 times a power of ten; the last is at or above `most`.
pub(super) fn figures(most: f64) -> Vec<f64> {
    let rough = (most / STEPS_MAX).max(f64::MIN_POSITIVE);
    let power = 10_f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| step * STEPS_MAX >= most * (1.0 - 1e-9))
        .unwrap_or(10.0 * power);
    let count = (most / step - 1e-9).ceil().max(1.0);
    (0..=count as u32).map(|mark| f64::from(mark) * step).collect()
}

/// Up to four days to letter a stretch of time with, as seconds and words.
pub(super) fn days(first: Timestamp, last: Timestamp, zone: Tz) -> Vec<(f64, String)> {
    let (from, to) = (local(first, zone), local(last, zone));
    let whole = (to.date_naive() - from.date_naive()).num_days().max(0);
    let years = from.year() != to.year();
    let every = (whole / 3).max(1);
    let words = |day: NaiveDate| {
        if years {
            day.format("%b %Y").to_string()
        } else {
            day.format("%b %-d").to_string()
        }
    };
    (0..4)
        .map(|mark| mark * every)
        .filter(|days| *days <= whole)
        .filter_map(|days| {
            let day = from
                .date_naive()
                .checked_add_days(Days::new(u64::try_from(days).ok()?))?;
            let seconds = first.unix_seconds() as f64 + days as f64 * DAY;
            Some((seconds, words(day)))
        })
        .collect()
}

fn local(at: Timestamp, zone: Tz) -> DateTime<Tz> {
    at.utc().with_timezone(&zone)
}
