//! From phrases to meanings: what do the pieces of the cover add up to?
//!
//! Phrases are gathered into sections, each about one thing; a word that says what a stretch is about (`done`, `add`,
//! `won`) opens a section, a whole meaning stands for itself. A section's head decides which meaning its items make; a
//! section without one is a quote when something was counted, and a figure of the account when a kind has minutes and no
//! count.

use super::Expecting;
use super::changes::join_supposed;
use super::except::{alternatives, exceptions_left};
use super::lexicon::Class;
use super::lines::{Lines, assemble, unsaid};
use super::meaning::{Change, ClassSaid, Doubt, LineSaid, Meaning, PlaceSaid, QuantitySaid, Said, Span};
use super::measures::{meters, on_each_side};
use super::names::unknown_names;
use super::parts;
use super::phrases::recount::{GONE, OF_THEM};
use super::phrases::{Cue, Phrase, Placed};
use super::questions;
use super::rules::class::fit_size;
use super::section::{Item, LeavingOut, Section};
use super::token::Token;
use super::words::Words;

/// What a message adds up to.
#[derive(Debug, Default)]
pub(super) struct Composed {
    /// The meanings in order.
    pub(super) meanings: Vec<Said>,
    /// What must be asked.
    pub(super) doubts: Vec<Doubt>,
    /// Words that no phrase took and that were used as a name all the same.
    pub(super) named: Vec<Span>,
    /// Numbers that only say the sum, or the parts, of what was counted.
    pub(super) sums: Vec<Span>,
    /// The whole message is one question that works a price backwards.
    pub(super) asked: bool,
}

/// Puts the phrases of a cover together.
pub(super) fn compose(placed: &[Placed], left: &[usize], words: &Words<'_>, expecting: Expecting) -> Composed {
    let names = unknown_names(left, words);
    let quiet = names.is_empty() && left.len() <= 2;
    let mut composer = Composer {
        words,
        expecting,
        quiet,
        names,
        joins: joins_before(words),
        section: Section::default(),
        heard: Vec::new(),
        out: Composed::default(),
    };
    for piece in placed {
        match &piece.phrase {
            Phrase::Heard(said) => composer.heard.push(Said {
                meaning: Meaning::Guide((**said).clone()),
                span: piece.span,
            }),
            _ => composer.take(piece),
        }
    }
    if !composer.heard.is_empty() {
        composer.section.forget_lone_day();
    }
    composer.flush();
    composer.out.doubts.extend(meters(words));
    let Composed { meanings, doubts, .. } = &mut composer.out;
    composer.out.asked = composer.heard.is_empty() && questions::settle(words, meanings, doubts);
    let Composed { meanings, doubts, .. } = &mut composer.out;
    exceptions_left(words, left, meanings, doubts);
    join_supposed(&mut composer.out.meanings);
    let heard = std::mem::take(&mut composer.heard);
    composer.out.meanings.extend(heard);
    composer.out
}

/// `also gutters`, `and 3 large hollies`, `gutters too`: it goes on with what was talked about before.
fn joins_before(words: &Words<'_>) -> bool {
    let last = (0..words.len())
        .rev()
        .find(|at| words.get(*at).is_some_and(Token::is_word));
    let closes = last.is_some_and(|at| {
        words.one_of(at, &["too", "also"]) || (words.spelled(at, "well") && at > 0 && words.spelled(at - 1, "as"))
    });
    let also = (0..4).any(|at| words.spelled(at, "also"));
    let forgot = (0..3).any(|at| words.one_of(at, &["forgot", "missed", "forgetting"]));
    // "do the hollies too, there are three large ones".
    let too = (1..words.len()).any(|at| words.spelled(at, "too") && !words.kinds(at - 1).is_empty());
    also || forgot || too || words.one_of(0, &["and", "plus"]) || (closes && last.is_some_and(|at| at > 0))
}

/// The composition, under way.
pub(super) struct Composer<'w, 'a> {
    /// The words.
    pub(super) words: &'w Words<'a>,
    /// What was asked last.
    pub(super) expecting: Expecting,
    /// Hardly a word is left over: a kind alone is an answer, not chatter.
    pub(super) quiet: bool,
    /// Words that nothing knows, as names of places: (first byte, name).
    pub(super) names: Vec<(usize, PlaceSaid)>,
    /// The message goes on with what was talked about before.
    pub(super) joins: bool,
    pub(super) section: Section,
    /// Remarks made in passing: they part nothing and come last.
    pub(super) heard: Vec<Said>,
    /// What came of it so far.
    pub(super) out: Composed,
}

impl Composer<'_, '_> {
    fn take(&mut self, piece: &Placed) {
        let span = piece.span;
        if !matches!(
            piece.phrase,
            Phrase::Stop(_) | Phrase::Lead | Phrase::Correct | Phrase::Aside
        ) {
            self.section.cover(span);
        }
        match &piece.phrase {
            Phrase::Stop(strong) => {
                if *strong {
                    self.section.leaving_out = LeavingOut::No;
                }
                self.section.items.push(Item::Stop(*strong));
            }
            Phrase::Lead => self.section.asks_price = true,
            Phrase::Aside => {}
            Phrase::Unsure(doubt) => self.out.doubts.push((**doubt).clone()),
            Phrase::Correct if self.section.is_empty() && self.out.meanings.is_empty() => {
                self.section.corrects_before = true;
            }
            Phrase::Correct => self.section.correct = true,
            Phrase::Line(line) if self.leaves_net(&line.line) => {}
            Phrase::Line(line) if self.leaves_out_line(&line.line) => {}
            Phrase::Line(line) if self.of_nothing_counted(line.rule) => self.doubt_gone(&line.line, span),
            Phrase::Line(line) if [OF_THEM, GONE].contains(&line.rule) && self.counts_now() => {
                self.some_of_them(&line.line, span, line.rule == GONE);
            }
            Phrase::Line(line) => {
                self.doubt_contrast(&line.line);
                self.section.take_line(line.line.clone(), line.slip);
            }
            Phrase::Class(class) if self.leaves_out_class(class) => {}
            Phrase::Class(class) => self.section.take_class(class.clone()),
            Phrase::Minutes { .. } | Phrase::PriceEach { .. } => self.take_figure(&piece.phrase, span),
            Phrase::Time { said, man, .. } => self.section.take(Item::Time(*said, *man)),
            Phrase::Bare(value) => self.take_number(*value, span),
            Phrase::Clock(hours, minutes) => self.section.take(Item::Clock(*hours, *minutes, span)),
            Phrase::Pair(left, right) => self.section.take(Item::Pair(*left, *right, span)),
            Phrase::HereAt(place) => {
                self.cue(&Cue::Here, span);
                self.take_place(place.clone(), span);
            }
            Phrase::Crew(people, named) => self.section.crew = Some((*people, *named)),
            Phrase::Rate(rate) => self.section.rate = Some(*rate),
            Phrase::When(when) => self.section.take_when(*when),
            Phrase::Place(place) => self.take_place(place.clone(), span),
            Phrase::Extra(kind, _) if self.section.leaving_out != LeavingOut::No => {
                self.section.exception_open = None;
                self.section.extras.retain(|(old, _)| old != kind);
                self.section.extras.push((*kind, None));
            }
            Phrase::Extra(kind, value) => {
                self.section.forget_extra(*kind);
                self.section.extras.push((*kind, *value));
            }
            Phrase::Money(dollars) => self.section.money.push((*dollars, span)),
            Phrase::Set(setting) => self.section.settings.push(((**setting).clone(), span)),
            Phrase::Change(changes) => self.take_changes(changes, span),
            Phrase::Whole(meaning) => self.whole(meaning, span),
            Phrase::Cue(cue) => self.cue(cue, span),
            Phrase::Heard(_) => {}
        }
        self.section.correct &= matches!(
            piece.phrase,
            Phrase::Correct | Phrase::Stop(_) | Phrase::Lead | Phrase::Aside | Phrase::Cue(Cue::Make)
        );
    }

    /// Minutes or a price for each unit.
    fn take_figure(&mut self, phrase: &Phrase, span: Span) {
        match phrase {
            Phrase::Minutes {
                class,
                said,
                each,
                unit,
            } => {
                self.section.take(Item::Minutes(class.clone(), *said, *each, *unit));
            }
            Phrase::PriceEach {
                class,
                value,
                dollars,
                unit,
            } => {
                self.section
                    .take(Item::PriceEach(class.clone(), *value, *dollars, *unit, span));
            }
            _ => {}
        }
    }

    /// A number alone: it corrects what was said before, counts what was done, or waits for a role.
    fn take_number(&mut self, value: rust_decimal::Decimal, span: Span) {
        let net = LineSaid {
            quantity: QuantitySaid::Exact(value),
            span,
            ..unsaid(&ClassSaid::default())
        };
        if self.leaves_net(&net) || self.leaves_out_number(value) {
            return;
        }
        let corrects = self.section.correct;
        if corrects && (self.section.correct_setting(value) || self.correct_meaning(value)) {
            return;
        }
        if self.section.did {
            let mut line = unsaid(&ClassSaid {
                span,
                ..ClassSaid::default()
            });
            line.quantity = QuantitySaid::Exact(value);
            self.section.take_line(line, false);
        } else {
            self.section.take_bare(value, span);
        }
    }

    /// `six hollies, they're all small`: the size of what was just counted.
    fn sizes_count(&mut self, changes: &[Change]) -> bool {
        let [Change::Recount { from, to }] = changes else {
            return false;
        };
        let of_them =
            from.quantity == QuantitySaid::Unsaid && from.class.service.is_none() && from.class.size.is_none();
        let counting = self.section.head.is_none() && of_them && to.service.is_none();
        let (true, Some(size)) = (counting, &to.size) else {
            return false;
        };
        let last = self.section.items.iter_mut().rev().find_map(|item| match item {
            Item::Line(line, _) => Some(line),
            _ => None,
        });
        let Some(line) = last.filter(|line| line.class.size.is_none()) else {
            return false;
        };
        let service = line
            .class
            .service
            .as_deref()
            .and_then(|name| self.words.vocabulary.service(name));
        line.class.size = Some(service.map_or(size.clone(), |service| fit_size(service, size, self.words.lexicon)));
        true
    }

    /// Changes, which within a list may be a correction of its last count or its place.
    fn take_changes(&mut self, changes: &[Change], span: Span) {
        // "done in 3 hours with haul": what the time was spent on, and no charge.
        let of_a_time = matches!(self.section.head, Some(Cue::Done | Cue::Took | Cue::Did));
        if self.sizes_count(changes) || of_a_time && matches!(changes, [Change::With(_)]) {
            return;
        }
        if let Some(value) = self.corrects_count(changes) {
            self.section.correct = true;
            self.section.take_bare(value, span);
        } else if let ([Change::Place(place)], true) = (changes, self.section.has_lines()) {
            self.take_place(place.clone(), span);
        } else if !self.drops_nothing(changes) {
            if let [Change::ExtraMinutes(kind, _) | Change::ExtraMoney(kind, _)] = changes {
                self.section.forget_extra(*kind);
            }
            self.section.changes.extend(changes.iter().cloned());
        }
    }

    /// `10 small crapes, no, make it 11`: within a list that is a correction.
    fn corrects_count(&self, changes: &[Change]) -> Option<rust_decimal::Decimal> {
        let [Change::Quantity(line)] = changes else { return None };
        let QuantitySaid::Exact(value) = line.quantity else {
            return None;
        };
        let bare = line.class.service.is_none() && line.class.size.is_none();
        (bare && self.section.head.is_none() && self.section.has_lines()).then_some(value)
    }

    /// `what if mediums take 7, no, 8`: the figure of the meaning just made is replaced.
    fn correct_meaning(&mut self, value: rust_decimal::Decimal) -> bool {
        let bare = self.section.items.iter().all(|item| matches!(item, Item::Stop(_)));
        match self.out.meanings.last_mut().map(|said| &mut said.meaning) {
            Some(Meaning::Revise { changes, .. }) if bare => super::section::correct_change(changes, value),
            _ => false,
        }
    }

    fn whole(&mut self, meaning: &Meaning, span: Span) {
        // "price so I make rate …" and the like speak of the quote before them.
        let mut opened = std::mem::take(&mut self.section);
        opened.span = opened.span.filter(|s| s.start < span.start).map(|s| Span {
            start: s.start,
            end: span.start,
        });
        if !opened.is_empty() {
            self.section = opened;
            self.flush();
        }
        self.section.supposed = matches!(meaning, Meaning::Revise { what_if: true, .. });
        self.out.meanings.push(Said {
            meaning: meaning.clone(),
            span,
        });
    }

    fn cue(&mut self, cue: &Cue, span: Span) {
        match cue {
            Cue::EachPerson => {
                self.section.each_person = true;
                return;
            }
            Cue::ThisOne => {
                self.section.this_one = true;
                return;
            }
            // "what if I add 2 large": it is only supposed that they are added.
            Cue::Add | Cue::Drop | Cue::Make
                if self.section.head == Some(Cue::WhatIf)
                    && !self.section.has_lines()
                    && self.section.classes().is_empty() =>
            {
                self.section.head = Some(cue.clone());
                return;
            }
            Cue::Did | Cue::Took if self.section.head == Some(Cue::Done) => {
                self.section.did |= *cue == Cue::Did;
                return;
            }
            // "12 small plus 3 medium": a list goes on; "make that 14" after a count corrects it.
            Cue::Add
                if self.section.head.is_none() && (self.section.has_lines() || !self.section.classes().is_empty()) =>
            {
                return;
            }
            Cue::Make if self.section.has_lines() && self.section.head.is_none() => {
                self.section.correct = true;
                return;
            }
            Cue::Plan if self.section.head.is_none() && self.section.has_lines() => return,
            Cue::Here if self.section.has_lines() => return,
            // "mow and gutters, skip the haul": left out of what was just counted.
            Cue::Drop if self.counts_now() => {
                self.section.leaving_out = LeavingOut::Ordered;
                self.section.exception_open = Some(span);
                return;
            }
            Cue::Except if self.counts_now() => {
                self.section.leaving_out = LeavingOut::Excepted(span);
                self.section.exception_open = Some(span);
                return;
            }
            // "done in an hour, less the lunch": how long, then, is not known.
            Cue::Except if self.section.head == Some(Cue::Done) => {
                self.section.exception_open = Some(span);
                return;
            }
            _ => {}
        }
        let fresh = self.section.head.is_none() && !self.section.has_lines() && self.section.settings.is_empty();
        // What is supposed goes on to the end of the sentence.
        let goes_on = self.section.supposed && !matches!(self.section.items.last(), Some(Item::Stop(true)));
        let changes = matches!(cue, Cue::Add | Cue::Drop | Cue::Make);
        if !fresh {
            let mut opened = std::mem::take(&mut self.section);
            opened.span = opened.span.map(|s| Span {
                start: s.start,
                end: s.end.min(span.start.max(s.start)),
            });
            self.section = opened;
            self.flush();
            self.section.cover(span);
        }
        self.section.supposed = *cue == Cue::WhatIf || (goes_on && changes);
        self.section.head = Some(cue.clone());
    }

    /// Something is being counted, and no word said that it is anything but a price.
    pub(super) fn counts_now(&self) -> bool {
        self.section.head.is_none() && (self.section.has_lines() || !self.section.classes().is_empty())
    }

    /// A second place with counts around it is a second yard.
    fn take_place(&mut self, place: PlaceSaid, span: Span) {
        if std::mem::take(&mut self.section.correct) && self.section.place.is_some() {
            self.section.place = Some(place);
            return;
        }
        let same = self.section.place.as_ref().is_some_and(|old| old.name == place.name);
        if self.section.place.is_some() && !same && self.section.head.is_none() && self.section.has_lines() {
            if self.section.place_leads {
                self.flush();
                self.section.cover(span);
            } else {
                self.split_after_place();
            }
        }
        self.section.place_leads = !self.section.has_lines() && self.section.classes().is_empty();
        self.section.place = Some(place);
    }

    /// `12 small at Alder, 3 medium at Birch`: what came after the first place belongs to the second.
    fn split_after_place(&mut self) {
        let Some(first) = self.section.place.clone() else {
            return;
        };
        let mut rest = Section::default();
        let items = std::mem::take(&mut self.section.items);
        for item in items {
            let after =
                matches!(&item, Item::Line(line, _) if line.span.start > first.span.end) || !rest.items.is_empty();
            if after {
                rest.items.push(item)
            } else {
                self.section.items.push(item)
            }
        }
        let whole = self.section.span;
        self.flush();
        rest.span = whole.map(|s| Span {
            start: first.span.end.min(s.end),
            end: s.end,
        });
        self.section = rest;
    }

    /// Adds a meaning.
    pub(super) fn push(&mut self, meaning: Meaning, span: Option<Span>) {
        self.out.meanings.push(Said {
            meaning,
            span: span.unwrap_or_default(),
        });
    }

    fn flush(&mut self) {
        let mut section = std::mem::take(&mut self.section);
        if section.this_one {
            section.settings_are_of_this_one();
        }
        for (setting, span) in std::mem::take(&mut section.settings) {
            self.setting(setting, span, &mut section);
        }
        if section.is_empty() {
            return;
        }
        let named = matches!(
            section.head,
            Some(Cue::Done | Cue::Won(_) | Cue::Lost(_) | Cue::Here | Cue::Push | Cue::Plan | Cue::Paid(..))
        ) || (section.head.is_none() && section.when.is_some() && !section.has_lines());
        if named && section.place.is_none() && self.names.len() == 1 {
            let sure = |place: &&PlaceSaid| place.span.start == 0 || place.name.starts_with(char::is_uppercase);
            section.place = self.names.first().map(|(_, place)| place).filter(sure).cloned();
            self.out.named.extend(section.place.iter().map(|place| place.span));
        }
        match section.head.clone() {
            Some(Cue::Done | Cue::Took | Cue::Did) => self.finish(section),
            Some(Cue::Won(price)) => self.won(price, &section),
            Some(Cue::Lost(reason)) => {
                let (place, reason) = self.place_of_reason(section.place.clone(), reason);
                section.place = place;
                let price = section.money.first().map(|(m, _)| *m);
                self.push(
                    Meaning::Lost {
                        place: section.place.clone(),
                        reason,
                        price,
                    },
                    section.span,
                );
            }
            // "we are at Alder and there are 12 small crapes": a yard that is counted.
            Some(Cue::Here) if section.has_lines() || self.is_unsaid_quote(&section) => self.plain(section),
            Some(Cue::Here) => {
                let crew = section.crew.map(|(n, _)| n);
                let at = section.when;
                self.push(
                    Meaning::Here {
                        place: section.place.clone(),
                        crew,
                        at,
                    },
                    section.span,
                );
            }
            // "put down fourteen small crapes": counted, and no day said.
            Some(Cue::Plan) if section.when.is_none() && section.has_lines() => self.plain(section),
            Some(Cue::Push) => self.planned(&section, true),
            Some(Cue::Plan) => self.planned(&section, false),
            Some(Cue::Paid(amount, method)) => {
                let amount = amount.or_else(|| section.money.first().map(|(m, _)| *m));
                let place = section.place.clone();
                self.push(Meaning::Paid { place, amount, method }, section.span);
            }
            Some(Cue::About(topic)) => self.about(topic, &section),
            Some(Cue::Add) => self.add(section),
            Some(Cue::Drop | Cue::Except) => self.drop(section),
            Some(Cue::Make) => {
                let supposed = section.supposed;
                self.make(section, supposed);
            }
            Some(Cue::WhatIf) => self.make(section, true),
            Some(Cue::EachPerson | Cue::ThisOne | Cue::New) | None => self.plain(section),
        }
    }

    /// A price asked for.
    pub(super) fn quote(&mut self, mut section: Section) {
        let sums = parts::settle(&mut section, self.words);
        self.out.sums.extend(sums);
        self.doubt_open_exception(&section);
        if section.corrects_before && section.place.is_none() && section.money.is_empty() {
            self.make(section, false);
            return;
        }
        let Lines {
            mut lines,
            changes,
            doubts,
        } = assemble(&section, self.words);
        self.out.doubts.extend(doubts);
        self.out.doubts.extend(alternatives(self.words, &lines));
        self.out.doubts.extend(on_each_side(self.words, &lines));
        let of_each = self.price_behind_a_count(&section, &mut lines);
        if let (true, None, true, Some(first)) = (
            self.joins,
            &section.place,
            self.out.meanings.is_empty(),
            lines.first_mut(),
        ) {
            first.more = true;
        }
        // "10 azaleas + $25": on top, not the price.
        let on_top = |span: &Span| {
            self.words
                .before(span.start)
                .is_some_and(|at| self.words.is(at, Class::ADDS))
        };
        let priced = section.money.len() == 1 && !section.money.iter().any(|(_, span)| on_top(span));
        let spare = Section {
            items: section.items.clone(),
            ..Section::default()
        };
        self.doubt_numbers(if priced { &spare } else { &section });
        let mut all = changes;
        let work = all.iter().any(|c| matches!(c, Change::WorkElapsed { .. }));
        all.extend(
            Self::other_changes(&section)
                .into_iter()
                .filter(|c| !(work && matches!(c, Change::Crew(_)))),
        );
        // A price said is the last word, whatever rate was said with it.
        if let Some((price, _)) = section.money.first().filter(|_| priced && !of_each) {
            all.push(Change::Price(*price));
        }
        self.push(
            Meaning::Quote {
                place: section.place.clone(),
                lines,
                changes: all,
            },
            section.span,
        );
        let today = Some(super::meaning::DaySaid::InDays(0));
        if section
            .when
            .is_some_and(|w| w.day.is_some() && (w.day != today || w.minute_of_day.is_some()))
        {
            self.planned(&section, false);
        }
    }
}
