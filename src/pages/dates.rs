//! Days and times as pages show them.

use chrono::{DateTime, Datelike};
use chrono_tz::Tz;

use crate::units::Timestamp;

/// `9:04 am`.
pub(super) fn time_of_day(at: Timestamp, zone: Tz) -> String {
    local(at, zone).format("%-I:%M %P").to_string()
}

/// `today`, or `Monday, January 12`, with the year when it is another.
pub(super) fn day(at: Timestamp, now: Timestamp, zone: Tz) -> String {
    let (at, now) = (local(at, zone), local(now, zone));
    if at.date_naive() == now.date_naive() {
        "today".to_string()
    } else if at.year() == now.year() {
        at.format("%A, %B %-d").to_string()
    } else {
        at.format("%A, %B %-d, %Y").to_string()
    }
}

/// `Mon, Jan 12`, with the year when it is another; `today` for today.
pub(super) fn short_day(at: Timestamp, now: Timestamp, zone: Tz) -> String {
    let (at, now) = (local(at, zone), local(now, zone));
    if at.date_naive() == now.date_naive() {
        "today".to_string()
    } else if at.year() == now.year() {
        at.format("%a, %b %-d").to_string()
    } else {
        at.format("%b %-d, %Y").to_string()
    }
}

/// `Mon, Jan 12, 9:04 am`.
pub fn day_and_time(at: Timestamp, now: Timestamp, zone: Tz) -> String {
    format!("{}, {}", short_day(at, now, zone), time_of_day(at, zone))
}

fn local(at: Timestamp, zone: Tz) -> DateTime<Tz> {
    at.utc().with_timezone(&zone)
}

#[cfg(test)]
mod tests {
    use chrono_tz::America::Chicago;

    use super::{day, time_of_day};

    #[test]
    fn days_are_those_of_the_zone() {
        let at = "2026-01-12T05:30:00Z".parse().expect("a time");
        let now = "2026-01-12T15:04:05Z".parse().expect("a time");
        assert_eq!(day(now, now, Chicago), "today");
        assert_eq!(day(at, now, Chicago), "Sunday, January 11");
        assert_eq!(
            day("2025-07-04T12:00:00Z".parse().expect("a time"), now, Chicago),
            "Friday, July 4, 2025"
        );
        assert_eq!(time_of_day(at, Chicago), "11:30 pm");
        assert_eq!(time_of_day(now, Chicago), "9:04 am");
    }
}
