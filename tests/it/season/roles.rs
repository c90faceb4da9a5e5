//! What the crew may say and see, for each kind of message.

use serde_json::Value;
use tallyhand::{
    conversation::{self, Context, House, Inbound, MemberSeen},
    journal::{Recorded, State},
    replies,
    units::{InboundId, MemberId, Timestamp},
};

const OWNER: i64 = 1;
const CREW: i64 = 2;

struct Talk {
    state: State,
    count: u32,
}

impl Talk {
    fn new() -> Talk {
        let mut talk = Talk {
            state: State::new(),
            count: 0,
        };
        for text in [
            "rate 120",
            "crape myrtle small 6 min",
            "mow 30 min",
            "12 small crapes at Alder Ct",
            "won tuesday 8am",
            "mow at Birch Rd",
            "done 40 min",
        ] {
            talk.says(OWNER, text);
        }
        talk
    }

    fn says(&mut self, member: i64, text: &str) -> Value {
        self.count += 1;
        let start: Timestamp = "2026-01-12T15:00:00Z".parse().expect("a time");
        let now = Timestamp::from_unix_seconds(start.unix_seconds() + i64::from(self.count)).expect("a time");
        let seen = |id, name: &str, owner| MemberSeen {
            id: MemberId::new(id),
            name: name.to_string(),
            owner,
            chats: Vec::new(),
        };
        let inbound = Inbound {
            id: InboundId::new(format!("m{}", self.count)),
            channel: "test".to_string(),
            member: MemberId::new(member),
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
            house: House {
                members: vec![seen(OWNER, "Bea", true), seen(CREW, "Ana", false)],
                ..House::default()
            },
        };
        let outcome = conversation::handle(&self.state, &inbound, &ctx);
        let next = self.state.sequence() + 1;
        for (sequence, event) in (next..).zip(outcome.events) {
            self.state.apply(&Recorded {
                sequence,
                at: now,
                cause: inbound.id.clone(),
                member: inbound.member,
                event,
            });
        }
        replies::json(&outcome.answer, &inbound.id, now, &[])
    }
}

/// What the crew may say: understood as its kind, and no dollar in the answer.
#[test]
fn the_crew_clocks_finishes_notes_and_looks_without_a_price() {
    for (talk, kind) in [
        (&["here at Alder with 2 guys"][..], "here"),
        (&["here at Alder", "lunch"], "pause"),
        (&["here at Alder", "lunch", "back"], "resume"),
        (&["here at Alder", "Sam showed up"], "here"),
        (&["done at Alder, 85 min, did 13 small"], "finish"),
        (&["note Alder Ct: gate code 4411"], "note"),
        (&["small crapes took 5.5, 6 and 7"], "time"),
        (&["times"], "look"),
        (&["tuesday"], "look"),
        (&["this week"], "look"),
        (&["last time at Birch"], "look"),
        (&["?"], "menu"),
        (&["here at Alder", "undo"], "undo"),
    ] {
        let mut yard = Talk::new();
        let mut answer = Value::Null;
        for text in talk {
            answer = yard.says(CREW, text);
            check_without_prices(text, &answer);
        }
        assert_eq!(answer["understood"][0], kind, "{talk:?}: {answer:#}");
    }
}

/// What is the owner's: refused, with nothing changed and nothing shown.
#[test]
fn what_makes_or_shows_a_price_is_the_owners() {
    for text in [
        "rate 90",
        "crape myrtle small 8 min",
        "6 small crapes at Cedar Ln",
        "make that 14 small",
        "what do I make an hour at 250",
        "won",
        "lost, too high",
        "Alder on friday at 9",
        "Birch paid 60",
        "owed",
        "open quotes",
        "price list",
        "why",
        "how was january",
        "which work pays",
        "who is due",
        "jobs file",
        "show prices to Ana",
        "quote Birch again",
    ] {
        let mut yard = Talk::new();
        let before = yard.state.rows();
        let answer = yard.says(CREW, text);
        check_without_prices(text, &answer);
        let book = |rows: Vec<tallyhand::journal::ProjectionRow>| -> Vec<_> {
            rows.into_iter().filter(|row| row.table != "talks").collect()
        };
        assert_eq!(book(yard.state.rows()), book(before), "{text} changed the book");
    }
}

#[test]
fn the_owner_says_who_sees_prices() {
    let mut yard = Talk::new();
    yard.says(OWNER, "show prices to Ana");
    let answer = yard.says(CREW, "last time at Birch");
    assert_eq!(answer["job"]["price"], "60.00", "{answer:#}");
    yard.says(OWNER, "hide prices from the crew");
    check_without_prices("last time", &yard.says(CREW, "last time at Birch"));
    let nobody = yard.says(OWNER, "show prices to Zed");
    assert!(
        nobody["text"]
            .as_str()
            .expect("words")
            .contains("Nobody here is called Zed"),
        "{nobody:#}"
    );
}

#[track_caller]
fn check_without_prices(said: &str, answer: &Value) {
    let text = answer.to_string();
    assert!(!text.contains('$'), "{said:?} shows a price: {answer:#}");
    for field in [
        "price",
        "rate_made",
        "paid",
        "owed",
        "revenue",
        "earned",
        "total",
        "rate",
    ] {
        assert!(
            !text.contains(&format!("\"{field}\":")),
            "{said:?} shows {field}: {answer:#}"
        );
    }
}
