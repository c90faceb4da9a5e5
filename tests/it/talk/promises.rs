//! Promises that are kept by conversation and journal together, attacked with the messages of the corpora.
//!
//! The yard itself checks after every message that the rows touched are all that changed, that a fold of the log gives the
//! same rows, that every event decodes to itself, and that the figures of a quote add up.

use std::collections::BTreeMap;

use super::{
    cases,
    yard::{Rows, Yard},
};

/// The rows of the book, without what is being talked about.
fn book(rows: &Rows) -> BTreeMap<&(&'static str, String), &String> {
    rows.iter().filter(|((table, _), _)| *table != "talks").collect()
}

/// P6: after any conversation, taking back all of it leaves the book as it was, byte for byte, also across a restart.
#[test]
fn taking_back_leaves_the_book_as_it_was() {
    let standard = Yard::standard();
    let before = standard.rows();
    for (at, turns, _) in cases() {
        let mut yard = standard.clone();
        for turn in &turns {
            yard.says(turn);
        }
        yard.restart();
        for _ in 0..=turns.len() {
            if book(&yard.rows()) == book(&before) && !yard.is_asking() {
                break;
            }
            yard.says("undo");
        }
        assert_eq!(book(&yard.rows()), book(&before), "{at}: {turns:?}");
    }
}

/// P9: a bad message costs nothing: an answer, and the book unchanged.
#[test]
fn nonsense_costs_nothing() {
    let standard = Yard::standard();
    let before = standard.rows();
    let long = "a very long story about a hedge ".repeat(400_000);
    let digits = "9".repeat(40);
    let nines = format!("{digits} small crapes");
    let emoji = "\u{1F333}\u{1F333}\u{1F44D}\u{200D}\u{1F4B0}";
    let bad = [
        "",
        " ",
        "\n\n",
        "xyzzy plugh",
        &digits,
        &nines,
        emoji,
        "\u{0}\u{1}\u{7}",
        "'; drop table quotes; --",
        &long,
    ];
    for text in bad {
        let mut yard = standard.clone();
        let heard = yard.says(text);
        assert_eq!(book(&yard.rows()), book(&before), "{text:.60}");
        assert!(heard.text.len() < 1_000, "{text:.60}: a short answer");
    }
}

/// What is shown of a quote while a question about it is open: nothing.
#[test]
fn while_a_question_is_open_nothing_is_settled() {
    let standard = Yard::standard();
    for (at, turns, _) in cases() {
        let mut yard = standard.clone();
        for turn in &turns {
            let quotes_before = yard.quotes();
            let heard = yard.says(turn);
            let asks = heard.json["asks"].as_array().is_some_and(|asks| !asks.is_empty());
            let only_quote = heard.json["understood"] == serde_json::json!(["quote"]);
            if asks && only_quote {
                assert!(heard.json["quote"].is_null(), "{at}: {turn}: {}", heard.text);
                assert_eq!(yard.quotes(), quotes_before, "{at}: {turn}");
            }
        }
    }
}
