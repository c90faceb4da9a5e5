//! When something happened: an instant, in whole seconds of UTC.
//!
//! Time is always passed in; nothing here asks a clock. The written form is RFC 3339 with `Z`
//! (`2026-01-12T15:04:05Z`); reading takes any offset and drops fractions of a second, so that print and read agree.

use std::{fmt, str::FromStr};

use chrono::{DateTime, Utc};

/// An instant, whole seconds, UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Timestamp(DateTime<Utc>);

impl Timestamp {
    /// The instant this many seconds after 1970-01-01T00:00:00Z; `None` beyond the calendar that can be written.
    pub fn from_unix_seconds(seconds: i64) -> Option<Self> {
        DateTime::from_timestamp(seconds, 0).map(Timestamp)
    }

    /// Seconds since 1970-01-01T00:00:00Z.
    pub fn unix_seconds(self) -> i64 {
        self.0.timestamp()
    }

    /// As a calendar time in UTC.
    pub fn utc(self) -> DateTime<Utc> {
        self.0
    }
}

impl From<DateTime<Utc>> for Timestamp {
    /// Fractions of a second are dropped (towards the past).
    fn from(time: DateTime<Utc>) -> Self {
        Timestamp(DateTime::from_timestamp(time.timestamp(), 0).unwrap_or(time))
    }
}

impl fmt::Display for Timestamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.format("%Y-%m-%dT%H:%M:%SZ"))
    }
}

impl FromStr for Timestamp {
    type Err = chrono::ParseError;

    /// Reads RFC 3339 with any offset.
    ///
    /// # Errors
    /// When the text is not an RFC 3339 date and time.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Ok(DateTime::parse_from_rfc3339(text)?.with_timezone(&Utc).into())
    }
}

#[cfg(test)]
mod tests {
    use super::Timestamp;

    /// RFC 3339, section 5.8: 1996-12-19T16:39:57-08:00 is 1996-12-20T00:39:57Z.
    #[test]
    fn reads_an_offset_as_the_standard_says() {
        let time: Timestamp = "1996-12-19T16:39:57-08:00".parse().expect("an example of the standard");
        assert_eq!(time.to_string(), "1996-12-20T00:39:57Z");
        assert_eq!(Timestamp::from_unix_seconds(time.unix_seconds()), Some(time));
    }

    #[test]
    fn drops_fractions_so_that_print_and_read_agree() {
        let time: Timestamp = "2026-01-12T15:04:05.999Z".parse().expect("a time with a fraction");
        assert_eq!(time.to_string(), "2026-01-12T15:04:05Z");
        assert_eq!(time.to_string().parse::<Timestamp>(), Ok(time));
    }

    #[test]
    fn refuses_what_is_not_a_time() {
        assert!("yesterday".parse::<Timestamp>().is_err());
    }
}
