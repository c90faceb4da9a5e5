//! The seasons of a year as people in a yard have them: winter from December, spring from March, summer from June, fall
//! from September. A winter has the year of its January.

use chrono::{Datelike, NaiveDate, NaiveTime, TimeZone};
use chrono_tz::Tz;

use crate::units::Timestamp;

/// A season of a year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Season {
    year: i32,
    /// 0 winter, 1 spring, 2 summer, 3 fall.
    quarter: u8,
}

const NAMES: [&str; 4] = ["winter", "spring", "summer", "fall"];

impl Season {
    /// The season of a time.
    pub(super) fn of(at: Timestamp, zone: Tz) -> Season {
        let local = at.utc().with_timezone(&zone);
        let (year, month) = (local.year(), local.month());
        let quarter = u8::try_from(month % 12 / 3).unwrap_or_default();
        Season {
            year: if month == 12 { year + 1 } else { year },
            quarter,
        }
    }

    /// `spring-2026`, back from [`Season::slug`].
    pub(super) fn read(slug: &str) -> Option<Season> {
        let (name, year) = slug.split_once('-')?;
        let quarter = NAMES.iter().position(|known| *known == name)?;
        let year: i32 = year.parse().ok().filter(|year| (1970..=9999).contains(year))?;
        Some(Season {
            year,
            quarter: u8::try_from(quarter).ok()?,
        })
    }

    /// Its name in an address.
    pub(super) fn slug(self) -> String {
        format!("{}-{}", NAMES[usize::from(self.quarter)], self.year)
    }

    /// Its name.
    pub(super) fn name(self) -> String {
        let mut name = format!("{} {}", NAMES[usize::from(self.quarter)], self.year);
        if let Some(first) = name.get_mut(..1) {
            first.make_ascii_uppercase();
        }
        name
    }

    fn before(self) -> Season {
        match self.quarter {
            0 => Season {
                year: self.year - 1,
                quarter: 3,
            },
            quarter => Season {
                year: self.year,
                quarter: quarter - 1,
            },
        }
    }

    /// When it begins, in seconds since 1970.
    fn begins(self, zone: Tz) -> i64 {
        let (year, month) = match self.quarter {
            0 => (self.year - 1, 12),
            quarter => (self.year, u32::from(quarter) * 3),
        };
        let midnight = NaiveDate::from_ymd_opt(year, month, 1).map(|day| day.and_time(NaiveTime::MIN));
        midnight
            .and_then(|midnight| zone.from_local_datetime(&midnight).earliest())
            .map_or(i64::MIN, |at| at.timestamp())
    }
}

/// The seasons from one time to another with their first seconds, newest first; a time is looked up without a calendar.
pub(super) struct Calendar(Vec<(Season, i64)>);

impl Calendar {
    pub(super) fn between(first: Timestamp, last: Timestamp, zone: Tz) -> Calendar {
        let mut seasons = Vec::new();
        let mut season = Season::of(last, zone);
        loop {
            let begins = season.begins(zone);
            seasons.push((season, begins));
            if begins <= first.unix_seconds() {
                return Calendar(seasons);
            }
            season = season.before();
        }
    }

    /// The season of a time between the two.
    pub(super) fn season(&self, at: Timestamp) -> Option<Season> {
        let at = at.unix_seconds();
        let place = self.0.partition_point(|(_, begins)| *begins > at);
        self.0.get(place).map(|(season, _)| *season)
    }
}

#[cfg(test)]
mod tests {
    use chrono_tz::America::Chicago;

    use super::{Calendar, Season, Timestamp};

    fn at(text: &str) -> Timestamp {
        text.parse().expect("a time")
    }

    #[track_caller]
    fn check(time: &str, name: &str) {
        let season = Season::of(at(time), Chicago);
        assert_eq!(season.name(), name);
        assert_eq!(Season::read(&season.slug()), Some(season));
        let calendar = Calendar::between(at("2020-01-01T00:00:00Z"), at("2030-01-01T00:00:00Z"), Chicago);
        assert_eq!(calendar.season(at(time)), Some(season), "both ways agree");
    }

    #[test]
    fn a_winter_has_the_year_of_its_january() {
        check("2025-12-01T06:00:00Z", "Winter 2026");
        check("2025-12-01T05:59:59Z", "Fall 2025");
        check("2026-01-12T15:00:00Z", "Winter 2026");
        check("2026-03-01T06:00:00Z", "Spring 2026");
        check("2026-08-31T12:00:00Z", "Summer 2026");
        check("2026-11-30T12:00:00Z", "Fall 2026");
        for wrong in ["", "spring", "mud-2026", "spring-x", "spring-99999"] {
            assert_eq!(Season::read(wrong), None, "{wrong}");
        }
    }
}
