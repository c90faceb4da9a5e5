//! What did the jobs of a stretch of time come to, and which work pays?
//!
//! A report is a fold over the quotes of the book: nothing is kept for it but each job's own figures, which were worked
//! out when it was finished. A job counts in the stretch in which it ended; revenue is the price before tax. The work of a
//! job with several kinds is shared out by the minutes quoted for each line, what it earned by the lines' prices; the
//! shares of a job add up to the job to the cent, so every way of cutting a report gives the same sum.

use std::{collections::HashMap, hash::Hash};

use rust_decimal::Decimal;

use super::{
    book::Book,
    quotes::{QuoteEntry, Status},
};
use crate::units::{Money, RoundingPolicy, Timestamp};

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

/// A line's share of what a finished job earned and took.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Share {
    line: usize,
    earned: Decimal,
    man_minutes: Decimal,
    quoted_man_minutes: Decimal,
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

    fn add(&mut self, other: &Sums) {
        self.jobs += other.jobs;
        self.revenue += other.revenue;
        self.earned += other.earned;
        self.man_minutes += other.man_minutes;
        self.quoted_man_minutes += other.quoted_man_minutes;
        self.at_rate += other.at_rate;
    }
}

impl Book {
    /// What a stretch of time came to.
    pub fn report(&self, period: Period) -> Report {
        let mut report = Report {
            all: Sums::default(),
            paid: Decimal::ZERO,
            owed: Decimal::ZERO,
            quoted: 0,
            won: 0,
            lost: 0,
            by_class: Vec::new(),
            by_place: Vec::new(),
            by_crew: Vec::new(),
        };
        let mut classes: HashMap<(&str, Option<&str>), Sums> = HashMap::new();
        let mut places: HashMap<Option<&str>, Sums> = HashMap::new();
        let mut crews: HashMap<u32, Sums> = HashMap::new();
        for entry in self.quotes_newest_first() {
            report.take_answers(entry, period);
            let Some(sums) = sums_of(entry, period) else { continue };
            report.all.add(&sums);
            report.owed += entry.owed().get();
            places.entry(entry.place.as_deref()).or_default().add(&sums);
            crews.entry(entry.crew().get()).or_default().add(&sums);
            for share in entry.shares() {
                let Some(line) = entry.sheet.lines.get(share.line) else {
                    continue;
                };
                let class = (line.service.as_str(), line.size.as_deref());
                classes.entry(class).or_default().add(&share.sums(entry));
            }
        }
        let owned = |(service, size): (&str, Option<&str>)| (service.to_string(), size.map(str::to_string));
        report.by_class = best_first(classes, owned);
        report.by_place = best_first(places, |place| place.map(str::to_string));
        report.by_crew = best_first(crews, |crew| crew);
        report.by_crew.sort_by_key(|slice| slice.key);
        report
    }

    /// What the jobs came to that ended between one of these times and the next, which are in order.
    pub fn course_of_jobs(&self, times: &[Timestamp]) -> Vec<Sums> {
        let mut parts = vec![Sums::default(); times.len().saturating_sub(1)];
        for entry in self.quotes_newest_first() {
            let Some(ended) = entry.finish.as_ref().map(|finish| finish.ended) else {
                continue;
            };
            let after = times.partition_point(|time| *time <= ended);
            let part = after.checked_sub(1).and_then(|index| parts.get_mut(index));
            if let (Some(part), Some(sums)) = (part, job_sums(entry)) {
                part.add(&sums);
            }
        }
        parts
    }

    /// How often quotes are won, by price level.
    pub fn win_share(&self) -> WinShare {
        let mut answered: Vec<(Decimal, bool)> = self
            .quotes_newest_first()
            .filter(|entry| entry.status != Status::Open)
            .filter_map(|entry| Some((entry.rate_quoted()?.get(), entry.status != Status::Lost)))
            .collect();
        answered.sort_unstable();
        let usual_rate = middle(&answered);
        let mut shares = WinShare {
            usual_rate,
            answered: 0,
            won: 0,
            levels: [Level::default(); 3],
        };
        let (low, high) = (Decimal::new(9, 1), Decimal::new(11, 1));
        for (rate, won) in answered {
            shares.answered += 1;
            shares.won += u32::from(won);
            let Some(usual) = usual_rate else { continue };
            let level = match () {
                () if rate < usual * low => 0,
                () if rate > usual * high => 2,
                () => 1,
            };
            shares.levels[level].answered += 1;
            shares.levels[level].won += u32::from(won);
        }
        shares
    }
}

impl Report {
    fn take_answers(&mut self, entry: &QuoteEntry, period: Period) {
        self.quoted += u32::from(period.holds(entry.given_at));
        if entry.decided_at.is_some_and(|at| period.holds(at)) {
            let lost = entry.status == Status::Lost;
            self.lost += u32::from(lost);
            self.won += u32::from(!lost);
        }
        let paid = entry.payments.iter().filter(|payment| period.holds(payment.at));
        self.paid += paid.map(|payment| payment.amount.get()).sum::<Decimal>();
    }
}

/// What a job came to, when it ended in the stretch.
fn sums_of(entry: &QuoteEntry, period: Period) -> Option<Sums> {
    entry.finish.as_ref().filter(|finish| period.holds(finish.ended))?;
    job_sums(entry)
}

/// What a job came to, once it has ended.
fn job_sums(entry: &QuoteEntry) -> Option<Sums> {
    let finish = entry.finish.as_ref()?;
    let quoted = entry.quoted_man_minutes().get();
    Some(Sums {
        jobs: 1,
        revenue: entry.revenue()?.get(),
        earned: entry.earned()?.get(),
        man_minutes: finish.man_minutes.get(),
        quoted_man_minutes: quoted,
        at_rate: quoted * entry.sheet.quote_rate().get(),
    })
}

impl Share {
    /// Man-minutes worked and dollars earned.
    pub(super) fn figures(&self) -> (Decimal, Decimal) {
        (self.man_minutes, self.earned)
    }

    fn sums(&self, entry: &QuoteEntry) -> Sums {
        Sums {
            jobs: 1,
            revenue: self.earned,
            earned: self.earned,
            man_minutes: self.man_minutes,
            quoted_man_minutes: self.quoted_man_minutes,
            at_rate: self.quoted_man_minutes * entry.sheet.quote_rate().get(),
        }
    }

    /// Shares out a finished job over its lines; the last line takes what rounding leaves.
    pub(super) fn of(entry: &QuoteEntry) -> Vec<Share> {
        let (Some(worth), Some(finish), Some(earned)) = (entry.worth(), &entry.finish, entry.earned()) else {
            return Vec::new();
        };
        let quoted = entry.quoted_man_minutes().get();
        let minutes: Vec<Decimal> = worth.lines.iter().map(|line| line.man_minutes.get()).collect();
        let done: Vec<Decimal> = (0..minutes.len())
            .map(|line| done_minutes(entry, line, &minutes))
            .collect();
        let prices: Vec<Decimal> = worth
            .lines
            .iter()
            .map(|line| line.price.get().max(Decimal::ZERO))
            .collect();
        let earned = shared_out(earned.get(), &prices, 2);
        let worked = shared_out(finish.man_minutes.get(), &done, 4);
        let quoted = shared_out(quoted, &minutes, 4);
        (0..minutes.len())
            .map(|line| Share {
                line,
                earned: earned[line],
                man_minutes: worked[line],
                quoted_man_minutes: quoted[line],
            })
            .collect()
    }
}

/// The minutes quoted for what was really done of a line.
fn done_minutes(entry: &QuoteEntry, line: usize, quoted: &[Decimal]) -> Decimal {
    let (Some(counted), Some(finish)) = (entry.sheet.lines.get(line), &entry.finish) else {
        return Decimal::ZERO;
    };
    let same = |done: &&super::event::DoneLine| done.service == counted.service && done.size == counted.size;
    let done = finish.done.iter().find(same).map(|done| done.quantity.get());
    let share = done.and_then(|done| done.checked_div(counted.quantity.get()));
    share
        .and_then(|share| quoted[line].checked_mul(share))
        .unwrap_or(quoted[line])
}

/// A figure divided by weights, each part rounded, the last taking the rest; evenly when there are no weights.
fn shared_out(whole: Decimal, weights: &[Decimal], places: u32) -> Vec<Decimal> {
    let sum: Decimal = weights.iter().sum();
    let mut left = whole;
    let mut parts = Vec::with_capacity(weights.len());
    for (index, weight) in weights.iter().enumerate() {
        let part = if index + 1 == weights.len() {
            left
        } else {
            let part = match whole.checked_mul(*weight).and_then(|part| part.checked_div(sum)) {
                Some(part) => part,
                None => whole / Decimal::from(weights.len()),
            };
            RoundingPolicy::HalfUp.places(part, places)
        };
        left -= part;
        parts.push(part);
    }
    parts
}

/// The slices by the rate made, the best first; those without a rate last; equal ones by name.
fn best_first<Found: Eq + Hash, Key: Ord>(
    found: HashMap<Found, Sums>,
    named: impl Fn(Found) -> Key,
) -> Vec<Slice<Key>> {
    let mut slices: Vec<Slice<Key>> = found
        .into_iter()
        .map(|(key, sums)| Slice { key: named(key), sums })
        .collect();
    slices.sort_by(|one, other| {
        let by_rate = other.sums.rate().cmp(&one.sums.rate());
        by_rate.then_with(|| one.key.cmp(&other.key))
    });
    slices
}

/// The middle rate; of an even number, the lower of the two in the middle.
fn middle(sorted: &[(Decimal, bool)]) -> Option<Decimal> {
    let last = sorted.len().checked_sub(1)?;
    sorted.get(last / 2).map(|(rate, _)| *rate)
}

/// What was paid in full or not, for a list of what is owed.
impl QuoteEntry {
    /// Whether money is still to come for work that is done.
    pub fn is_owed(&self) -> bool {
        self.status == Status::Done && self.owed() > Money::ZERO
    }
}

#[cfg(test)]
mod tests {
    use super::{Decimal, shared_out};

    #[test]
    fn parts_add_up_to_the_whole() {
        let weights = [Decimal::ONE, Decimal::ONE, Decimal::ONE];
        let parts = shared_out(Decimal::from(100), &weights, 2);
        let wanted: Vec<Decimal> = [3333, 3333, 3334].map(|cents| Decimal::new(cents, 2)).to_vec();
        assert_eq!(parts, wanted);
        assert_eq!(
            shared_out(Decimal::ONE, &[Decimal::ZERO], 2),
            vec![Decimal::ONE],
            "a line without a price takes all when it is the only one"
        );
    }
}
