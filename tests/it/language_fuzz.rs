//! Whatever comes in: no message panics the program, and nonsense leaves the book as it is.
//!
//! Messages are random, or drawn from the corpora and then cut, doubled, spliced and peppered with emoji, right-to-left
//! letters, NULs and huge numbers, up to beyond the longest text that is read. Plain `cargo test` runs 10,000 of them; the
//! long run is
//!
//!     TALLYHAND_FUZZ_MESSAGES=1000000 cargo test --release --test it language_fuzz
//!
//! and `TALLYHAND_FUZZ_SEED` draws others. A failure names the seed and the message.

use std::panic::{AssertUnwindSafe, catch_unwind};

use rand::{Rng, RngExt, SeedableRng, rngs::StdRng};
use serde_json::json;
use tallyhand::{exports, language};

use crate::language_messages::Talk;

const CORPORA: &[&str] = &[
    include_str!("../../fixtures/language/messages/ask.txt"),
    include_str!("../../fixtures/language/messages/backwards_and_after.txt"),
    include_str!("../../fixtures/language/messages/counts_and_changes.txt"),
    include_str!("../../fixtures/language/messages/several_at_once.txt"),
    include_str!("../../fixtures/language/messages/in_one_breath.txt"),
    include_str!("../../fixtures/language/messages/answers_places_days.txt"),
    include_str!("../../fixtures/language/messages/talked_over.txt"),
    include_str!("../../fixtures/language/messages/finish.txt"),
    include_str!("../../fixtures/language/messages/other.txt"),
    include_str!("../../fixtures/language/messages/quote_dictated.txt"),
    include_str!("../../fixtures/language/messages/quote_typed.txt"),
    include_str!("../../fixtures/language/messages/revise.txt"),
    include_str!("../../fixtures/language/messages/set.txt"),
    include_str!("../../fixtures/language/messages/solve.txt"),
];

/// Pieces that programs trip over.
const SHARP: &[&str] = &[
    "\0",
    "👍",
    "👩‍🌾",
    "שלום",
    "\u{202e}",
    "e\u{301}\u{301}",
    "99999999999999999999999999999999999999999999",
    "0.00000000000000000000000000000000001",
    "79228162514264337593543950335",
    "$-5",
    "-1",
    "1/0",
    "3/4/5",
    "99:99",
    "1,2,3,4",
    "½½½",
    "''''",
    "’s",
    "%%%",
    "İstanbul",
    "ß",
    "\r\n\t",
    "\n\n\n",
    "a million billion",
    "hundred hundred thousand thousand",
    "half half half",
    "one twenty thirty forty",
    "at at at at",
    "ﬁ",
    "Ⅷ",
    "٣",
    "１２",
];

fn corpus() -> Vec<String> {
    let lines = CORPORA.iter().flat_map(|text| text.lines());
    let cases = lines
        .filter(|line| !line.starts_with('#'))
        .filter_map(|line| line.rsplit_once("=>"));
    cases
        .flat_map(|(turns, _)| turns.split(" // "))
        .map(|turn| turn.trim().replace("\\n", "\n"))
        .collect()
}

/// A place in a text where it may be cut.
fn cut(text: &str, random: &mut StdRng) -> usize {
    let mut at = random.random_range(0..=text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn random_text(random: &mut StdRng) -> String {
    let length = random.random_range(0..400);
    (0..length)
        .map(|_| match random.random_range(0..6) {
            0 => ' ',
            1 => char::from(random.random_range(b'0'..=b'9')),
            2 => char::from(random.random_range(0x20..0x7f_u8)),
            3 => char::from_u32(random.random_range(0..0x11_0000)).unwrap_or('\u{fffd}'),
            _ => char::from(random.random_range(b'a'..=b'z')),
        })
        .collect()
}

/// One change of a text.
fn mutate(text: &mut String, corpus: &[String], random: &mut StdRng) {
    let at = cut(text, random);
    match random.random_range(0..8) {
        0 => text.truncate(at),
        1 => {
            let tail = text.split_off(at);
            *text = tail + text;
        }
        2 => {
            let end = cut(text, random);
            let piece = text[at.min(end)..at.max(end)].to_string();
            text.insert_str(at, &piece);
        }
        3 => {
            let end = cut(text, random);
            text.replace_range(at.min(end)..at.max(end), "");
        }
        4 => text.insert_str(at, &corpus[random.random_range(0..corpus.len())]),
        5 => text.insert_str(at, &random.random_range(0..u64::MAX).to_string()),
        6 => text.insert(at, ' '),
        _ => text.insert_str(at, SHARP[random.random_range(0..SHARP.len())]),
    }
}

fn message(corpus: &[String], random: &mut StdRng) -> String {
    let mut text = match random.random_range(0..10) {
        0 => random_text(random),
        1 => {
            // A long one: many messages in a row, up to beyond what is read.
            let most = random.random_range(500..language::TEXT_BYTES_MAX + 500);
            let mut long = String::new();
            while long.len() < most {
                long += &corpus[random.random_range(0..corpus.len())];
                long.push(if random.random_bool(0.5) { ' ' } else { '\n' });
            }
            long
        }
        _ => corpus[random.random_range(0..corpus.len())].clone(),
    };
    for _ in 0..random.random_range(0..6) {
        mutate(&mut text, corpus, random);
    }
    text
}

/// A figure from the environment.
fn given(name: &str, otherwise: u64) -> u64 {
    match std::env::var(name) {
        Ok(text) => text.parse().unwrap_or_else(|_| panic!("{name} is a number")),
        Err(_) => otherwise,
    }
}

/// Whether an answer to it is well formed; a message that is not understood changes nothing.
#[track_caller]
fn check(standard: &Talk, before: &serde_json::Value, text: &str) {
    let mut talk = standard.clone();
    let answer = talk.says(text);
    assert!(
        answer["text"].as_str().is_some_and(|text| !text.is_empty()),
        "an answer has words"
    );
    if answer["understood"] == json!(["unclear"]) {
        assert_eq!(
            &exports::account_json(&talk.state, chrono_tz::America::Chicago),
            before,
            "unclear, and the book is changed"
        );
    }
    // Whatever it was, the account goes on.
    let after = talk.says("3 small hollies");
    assert!(after["understood"].is_array());
}

/// Long texts are mostly read alone, which is where they differ.
const READ_ALONE_FROM: usize = 600;

#[test]
fn no_message_panics_and_nonsense_changes_nothing() {
    let corpus = corpus();
    assert!(corpus.len() > 400);
    let seed = given("TALLYHAND_FUZZ_SEED", 20_260_112);
    let mut random = StdRng::seed_from_u64(seed);
    let standard = Talk::on_the_standard_account();
    let before = exports::account_json(&standard.state, chrono_tz::America::Chicago);
    let vocabulary = language::Vocabulary::default();
    for number in 0..given("TALLYHAND_FUZZ_MESSAGES", 10_000) {
        let text = message(&corpus, &mut random);
        let whole = text.len() < READ_ALONE_FROM || random.next_u32().is_multiple_of(8);
        let outcome = catch_unwind(AssertUnwindSafe(|| {
            if whole {
                check(&standard, &before, &text);
            } else {
                let reading = language::read(&text, &vocabulary, language::Expecting::Nothing);
                let inside = |span: &language::Span| span.start <= span.end && span.end <= text.len();
                assert!(
                    reading.pieces.iter().all(|piece| inside(&piece.span)),
                    "spans lie in the text"
                );
            }
        }));
        assert!(outcome.is_ok(), "seed {seed}, message {number}: {text:?}");
    }
}
