//! Books by chance: what any order of facts, corrections and takings back can lead to, for the tests of what is kept
//! beside the quotes.

use proptest::{collection::vec, prelude::Strategy};
use rust_decimal::Decimal;

use super::{
    event::{DoneLine, Event, JobFinished, Recorded},
    state::{State, replay},
};
use crate::{
    pricing::{Basis, Discount, Effort, FeeKind, Sheet, SheetLine, Tax},
    units::{
        Crew, InboundId, ManMinutes, MemberId, Money, Percent, Quantity, QuoteNo, RatePerManHour, Timestamp, Unit,
        UnitPrice,
    },
};

/// Numbers that one message is made of.
type Drawn = [u32; 6];

/// Days over which the facts are strewn.
const DAYS: u32 = 500;

/// What up to so many messages are made of, more than a state remembers.
pub(super) fn messages() -> impl Strategy<Value = Vec<Drawn>> {
    vec(proptest::array::uniform6(0_u32..1_000_000), 1..120)
}

/// A time that facts and stretches are drawn from, from before the first to after the last.
pub(super) fn times() -> impl Strategy<Value = Timestamp> {
    (0..(DAYS + 2) * 24).prop_map(|hour| at(hour * 60))
}

/// The log of such messages, and the state that it led to, taken in fact by fact as it is while people talk. A quote takes
/// the number that is next, which may be one that was taken back.
pub(super) fn told(messages: &[Drawn]) -> (Vec<Recorded>, State) {
    let mut log: Vec<Recorded> = Vec::new();
    let mut state = State::new();
    let mut causes: Vec<InboundId> = Vec::new();
    for (index, drawn) in messages.iter().enumerate() {
        let cause = InboundId::new(format!("m{index}"));
        for event in events(*drawn, state.book().next_quote_no(), &mut causes) {
            let recorded = Recorded {
                sequence: log.len() as u64 + 1,
                at: at(drawn[1] % (DAYS * 24 * 60)),
                cause: cause.clone(),
                member: MemberId::new(1 + i64::from(drawn[2] % 2)),
                event,
            };
            state.apply(&recorded);
            log.push(recorded);
            if state.needs_replay() {
                state = replay(&log);
            }
        }
        causes.push(cause);
    }
    (log, state)
}

fn at(minute: u32) -> Timestamp {
    Timestamp::from_unix_seconds(1_750_000_000 + i64::from(minute) * 60).expect("a time")
}

fn events(drawn: Drawn, next: QuoteNo, told: &mut Vec<InboundId>) -> Vec<Event> {
    let [kind, _, pick, figure, other, time] = drawn;
    let no = QuoteNo::new(1 + pick % next.get().min(15));
    let cents = |number: u32| Money::from_cents(i32::try_from(number % 60_000).expect("few cents"));
    let time = at(time % (DAYS * 24 * 60));
    vec![match kind % 20 {
        0..=3 => {
            let (place, sheet, total) = (place(figure), sheet(figure, other), cents(other));
            let done = Event::JobFinished(finished(next, time, sheet.lines.clone(), figure, total));
            let given = Event::QuoteGiven {
                no: next,
                place,
                sheet,
                total,
            };
            if kind % 20 == 3 {
                return vec![given, done];
            }
            given
        }
        4 | 5 => Event::QuoteRevised {
            no,
            place: place(other),
            sheet: sheet(other, figure),
            total: cents(figure),
        },
        6 => Event::QuoteWon {
            no,
            agreed: cents(figure),
        },
        7 => Event::QuoteLost {
            no,
            reason: None,
            price: None,
        },
        8 => Event::JobPlanned { no, start: time },
        9 | 10 => Event::PaymentTaken {
            no,
            amount: cents(figure),
            method: None,
        },
        11 => Event::RestLetGo {
            no,
            amount: cents(figure),
        },
        12..=14 => Event::JobFinished(finished(no, time, sheet(figure, other).lines, other, cents(figure))),
        15 => Event::ExtraBilled {
            no,
            amount: cents(figure),
            agreed: cents(other),
        },
        16 => Event::NoteKept {
            no: Some(no),
            place: None,
            text: format!("Gate {}, KEY {}", figure % 50, place_name(other)),
        },
        17 => Event::ClientAccepted {
            no,
            agreed: cents(figure),
            name: "A client".to_string(),
        },
        18 => Event::WorkStarted {
            no,
            at: time,
            crew: Crew::new(1 + figure % 4).ok(),
        },
        _ => taking_back(figure, other, told),
    }]
}

/// Takes back some of the messages that were told: the last ones mostly, now and then some further back.
fn taking_back(figure: u32, other: u32, told: &mut Vec<InboundId>) -> Event {
    let count = (1 + figure as usize % 5).min(told.len());
    let from = match other % 3 {
        0 => other as usize % (told.len() - count + 1),
        _ => told.len() - count,
    };
    Event::Undone {
        causes: told.drain(from..from + count).collect(),
    }
}

fn place_name(drawn: u32) -> String {
    format!(
        "{} {}",
        drawn % 7,
        ["Alder Ct", "Éclat Way", "holly rd"][drawn as usize % 3]
    )
}

fn place(drawn: u32) -> Option<String> {
    (!drawn.is_multiple_of(5)).then(|| place_name(drawn))
}

fn minutes(drawn: u32) -> ManMinutes {
    // Whole minutes, halves, and thirds, which no decimal holds.
    let minutes = Decimal::from(1 + drawn % 200) / Decimal::from([1, 2, 3][drawn as usize % 3]);
    ManMinutes::new(minutes).expect("minutes")
}

fn line(kind: u32, count: u32) -> SheetLine {
    let (service, size) = [
        ("mow", None),
        ("crape myrtle", Some("small")),
        ("crape myrtle", Some("large")),
        ("holly", Some("small")),
    ][kind as usize % 4];
    SheetLine {
        service: service.to_string(),
        size: size.map(str::to_string),
        unit: Unit::Each,
        quantity: Quantity::new(Decimal::new(i64::from(1 + count % 400), count % 3)).expect("a count"),
        effort: if kind.is_multiple_of(5) {
            Effort::Whole(minutes(count))
        } else {
            Effort::Each(minutes(kind))
        },
        rate: kind
            .is_multiple_of(7)
            .then(|| RatePerManHour::new(Decimal::new(8_512, 2)).expect("a rate")),
        material_each: count
            .is_multiple_of(3)
            .then(|| UnitPrice::new(Decimal::new(i64::from(count % 900), 2)).expect("a price")),
        price_each: None,
        basis: Basis::Set,
    }
}

fn sheet(drawn: u32, other: u32) -> Sheet {
    let rate = Decimal::new(i64::from(2_000 + drawn % 9_000), 2);
    let mut sheet = Sheet::blank(
        RatePerManHour::new(rate).expect("a rate"),
        Crew::new(1 + other % 4).expect("a crew"),
    );
    sheet.lines = (0..drawn % 4)
        .map(|index| line(drawn / 3 + index, other + index))
        .collect();
    // As worked backwards from a price.
    sheet.rate_said = other
        .is_multiple_of(6)
        .then(|| RatePerManHour::new(Decimal::new(11_764_705_882, 8)).expect("a rate"));
    sheet.set_up = drawn.is_multiple_of(2).then(|| minutes(other));
    sheet.fees.extend(
        drawn
            .is_multiple_of(5)
            .then_some((FeeKind::DumpFee, Money::from_cents(2_550))),
    );
    sheet.price_said = other.is_multiple_of(9).then_some(Money::from_cents(9_999));
    if drawn.is_multiple_of(8) {
        sheet.discount = Discount::Percent(Percent::new(10.into()).expect("a share"));
        sheet.tax = Tax::All(Percent::new(7.into()).expect("a share"));
    }
    if drawn.is_multiple_of(31) {
        // More than can be priced.
        let most = Effort::Each(ManMinutes::new(ManMinutes::GREATEST).expect("minutes"));
        sheet.lines.iter_mut().for_each(|line| line.effort = most);
    }
    sheet
}

fn finished(no: QuoteNo, ended: Timestamp, lines: Vec<SheetLine>, drawn: u32, agreed: Money) -> JobFinished {
    JobFinished {
        no,
        ended,
        crew: Crew::new(1 + drawn % 3).expect("a crew"),
        man_minutes: if drawn.is_multiple_of(17) {
            ManMinutes::ZERO
        } else {
            minutes(drawn)
        },
        range: None,
        done: lines.iter().map(DoneLine::from).collect(),
        agreed,
        extra: Money::ZERO,
    }
}
