//! What did the jobs of a stretch of time come to, and which work pays?
//!
//! A report adds up what the diary holds of a stretch of time, and opens no quote. A job counts in the stretch in which it
//! ended; revenue is the price before tax. The shares of a job's lines add up to the job to the cent, so every way of
//! cutting a report gives the same sum. The tests hold all of it against a fold over the quotes themselves.

use std::collections::{BTreeMap, HashMap, HashSet};

use rust_decimal::Decimal;

use super::{
    book::Book,
    day::{Sum, Totals},
    diary::{CENTS, FINE},
    names::NameId,
    quotes::{QuoteEntry, Status},
};
use crate::units::{Money, QuoteNo, RoundingPolicy, Timestamp};

/// A stretch of time, its end not included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Period {
    /// Its first instant.
    pub from: Timestamp,
    /// The first instant after it.
    pub until: Timestamp,
}

/// What a stretch of time came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Report {
    /// All jobs that ended in it.
    pub all: Sums,
    /// Money that came in during it.
    pub paid: Decimal,
    /// What is still to come for its jobs.
    pub owed: Decimal,
    /// Quotes made in it.
    pub quoted: u32,
    /// Quotes that a yes was told of in it.
    pub won: u32,
    /// Quotes that a no was told of in it.
    pub lost: u32,
    /// By kind and size, the best rate first.
    pub by_class: Vec<Slice<(String, Option<String>)>>,
    /// By place, the best rate first; `None` for jobs without one.
    pub by_place: Vec<Slice<Option<String>>>,
    /// By the number of people, the fewest first.
    pub by_crew: Vec<Slice<u32>>,
}

/// A part of a report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slice<Key> {
    /// Of what.
    pub key: Key,
    /// What it came to.
    pub sums: Sums,
}

/// What some jobs came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Sums {
    /// How many jobs, or jobs with that kind of work on them.
    pub jobs: u32,
    /// Dollars before tax; of a part of a job, its share of what the work earned.
    pub revenue: Decimal,
    /// Dollars before tax less material and fees.
    pub earned: Decimal,
    /// Man-minutes worked.
    pub man_minutes: Decimal,
    /// Man-minutes that were quoted for it.
    pub quoted_man_minutes: Decimal,
    /// Dollars that the man-minutes quoted would have to bring at each job's own rate.
    pub at_rate: Decimal,
}

/// How often quotes are won.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WinShare {
    /// The middle one of the rates that quotes with an answer would make as quoted.
    pub usual_rate: Option<Decimal>,
    /// Quotes with an answer.
    pub answered: u32,
    /// Those of them that were won.
    pub won: u32,
    /// By price level against the usual one: below 90%, around it, above 110%.
    pub levels: [Level; 3],
}

/// How often quotes of a price level are won.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Level {
    /// Quotes with an answer.
    pub answered: u32,
    /// Those of them that were won.
    pub won: u32,
}

impl Period {
    /// Whether an instant lies in it.
    pub fn holds(&self, at: Timestamp) -> bool {
        self.from <= at && at < self.until
    }
}

impl Sums {
    /// The rate made, dollars for a man-hour to the cent; `None` without work.
    pub fn rate(&self) -> Option<Decimal> {
        let hourly = self.earned.checked_mul(Decimal::from(60))?;
        let rate = hourly.checked_div(self.man_minutes)?;
        Some(RoundingPolicy::HalfUp.places(rate, 2))
    }
}

impl Totals {
    fn sums(&self) -> Sums {
        Sums {
            jobs: self.jobs,
            revenue: figure(self.revenue, CENTS),
            earned: figure(self.earned, CENTS),
            man_minutes: figure(self.man_minutes, FINE),
            quoted_man_minutes: figure(self.quoted, FINE),
            at_rate: figure(self.at_rate, FINE + FINE),
        }
    }
}

/// A whole number of 10^-`places`; digits beyond those that a decimal holds are cut off.
fn figure(mut number: i128, mut places: u32) -> Decimal {
    loop {
        match Decimal::try_from_i128_with_scale(number, places) {
            Ok(figure) => return figure.normalize(),
            Err(_) if places > 0 => (number, places) = (number / 10, places - 1),
            Err(_) => return Decimal::MAX,
        }
    }
}

impl Book {
    /// What a stretch of time came to.
    pub fn report(&self, period: Period) -> Report {
        let names = &self.names;
        let mut sum = Sum::default();
        let mut crews: BTreeMap<u32, Totals> = BTreeMap::new();
        let mut classes = vec![Totals::default(); names.classes_len()];
        for day in self.diary.sums(period) {
            sum.add_figures(&day);
            for (crew, totals) in &day.crews {
                crews.entry(*crew).or_default().add(totals);
            }
            for (class, totals) in &day.classes {
                classes[class.index()].add(totals);
            }
        }
        let mut by_place = vec![Totals::default(); names.len()];
        let mut no_place = Totals::default();
        for (_, ended) in self.diary.ended(period) {
            if let Some(job) = &ended.job {
                let place = ended.place.map(|place| &mut by_place[place.index()]);
                place.unwrap_or(&mut no_place).add_job(job);
            }
        }
        let class = |index: usize| {
            let (service, size) = names.class(index).unwrap_or_default();
            (service.to_string(), size.map(str::to_string))
        };
        let placed = by_place.iter().enumerate().map(|(index, totals)| (Some(index), totals));
        let places = placed.chain([(None, &no_place)]);
        let place = |index: Option<usize>| index.map(|index| names.name_at(index).to_string());
        let crews = crews.iter().map(|(crew, totals)| (*crew, totals));
        Report {
            all: sum.all.sums(),
            paid: figure(sum.paid, CENTS),
            owed: figure(sum.owed, CENTS),
            quoted: sum.given,
            won: sum.won,
            lost: sum.lost,
            by_class: best_first(slices(classes.iter().enumerate(), class)),
            by_place: best_first(slices(places, place)),
            by_crew: slices(crews, |crew| crew),
        }
    }

    /// What the jobs came to that ended between one of these times and the next, which are in order.
    pub fn course_of_jobs(&self, times: &[Timestamp]) -> Vec<Sums> {
        let mut parts = vec![Totals::default(); times.len().saturating_sub(1)];
        let (Some(from), Some(until)) = (times.first().copied(), times.last().copied()) else {
            return Vec::new();
        };
        for ((at, _), ended) in self.diary.ended(Period { from, until }) {
            let after = times.partition_point(|time| time <= at);
            let part = after.checked_sub(1).and_then(|index| parts.get_mut(index));
            if let (Some(part), Some(job)) = (part, &ended.job) {
                part.add_job(job);
            }
        }
        parts.iter().map(Totals::sums).collect()
    }

    /// The last job of each place that ended in a stretch, with its end, for those places where nothing was quoted or ended
    /// from a time on; in no order.
    pub fn last_at_places(&self, period: Period, from: Timestamp) -> Vec<(Timestamp, &QuoteEntry)> {
        let given = self.diary.given_from(from);
        let ended = self.diary.ended_from(from).map(|ended| ended.place);
        let served: HashSet<NameId> = given.chain(ended).flatten().collect();
        let mut last: HashMap<NameId, (Timestamp, QuoteNo)> = HashMap::new();
        for (when, ended) in self.diary.ended(period) {
            if let Some(place) = ended.place.filter(|place| !served.contains(place)) {
                last.insert(place, *when);
            }
        }
        let found = last.into_values();
        found.filter_map(|(at, no)| Some((at, self.quote(no)?))).collect()
    }

    /// How often quotes are won, by price level.
    pub fn win_share(&self) -> WinShare {
        let count: u32 = self.diary.answers().map(|(_, level)| level.answered).sum();
        let mut shares = WinShare {
            usual_rate: self.middle_rate(count),
            answered: count,
            won: 0,
            levels: [Level::default(); 3],
        };
        let Some(usual) = shares.usual_rate else { return shares };
        let (low, high) = (usual * Decimal::new(9, 1), usual * Decimal::new(11, 1));
        for (rate, of_rate) in self.diary.answers() {
            let level = match rate.get() {
                rate if rate < low => 0,
                rate if rate > high => 2,
                _ => 1,
            };
            shares.won += of_rate.won;
            shares.levels[level].answered += of_rate.answered;
            shares.levels[level].won += of_rate.won;
        }
        shares
    }

    /// The middle rate of so many answers; of an even number, the lower of the two in the middle.
    fn middle_rate(&self, count: u32) -> Option<Decimal> {
        let middle = count.checked_sub(1)? / 2;
        let mut up_to = 0;
        let mut rates = self.diary.answers();
        let found = rates.find(|(_, level)| {
            up_to += level.answered;
            up_to > middle
        });
        found.map(|(rate, _)| rate.get())
    }
}

/// The slices in which there is a job.
fn slices<'t, Found, Key>(
    found: impl Iterator<Item = (Found, &'t Totals)>,
    named: impl Fn(Found) -> Key,
) -> Vec<Slice<Key>> {
    let found = found.filter(|(_, totals)| totals.jobs > 0);
    let slice = |(key, totals): (Found, &Totals)| Slice {
        key: named(key),
        sums: totals.sums(),
    };
    found.map(slice).collect()
}

/// The slices by the rate made, the best first; those without a rate last; equal ones by name.
fn best_first<Key: Ord>(slices: Vec<Slice<Key>>) -> Vec<Slice<Key>> {
    let mut rated: Vec<(Option<Decimal>, Slice<Key>)> =
        slices.into_iter().map(|slice| (slice.sums.rate(), slice)).collect();
    rated.sort_by(|(rate, slice), (other_rate, other)| other_rate.cmp(rate).then_with(|| slice.key.cmp(&other.key)));
    rated.into_iter().map(|(_, slice)| slice).collect()
}

/// What was paid in full or not, for a list of what is owed.
impl QuoteEntry {
    /// Whether money is still to come for work that is done.
    pub fn is_owed(&self) -> bool {
        self.status == Status::Done && self.owed() > Money::ZERO
    }
}

#[cfg(test)]
mod tests;
