//! Slips that a recogniser makes of the trade's short words, put right where nothing else could be meant.
//!
//! Small words between loud ones (`a foot`, `done in`) are swallowed or heard as others. Each line below was seen in the
//! measurements, and each is bound to words around it that leave one meaning. Counts and sizes are never touched here:
//! their slips are for the language to read or to ask about.

use std::sync::LazyLock;

use regex::Regex;

/// What is heard, and what is said so.
const SLIPS: [(&str, &str); 4] = [
    // `two minutes of foot`
    (
        r"(?i)\b(minutes?|seconds|dollars?|bucks?|cents) (?:of|a|if a) (?:foot|food|foods|vote|folk|flood)\b",
        "$1 a foot",
    ),
    (r"(?i)\b(minutes?|seconds|dollars?|bucks?|cents) afoot\b", "$1 a foot"),
    // `then in eighty-five minutes`, at the beginning and with a time alone
    (
        r"(?i)^(?:then|than|down|don|donned|dawned|dun|dumb|one) in ((?:[\w.-]+ ){1,6}(?:minutes?|hours?|hrs?|mins?))\b",
        "done in $1",
    ),
    // `5 yards of mulch at 45 yard`
    (r"(?i)\bat ((?:\$|[0-9]|[a-z]+-)[\w.$-]*) yard\b", "at $1 a yard"),
];

static PATTERNS: LazyLock<Vec<(Regex, &str)>> = LazyLock::new(|| {
    SLIPS
        .iter()
        .map(|(heard, said)| (Regex::new(heard).expect("the patterns are tested"), *said))
        .collect()
});

/// The text with its slips put right.
pub(super) fn put_right(text: &str) -> String {
    let mut text = text.to_string();
    for (heard, said) in PATTERNS.iter() {
        text = heard.replace_all(&text, *said).into_owned();
    }
    text
}

#[cfg(test)]
mod tests {
    use super::put_right;

    #[track_caller]
    fn check(heard: &str, said: &str) {
        assert_eq!(put_right(heard), said);
    }

    #[test]
    fn small_words_are_put_right_and_others_are_left() {
        check("Hedge two minutes of foot.", "Hedge two minutes a foot.");
        check("hedge 2 minutes afoot", "hedge 2 minutes a foot");
        check("Then in eighty-five minutes.", "done in eighty-five minutes.");
        check(
            "down in an hour forty minutes with two guys",
            "done in an hour forty minutes with two guys",
        );
        check(
            "mulch at forty-five yard at Birch Lane",
            "mulch at forty-five a yard at Birch Lane",
        );
        check("mulch at 45 a yard", "mulch at 45 a yard");
        check("40 feet of hedge at the yard", "40 feet of hedge at the yard");
        check("12 small crapes down in the yard", "12 small crapes down in the yard");
        check("40 minutes of work", "40 minutes of work");
    }
}
