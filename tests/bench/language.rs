//! How long a message takes to read: short and long, typed and dictated, against price lists of 8, 20 and 2,000 kinds; the
//! longest that is read at all; and what it costs to index the names.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use tallyhand::{
    language::{Expecting, ServiceName, TEXT_BYTES_MAX, Vocabulary, read},
    units::Unit,
};

const SHORT_TYPED: &[&str] = &[
    "12 small 3 medium crapes",
    "done 85 min",
    "rate 120",
    "make that 14 small",
    "40 ft hedge",
    "won tuesday 8am",
    "knock 10% off",
    "paid 250 check",
];

const LONG_TYPED: &str = "Alder Ct: 12 small crapes, 3 medium crapes, 5 large hollies, 40 ft hedge at $3 a foot, \
    6 yards mulch at 45 a yard, set-up 15, haul 20, dump fee 25, at 110 an hour, 2 guys, knock 10% off, friday at 9";

const LONG_DICTATED: &str = "okay so we are at alder court and um there are twelve small crape myrtles and three medium \
    ones and one really big one and then about forty feet of hedge along the drive and uh five large hollies by the gate \
    figure six minutes each on the little ones and an hour and a half for the big one no wait an hour forty and we will \
    need six yards of mulch two guys at one twenty an hour";

/// Made-up kinds: a different name for every number.
fn kinds(count: usize) -> Vec<ServiceName> {
    const HEADS: [&str; 20] = [
        "bram", "cor", "del", "fen", "gor", "hal", "jun", "kel", "lor", "mar", "nor", "ost", "pel", "quin", "ros",
        "sel", "tor", "ul", "ver", "wil",
    ];
    const MIDDLES: [&str; 10] = ["a", "e", "i", "o", "u", "ae", "ia", "eo", "ou", "ui"];
    const TAILS: [&str; 10] = [
        "bane", "dock", "fern", "gold", "lip", "moss", "nut", "pod", "rush", "wort",
    ];
    let named = |number: usize| ServiceName {
        name: format!(
            "{}{}{}",
            HEADS[number % 20],
            MIDDLES[number / 20 % 10],
            TAILS[number / 200 % 10]
        ),
        aliases: Vec::new(),
        unit: Unit::Each,
        sizes: ["small", "medium", "large"].map(str::to_owned).to_vec(),
        has_material: false,
    };
    (0..count).map(named).collect()
}

/// The eight kinds that the messages speak of, and made-up ones up to `count`.
fn price_list(count: usize) -> Vec<ServiceName> {
    let kind = |name: &str, unit, has_material| ServiceName {
        name: name.to_owned(),
        aliases: Vec::new(),
        unit,
        sizes: match unit {
            Unit::Each => ["small", "medium", "large"].map(str::to_owned).to_vec(),
            _ => Vec::new(),
        },
        has_material,
    };
    let mut list = vec![
        kind("crape myrtle", Unit::Each, false),
        kind("holly", Unit::Each, false),
        kind("boxwood", Unit::Each, false),
        kind("azalea", Unit::Each, false),
        kind("hedge", Unit::Foot, false),
        kind("mulch", Unit::Yard, true),
        kind("mow", Unit::Job, false),
        kind("gutter clean", Unit::Job, false),
    ];
    list.extend(kinds(count.saturating_sub(list.len())));
    list
}

fn vocabulary(count: usize) -> Vocabulary {
    Vocabulary::new(
        price_list(count),
        vec!["Alder Ct".to_owned(), "14 Boxwood Ln".to_owned()],
    )
}

/// A text of the greatest length made of one stretch over and over.
fn filled(stretch: &str, bytes: usize) -> String {
    stretch.repeat(bytes / stretch.len())
}

fn messages(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("read");
    for count in [8, 20, 2_000] {
        let vocabulary = vocabulary(count);
        let look = |text: &str| read(black_box(text), &vocabulary, Expecting::Nothing);
        group.throughput(Throughput::Elements(SHORT_TYPED.len() as u64));
        group.bench_function(BenchmarkId::new("short typed", count), |bench| {
            bench.iter(|| {
                for text in SHORT_TYPED {
                    black_box(look(text));
                }
            });
        });
        group.throughput(Throughput::Elements(1));
        for (name, text) in [("long typed", LONG_TYPED), ("long dictated", LONG_DICTATED)] {
            group.bench_function(BenchmarkId::new(name, count), |bench| bench.iter(|| look(text)));
        }
    }
    group.finish();
}

fn longest(criterion: &mut Criterion) {
    let vocabulary = vocabulary(20);
    let mut group = criterion.benchmark_group("longest");
    for bytes in [500, 1_000, 2_000, TEXT_BYTES_MAX] {
        for (name, stretch) in [
            ("counts", "12 small crapes, "),
            ("numbers", "7 "),
            ("spelled numbers", "two hundred twenty two "),
            ("unknown words", "wilmafern "),
            (
                "dictated",
                "and um three medium ones and an hour and a half for the big one ",
            ),
        ] {
            let text = filled(stretch, bytes);
            group.bench_function(BenchmarkId::new(name, bytes), |bench| {
                bench.iter(|| read(black_box(&text), &vocabulary, Expecting::Nothing));
            });
        }
    }
    group.finish();
}

fn index(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("index names");
    for count in [20, 2_000] {
        let list = price_list(count);
        group.bench_function(BenchmarkId::from_parameter(count), |bench| {
            bench.iter(|| Vocabulary::new(black_box(list.clone()), Vec::new()));
        });
    }
    group.finish();
}

criterion_group!(benches, messages, longest, index);
criterion_main!(benches);
