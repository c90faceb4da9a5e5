//! What is said of the season: what is planned, owed, due again, and what the jobs came to.

use chrono::{NaiveDate, NaiveDateTime};
use chrono_tz::Tz;
use rust_decimal::Decimal;

use crate::{
    conversation::ask::Counted,
    journal::{QuoteEntry, Report, Sums, WinShare},
    pricing,
    units::{FileId, Money, QuoteNo},
};

/// The last job at a place, and what the same would cost today.
#[derive(Debug, Clone, PartialEq)]
pub struct LastShown {
    /// The job.
    pub entry: QuoteEntry,
    /// The account's time zone.
    pub zone: Tz,
    /// What was done.
    pub done: Vec<Counted>,
    /// The same counts at today's minutes and rate; `None` when the price list has no figures for them any more.
    pub today: Option<pricing::Quote>,
    /// Words kept with the place.
    pub notes: Vec<String>,
    /// How many photos and files are kept there.
    pub files: usize,
    /// The reader may see prices.
    pub prices: bool,
}

/// Photos and files kept with a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptShown {
    /// Where.
    pub place: Option<String>,
    /// How many there are.
    pub count: usize,
    /// The newest of them, oldest first; they go with the answer.
    pub files: Vec<FileId>,
}

/// What was counted of a list of places that are due.
#[derive(Debug, Clone, PartialEq)]
pub struct DueShown {
    /// The first of them.
    pub rows: Vec<DueRow>,
    /// How many there are.
    pub count: usize,
    /// The first and last day of the time that was asked about.
    pub time: Option<(NaiveDate, NaiveDate)>,
}

/// A place that is due again.
#[derive(Debug, Clone, PartialEq)]
pub struct DueRow {
    /// Where.
    pub place: String,
    /// The job of last time.
    pub no: QuoteNo,
    /// When it was done.
    pub date: NaiveDate,
    /// What it came to, with tax.
    pub price: Money,
    /// What the same would come to today, with tax.
    pub today: Option<Money>,
}

/// The jobs of a day or of several.
#[derive(Debug, Clone, PartialEq)]
pub struct DaysShown {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub to: NaiveDate,
    /// The jobs, in the order that they are driven to.
    pub jobs: Vec<QuoteEntry>,
    /// Only what is not done was asked for.
    pub left: bool,
    /// The account's time zone.
    pub zone: Tz,
    /// The reader may see prices.
    pub prices: bool,
}

/// Jobs that went from one day to another.
#[derive(Debug, Clone, PartialEq)]
pub struct ShiftShown {
    /// The day left.
    pub from: NaiveDate,
    /// The day that they go to.
    pub to: NaiveDate,
    /// The jobs, in their order.
    pub jobs: Vec<QuoteEntry>,
    /// The account's time zone.
    pub zone: Tz,
}

/// What a stretch of time came to.
#[derive(Debug, Clone, PartialEq)]
pub struct ReportShown {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub to: NaiveDate,
    /// The sums.
    pub report: Report,
    /// The account's rate.
    pub rate: Decimal,
}

/// Which work pays.
#[derive(Debug, Clone, PartialEq)]
pub struct PaysShown {
    /// First day of the jobs it rests on.
    pub from: NaiveDate,
    /// Last day.
    pub to: NaiveDate,
    /// The sums.
    pub report: Report,
    /// The account's rate.
    pub rate: Decimal,
    /// The work that pays best, when there is more than one kind.
    pub best: Option<Verdict>,
    /// The work that pays worst.
    pub worst: Option<Verdict>,
}

/// Why work pays as it does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// The kind.
    pub service: String,
    /// The size.
    pub size: Option<String>,
    /// What it came to.
    pub sums: Sums,
    /// What made the difference most.
    pub reason: Reason,
}

/// What made the difference between the rate aimed at and the rate made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// It took this many percent more man-minutes than quoted.
    TookLonger(Decimal),
    /// It took this many percent fewer.
    TookLess(Decimal),
    /// It was priced this many percent above the rate.
    PricedAbove(Decimal),
    /// It was priced this many percent below the rate.
    PricedBelow(Decimal),
    /// Neither stands out.
    AsQuoted,
}

/// How often quotes are won.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WinShown {
    /// The counts.
    pub share: WinShare,
    /// Quotes with an answer from which on a level says something.
    pub enough: u32,
}

/// A polite text about an open amount, to be forwarded to the client.
#[derive(Debug, Clone, PartialEq)]
pub struct ReminderShown {
    /// The business, when it has a name.
    pub business: Option<String>,
    /// Where.
    pub place: Option<String>,
    /// What is open.
    pub owed: Money,
    /// What was paid already.
    pub paid: Money,
    /// The day it was done.
    pub done_on: Option<NaiveDate>,
}

/// A clock that has run for longer than a day's work.
#[derive(Debug, Clone, PartialEq)]
pub struct ForgottenShown {
    /// Which job.
    pub no: QuoteNo,
    /// Where.
    pub place: Option<String>,
    /// Since when, in the account's own time.
    pub since: NaiveDateTime,
    /// Minutes on the clock.
    pub minutes: Decimal,
}
