//! How long a report over a book of 100,000 jobs takes.

use criterion::{Criterion, criterion_group, criterion_main};
use tallyhand::{
    journal::{DoneLine, Event, JobFinished, Period, Recorded, State},
    pricing::{Basis, Effort, Sheet, SheetLine},
    units::{Crew, InboundId, ManMinutes, MemberId, Money, Quantity, QuoteNo, RatePerManHour, Timestamp, Unit},
};

const JOBS: u32 = 100_000;

fn time(seconds: i64) -> Timestamp {
    Timestamp::from_unix_seconds(1_700_000_000 + seconds).expect("a time")
}

fn line(service: &str, size: Option<&str>, count: u32, minutes: u32) -> SheetLine {
    SheetLine {
        service: service.to_string(),
        size: size.map(str::to_string),
        unit: Unit::Each,
        quantity: Quantity::new(count.into()).expect("a count"),
        effort: Effort::Each(ManMinutes::new(minutes.into()).expect("minutes")),
        rate: None,
        material_each: None,
        price_each: None,
        basis: Basis::Set,
    }
}

/// Jobs of two lines each, at 2,000 places, ten minutes apart.
fn book() -> State {
    let mut state = State::new();
    let rate = RatePerManHour::new(120.into()).expect("a rate");
    let mut sequence = 0;
    for no in 1..=JOBS {
        let at = time(i64::from(no) * 600);
        let place = format!("{} Alder Ct", no % 2_000);
        let mut sheet = Sheet::blank(rate, Crew::new(1 + no % 3).expect("a crew"));
        sheet.lines = vec![
            line("crape myrtle", Some("small"), 1 + no % 20, 6),
            line("holly", Some("large"), 1 + no % 5, 12),
        ];
        let done = sheet.lines.iter().map(DoneLine::from).collect();
        let total = Money::from_cents(20_000);
        let finished = JobFinished {
            no: QuoteNo::new(no),
            ended: at,
            crew: sheet.crew,
            man_minutes: ManMinutes::new((60 + no % 90).into()).expect("minutes"),
            range: None,
            done,
            agreed: total,
            extra: Money::ZERO,
        };
        let given = Event::QuoteGiven {
            no: QuoteNo::new(no),
            place: Some(place),
            sheet,
            total,
        };
        for event in [given, Event::JobFinished(finished)] {
            sequence += 1;
            state.apply(&Recorded {
                sequence,
                at,
                cause: InboundId::new(format!("m{sequence}")),
                member: MemberId::new(1),
                event,
            });
        }
    }
    state
}

fn reports(criterion: &mut Criterion) {
    let state = book();
    let all = Period {
        from: time(0),
        until: time(i64::from(JOBS) * 600 + 1),
    };
    criterion.bench_function("report over 100,000 jobs", |bencher| {
        bencher.iter(|| state.book().report(all));
    });
    criterion.bench_function("win share over 100,000 quotes", |bencher| {
        bencher.iter(|| state.book().win_share());
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = reports
}
criterion_main!(benches);
