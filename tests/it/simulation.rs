//! A day at the yard, by chance: messages, second deliveries late and out of order, closings of the book between any two
//! steps, a clock that jumps both ways, and everything taken back now and then.
//!
//! A seed decides everything, so a failure can be repeated: it prints its seed, and the seed joins [`SEEDS`].

use std::collections::BTreeMap;

use rand::{RngExt, SeedableRng, rngs::SmallRng};
use tallyhand::store;

use crate::support::Yard;

/// Seeds that are always run.
const SEEDS: [u64; 8] = [1, 2, 3, 5, 8, 13, 21, 34];

/// Steps of one run.
const STEPS: usize = 60;

const SAYINGS: [&str; 14] = [
    "note gate code 4411",
    "rate 120",
    "crape myrtle small 6 min",
    "12 small crapes at Alder Ct",
    "make that 14 small",
    "won",
    "here at Alder with 2 guys",
    "done 85 min with 2 guys",
    "paid 250 check",
    "undo",
    "scratch that",
    "2",
    "🌿 40 ft of what now",
    "what do I make an hour at 250",
];

#[test]
fn nothing_is_lost_or_counted_twice_whatever_happens() {
    for seed in SEEDS {
        let result = std::panic::catch_unwind(|| run(seed));
        assert!(result.is_ok(), "seed {seed} failed");
    }
}

fn run(seed: u64) {
    let mut chance = SmallRng::seed_from_u64(seed);
    let mut yard = Yard::new();
    let mut answered: BTreeMap<String, String> = BTreeMap::new();
    for step in 0..STEPS {
        match chance.random_range(0..10) {
            0 => yard = yard.reopens(),
            1 => yard = yard.later(chance.random_range(-90..600)),
            2 | 3 if !answered.is_empty() => {
                let (id, first) = answered
                    .iter()
                    .nth(chance.random_range(0..answered.len()))
                    .expect("in range");
                let given = yard.posts_signed(id, b"{\"text\":\"undo\"}");
                assert_eq!((given.status, &given.body), (200, first), "step {step}: {id} again");
            }
            _ => {
                let id = format!("msg_{step}");
                let text = SAYINGS[chance.random_range(0..SAYINGS.len())];
                let body = serde_json::json!({ "text": text }).to_string();
                let given = yard.posts_signed(&id, body.as_bytes());
                assert_eq!(given.status, 200, "step {step}: {text:?}: {}", given.body);
                answered.insert(id, given.body);
            }
        }
        let faults = store::check(yard.book()).expect("it can be checked");
        assert!(faults.is_empty(), "step {step}: {faults:#?}");
        let kept = yard.count("SELECT count(*) FROM message");
        assert_eq!(
            usize::try_from(kept).ok(),
            Some(answered.len()),
            "step {step}: each message once"
        );
    }
}
