//! What a finish and a quote cost the time model, with 5 and with 50 classes that have all been learned from, and early
//! and late in the life of a book; and what a whole `done 85 min` costs, from words to the state after it, at job 10 and at
//! job 100,000.

use std::hint::black_box;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use tallyhand::conversation::{Context, House, Inbound, handle};
use tallyhand::journal::{DoneLine, Event, JobFinished, Recorded, ServiceSet, State};
use tallyhand::pricing::{self, Basis, Effort, Sheet, SheetLine};
use tallyhand::timing::amount::{Chance, ManMinutes, Units};
use tallyhand::timing::class::ClassKey;
use tallyhand::timing::model::TimeModel;
use tallyhand::timing::work::{Job, Work};
use tallyhand::units::{Crew, InboundId, MemberId, Money, QuoteNo, Timestamp, Unit};

fn class(at: usize) -> ClassKey {
    ClassKey::sized(
        &format!("kind {}", at / 5),
        ["tiny", "small", "medium", "large", "huge"][at % 5],
    )
}

/// A job of two classes of one kind, every third with one of the next kind as well.
fn job(at: usize, classes: usize) -> Job {
    let first = at * 7 % classes;
    let mut counts = vec![(first, 6 + at % 9), (first / 5 * 5 + (first + 1) % 5, 1 + at % 4)];
    if at.is_multiple_of(3) {
        counts.push(((first + 5) % classes, 2));
    }
    let lines = counts
        .into_iter()
        .map(|(at, count)| (class(at), Units::new(count as f64).expect("a count")));
    let spent = ManMinutes::new(70.0 + (at * 31 % 60) as f64).expect("a figure");
    Job::new(Work::visit(lines).expect("counted"), spent).expect("some minutes")
}

fn book(classes: usize, jobs: usize) -> TimeModel {
    let mut model = TimeModel::new();
    for at in 0..classes {
        model
            .set_minutes(&class(at), ManMinutes::new(4.0 + at as f64 / 4.0).expect("a figure"))
            .expect("above zero");
    }
    for at in 0..jobs {
        model.observe(&job(at, classes)).expect("listed classes");
    }
    model
}

fn finish_and_quote(criterion: &mut Criterion) {
    let chance = Chance::new(0.8).expect("a chance");
    for (classes, jobs) in [(5, 10), (5, 100_000), (50, 300), (50, 6_000)] {
        let model = book(classes, jobs);
        let next = job(jobs, classes);
        criterion.bench_function(&format!("finish, {classes} classes, after {jobs} jobs"), |bencher| {
            bencher.iter_batched_ref(
                || model.clone(),
                |model| model.observe(black_box(&next)),
                BatchSize::SmallInput,
            );
        });
        criterion.bench_function(&format!("quote, {classes} classes, after {jobs} jobs"), |bencher| {
            bencher.iter(|| {
                let forecast = model
                    .outlook()
                    .forecast(black_box(next.work()))
                    .expect("listed classes");
                (
                    forecast.likely(),
                    forecast.chance_within(next.spent()),
                    forecast.budget_for(chance),
                )
            });
        });
    }
}

/// The next fact of a book, from a message of its own.
fn record(state: &mut State, event: Event) {
    let sequence = state.sequence() + 1;
    let at = Timestamp::from_unix_seconds(1_760_000_000 + i64::try_from(sequence).expect("a few") * 60);
    state.apply(&Recorded {
        sequence,
        at: at.expect("a time"),
        cause: InboundId::new(format!("m{sequence}")),
        member: MemberId::new(1),
        event,
    });
}

/// A quote of two sizes.
fn sheet(at: usize) -> Sheet {
    let line = |size: &str, count: usize, minutes: &str| SheetLine {
        service: "crape myrtle".to_string(),
        size: Some(size.to_string()),
        unit: Unit::Each,
        quantity: count.to_string().parse().expect("a count"),
        effort: Effort::Each(minutes.parse().expect("minutes")),
        rate: None,
        material_each: None,
        price_each: None,
        basis: Basis::Set,
    };
    Sheet {
        lines: vec![line("small", 6 + at % 9, "6"), line("medium", 1 + at % 4, "9")],
        ..Sheet::blank("120".parse().expect("a rate"), Crew::ONE)
    }
}

fn give(state: &mut State, at: usize) -> QuoteNo {
    let no = state.book().next_quote_no();
    let sheet = sheet(at);
    let total = pricing::quote(&sheet).expect("a quote").total;
    record(
        state,
        Event::QuoteGiven {
            no,
            place: None,
            sheet,
            total,
        },
    );
    no
}

/// A book with so many finished jobs and one open quote in hand.
fn worked(jobs: usize) -> State {
    let mut state = State::new();
    for (size, minutes) in [("small", "6"), ("medium", "9")] {
        record(
            &mut state,
            Event::ServicePriced(ServiceSet {
                service: "crape myrtle".to_string(),
                size: Some(size.to_string()),
                minutes_each: Some(minutes.parse().expect("minutes")),
                ..ServiceSet::default()
            }),
        );
    }
    for at in 0..jobs {
        let no = give(&mut state, at);
        let done = sheet(at).lines.iter().map(DoneLine::from).collect();
        record(
            &mut state,
            Event::JobFinished(JobFinished {
                no,
                ended: Timestamp::from_unix_seconds(1_760_000_000).expect("a time"),
                crew: Crew::ONE,
                man_minutes: (60 + at * 31 % 50).to_string().parse().expect("minutes"),
                range: None,
                done,
                agreed: Money::ZERO,
                extra: Money::ZERO,
            }),
        );
    }
    give(&mut state, jobs);
    state
}

fn whole_finish(criterion: &mut Criterion) {
    for jobs in [10, 100_000] {
        let state = worked(jobs);
        let now = Timestamp::from_unix_seconds(1_780_000_000).expect("a time");
        let inbound = Inbound {
            id: InboundId::new("next".to_string()),
            channel: "bench".to_string(),
            member: MemberId::new(1),
            text: "done 85 min".to_string(),
            heard: None,
            media: Vec::new(),
            at: now,
        };
        let context = Context {
            now,
            zone: chrono_tz::UTC,
            public_url: None,
            secret: [0; 32],
            house: House::default(),
        };
        criterion.bench_function(
            &format!("done 85 min, from words to the state after job {jobs}"),
            |bencher| {
                bencher.iter_batched(
                    || state.clone(),
                    |mut state| {
                        let outcome = handle(black_box(&state), &inbound, &context);
                        assert!(
                            outcome
                                .events
                                .iter()
                                .any(|event| matches!(event, Event::JobFinished(_)))
                        );
                        for event in outcome.events {
                            record(&mut state, event);
                        }
                        state
                    },
                    BatchSize::SmallInput,
                );
            },
        );
    }
}

criterion_group!(benches, finish_and_quote, whole_finish);
criterion_main!(benches);
