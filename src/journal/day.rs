//! What happened on one day of the diary, and what does it add up to?
//!
//! A year of reports asks for the same sums of the same days. A day's rows lie side by side in the order of time, and what
//! they add up to is worked out when it is first asked for and kept until a row of that day changes. Days are those of UTC:
//! a stretch of time that begins or ends inside one adds up the rows of that day that it holds.

use std::sync::{Arc, OnceLock};

use super::{
    diary::{Ended, JobFigures, WorkFigures},
    names::{ClassId, NameId},
    report::Period,
};
use crate::units::{QuoteNo, Timestamp};

/// Seconds of a day of UTC.
const DAY: i64 = 86_400;

/// A quote at a time.
pub(super) type When = (Timestamp, QuoteNo);

/// A key of the diary: it begins with a time.
pub(super) trait Timed {
    /// That time.
    fn at(&self) -> Timestamp;
}

impl Timed for When {
    fn at(&self) -> Timestamp {
        self.0
    }
}

impl Timed for (Timestamp, QuoteNo, u32) {
    fn at(&self) -> Timestamp {
        self.0
    }
}

/// Rows by their key, the lowest first.
pub(super) type Rows<Key, Value> = Vec<(Key, Value)>;

/// What happened to the quotes on a day.
#[derive(Debug, Clone, Default)]
pub(super) struct DayPage {
    /// When each was made, and where it is.
    pub(super) given: Rows<When, Option<NameId>>,
    /// When a yes or no was told of each, and whether it is a yes.
    pub(super) decided: Rows<When, bool>,
    /// When each job ended.
    pub(super) ended: Rows<When, Ended>,
    /// Cents that came in, by the place of the payment among those of its quote.
    pub(super) paid: Rows<(Timestamp, QuoteNo, u32), i64>,
    /// What all of it adds up to, once that was asked for.
    sums: OnceLock<Arc<Sum>>,
}

/// Two days are the same when the same happened, whether or not it was added up.
impl PartialEq for DayPage {
    fn eq(&self, other: &DayPage) -> bool {
        self.given == other.given
            && self.decided == other.decided
            && self.ended == other.ended
            && self.paid == other.paid
    }
}

/// Sums of jobs in whole numbers.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Totals {
    pub(super) jobs: u32,
    pub(super) revenue: i128,
    pub(super) earned: i128,
    pub(super) man_minutes: i128,
    pub(super) quoted: i128,
    pub(super) at_rate: i128,
}

/// What a day, or a part of one, adds up to in every way but by place.
#[derive(Debug, Clone, Default)]
pub(super) struct Sum {
    pub(super) all: Totals,
    pub(super) owed: i128,
    pub(super) paid: i128,
    pub(super) given: u32,
    pub(super) won: u32,
    pub(super) lost: u32,
    /// In no order.
    pub(super) crews: Vec<(u32, Totals)>,
    /// In no order.
    pub(super) classes: Vec<(ClassId, Totals)>,
}

/// The day of UTC that an instant lies on, from 1970-01-01.
pub(super) fn day_of(at: Timestamp) -> i64 {
    at.unix_seconds().div_euclid(DAY)
}

/// The rows that lie in a stretch of time.
pub(super) fn within<Key: Timed, Value>(rows: &[(Key, Value)], period: Period) -> &[(Key, Value)] {
    let before = |at: Timestamp| rows.partition_point(|(key, _)| key.at() < at);
    let from = before(period.from);
    &rows[from..before(period.until).max(from)]
}

impl DayPage {
    /// Whether nothing happened.
    pub(super) fn is_empty(&self) -> bool {
        self.given.is_empty() && self.decided.is_empty() && self.ended.is_empty() && self.paid.is_empty()
    }

    /// What its sums were is no longer true.
    pub(super) fn has_changed(&mut self) {
        self.sums.take();
    }

    /// What of this day, which is of that number, a stretch of time adds up to.
    pub(super) fn sum(&self, day: i64, period: Period) -> Arc<Sum> {
        let whole = period.from.unix_seconds() <= day * DAY && (day + 1) * DAY <= period.until.unix_seconds();
        match whole {
            true => self.sums.get_or_init(|| Arc::new(self.add_up(period))).clone(),
            false => Arc::new(self.add_up(period)),
        }
    }

    fn add_up(&self, period: Period) -> Sum {
        let decided = within(&self.decided, period);
        let won = decided.iter().filter(|(_, won)| *won).count();
        let mut sum = Sum {
            paid: within(&self.paid, period)
                .iter()
                .map(|(_, cents)| i128::from(*cents))
                .sum(),
            given: count(within(&self.given, period).len()),
            won: count(won),
            lost: count(decided.len() - won),
            ..Sum::default()
        };
        for (_, ended) in within(&self.ended, period) {
            let Some(job) = &ended.job else { continue };
            sum.all.add_job(job);
            sum.owed += i128::from(job.owed);
            of(&mut sum.crews, job.crew).add_job(job);
            for (class, line) in job.lines.iter() {
                of(&mut sum.classes, *class).add_line(job, line);
            }
        }
        sum
    }
}

impl Sum {
    /// Adds the figures of another that are not cut in any way.
    pub(super) fn add_figures(&mut self, other: &Sum) {
        self.all.add(&other.all);
        self.owed += other.owed;
        self.paid += other.paid;
        self.given += other.given;
        self.won += other.won;
        self.lost += other.lost;
    }
}

fn count(rows: usize) -> u32 {
    u32::try_from(rows).unwrap_or(u32::MAX)
}

/// The totals of one key: a day has few of them.
fn of<Key: PartialEq>(totals: &mut Vec<(Key, Totals)>, key: Key) -> &mut Totals {
    let at = totals
        .iter()
        .position(|(known, _)| *known == key)
        .unwrap_or(totals.len());
    if at == totals.len() {
        totals.push((key, Totals::default()));
    }
    &mut totals[at].1
}

impl Totals {
    pub(super) fn add_job(&mut self, job: &JobFigures) {
        self.add_work(job.revenue, &job.work, job.rate);
    }

    /// A part of a job brings what it earned.
    fn add_line(&mut self, job: &JobFigures, line: &WorkFigures) {
        self.add_work(line.earned, line, job.rate);
    }

    fn add_work(&mut self, revenue: i64, work: &WorkFigures, rate: i64) {
        self.add(&Totals {
            jobs: 1,
            revenue: revenue.into(),
            earned: work.earned.into(),
            man_minutes: work.man_minutes.into(),
            quoted: work.quoted.into(),
            at_rate: i128::from(work.quoted) * i128::from(rate),
        });
    }

    pub(super) fn add(&mut self, other: &Totals) {
        self.jobs += other.jobs;
        self.revenue += other.revenue;
        self.earned += other.earned;
        self.man_minutes += other.man_minutes;
        self.quoted += other.quoted;
        self.at_rate += other.at_rate;
    }
}
