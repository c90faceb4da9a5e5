//! Reports against a plain fold over the quotes: whatever was told, put right and taken back, both come to the same.

use std::{cmp::Reverse, collections::BTreeMap};

use imbl::OrdMap;
use proptest::prelude::{ProptestConfig, prop_assert, prop_assert_eq, proptest};
use rust_decimal::Decimal;

use super::{Level, Period, Report, Slice, Sums, WinShare};
use crate::{
    journal::{
        Book, Card, QuoteEntry, Status,
        diary::Diary,
        histories::{messages, times, told},
        names::Names,
        replay,
    },
    units::{QuoteNo, Timestamp},
};

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

fn add(sums: &mut Sums, other: &Sums) {
    sums.jobs += other.jobs;
    sums.revenue += other.revenue;
    sums.earned += other.earned;
    sums.man_minutes += other.man_minutes;
    sums.quoted_man_minutes += other.quoted_man_minutes;
    sums.at_rate += other.at_rate;
}

/// The slices, the best rate first and equal ones by name.
fn best_first<Key: Ord + Clone>(found: BTreeMap<Key, Sums>) -> Vec<Slice<Key>> {
    let mut slices: Vec<Slice<Key>> = found.into_iter().map(|(key, sums)| Slice { key, sums }).collect();
    slices.sort_by_key(|slice| (Reverse(slice.sums.rate()), slice.key.clone()));
    slices
}

/// What a stretch came to, by looking at every quote.
fn report(book: &Book, period: Period) -> Report {
    let (mut all, mut paid, mut owed) = (Sums::default(), Decimal::ZERO, Decimal::ZERO);
    let (mut quoted, mut won, mut lost) = (0, 0, 0);
    let (mut classes, mut places, mut crews) = (BTreeMap::new(), BTreeMap::new(), BTreeMap::new());
    for entry in book.quotes_newest_first() {
        quoted += u32::from(period.holds(entry.given_at));
        if entry.decided_at.is_some_and(|at| period.holds(at)) {
            lost += u32::from(entry.status == Status::Lost);
            won += u32::from(entry.status != Status::Lost);
        }
        let in_it = entry.payments.iter().filter(|payment| period.holds(payment.at));
        paid += in_it.map(|payment| payment.amount.get()).sum::<Decimal>();
        let ended = entry.finish.as_ref().is_some_and(|finish| period.holds(finish.ended));
        let Some(sums) = job_sums(entry).filter(|_| ended) else {
            continue;
        };
        add(&mut all, &sums);
        owed += entry.owed().get();
        add(places.entry(entry.place.clone()).or_default(), &sums);
        add(crews.entry(entry.crew().get()).or_default(), &sums);
        for share in entry.shares() {
            let line = &entry.sheet.lines[share.line];
            let part = Sums {
                jobs: 1,
                revenue: share.earned,
                earned: share.earned,
                man_minutes: share.man_minutes,
                quoted_man_minutes: share.quoted_man_minutes,
                at_rate: share.quoted_man_minutes * entry.sheet.quote_rate().get(),
            };
            add(
                classes.entry((line.service.clone(), line.size.clone())).or_default(),
                &part,
            );
        }
    }
    let by_crew = crews.into_iter().map(|(key, sums)| Slice { key, sums }).collect();
    let (by_class, by_place) = (best_first(classes), best_first(places));
    Report {
        all,
        paid,
        owed,
        quoted,
        won,
        lost,
        by_class,
        by_place,
        by_crew,
    }
}

fn win_share(book: &Book) -> WinShare {
    let mut answered: Vec<(Decimal, bool)> = book
        .quotes_newest_first()
        .filter(|entry| entry.status != Status::Open)
        .filter_map(|entry| Some((entry.rate_quoted()?.get(), entry.status != Status::Lost)))
        .collect();
    answered.sort_unstable();
    let middle = answered.len().checked_sub(1).map(|last| answered[last / 2].0);
    let mut shares = WinShare {
        usual_rate: middle,
        answered: 0,
        won: 0,
        levels: [Level::default(); 3],
    };
    for (rate, won) in answered {
        let usual = middle.unwrap_or_default();
        let level = match () {
            () if rate < usual * Decimal::new(9, 1) => 0,
            () if rate > usual * Decimal::new(11, 1) => 2,
            () => 1,
        };
        shares.answered += 1;
        shares.won += u32::from(won);
        shares.levels[level].answered += 1;
        shares.levels[level].won += u32::from(won);
    }
    shares
}

/// The last job of each place in a stretch, without the places that were served from a time on.
fn last_at_places(book: &Book, period: Period, from: Timestamp) -> Vec<(Timestamp, u32)> {
    let mut last: BTreeMap<&str, (Timestamp, u32)> = BTreeMap::new();
    let ended = |entry: &QuoteEntry| entry.finish.as_ref().map(|finish| finish.ended);
    let placed = || {
        book.quotes_newest_first()
            .filter_map(|entry| Some((entry.place.as_deref()?, entry)))
    };
    for (place, entry) in placed() {
        let served = placed().any(|(there, other)| {
            there == place && (other.given_at >= from || ended(other).is_some_and(|at| at >= from))
        });
        if let Some(at) = ended(entry).filter(|at| !served && period.holds(*at)) {
            let known = last.entry(place).or_insert((at, entry.no.get()));
            *known = (*known).max((at, entry.no.get()));
        }
    }
    let mut last: Vec<(Timestamp, u32)> = last.into_values().collect();
    last.sort_unstable();
    last
}

/// What is kept beside the quotes, which no row holds.
fn kept(book: &Book) -> (&Diary, &OrdMap<QuoteNo, Card>, &Names) {
    (&book.diary, &book.cards, &book.names)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_kept_for_reports_comes_to_a_fold_over_the_quotes(
        said in messages(),
        mut times in proptest::collection::vec(times(), 4),
        served in times(),
    ) {
        let (log, state) = told(&said);
        let book = state.book();
        let fresh = replay(&log);
        prop_assert!(state.rows() == fresh.rows(), "rows, live and replayed");
        prop_assert!(kept(book) == kept(fresh.book()), "what is kept beside the quotes, live and replayed");
        times.sort_unstable();
        for (from, until) in [(times[0], times[3]), (times[1], times[2]), (times[2], times[2]), (times[3], times[0])] {
            let period = Period { from, until };
            prop_assert_eq!(book.report(period), report(book, period));
        }
        let course: Vec<Sums> = times
            .windows(2)
            .map(|pair| report(book, Period { from: pair[0], until: pair[1] }).all)
            .collect();
        prop_assert_eq!(book.course_of_jobs(&times), course);
        prop_assert_eq!(book.win_share(), win_share(book));
        let period = Period { from: times[0], until: times[2] };
        let mut due: Vec<(Timestamp, u32)> =
            book.last_at_places(period, served).iter().map(|(at, entry)| (*at, entry.no.get())).collect();
        due.sort_unstable();
        prop_assert_eq!(due, last_at_places(book, period, served));
    }
}
