//! Which quotes are open, owed, planned, or at a place, without looking through the book?
//!
//! Every message asks for some quote: the open one, the one that the crew is at, the ones of a place. The book keeps
//! them apart as they change, so that an answer costs what it finds and not what the book holds. Nothing here is a fact
//! of its own: [`Within::holds`] says the same of an entry by looking at it.

use std::collections::BTreeSet;

use chrono::{Days, NaiveDate, NaiveTime};
use imbl::{OrdMap, OrdSet};

use super::{
    book::Book,
    quotes::{QuoteEntry, Status},
};
use crate::units::{Money, QuoteNo, Timestamp};

/// Quotes that the book keeps together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Within {
    /// All.
    All,
    /// Those that have come so far.
    Of(&'static [Status]),
    /// Done, with money still to come.
    Owed,
    /// Done, with extra work that was not billed.
    Extra,
    /// With a page that the client can open.
    Sent,
    /// Planned to start from one instant to before another.
    Planned(Timestamp, Timestamp),
}

/// The quotes by what they are looked for by.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Index {
    of: OrdMap<Status, OrdSet<QuoteNo>>,
    at: OrdMap<String, OrdSet<QuoteNo>>,
    owed: OrdSet<QuoteNo>,
    extra: OrdSet<QuoteNo>,
    sent: OrdSet<QuoteNo>,
    planned: OrdSet<(Timestamp, QuoteNo)>,
}

/// Where an entry belongs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Marks {
    status: Status,
    place: Option<String>,
    owed: bool,
    extra: bool,
    sent: bool,
    planned: Option<Timestamp>,
}

impl Marks {
    pub(super) fn of(entry: &QuoteEntry) -> Marks {
        Marks {
            status: entry.status,
            place: entry.place.clone(),
            owed: Within::Owed.holds(entry),
            extra: Within::Extra.holds(entry),
            sent: Within::Sent.holds(entry),
            planned: entry.planned,
        }
    }
}

impl Within {
    /// What is planned on some days, and on one more at either end: where a day begins is for the zone to say.
    pub fn planned_about(from: NaiveDate, to: NaiveDate) -> Within {
        let midnight = |day: NaiveDate| Timestamp::from(day.and_time(NaiveTime::MIN).and_utc());
        let from = from.checked_sub_days(Days::new(1)).unwrap_or(NaiveDate::MIN);
        let until = to.checked_add_days(Days::new(2)).unwrap_or(NaiveDate::MAX);
        Within::Planned(midnight(from), midnight(until))
    }

    /// Whether an entry is one of them.
    pub fn holds(self, entry: &QuoteEntry) -> bool {
        match self {
            Within::All => true,
            Within::Of(statuses) => statuses.contains(&entry.status),
            Within::Owed => entry.is_owed(),
            Within::Extra => entry.finish.as_ref().is_some_and(|finish| finish.extra != Money::ZERO),
            Within::Sent => entry.client.links.iter().any(|link| !link.shut),
            Within::Planned(from, until) => entry.planned.is_some_and(|at| from <= at && at < until),
        }
    }
}

impl Index {
    /// Takes in that an entry is new, or another than it was.
    pub(super) fn moved(&mut self, no: QuoteNo, before: Option<&Marks>, after: &Marks) {
        if before == Some(after) {
            return;
        }
        if let Some(before) = before {
            self.take_out(no, before);
        }
        self.of.entry(after.status).or_default().insert(no);
        if let Some(place) = &after.place {
            self.at.entry(place.clone()).or_default().insert(no);
        }
        for (marked, set) in [
            (after.owed, &mut self.owed),
            (after.extra, &mut self.extra),
            (after.sent, &mut self.sent),
        ] {
            if marked {
                set.insert(no);
            }
        }
        self.planned.extend(after.planned.map(|at| (at, no)));
    }

    fn take_out(&mut self, no: QuoteNo, marks: &Marks) {
        remove(&mut self.of, &marks.status, no);
        if let Some(place) = &marks.place {
            remove(&mut self.at, place, no);
        }
        for set in [&mut self.owed, &mut self.extra, &mut self.sent] {
            set.remove(&no);
        }
        if let Some(at) = marks.planned {
            self.planned.remove(&(at, no));
        }
    }
}

/// Takes a quote out of the set under a key; no empty set stays.
fn remove<Key: Ord + Clone>(sets: &mut OrdMap<Key, OrdSet<QuoteNo>>, key: &Key, no: QuoteNo) {
    if let Some(set) = sets.get_mut(key) {
        set.remove(&no);
        if set.is_empty() {
            sets.remove(key);
        }
    }
}

/// Several sets of quotes as one, newest first.
struct Newest<'b, Set: Iterator<Item = &'b QuoteNo>>(Vec<(Option<QuoteNo>, Set)>);

impl<'b, Set: Iterator<Item = &'b QuoteNo>> Iterator for Newest<'b, Set> {
    type Item = QuoteNo;

    fn next(&mut self) -> Option<QuoteNo> {
        let (newest, set) = self.0.iter_mut().max_by_key(|(newest, _)| *newest)?;
        std::mem::replace(newest, set.next().copied())
    }
}

impl Book {
    /// The quotes that are kept together so, newest first.
    pub fn within(&self, within: Within) -> Box<dyn Iterator<Item = &QuoteEntry> + '_> {
        let index = &self.index;
        let set = match within {
            Within::All => return Box::new(self.quotes_newest_first()),
            Within::Of(statuses) => {
                let sets = statuses.iter().filter_map(|status| index.of.get(status));
                let newest_first = sets.map(|set| {
                    let mut set = set.iter().rev();
                    (set.next().copied(), set)
                });
                let newest = Newest(newest_first.collect());
                return Box::new(newest.filter_map(|no| self.quote(no)));
            }
            Within::Planned(from, until) => {
                let lowest = QuoteNo::new(0);
                let planned = index.planned.range((from, lowest)..(until, lowest));
                let found: BTreeSet<QuoteNo> = planned.map(|(_, no)| *no).collect();
                return Box::new(found.into_iter().rev().filter_map(|no| self.quote(no)));
            }
            Within::Owed => &index.owed,
            Within::Extra => &index.extra,
            Within::Sent => &index.sent,
        };
        Box::new(set.iter().rev().filter_map(|no| self.quote(*no)))
    }

    /// The quotes at a place, by its name as it is kept, newest first.
    pub fn quotes_at(&self, place: &str) -> impl Iterator<Item = &QuoteEntry> {
        let there = self.index.at.get(place);
        there
            .into_iter()
            .flat_map(|set| set.iter().rev())
            .filter_map(|no| self.quote(*no))
    }
}
