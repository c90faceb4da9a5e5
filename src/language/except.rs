//! What was counted and is not all meant: `12 small except the one by the door`, `mow and gutters but skip the gutters`,
//! `12 crapes all small but one big`.
//!
//! An order (`skip the haul`) is a change of the quote. An exception may be counted in or not; the two prices differ, so
//! it is asked. A word of exception that nothing took is asked about as well: a price around it would be a guess (P2).

use rust_decimal::Decimal;

use super::compose::Composer;
use super::lines::{line_text, unsaid};
use super::meaning::{Change, ClassSaid, Doubt, LineSaid, Meaning, QuantitySaid, Said, Span};
use super::section::{LeavingOut, Section};
use super::words::Words;

/// Words that take something out of what was counted.
const EXCEPTIONS: &[&str] = &[
    "except",
    "excepting",
    "excluding",
    "exclude",
    "excludes",
    "minus",
    "less",
    "without",
    "besides",
    "unless",
    "not",
    "aint",
    "isnt",
    "arent",
    "dont",
    "doesnt",
    "wont",
    "didnt",
    "twice",
    "thrice",
    "half",
    "labor",
    "labour",
    "material",
    "materials",
    "supplied",
    "supplying",
    "free",
];

/// How far behind a word of exception something has to stand that it could take out.
const REACH: usize = 5;

impl Composer<'_, '_> {
    /// Takes a counted line that is left out; false when it is counted in.
    pub(super) fn leaves_out_line(&mut self, line: &LineSaid) -> bool {
        match self.section.leaving_out {
            LeavingOut::No => false,
            LeavingOut::Ordered => {
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
        let counting = self.section.head.is_none() && self.section.has_lines();
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
        self.out.doubts.push(doubt);
    }

    /// `12 small, 4 of them need a ladder` counts nothing more; `2 of them dead` may be counted or not.
    pub(super) fn some_of_them(&mut self, line: &LineSaid, span: Span) {
        const GONE: &[&str] = &[
            "dead", "dying", "gone", "missing", "skip", "skipped", "already", "not", "removed", "stay", "leave",
            "done", "dont", "don't",
        ];
        let text = &self.words.tokens.lower;
        let clause = &text[span.end..clause_end(text, span.end)];
        if clause.split_whitespace().any(|word| GONE.contains(&word)) {
            self.doubt_exception(span, &line.quantity);
        } else {
            self.out.sums.push(span);
        }
    }

    /// `12 small but one big`: the one may be among the twelve.
    pub(super) fn doubt_contrast(&mut self, line: &LineSaid) {
        let text = self.words.tokens.text;
        let before = text[..line.span.start].trim_end();
        let contrast = before.to_lowercase().ends_with(" but");
        let counted = self.section.lines().last().cloned();
        let (true, Some(counted)) = (contrast, counted) else {
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
    let part = |at: &usize| {
        words.one_of(
            *at,
            &[
                "half", "some", "part", "most", "deposit", "down", "third", "quarter", "partial",
            ],
        )
    };
    let at = left.iter().copied().find(part).filter(|_| meanings.iter().any(all))?;
    let span = words.span(at, at + 1);
    Some(Doubt::Either {
        words: words.text(at, at + 1).to_string(),
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
    if !meanings.iter().any(priced) {
        return;
    }
    let Some(at) = left.iter().copied().find(|at| words.one_of(*at, EXCEPTIONS)) else {
        return;
    };
    let told = |at: usize| words.is(at, super::lexicon::Class::SIZE) || !words.kinds(at).is_empty();
    let numbered = |at: usize| super::rules::number::number(words, at).is_some();
    let hard = !words.one_of(
        at,
        &[
            "not", "dont", "isnt", "arent", "doesnt", "wont", "didnt", "aint", "less",
        ],
    );
    if !hard && !(at + 1..=at + REACH).any(|next| next < words.len() && (told(next) || numbered(next))) {
        return;
    }
    let start = words.span(at, at + 1).start;
    let from = Span { start, end: start };
    doubts.push(exception(words, &Section::default(), from, &QuantitySaid::Unsaid));
}
