//! Values of each dimension at each word: what a pattern can ask for, worked out when it is first asked.
//!
//! Wordings share these values; a message costs each rule once for a word, however many wordings begin with it.

use std::cell::OnceCell;

use rust_decimal::Decimal;

use super::lexicon::Class;
use super::meaning::{MinutesSaid, Unit};
use super::needs::possible;
use super::pattern::{Cap, DIMS, Dim};
use super::rules::money::For;
use super::rules::{class, count, crew, day, duration, money, number, place};
use super::token::TokenKind;
use super::words::Words;

/// The values of one dimension at one word, once they were asked for: (one past the last word, value).
type Found = OnceCell<Vec<(usize, Cap)>>;

/// Values of each dimension at each word, each worked out when it is first asked for.
pub(super) struct Chart<'w, 'a> {
    words: &'w Words<'a>,
    cells: Vec<[Found; DIMS.len()]>,
    /// Each word as a capture of its own.
    texts: Vec<Cap>,
    /// Where the sentence and the line of each word end.
    ends: Vec<Ends>,
}

/// One past the last word of a sentence, and of a line.
#[derive(Clone, Copy)]
struct Ends {
    sentence: usize,
    line: usize,
}

/// Most words of a sentence that one wording takes whole: nobody texts a longer one, and where no stop comes each word would
/// be looked at once for every word before it.
const SENTENCE_MAX: usize = 100;

impl<'w, 'a> Chart<'w, 'a> {
    /// The values of these words.
    pub(super) fn new(words: &'w Words<'a>) -> Self {
        Chart {
            words,
            cells: (0..words.len()).map(|_| Default::default()).collect(),
            texts: (0..words.len()).map(|at| Cap::Text(at, at + 1)).collect(),
            ends: ends(words),
        }
    }

    /// Word `at` as a capture.
    pub(super) fn word(&self, at: usize) -> &Cap {
        &self.texts[at]
    }

    /// All values of a dimension that start at word `at`: (one past the last word, value).
    pub(super) fn values(&self, dim: Dim, at: usize) -> &[(usize, Cap)] {
        match self.cells.get(at) {
            Some(cells) => cells[dim as usize].get_or_init(|| {
                let found = self.find(dim, at);
                debug_assert!(found.is_empty() || possible(dim, self.words), "{dim:?} does without");
                found
            }),
            None => &[],
        }
    }

    fn find(&self, dim: Dim, at: usize) -> Vec<(usize, Cap)> {
        let words = self.words;
        match dim {
            Dim::Num => number::number(words, at)
                .map(|n| (n.end, Cap::Num(n.value)))
                .into_iter()
                .collect(),
            Dim::Dur => duration::durations(words, at)
                .into_iter()
                .map(|d| (d.end, Cap::Mins(d.said, d.man, true)))
                .collect(),
            Dim::Mins => self.minutes(at, false),
            Dim::Reading => self.minutes(at, true),
            Dim::Money => self.money(at, For::Whole, false),
            Dim::Dollars => self.money(at, For::Whole, true),
            Dim::MoneyEach => self.money(at, For::Each, false),
            Dim::Pct => self.percent(at),
            Dim::Class => class::classes(words, skip_the(words, at), false)
                .into_iter()
                .map(|c| (c.end, Cap::Class(c.said)))
                .collect(),
            Dim::Line => count::counts(words, at)
                .into_iter()
                .map(|l| (l.end, Cap::Line(Box::new(l))))
                .collect(),
            Dim::Unit => count::unit(words, at)
                .map(|(unit, end)| (end, Cap::Unit(Some(unit))))
                .into_iter()
                .collect(),
            Dim::Crew => crew::crews(words, at)
                .into_iter()
                .map(|c| (c.end, Cap::Crew(c.people)))
                .collect(),
            Dim::Place => place::places(words, at)
                .into_iter()
                .map(|p| (p.end, Cap::Place(p.said)))
                .collect(),
            Dim::When => day::whens(words, at)
                .into_iter()
                .map(|w| (w.end, Cap::When(w.said)))
                .collect(),
            Dim::PerHour => per_hour(words, at)
                .map(|end| (end, Cap::Text(at, end)))
                .into_iter()
                .collect(),
            Dim::EachUnit => each_unit(words, at)
                .map(|(unit, end)| (end, Cap::Unit(unit)))
                .into_iter()
                .collect(),
            Dim::Rest => {
                let end = self.ends[at].line;
                vec![(end, Cap::Text(at, end))]
            }
            Dim::Sentence => {
                let end = self.ends[at].sentence;
                let sentence = (end <= at + SENTENCE_MAX).then_some((end, Cap::Text(at, end)));
                sentence.into_iter().collect()
            }
            Dim::Name => self.name(at),
        }
    }

    fn minutes(&self, at: usize, stopwatch: bool) -> Vec<(usize, Cap)> {
        let words = self.words;
        if let Some(TokenKind::Clock(left, right)) = words.get(at).map(|t| t.kind) {
            let (left, right) = (Decimal::from(left), Decimal::from(right));
            let sixty = Decimal::from(60);
            let minutes = if stopwatch {
                left + right / sixty
            } else {
                left * sixty + right
            };
            return vec![(
                at + 1,
                Cap::Mins(
                    MinutesSaid {
                        minutes: minutes.normalize(),
                        range: None,
                    },
                    false,
                    true,
                ),
            )];
        }
        let mut found = self.values(Dim::Dur, at).to_vec();
        if found.is_empty() {
            if let Some((low, high, end)) = number::range(words, at) {
                found.push((end, Cap::Mins(duration::ranged(low, high), false, false)));
            }
            if let Some(n) = number::number(words, at) {
                found.push((
                    n.end,
                    Cap::Mins(
                        MinutesSaid {
                            minutes: n.value,
                            range: None,
                        },
                        false,
                        false,
                    ),
                ));
            }
        }
        found
    }

    fn money(&self, at: usize, purpose: For, explicit: bool) -> Vec<(usize, Cap)> {
        let found = money::moneys(self.words, at, purpose).into_iter();
        found
            .filter(|m| m.explicit || !explicit)
            .map(|m| (m.end, Cap::Money(m.dollars, m.explicit)))
            .collect()
    }

    fn percent(&self, at: usize) -> Vec<(usize, Cap)> {
        let words = self.words;
        let Some(n) = number::number(words, at) else {
            return Vec::new();
        };
        let sign = words.sign(n.end, '%') || words.is(n.end, Class::PERCENT);
        if sign {
            vec![(n.end + 1, Cap::Pct(n.value))]
        } else {
            Vec::new()
        }
    }

    /// A new name: words up to a number, a sign or a unit of time.
    fn name(&self, at: usize) -> Vec<(usize, Cap)> {
        let words = self.words;
        let mut end = at;
        while end < words.len() && end < at + 5 {
            let word = words.get(end).is_some_and(|t| t.is_word());
            let timed = words.is(end, Class::HOUR.or(Class::MINUTE).or(Class::SECOND));
            // A zero turn mower is no figure.
            let zero_turn = words.spelled(end, "zero") && words.spelled(end + 1, "turn");
            if !word || timed || (number::number(words, end).is_some() && !zero_turn) || words.is(end, Class::SIZE) {
                break;
            }
            end += 1;
        }
        (at + 1..=end).rev().map(|end| (end, Cap::Text(at, end))).collect()
    }
}

fn skip_the(words: &Words<'_>, at: usize) -> usize {
    if words.one_of(at, &["the", "those", "these", "my", "all"]) {
        at + 1
    } else {
        at
    }
}

fn per_hour(words: &Words<'_>, at: usize) -> Option<usize> {
    let mut next = at;
    if words.is(next, Class::PER.or(Class::ARTICLE)) || words.sign(next, '/') || words.spelled(next, "every") {
        next += 1;
    } else if words.spelled(next, "hourly") {
        return Some(next + 1);
    } else {
        return None;
    }
    if words.is(next, Class::MANHOUR) {
        return Some(next + 1);
    }
    if words.is(next, Class::MAN) {
        next += 1;
        if words.sign(next, '-') {
            next += 1;
        }
    }
    words.is(next, Class::HOUR).then_some(next + 1)
}

fn each_unit(words: &Words<'_>, at: usize) -> Option<(Option<Unit>, usize)> {
    if words.is(at, Class::EACH) && !words.spelled(at, "every") && !words.spelled(at, "pop") {
        // "each foot" names the unit as well.
        return match count::unit(words, at + 1) {
            Some((unit, end)) => Some((Some(unit), end)),
            None => Some((None, at + 1)),
        };
    }
    let led = words.is(at, Class::PER.or(Class::ARTICLE)) || words.sign(at, '/') || words.spelled(at, "every");
    if !led {
        return None;
    }
    let ends = words
        .get(at + 1)
        .is_none_or(|token| !token.is_word() && !matches!(token.kind, TokenKind::Number(_)));
    if words.is(at, Class::PER) && ends {
        return Some((None, at + 1));
    }
    if let Some((unit, end)) = count::unit(words, at + 1) {
        return Some((Some(unit), end));
    }
    let single =
        words.is(at + 1, Class::GENERIC) || words.one_of(at + 1, &["piece", "pop", "unit", "one", "each", "ea"]);
    if single {
        return Some((None, at + 2));
    }
    if words.one_of(at + 1, &["job", "time", "visit", "cut"]) {
        return Some((Some(Unit::Job), at + 2));
    }
    None
}

/// Where sentences and lines stop, their stops left out.
fn ends(words: &Words<'_>) -> Vec<Ends> {
    let mut open = Ends {
        sentence: words.len(),
        line: words.len(),
    };
    let mut found = vec![open; words.len()];
    for (at, ends) in found.iter_mut().enumerate().rev() {
        match words.get(at).map(|token| token.kind) {
            Some(TokenKind::Break) => (open.sentence, open.line) = (at, at),
            Some(TokenKind::Sign('.' | ';' | '!' | '?')) => open.sentence = at,
            _ => {}
        }
        *ends = open;
    }
    found
}
