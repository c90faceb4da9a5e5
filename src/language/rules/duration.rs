//! Durations: minutes, hours, seconds, and the ways people mix them. Values are minutes.

use rust_decimal::Decimal;

use super::number::{Number, joins_half, number, range, slip};
use crate::language::lexicon::Class;
use crate::language::meaning::MinutesSaid;
use crate::language::token::TOO_LARGE;
use crate::language::words::Words;

/// A duration found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::language) struct Duration {
    /// One past its last word.
    pub(in crate::language) end: usize,
    /// The minutes.
    pub(in crate::language) said: MinutesSaid,
    /// They are man-minutes.
    pub(in crate::language) man: bool,
}

fn exact(minutes: Decimal) -> MinutesSaid {
    MinutesSaid { minutes, range: None }
}

/// The middle of a range, the ends kept.
pub(in crate::language) fn ranged(low: Decimal, high: Decimal) -> MinutesSaid {
    MinutesSaid {
        minutes: (low + high) / Decimal::TWO,
        range: Some((low, high)),
    }
}

const SIXTY: Decimal = Decimal::from_parts(60, 0, 0, false, 0);

/// Durations that start at word `at`: the longest first, then shorter ones that leave words to others.
pub(in crate::language) fn durations(words: &Words<'_>, at: usize) -> Vec<Duration> {
    let mut found = Vec::new();
    hours(words, at, &mut found);
    minutes(words, at, &mut found);
    found
}

/// Unit words after a number: 1 minute, 60 of them, or a sixtieth; `man` before or in the unit makes it man time.
fn unit(words: &Words<'_>, at: usize) -> Option<(Decimal, bool, usize)> {
    let mut at = at;
    if words.size_letter(at).is_some() {
        return None;
    }
    if words.sign(at, '-') && words.get(at).is_some_and(|t| t.glued) {
        at += 1;
    }
    if words.is(at, Class::MANHOUR) {
        return Some((SIXTY, true, at + 1));
    }
    if words.is(at, Class::MANMINUTE) {
        return Some((Decimal::ONE, true, at + 1));
    }
    let man = words.is(at, Class::MAN)
        && (words.is(at + 1, Class::HOUR.or(Class::MINUTE))
            || (words.sign(at + 1, '-') && words.is(at + 2, Class::HOUR.or(Class::MINUTE))));
    if man {
        at += if words.sign(at + 1, '-') { 2 } else { 1 };
    }
    let per = if words.is(at, Class::MINUTE) {
        Decimal::ONE
    } else if words.is(at, Class::HOUR) {
        SIXTY
    } else if words.is(at, Class::SECOND) || (words.spelled(at, "s") && words.get(at).is_some_and(|t| t.glued)) {
        return Some((Decimal::ONE / SIXTY, man, at + 1));
    } else {
        return None;
    };
    Some((per, man, at + 1))
}

fn minutes(words: &Words<'_>, at: usize, found: &mut Vec<Duration>) {
    if let Some((low, high, end)) = range(words, at)
        && let Some((per, man, end)) = unit(words, end)
    {
        found.push(Duration {
            end,
            said: ranged(scale(low, per), scale(high, per)),
            man,
        });
    }
    let count = match number(words, at) {
        Some(count) => count,
        None if words.is(at, Class::ARTICLE) => Number {
            end: at + 1,
            value: Decimal::ONE,
            slip: false,
        },
        None => match slip(words, at) {
            Some(count) => with_half(words, count),
            None => return,
        },
    };
    // "5 min to 6 min", "five minutes or six".
    let Some((per, man, end)) = unit(words, count.end) else {
        return;
    };
    if per == SIXTY {
        return;
    }
    let mut value = scale(count.value, per);
    let mut end = end;
    if let Some((half, after)) = and_half(words, end) {
        value += half * per;
        end = after;
    } else if per == Decimal::ONE {
        let next = if words.spelled(end, "and") { end + 1 } else { end };
        if let Some(seconds) = number(words, next)
            && let Some((sec, _, after)) = unit(words, seconds.end)
            && sec < Decimal::ONE
        {
            value += scale(seconds.value, sec);
            end = after;
        }
    }
    found.push(Duration {
        end,
        said: exact(value),
        man,
    });
}

/// Seconds divide by sixty last, so that thirty of them are exactly half.
fn scale(value: Decimal, per: Decimal) -> Decimal {
    let scaled = if per < Decimal::ONE {
        value.checked_div(SIXTY)
    } else {
        value.checked_mul(per)
    };
    scaled.unwrap_or(TOO_LARGE).normalize()
}

fn and_half(words: &Words<'_>, at: usize) -> Option<(Decimal, usize)> {
    if !joins_half(words, at) {
        return None;
    }
    let start = if words.is(at + 1, Class::ARTICLE) {
        at + 2
    } else {
        at + 1
    };
    if words.is(start, Class::HALF) {
        return Some((Decimal::new(5, 1), start + 1));
    }
    if words.is(start, Class::QUARTER) {
        return Some((Decimal::new(25, 2), start + 1));
    }
    match (words.value(start, Class::UNITS), words.is(start + 1, Class::QUARTER)) {
        (Some(3), true) => Some((Decimal::new(75, 2), start + 2)),
        _ => None,
    }
}

fn hours(words: &Words<'_>, at: usize, found: &mut Vec<Duration>) {
    if words.is(at, Class::UNIT) || words.is(at, Class::MINUTE) {
        return;
    }
    let Some((count, after_count)) = hour_count(words, at) else {
        return;
    };
    let mut unit_at = after_count;
    // "three quarters of an hour", "half an hour", "a quarter of an hour".
    if words.spelled(unit_at, "of") {
        unit_at += 1;
    }
    if words.is(unit_at, Class::ARTICLE) && unit_at > at && (unit_at > after_count || count < Decimal::ONE) {
        unit_at += 1;
    }
    let Some((per, man, end)) = unit(words, unit_at) else {
        return;
    };
    if per != SIXTY {
        return;
    }
    let base = scale(count, SIXTY);
    if let Some((half, after)) = and_half(words, end) {
        found.push(Duration {
            end: after,
            said: exact(base + half * SIXTY),
            man,
        });
    }
    // "an hour forty", "2 hours 15", "an hour and 20 minutes"; only whole hours take minutes after them.
    let next = if words.spelled(end, "and") { end + 1 } else { end };
    if let Some(rest) = number(words, next).filter(|rest| rest.value < SIXTY && count.is_integer()) {
        match unit(words, rest.end) {
            Some((per, _, after)) if per == Decimal::ONE => {
                found.push(Duration {
                    end: after,
                    said: exact(base + rest.value),
                    man,
                });
            }
            None if rest.value >= Decimal::ONE && !words.is(rest.end, Class::PEOPLE) => {
                found.push(Duration {
                    end: rest.end,
                    said: exact(base + rest.value),
                    man,
                });
            }
            _ => {}
        }
    }
    found.push(Duration {
        end,
        said: exact(base),
        man,
    });
}

fn hour_count(words: &Words<'_>, at: usize) -> Option<(Decimal, usize)> {
    if words.is(at, Class::ARTICLE) && words.is(at + 1, Class::HOUR) {
        return Some((Decimal::ONE, at + 1));
    }
    if words.is(at, Class::HOUR) && (joins_half(words, at + 1) || words.is(at + 1, Class::UNITS.or(Class::TENS))) {
        return Some((Decimal::ONE, at));
    }
    if words.is(at, Class::HALF) {
        return Some((Decimal::new(5, 1), at + 1));
    }
    if words.is(at, Class::QUARTER) {
        return Some((Decimal::new(25, 2), at + 1));
    }
    if let Some(count) = number(words, at) {
        return Some((count.value, count.end));
    }
    let count = with_half(words, slip(words, at)?);
    Some((count.value, count.end))
}

/// `ate and a half`: a slip with its half, as a number has it.
fn with_half(words: &Words<'_>, count: Number) -> Number {
    match and_half(words, count.end) {
        Some((half, end)) => Number {
            end,
            value: count.value + half,
            ..count
        },
        None => count,
    }
}
