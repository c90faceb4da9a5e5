//! A total and its parts: `6 crapes: 4 small 2 large`, `10 boxwoods, 7 small and the rest medium`, `9 azaleas (5 front 4
//! back)`. A number that is the sum of those beside it counts nothing of its own.

use rust_decimal::Decimal;

use super::lexicon::Class;
use super::meaning::{LineSaid, QuantitySaid, Span};
use super::section::{Item, Section};
use super::words::Words;

/// The word that stands for what is left of a total.
pub(super) const REST: &str = "rest";

/// Settles totals in a section; gives back where the numbers stand that only said a sum.
pub(super) fn settle(section: &mut Section, words: &Words<'_>) -> Vec<Span> {
    let mut sums = Vec::new();
    let mut index = 0;
    while index < section.items.len() {
        sums.extend(total_of_sizes(&mut section.items, index, words));
        // Removes only what stands behind it.
        sums.extend(bare_parts(&mut section.items, index));
        index += 1;
    }
    for index in 1..section.items.len() {
        elsewhere(&mut section.items, index, words);
    }
    sums
}

fn exact(line: &LineSaid) -> Option<Decimal> {
    match line.quantity {
        QuantitySaid::Exact(count) if line.unit.is_none() => Some(count),
        _ => None,
    }
}

/// The lines behind `index` that count sizes of a kind, up to the first that does not.
fn sized_lines(items: &[Item], index: usize, kind: &str) -> Vec<usize> {
    let mut found = Vec::new();
    for (at, item) in items.iter().enumerate().skip(index + 1) {
        match item {
            Item::Stop(_) => {}
            Item::Line(line, _)
                if line.class.size.is_some() && line.class.service.as_deref().is_none_or(|own| own == kind) =>
            {
                found.push(at);
            }
            _ => break,
        }
    }
    found
}

/// `6 crapes: 4 small 2 large`: a kind that has sizes, counted without one, and then by size.
fn total_of_sizes(items: &mut [Item], index: usize, words: &Words<'_>) -> Option<Span> {
    let Item::Line(total, _) = &items[index] else {
        return None;
    };
    let (kind, all) = (total.class.service.clone()?, exact(total)?);
    let has_sizes = words
        .vocabulary
        .service(&kind)
        .is_some_and(|service| !service.sizes.is_empty());
    if total.class.size.is_some() || !has_sizes {
        return None;
    }
    let span = total.span;
    let (mut sum, mut count) = (Decimal::ZERO, 0);
    for at in sized_lines(items, index, &kind) {
        let Item::Line(line, _) = &mut items[at] else { continue };
        count += 1;
        match &line.quantity {
            QuantitySaid::Vague(word) if word == REST && sum < all => {
                line.quantity = QuantitySaid::Exact(all - sum);
                sum = all;
            }
            _ => sum += exact(line)?,
        }
        if sum == all {
            break;
        }
    }
    if count == 0 || sum != all {
        return None;
    }
    items[index] = Item::Header(kind);
    Some(span)
}

/// `thirty feet of hedge in front and twenty in back`: a number alone that stands somewhere else counts more of the same.
fn elsewhere(items: &mut [Item], index: usize, words: &Words<'_>) {
    let Item::Bare(value, span) = items[index] else { return };
    let before = items[..index].iter().rev().find(|item| !matches!(item, Item::Stop(_)));
    let Some(Item::Line(line, _)) = before else { return };
    let text = &words.tokens.lower;
    let placed = |from: usize, before: usize| {
        let near = words.clause(from).take(4).take_while(|at| !words.spelled(*at, "and"));
        let mut near = near.take_while(|at| words.span(*at, at + 1).start < before);
        near.any(|at| words.is(at, Class::SPOT) && !words.spelled(at, "drive"))
    };
    let sum_follows = text[line.span.end..span.start].contains(['(', ':', ',']);
    if placed(line.span.end, span.start) && placed(span.end, usize::MAX) && !sum_follows {
        let more = LineSaid {
            quantity: QuantitySaid::Exact(value),
            more: true,
            span,
            ..line.clone()
        };
        items[index] = Item::Line(more, false);
    }
}

/// `9 azaleas (5 front 4 back)`: numbers alone behind a count that add up to it.
fn bare_parts(items: &mut Vec<Item>, index: usize) -> Vec<Span> {
    let Some(Item::Line(total, _)) = items.get(index) else {
        return Vec::new();
    };
    let Some(all) = exact(total) else { return Vec::new() };
    let mut parts = Vec::new();
    let mut sum = Decimal::ZERO;
    for (at, item) in items.iter().enumerate().skip(index + 1) {
        match item {
            Item::Stop(_) => {}
            Item::Bare(value, span) => {
                sum += *value;
                parts.push((at, *span));
            }
            _ => break,
        }
    }
    if parts.len() < 2 || sum != all {
        return Vec::new();
    }
    for (at, _) in parts.iter().rev() {
        items.remove(*at);
    }
    parts.into_iter().map(|(_, span)| span).collect()
}
