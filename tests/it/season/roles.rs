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

const ALL: [bool; 3] = [true, true, true];
const SEEING: [bool; 3] = [false, true, true];
const QUOTING: [bool; 3] = [false, false, true];
const NONE: [bool; 3] = [false, false, false];

/// Each kind of message, and who of the crew may say it: those who see no prices, those who see them, those who quote.
const MAY_SAY: [(&str, [bool; 3]); 47] = [
    ("here at Alder", ALL),
    ("done at Alder, 85 min", ALL),
    ("note Alder Ct: gate code 4411", ALL),
    ("heads up at Alder: dog", ALL),
    ("small crapes took 5.5, 6 and 7", ALL),
    ("times", ALL),
    ("plot small crapes", ALL),
    ("tuesday", ALL),
    ("what's left tuesday", ALL),
    ("this week", ALL),
    ("last time at Birch", ALL),
    ("photos at Birch", ALL),
    ("when do I prune azaleas", ALL),
    ("there are wires over it", ALL),
    ("calendar", ALL),
    ("sign-in code", ALL),
    ("undo", ALL),
    ("?", ALL),
    ("show me the quote for Birch", SEEING),
    ("price list", SEEING),
    ("prices of crapes", SEEING),
    ("6 small crapes at Cedar Ln", QUOTING),
    ("quote 1: make that 14 small", QUOTING),
    ("what do I make an hour at 250", QUOTING),
    ("Alder won", QUOTING),
    ("Alder lost, too high", QUOTING),
    ("Alder on friday at 9", QUOTING),
    ("push tuesday to wednesday", QUOTING),
    ("Alder first", QUOTING),
    ("quote Birch again", QUOTING),
    ("open quotes", QUOTING),
    ("no answer for 3 days", QUOTING),
    ("who is due", QUOTING),
    ("send the quote for Alder", QUOTING),
    ("rate 90", NONE),
    ("crape myrtle small 8 min", NONE),
    ("Birch paid 60", NONE),
    ("owed", NONE),
    ("payment reminder for Birch", NONE),
    ("how was january", NONE),
    ("picture of january", NONE),
    ("which work pays", NONE),
    ("win rate", NONE),
    ("jobs file", NONE),
    ("costs", NONE),
    ("show prices to Ana", NONE),
    ("Ana can quote", NONE),
];

#[test]
fn each_kind_of_message_is_for_the_roles_that_it_is_for() {
    for (text, may) in MAY_SAY {
        for (allowed, may) in [None, Some("show prices to Ana"), Some("Ana can quote")]
            .into_iter()
            .zip(may)
        {
            let mut yard = Talk::new();
            if let Some(allowed) = allowed {
                let answer = yard.says(OWNER, allowed);
                assert_eq!(answer["understood"][0], "set", "{answer:#}");
            }
            let answer = yard.says(CREW, text);
            let refused = answer["text"].as_str().expect("words").contains("That is the owner's");
            assert_eq!(refused, !may, "{text:?} after {allowed:?}: {answer:#}");
            assert!(
                refused || answer["understood"][0] != "unclear",
                "{text:?} was not understood: {answer:#}"
            );
            if allowed.is_none() {
                check_without_prices(text, &answer);
            }
        }
    }
}

#[test]
fn who_may_not_see_prices_any_more_cannot_quote() {
    let mut yard = Talk::new();
    yard.says(OWNER, "the crew can quote");
    assert_eq!(yard.says(CREW, "6 small crapes at Cedar Ln")["quote"]["total"], "72.00");
    yard.says(OWNER, "Ana can't quote");
    check_without_prices("a quote", &yard.says(CREW, "6 small crapes at Elm St"));
    yard.says(OWNER, "the crew can quote");
    yard.says(OWNER, "hide prices from the crew");
    check_without_prices("a quote", &yard.says(CREW, "6 small crapes at Elm St"));
    let undone = yard.says(OWNER, "undo");
    assert_eq!(undone["understood"][0], "undo");
    assert_eq!(yard.says(CREW, "6 small crapes at Elm St")["quote"]["total"], "72.00");
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
