//! A day and a time of day as said, made into an instant by the message's own clock and the account's time zone.

use chrono::{DateTime, Datelike, Days, LocalResult, NaiveDate, NaiveDateTime, NaiveTime, TimeZone};
use chrono_tz::Tz;

use super::{answer::Refused, desk::Desk};
use crate::{
    language::{DaySaid, WhenSaid},
    units::Timestamp,
};

/// Work starts at eight when no time was said.
const START_OF_WORK: (u32, u32) = (8, 0);

/// The account's time zone: its own, else the one of the context.
pub(super) fn zone(desk: &Desk<'_>) -> Tz {
    desk.book().settings().zone().unwrap_or(desk.ctx.zone)
}

/// An instant in the account's own time.
pub(super) fn local(desk: &Desk<'_>, at: Timestamp) -> DateTime<Tz> {
    at.utc().with_timezone(&zone(desk))
}

/// The day on which the words being worked on were said.
pub(super) fn today(desk: &Desk<'_>) -> NaiveDate {
    local(desk, desk.said_at()).date_naive()
}

/// The instant that was meant; what was not said is taken from `before`, and at last the start of work is taken.
pub(super) fn instant(desk: &Desk<'_>, when: WhenSaid, before: Option<Timestamp>) -> Result<Timestamp, Refused> {
    let now = local(desk, desk.said_at());
    let before = before.map(|at| local(desk, at));
    let day = match when.day {
        Some(day @ DaySaid::Later(_)) => {
            let before = before.ok_or(Refused::NoDayYet)?;
            date(day, before.date_naive()).ok_or(Refused::NoSuchDay)?
        }
        Some(day) => date(day, now.date_naive()).ok_or(Refused::NoSuchDay)?,
        None => before.map_or_else(|| now.date_naive(), |before| before.date_naive()),
    };
    let time = match when.minute_of_day {
        Some(minute) => time_of(u32::from(minute)),
        None => before.map(|before| before.time()),
    };
    let time = time
        .or_else(|| NaiveTime::from_hms_opt(START_OF_WORK.0, START_OF_WORK.1, 0))
        .ok_or(Refused::NoSuchDay)?;
    at_local(desk, day.and_time(time)).ok_or(Refused::NoSuchDay)
}

/// The instant of a local date and time. An hour that the clocks skip is read as the hour after it; one that they repeat
/// as the first of the two.
pub(super) fn at_local(desk: &Desk<'_>, local: NaiveDateTime) -> Option<Timestamp> {
    in_zone(zone(desk), local)
}

/// Every instant that a local date and time can be: two of an hour that the clocks repeat.
pub(super) fn instants(desk: &Desk<'_>, local: NaiveDateTime) -> Vec<Timestamp> {
    match zone(desk).from_local_datetime(&local) {
        LocalResult::Ambiguous(first, second) => [first, second].map(|at| Timestamp::from(at.to_utc())).into(),
        _ => at_local(desk, local).into_iter().collect(),
    }
}

/// The first instant of a day in a zone.
pub(super) fn start_of(zone: Tz, day: NaiveDate) -> Option<Timestamp> {
    in_zone(zone, day.and_time(NaiveTime::MIN))
}

/// The instant of a local date and time in a zone, an hour that is skipped or comes twice read as above.
pub(super) fn in_zone(zone: Tz, local: NaiveDateTime) -> Option<Timestamp> {
    let found = zone.from_local_datetime(&local).earliest();
    let found = found.or_else(|| {
        zone.from_local_datetime(&(local + chrono::TimeDelta::hours(1)))
            .earliest()
    });
    found.map(|at| Timestamp::from(at.to_utc()))
}

/// The date that was meant of something that was: a weekday or a day of the month without more is the last one.
pub(super) fn gone_by(day: DaySaid, today: NaiveDate) -> Option<NaiveDate> {
    let date = date(day, today)?;
    match day {
        DaySaid::Weekday { week: 0, .. } if date > today => shift(date, -7),
        DaySaid::DayOfMonth(_) if date > today => date.checked_sub_months(chrono::Months::new(1)),
        DaySaid::Date { year: None, .. } if date > today => date.checked_sub_months(chrono::Months::new(12)),
        _ => Some(date),
    }
}

fn time_of(minute: u32) -> Option<NaiveTime> {
    NaiveTime::from_hms_opt(minute / 60, minute % 60, 0)
}

/// The date that was meant, seen from today.
pub(super) fn date(day: DaySaid, today: NaiveDate) -> Option<NaiveDate> {
    match day {
        DaySaid::InDays(days) => shift(today, i64::from(days)),
        DaySaid::Weekday { weekday, week } => {
            let wanted = i64::from(weekday % 7);
            let now = i64::from(today.weekday().num_days_from_monday());
            match week {
                // The coming one; today would be called today, so its own name means a week ahead.
                0 => shift(today, (wanted - now - 1).rem_euclid(7) + 1),
                1.. => shift(today, wanted - now + 7 * i64::from(week)),
                _ => shift(today, -((now - wanted - 1).rem_euclid(7) + 1)),
            }
        }
        DaySaid::Later(days) => shift(today, i64::from(days)),
        DaySaid::WeekAfter(weekday) => {
            let now = i64::from(today.weekday().num_days_from_monday());
            shift(today, (i64::from(weekday % 7) - now).rem_euclid(7) + 7)
        }
        DaySaid::DayOfMonth(day) => (0..12)
            .filter_map(|months| today.with_day(1)?.checked_add_months(chrono::Months::new(months)))
            .filter_map(|first| first.with_day(u32::from(day)))
            .find(|date| *date >= today),
        DaySaid::Date {
            month,
            day,
            year: Some(year),
        } => NaiveDate::from_ymd_opt(year, u32::from(month), u32::from(day)),
        DaySaid::Date { month, day, year: None } => (0..5)
            .filter_map(|ahead| NaiveDate::from_ymd_opt(today.year() + ahead, u32::from(month), u32::from(day)))
            .find(|date| *date >= today),
    }
}

fn shift(day: NaiveDate, by: i64) -> Option<NaiveDate> {
    let days = Days::new(by.unsigned_abs());
    if by < 0 {
        day.checked_sub_days(days)
    } else {
        day.checked_add_days(days)
    }
}

#[cfg(test)]
mod tests {
    use super::{DaySaid, NaiveDate, date};
    use chrono::{Datelike, Weekday};

    fn check(today: &str, day: DaySaid, expected: Option<&str>) {
        let today: NaiveDate = today.parse().expect("a date");
        assert_eq!(
            date(day, today).map(|date| date.to_string()).as_deref(),
            expected,
            "{day:?} from {today}"
        );
    }

    /// 2026-01-12 is a Monday (ISO 8601 calendar: 2026-W03-1).
    #[test]
    fn the_coming_one_and_that_of_next_week() {
        let today: NaiveDate = "2026-01-12".parse().expect("a date");
        assert_eq!((today.weekday(), today.iso_week().week()), (Weekday::Mon, 3));
        let thursday = |week| DaySaid::Weekday { weekday: 3, week };
        check("2026-01-12", thursday(0), Some("2026-01-15"));
        check("2026-01-12", thursday(1), Some("2026-01-22"));
        check("2026-01-12", thursday(-1), Some("2026-01-08"));
        check("2026-01-15", thursday(0), Some("2026-01-22"));
        check("2026-01-16", thursday(0), Some("2026-01-22"));
        check("2026-01-15", thursday(-1), Some("2026-01-08"));
    }

    #[test]
    fn a_day_of_the_month_skips_months_without_it() {
        check("2026-01-12", DaySaid::DayOfMonth(20), Some("2026-01-20"));
        check("2026-01-31", DaySaid::DayOfMonth(30), Some("2026-03-30"));
        check("2026-01-12", DaySaid::DayOfMonth(32), None);
    }

    #[test]
    fn a_date_without_a_year_is_the_coming_one() {
        let leap = DaySaid::Date {
            month: 2,
            day: 29,
            year: None,
        };
        check("2026-01-12", leap, Some("2028-02-29"));
        let past = DaySaid::Date {
            month: 1,
            day: 5,
            year: None,
        };
        check("2026-01-12", past, Some("2027-01-05"));
        check("2026-01-12", DaySaid::InDays(-1), Some("2026-01-11"));
    }
}
