//! The words of answers: transcripts, read as prose.
//!
//! `fixtures/conversation/words/*.txt` hold talks: a line that starts with `> ` is said, what follows is answered. Running
//! with `UPDATE_EXPECT=1` writes the answers anew.

use std::{fs, path::Path};

use super::yard::Yard;

#[test]
fn answers_read_as_written() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/conversation/words");
    let update = std::env::var_os("UPDATE_EXPECT").is_some();
    let mut failures = Vec::new();
    let mut answers = 0;
    for entry in fs::read_dir(folder).expect("the transcripts are there") {
        let path = entry.expect("a readable folder").path();
        let expected = fs::read_to_string(&path).expect("a transcript is text");
        let spoken = spoken(&expected);
        answers += spoken.matches("> ").count();
        if update {
            fs::write(&path, &spoken).expect("a transcript can be written");
        } else if spoken != expected {
            failures.push(format!("{}:\n{}", path.display(), first_difference(&expected, &spoken)));
        }
    }
    assert!(answers >= 40, "only {answers} answers");
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// The transcript with the answers given today.
fn spoken(transcript: &str) -> String {
    let mut yard = Yard::new();
    let mut spoken = String::new();
    for line in transcript.lines() {
        if line.starts_with('#') {
            spoken.push_str(&format!("{line}\n"));
        } else if let Some(said) = line.strip_prefix("> ") {
            let heard = yard.says(said);
            spoken.push_str(&format!("\n> {said}\n{}\n", heard.text));
        }
    }
    spoken
}

fn first_difference(expected: &str, spoken: &str) -> String {
    let mut lines = expected.lines().zip(spoken.lines()).enumerate();
    match lines.find(|(_, (expected, spoken))| expected != spoken) {
        Some((number, (expected, spoken))) => {
            format!("line {}:\n  expected {expected}\n  answered {spoken}", number + 1)
        }
        None => "one is longer than the other".to_string(),
    }
}

/// Answers go out as text messages: plain ASCII apart from the account's own words, and no line that a phone breaks twice.
#[test]
fn answers_fit_a_phone() {
    let standard = Yard::standard();
    for (at, turns, _) in super::cases() {
        let mut yard = standard.clone();
        for turn in turns {
            let heard = yard.says(&turn);
            let is_ascii = heard.text.is_ascii() || !turn.is_ascii();
            assert!(is_ascii, "{at}: {}", heard.text);
            let longest = heard.text.lines().map(str::len).max().unwrap_or_default();
            assert!(longest <= 160, "{at}: {longest} letters in a line of: {}", heard.text);
        }
    }
}
