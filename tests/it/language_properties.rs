//! What holds for every message, tried on generated ones: no number is left behind, what is printed is read back, order
//! changes no total, and nonsense changes no book.
//!
//! This file is long because the ways to write a number, and to tell whether it was heard, serve every property.
//!
//! The seed is fixed so that a run can be repeated; `PROPTEST_RNG_SEED` and `PROPTEST_CASES` give others and more.

use std::collections::BTreeSet;

use proptest::{
    prelude::{Just, ProptestConfig, Strategy, any, prop_assert, prop_assert_eq, prop_oneof, proptest},
    sample::{Index, select},
    test_runner::RngSeed,
};
use rust_decimal::Decimal;
use serde_json::{Value, json};
use tallyhand::exports;

use crate::language_messages::Talk;
use crate::support::spelled::{DICTATED, WRITTEN, cardinal, numbers_in, with_commas};

fn config(cases: u32) -> ProptestConfig {
    let given = ProptestConfig::default();
    ProptestConfig {
        cases: std::env::var("PROPTEST_CASES").map_or(cases, |_| given.cases),
        rng_seed: match given.rng_seed {
            RngSeed::Random => RngSeed::Fixed(20_260_112),
            fixed => fixed,
        },
        failure_persistence: None,
        ..given
    }
}

thread_local! {
    static STANDARD: Talk = Talk::on_the_standard_account();
}

fn standard() -> Talk {
    STANDARD.with(Talk::clone)
}

/// A number as it stands in a message: its text, and the figures that show that it was heard.
#[derive(Debug, Clone)]
struct Said {
    text: String,
    heard_as: Vec<Decimal>,
}

fn said(text: String, value: impl Into<Decimal>) -> Said {
    Said {
        text,
        heard_as: vec![value.into()],
    }
}

/// A count: digits, digits with commas, words with and without hyphens, dozens.
fn count() -> impl Strategy<Value = Said> {
    prop_oneof![
        4 => (11..100u32).prop_map(|n| said(n.to_string(), n)),
        3 => (11..100u32).prop_map(|n| said(cardinal(n, DICTATED), n)),
        2 => (11..1_000u32).prop_map(|n| said(cardinal(n, WRITTEN), n)),
        1 => (1_001..9_999u32).prop_map(|n| said(with_commas(n), n)),
        1 => (3..9u32).prop_map(|n| said(format!("{} dozen", cardinal(n, DICTATED)), n * 12)),
    ]
}

/// Minutes for one: whole, halves in figures and in words, fractions.
fn minutes_each() -> impl Strategy<Value = Said> {
    let half = |n: u32| Decimal::from(n) + Decimal::new(5, 1);
    prop_oneof![
        (3..60u32).prop_map(|n| said(n.to_string(), n)),
        (3..60u32).prop_map(|n| said(cardinal(n, DICTATED), n)),
        (3..30u32).prop_map(move |n| said(format!("{n}.5"), half(n))),
        (3..30u32).prop_map(move |n| said(format!("{n} 1/2"), half(n))),
        (3..30u32).prop_map(move |n| said(format!("{n}½"), half(n))),
        (3..30u32).prop_map(move |n| said(format!("{} and a half", cardinal(n, DICTATED)), half(n))),
    ]
}

/// A sum of money with its sign or word.
fn money() -> impl Strategy<Value = Said> {
    prop_oneof![
        (21..400u32).prop_map(|n| said(format!("${n}"), n)),
        (2_100..40_000i64).prop_map(|n| {
            let value = Decimal::new(n, 2);
            said(format!("${value}"), value)
        }),
        (21..400u32).prop_map(|n| said(format!("{n} dollars"), n)),
        (21..99u32).prop_map(|n| said(format!("{} bucks", cardinal(n, DICTATED)), n)),
    ]
}

fn rate() -> impl Strategy<Value = Said> {
    prop_oneof![
        (51..300u32).prop_map(|n| said(n.to_string(), n)),
        (51..300u32).prop_map(|n| said(format!("${n}"), n)),
        (51..100u32).prop_map(|n| said(cardinal(n, DICTATED), n)),
        (11..100u32).prop_map(|n| said(format!("one {}", cardinal(n, DICTATED)), 100 + n)),
    ]
}

/// A time worked; shown as minutes, or as hours with the rest.
fn duration() -> impl Strategy<Value = Said> {
    let words = |n| cardinal(n, DICTATED);
    (61..600u32, 0..6u8)
        .prop_filter("hours and minutes, both there", |(n, _)| n % 60 > 1)
        .prop_map(move |(total, form)| {
            let (hours, minutes) = (total / 60, total % 60);
            let plural = if hours == 1 { "" } else { "s" };
            let text = match form {
                0 => format!("{total} min"),
                1 => format!("{} minutes", words(total)),
                2 => format!("{hours}h {minutes}m"),
                3 => format!("{hours} hour{plural} {minutes}"),
                4 => format!("{} hour{plural} and {} minutes", words(hours), words(minutes)),
                _ => format!("{hours}:{minutes:02}"),
            };
            said(text, total)
        })
}

fn percent() -> impl Strategy<Value = Said> {
    prop_oneof![
        (3..40u32).prop_map(|n| said(format!("{n}%"), n)),
        (3..40u32).prop_map(|n| said(format!("{} percent", cardinal(n, DICTATED)), n)),
    ]
}

/// Messages as owners write them; each mark takes one number: `#` a count, `'` minutes for one, `$` money, `r` a rate,
/// `t` a time, `%` a percentage.
const MESSAGES: &[&str] = &[
    "{#} small crapes",
    "{#}small {#}medium crapes at Alder Ct",
    "{#} small, {#} medium and {#} large crapes",
    "{#} small crapes {'} min each",
    "{#} small crapes and {#} large hollies, {'} minutes each on the hollies",
    "{#} azaleas at {$} each",
    "{#} azaleas {'} min each at {r} an hour",
    "{#} ft hedge, {#} yards mulch",
    "{#} yards of mulch at {$} a yard",
    "{#} boxwood medium\n{#} boxwood small\n{#} azaleas",
    "Alder Ct\n{#} small hollies\n{#} ft hedge",
    "azaleas {#}, small hollies {#}",
    "{#} small crapes, set-up {t}, dump fee {$}",
    "{#} small crapes, no haul, knock {%} off",
    "{#} large hollies at {r} an hour, call it {$}",
    "price for {#} azaleas with {$} off",
    "mow {t}",
    "rate {r}",
    "holly small {'} min",
    "azalea {'} min, hedge {'} min a foot",
    "set-up {t}, haul {t}, dump fee {$}",
    "minimum {$}",
    "tax {%}",
    "mulch {$} a yard {'} min each",
    "crape myrtle small {'} min, medium {'} min, large {'} min",
    "{#} azaleas // done in {t}",
    "{#} azaleas // done {t}, did {#} azaleas",
    "{#} azaleas // call it {$}",
    "{#} azaleas // make that {#}",
    "{#} azaleas // add {#} small hollies",
    "{#} azaleas // knock {%} off",
    "{#} azaleas // what if azaleas take {'}",
    "{#} azaleas // what do I make an hour at {$}",
    "{#} azaleas // what rate if it takes {t}",
    "{#} azaleas // they said yes at {$}",
    "{#} azaleas // won // paid {$} check",
    "note gate code {#}",
];

/// Words that carry nothing for the trade, put anywhere.
const ODD_WORDS: &[&str] = &[
    "um",
    "so",
    "like",
    "the client says",
    "lol",
    "please",
    "fyi",
    "about",
    "yard",
    "blue",
    "maybe",
    "zzyx",
    "ok",
    "by the gate",
    "👍",
    "-",
    "(",
    ")",
    ";",
];

/// Words that a number is made of, that belong to the number before them, or that take the number behind them.
const NUMBER_WORDS: &[&str] = &[
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "rate",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
    "twenty",
    "thirty",
    "forty",
    "fifty",
    "sixty",
    "seventy",
    "eighty",
    "ninety",
    "hundred",
    "thousand",
    "and",
    "a",
    "an",
    "half",
    "dozen",
    "h",
    "m",
    "hour",
    "hours",
    "min",
    "minutes",
    "dollars",
    "bucks",
    "percent",
];

/// A message with its numbers.
#[derive(Debug, Clone)]
struct Message {
    before: Vec<String>,
    text: String,
    numbers: Vec<Said>,
    /// What the answer may have made one figure with: the other numbers of the talk.
    others: Vec<Decimal>,
}

/// Fills the marks of a template.
fn message() -> impl Strategy<Value = Message> {
    let pool = (
        proptest::collection::vec(count(), 4),
        proptest::collection::vec(minutes_each(), 4),
        proptest::collection::vec(money(), 2),
        rate(),
        proptest::collection::vec(duration(), 2),
        percent(),
    );
    (select(MESSAGES), pool).prop_map(|(template, (counts, minutes, sums, rate, times, percent))| {
        let mut turns: Vec<(String, Vec<Said>)> = Vec::new();
        let (mut counts, mut minutes) = (counts.into_iter(), minutes.into_iter());
        let (mut sums, mut times) = (sums.into_iter(), times.into_iter());
        for turn in template.split(" // ") {
            let (mut text, mut numbers) = (String::new(), Vec::new());
            let mut rest = turn;
            while let Some((head, tail)) = rest.split_once('{') {
                let number = match tail.chars().next() {
                    Some('#') => counts.next(),
                    Some('\'') => minutes.next(),
                    Some('$') => sums.next(),
                    Some('t') => times.next(),
                    Some('r') => Some(rate.clone()),
                    Some('%') => Some(percent.clone()),
                    other => panic!("no mark is called {other:?}"),
                };
                let number = number.expect("enough numbers of each sort are drawn");
                text += head;
                text += &number.text;
                numbers.push(number);
                rest = &tail[2..];
            }
            turns.push((text + rest, numbers));
        }
        let others = turns.iter().flat_map(|(_, numbers)| numbers);
        let others = others.flat_map(|number| number.heard_as.iter().copied()).collect();
        let (text, numbers) = turns.pop().expect("a template has a turn");
        Message {
            others,
            before: turns.into_iter().map(|(text, _)| text).collect(),
            text,
            numbers,
        }
    })
}

/// Puts a word between two words of a text.
fn put_in(text: &str, word: &str, place: Index) -> String {
    let gaps: Vec<usize> = text.match_indices(' ').map(|(at, _)| at).chain([text.len()]).collect();
    let at = gaps[place.index(gaps.len())];
    format!("{} {word}{}", &text[..at], &text[at..])
}

/// Puts a number between two words, where it stands for itself: not beside another number, nor before its unit, because
/// those are one number together.
fn throw_in(text: &str, number: &str, place: Index) -> String {
    let gaps: Vec<usize> = text.match_indices(' ').map(|(at, _)| at).chain([text.len()]).collect();
    let plain = |word: Option<&str>| {
        word.is_none_or(|word| {
            let word = word.trim_matches(|c: char| !c.is_alphanumeric());
            !word.contains(|c: char| c.is_numeric() || c == '$') && !NUMBER_WORDS.contains(&word)
        })
    };
    let alone = |at: &usize| {
        let (head, tail) = text.split_at(*at);
        plain(head.split_whitespace().next_back())
            && plain(head.split_whitespace().rev().nth(1))
            && plain(tail.split_whitespace().next())
    };
    let open: Vec<usize> = gaps.iter().copied().filter(alone).collect();
    match open.get(place.index(open.len().max(1))) {
        Some(at) => format!("{} {number}{}", &text[..*at], &text[*at..]),
        None => format!("{text}, {number}"),
    }
}

/// All numbers that an answer shows, in its words and its data.
fn shown(answer: &Value) -> BTreeSet<Decimal> {
    fn gather(value: &Value, found: &mut BTreeSet<Decimal>) {
        match value {
            Value::String(text) => found.extend(numbers_in(text).into_iter().map(|n| n.normalize())),
            Value::Number(number) => found.extend(numbers_in(&number.to_string()).into_iter().map(|n| n.normalize())),
            Value::Array(list) => list.iter().for_each(|item| gather(item, found)),
            Value::Object(fields) => fields
                .iter()
                .filter(|(name, _)| !matches!(name.as_str(), "id" | "at" | "no"))
                .for_each(|(_, field)| gather(field, found)),
            Value::Null | Value::Bool(_) => {}
        }
    }
    let mut found = BTreeSet::new();
    gather(answer, &mut found);
    found
}

/// Whether an answer shows a number: as a figure, as hours and minutes, in the words that were used, or in the one figure
/// that it makes with another number of the talk (a material price times its yards, the count done less the count quoted; nothing, when it is as quoted).
fn shows(answer: &Value, numbers: &BTreeSet<Decimal>, number: &Said, others: &[Decimal]) -> bool {
    let text = answer["text"].as_str().unwrap_or("");
    let sixty = Decimal::from(60);
    text.to_lowercase().contains(&number.text.to_lowercase())
        || number.heard_as.iter().any(|value| {
            let clock = format!("{} h {} min", (value / sixty).floor(), (value % sixty).normalize());
            let with_other = |other: &Decimal| {
                let (product, difference) = ((value * other).round_dp(2), (value - other).abs());
                [product, difference]
                    .iter()
                    .any(|made| !made.is_zero() && numbers.contains(&made.normalize()))
            };
            numbers.contains(&value.normalize())
                || text.contains(&clock)
                // `1 hour 2 mulch` is an hour and two of something.
                || [value - value % sixty, value % sixty]
                    .iter()
                    .all(|part| numbers.contains(&part.normalize()))
                || others.contains(value)
                || others.iter().any(with_other)
        })
}

/// What is wrong with an answer to a message with these numbers; `None` when every number is accounted for.
fn left_behind(answer: &Value, message: &Message, changed: bool) -> Option<String> {
    let asks = answer["asks"].as_array().is_some_and(|asks| !asks.is_empty());
    if answer["understood"] == json!(["unclear"]) {
        return changed.then(|| "unclear, and the book is changed".to_string());
    }
    let refuses = answer["text"]
        .as_str()
        .is_some_and(|text| text.contains("Nothing was changed"));
    if refuses || (asks && answer["quote"]["total"].is_null()) {
        return None;
    }
    let there = shown(answer);
    let numbers = &message.numbers;
    let missing: Vec<&str> = numbers
        .iter()
        .filter(|number| !shows(answer, &there, number, &message.others))
        .map(|number| number.text.as_str())
        .collect();
    (!missing.is_empty()).then(|| format!("{missing:?} left behind in {}", answer["text"]))
}

/// Says it, and tells the answer and whether the account changed.
fn answer_to(message: &Message) -> (Value, bool) {
    let mut talk = standard();
    for turn in &message.before {
        talk.says(turn);
    }
    let before = exports::account_json(&talk.state, chrono_tz::America::Chicago);
    let answer = talk.says(&message.text);
    let changed = before != exports::account_json(&talk.state, chrono_tz::America::Chicago);
    (answer, changed)
}

/// Words of the trade, of which a message is thrown together; none of them takes back a number that was said.
const TRADE_WORDS: &[&str] = &[
    "small",
    "large",
    "medium",
    "crapes",
    "hollies",
    "azaleas",
    "boxwoods",
    "mow",
    "gutters",
    "at",
    "for",
    "each",
    "and",
    "with",
    "guys",
    "done",
    "won",
    "paid",
    "check",
    "what if",
    "what would it be at",
    "how fast",
    "rate",
    "feet of hedge",
    "yards of mulch",
    "the",
    "are",
    "in",
    "an hour",
    "only",
    "except",
    "but",
    "Alder Ct",
    "friday",
    "dead",
    "of them",
    "call it",
    "off",
    "add",
    "drop",
    "haul",
    "set-up",
    "dump fee",
    "took",
    "here",
    "lunch",
    "last year",
    "on each side",
    "every",
    "weeks",
    "years old",
    "miles",
    "they said yes",
    "note",
    "tax",
    "percent",
    "times",
    "wires",
    "?",
    ",",
    ".",
];

/// Trade words in any order with numbers between them, said to a fresh account or with a quote in hand.
fn thrown_together() -> impl Strategy<Value = Message> {
    let words = proptest::collection::vec(select(TRADE_WORDS), 4..14);
    let numbers = proptest::collection::btree_set(11..100u32, 1..4);
    (words, numbers, any::<Index>(), any::<bool>()).prop_map(|(words, numbers, start, in_hand)| {
        let numbers: Vec<u32> = numbers.into_iter().collect();
        let step = (words.len() / numbers.len()).max(1);
        let first = start.index(step);
        let (mut text, mut said_numbers) = (Vec::new(), Vec::new());
        for (index, word) in words.iter().enumerate() {
            if index % step == first
                && let Some(number) = numbers.get(said_numbers.len())
            {
                text.push(number.to_string());
                said_numbers.push(said(number.to_string(), *number));
            }
            text.push((*word).to_string());
        }
        let before = if in_hand {
            vec!["10 azaleas at Elm Ct".to_string()]
        } else {
            Vec::new()
        };
        Message {
            before,
            text: text.join(" "),
            others: if in_hand { vec![Decimal::TEN] } else { Vec::new() },
            numbers: said_numbers,
        }
    })
}

proptest! {
    #![proptest_config(config(400))]

    /// P1 on trade words thrown together: whatever comes of it, each number is told, asked about or refused.
    #[test]
    fn no_number_among_trade_words_is_left_behind(message in thrown_together()) {
        let (answer, changed) = answer_to(&message);
        let wrong = left_behind(&answer, &message, changed);
        prop_assert!(wrong.is_none(), "{:?}: {}", message.text, wrong.unwrap_or_default());
    }

    /// P1 on messages as they should be.
    #[test]
    fn no_number_of_a_plain_message_is_left_behind(message in message()) {
        let (answer, changed) = answer_to(&message);
        let wrong = left_behind(&answer, &message, changed);
        prop_assert!(wrong.is_none(), "{:?}: {}", message.text, wrong.unwrap_or_default());
    }

    /// P1 with a number too many, anywhere, and odd words around.
    #[test]
    fn no_number_thrown_in_is_left_behind(
        message in message(),
        extra in prop_oneof![count(), minutes_each(), money(), duration()],
        words in proptest::collection::vec((select(ODD_WORDS), any::<Index>()), 0..3),
        place in any::<Index>(),
    ) {
        let mut message = message;
        for (word, place) in words {
            message.text = put_in(&message.text, word, place);
        }
        message.text = throw_in(&message.text, &extra.text, place);
        message.numbers = vec![extra];
        message.others.clear();
        let (answer, changed) = answer_to(&message);
        let wrong = left_behind(&answer, &message, changed);
        prop_assert!(wrong.is_none(), "{:?}: {}", message.text, wrong.unwrap_or_default());
    }
}

/// A class of the standard account, with the words around a count of it.
#[derive(Debug, Clone, Copy)]
struct Class {
    kind: &'static str,
    plural: &'static str,
    size: &'static str,
    unit: &'static str,
}

fn class() -> impl Strategy<Value = Class> {
    let each = |kind, plural, size| Class {
        kind,
        plural,
        size,
        unit: "",
    };
    select(vec![
        each("crape myrtle", "crape myrtles", "small"),
        each("crape myrtle", "crapes", "medium"),
        each("crape myrtle", "crapes", "large"),
        each("holly", "hollies", "small"),
        each("holly", "hollies", "large"),
        each("boxwood", "boxwoods", "small"),
        each("boxwood", "boxwoods", "medium"),
        each("boxwood", "boxwoods", "large"),
        each("azalea", "azaleas", ""),
        Class {
            unit: "ft",
            ..each("hedge", "hedge", "")
        },
        Class {
            unit: "yards",
            ..each("mulch", "mulch", "")
        },
    ])
}

/// Different classes with their counts.
fn list() -> impl Strategy<Value = Vec<(u32, Class)>> {
    proptest::collection::vec((1..=9_999u32, class()), 1..5).prop_map(|mut list| {
        let mut seen = BTreeSet::new();
        list.retain(|(_, class)| seen.insert((class.kind, class.size)));
        list
    })
}

/// The ways in which a list is written.
#[derive(Debug, Clone, Copy)]
enum Form {
    Digits,
    Words,
    Commas,
    Glued,
    KindFirst,
    Times,
    Lines,
}

fn form() -> impl Strategy<Value = Form> {
    prop_oneof![
        Just(Form::Digits),
        Just(Form::Words),
        Just(Form::Commas),
        Just(Form::Glued),
        Just(Form::KindFirst),
        Just(Form::Times),
        Just(Form::Lines)
    ]
}

fn print(list: &[(u32, Class)], form: Form) -> String {
    let line = |(count, class): &(u32, Class)| {
        let spaced = |words: &[&str]| {
            let there: Vec<&str> = words.iter().filter(|word| !word.is_empty()).copied().collect();
            there.join(" ")
        };
        let digits = count.to_string();
        match form {
            Form::Digits | Form::Lines => spaced(&[&digits, class.unit, class.size, class.plural]),
            Form::Words => spaced(&[&cardinal(*count, DICTATED), class.unit, class.size, class.plural]),
            Form::Commas => spaced(&[&with_commas(*count), class.unit, class.size, class.plural]),
            Form::Glued if class.unit.is_empty() && class.size.is_empty() => spaced(&[&digits, class.plural]),
            Form::Glued => format!("{digits}{}", spaced(&[class.unit, class.size, class.plural])),
            Form::KindFirst => format!(
                "{}: {}",
                spaced(&[class.size, class.plural]),
                spaced(&[&digits, class.unit])
            ),
            Form::Times => spaced(&[&digits, class.unit, "x", class.size, class.kind]),
        }
    };
    let lines: Vec<String> = list.iter().map(line).collect();
    match form {
        Form::Lines | Form::KindFirst => lines.join("\n"),
        _ => lines.join(", "),
    }
}

fn counted(answer: &Value) -> Vec<(String, String)> {
    let lines = answer["quote"]["lines"].as_array().cloned().unwrap_or_default();
    let of = |line: &Value, field: &str| line[field].as_str().unwrap_or("").to_string();
    lines
        .iter()
        .map(|line| {
            let class = format!("{} {}", of(line, "service"), of(line, "size"));
            (of(line, "quantity"), class.trim().to_string())
        })
        .collect()
}

proptest! {
    #![proptest_config(config(250))]

    /// What is printed is read back.
    #[test]
    fn a_printed_list_is_read_back(list in list(), form in form()) {
        let text = print(&list, form);
        let answer = standard().says(&text);
        let expected: Vec<(String, String)> = list
            .iter()
            .map(|(count, class)| (count.to_string(), format!("{} {}", class.kind, class.size).trim().to_string()))
            .collect();
        prop_assert_eq!(counted(&answer), expected, "{:?} gives {}", text, answer["text"]);
    }

    /// The order of lines changes no total.
    #[test]
    fn order_changes_no_total(list in list(), form in form(), turn in any::<Index>(), back in any::<bool>()) {
        let mut other = list.clone();
        other.rotate_left(turn.index(list.len()));
        if back {
            other.reverse();
        }
        let total = |list: &[(u32, Class)]| standard().says(&print(list, form))["quote"]["total"].clone();
        let (one, two) = (total(&list), total(&other));
        prop_assert!(one.is_string(), "{:?} has no total", print(&list, form));
        prop_assert_eq!(one, two);
    }

    /// Nonsense changes nothing: words that no lexicon has, signs, stray letters of other alphabets.
    #[test]
    fn nonsense_changes_no_book(
        words in proptest::collection::vec("[bcdfghjklmnpqrstvwxz]{4,9}|[!?#%&*()_=/]{1,4}|[א-ת]{2,6}|[а-я]{3,8}|👍|🌳{1,3}", 1..12)
    ) {
        let text = words.join(" ");
        let mut talk = standard();
        let before = exports::account_json(&talk.state, chrono_tz::America::Chicago);
        let answer = talk.says(&text);
        prop_assert_eq!(before, exports::account_json(&talk.state, chrono_tz::America::Chicago), "{:?} gives {}", text, answer["text"]);
        prop_assert!(!answer["text"].as_str().unwrap_or("").is_empty());
    }
}
