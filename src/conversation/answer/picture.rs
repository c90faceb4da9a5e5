//! A picture that goes with an answer, as the values that it is drawn from; drawing is done elsewhere.

use chrono::NaiveDate;
use chrono_tz::Tz;
use rust_decimal::Decimal;

use crate::{
    journal::{CoursePoint, Report, Sums, TimedFrom},
    units::{Timestamp, Unit},
};

/// Something to draw.
#[derive(Debug, Clone, PartialEq)]
pub enum Picture {
    /// The minutes of one kind and size over time.
    Minutes(Box<MinutesPicture>),
    /// What a stretch of time came to.
    Report(Box<ReportPicture>),
}

/// What a stretch of time came to: its course, and the work that made it.
#[derive(Debug, Clone, PartialEq)]
pub struct ReportPicture {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub to: NaiveDate,
    /// The sums.
    pub report: Report,
    /// The account's rate.
    pub rate: Decimal,
    /// How long each part of the course is.
    pub step: Step,
    /// The course: the first day of each part, and what it came to. Never empty.
    pub course: Vec<(NaiveDate, Sums)>,
}

/// How long the parts of a course are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// A day.
    Day,
    /// Seven days.
    Week,
    /// A month of the calendar.
    Month,
}

/// The minutes of one kind and size: what was measured, and what was believed after each.
#[derive(Debug, Clone, PartialEq)]
pub struct MinutesPicture {
    /// The kind.
    pub service: String,
    /// The size.
    pub size: Option<String>,
    /// What is counted.
    pub unit: Unit,
    /// The account's time zone, for the dates.
    pub zone: Tz,
    /// Jobs and sittings with the stopwatch, oldest first; never empty.
    pub course: Vec<CoursePoint>,
    /// How many older ones were left out.
    pub left_out: usize,
    /// Man-minutes for one that were set or guessed, to compare with.
    pub set: Option<Decimal>,
}

impl MinutesPicture {
    /// Every single figure measured: when, man-minutes for one, and whether a stopwatch or a job gave it.
    pub fn measured(&self) -> impl Iterator<Item = (Timestamp, Decimal, TimedFrom)> {
        self.course
            .iter()
            .flat_map(|point| point.each.iter().map(|each| (point.at, *each, point.from)))
    }
}

impl Picture {
    /// A file name for it, without an ending: letters, digits and hyphens.
    pub fn name(&self) -> String {
        let shown = match self {
            Picture::Minutes(shown) => shown,
            Picture::Report(shown) => return format!("report-{}-to-{}", shown.from, shown.to),
        };
        let words = [Some(shown.service.as_str()), shown.size.as_deref(), Some("minutes")];
        let words: Vec<&str> = words.into_iter().flatten().collect();
        let plain = |letter: char| {
            if letter.is_ascii_alphanumeric() {
                letter.to_ascii_lowercase()
            } else {
                '-'
            }
        };
        let name: String = words.join("-").chars().take(60).map(plain).collect();
        let parts: Vec<&str> = name.split('-').filter(|part| !part.is_empty()).collect();
        parts.join("-")
    }
}
