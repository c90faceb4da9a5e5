//! What was counted and is not all meant: `12 small except the one by the door`, `mow and gutters but skip the gutters`,
//! `12 crapes all small but one big`.
//!
//! An order (`skip the haul`) is a change of the quote. An exception may be counted in or not; the two prices differ, so
//! it is asked. A word of exception that nothing took is asked about as well: a price around it would be a guess (P2).

use rust_decimal::Decimal;

use super::Expecting;
use super::compose::Composer;
use super::lexicon::Class;
use super::lines::{line_text, unsaid};
use super::meaning::{Change, ClassSaid, Doubt, LineSaid, Meaning, QuantitySaid, Said, Span, Unit};
use super::phrases::recount::{GONE, OF_THEM};
use super::section::{Item, LeavingOut, Section, TakenOut};
use super::words::Words;

/// How far behind a word of exception something has to stand that it could take out.
const REACH: usize = 5;

impl Composer<'_, '_> {
    /// Takes a counted line that is left out; false when it is counted in.
    pub(super) fn leaves_out_line(&mut self, line: &LineSaid) -> bool {
        match self.section.leaving_out {
            LeavingOut::No => false,
            LeavingOut::Ordered => {
                self.section.exception_open = None;
                if !self.of_other_kind(&line.class) {
                    self.section.changes.push(Change::Drop(line.clone()));
                }
                true
            }
            LeavingOut::Excepted(from) => {
                self.section.exception_open = None;
                if !self.of_other_kind(&line.class) {
                    self.doubt_exception(from, &line.quantity);
                }
                true
            }
        }
    }

    /// Whether a class is of a kind that was not counted.
    fn of_other_kind(&self, class: &ClassSaid) -> bool {
        let sized = class.size.is_some() && self.section.lines().all(|counted| counted.class.size.is_some());
        let of_other_size = sized && self.section.lines().all(|counted| counted.class.size != class.size);
        of_other_size
            || class.service.is_some()
                && self
                    .section
                    .lines()
                    .all(|counted| counted.class.service != class.service)
                && self
                    .section
                    .classes()
                    .iter()
                    .all(|named| named.service != class.service)
    }

    /// `12 small, no gutters`: what is not there need not be dropped.
    pub(super) fn drops_nothing(&self, changes: &[Change]) -> bool {
        let counting = self.counts_now();
        matches!(changes, [Change::Drop(line)] if counting && self.of_other_kind(&line.class))
    }

    /// `except the one by the door`: nothing that could be left out was understood.
    pub(super) fn doubt_open_exception(&mut self, section: &Section) {
        let Some(from) = section.exception_open else { return };
        let one = self.words.tokens.lower[from.end..].split_whitespace().next() == Some("one");
        let fewer = if one {
            QuantitySaid::Exact(Decimal::ONE)
        } else {
            QuantitySaid::Unsaid
        };
        let doubt = exception(self.words, section, from, &fewer);
        self.out.doubts.push(doubt);
    }

    /// Takes a kind or size that is left out; false when it is counted in.
    pub(super) fn leaves_out_class(&mut self, class: &ClassSaid) -> bool {
        match self.section.leaving_out {
            LeavingOut::No => false,
            LeavingOut::Ordered | LeavingOut::Excepted(_) => self.leaves_out_line(&unsaid(class)),
        }
    }

    /// Takes a number that is left out; false when it is counted in.
    pub(super) fn leaves_out_number(&mut self, value: Decimal) -> bool {
        if self.section.leaving_out == LeavingOut::No {
            return false;
        }
        let line = LineSaid {
            quantity: QuantitySaid::Exact(value),
            ..unsaid(&ClassSaid::default())
        };
        self.leaves_out_line(&line)
    }

    /// Asks whether what is excepted was counted.
    fn doubt_exception(&mut self, from: Span, fewer: &QuantitySaid) {
        let doubt = exception(self.words, &self.section, from, fewer);
        let end = self
            .words
            .clause(from.end)
            .last()
            .map_or(from.end, |at| self.words.span(at, at + 1).end);
        self.section.taken_out.push(TakenOut {
            doubt: self.out.doubts.len(),
            fewer: fewer.clone(),
            span: Span { start: from.start, end },
        });
        self.out.doubts.push(doubt);
    }

    /// `12 small, 4 of them need a ladder` counts nothing more; `2 of them dead` may be counted or not.
    pub(super) fn some_of_them(&mut self, line: &LineSaid, span: Span, line_is_gone: bool) {
        let part = matches!(&line.quantity, QuantitySaid::Exact(count) if *count < Decimal::ONE);
        if part || self.only_some(span) {
            self.doubt_exception(span, &QuantitySaid::Unsaid);
        } else if line_is_gone || self.words.clause(span.end).any(|at| self.words.is(at, Class::GONE)) {
            self.doubt_exception(span, &line.quantity);
        } else {
            self.out.sums.push(span);
        }
    }

    /// `10 azaleas, 2 dead, so 8`: the count that is left takes the place of the whole. False when it is no such count.
    pub(super) fn leaves_net(&mut self, net: &LineSaid) -> bool {
        let said_so = self.section.head.is_none() && self.words.follows(net.span.start, Class::NET);
        if !said_so || self.section.taken_out.is_empty() {
            return false;
        }
        let QuantitySaid::Exact(left) = net.quantity else {
            return false;
        };
        let like = |old: &LineSaid| {
            let fits = |one: &Option<String>, other: &Option<String>| one.is_none() || other.is_none() || one == other;
            fits(&old.class.service, &net.class.service) && fits(&old.class.size, &net.class.size)
        };
        let taken_out = std::mem::take(&mut self.section.taken_out);
        let counted = self.section.items.iter_mut().rev().find_map(|item| match item {
            Item::Line(line, _) if like(line) => Some(line),
            _ => None,
        });
        let Some(line) = counted else {
            self.section.taken_out = taken_out;
            return false;
        };
        let QuantitySaid::Exact(all) = line.quantity else {
            return false;
        };
        let gone = taken_out.iter().map(|out| match out.fewer {
            QuantitySaid::Exact(fewer) => fewer,
            _ => Decimal::ZERO,
        });
        // A sum that does not come out is still asked about.
        if all - gone.sum::<Decimal>() != left {
            self.section.taken_out = taken_out;
            return false;
        }
        line.quantity = QuantitySaid::Exact(left);
        line.class.size = line.class.size.take().or_else(|| net.class.size.clone());
        self.out.sums.push(line.span);
        for out in taken_out.iter().rev() {
            self.out.doubts.remove(out.doubt);
            self.out.sums.push(out.span);
        }
        self.section.leaving_out = LeavingOut::No;
        true
    }

    /// `20 azaleas, do 8 of them`, `30 ft of hedge, two of them`: not all of them, or more than one of what was measured.
    fn only_some(&self, span: Span) -> bool {
        let measured = self.section.lines().last().is_some_and(|line| line.unit.is_some());
        let before = self.words.before(span.start);
        measured || before.is_some_and(|at| self.words.is(at, Class::ONLY))
    }

    /// `three of them`, with nothing counted in the message that they could be of.
    pub(super) fn of_nothing_counted(&self, rule: &str) -> bool {
        let headed = self.section.head.is_some() && rule == OF_THEM;
        [OF_THEM, GONE].contains(&rule)
            && !self.counts_now()
            && !headed
            && !self.section.corrects_before
            && self.expecting == Expecting::Nothing
    }

    /// `two of them are dead`, said of what was counted in an earlier message.
    pub(super) fn doubt_gone(&mut self, line: &LineSaid, span: Span) {
        let QuantitySaid::Exact(count) = line.quantity else {
            return;
        };
        self.out.doubts.push(Doubt::Either {
            words: self.words.tokens.text[span.start..span.end].to_string(),
            choices: vec![format!("drop {}", count.normalize())],
            span,
        });
    }

    /// `12 small but one big`: the one may be among the twelve.
    pub(super) fn doubt_contrast(&mut self, line: &LineSaid) {
        let text = self.words.tokens.text;
        let before = text[..line.span.start].trim_end();
        if !self.words.tokens.lower[..before.len()].ends_with(" but") {
            return;
        }
        let Some(counted) = self.section.lines().last().cloned() else {
            return;
        };
        let same_kind = line.class.service.is_none() || line.class.service == counted.class.service;
        let (true, QuantitySaid::Exact(all), QuantitySaid::Exact(some)) =
            (same_kind, &counted.quantity, &line.quantity)
        else {
            return;
        };
        if some >= all {
            return;
        }
        let fewer = LineSaid {
            quantity: QuantitySaid::Exact(*all - *some),
            ..counted.clone()
        };
        let but = before.len() - "but".len();
        let joined = |first: &LineSaid| {
            let rest = format!("{}, {}", &text[counted.span.end..but], &text[line.span.start..]);
            format!("{}{}{rest}", &text[..counted.span.start], line_text(first))
        };
        self.out.doubts.push(Doubt::Either {
            words: text[but..line.span.end].to_string(),
            choices: vec![joined(&fewer), joined(&counted)],
            span: Span {
                start: but,
                end: line.span.end,
            },
        });
    }
}

/// The clause that begins at a byte: up to the next stop.
fn clause_end(text: &str, from: usize) -> usize {
    text[from..]
        .find([',', '.', ';', '\n'])
        .map_or(text.len(), |at| from + at)
}

/// The question about an exception: the message with the count that is left, and as it was counted.
fn exception(words: &Words<'_>, section: &Section, from: Span, fewer: &QuantitySaid) -> Doubt {
    let text = words.tokens.text;
    let end = clause_end(text, from.start);
    let without = format!("{}{}", text[..from.start].trim_end(), &text[end..]);
    let mut choices = Vec::new();
    let counted: Vec<&LineSaid> = section.lines().collect();
    if let ([line], QuantitySaid::Exact(some)) = (counted.as_slice(), fewer)
        && let QuantitySaid::Exact(all) = line.quantity
        && *some < all
        && line.span.end <= from.start
    {
        let left = LineSaid {
            quantity: QuantitySaid::Exact(all - *some),
            ..(*line).clone()
        };
        choices.push(format!(
            "{}{}{}",
            &text[..line.span.start],
            line_text(&left),
            &without[line.span.end.min(without.len())..]
        ));
    }
    choices.push(without);
    Doubt::Either {
        words: text[from.start..end].trim_end().to_string(),
        choices,
        span: Span { start: from.start, end },
    }
}

/// `paid half`, `paid some of it`: a part of what is owed, and nobody said how much.
fn part_paid(words: &Words<'_>, left: &[usize], meanings: &[Said]) -> Option<Doubt> {
    let all = |said: &Said| matches!(said.meaning, Meaning::Paid { amount: None, .. });
    let part = |at: &usize| words.is(*at, Class::SHARE);
    let at = left.iter().copied().find(part).filter(|_| meanings.iter().any(all))?;
    let span = words.span(at, at + 1);
    Some(Doubt::Either {
        words: words.text(at, at + 1).to_string(),
        choices: Vec::new(),
        span,
    })
}

/// `mow front only`, `mow, just the back`: a part of a whole job has no price of its own.
fn part_of_a_job(words: &Words<'_>, meanings: &[Said]) -> Option<Doubt> {
    let job = |line: &LineSaid| words.vocabulary.is_job(line.class.service.as_deref());
    let priced = |said: &Said| matches!(&said.meaning, Meaning::Quote { lines, .. } if lines.iter().any(job));
    let said = meanings.iter().find(|said| priced(said))?;
    let clause = |at: usize| words.clause(words.span(at, at + 1).start).take(REACH);
    let job_near = |at: usize| {
        let from = at.saturating_sub(REACH);
        (from..at + REACH).any(|near| {
            let hits = words.kinds(near).iter();
            hits.filter(|hit| hit.whole)
                .any(|hit| words.vocabulary.services()[hit.service].unit == Unit::Job)
        })
    };
    let only = |at: usize| words.one_of(at, &["only", "just"]);
    let spot = |at: usize| words.is(at, Class::SPOT);
    let counts = |at: usize| super::rules::number::number(words, at).is_some();
    let part = |at: usize| {
        let behind = spot(at) && (only(at + 1) || words.is(at + 1, Class::SPOT) && only(at + 2));
        let ahead = only(at) && clause(at).take(4).any(spot) && !clause(at).any(counts);
        (behind || ahead) && job_near(at)
    };
    let at = (0..words.len()).find(|at| part(*at))?;
    let span = words.span(at, at + 1);
    Some(Doubt::Either {
        words: words.tokens.text[said.span.start..said.span.end].to_string(),
        choices: Vec::new(),
        span,
    })
}

/// `12 small crapes or 3 large hollies`: one of the two, and not both.
pub(super) fn alternatives(words: &Words<'_>, lines: &[LineSaid]) -> Option<Doubt> {
    let text = &words.tokens.lower;
    lines.windows(2).find_map(|pair| {
        let [first, second] = pair else { return None };
        let between = text.get(first.span.end..second.span.start)?;
        let mut said = between
            .split(|c: char| !c.is_alphabetic())
            .filter(|word| !word.is_empty());
        // "thirty or so" is about thirty.
        let or = said.find(|word| *word == "or").is_some() && said.next() != Some("so");
        or.then(|| Doubt::Either {
            words: words.tokens.text[first.span.start..second.span.end].to_string(),
            choices: vec![line_text(first), line_text(second)],
            span: Span {
                start: first.span.start,
                end: second.span.end,
            },
        })
    })
}

/// A word of exception that no phrase took, before something that it could take out, in a message that is priced.
pub(super) fn exceptions_left(words: &Words<'_>, left: &[usize], meanings: &[Said], doubts: &mut Vec<Doubt>) {
    let priced = |said: &Said| {
        matches!(
            said.meaning,
            Meaning::Quote { .. } | Meaning::Revise { .. } | Meaning::Set(_) | Meaning::Finish(_)
        )
    };
    if !doubts.is_empty() {
        return;
    }
    doubts.extend(part_paid(words, left, meanings));
    doubts.extend(part_of_a_job(words, meanings));
    if !meanings.iter().any(priced) {
        return;
    }
    // "same street, six azaleas" repeats no count.
    let counts = |at: usize| super::rules::number::number(words, at).is_some();
    let repeats_nothing = |at: usize| words.spelled(at, "same") && !(0..at).any(counts);
    let excepts = |at: &usize| words.is(*at, Class::EXCEPTION.or(Class::NEGATION)) && !repeats_nothing(*at);
    let Some(at) = left.iter().copied().find(excepts) else {
        return;
    };
    let told = |at: usize| words.is(at, Class::SIZE) || !words.kinds(at).is_empty();
    let numbered = |at: usize| super::rules::number::number(words, at).is_some();
    let hard = !words.is(at, Class::NEGATION);
    if !hard && !(at + 1..=at + REACH).any(|next| next < words.len() && (told(next) || numbered(next))) {
        return;
    }
    let start = words.span(at, at + 1).start;
    let from = Span { start, end: start };
    doubts.push(exception(words, &Section::default(), from, &QuantitySaid::Unsaid));
}
