//! Numbers in digits and in words. A number knows nothing of what it counts.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::language::lexicon::Class;
use crate::language::token::TokenKind;
use crate::language::words::Words;

/// A number found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::language) struct Number {
    /// One past its last word.
    pub(in crate::language) end: usize,
    /// Its value.
    pub(in crate::language) value: Decimal,
    /// Dictation's slip for a number (`for small`).
    pub(in crate::language) slip: bool,
}

/// `half`, as a decimal.
const HALF: Decimal = Decimal::from_parts(5, 0, 0, false, 1);
/// `quarter`, as a decimal.
const QUARTER: Decimal = Decimal::from_parts(25, 0, 0, false, 2);

/// The number that starts at word `at`, as long as it goes.
pub(in crate::language) fn number(words: &Words<'_>, at: usize) -> Option<Number> {
    words.number_once(at, || find(words, at))
}

fn find(words: &Words<'_>, at: usize) -> Option<Number> {
    let (mut value, mut end) = whole(words, at)?;
    if words.is(end, Class::DOZEN) {
        value = value.checked_mul(Decimal::from(12))?;
        end += 1;
    }
    if let Some((part, after)) = and_part(words, end) {
        let scale = if words.is(end - 1, Class::DOZEN) {
            Decimal::from(12)
        } else {
            Decimal::ONE
        };
        value = value.checked_add(part * scale)?;
        end = after;
    }
    Some(Number {
        end,
        value,
        slip: false,
    })
}

/// A word that dictation writes for a number.
pub(in crate::language) fn slip(words: &Words<'_>, at: usize) -> Option<Number> {
    let value = words.value(at, Class::SLIP)?;
    Some(Number {
        end: at + 1,
        value: Decimal::from(value),
        slip: true,
    })
}

fn whole(words: &Words<'_>, at: usize) -> Option<(Decimal, usize)> {
    let token = words.get(at)?;
    match token.kind {
        TokenKind::Number(value) => Some(digits(words, at, value)),
        TokenKind::Word if words.spelled(at, "negative") => {
            let (value, end) = whole(words, at + 1)?;
            Some((-value, end))
        }
        TokenKind::Word => fractions(words, at).or_else(|| cardinal(words, at)),
        TokenKind::Sign('-') if leads_negative(words, at) => {
            let (value, end) = whole(words, at + 1)?;
            Some((-value, end))
        }
        _ => None,
    }
}

/// A minus sign glued to its number, in the middle of a line: at the start of one it is a dash of a list.
fn leads_negative(words: &Words<'_>, at: usize) -> bool {
    let glued_next = words
        .get(at + 1)
        .is_some_and(|t| t.glued && matches!(t.kind, TokenKind::Number(_)));
    let loose_before = words.get(at).is_some_and(|t| !t.glued);
    let word_before = at > 0 && words.get(at - 1).is_some_and(|t| t.is_word());
    let alone = at == 0 && !(0..words.len()).any(|i| words.get(i).is_some_and(|t| t.kind == TokenKind::Break));
    glued_next && loose_before && (word_before || alone) && words.text(at, at + 1) == "-"
}

fn digits(words: &Words<'_>, at: usize, value: Decimal) -> (Decimal, usize) {
    if words.get(at).is_some_and(|t| t.fraction || t.ordinal) {
        return (value, at + 1);
    }
    if let Some(next) = words.get(at + 1) {
        match next.kind {
            TokenKind::Number(part) if next.fraction && value.is_integer() => {
                return (value.saturating_add(part), at + 2);
            }
            TokenKind::Word if words.is(at + 1, Class::HUNDRED) => return (value.saturating_mul(100.into()), at + 2),
            TokenKind::Word if words.is(at + 1, Class::THOUSAND) => {
                return (value.saturating_mul(1_000.into()), at + 2);
            }
            _ => {}
        }
    }
    (value, at + 1)
}

/// `half a dozen`, `a couple dozen`, `three quarters`, `a dozen`, `a hundred`.
fn fractions(words: &Words<'_>, at: usize) -> Option<(Decimal, usize)> {
    let start = if words.is(at, Class::ARTICLE) { at + 1 } else { at };
    if words.is(start, Class::HALF) {
        let after = if words.is(start + 1, Class::ARTICLE) {
            start + 2
        } else {
            start + 1
        };
        if words.is(after, Class::DOZEN) {
            return Some((Decimal::from(6), after + 1));
        }
        let measured = Class::UNIT
            .or(Class::MINUTE)
            .or(Class::SECOND)
            .or(Class::SQUARE)
            .or(Class::CUBIC);
        let end = if after > start + 1 && words.is(after, measured) {
            after
        } else {
            start + 1
        };
        return Some((HALF, end));
    }
    if words.is(start, Class::COUPLE) {
        let after = if words.spelled(start + 1, "of") {
            start + 2
        } else {
            start + 1
        };
        if words.is(after, Class::DOZEN) {
            return Some((Decimal::from(24), after + 1));
        }
        return Some((Decimal::TWO, after));
    }
    if words.is(start, Class::DOZEN) {
        return Some((Decimal::from(12), start + 1)).map(|(v, e)| plus_half_dozen(words, v, e));
    }
    if words.is(start, Class::QUARTER) && start > at {
        return Some((QUARTER, start + 1));
    }
    if let (Some(count), true) = (words.value(at, Class::UNITS), words.is(at + 1, Class::QUARTER)) {
        return Some((QUARTER * Decimal::from(count), at + 2));
    }
    // "a grand total of ten" is no thousand.
    let total = words.spelled(start, "grand") && words.spelled(start + 1, "total");
    if start > at && !total && (words.is(start, Class::HUNDRED) || words.is(start, Class::THOUSAND)) {
        return cardinal_from(words, at);
    }
    None
}

fn plus_half_dozen(words: &Words<'_>, value: Decimal, end: usize) -> (Decimal, usize) {
    if words.spelled(end, "and") && words.is(end + 1, Class::ARTICLE) && words.is(end + 2, Class::HALF) {
        (value + Decimal::from(6), end + 3)
    } else {
        (value, end)
    }
}

/// `and a half`, `and a quarter`, `and three quarters`, `point five`.
fn and_part(words: &Words<'_>, at: usize) -> Option<(Decimal, usize)> {
    if words.spelled(at, "point") {
        return spoken_decimals(words, at + 1);
    }
    if !joins_half(words, at) {
        return None;
    }
    if words.get(at + 1).is_some_and(|t| t.fraction)
        && let Some(TokenKind::Number(part)) = words.get(at + 1).map(|t| t.kind)
    {
        return Some((part, at + 2));
    }
    let start = if words.is(at + 1, Class::ARTICLE) {
        at + 2
    } else {
        at + 1
    };
    if words.is(start, Class::HALF) && !words.is(start + 1, Class::DOZEN) && !words.is(start + 1, Class::ARTICLE) {
        return Some((HALF, start + 1));
    }
    if words.is(start, Class::QUARTER) && start == at + 2 {
        return Some((QUARTER, start + 1));
    }
    match (words.value(start, Class::UNITS), words.is(start + 1, Class::QUARTER)) {
        (Some(count), true) => Some((QUARTER * Decimal::from(count), start + 2)),
        _ => None,
    }
}

/// `and`, also as `an` or `n` before a half.
pub(in crate::language) fn joins_half(words: &Words<'_>, at: usize) -> bool {
    let loose = words.one_of(at, &["an", "n"]) && words.is(at + 1, Class::ARTICLE) && words.is(at + 2, Class::HALF);
    loose || words.spelled(at, "and")
}

fn spoken_decimals(words: &Words<'_>, at: usize) -> Option<(Decimal, usize)> {
    let (mut value, mut end, mut scale) = (Decimal::ZERO, at, Decimal::ONE);
    while end < at + 3 {
        let digit = match words.get(end).map(|t| t.kind) {
            Some(TokenKind::Number(n)) if n.is_integer() && n < Decimal::TEN => n,
            Some(TokenKind::Word) => match words.value(end, Class::UNITS) {
                Some(n) if n < 10 => Decimal::from(n),
                _ => break,
            },
            _ => break,
        };
        scale /= Decimal::TEN;
        value += digit * scale;
        end += 1;
    }
    (end > at).then_some((value, end))
}

fn cardinal(words: &Words<'_>, at: usize) -> Option<(Decimal, usize)> {
    if words.is(at, Class::UNITS.or(Class::TENS).or(Class::HUNDRED)) {
        cardinal_from(words, at)
    } else {
        None
    }
}

/// Spelled-out cardinals up to 999,999.
fn cardinal_from(words: &Words<'_>, at: usize) -> Option<(Decimal, usize)> {
    let (mut value, mut end) = below_thousand(words, at)?;
    if words.is(end, Class::THOUSAND) {
        value *= 1_000;
        end += 1;
        let (and, comma) = (words.spelled(end, "and"), words.sign(end, ','));
        // "one thousand and five", "one thousand, two hundred"; but "a thousand, five small" is a list.
        if let Some((rest, after)) = below_thousand(words, end + usize::from(and || comma))
            && !(and && rest >= 100 || comma && rest < 100)
        {
            value += rest;
            end = after;
        }
    }
    Some((Decimal::from(value), end))
}

fn below_thousand(words: &Words<'_>, at: usize) -> Option<(i64, usize)> {
    let (head, mut end) = if words.is(at, Class::ARTICLE) && words.is(at + 1, Class::HUNDRED.or(Class::THOUSAND)) {
        (1, at + 1)
    } else if words.is(at, Class::HUNDRED) {
        (1, at)
    } else {
        below_hundred(words, at)?
    };
    let mut value = head;
    if words.is(end, Class::HUNDRED) && head > 0 {
        value *= 100;
        end += 1;
        let start = if words.spelled(end, "and") { end + 1 } else { end };
        if let Some((rest, after)) = below_hundred(words, start) {
            // "a hundred and two small": the words after "and" may be a count of their own only with a class between.
            value += rest;
            end = after;
        }
    }
    Some((value, end))
}

fn below_hundred(words: &Words<'_>, at: usize) -> Option<(i64, usize)> {
    if let Some(tens) = words.value(at, Class::TENS) {
        let next = if words.sign(at + 1, '-') && words.get(at + 1).is_some_and(|t| t.glued) {
            at + 2
        } else {
            at + 1
        };
        return match words.value(next, Class::UNITS) {
            Some(unit) if (1..10).contains(&unit) => Some((tens + unit, next + 1)),
            _ => Some((tens, at + 1)),
        };
    }
    words.value(at, Class::UNITS).map(|unit| (unit, at + 1))
}

/// `one twenty`, `two oh five`: two spoken numbers side by side, as hours and minutes or dollars are said.
pub(in crate::language) fn pair(words: &Words<'_>, at: usize) -> Option<(u32, u32, usize)> {
    let spoken = |at: usize| words.get(at).is_some_and(|token| token.kind == TokenKind::Word);
    let left = words
        .value(at, Class::UNITS)
        .filter(|left| (1..=12).contains(left) && spoken(at))?;
    let right = number(words, at + 1).filter(|right| right.value.is_integer() && spoken(at + 1))?;
    let minutes = right.value.to_u32().filter(|minutes| (10..60).contains(minutes))?;
    Some((u32::try_from(left).ok()?, minutes, right.end))
}

/// Two numbers as the ends of a range: `5 or 6`, `5-6`, `five to six`, `between 5 and 6`.
pub(in crate::language) fn range(words: &Words<'_>, at: usize) -> Option<(Decimal, Decimal, usize)> {
    let between = words.spelled(at, "between");
    let start = if between { at + 1 } else { at };
    let low = number(words, start)?;
    let joined = words.one_of(low.end, &["or", "to", "till"])
        || (words.sign(low.end, '-') && words.get(low.end).is_some_and(|t| t.glued))
        || (between && words.spelled(low.end, "and"));
    if !joined {
        return None;
    }
    let high = number(words, low.end + 1)?;
    (low.value < high.value && low.value > Decimal::ZERO).then_some((low.value, high.value, high.end))
}

/// `one two three, three large`: counting aloud up to the count. Gives one past what was only counted: all of it when the
/// last number is said again, else all but the last, which counts what follows.
pub(in crate::language) fn aloud(words: &Words<'_>, at: usize) -> Option<usize> {
    let (mut ends, mut next) = (Vec::new(), at);
    let mut expected = Decimal::ONE;
    while let Some(count) = number(words, next).filter(|count| count.value == expected) {
        ends.push(count.end);
        next = count.end + usize::from(words.sign(count.end, ','));
        expected += Decimal::ONE;
    }
    if ends.len() < 3 {
        return None;
    }
    let last = Decimal::from(ends.len());
    let again = number(words, next).is_some_and(|count| count.value == last);
    ends.get(ends.len() - if again { 1 } else { 2 }).copied()
}
