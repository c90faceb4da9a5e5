//! What was quoted, decided, done and paid when, in figures that can be added up without opening a quote?
//!
//! A report over a season asks tens of thousands of jobs for a few sums. Each fact of a quote that a report counts lies
//! here under its time, so that a stretch of time is a range, and what a job came to is worked out once, when the fact
//! that changes it is taken in. Figures are whole numbers of their last decimal (cents, and hundred-millionths of a minute
//! or a dollar an hour, all that the units keep), so that sums are exact in any order. Nothing here is a fact of its own:
//! [`Diary::moved`] makes it from the entry as it stands, and the tests of reports compare it with a fold over the entries.

use std::{ops::RangeInclusive, sync::Arc};

use imbl::OrdMap;
use rust_decimal::{Decimal, prelude::ToPrimitive};

use super::{
    day::{DayPage, Rows, Sum, Timed, When, day_of, within},
    names::{ClassId, NameId, Names},
    quotes::{QuoteEntry, Status},
    report::{Level, Period},
    shares::Share,
};
use crate::units::{ManMinutes, RateMade, RatePerManHour, Timestamp};

/// Decimals of a dollar.
pub(super) const CENTS: u32 = 2;

/// Decimals of a man-minute and of a rate.
pub(super) const FINE: u32 = 8;

const _: () = assert!(ManMinutes::PLACES == FINE && RatePerManHour::PLACES == FINE);

/// What happened to the quotes, by time.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Diary {
    /// The days on which something happened, by their number.
    days: OrdMap<i64, Arc<DayPage>>,
    /// The answers to quotes by the rate that these would make.
    answers: OrdMap<RateMade, Level>,
}

/// One kind of rows of a day, to look at and to change.
type Column<Key, Value> = (
    fn(&DayPage) -> &Rows<Key, Value>,
    fn(&mut DayPage) -> &mut Rows<Key, Value>,
);

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
            let lines = known.and_then(|_| self.lines_of((ended?, no)));
            let job = JobFigures::of(names, entry, lines);
            ((at, no), Ended { place, job })
        });
        self.settle((|page| &page.ended, |page| &mut page.ended), was(ended), row);
        self.settle(
            (|page| &page.given, |page| &mut page.given),
            was(given),
            Some(((after.given, no), place)),
        );
        let decided = before.and_then(|before| before.decided);
        self.settle(
            (|page| &page.decided, |page| &mut page.decided),
            was(decided.map(|(at, _)| at)),
            after.decided.map(|(at, won)| ((at, no), won)),
        );
        let paid = before.map(|before| before.paid.as_slice()).unwrap_or_default();
        for index in 0..paid.len().max(after.paid.len()) {
            let key = |at: Timestamp| (at, no, u32::try_from(index).unwrap_or(u32::MAX));
            let (was, is) = (paid.get(index), after.paid.get(index));
            self.settle(
                (|page| &page.paid, |page| &mut page.paid),
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

    /// Moves what lies under one key to another, and touches nothing when it is the same.
    fn settle<Key: Timed + Ord + Copy, Value: Clone + PartialEq>(
        &mut self,
        (seen, rows): Column<Key, Value>,
        before: Option<Key>,
        after: Option<(Key, Value)>,
    ) {
        if let Some(key) = before
            && after.as_ref().is_none_or(|(is, _)| *is != key)
        {
            self.change(key.at(), |page| {
                let rows = rows(page);
                if let Ok(at) = rows.binary_search_by_key(&key, |(key, _)| *key) {
                    rows.remove(at);
                }
            });
        }
        if let Some((key, value)) = after {
            let page = self.days.get(&day_of(key.at()));
            let known = page.and_then(|page| {
                let rows = seen(page);
                let at = rows.binary_search_by_key(&key, |(key, _)| *key).ok()?;
                Some(&rows[at].1)
            });
            if known == Some(&value) {
                return;
            }
            self.change(key.at(), |page| {
                let rows = rows(page);
                match rows.binary_search_by_key(&key, |(key, _)| *key) {
                    Ok(at) => rows[at].1 = value,
                    Err(at) => rows.insert(at, (key, value)),
                }
            });
        }
    }

    /// Changes the day of an instant.
    fn change(&mut self, at: Timestamp, change: impl FnOnce(&mut DayPage)) {
        let day = day_of(at);
        let page = Arc::make_mut(self.days.entry(day).or_default());
        change(page);
        page.has_changed();
        if page.is_empty() {
            self.days.remove(&day);
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

    /// The lines of a job that ended then.
    fn lines_of(&self, key: When) -> Option<Arc<[(ClassId, WorkFigures)]>> {
        let rows = &self.days.get(&day_of(key.0))?.ended;
        let at = rows.binary_search_by_key(&key, |(key, _)| *key).ok()?;
        Some(rows[at].1.job.as_ref()?.lines.clone())
    }

    /// The jobs that ended in a stretch, the earliest first.
    pub(super) fn ended(&self, period: Period) -> impl DoubleEndedIterator<Item = &(When, Ended)> {
        let pages = self.days.range(days(period));
        pages.flat_map(move |(_, page)| within(&page.ended, period))
    }

    /// The jobs that ended at a time or later.
    pub(super) fn ended_from(&self, from: Timestamp) -> impl Iterator<Item = &Ended> {
        let pages = self.days.range(day_of(from)..);
        let rows = pages.flat_map(|(_, page)| &page.ended);
        rows.filter(move |(key, _)| from <= key.at()).map(|(_, ended)| ended)
    }

    /// Where quotes are that were made at a time or later.
    pub(super) fn given_from(&self, from: Timestamp) -> impl Iterator<Item = Option<NameId>> {
        let pages = self.days.range(day_of(from)..);
        let rows = pages.flat_map(|(_, page)| &page.given);
        rows.filter(move |(key, _)| from <= key.at()).map(|(_, place)| *place)
    }

    /// What each day of a stretch adds up to.
    pub(super) fn sums(&self, period: Period) -> impl Iterator<Item = Arc<Sum>> {
        let pages = self.days.range(days(period));
        pages.map(move |(day, page)| page.sum(*day, period))
    }

    /// The answers to quotes by the rate that these would make, the lowest first.
    pub(super) fn answers(&self) -> impl Iterator<Item = (RateMade, Level)> {
        self.answers.iter().map(|(rate, level)| (*rate, *level))
    }
}

/// The days that a stretch touches.
fn days(period: Period) -> RangeInclusive<i64> {
    day_of(period.from)..=day_of(period.until.max(period.from))
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
