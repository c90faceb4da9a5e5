//! What was quoted, decided, done and paid when, in figures that can be added up without opening a quote?
//!
//! A report over a season asks tens of thousands of jobs for a few sums. Each fact of a quote that a report counts lies
//! here under its time, so that a stretch of time is a range, and what a job came to is worked out once, when the fact
//! that changes it is taken in. Figures are whole numbers of their last decimal (cents, and hundred-millionths of a minute
//! or a dollar an hour, all that the units keep), so that sums are exact in any order. Nothing here is a fact of its own:
//! [`Diary::moved`] makes it from the entry as it stands, and the tests of reports compare it with a fold over the entries.

use std::{ops::Range, sync::Arc};

use imbl::OrdMap;
use rust_decimal::{Decimal, prelude::ToPrimitive};

use super::{
    names::{ClassId, NameId, Names},
    quotes::{QuoteEntry, Status},
    report::{Level, Period},
    shares::Share,
};
use crate::units::{ManMinutes, QuoteNo, RateMade, RatePerManHour, Timestamp};

/// Decimals of a dollar.
pub(super) const CENTS: u32 = 2;

/// Decimals of a man-minute and of a rate.
pub(super) const FINE: u32 = 8;

const _: () = assert!(ManMinutes::PLACES == FINE && RatePerManHour::PLACES == FINE);

/// A quote at a time.
type When = (Timestamp, QuoteNo);

/// What happened to the quotes, by time.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Diary {
    /// When each was made, and where it is.
    given: OrdMap<When, Option<NameId>>,
    /// When a yes or no was told of each, and whether it is a yes.
    decided: OrdMap<When, bool>,
    /// When each job ended.
    ended: OrdMap<When, Ended>,
    /// Cents that came in, by the place of the payment among those of its quote.
    paid: OrdMap<(Timestamp, QuoteNo, u32), i64>,
    /// The answers to quotes by the rate that these would make.
    answers: OrdMap<RateMade, Level>,
}

/// A job that ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Ended {
    pub(super) place: Option<NameId>,
    /// What it came to; `None` when its sheet cannot be priced.
    pub(super) job: Option<JobFigures>,
}

/// What a job came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct JobFigures {
    /// People.
    pub(super) crew: u32,
    /// Cents before tax.
    pub(super) revenue: i64,
    /// Cents still to come.
    pub(super) owed: i64,
    /// The rate that it was quoted at, in hundred-millionths of a dollar.
    pub(super) rate: i64,
    /// The whole job.
    pub(super) work: WorkFigures,
    /// Each line's share of it.
    pub(super) lines: Arc<[(ClassId, WorkFigures)]>,
}

/// What some work earned and took.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct WorkFigures {
    /// Cents.
    pub(super) earned: i64,
    /// Hundred-millionths of man-minutes.
    pub(super) man_minutes: i64,
    /// The same of those quoted.
    pub(super) quoted: i64,
}

/// Where an entry stands in the diary.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Moments {
    given: Timestamp,
    decided: Option<(Timestamp, bool)>,
    ended: Option<Timestamp>,
    paid: Vec<(Timestamp, i64)>,
    answer: Option<(RateMade, bool)>,
    shares: Arc<[Share]>,
}

impl Moments {
    pub(super) fn of(entry: &QuoteEntry) -> Moments {
        let won = entry.status != Status::Lost;
        let rate = || Some((entry.rate_quoted()?, won));
        let paid = entry.payments.iter();
        Moments {
            given: entry.given_at,
            decided: entry.decided_at.map(|at| (at, won)),
            ended: entry.finish.as_ref().map(|finish| finish.ended),
            paid: paid
                .map(|payment| (payment.at, whole(payment.amount.get(), CENTS)))
                .collect(),
            answer: if entry.status == Status::Open { None } else { rate() },
            shares: entry.shares.clone(),
        }
    }
}

impl Diary {
    /// Takes in that an entry is new, or another than it was.
    pub(super) fn moved(&mut self, names: &mut Names, before: Option<&Moments>, entry: &QuoteEntry) {
        let no = entry.no;
        let after = Moments::of(entry);
        let place = entry.place.as_deref().map(|place| names.number(place));
        let was = |at: Option<Timestamp>| at.map(|at| (at, no));
        let (given, ended) = (
            before.map(|before| before.given),
            before.and_then(|before| before.ended),
        );
        let row = after.ended.map(|at| {
            let known = before.filter(|before| Arc::ptr_eq(&before.shares, &after.shares));
            let known = known.and_then(|_| self.ended.get(&(ended?, no))?.job.as_ref());
            let lines = known.map(|job| job.lines.clone());
            let job = JobFigures::of(names, entry, lines);
            ((at, no), Ended { place, job })
        });
        settle(&mut self.ended, was(ended), row);
        settle(&mut self.given, was(given), Some(((after.given, no), place)));
        let decided = before.and_then(|before| before.decided);
        settle(
            &mut self.decided,
            was(decided.map(|(at, _)| at)),
            after.decided.map(|(at, won)| ((at, no), won)),
        );
        let paid = before.map(|before| before.paid.as_slice()).unwrap_or_default();
        for index in 0..paid.len().max(after.paid.len()) {
            let key = |at: Timestamp| (at, no, u32::try_from(index).unwrap_or(u32::MAX));
            let (was, is) = (paid.get(index), after.paid.get(index));
            settle(
                &mut self.paid,
                was.map(|(at, _)| key(*at)),
                is.map(|(at, cents)| (key(*at), *cents)),
            );
        }
        let answer = before.and_then(|before| before.answer);
        if answer != after.answer {
            self.count_answer(answer, u32::saturating_sub);
            self.count_answer(after.answer, u32::saturating_add);
        }
    }

    /// Counts an answer in or out; no rate without answers stays.
    fn count_answer(&mut self, answer: Option<(RateMade, bool)>, count: fn(u32, u32) -> u32) {
        let Some((rate, won)) = answer else { return };
        let level = self.answers.entry(rate).or_default();
        level.answered = count(level.answered, 1);
        level.won = count(level.won, u32::from(won));
        if level.answered == 0 {
            self.answers.remove(&rate);
        }
    }

    /// The jobs that ended in a stretch, the earliest first.
    pub(super) fn ended(&self, period: Period) -> impl DoubleEndedIterator<Item = (&When, &Ended)> {
        self.ended.range(during(period))
    }

    /// The jobs that ended at a time or later.
    pub(super) fn ended_from(&self, from: Timestamp) -> impl Iterator<Item = &Ended> {
        self.ended.range((from, QuoteNo::new(0))..).map(|(_, ended)| ended)
    }

    /// Quotes made in a stretch.
    pub(super) fn given(&self, period: Period) -> usize {
        self.given.range(during(period)).count()
    }

    /// Where quotes are that were made at a time or later.
    pub(super) fn given_from(&self, from: Timestamp) -> impl Iterator<Item = Option<NameId>> {
        self.given.range((from, QuoteNo::new(0))..).map(|(_, place)| *place)
    }

    /// Whether it was a yes, for each quote that was decided in a stretch.
    pub(super) fn decided(&self, period: Period) -> impl Iterator<Item = bool> {
        self.decided.range(during(period)).map(|(_, won)| *won)
    }

    /// Cents that came in during a stretch.
    pub(super) fn paid(&self, period: Period) -> i128 {
        let Range { start, end } = during(period);
        let paid = self.paid.range((start.0, start.1, 0)..(end.0, end.1, 0));
        paid.map(|(_, cents)| i128::from(*cents)).sum()
    }

    /// The answers to quotes by the rate that these would make, the lowest first.
    pub(super) fn answers(&self) -> impl Iterator<Item = (RateMade, Level)> {
        self.answers.iter().map(|(rate, level)| (*rate, *level))
    }
}

/// The keys of a stretch; none when it ends before it begins.
fn during(period: Period) -> Range<When> {
    let lowest = QuoteNo::new(0);
    (period.from, lowest)..(period.until.max(period.from), lowest)
}

/// Moves what lies under one key to another, and writes nothing when it is the same.
fn settle<Key: Ord + Clone, Value: Clone + PartialEq>(
    map: &mut OrdMap<Key, Value>,
    before: Option<Key>,
    after: Option<(Key, Value)>,
) {
    if let Some(key) = before
        && after.as_ref().is_none_or(|(is, _)| *is != key)
    {
        map.remove(&key);
    }
    if let Some((key, value)) = after
        && map.get(&key) != Some(&value)
    {
        map.insert(key, value);
    }
}

impl JobFigures {
    /// What a job came to, once it has ended; its lines when they are known.
    fn of(names: &mut Names, entry: &QuoteEntry, lines: Option<Arc<[(ClassId, WorkFigures)]>>) -> Option<JobFigures> {
        let finish = entry.finish.as_ref()?;
        let (revenue, earned) = (entry.revenue()?.get(), entry.earned()?.get());
        let mut line = |share: &Share| {
            let counted = entry.sheet.lines.get(share.line)?;
            let class = names.class_number(&counted.service, counted.size.as_deref());
            let work = WorkFigures::of(share.earned, share.man_minutes, share.quoted_man_minutes);
            Some((class, work))
        };
        Some(JobFigures {
            crew: entry.crew().get(),
            revenue: whole(revenue, CENTS),
            owed: whole(entry.owed().get(), CENTS),
            rate: whole(entry.sheet.quote_rate().get(), FINE),
            work: WorkFigures::of(earned, finish.man_minutes.get(), entry.quoted_man_minutes().get()),
            lines: lines.unwrap_or_else(|| entry.shares().iter().filter_map(&mut line).collect()),
        })
    }
}

impl WorkFigures {
    fn of(earned: Decimal, man_minutes: Decimal, quoted: Decimal) -> WorkFigures {
        WorkFigures {
            earned: whole(earned, CENTS),
            man_minutes: whole(man_minutes, FINE),
            quoted: whole(quoted, FINE),
        }
    }
}

/// A figure as a whole number of its last decimal. The units allow no figure that is finer or has more digits than this holds.
fn whole(mut figure: Decimal, places: u32) -> i64 {
    debug_assert!(
        figure.normalize().scale() <= places,
        "{figure} has more than {places} decimals"
    );
    figure.rescale(places);
    let number = figure.mantissa();
    let widest = if number < 0 { i64::MIN } else { i64::MAX };
    number.to_i64().unwrap_or(widest)
}
