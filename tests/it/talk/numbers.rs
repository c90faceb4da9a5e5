//! P1, no number left behind: every number of a message is in the answer, or the answer asks or refuses.
//!
//! The messages are those of all corpora. Numbers are compared by value, however they are written.

use rust_decimal::Decimal;

use super::{
    cases,
    yard::{Heard, Yard},
};

/// The numbers written with digits in a text, each with the bytes that it takes.
fn numbers(text: &str) -> Vec<(Decimal, usize, usize)> {
    let mut found = Vec::new();
    let bytes = text.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
        if !digit(at) {
            at += 1;
            continue;
        }
        let start = at;
        while digit(at) || (matches!(bytes.get(at), Some(b'.' | b',')) && digit(at + 1)) {
            at += 1;
        }
        found.extend(
            text[start..at]
                .replace(',', "")
                .parse()
                .map(|number| (number, start, at)),
        );
    }
    found
}

/// The figures that a number may be told as, by the words around it: `30 seconds` is half a minute, `me and 2 guys` 3.
fn told_as(text: &str, (number, start, end): (Decimal, usize, usize)) -> Vec<Decimal> {
    let (before, after) = (text[..start].to_lowercase(), text[end..].to_lowercase());
    let after = after.trim_start();
    let sixty = Decimal::from(60);
    let mut figures = vec![number];
    // ".75 hr", "4 1/2 yards", "0:50".
    if before.ends_with('.') && !before.trim_end_matches('.').ends_with(|c: char| c.is_ascii_digit()) {
        let places = u32::try_from(end - start).expect("a short number");
        let part = number / Decimal::from(10_u64.pow(places));
        figures.extend([part, part * sixty]);
    }
    if let (true, Some(seconds)) = (after.starts_with(':'), numbers(after).first()) {
        figures.extend([number + seconds.0 / sixty, number * sixty + seconds.0]);
    }
    if number.is_zero() && after.starts_with(':') {
        figures.extend(numbers(after).first().map(|minutes| minutes.0));
    }
    if let (true, Some(whole)) = (before.ends_with(':'), numbers(&before).last()) {
        figures.extend([whole.0 + number / sixty, whole.0 * sixty + number]);
    }
    // The 2 of "2 1/2".
    if let [over, under, ..] = numbers(after).as_slice()
        && after.starts_with(|c: char| c.is_ascii_digit())
        && after[over.2..].starts_with('/')
    {
        figures.push(number + over.0 / under.0);
    }
    // "quarter to 9" is 8:45.
    if before.trim_end().ends_with("quarter to") {
        figures.push(number - Decimal::ONE);
    }
    if after.starts_with("sec") {
        figures.push(number / sixty);
    }
    if after.starts_with("man hour") || after.starts_with("man-hour") || after.starts_with('h') {
        figures.push(number * sixty);
    }
    if after.starts_with("and a half") {
        figures.push(number + Decimal::new(5, 1));
    }
    if after.starts_with("dozen") {
        figures.push(number * Decimal::from(12));
    }
    if joined_to_me(&before) {
        figures.push(number + Decimal::ONE);
    }
    if let Some(of) = after.strip_prefix('/').and_then(|of| numbers(of).first().copied()) {
        figures.extend([number / of.0, number / of.0 * sixty]);
    }
    if before.ends_with('/') {
        let over = numbers(&before).last().copied().map_or(Decimal::ONE, |over| over.0);
        figures.extend([over / number, over / number * sixty]);
        if let [.., whole, _] = numbers(&before).as_slice() {
            figures.push(whole.0 + over / number);
        }
    }
    figures
}

/// `me and 2 guys`, in the ways it is written.
fn joined_to_me(before: &str) -> bool {
    let before = before.trim_end();
    ["me and", "me n", "me &", "me +"]
        .iter()
        .any(|joined| before.ends_with(joined))
}

/// The months that a text names, as numbers: `3/4` is told as March 4.
fn months(text: &str) -> impl Iterator<Item = Decimal> + '_ {
    let names = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    (1..)
        .zip(names)
        .filter(|(_, name)| text.contains(&format!(" {name} ")))
        .map(|(month, _)| Decimal::from(month))
}

/// What is told in hours and minutes (`1 h 25 min`), as minutes.
fn clocked(text: &str) -> Vec<Decimal> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let told = |part: &[&str]| match part {
        [hours, "h", minutes, unit] if unit.starts_with("min") => {
            Some(hours.parse::<Decimal>().ok()? * Decimal::from(60) + minutes.parse::<Decimal>().ok()?)
        }
        _ => None,
    };
    words.windows(4).filter_map(told).collect()
}

/// Whether the speaker took a number back himself: the last word wins.
fn corrects_itself(text: &str) -> bool {
    let text = text.to_lowercase();
    let marks = [
        " no ",
        "no,",
        "wait",
        "sorry",
        "actually",
        "make that",
        "make it",
        "scratch",
        "hang on",
    ];
    marks.iter().any(|mark| text.contains(mark))
}

fn asks_or_refuses(heard: &Heard) -> bool {
    let asks = heard.json["asks"].as_array().is_some_and(|asks| !asks.is_empty());
    asks || heard.json["understood"] == serde_json::json!(["unclear"])
        || heard.text.contains("cannot be")
        || heard.text.contains("Only the owner")
}

#[test]
fn every_number_said_is_said_back_or_asked_about() {
    let standard = Yard::standard();
    let mut failures = Vec::new();
    for (at, turns, _) in cases() {
        let mut yard = standard.clone();
        for turn in &turns {
            let heard = yard.says(turn);
            // A bare number is an answer to what was asked.
            if asks_or_refuses(&heard) || turn.trim().parse::<Decimal>().is_ok() {
                continue;
            }
            let figures = numbers(&heard.text).into_iter().map(|number| number.0);
            let said_back: Vec<Decimal> = figures.chain(months(&heard.text)).chain(clocked(&heard.text)).collect();
            // Ten seconds are no round part of a minute: hundredths are what is shown.
            let shown = |figure: &Decimal| said_back.contains(figure) || said_back.contains(&figure.round_dp(2));
            let is_told = |number| told_as(turn, number).iter().any(shown);
            let said = numbers(turn);
            let last = said.last().map_or(0, |number| number.1);
            let missing: Vec<Decimal> = said
                .into_iter()
                .filter(|number| !(is_told(*number) || corrects_itself(turn) && number.1 < last))
                .map(|number| number.0)
                .collect();
            if !missing.is_empty() {
                failures.push(format!(
                    "{at}: {turn}\n  {missing:?} not in: {}",
                    heard.text.replace('\n', " / ")
                ));
            }
        }
    }
    failures.dedup();
    assert!(
        failures.is_empty(),
        "{} messages:\n{}",
        failures.len(),
        failures.join("\n")
    );
}
