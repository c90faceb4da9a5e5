//! Sums of money: with a sign, with a word, or spoken as two numbers (`one twenty`), whose worth depends on what it is for.

use rust_decimal::Decimal;

use super::number::{number, slip};
use crate::language::lexicon::Class;
use crate::language::token::{TOO_LARGE, TokenKind};
use crate::language::words::Words;

/// What the money is for, as far as the reading of two spoken numbers goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::language) enum For {
    /// A rate or a whole price: `one twenty` is 120.
    Whole,
    /// A price for each unit: `fifteen fifty` is 15.50.
    Each,
}

/// A sum found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::language) struct Money {
    /// One past its last word.
    pub(in crate::language) end: usize,
    /// Dollars.
    pub(in crate::language) dollars: Decimal,
    /// A sign or word of money was said.
    pub(in crate::language) explicit: bool,
}

/// Sums that start at word `at`, longest first.
pub(in crate::language) fn moneys(words: &Words<'_>, at: usize, purpose: For) -> Vec<Money> {
    let mut found = Vec::new();
    if words.sign(at, '$') {
        if let Some(amount) = number(words, at + 1) {
            found.push(Money {
                end: amount.end,
                dollars: amount.value,
                explicit: true,
            });
        }
        return found;
    }
    if words.sign(at, '-') && words.sign(at + 1, '$') {
        if let Some(amount) = number(words, at + 2) {
            found.push(Money {
                end: amount.end,
                dollars: -amount.value,
                explicit: true,
            });
        }
        return found;
    }
    buck(words, at, &mut found);
    spoken_pair(words, at, purpose, &mut found);
    let slipped = || {
        let told = Class::DOLLAR.or(Class::BUCK).or(Class::EACH);
        slip(words, at).filter(|amount| words.is(amount.end, told))
    };
    let percent = number(words, at).is_some_and(|n| words.sign(n.end, '%') || words.is(n.end, Class::PERCENT));
    // "dump is 20 miles out": a figure of something else.
    let measure = number(words, at).is_some_and(|n| words.is(n.end, Class::MEASURE));
    if percent || measure {
        found.clear();
        return found;
    }
    let Some(amount) = number(words, at).or_else(slipped) else {
        return found;
    };
    if words.is(amount.end, Class::DOLLAR.or(Class::BUCK)) {
        found.push(with_cents(words, amount.value, amount.end + 1));
    } else if words.is(amount.end, Class::CENT) {
        let dollars = amount.value.checked_div(100.into()).unwrap_or(TOO_LARGE);
        found.push(Money {
            end: amount.end + 1,
            dollars,
            explicit: true,
        });
    } else if words.sign(amount.end, '$') && words.get(amount.end).is_some_and(|t| t.glued) {
        found.push(Money {
            end: amount.end + 1,
            dollars: amount.value,
            explicit: true,
        });
    }
    // Two decimals are how money is written.
    let cents = amount.value.scale() == 2
        && words.text(at, at + 1).contains('.')
        && matches!(words.get(at).map(|t| t.kind), Some(TokenKind::Number(_)));
    found.push(Money {
        end: amount.end,
        dollars: amount.value,
        explicit: cents,
    });
    found
}

/// `two dollars and fifty cents`, `fifteen dollars fifty`.
fn with_cents(words: &Words<'_>, dollars: Decimal, end: usize) -> Money {
    let start = if words.spelled(end, "and") { end + 1 } else { end };
    if let Some(cents) = number(words, start)
        && words.is(cents.end, Class::CENT)
        && cents.value < Decimal::ONE_HUNDRED
    {
        return Money {
            end: cents.end + 1,
            dollars: dollars + cents.value / Decimal::ONE_HUNDRED,
            explicit: true,
        };
    }
    if words.spelled(end, "and") && words.is(end + 1, Class::ARTICLE) && words.is(end + 2, Class::HALF) {
        return Money {
            end: end + 3,
            dollars: dollars + Decimal::new(5, 1),
            explicit: true,
        };
    }
    Money {
        end,
        dollars,
        explicit: true,
    }
}

/// `a buck`, `a buck fifty`, `a buck and a half`.
fn buck(words: &Words<'_>, at: usize, found: &mut Vec<Money>) {
    let start = if words.is(at, Class::ARTICLE) { at + 1 } else { at };
    if !words.is(start, Class::BUCK.or(Class::DOLLAR)) || start == at {
        return;
    }
    if let Some(cents) = number(words, start + 1)
        && cents.value >= Decimal::TEN
        && cents.value < Decimal::ONE_HUNDRED
    {
        let dollars = Decimal::ONE + cents.value / Decimal::ONE_HUNDRED;
        found.push(Money {
            end: cents.end,
            dollars,
            explicit: true,
        });
    }
    let simple = with_cents(words, Decimal::ONE, start + 1);
    found.push(simple);
}

/// `one twenty`, `fifteen fifty`, `one oh five`, `two twenty five`: two spoken numbers, the second below a hundred.
fn spoken_pair(words: &Words<'_>, at: usize, purpose: For, found: &mut Vec<Money>) {
    let spoken = |at: usize| words.get(at).is_some_and(|t| matches!(t.kind, TokenKind::Word));
    let first = words
        .value(at, Class::UNITS)
        .or_else(|| {
            words
                .value(at, Class::SLIP)
                .filter(|_| !words.one_of(at, &["to", "too", "for", "free"]))
        })
        .or_else(|| {
            let tens = words.value(at, Class::TENS)?;
            Some(tens)
        });
    let Some(first) = first.filter(|n| *n > 0) else { return };
    let mut second_at = at + 1;
    let mut first = first;
    if words.is(at, Class::TENS)
        && let Some(unit) = words.value(at + 1, Class::UNITS).filter(|n| (1..10).contains(n))
    {
        first += unit;
        second_at += 1;
    }
    if !spoken(second_at) {
        return;
    }
    let (second, end) = if words.one_of(second_at, &["oh", "o"]) {
        match words.value(second_at + 1, Class::UNITS) {
            Some(unit) if (1..10).contains(&unit) => (Decimal::from(unit), second_at + 2),
            _ => return,
        }
    } else if words.is(second_at, Class::TENS) || words.value(second_at, Class::UNITS).is_some_and(|n| n >= 10) {
        match number(words, second_at) {
            Some(second) if second.value.is_integer() => (second.value, second.end),
            _ => return,
        }
    } else {
        return;
    };
    if second >= Decimal::ONE_HUNDRED {
        return;
    }
    let dollars = match purpose {
        For::Whole => Decimal::from(first) * Decimal::ONE_HUNDRED + second,
        For::Each => Decimal::from(first) + second / Decimal::ONE_HUNDRED,
    };
    found.push(Money {
        end,
        dollars,
        explicit: purpose == For::Each,
    });
}
