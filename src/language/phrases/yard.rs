//! Wordings that say where the account works (zone, state, last frost), and what whoever comes to a place is to be told.

use super::{Phrase, Row, number, place, set, text, when, whole};
use crate::language::meaning::{DaySaid, Meaning, Setting};
use crate::language::pattern::Cap;
use crate::language::words::Words;

/// States and provinces with their two letters.
const STATES: &str = include_str!("../lexicon/states.tsv");
/// Two letters that are words too.
const WORDS_TOO: [&str; 9] = ["in", "or", "me", "ok", "hi", "oh", "on", "al", "pa"];

/// The two letters of a state or province, by its name or by them.
fn state_code(text: &str, alone: bool) -> Option<&'static str> {
    let text = text.trim().trim_end_matches(['.', '!', ',']).trim();
    let name = text.to_lowercase();
    let mut rows = STATES.lines().skip(1).filter_map(|row| row.split_once('\t'));
    let by_code = |code: &str| {
        let as_code = code.eq_ignore_ascii_case(text);
        as_code && (text == code || !(alone && WORDS_TOO.contains(&name.as_str())))
    };
    rows.find(|(full, code)| *full == name || by_code(code))
        .map(|(_, code)| code)
}

/// The state that a sentence names behind `in`: `can I cut oaks in texas`.
pub(in crate::language) fn state_in(text: &str) -> Option<&'static str> {
    let padded = format!(" {} ", text.to_lowercase().replace(['?', '.', ',', '!'], " "));
    let mut rows = STATES.lines().skip(1).filter_map(|row| row.split_once('\t'));
    rows.find(|(full, _)| padded.contains(&format!(" in {full} ")))
        .map(|(_, code)| code)
}

/// Most words of a state with a town before it.
const STATE_WORDS_MAX: usize = 6;

fn state(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let long = |cap: &&Cap| matches!(cap, Cap::Text(from, to) if to - from > 2 * STATE_WORDS_MAX);
    if caps.iter().any(long) {
        return None;
    }
    let said = text(caps, words)?;
    // A town may stand before it: "Houston Texas".
    let names: Vec<&str> = said.split([' ', ',']).filter(|word| !word.is_empty()).collect();
    let tails = (0..names.len().min(3)).map(|from| names[from..].join(" "));
    let code = tails.filter_map(|tail| state_code(&tail, tail != said)).next()?;
    set(Setting::State(code))
}

/// A state that is all of the message, when no place is called so.
fn state_alone(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let only_stops = |from: usize| (from..words.len()).all(|at| words.get(at).is_some_and(|token| !token.is_word()));
    let whole = caps
        .iter()
        .any(|cap| matches!(cap, Cap::Text(0, to) if only_stops(*to)));
    if !whole {
        return None;
    }
    let said = text(caps, words)?;
    (!words.vocabulary.has_place(&said))
        .then(|| set(Setting::State(state_code(&said, true)?)))
        .flatten()
}

/// `zone 8a`: the letter stands right behind the number.
fn zone(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let zone = number(caps)?;
    let at = (0..words.len()).find(|at| words.spelled(*at, "zone"))?;
    let letter = (at + 1..words.len())
        .find(|at| words.get(*at).is_some_and(|token| token.glued) && words.one_of(*at, &["a", "b"]))
        .map_or("", |at| words.lower(at));
    set(Setting::HardinessZone(format!("{}{letter}", zone.normalize())))
}

fn last_frost(caps: &[&Cap]) -> Option<Phrase> {
    match when(caps)?.day? {
        DaySaid::Date { month, day, .. } => set(Setting::LastFrost(month, day)),
        _ => None,
    }
}

fn place_caution(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let said = text(caps, words)?;
    let said = said.trim_start_matches([':', ',', '-', ' ']).trim();
    if said.is_empty() {
        return None;
    }
    whole(Meaning::PlaceCaution {
        place: place(caps),
        text: said.to_string(),
    })
}

pub(super) const ROWS: &[Row] = &[
    (
        "set: zone",
        8,
        "(my | our | im in | i am in | were in | we are in | i work in | we work in | usda | its | set)? (usda | hardiness | growing | planting)? (hardiness)? zone (is | : | =)? #num [a b]?",
        zone,
    ),
    (
        "set: state",
        9,
        "(state | my state | my state is | state is | our state is | im in | i am in | were in | we are in | i work in | we work in | based in | located in | we are out of | im out of | here in) [:]? #sentence",
        state,
    ),
    ("set: state", 8, "#sentence", state_alone),
    (
        "set: last frost",
        8,
        "(my | our | average | avg)? (last frost | last freeze | frost date | last frost date | last freeze date | final frost) (date)? (is | usually | : | = | around | about | on)? (is | usually | around | about | on)? #when",
        |c, _| last_frost(c),
    ),
    (
        "place caution",
        9,
        "(caution | warning | heads up | watch out | careful | be careful | safety note | site note | remember | always | crew note) #place (: | , | -)? #rest",
        place_caution,
    ),
    (
        "place caution",
        9,
        "(remind | warn | tell) (me | us | crew | guys | the crew | the guys | everybody | them) (every time)? #place (: | , | - | that | about | of)? #rest",
        place_caution,
    ),
    (
        "place caution",
        8,
        "(remind | warn | tell) (crew | guys | the crew | the guys | everybody) (every time)? (: | , | - | that | about | of) #rest",
        place_caution,
    ),
];
