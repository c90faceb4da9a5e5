//! An account to talk to at times of one's own, in the account's local time.

use chrono::{NaiveDateTime, TimeZone};
use chrono_tz::Tz;
use serde_json::Value;
use tallyhand::{
    conversation::{self, Context, House, Inbound},
    exports,
    journal::{self, Event, Recorded, State},
    replies,
    units::{InboundId, MemberId, Timestamp},
};

/// An account with its log; the clock stands where it was last put.
pub(crate) struct Yard {
    pub(crate) state: State,
    log: Vec<Recorded>,
    zone: Tz,
    now: Timestamp,
    messages: u32,
}

impl Yard {
    /// An account in Chicago with a rate of 120 and a few minutes, on Monday 2026-01-12 at nine.
    pub(crate) fn new() -> Yard {
        let mut yard = Yard {
            state: State::new(),
            log: Vec::new(),
            zone: chrono_tz::America::Chicago,
            now: "2026-01-12T15:00:00Z".parse().expect("a time"),
            messages: 0,
        };
        for figure in [
            "rate 120",
            "crape myrtle small 6 min",
            "crape myrtle medium 9 min",
            "holly small 5 min",
            "azalea 4 min",
            "mow 30 min",
            "crew 1",
        ] {
            yard.says(figure);
        }
        yard
    }

    /// Puts the clock at a local time: `2026-01-12 09:00`. Of an hour that happens twice, the first.
    pub(crate) fn at(&mut self, local: &str) -> &mut Yard {
        let local = NaiveDateTime::parse_from_str(local, "%Y-%m-%d %H:%M").expect("a local time");
        let found = self
            .zone
            .from_local_datetime(&local)
            .earliest()
            .expect("an hour that is");
        self.now = Timestamp::from(found.to_utc());
        self
    }

    /// Puts the clock at an instant.
    pub(crate) fn at_instant(&mut self, instant: &str) -> &mut Yard {
        self.now = instant.parse().expect("an instant");
        self
    }

    /// Says something and gives the answer as data.
    pub(crate) fn says(&mut self, text: &str) -> Value {
        let now = self.now;
        self.hears(text, now)
    }

    /// A message that was sent at one time and comes in later: the clock of the account goes by when it was sent.
    pub(crate) fn hears(&mut self, text: &str, sent: Timestamp) -> Value {
        self.messages += 1;
        let inbound = Inbound {
            id: InboundId::new(format!("m{}", self.messages)),
            channel: "test".to_string(),
            member: MemberId::new(1),
            text: text.to_string(),
            heard: None,
            media: Vec::new(),
            at: sent,
        };
        let ctx = Context {
            now: self.now,
            zone: self.zone,
            public_url: None,
            secret: [7; 32],
            house: House::default(),
        };
        let outcome = conversation::handle(&self.state, &inbound, &ctx);
        let answer = replies::json(&outcome.answer, &inbound.id, self.now, &[]);
        for event in outcome.events {
            self.record(&inbound, event);
        }
        if self.state.needs_replay() {
            self.state = journal::replay(&self.log);
        }
        assert_eq!(
            journal::replay(&self.log).rows(),
            self.state.rows(),
            "a fold of the log is the state, after {text:?}"
        );
        answer
    }

    /// Says several things at once, one after the other, and gives the last answer.
    pub(crate) fn talks(&mut self, texts: &[&str]) -> Value {
        let mut last = Value::Null;
        for text in texts {
            last = self.says(text);
        }
        last
    }

    /// The account as it is exported.
    pub(crate) fn export(&self) -> Value {
        exports::account_json(&self.state, self.zone)
    }

    fn record(&mut self, inbound: &Inbound, event: Event) {
        let (kind, version, payload) = journal::encode(&event);
        assert_eq!(journal::decode(&kind, version, &payload).expect("it decodes"), event);
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
}

/// Looks a value up by a dotted path and compares it, figures as numbers.
#[track_caller]
pub(crate) fn check(answer: &Value, wanted: &[(&str, &str)]) {
    for (path, wanted) in wanted {
        let found = answer.pointer(&format!("/{}", path.replace('.', "/")));
        let text = match found {
            Some(Value::String(text)) => text.clone(),
            Some(other) => other.to_string(),
            None => "nothing".to_string(),
        };
        let number = |text: &str| {
            text.parse::<rust_decimal::Decimal>()
                .ok()
                .map(|figure| figure.normalize())
        };
        let same = text == *wanted || (number(&text).is_some() && number(&text) == number(wanted));
        assert!(same, "{path} is {text}, not {wanted}:\n{answer:#}");
    }
}

/// The answer's words hold these.
#[track_caller]
pub(crate) fn check_says(answer: &Value, words: &[&str]) {
    let text = answer["text"].as_str().expect("words");
    for wanted in words {
        assert!(text.contains(wanted), "{wanted:?} is not in:\n{text}");
    }
}
