//! `crapes small 6 min, medium 12, large 24`: when a list of sizes begins with minutes, the numbers behind the other sizes
//! are minutes too, not counts.

use super::lexicon::Class;
use super::meaning::{LineSaid, MinutesSaid, QuantitySaid};
use super::section::{Item, Section};
use super::words::Words;

/// Makes minutes of the numbers behind the sizes of such a list.
pub(super) fn settle(section: &mut Section, words: &Words<'_>) {
    let counts_nothing_else = section.place.is_none() && section.crew.is_none() && section.rate.is_none();
    let first = section.items.iter().find(|item| !matches!(item, Item::Stop(_)));
    let led = matches!(first, Some(Item::Minutes(Some(class), _, false, None)) if class.size.is_some());
    let all_behind = section.lines().all(|line| size_first(line, words));
    if !(counts_nothing_else && led && all_behind) {
        return;
    }
    for item in &mut section.items {
        let Item::Line(line, _) = item else { continue };
        let QuantitySaid::Exact(minutes) = line.quantity else {
            continue;
        };
        let said = MinutesSaid { minutes, range: None };
        *item = Item::Minutes(Some(line.class.clone()), said, false, None);
    }
}

/// A size alone with its number behind it.
fn size_first(line: &LineSaid, words: &Words<'_>) -> bool {
    let first = words.tokens.lower[line.span.start..line.span.end]
        .split_whitespace()
        .next()
        .unwrap_or("");
    let is_size = words
        .lexicon
        .find(first)
        .is_some_and(|entry| entry.class.any(Class::SIZE));
    let exact = matches!(line.quantity, QuantitySaid::Exact(_));
    is_size && exact && line.unit.is_none() && line.class.service.is_none() && line.minutes_each.is_none()
}
