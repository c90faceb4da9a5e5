//! Changes of a quote, as far as the words tell: what is added, dropped, made another count, moved to another day, or said
//! of the price of one; and the numbers of a stretch that nothing in it took.

use super::compose::Composer;
use super::figures::extra_change;
use super::lines::{assemble, line_text, unsaid};
use super::meaning::{Change, ClassSaid, Doubt, LineSaid, Meaning, QuantitySaid, Said, Setting, Span};
use super::phrases::Cue;
use super::section::{Item, Section};

/// `what if mediums take 7 and I add 2 large` supposes both at once.
pub(super) fn join_supposed(meanings: &mut Vec<Said>) {
    let mut joined: Vec<Said> = Vec::with_capacity(meanings.len());
    for said in meanings.drain(..) {
        if let (
            Some(Said {
                meaning:
                    Meaning::Revise {
                        changes: before,
                        what_if: true,
                        ..
                    },
                span,
            }),
            Meaning::Revise {
                changes,
                what_if: true,
                place: None,
            },
        ) = (joined.last_mut(), &said.meaning)
        {
            before.extend(changes.iter().cloned());
            span.end = span.end.max(said.span.end);
            continue;
        }
        joined.push(said);
    }
    *meanings = joined;
}

impl Composer<'_, '_> {
    pub(super) fn setting(&mut self, setting: Setting, span: Span, section: &mut Section) {
        match setting {
            // A rate said with counts before it is this quote's.
            Setting::Rate { rate, class: None }
                if section.has_lines() && section.span.is_some_and(|s| s.start < span.start) =>
            {
                section.rate = Some(rate);
            }
            Setting::Rate { rate, class: None } if section.supposed => section.rate = Some(rate),
            Setting::Markup(percent) if section.this_one || section.supposed => {
                section.changes.push(Change::Markup(percent))
            }
            // `what if tax is 8%` must not set it.
            _ if section.supposed => {}
            other => self.out.meanings.push(Said {
                meaning: Meaning::Set(other),
                span,
            }),
        }
    }

    /// A day for the job.
    pub(super) fn planned(&mut self, section: &Section, moved: bool) {
        if let Some(when) = section.when {
            self.push(
                Meaning::Plan {
                    place: section.place.clone(),
                    when,
                    moved,
                },
                section.span,
            );
        }
    }

    /// Asks about numbers that nothing in the section took.
    pub(super) fn doubt_numbers(&mut self, section: &Section) {
        for item in &section.items {
            let (value, span) = match item {
                Item::Bare(value, span) => (*value, *span),
                Item::Clock(left, right, span) | Item::Pair(left, right, span) => {
                    ((*left * 100 + *right).into(), *span)
                }
                _ => continue,
            };
            let text = self.words.tokens.text[span.start..span.end].to_string();
            self.out.doubts.push(Doubt::NumberWithoutRole { text, value, span });
        }
        for (value, span) in &section.money {
            let text = self.words.tokens.text[span.start..span.end].to_string();
            self.out.doubts.push(Doubt::NumberWithoutRole {
                text,
                value: *value,
                span: *span,
            });
        }
    }

    /// Crew, rate, extras and the like as changes.
    pub(super) fn other_changes(section: &Section) -> Vec<Change> {
        let mut changes = section.changes.clone();
        if let Some(rate) = section.rate {
            // First, because a price that is said with it stands above it.
            changes.insert(0, Change::Rate(rate));
        }
        if let Some((people, _)) = section.crew {
            changes.push(Change::Crew(people));
        }
        for (kind, value) in &section.extras {
            changes.push(extra_change(*kind, *value));
        }
        changes
    }

    pub(super) fn add(&mut self, section: Section) {
        let lines = assemble(&section, self.words);
        self.doubt_numbers(&section);
        self.out.doubts.extend(lines.doubts);
        let mut changes: Vec<Change> = lines.lines.into_iter().map(Change::Add).collect();
        changes.extend(lines.changes);
        changes.extend(Self::other_changes(&section));
        self.revise(changes, section.supposed, &section);
    }

    pub(super) fn drop(&mut self, section: Section) {
        let lines = assemble(&section, self.words);
        let mut changes: Vec<Change> = lines.lines.into_iter().map(Change::Drop).collect();
        // "drop 20", "take off 20".
        changes.extend(section.money.iter().map(|(money, _)| Change::DiscountMoney(*money)));
        for item in &section.items {
            if let Item::Bare(value, span) = item {
                self.doubt_drop(*value, *span);
            }
        }
        changes.extend(section.extras.iter().map(|(kind, _)| Change::No(*kind)));
        changes.extend(section.changes.iter().cloned());
        self.revise(changes, section.supposed, &section);
    }

    /// `drop 2`: two of what was counted, or two dollars?
    fn doubt_drop(&mut self, value: rust_decimal::Decimal, span: Span) {
        let figure = value.normalize();
        self.out.doubts.push(Doubt::Either {
            words: self.words.tokens.text[span.start..span.end].to_string(),
            choices: vec![format!("{figure} fewer"), format!("${figure} off")],
            span,
        });
    }

    pub(super) fn make(&mut self, section: Section, what_if: bool) {
        if section.when.is_some_and(|when| when.day.is_some()) && !section.has_lines() {
            self.planned(&section, true);
            return;
        }
        let lines = assemble(&section, self.words);
        self.out.doubts.extend(lines.doubts);
        let mut changes = Vec::new();
        for line in lines.lines {
            let unsaid_count = line.quantity == QuantitySaid::Unsaid;
            match (&line.minutes_each, line.price_each) {
                (Some(said), _) if unsaid_count => changes.push(Change::Minutes(line.class, *said)),
                (_, Some(price)) if unsaid_count => changes.push(Change::PriceEach(line.class, price)),
                _ => changes.push(Change::Quantity(line)),
            }
        }
        for item in &section.items {
            if let Item::Bare(value, span) = item {
                // "what if 100": plants, dollars, an hourly rate?
                if section.head == Some(Cue::WhatIf) {
                    let text = self.words.tokens.text[span.start..span.end].to_string();
                    let (value, span) = (*value, *span);
                    self.out.doubts.push(Doubt::NumberWithoutRole { text, value, span });
                    continue;
                }
                let mut line = unsaid(&ClassSaid::default());
                line.quantity = QuantitySaid::Exact(*value);
                changes.push(Change::Quantity(line));
            }
        }
        changes.extend(lines.changes);
        changes.extend(section.money.iter().map(|(money, _)| Change::Price(*money)));
        changes.extend(Self::other_changes(&section));
        self.revise(changes, what_if, &section);
    }

    /// Adds changes of the quote being talked about, when there are any.
    pub(super) fn revise(&mut self, changes: Vec<Change>, what_if: bool, section: &Section) {
        if !changes.is_empty() {
            let place = section.place.clone();
            self.push(
                Meaning::Revise {
                    changes,
                    what_if,
                    place,
                },
                section.span,
            );
        }
    }

    /// `8 boxwoods @ $18` is the price of one; `8 boxwoods at $18` could be that of one or of all, so it is asked about.
    /// True when the sum was taken here.
    pub(super) fn price_behind_a_count(&mut self, section: &Section, lines: &mut [LineSaid]) -> bool {
        let [(price, span)] = section.money.as_slice() else {
            return false;
        };
        let text = &self.words.tokens.text[..span.start];
        let before = text.trim_end();
        let many = |line: &&mut LineSaid| {
            let more_than_one =
                matches!(&line.quantity, QuantitySaid::Exact(count) if *count > rust_decimal::Decimal::ONE);
            more_than_one && line.price_each.is_none() && line.span.end <= span.start
        };
        let Some(line) = lines.iter_mut().rfind(|line| line.span.end <= span.start).filter(many) else {
            return false;
        };
        let link = before.get(line.span.end..).unwrap_or_default().trim();
        if link == "@" {
            line.price_each = Some(*price);
            return true;
        }
        if !link.is_empty() && !link.eq_ignore_ascii_case("at") {
            return false;
        }
        let said = line_text(line);
        let price = price.normalize();
        self.out.doubts.push(Doubt::Either {
            words: self.words.tokens.text[span.start..span.end].to_string(),
            choices: vec![format!("{said} at ${price} each"), format!("{said}, call it {price}")],
            span: *span,
        });
        true
    }
}
