//! An account to talk to, kept in memory. Every message is checked against what must hold after any message.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde_json::Value;
use tallyhand::{
    conversation::{self, Context, Inbound},
    exports,
    journal::{self, Event, ProjectionRow, Recorded, State},
    replies,
    units::{InboundId, MemberId, Timestamp},
};

use crate::language_messages::STANDARD;

/// Monday 2026-01-12 09:00 in Chicago.
const START: &str = "2026-01-12T15:00:00Z";

/// Rows by table and key.
pub(crate) type Rows = BTreeMap<(&'static str, String), String>;

/// An account with its log.
#[derive(Clone)]
pub(crate) struct Yard {
    log: Vec<Recorded>,
    state: State,
    rows: Rows,
    messages: i64,
}

/// An answer with its data.
#[derive(Debug, Clone)]
pub(crate) struct Heard {
    pub(crate) text: String,
    pub(crate) json: Value,
}

impl Yard {
    pub(crate) fn new() -> Self {
        Yard {
            log: Vec::new(),
            state: State::new(),
            rows: BTreeMap::new(),
            messages: 0,
        }
    }

    /// An account with the figures that every corpus starts on.
    pub(crate) fn standard() -> Self {
        let mut yard = Yard::new();
        for figure in STANDARD {
            yard.says(figure);
        }
        yard
    }

    /// Says something as the owner.
    pub(crate) fn says(&mut self, text: &str) -> Heard {
        self.member_says(1, text)
    }

    /// Says something as one of the members.
    pub(crate) fn member_says(&mut self, member: i64, text: &str) -> Heard {
        self.messages += 1;
        let start: Timestamp = START.parse().expect("a time");
        let at = Timestamp::from_unix_seconds(start.unix_seconds() + self.messages).expect("within the calendar");
        let inbound = Inbound {
            id: InboundId::new(format!("m{}", self.messages)),
            channel: "test".to_string(),
            member: MemberId::new(member),
            text: text.to_string(),
            heard: None,
            media: Vec::new(),
            at,
        };
        let ctx = Context {
            now: at,
            zone: chrono_tz::America::Chicago,
            public_url: None,
            secret: [7; 32],
            house: tallyhand::conversation::House::default(),
        };
        let outcome = conversation::handle(&self.state, &inbound, &ctx);
        let again = conversation::handle(&self.state, &inbound, &ctx);
        assert_eq!(
            outcome, again,
            "the same message on the same state gives the same outcome: {text}"
        );
        let heard = Heard {
            text: replies::text(&outcome.answer),
            json: replies::json(&outcome.answer, &inbound.id, at, &[]),
        };
        self.record(&inbound, outcome.events);
        check_answer(text, &heard);
        heard
    }

    fn record(&mut self, inbound: &Inbound, events: Vec<Event>) {
        let before = self.state.clone();
        let first = self.log.len();
        for event in events {
            let recorded = Recorded {
                sequence: u64::try_from(self.log.len()).expect("a short log") + 1,
                at: inbound.at,
                cause: inbound.id.clone(),
                member: inbound.member,
                event,
            };
            check_stored(&recorded.event);
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
            _ => self.rows = by_name(self.state.rows()),
        }
        assert_eq!(
            self.rows,
            by_name(self.state.rows()),
            "rows changed, after {}",
            inbound.text
        );
        assert_eq!(
            by_name(journal::replay(&self.log).rows()),
            self.rows,
            "a fold of the log gives the same rows, after {}",
            inbound.text
        );
    }

    /// The rows of the state.
    pub(crate) fn rows(&self) -> Rows {
        by_name(self.state.rows())
    }

    /// Whether a question to the owner is open.
    pub(crate) fn is_asking(&self) -> bool {
        self.state.talk(MemberId::new(1)).pending.is_some()
    }

    /// How many quotes there are.
    pub(crate) fn quotes(&self) -> usize {
        self.state.book().quotes_newest_first().count()
    }

    /// The account as it is exported.
    pub(crate) fn account(&self) -> Value {
        exports::account_json(&self.state, chrono_tz::America::Chicago)
    }

    /// Starts again from the log, as after a restart of the program.
    pub(crate) fn restart(&mut self) {
        let stored: Vec<(String, u32, String)> = self
            .log
            .iter()
            .map(|recorded| {
                let (kind, version, payload) = journal::encode(&recorded.event);
                (kind.into_owned(), version, payload)
            })
            .collect();
        for (recorded, (kind, version, payload)) in self.log.iter_mut().zip(stored) {
            recorded.event = journal::decode(&kind, version, &payload).expect("what was stored decodes");
        }
        self.state = journal::replay(&self.log);
    }
}

fn by_name(rows: Vec<ProjectionRow>) -> Rows {
    let mut named = BTreeMap::new();
    put(&mut named, rows);
    named
}

fn put(rows: &mut Rows, new: Vec<ProjectionRow>) {
    for row in new {
        rows.insert((row.table, row.key), row.json);
    }
}

/// What is stored decodes to the same event.
fn check_stored(event: &Event) {
    let (kind, version, payload) = journal::encode(event);
    let again = journal::decode(&kind, version, &payload).expect("a stored event decodes");
    assert_eq!(*event, again, "{kind} {payload}");
}

/// What must hold of any answer: it says something, its figures add up, and a question about a quote shows no total.
fn check_answer(text: &str, heard: &Heard) {
    assert!(!heard.text.trim().is_empty(), "an answer to {text:?}");
    assert_eq!(heard.json["text"], Value::String(heard.text.clone()));
    assert!(
        !heard.json["understood"].as_array().expect("a list").is_empty(),
        "{text:?}"
    );
    let quote = &heard.json["quote"];
    if quote.is_object() {
        check_sum(text, quote);
        assert!(
            // Thousands stand apart in words and not in data.
            heard
                .text
                .replace(',', "")
                .contains(quote["total"].as_str().expect("a total")),
            "{text:?} -> {}",
            heard.text
        );
    }
}

/// Lines and extras make the subtotal, the subtotal less discount plus tax the total; the work adds up as well.
fn check_sum(text: &str, quote: &Value) {
    let amounts = |list: &Value, field: &str| -> Decimal {
        list.as_array()
            .expect("a list")
            .iter()
            .filter_map(|item| decimal(&item[field]))
            .sum()
    };
    let subtotal = amounts(&quote["lines"], "price") + amounts(&quote["extras"], "price");
    assert_eq!(
        Some(subtotal),
        decimal(&quote["subtotal"]),
        "{text:?}: lines and extras make the subtotal"
    );
    let total = subtotal - decimal(&quote["discount"]).expect("a discount") + decimal(&quote["tax"]).expect("a tax");
    assert_eq!(
        Some(total),
        decimal(&quote["total"]),
        "{text:?}: subtotal - discount + tax = total"
    );
    let work = amounts(&quote["lines"], "man_minutes") + amounts(&quote["extras"], "man_minutes");
    assert_eq!(Some(work), decimal(&quote["man_minutes"]), "{text:?}: the work adds up");
}

/// A figure given as text.
fn decimal(value: &Value) -> Option<Decimal> {
    value.as_str()?.parse().ok()
}
