//! Promises attacked with random conversations: replay = incremental (checked after every message by the yard), sums add
//! up (the same), taking back at any depth restores the book byte for byte.

use proptest::{
    collection::vec,
    prelude::{Just, ProptestConfig, Strategy, any},
    prop_assert, prop_assert_eq, prop_oneof, proptest,
};
use rust_decimal::Decimal;

use super::{
    meanings::{
        at, choice, class, done, line, minutes, quote, quote_at, rate, revise, set_minutes, undo, what_if, won,
    },
    yard::{Rows, Yard},
};
use crate::{
    conversation::Part,
    journal::{Event, Recorded, replay},
    language::{Change, ExtraKind, LineSaid, Look, Meaning, Setting, Solve, WhenSaid},
};

const SERVICES: [&str; 5] = ["crape myrtle", "holly", "azalea", "hedge", "mow"];
const SIZES: [Option<&str>; 4] = [None, Some("small"), Some("medium"), Some("large")];
const PLACES: [&str; 3] = ["Alder Ct", "Birch Rd", "Cedar Ln"];

fn any_line() -> impl Strategy<Value = LineSaid> {
    (1..40_i64, 0..6_usize, 0..4_usize, any::<bool>()).prop_map(|(quantity, service, size, more)| LineSaid {
        more,
        ..line(quantity, SERVICES.get(service).copied(), SIZES[size])
    })
}

fn any_change() -> impl Strategy<Value = Change> {
    prop_oneof![
        any_line().prop_map(Change::Quantity),
        any_line().prop_map(Change::Add),
        any_line().prop_map(Change::Drop),
        (0..60_i64).prop_map(|percent| Change::DiscountPercent(Decimal::from(percent))),
        (1..60_i64).prop_map(|money| Change::DiscountMoney(Decimal::from(money))),
        (50..900_i64).prop_map(|price| Change::Price(Decimal::from(price))),
        (40..200_i64).prop_map(|rate| Change::Rate(Decimal::from(rate))),
        (1..30_i64, 0..6_usize)
            .prop_map(|(value, service)| Change::Minutes(class(SERVICES.get(service).copied(), None), minutes(value))),
        (1..5_u32, 5..90_i64).prop_map(|(crew, value)| Change::WorkElapsed {
            minutes: minutes(value),
            crew
        }),
        Just(Change::No(ExtraKind::SetUp)),
        Just(Change::UseThat),
        Just(Change::BillExtra),
        (1..5_u32).prop_map(Change::Crew),
        (0..3_usize).prop_map(|place| Change::Place(at(PLACES[place]))),
    ]
}

fn any_meaning() -> impl Strategy<Value = Meaning> {
    prop_oneof![
        2 => (40..200_i64).prop_map(rate),
        2 => (0..5_usize, 0..4_usize, 1..30_i64)
            .prop_map(|(service, size, value)| set_minutes(SERVICES[service], SIZES[size], value)),
        1 => (0..40_i64).prop_map(|value| Meaning::Set(Setting::ExtraMinutes(ExtraKind::SetUp, Decimal::from(value)))),
        1 => (0..150_i64).prop_map(|value| Meaning::Set(Setting::ExtraMoney(ExtraKind::Minimum, Decimal::from(value)))),
        6 => vec(any_line(), 1..4).prop_map(quote),
        4 => (0..3_usize, vec(any_line(), 1..4)).prop_map(|(place, lines)| quote_at(PLACES[place], lines)),
        6 => vec(any_change(), 1..3).prop_map(revise),
        2 => vec(any_change(), 1..2).prop_map(what_if),
        2 => (10..300_i64).prop_map(done),
        2 => Just(won()),
        1 => Just(Meaning::Plan { place: None, when: WhenSaid { day: None, minute_of_day: Some(540) }, moved: false }),
        1 => Just(Meaning::Paid { place: None, amount: None, method: None }),
        1 => Just(Meaning::Look(Look::Why)),
        1 => (50..500_i64).prop_map(|price| Meaning::Solve(Solve::RateAtPrice {
            price: Decimal::from(price),
            each: false,
            class: None,
        })),
        4 => (1..4_i64).prop_map(choice),
    ]
}

/// Whether the facts of a message are a step that can be taken back.
fn is_step(facts: &[Recorded]) -> bool {
    facts.iter().any(|recorded| recorded.event.changes_book())
}

/// The messages that the facts of a step take back.
fn corrected(facts: &[Recorded]) -> Vec<String> {
    let causes = facts.iter().filter_map(|recorded| match &recorded.event {
        Event::Undone { causes } => Some(causes),
        _ => None,
    });
    causes.flatten().map(|cause| cause.as_str().to_string()).collect()
}

/// All messages that were corrected by a later step.
fn all_corrected(log: &[Recorded]) -> Vec<String> {
    log.chunk_by(|one, other| one.cause == other.cause)
        .filter(|facts| is_step(facts))
        .flat_map(corrected)
        .collect()
}

/// The log as if the messages of these numbers had never been said.
fn without(log: &[Recorded], gone: &[String]) -> Vec<Recorded> {
    log.iter()
        .filter(|recorded| !gone.contains(&recorded.cause.as_str().to_string()))
        .filter(|recorded| !matches!(recorded.event, Event::Undone { .. }))
        .cloned()
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn taking_back_restores_the_book_at_any_depth(
        meanings in vec(any_meaning(), 1..24),
        depth in 1..12_u32,
    ) {
        let mut yard = Yard::new();
        let mut before: Vec<(String, Rows)> = Vec::new();
        for meaning in meanings {
            let book = yard.book_rows();
            let first = yard.log.len();
            yard.says(vec![meaning]);
            let facts = &yard.log[first..];
            if is_step(facts) {
                // A correction takes the place of the step that it corrects: taking it back takes back both.
                let corrected = corrected(facts);
                let book = before
                    .iter()
                    .find(|(cause, _)| corrected.contains(cause))
                    .map_or(book, |(_, earlier)| earlier.clone());
                before.retain(|(cause, _)| !corrected.contains(cause));
                before.push((facts[0].cause.as_str().to_string(), book));
            }
        }
        // An open question is the first thing to go; it changed nothing in the book.
        if yard.state.talk(crate::units::MemberId::new(1)).pending.is_some() {
            let book = yard.book_rows();
            let pending_is_step = before.last().zip(yard.state.talk(crate::units::MemberId::new(1)).pending)
                .is_some_and(|((cause, _), open)| *cause == open.cause.as_str());
            if !pending_is_step {
                yard.says(vec![undo(1)]);
                prop_assert_eq!(yard.book_rows(), book);
            }
        }
        if yard.state.talk(crate::units::MemberId::new(1)).pending.is_none() {
            let wanted = usize::try_from(depth).expect("small").min(before.len());
            let answer = yard.says(vec![undo(depth)]);
            let told = answer.parts.iter().find_map(|part| match part {
                Part::Undone(shown) => Some(shown.taken.len()),
                _ => None,
            });
            prop_assert_eq!(told, Some(wanted), "it says what was taken back");
            if wanted > 0 {
                let (_, expected) = &before[before.len() - wanted];
                prop_assert_eq!(&yard.book_rows(), expected);
                let mut gone = all_corrected(&yard.log);
                gone.extend(before[before.len() - wanted..].iter().map(|(cause, _)| cause.clone()));
                let never_said = replay(&without(&yard.log, &gone));
                let mut rows = super::yard::rows(&never_said);
                rows.retain(|(table, _), _| *table != "talks");
                prop_assert_eq!(&yard.book_rows(), &rows);
            }
        }
    }

    #[test]
    fn one_at_a_time_comes_to_the_same_as_all_at_once(meanings in vec(any_meaning(), 1..16)) {
        let mut at_once = Yard::new();
        let mut singly = Yard::new();
        for meaning in meanings {
            at_once.says(vec![meaning.clone()]);
            singly.says(vec![meaning]);
        }
        at_once.says(vec![undo(100)]);
        for _ in 0..100 {
            let answer = singly.says(vec![undo(1)]);
            if answer.parts.iter().any(|part| matches!(part, Part::Undone(shown) if shown.taken.is_empty())) {
                break;
            }
        }
        prop_assert!(at_once.book_rows().is_empty());
        prop_assert!(singly.book_rows().is_empty());
    }
}

/// Deeper than the messages that the state remembers: the fold over the whole log takes over.
#[test]
fn taking_back_beyond_the_remembered_messages_is_exact_too() {
    let mut yard = Yard::new();
    for value in 1..=200 {
        yard.says(vec![rate(value)]);
    }
    yard.says(vec![undo(150)]);
    assert_eq!(
        yard.state
            .book()
            .settings()
            .rate
            .map(|rate| rate.to_string())
            .as_deref(),
        Some("50.00")
    );
    yard.says(vec![undo(49)]);
    assert_eq!(
        yard.state
            .book()
            .settings()
            .rate
            .map(|rate| rate.to_string())
            .as_deref(),
        Some("1.00")
    );
    yard.says(vec![undo(1)]);
    assert!(yard.all_rows().is_empty() || yard.book_rows().is_empty());
}
