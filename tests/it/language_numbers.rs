//! Every number from 0 to 9,999 and every minute of a day, in words and in digits, is read back exactly.
//!
//! What the words of a number are is not for us to say: `support::spelled` is held against num2words, a library from PyPI
//! (`tests/reference/spelled_numbers.py` writes its rows and the hash of all of its output).

use rust_decimal::Decimal;
use sha2::{Digest, Sha256};
use tallyhand::language::{
    Expecting, Meaning, QuantitySaid, Reading, ServiceName, Setting, Unit, Vocabulary, WorkedSaid, read,
};

use crate::support::spelled::{DICTATED, Manner, WRITTEN, cardinal, with_commas};

/// Written by `tests/reference/spelled_numbers.py` with num2words 0.5.14 on 2026-11-25.
const REFERENCE: &str = include_str!("../../fixtures/references/language/spelled_numbers.tsv");

/// One kind in three sizes: enough to count.
fn one_kind() -> Vocabulary {
    Vocabulary::new(
        vec![ServiceName {
            name: "holly".to_string(),
            aliases: Vec::new(),
            unit: Unit::Each,
            sizes: ["small", "medium", "large"].map(str::to_string).to_vec(),
            has_material: false,
        }],
        Vec::new(),
    )
}

/// As the library has it: a comma between thousands and hundreds.
fn with_thousands_comma(number: u32) -> String {
    let words = cardinal(number, WRITTEN);
    match words.split_once(" thousand ") {
        Some((head, rest)) if !rest.starts_with("and ") => format!("{head} thousand, {rest}"),
        _ => words,
    }
}

/// Hours and minutes, joined by `joint`; the word for minutes can be left away behind hours.
fn hours_and_minutes(total: u32, joint: &str, minute_word: bool, manner: Manner) -> String {
    let (hours, minutes) = (total / 60, total % 60);
    let mut parts = Vec::new();
    if hours > 0 {
        parts.push(format!(
            "{} hour{}",
            cardinal(hours, manner),
            if hours == 1 { "" } else { "s" }
        ));
    }
    if minutes > 0 || hours == 0 {
        let unit = match (minutes, minute_word || hours == 0) {
            (_, false) => "",
            (1, true) => " minute",
            (_, true) => " minutes",
        };
        parts.push(format!("{}{unit}", cardinal(minutes, manner)));
    }
    parts.join(joint)
}

fn sha256(lines: impl Iterator<Item = String>) -> String {
    let mut hash = Sha256::new();
    for line in lines {
        hash.update(line);
        hash.update("\n");
    }
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

#[test]
fn numbers_are_spelled_as_the_reference_library_spells_them() {
    let mut rows = 0;
    for line in REFERENCE.lines().filter(|line| !line.starts_with('#')) {
        let cells: Vec<&str> = line.split('\t').collect();
        let [kind, number, words] = cells[..] else {
            panic!("three cells in {line:?}")
        };
        let number: u32 = number.parse().expect("a number");
        let ours = match kind {
            "cardinal" => with_thousands_comma(number),
            "duration" => hours_and_minutes(number, " and ", true, WRITTEN),
            "cardinals sha256" => sha256((0..number).map(with_thousands_comma)),
            "durations sha256" => sha256((0..number).map(|n| hours_and_minutes(n, " and ", true, WRITTEN))),
            other => panic!("unknown kind of row {other}"),
        };
        assert_eq!(ours, words, "{kind} {number}");
        rows += 1;
    }
    assert!(rows > 300, "the reference holds {rows} rows");
}

/// The first few of what went wrong, and how many.
#[track_caller]
fn check_none_wrong(wrong: &[String]) {
    assert!(
        wrong.is_empty(),
        "{} read wrongly, the first of them:\n{}",
        wrong.len(),
        wrong[..wrong.len().min(20)].join("\n")
    );
}

fn only_count(reading: &Reading) -> Option<Decimal> {
    match reading.meanings.as_slice() {
        [said] => match &said.meaning {
            Meaning::Quote { lines, .. } => match lines.as_slice() {
                [line] => match line.quantity {
                    QuantitySaid::Exact(count) => Some(count),
                    _ => None,
                },
                _ => None,
            },
            _ => None,
        },
        _ => None,
    }
}

#[track_caller]
fn check_counts(write: fn(u32) -> String) {
    let vocabulary = one_kind();
    let wrong: Vec<String> = (0..10_000)
        .filter_map(|number| {
            let message = format!("{} small hollies", write(number));
            let found = only_count(&read(&message, &vocabulary, Expecting::Nothing));
            (found != Some(number.into())).then(|| format!("{number}: {message:?} gives {found:?}"))
        })
        .collect();
    check_none_wrong(&wrong);
}

#[test]
fn every_count_to_9999_is_read_as_dictated() {
    check_counts(|number| cardinal(number, DICTATED));
}

#[test]
fn every_count_to_9999_is_read_as_the_reference_library_spells_it() {
    check_counts(with_thousands_comma);
}

#[test]
fn every_count_to_9999_is_read_in_digits() {
    check_counts(|number| number.to_string());
    check_counts(with_commas);
}

#[track_caller]
fn check_minutes(write: fn(u32) -> String) {
    let vocabulary = one_kind();
    let worked = |reading: &Reading| match reading.meanings.as_slice() {
        [said] => match &said.meaning {
            Meaning::Finish(finish) => match finish.worked {
                Some(WorkedSaid::Elapsed(said)) => Some(said.minutes),
                _ => None,
            },
            _ => None,
        },
        _ => None,
    };
    let set_up = |reading: &Reading| match reading.meanings.as_slice() {
        [said] => match &said.meaning {
            Meaning::Set(Setting::ExtraMinutes(_, minutes)) => Some(*minutes),
            _ => None,
        },
        _ => None,
    };
    let mut wrong = Vec::new();
    for number in 0..=1_440 {
        let said = write(number);
        for (message, value) in [
            (
                format!("done in {said}"),
                &worked as &dyn Fn(&Reading) -> Option<Decimal>,
            ),
            (format!("set-up {said}"), &set_up),
        ] {
            let found = value(&read(&message, &vocabulary, Expecting::Nothing));
            if found != Some(number.into()) {
                wrong.push(format!("{number}: {message:?} gives {found:?}"));
            }
        }
    }
    check_none_wrong(&wrong);
}

#[test]
fn every_minute_of_a_day_is_read_in_hours_and_minutes() {
    check_minutes(|number| hours_and_minutes(number, " and ", true, WRITTEN));
    check_minutes(|number| hours_and_minutes(number, " ", true, DICTATED));
}

#[test]
fn every_minute_of_a_day_is_read_without_the_word_for_minutes() {
    // "an hour forty".
    check_minutes(|number| hours_and_minutes(number, " ", false, DICTATED));
}

#[test]
fn every_minute_of_a_day_is_read_as_minutes() {
    check_minutes(|number| format!("{} minutes", cardinal(number, DICTATED)));
    check_minutes(|number| format!("{number} min"));
}

#[test]
fn every_minute_of_a_day_is_read_in_figures() {
    check_minutes(|number| match (number / 60, number % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    });
}
