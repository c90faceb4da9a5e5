//! Finishes put right, things taken back and places named by chance: the state that went along message by message is the
//! fold of its log, and the rows that each step tells are all that changed. The yard looks after every message.

use rand::{RngExt, SeedableRng, rngs::SmallRng, seq::IndexedRandom};

use super::yard::Yard;

/// What is said; `{}` is a number.
const SAYINGS: [&str; 22] = [
    "{} small 3 medium crapes at {} Alder Ct",
    "{} small crapes at Fern Way",
    "make that {} small",
    "won",
    "won tuesday 8am",
    "here",
    "done {} min",
    "done {} min with 2 guys",
    "done {} min with 2 guys",
    "done at Fern Way {} min",
    "undo",
    "undo",
    "undo last 3",
    "paid",
    "paid {} check",
    "smalls took {}, 6 and 7",
    "crape myrtle small {} min",
    "keep my minutes for small crapes",
    "new service gutter clean {} min",
    "note gate code {}",
    "{} and {} hollies",
    "2",
];

/// Messages of one seed: some more than are remembered for taking back.
const MESSAGES: usize = 110;

fn check(seed: u64) {
    let mut chance = SmallRng::seed_from_u64(seed);
    let mut yard = Yard::standard();
    for _ in 0..MESSAGES {
        let saying = SAYINGS.choose(&mut chance).expect("there are some");
        let mut text = String::new();
        for piece in saying.split_inclusive("{}") {
            let number = chance.random_range(1..60);
            text.push_str(&piece.replace("{}", &number.to_string()));
        }
        // Two people speak in turn, each in a thread of his own.
        yard.member_says(if chance.random_range(0..5) == 0 { 2 } else { 1 }, &text);
    }
}

#[test]
fn going_along_is_folding_anew_first() {
    check(1);
    check(2);
}

#[test]
fn going_along_is_folding_anew_second() {
    check(3);
    check(4);
}
