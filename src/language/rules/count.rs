//! A counted thing: how many of which kind and size, in the orders that people write (`12 small crapes`, `crapes: 12
//! small`, `small x 12`, `40 ft of hedge`, `a big one`, `a few hollies`).

use rust_decimal::Decimal;

use super::class::{Classed, classes, fit_size, size};
use super::number::{Number, joins_half, number, range, slip};
use crate::language::lexicon::Class;
use crate::language::meaning::{ClassSaid, LineSaid, QuantitySaid, Unit};
use crate::language::parts::REST;
use crate::language::token::TokenKind;
use crate::language::words::Words;

/// Most whole jobs that a number is taken to count; more is rather minutes or dollars.
pub(in crate::language) const JOBS_MAX: i64 = 6;

/// A counted thing found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::language) struct Counted {
    /// One past its last word.
    pub(in crate::language) end: usize,
    /// What was said.
    pub(in crate::language) line: LineSaid,
    /// Points taken off.
    pub(in crate::language) cost: i32,
    /// The number is dictation's slip.
    pub(in crate::language) slip: bool,
    /// The rule.
    pub(in crate::language) rule: &'static str,
}

/// A unit word: `ft`, `sq ft`, `yards`, `bags`.
pub(in crate::language) fn unit(words: &Words<'_>, at: usize) -> Option<(Unit, usize)> {
    let at = if words.sign(at, '-') && words.get(at).is_some_and(|t| t.glued) {
        at + 1
    } else {
        at
    };
    if words.is(at, Class::SQUARE) && words.text_value(at + 1, Class::UNIT) == Some("foot") {
        return Some((Unit::SquareFoot, at + 2));
    }
    let start = if words.is(at, Class::LINEAR.or(Class::CUBIC)) {
        at + 1
    } else {
        at
    };
    if words.sign(at, '\'') && words.get(at).is_some_and(|t| t.glued) {
        return Some((Unit::Foot, at + 1));
    }
    let named = match words.text_value(start, Class::UNIT)? {
        "foot" => Unit::Foot,
        "yard" => Unit::Yard,
        "bag" => Unit::Bag,
        "load" => Unit::Load,
        "sqfoot" => Unit::SquareFoot,
        _ => return None,
    };
    Some((named, start + 1))
}

/// A measure of something that is not counted stands here (`10 years`, `3-gallon`, `20 miles`).
fn measure(words: &Words<'_>, at: usize) -> bool {
    let hyphen = words.sign(at, '-') && words.get(at).is_some_and(|t| t.glued);
    words.is(at + usize::from(hyphen), Class::MEASURE)
}

/// Counted things that start at word `at`.
pub(in crate::language) fn counts(words: &Words<'_>, at: usize) -> Vec<Counted> {
    let mut found = Vec::new();
    ahead(words, at, &mut found);
    behind(words, at, &mut found);
    found
}

struct Quantity {
    said: QuantitySaid,
    end: usize,
    slip: bool,
    article: bool,
    cost: i32,
}

fn quantities(words: &Words<'_>, at: usize) -> Vec<Quantity> {
    let mut found = Vec::new();
    let plain = |number: Number| Quantity {
        said: QuantitySaid::Exact(number.value),
        end: number.end,
        slip: number.slip,
        article: false,
        cost: if number.slip { 2 } else { 0 },
    };
    if let Some((low, high, end)) = range(words, at) {
        found.push(Quantity {
            said: QuantitySaid::Between(low, high),
            end,
            slip: false,
            article: false,
            cost: 0,
        });
    }
    match words.get(at).map(|t| t.kind) {
        Some(TokenKind::Clock(..)) | None => return found,
        _ => {}
    }
    if let Some(count) = number(words, at) {
        let ordinal = words.get(at).is_some_and(|t| t.ordinal);
        if !ordinal {
            found.push(plain(count));
        }
    } else if let Some(count) = slip(words, at) {
        found.push(plain(count));
    }
    worded(words, at, &mut found);
    found
}

/// `the rest`, `the other ones are`: what is left of a total.
fn rest(words: &Words<'_>, at: usize) -> Option<Quantity> {
    let start = at + usize::from(words.one_of(at, &["the", "all"]));
    let start = start + usize::from(start > at && words.spelled(start, "the"));
    if !words.one_of(start, &["rest", "remaining", "remainder"]) {
        return None;
    }
    let mut end = start + 1;
    while end < start + 4 && words.one_of(end, &["of", "them", "em", "those", "are", "is", "were", "all"]) {
        end += 1;
    }
    Some(Quantity {
        said: QuantitySaid::Vague(REST.to_string()),
        end,
        slip: false,
        article: false,
        cost: 0,
    })
}

/// `a few`, `a`, `another`, `the rest`.
fn worded(words: &Words<'_>, at: usize, found: &mut Vec<Quantity>) {
    found.extend(rest(words, at));
    let vague_at = if words.is(at, Class::ARTICLE) { at + 1 } else { at };
    if words.is(vague_at, Class::VAGUE) {
        let end = if words.spelled(vague_at + 1, "of") {
            vague_at + 2
        } else {
            vague_at + 1
        };
        let said = QuantitySaid::Vague(words.lower(vague_at).to_string());
        found.push(Quantity {
            said,
            end,
            slip: false,
            article: false,
            cost: 0,
        });
    }
    if words.is(at, Class::ARTICLE) {
        let said = QuantitySaid::Exact(Decimal::ONE);
        found.push(Quantity {
            said,
            end: at + 1,
            slip: false,
            article: true,
            cost: 0,
        });
    }
    if words.spelled(at, "another")
        && !words
            .get(at + 1)
            .is_some_and(|t| matches!(t.kind, TokenKind::Number(_)))
    {
        let said = QuantitySaid::Exact(Decimal::ONE);
        found.push(Quantity {
            said,
            end: at,
            slip: false,
            article: true,
            cost: 0,
        });
    }
}

/// Words between a count and its kind: `x`, `of the`, `more`.
fn link(words: &Words<'_>, at: usize) -> (usize, bool) {
    let (mut next, mut more) = (at, false);
    while next < at + 4 {
        let of_size = words.spelled(next, "extra") && words.is(next + 1, Class::SIZE);
        if !of_size && words.one_of(next, &["more", "another", "additional", "other", "extra"]) {
            more |= !words.spelled(next, "other");
            next += 1;
        } else if words.one_of(
            next,
            &[
                "x", "of", "the", "those", "these", "my", "her", "his", "their", "really", "real", "nice", "good",
                "very", "super", "pretty", "them", "em", "em",
            ],
        ) || (words.sign(next, '-') && next == at)
        {
            next += 1;
        } else {
            break;
        }
    }
    (next, more)
}

/// `5 baby azaleas`, `3 nice old hollies`: words of looks before a kind, two at most.
fn past_looks(words: &Words<'_>, at: usize) -> usize {
    let mut next = at;
    while next < at + 2 && words.is(next, Class::LOOKS) {
        next += 1;
    }
    if words.kinds(next).iter().any(|hit| hit.whole) || words.is(next, Class::SIZE) {
        next
    } else {
        at
    }
}

/// Quantities behind `another` or in brackets (`(8) sm crape`), when one of these leads.
fn quantities_led(words: &Words<'_>, at: usize, start: usize) -> Vec<Quantity> {
    let mut options = quantities(words, start);
    if words.sign(at, '(') {
        options.retain(|option| words.sign(option.end, ')'));
        options.iter_mut().for_each(|option| option.end += 1);
    } else if start > at && options.is_empty() {
        options = quantities(words, at);
        options.iter_mut().for_each(|option| option.end = at + 1);
    }
    options
}

/// The count first: `12 small crapes`, `6 yards of mulch`, `40 ft`.
fn ahead(words: &Words<'_>, at: usize, found: &mut Vec<Counted>) {
    unit_and_half(words, at, found);
    hours(words, at, found);
    let led_more = words.spelled(at, "another");
    let start = at + usize::from(led_more || words.sign(at, '('));
    for quantity in quantities_led(words, at, start) {
        let (mut next, more) = link(words, quantity.end);
        next = past_looks(words, next);
        let more = more || led_more;
        if measure(words, quantity.end) {
            continue;
        }
        let measured = unit(words, next);
        let unit_end = measured.map(|(_, end)| end);
        // "6 ft tall" is how high it is, not how much of it there is.
        let height = unit_end.unwrap_or(next);
        if words.one_of(height, &["tall", "high", "wide", "deep", "thick", "story", "stories"]) {
            continue;
        }
        if let Some(end) = unit_end {
            next = link(words, end).0;
            // "five yards a mulch": dictation's "of".
            if next == end && words.is(end, Class::ARTICLE) && words.kinds(end + 1).iter().any(|hit| hit.whole) {
                next = end + 1;
            }
        }
        if quantity.article && measured.is_none() && !words.is(next, Class::SIZE) && words.kinds(next).is_empty() {
            continue;
        }
        // "a yard", "a foot": that is a rate of something, not a count; but "a yard of mulch" is one.
        let of = unit_end.is_some_and(|end| words.spelled(end, "of"));
        if quantity.article && measured.is_some() && !of {
            continue;
        }
        // "price for mow": a whole job is not counted by a slip, and "for" behind "price" is no number.
        let asks = quantity.slip && start > 0 && words.is(start - 1, Class::LEAD);
        for class in classes(words, next, !quantity.article && !quantity.slip) {
            if quantity.slip && (asks || words.vocabulary.is_job(class.said.service.as_deref())) {
                continue;
            }
            if quantity.article && !one_counts(words, &class, measured.is_some()) {
                continue;
            }
            let (class, unit_behind) = with_unit_behind(words, class, measured.is_some());
            found.push(counted(
                words,
                at,
                &quantity,
                measured.map(|(u, _)| u).or(unit_behind),
                class,
                more,
            ));
        }
        if !quantity.article {
            found.extend(without_kind(words, at, &quantity, measured, (next, more)));
        }
    }
}

/// Whether `a` counts: "a big …" needs its kind or "one", and "a yard of mulch takes me 20 minutes" says what one takes.
fn one_counts(words: &Words<'_>, class: &Classed, measured: bool) -> bool {
    let size_only = class.said.service.is_none() && class.said.unknown.is_none();
    let closed = class.end >= words.len()
        || words.is(class.end - 1, Class::ONES)
        || words.sign(class.end, ',')
        || words.sign(class.end, '.')
        || words.spelled(class.end, "and");
    let timed = measured && words.one_of(class.end, &["take", "takes", "is", "runs", "needs", "costs"]);
    !timed && (closed || !size_only)
}

/// `40 ft`, `3 more`: a count whose kind is said elsewhere.
fn without_kind(
    words: &Words<'_>,
    at: usize,
    quantity: &Quantity,
    measured: Option<(Unit, usize)>,
    (next, more): (usize, bool),
) -> Option<Counted> {
    let none = |end, cost| Classed {
        end,
        said: ClassSaid::default(),
        cost,
    };
    match measured {
        // "6 yards pine straw": of something that is not on the list.
        Some((_, end)) if unlisted_follows(words, end) => None,
        Some((unit, end)) => Some(counted(words, at, quantity, Some(unit), none(end, 0), more)),
        None => more.then(|| counted(words, at, quantity, None, none(next, 2), more)),
    }
}

/// Behind words of looks, a word that nothing knows and that names no place.
fn unlisted_follows(words: &Words<'_>, at: usize) -> bool {
    let start = at + usize::from(words.spelled(at, "of"));
    let next = (start..start + 2)
        .find(|next| !words.is(*next, Class::LOOKS))
        .unwrap_or(start);
    let street = (next + 1..next + 3).any(|end| words.is(end, Class::SUFFIX.or(Class::WEAKSUFFIX)));
    words.unknown(next)
        && !words.get(next).is_some_and(|token| token.capital)
        && !street
        && words.kinds(next).is_empty()
}

/// `2 hours of weeding`, `weeding 2 hours`: kinds that are sold by the hour.
fn hours(words: &Words<'_>, at: usize, found: &mut Vec<Counted>) {
    if !words.vocabulary.sells_by(Unit::Hour) {
        return;
    }
    let hourly = |class: &Classed| {
        let service = class
            .said
            .service
            .as_deref()
            .and_then(|name| words.vocabulary.service(name));
        service.is_some_and(|service| service.unit == Unit::Hour)
    };
    let count = |at: usize| {
        let count = number(words, at)?;
        words.is(count.end, Class::HOUR).then_some((count.value, count.end + 1))
    };
    let piece = |value: Decimal, class: Classed| {
        let quantity = Quantity {
            said: QuantitySaid::Exact(value),
            end: class.end,
            slip: false,
            article: false,
            cost: 0,
        };
        counted(words, at, &quantity, Some(Unit::Hour), class, false)
    };
    if let Some((value, end)) = count(at) {
        let next = link(words, end).0;
        found.extend(
            classes(words, next, false)
                .into_iter()
                .filter(hourly)
                .map(|class| piece(value, class)),
        );
    }
    for mut class in classes(words, at, false).into_iter().filter(hourly) {
        if let Some((value, end)) = count(class.end) {
            class.end = end;
            found.push(piece(value, class));
        }
    }
}

/// `a yard and a half of mulch`.
fn unit_and_half(words: &Words<'_>, at: usize, found: &mut Vec<Counted>) {
    let start = if words.is(at, Class::ARTICLE) || words.spelled(at, "one") {
        at + 1
    } else {
        at
    };
    let Some((measure, unit_end)) = unit(words, start) else {
        return;
    };
    let half =
        joins_half(words, unit_end) && words.is(unit_end + 1, Class::ARTICLE) && words.is(unit_end + 2, Class::HALF);
    if !half {
        return;
    }
    let said = QuantitySaid::Exact(Decimal::new(15, 1));
    let quantity = Quantity {
        said,
        end: unit_end + 3,
        slip: false,
        article: false,
        cost: 0,
    };
    let next = link(words, quantity.end).0;
    for class in classes(words, next, true) {
        found.push(counted(words, at, &quantity, Some(measure), class, false));
    }
}

/// `12 small more`, `2 loads` said behind the kind: `mulch 6 yards` is handled by `behind`.
fn with_unit_behind(words: &Words<'_>, mut class: Classed, has_unit: bool) -> (Classed, Option<Unit>) {
    if words.spelled(class.end, "total") && !has_unit {
        class.end += 1;
    }
    (class, None)
}

fn counted(
    words: &Words<'_>,
    at: usize,
    quantity: &Quantity,
    unit: Option<Unit>,
    class: Classed,
    more: bool,
) -> Counted {
    let behind = words.one_of(class.end, &["more"]) && !quantity.article;
    let end = if behind { class.end + 1 } else { class.end };
    let service = class.said.service.as_deref();
    let listed = service.and_then(|name| words.vocabulary.service(name));
    // "2 hedges" says how many there are and not how long they are.
    let pieces = unit.is_none()
        && at < class.end
        && listed.is_some_and(|service| matches!(service.unit, Unit::Foot | Unit::SquareFoot))
        && (quantity.article || words.lower(class.end - 1).ends_with('s'))
        && quantity.end < class.end;
    // "half the gutters", "half of the azaleas": neither a job nor a plant has a half with a price of its own.
    let part = unit.is_none()
        && listed.is_some_and(|service| matches!(service.unit, Unit::Job | Unit::Each))
        && matches!(quantity.said, QuantitySaid::Exact(count) if count < Decimal::ONE && count > Decimal::ZERO);
    // "make the mow 40", "15 cleanup": nobody mows a yard forty times.
    let many = listed.is_some_and(|service| service.unit == Unit::Job)
        && matches!(quantity.said, QuantitySaid::Exact(count) if count > Decimal::from(JOBS_MAX));
    let said = if part || many {
        QuantitySaid::Vague("part".to_string())
    } else {
        quantity.said.clone()
    };
    let mismatch = unit.is_some_and(|unit| listed.is_some_and(|service| service.unit != unit));
    Counted {
        end,
        line: LineSaid {
            quantity: if pieces { QuantitySaid::Unsaid } else { said },
            class: class.said,
            unit,
            minutes_each: None,
            price_each: None,
            material_each: None,
            more: more || behind,
            span: words.span(at, end),
        },
        cost: class.cost + quantity.cost + 3 * i32::from(mismatch),
        slip: quantity.slip,
        rule: match quantity.said {
            QuantitySaid::Vague(_) | QuantitySaid::Between(..) => "count: vague",
            _ if quantity.slip => "count: slip of dictation",
            _ => "count: number first",
        },
    }
}

/// The kind first: `small crapes: 12`, `crapes small x 12`, `hedge 40 ft`.
fn behind(words: &Words<'_>, at: usize, found: &mut Vec<Counted>) {
    let start = if words.one_of(at, &["the", "those", "these"]) {
        at + 1
    } else {
        at
    };
    let bracketed = || {
        let (said, end) = size(words, start + 1).filter(|(_, end)| words.sign(start, '(') && words.sign(*end, ')'))?;
        let said = ClassSaid {
            size: Some(said),
            span: words.span(start, end + 1),
            ..ClassSaid::default()
        };
        Some(Classed {
            end: end + 1,
            said,
            cost: 0,
        })
    };
    for class in classes(words, start, false).into_iter().chain(bracketed()) {
        let (next, marked) = count_link(words, class.end);
        if range(words, next).is_some() {
            continue;
        }
        let of_job = words.vocabulary.is_job(class.said.service.as_deref());
        for quantity in quantities(words, next) {
            if of_job && !words.spelled(quantity.end, "times") {
                continue;
            }
            if let Some(piece) = counted_behind(words, at, (&class, next, marked), &quantity) {
                found.push(piece);
            }
        }
    }
}

/// The words and signs between a kind and its count, and whether one of them marks the count (`x`, `:`).
fn count_link(words: &Words<'_>, at: usize) -> (usize, bool) {
    let mut next = if words.sign(at, ',') { at + 1 } else { at };
    let mut marked = false;
    let sign = |next: usize| [':', '-', '=', '('].iter().any(|sign| words.sign(next, *sign));
    while next < at + 3 && (sign(next) || words.one_of(next, COUNT_LINKS)) {
        marked |= !words.spelled(next, "at") && !words.sign(next, '(');
        next += 1;
    }
    (next, marked)
}

fn counted_behind(
    words: &Words<'_>,
    at: usize,
    (class, next, marked): (&Classed, usize, bool),
    quantity: &Quantity,
) -> Option<Counted> {
    let comma = words.sign(class.end, ',');
    let of_them =
        words.spelled(quantity.end, "of") && words.one_of(quantity.end + 1, &["them", "those", "em", "these"]);
    // "small hollies too": as well.
    let also = words.spelled(quantity.end - 1, "too");
    let slip_fits = !quantity.slip || of_them || (quantity.end == words.len() && !also);
    if quantity.article || !slip_fits || matches!(quantity.said, QuantitySaid::Vague(_)) {
        return None;
    }
    let measured = unit(words, quantity.end);
    // "crapes 10 years old" says how old they are.
    if measured.is_none() && measure(words, quantity.end) {
        return None;
    }
    // "azaleas 3 ft tall" says how tall they are.
    let height = measured.map_or(quantity.end, |(_, end)| end);
    if words.one_of(height, &["tall", "high", "wide", "deep", "thick", "story", "stories"]) {
        return None;
    }
    let after = measured.map_or(if of_them { quantity.end + 2 } else { quantity.end }, |(_, end)| end);
    // "crapes (5 front 4 back)": what stands in brackets is more than this count.
    if words.sign(next - 1, '(') && !words.sign(after, ')') {
        return None;
    }
    if measured.is_none() {
        let kind_follows = marked && !words.kinds(after).is_empty();
        let taken = takes_more(words, after) && !heads_pair(words, after) && !kind_follows;
        let alone = at == 0 && quantity.end == words.len();
        if (comma && !of_them && !alone) || taken || words.spelled(next - 1, "at") {
            return None;
        }
    }
    let mut end = after;
    if words.spelled(end, "x") || (words.sign(end, ')') && words.sign(next - 1, '(')) {
        end += 1;
    }
    let mut said = class.said.clone();
    if let (None, Some(name)) = (&said.size, &said.service)
        && let Some((size, after_size)) = trailing_size(words, end)
    {
        end = after_size;
        let service = words.vocabulary.service(name);
        said.size = Some(service.map_or(size.clone(), |s| fit_size(s, &size, words.lexicon)));
    }
    let cost = class.cost + 1 + i32::from(!marked && measured.is_none()) + i32::from(comma);
    let mut piece = counted(
        words,
        at,
        quantity,
        measured.map(|(u, _)| u),
        Classed { end, said, cost },
        false,
    );
    piece.rule = "count: kind first";
    // "the large ones for of em": nobody says "for" of them.
    piece.slip &= !of_them;
    Some(piece)
}

/// `boxwoods x8 (sm)`: a size in brackets behind the count.
fn trailing_size(words: &Words<'_>, at: usize) -> Option<(String, usize)> {
    let (said, end) = size(words, if words.sign(at, '(') { at + 1 } else { return None })?;
    words.sign(end, ')').then_some((said, end + 1))
}

/// Whether a kind or size with its own number behind it follows (`small fifteen medium four`).
fn heads_pair(words: &Words<'_>, at: usize) -> bool {
    if !words.is(at, Class::SIZE) && words.kinds(at).is_empty() {
        return false;
    }
    let timed = Class::MINUTE
        .or(Class::HOUR)
        .or(Class::SECOND)
        .or(Class::EACH)
        .or(Class::PEOPLE)
        .or(Class::DOLLAR);
    classes(words, at, false).iter().any(|class| {
        let mut next = class.end;
        while words.one_of(next, COUNT_LINKS) || words.sign(next, ':') || words.sign(next, '=') || words.sign(next, '-')
        {
            next += 1;
        }
        number(words, next).is_some_and(|n| !words.is(n.end, timed))
    })
}

/// Words between a kind and its count, when the kind comes first.
const COUNT_LINKS: &[&str] = &[
    "x", "is", "are", "at", "times", "theres", "there", "got", "has", "had", "was", "were", "make", "makes", "i",
    "count", "counted",
];

/// Whether the number just read is the head of something else (`6 min`, `3 large`, `2 guys`, `15 each`).
fn takes_more(words: &Words<'_>, at: usize) -> bool {
    let other = Class::MINUTE
        .or(Class::HOUR)
        .or(Class::SECOND)
        .or(Class::MAN)
        .or(Class::MANHOUR)
        .or(Class::MANMINUTE)
        .or(Class::DOLLAR)
        .or(Class::BUCK)
        .or(Class::PERCENT)
        .or(Class::EACH)
        .or(Class::PEOPLE)
        .or(Class::SIZE)
        .or(Class::PER);
    words.is(at, other)
        || words.size_letter(at).is_some()
        || words.sign(at, '%')
        || (words.is(at, Class::ARTICLE) && unit(words, at + 1).is_some())
        || words.kinds(at).iter().any(|hit| hit.whole)
}
