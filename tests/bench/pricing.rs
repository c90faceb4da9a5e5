//! How long a quote takes: 1, 20 and 500 lines, with every rule at work; and the sums worked backwards.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use tallyhand::{
    pricing::{Basis, Discount, Effort, FeeKind, Sheet, SheetLine, Step, Tax, quote, solve},
    units::{Crew, Money, Percent, Unit},
};

fn line(index: usize) -> SheetLine {
    let figure = |text: &str| text.parse().expect("a figure");
    SheetLine {
        service: "crape myrtle".to_owned(),
        size: Some("medium".to_owned()),
        unit: Unit::Each,
        quantity: figure(&format!("{}", 1 + index % 40)),
        effort: Effort::Each(format!("{}.25", 3 + index % 20).parse().expect("minutes")),
        rate: None,
        material_each: index.is_multiple_of(3).then(|| "4.15".parse().expect("a price")),
        price_each: index.is_multiple_of(7).then(|| "15.50".parse().expect("a price")),
        basis: Basis::Set,
    }
}

fn sheet(lines: usize) -> Sheet {
    let percent = |text: &str| text.parse::<Percent>().expect("a percentage");
    Sheet {
        lines: (0..lines).map(line).collect(),
        set_up: Some("15".parse().expect("minutes")),
        haul: Some("20".parse().expect("minutes")),
        fees: vec![(FeeKind::DumpFee, Money::from_cents(25_00))],
        minimum: Some(Money::from_cents(95_00)),
        step: Step::Nearest(Money::from_cents(5_00)),
        discount: Discount::Percent(percent("5")),
        tax: Tax::All(percent("7")),
        markup: percent("15"),
        ..Sheet::blank("119.99".parse().expect("a rate"), Crew::ONE)
    }
}

fn quotes(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("quote");
    for lines in [1, 20, 500] {
        let sheet = sheet(lines);
        group.throughput(Throughput::Elements(lines as u64));
        group.bench_with_input(BenchmarkId::from_parameter(lines), &sheet, |bencher, sheet| {
            bencher.iter(|| quote(black_box(sheet)).expect("a price"));
        });
    }
    group.finish();
}

fn backwards(criterion: &mut Criterion) {
    let priced = quote(&sheet(20)).expect("a price");
    criterion.bench_function("rate at a price, 20 lines", |bencher| {
        bencher.iter(|| solve::rate_at_price(black_box(&priced), Money::from_cents(25_000)).expect("a rate"));
    });
}

criterion_group!(benches, quotes, backwards);
criterion_main!(benches);
