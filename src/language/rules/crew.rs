//! How many people: `2 guys`, `me and 2 guys` (3), `three of us`, `solo`, `crew of 3`.

use rust_decimal::prelude::ToPrimitive;

use super::number::{Number, number, slip};
use crate::language::lexicon::Class;
use crate::language::words::Words;

/// A crew found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::language) struct Crew {
    /// One past its last word.
    pub(in crate::language) end: usize,
    /// People.
    pub(in crate::language) people: u32,
}

/// The crews that start at word `at`, longest first.
pub(in crate::language) fn crews(words: &Words<'_>, at: usize) -> Vec<Crew> {
    let mut found = Vec::new();
    let told = words.one_of(at, &["had", "has", "have", "were", "was"]);
    let with = told || words.one_of(at, &["with", "w", "using"]);
    let mut start = if with { at + 1 } else { at };
    if with && words.sign(start, '/') {
        start += 1;
    }
    while words.one_of(start, &["the", "all", "just", "a", "only"]) && start < at + 3 {
        start += 1;
    }
    if words.is(start, Class::SOLO) {
        found.push(Crew {
            end: start + 1,
            people: 1,
        });
    }
    if words.spelled(start, "by") && words.spelled(start + 1, "myself") {
        found.push(Crew {
            end: start + 2,
            people: 1,
        });
    }
    if words.spelled(start, "both") {
        let of = words.spelled(start + 1, "of") && words.one_of(start + 2, &["us", "them"]);
        if of || words.is(start + 1, Class::PEOPLE) {
            found.push(Crew {
                end: start + if of { 3 } else { 2 },
                people: 2,
            });
        }
    }
    if words.one_of(start, &["me", "myself", "i"]) {
        me_and(words, start, &mut found);
        let alone = words.one_of(start, &["me", "myself"]) && (start > at || words.spelled(start, "myself"));
        if alone || (words.spelled(start, "me") && at + 1 == words.len() && at > 0) {
            found.push(Crew {
                end: start + 1,
                people: 1,
            });
        }
    }
    // "mine has 12" and "last year was 15" count no people; "we had 3" does.
    let ours = at > 0 && words.one_of(at - 1, &["we", "i", "there"]);
    if let Some(count) = number(words, start).or_else(|| slip(words, start)) {
        counted(words, count, with && (!told || ours), &mut found);
    }
    found
}

/// `me and 2 guys`, `me plus one`, `me and Sam`.
fn me_and(words: &Words<'_>, at: usize, found: &mut Vec<Crew>) {
    let Some(joined) = words.one_of(at + 1, &["and", "plus", "with", "n"]).then_some(at + 2) else {
        return;
    };
    let start = if words.one_of(joined, &["the", "my", "our"]) {
        joined + 1
    } else {
        joined
    };
    let slipped = slip(words, start).filter(|count| words.is(count.end, Class::PEOPLE));
    let others = number(words, start).or(slipped).or_else(|| {
        let article = words.is(start, Class::ARTICLE) && words.is(start + 1, Class::PEOPLE);
        article.then(|| Number {
            end: start + 1,
            value: rust_decimal::Decimal::ONE,
            slip: false,
        })
    });
    if let Some(others) = others {
        if let Some(people) = others.value.to_u32().filter(|n| *n < 100 && others.value.is_integer()) {
            let mut end = others.end;
            if words.is(end, Class::PEOPLE) || words.is(end, Class::CREW) {
                end += 1;
            } else if words.is(end, Class::SIZE.or(Class::MINUTE).or(Class::HOUR)) {
                return;
            }
            found.push(Crew {
                end,
                people: people + 1,
            });
        }
    } else if words.unknown(start) || words.one_of(start, &["son", "wife", "brother", "boy"]) {
        found.push(Crew {
            end: start + 1,
            people: 2,
        });
    }
}

fn counted(words: &Words<'_>, count: Number, with: bool, found: &mut Vec<Crew>) {
    let Some(people) = count.value.to_u32().filter(|n| count.value.is_integer() && *n < 1_000) else {
        return;
    };
    let mut end = count.end;
    if words.sign(end, '-') {
        end += 1;
    }
    if words.is(end, Class::PEOPLE) && words.is(end + 1, Class::CREW) {
        found.push(Crew { end: end + 2, people });
    } else if words.is(end, Class::CREW) {
        found.push(Crew { end: end + 1, people });
    }
    let end = count.end;
    if words.is(end, Class::PEOPLE) && !words.is(end + 1, Class::HOUR.or(Class::MINUTE)) && !words.sign(end + 1, '-') {
        let (mut people, mut end) = (people, end + 1);
        if words.one_of(end, &["and", "plus", "with"]) && words.one_of(end + 1, &["me", "myself", "i"]) {
            people += 1;
            end += 2;
        }
        if words.one_of(end, &["on", "working"]) && words.one_of(end + 1, &["it", "this", "that"]) {
            end += 2;
        }
        found.push(Crew { end, people });
    } else if words.spelled(end, "of")
        && (words.spelled(end + 1, "us")
            || words.spelled(end + 1, "them")
                && words.one_of(end + 2, &["took", "worked", "working", "did", "on", "for"]))
    {
        found.push(Crew { end: end + 2, people });
    } else if with && !count.slip {
        let more = Class::SIZE
            .or(Class::MINUTE)
            .or(Class::HOUR)
            .or(Class::UNIT)
            .or(Class::EACH)
            .or(Class::VAGUE);
        if !words.is(end, more) && words.kinds(end).is_empty() && !words.sign(end, '%') && people < 20 {
            found.push(Crew { end, people });
        }
    }
}
