//! The corpora of conversations: one case a line, `turn // turn // last turn => expectation`.
//!
//! Each case starts on a fresh copy of the standard account; the expectation is judged on the answer to the last turn.
//! Beside the facts of the message corpora, `says WORDS` looks for words in the answer, and `off NAME` for a figure of the
//! account that is switched off.

use super::{cases, yard::Yard};
use crate::language_messages::fault;

/// Fewer cases than this would mean that a corpus was emptied unnoticed.
const CASES_MIN: usize = 150;

#[test]
fn every_conversation_goes_as_expected() {
    let standard = Yard::standard();
    let mut failures = Vec::new();
    let cases: Vec<_> = cases()
        .into_iter()
        .filter(|(at, ..)| at.starts_with("conversation/"))
        .collect();
    assert!(cases.len() >= CASES_MIN, "only {} cases", cases.len());
    for (at, turns, expected) in &cases {
        let mut yard = standard.clone();
        let heard = turns
            .iter()
            .map(|turn| yard.says(turn))
            .last()
            .expect("a case has a turn");
        let account = yard.account();
        let wrong: Vec<String> = expected
            .split(" | ")
            .filter_map(|fact| match fact.trim().split_once(' ') {
                Some(("says", words)) => (!heard.text.contains(words)).then(|| format!("does not say \"{words}\"")),
                Some(("off", name)) => {
                    let found = &account["settings"][name];
                    (!found.is_null()).then(|| format!("{name} is {found}"))
                }
                _ => fault(fact.trim(), &heard.json, &account),
            })
            .collect();
        if !wrong.is_empty() {
            failures.push(format!("{at}: {turns:?}\n  {}\n{}", wrong.join("\n  "), heard.text));
        }
    }
    assert!(
        failures.is_empty(),
        "{} of {}:\n{}",
        failures.len(),
        cases.len(),
        failures.join("\n")
    );
}
