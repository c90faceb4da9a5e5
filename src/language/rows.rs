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
    let led = matches!(first, Some(Item::Minutes(Some(class), ..)) if class.size.is_some());
    let all_behind = section.has_lines() && section.lines().all(|line| size_first(line, words));
    if !(counts_nothing_else && (led || headed_and_closed(section, words)) && all_behind) {
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

/// `hollies: small 6, large 14 minutes`: a kind at the head and minutes behind the last size; `take` would make the last
/// a remark of its own.
fn headed_and_closed(section: &Section, words: &Words<'_>) -> bool {
    let items: Vec<&Item> = section
        .items
        .iter()
        .filter(|item| !matches!(item, Item::Stop(_)))
        .collect();
    let takes = ["take", "takes", "took", "each"];
    let plain = |text: &str| text.split_whitespace().all(|word| !takes.contains(&word));
    let span = section.span.unwrap_or_default();
    let head = match items.first() {
        Some(Item::Class(head)) => head.service.is_some() && head.size.is_none(),
        Some(Item::Line(head, _)) => head.class.service.is_some(),
        _ => false,
    };
    let last =
        matches!(items.last(), Some(Item::Minutes(Some(last), ..)) if last.size.is_some() && last.service.is_none());
    head && last && plain(&words.tokens.lower[span.start..span.end])
}

/// A size with its number behind it.
fn size_first(line: &LineSaid, words: &Words<'_>) -> bool {
    let first = words.tokens.lower[line.span.start..line.span.end]
        .split_whitespace()
        .next()
        .unwrap_or("");
    let number = Class::UNITS
        .or(Class::TENS)
        .or(Class::ARTICLE)
        .or(Class::SLIP)
        .or(Class::COUPLE)
        .or(Class::HALF);
    let is_size = line.class.size.is_some()
        && !first.starts_with(|c: char| c.is_ascii_digit())
        && words.lexicon.find(first).is_none_or(|entry| !entry.class.any(number));
    let exact = matches!(line.quantity, QuantitySaid::Exact(_));
    is_size && exact && line.unit.is_none() && line.minutes_each.is_none()
}
