//! A day of two people and a bot, by chance: updates that come twice and out of order, a provider that refuses, fails, asks for
//! pauses or loses its answers, restarts between any two steps, and a clock that jumps.
//!
//! A seed decides everything, so a failure can be repeated: it prints its seed, and the seed joins [`SEEDS`].
//! `TALLYHAND_SIMULATIONS=1000` runs so many more.

use rand::{RngExt, SeedableRng, rngs::SmallRng};
use serde_json::{Value, json};
use tallyhand::{
    channels::{Hidden, Lines, telegram::Telegram},
    runtime::Messengers,
    store,
};

use crate::support::{FakeTelegram, TOKEN, Yard};

/// Seeds that are always run.
const SEEDS: [u64; 12] = [1, 2, 3, 4, 5, 8, 13, 21, 34, 55, 89, 144];

/// Steps of one run.
const STEPS: usize = 80;

/// Rounds after which everything has to be through.
const ROUNDS_MAX: usize = 60;

const PEOPLE: [i64; 2] = [42, 77];

#[test]
fn nothing_is_lost_nothing_is_doubled_and_order_is_kept() {
    let more: u64 = std::env::var("TALLYHAND_SIMULATIONS")
        .ok()
        .and_then(|count| count.parse().ok())
        .unwrap_or(0);
    for seed in SEEDS.into_iter().chain(1000..1000 + more) {
        let result = std::panic::catch_unwind(|| run(seed));
        assert!(result.is_ok(), "seed {seed} failed");
    }
}

struct Day {
    yard: Yard,
    fake: FakeTelegram,
    messengers: Messengers,
    chance: SmallRng,
    updates: Vec<Value>,
    said: [u32; 2],
    /// Answers that were lost after the words had gone out: each may make one copy.
    lost: u32,
}

fn run(seed: u64) {
    let mut day = begin(seed);
    for _ in 0..STEPS {
        day = step(day);
    }
    finish(day);
}

fn begin(seed: u64) -> Day {
    let mut fake = None;
    let mut yard = Yard::with_lines(|runtime| {
        let started = runtime.block_on(FakeTelegram::start());
        let telegram = Telegram::new(Hidden::new(TOKEN), Some(&started.url), None);
        fake = Some(started);
        Lines {
            telegram: Some(telegram),
            ..Lines::default()
        }
    });
    let fake = fake.expect("it was started");
    let messengers = yard.messengers();
    for (person, words) in [(PEOPLE[0], "connect telegram"), (PEOPLE[1], "invite crew Sam")] {
        yard = yard.says(words);
        let answer = yard.next_answer();
        let code = answer["text"]
            .as_str()
            .expect("words")
            .lines()
            .find(|line| line.len() == 14)
            .expect("a code")
            .to_string();
        fake.says(person, &code);
        let bot = messengers.lines.telegram.clone().expect("it is on");
        yard.wait(async {
            messengers.poll_telegram(&bot, 0, 1).await;
            messengers.send_letters().await.expect("the book works");
        });
    }
    Day {
        yard,
        fake,
        messengers,
        chance: SmallRng::seed_from_u64(seed),
        updates: Vec::new(),
        said: [0, 0],
        lost: 0,
    }
}

fn step(mut day: Day) -> Day {
    match day.chance.random_range(0..14) {
        0..=3 => {
            let who = day.chance.random_range(0..PEOPLE.len());
            day.said[who] += 1;
            let words = format!("note {} of {}", day.said[who], PEOPLE[who]);
            day.updates.push(day.fake.says(PEOPLE[who], &words));
        }
        4 if !day.updates.is_empty() => {
            let again = day.chance.random_range(0..day.updates.len());
            day.fake.again(day.updates[again].clone());
        }
        5 => {
            let status = [500, 502, 503, 429][day.chance.random_range(0..4)];
            let body = json!({ "ok": false, "error_code": status, "parameters": { "retry_after": 3 } });
            let method = ["sendMessage", "getUpdates"][day.chance.random_range(0..2)];
            day.fake.refuses(method, status, body);
        }
        6 => {
            day.fake.loses_answer("sendMessage");
            day.lost += 1;
        }
        7 => {
            day.yard = day.yard.reopens();
            day.messengers = day.yard.messengers();
        }
        8 => {
            let minutes = day.chance.random_range(-2..6);
            day.yard = day.yard.later(minutes);
        }
        9 | 10 => poll(&day),
        11 | 12 => {
            day.yard.wait(day.messengers.work_off_inbox()).expect("the book works");
        }
        _ => {
            day.yard.wait(day.messengers.send_letters()).expect("the book works");
        }
    }
    day
}

fn poll(day: &Day) {
    let bot = day.messengers.lines.telegram.clone().expect("it is on");
    day.yard.wait(day.messengers.poll_telegram(&bot, 0, 1));
}

fn finish(mut day: Day) {
    for _ in 0..ROUNDS_MAX {
        poll(&day);
        day.yard.wait(day.messengers.work_off_inbox()).expect("the book works");
        day.yard.wait(day.messengers.send_letters()).expect("the book works");
        day.yard = day.yard.later(5);
        let open = "SELECT (SELECT count(*) FROM waiting WHERE state = 'waiting') + (SELECT count(*) FROM outbox WHERE state = 'queued')";
        if day.fake.pending() == 0 && day.yard.count(open) == 0 {
            break;
        }
    }
    let faults = store::check(day.yard.book()).expect("it can be checked");
    assert!(faults.is_empty(), "{faults:#?}");
    let total = i64::from(day.said[0] + day.said[1]);
    assert_eq!(
        day.yard
            .count("SELECT count(*) FROM message WHERE channel = 'telegram'"),
        total,
        "each once"
    );
    assert_eq!(
        day.yard.count("SELECT count(*) FROM outbox WHERE state <> 'sent'"),
        0,
        "every answer went out"
    );
    let mut copies = 0;
    for (who, person) in PEOPLE.into_iter().enumerate() {
        let told = day.fake.told(person);
        let answers: Vec<&String> = told.iter().filter(|text| text.starts_with("Noted")).collect();
        let mut once = answers.clone();
        once.dedup();
        copies += u32::try_from(answers.len() - once.len()).expect("few");
        let wanted: Vec<String> = (1..=day.said[who]).map(|n| format!("Noted: {n} of {person}")).collect();
        assert_eq!(once, wanted.iter().collect::<Vec<_>>(), "in order, none left out");
    }
    assert!(
        copies <= day.lost,
        "a copy only where an answer was lost: {copies} of {}",
        day.lost
    );
}
