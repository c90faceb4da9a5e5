//! How long a report over a book of 100,000 jobs takes: the sums alone, and each question as it is said, from its words to
//! the answer as text and data.

use criterion::{Criterion, criterion_group, criterion_main};
use tallyhand::{
    conversation::{self, Context, House, Inbound},
    journal::{DoneLine, Event, JobFinished, Period, Recorded, State},
    pricing::{Basis, Effort, Sheet, SheetLine},
    replies,
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

/// How many places the jobs are at.
const PLACES: u32 = 10_000;

fn finished(no: u32, at: Timestamp, sheet: &Sheet, agreed: Money) -> JobFinished {
    JobFinished {
        no: QuoteNo::new(no),
        ended: at,
        crew: sheet.crew,
        man_minutes: ManMinutes::new((60 + no % 90).into()).expect("minutes"),
        range: None,
        done: sheet.lines.iter().map(DoneLine::from).collect(),
        agreed,
        extra: Money::ZERO,
    }
}

/// Jobs of two lines each, ten minutes apart; one in twenty is not paid yet, and as many quotes more have no answer.
fn book() -> State {
    let mut state = State::new();
    let rate = RatePerManHour::new(120.into()).expect("a rate");
    let mut sequence = 0;
    let mut record = |at: Timestamp, event: Event| {
        sequence += 1;
        state.apply(&Recorded {
            sequence,
            at,
            cause: InboundId::new(format!("m{sequence}")),
            member: MemberId::new(1),
            event,
        });
    };
    for place in 0..PLACES {
        record(
            time(0),
            Event::PlaceNamed {
                name: format!("{place} Alder Ct"),
            },
        );
    }
    for no in 1..=JOBS {
        let at = time(i64::from(no) * 600);
        let place = format!("{} Alder Ct", no % PLACES);
        let mut sheet = Sheet::blank(rate, Crew::new(1 + no % 3).expect("a crew"));
        sheet.lines = vec![
            line("crape myrtle", Some("small"), 1 + no % 20, 6),
            line("holly", Some("large"), 1 + no % 5, 12),
        ];
        let total = Money::from_cents(20_000);
        let finished = finished(no, at, &sheet, total);
        let given = Event::QuoteGiven {
            no: QuoteNo::new(no),
            place: Some(place),
            sheet,
            total,
        };
        record(at, given);
        record(at, Event::JobFinished(finished));
        if no % 20 != 0 {
            record(
                at,
                Event::PaymentTaken {
                    no: QuoteNo::new(no),
                    amount: total,
                    method: None,
                },
            );
        }
    }
    for no in JOBS + 1..=JOBS + JOBS / 20 {
        let mut sheet = Sheet::blank(rate, Crew::ONE);
        sheet.lines = vec![line("holly", Some("large"), 1 + no % 5, 12)];
        record(
            time(i64::from(JOBS) * 600),
            Event::QuoteGiven {
                no: QuoteNo::new(no),
                place: None,
                sheet,
                total: Money::from_cents(2_400),
            },
        );
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
    for text in [
        "how was july 2024",
        "this season",
        "which work pays",
        "picture of this season",
        "who is due",
        "owed",
        "open quotes",
        "win rate",
        "tuesday",
        "last time at 17 Alder Ct",
    ] {
        criterion.bench_function(&format!("\"{text}\" over 100,000 jobs"), |bencher| {
            bencher.iter(|| ask(&state, text));
        });
    }
}

/// Asks the book something at the end of its time, and gives the length of the answer.
fn ask(state: &State, text: &str) -> usize {
    let now = time(i64::from(JOBS) * 600 + 1);
    let inbound = Inbound {
        id: InboundId::new("asked"),
        channel: "bench".to_string(),
        member: MemberId::new(1),
        text: text.to_string(),
        heard: None,
        media: Vec::new(),
        at: now,
    };
    let ctx = Context {
        now,
        zone: chrono_tz::America::Chicago,
        public_url: None,
        secret: [7; 32],
        house: House::default(),
    };
    let outcome = conversation::handle(state, &inbound, &ctx);
    assert_eq!(outcome.answer.understood, [conversation::Kind::Look], "{text}");
    replies::json(&outcome.answer, &inbound.id, now, &[]).to_string().len()
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = reports
}
criterion_main!(benches);
