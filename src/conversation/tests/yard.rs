//! An account that is talked to in meanings.

use std::{
    cell::RefCell,
    collections::{BTreeMap, HashMap},
};

use crate::{
    conversation::{Answer, Context, Inbound, Part, turn::handle_with},
    journal::{self, Event, Recorded, State},
    language::{Expecting, Meaning, Reading, Said, Span, Vocabulary},
    units::{InboundId, MemberId, Timestamp},
};

/// Monday 2026-01-12 09:00 in Chicago.
const START_SECONDS: i64 = 1_768_230_000;

/// Rows by table and key.
pub(super) type Rows = BTreeMap<(&'static str, String), String>;

/// An account with its log, and the readings of the texts said to it.
pub(super) struct Yard {
    pub(super) log: Vec<Recorded>,
    pub(super) state: State,
    readings: RefCell<HashMap<String, Reading>>,
    rows: Rows,
    messages: i64,
    waited: i64,
}

impl Yard {
    pub(super) fn new() -> Self {
        Yard {
            log: Vec::new(),
            state: State::new(),
            readings: RefCell::default(),
            rows: Rows::new(),
            messages: 0,
            waited: 0,
        }
    }

    /// Lets minutes pass.
    pub(super) fn waits(&mut self, minutes: i64) {
        self.waited += 60 * minutes;
    }

    /// Says meanings as the owner.
    pub(super) fn says(&mut self, meanings: Vec<Meaning>) -> Answer {
        let reading = reading(meanings);
        self.member_says(1, reading)
    }

    /// Says what is read so, as a member.
    pub(super) fn member_says(&mut self, member: i64, reading: Reading) -> Answer {
        self.messages += 1;
        let text = format!("message {}", self.messages);
        self.readings.borrow_mut().insert(text.clone(), reading);
        let at = Timestamp::from_unix_seconds(START_SECONDS + self.waited).expect("within the calendar");
        let inbound = Inbound {
            id: InboundId::new(format!("m{}", self.messages)),
            channel: "test".to_string(),
            member: MemberId::new(member),
            text,
            heard: None,
            media: Vec::new(),
            at,
        };
        let ctx = Context {
            now: at,
            zone: chrono_tz::America::Chicago,
            public_url: None,
            secret: [7; 32],
            house: crate::conversation::House::default(),
        };
        let read =
            |text: &str, _: &Vocabulary, _: Expecting| self.readings.borrow().get(text).cloned().unwrap_or_default();
        let outcome = handle_with(&read, &self.state, &inbound, &ctx);
        self.record(&inbound, outcome.events);
        assert!(!outcome.answer.parts.is_empty(), "there is always something to say");
        check_sums(&outcome.answer);
        outcome.answer
    }

    /// Lets a text be read so, as a choice that says it will be.
    pub(super) fn reads(&mut self, text: &str, meanings: Vec<Meaning>) {
        self.readings.borrow_mut().insert(text.to_string(), reading(meanings));
    }

    fn record(&mut self, inbound: &Inbound, events: Vec<Event>) {
        let before = self.state.clone();
        let first = self.log.len();
        for event in events {
            let (kind, version, payload) = journal::encode(&event);
            let again = journal::decode(&kind, version, &payload).expect("a stored event decodes");
            assert_eq!(event, again, "{kind} {payload}");
            let recorded = Recorded {
                sequence: u64::try_from(self.log.len()).expect("a short log") + 1,
                at: inbound.at,
                cause: inbound.id.clone(),
                member: inbound.member,
                event,
            };
            self.state.apply(&recorded);
            self.log.push(recorded);
        }
        let new = &self.log[first..];
        let replayed = self.state.needs_replay();
        if replayed {
            self.state = journal::replay(&self.log);
        }
        match self.state.changes_since(&before, new) {
            Some(changes) if !replayed => {
                for change in changes {
                    let name = (change.table, change.key);
                    match change.json {
                        Some(json) => self.rows.insert(name, json),
                        None => self.rows.remove(&name),
                    };
                }
            }
            _ => self.rows = self.all_rows(),
        }
        assert_eq!(self.rows, self.all_rows(), "the rows told are all that changed");
        assert_eq!(
            self.rows,
            rows(&journal::replay(&self.log)),
            "a fold of the log gives the same rows"
        );
    }

    /// All rows of the state.
    pub(super) fn all_rows(&self) -> Rows {
        rows(&self.state)
    }

    /// The rows of the book alone, without what is being talked about.
    pub(super) fn book_rows(&self) -> Rows {
        let mut rows = self.all_rows();
        rows.retain(|(table, _), _| *table != "talks");
        rows
    }
}

/// The rows of a state.
pub(super) fn rows(state: &State) -> Rows {
    state
        .rows()
        .into_iter()
        .map(|row| ((row.table, row.key), row.json))
        .collect()
}

/// A reading of these meanings and nothing else.
pub(super) fn reading(meanings: Vec<Meaning>) -> Reading {
    let said = |(index, meaning): (usize, Meaning)| Said {
        meaning,
        span: Span {
            start: index,
            end: index + 1,
        },
    };
    Reading {
        meanings: meanings.into_iter().enumerate().map(said).collect(),
        ..Reading::default()
    }
}

/// The figures shown of a quote add up.
fn check_sums(answer: &Answer) {
    for part in &answer.parts {
        let Part::Quote(shown) = part else { continue };
        let priced = &shown.priced;
        let lines = priced.lines.iter().map(|line| line.price.get());
        let extras = priced.extras.iter().map(|extra| extra.price.get());
        let subtotal: rust_decimal::Decimal = lines.chain(extras).sum();
        assert_eq!(subtotal, priced.subtotal.get());
        assert_eq!(
            priced.subtotal.get() - priced.discount.get() + priced.tax.get(),
            priced.total.get()
        );
    }
}
