//! What a finish and a quote cost the time model, with 5 and with 50 classes that have all been learned from, and early
//! and late in the life of a book.

use std::hint::black_box;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use tallyhand::timing::amount::{Chance, ManMinutes, Units};
use tallyhand::timing::class::ClassKey;
use tallyhand::timing::model::TimeModel;
use tallyhand::timing::work::{Job, Work};

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
    for (classes, jobs) in [(5, 10), (5, 20_000), (50, 300), (50, 6_000)] {
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

criterion_group!(benches, finish_and_quote);
criterion_main!(benches);
