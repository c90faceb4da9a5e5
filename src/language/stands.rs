//! Where does a wording hold? Some are common words too, and hold only as a sentence or a message of their own, or beside
//! what they could be about.
//!
//! What a wording asks of its surroundings is looked up by its name once, when the tables are compiled.

use super::lexicon::Class;
use super::rules::number;
use super::token::TokenKind;
use super::words::Words;

/// Words of a sentence that are looked at; nobody texts a longer one.
const SENTENCE_MAX: usize = 60;

/// The words that a wording would take.
#[derive(Clone, Copy)]
pub(super) struct Stretch<'w, 'a> {
    /// All words.
    pub(super) words: &'w Words<'a>,
    /// The first of them.
    pub(super) from: usize,
    /// One past the last.
    pub(super) to: usize,
}

/// Whether a wording holds there.
pub(super) type Stands = fn(Stretch<'_, '_>) -> bool;

impl Stretch<'_, '_> {
    fn opens(self) -> bool {
        self.from == 0 || stop(self.words, self.from - 1).is_some()
    }

    fn closes(self) -> bool {
        self.to == self.words.len() || stop(self.words, self.to).is_some()
    }

    fn sign(self, at: usize) -> bool {
        self.words
            .get(at)
            .is_some_and(|t| matches!(t.kind, TokenKind::Sign(_) | TokenKind::Break))
    }

    /// Nothing but signs stands before it in the message.
    fn begins(self) -> bool {
        (0..self.from).all(|at| self.sign(at))
    }

    /// Nothing but signs stands behind it in the message.
    fn ends(self) -> bool {
        (self.to..self.words.len()).all(|at| self.sign(at))
    }

    /// A sentence, or something of a list, by itself.
    fn alone(self) -> bool {
        self.opens() && self.closes()
    }

    /// The whole message.
    fn whole(self) -> bool {
        self.begins() && self.ends()
    }

    /// The word before it is one of these.
    fn behind(self, words: &[&str]) -> bool {
        self.from > 0 && self.words.one_of(self.from - 1, words)
    }

    /// It is said of the job, and not in passing.
    fn told(self) -> bool {
        self.opens() || self.words.kinds(self.from).is_empty() && sentence_opens(self.words, self.from)
    }

    /// A kind follows.
    fn before_kind(self) -> bool {
        !self.words.kinds(self.to).is_empty()
    }
}

/// What a wording of this name asks of its surroundings; `None` when it holds everywhere.
pub(super) fn stands(rule: &str) -> Option<Stands> {
    if rule.starts_with("answer") {
        return Some(|here| here.whole());
    }
    if stands_alone(rule) {
        return Some(|here| here.alone());
    }
    Some(match rule {
        "undo" => undo,
        "won" => won,
        "paid" => paid,
        "won at a price" | "lost" | "lost with a reason" => |here| !depends(here.words, here.from) && here.told(),
        "pause" | "resume" => |here| breaks_off(here.words, here.from, here.to),
        "note" | "revise: what if" | "here" | "plan" => |here| here.told(),
        "rate of this quote" | "revise: price said" => {
            |here| led(here.words, here.from) || here.opens() || counts_before(here.words, here.from)
        }
        "for a price" => |here| here.closes() || here.words.one_of(here.to, &["at", "for"]),
        "revise: count said again" | "revise: what if a count" => |here| here.whole(),
        // Within a message it corrects the count before it, when a count follows ("set-up" does not).
        "revise: make that" => {
            |here| here.opens() || counted(here.words, here.to) || here.before_kind() || !here.words.sign(here.to, '-')
        }
        // "plus drive time 20 min": at that figure, not at the account's own.
        "extra: charged" => |here| !figure_follows(here.words, here.to),
        // "10 small crapes should take an hour": the count's, not those of a kind.
        "revise: minutes of a kind" => |here| here.from == 0 || !counted_before(here.words, here.from),
        "time for all of it" => |here| !here.words.is(here.to, Class::EACH.or(Class::PER)),
        "time for the work" => |here| {
            // "took me half an hour" is a finish; "mow, take 40 min" is not.
            let finish = here.opens() && here.words.spelled(here.from, "took");
            !finish && works(here)
        },
        "finish: minutes in all" => works,
        // "100 an hour" is a rate, whatever stands before it.
        "minutes each" => |here| !hour_of_pay(here.words, here.from),
        // "they want the gutters done" asks for it.
        "finish: done" => |here| here.opens() || !wanted(here.words, here.from),
        // At the very start it corrects what was talked about before, when a count follows; `no` alone is an answer.
        "an exception of a kind" => |here| here.before_kind(),
        "crew" => crew,
        // "did I count that one": a question, not news.
        "finish: did" => |here| {
            !here
                .words
                .one_of(here.to, &["i", "we", "you", "they", "that", "it", "he", "she"])
        },
        "correction at the start" => |here| here.begins() && (here.before_kind() || counted(here.words, here.to)),
        "correction of a number" => |here| here.from > 0 && number::number(here.words, here.to).is_some(),
        "what is not done" => |here| here.from > 0,
        "bound of a figure" | "figure left open" => |here| number::number(here.words, here.to).is_some(),
        "not a number" => |here| here.closes() && here.from > 0,
        "correction" => |here| {
            let more = here.to < here.words.len();
            here.from > 0 || (more && !here.words.sign(here.to, ',') || here.to + 1 < here.words.len())
        },
        // "paid by wire"
        "remark: something there" => |here| here.to > here.from + 1 || !here.behind(&["by"]),
        _ if rule.starts_with("set: rate") => |here| !asked(here.words, here.from),
        _ => return None,
    })
}

/// "12 small, scratch that, 10 small": a correction.
fn undo(here: Stretch<'_, '_>) -> bool {
    let within = !here.begins() && !here.ends();
    !(within && here.words.is(here.from, Class::CORRECTION)) && here.alone()
}

fn won(here: Stretch<'_, '_>) -> bool {
    let Stretch { words, from, to } = here;
    // "they want it for 40" is an offer.
    if words.spelled(to, "for") {
        return words.is(to + 1, Class::WEEKDAY.or(Class::MONTH).or(Class::TODAY));
    }
    let counts = words.is(to, Class::SIZE) || here.before_kind();
    !counts && !depends(words, from) && here.told()
}

fn paid(here: Stretch<'_, '_>) -> bool {
    let Stretch { words, from, to } = here;
    let asks = from > 0 && words.is(from - 1, Class::LEAD);
    let counts = words.is(to, Class::SIZE.or(Class::PEOPLE).or(Class::UNIT)) || words.spelled(to + 1, "us");
    !depends(words, from) && !asks && !counts
}

/// "what do I make an hour": an hour of pay, not of work; so is "100 an hour", whatever stands before it.
fn works(here: Stretch<'_, '_>) -> bool {
    !hour_of_pay(here.words, here.from) && !here.behind(&["make", "making", "get", "earn", "clear", "charge"])
}

/// "take off three of them": plants and not people.
fn crew(here: Stretch<'_, '_>) -> bool {
    let plants = here.behind(&["off", "out", "drop", "remove", "add", "skip", "lose", "only"]);
    !plants || here.words.is(here.to - 1, Class::PEOPLE)
}

/// A stop, or a word that parts what is said; true when it ends a thought.
pub(super) fn stop(words: &Words<'_>, at: usize) -> Option<bool> {
    match words.get(at)?.kind {
        TokenKind::Break => Some(true),
        TokenKind::Sign('.' | ';' | '!' | '?' | ':') => Some(true),
        TokenKind::Sign(_) => Some(false),
        TokenKind::Word if words.one_of(at, &["then"]) => Some(true),
        TokenKind::Word if words.one_of(at, &["and", "plus", "also"]) => Some(false),
        _ => None,
    }
}

/// Wordings that hold only as a sentence of their own. A broken number behind a size is a stopwatch reading only there, and
/// not within a count.
fn stands_alone(rule: &str) -> bool {
    matches!(
        rule,
        "menu"
            | "house: connect"
            | "house: disconnect"
            | "house: invite"
            | "house: put out"
            | "house: members"
            | "house: undelivered"
            | "house: resend"
            | "look: why"
            | "look: times"
            | "look: price list"
            | "look: costs"
            | "look: owed"
            | "look: a day"
            | "look: a period"
            | "set: let minutes go"
            | "set: keep minutes"
            | "revise: use that"
            | "price alone"
            | "set: extra off"
            | "plan: moved to a time"
            | "paid: a sum and how"
            | "set: rate from now on"
            | "time: broken number"
            | "revise: price said of a place"
            | "set: crew now"
            | "lost: a no"
            | "time: readings by the watch"
            | "revise: only that"
            | "paid: by phone"
    )
}

/// `an hour` behind a number.
fn hour_of_pay(words: &Words<'_>, from: usize) -> bool {
    let number = from > 0
        && (matches!(words.get(from - 1).map(|t| t.kind), Some(TokenKind::Number(_)))
            || words.is(
                from - 1,
                Class::UNITS
                    .or(Class::TENS)
                    .or(Class::HUNDRED)
                    .or(Class::DOLLAR)
                    .or(Class::BUCK),
            ));
    number && words.is(from, Class::ARTICLE) && words.is(from + 1, Class::HOUR)
}

/// A number with a size or kind right behind it.
fn counts_kind(words: &Words<'_>, at: usize) -> bool {
    number::number(words, at)
        .is_some_and(|n| words.is(n.end, Class::SIZE) || words.kinds(n.end).iter().any(|hit| hit.whole))
}

/// `lunch`, `back`: a sentence of its own, and not within counts (`Front / 8 azaleas / Back / 4 hollies`).
fn breaks_off(words: &Words<'_>, from: usize, to: usize) -> bool {
    let sentence = from == 0 || stop(words, from - 1) == Some(true) || words.sign(from - 1, ',');
    let closes = to == words.len() || stop(words, to).is_some();
    let counts = (0..words.len()).any(|at| counts_kind(words, at));
    sentence && !counts && (closes || words.one_of(to, &["at", "with", "from", "for", "until", "till", "in"]))
}

/// A number stands here.
fn counted(words: &Words<'_>, at: usize) -> bool {
    number::number(words, at).is_some() || words.is(at, Class::SIZE)
}

/// A figure stands right behind, or behind a small word.
fn figure_follows(words: &Words<'_>, to: usize) -> bool {
    let link = words.one_of(to, &["of", "at", "is", "for"]) || words.sign(to, ':') || words.sign(to, '=');
    let at = to + usize::from(link);
    number::number(words, at).is_some() || words.sign(at, '$')
}

/// A count or a size ends right before.
fn counted_before(words: &Words<'_>, from: usize) -> bool {
    words.is(from - 1, Class::SIZE) || number::number(words, from - 1).is_some()
}

/// The phrase itself says what its figure is for.
fn led(words: &Words<'_>, from: usize) -> bool {
    words.one_of(
        from,
        &[
            "at", "use", "using", "with", "call", "lets", "do", "tell", "go", "settle", "round",
        ],
    )
}

/// A kind, a size or a unit stands right before.
fn counts_before(words: &Words<'_>, from: usize) -> bool {
    let kind = Class::SIZE
        .or(Class::GENERIC)
        .or(Class::ONES)
        .or(Class::UNIT)
        .or(Class::EACH);
    words.is(from - 1, kind)
        || (1..=2.min(from)).any(|back| words.kinds(from - back).iter().any(|hit| hit.words >= back))
}

/// `10% off since she paid cash`: a clause that gives a reason or a condition, not news.
fn depends(words: &Words<'_>, from: usize) -> bool {
    (1..=3.min(from)).any(|back| {
        words.one_of(
            from - back,
            &[
                "since", "because", "cause", "cuz", "if", "when", "until", "till", "before", "after", "unless", "once",
            ],
        )
    })
}

/// The sentence asks rather than sets (`why is my rate 95`).
fn asked(words: &Words<'_>, from: usize) -> bool {
    let mut at = from;
    while at > from.saturating_sub(SENTENCE_MAX) && stop(words, at - 1).is_none() {
        at -= 1;
        if words.one_of(at, &["why", "what", "whats", "how", "is", "when", "who", "which"]) {
            return true;
        }
    }
    false
}

/// The sentence says that somebody wants it.
fn wanted(words: &Words<'_>, from: usize) -> bool {
    let mut at = from;
    while at > from.saturating_sub(SENTENCE_MAX) && stop(words, at - 1) != Some(true) {
        at -= 1;
        if words.one_of(at, &["want", "wants", "wanted", "need", "needs", "like", "get"]) {
            return true;
        }
    }
    false
}

/// Only names and small words stand before it in its sentence.
fn sentence_opens(words: &Words<'_>, from: usize) -> bool {
    let mut at = from;
    while at > from.saturating_sub(SENTENCE_MAX) && stop(words, at - 1).is_none() {
        at -= 1;
        let quote = words.one_of(at, &["quote", "job", "bid", "estimate"]) || words.sign(at, '#');
        let numbered =
            at > 0 && (words.one_of(at - 1, &["quote", "job", "bid", "estimate", "number"]) || words.sign(at - 1, '#'));
        let plain = words.unknown(at)
            || words.is(
                at,
                Class::SUFFIX.or(Class::WEAKSUFFIX).or(Class::FILLER).or(Class::TITLE),
            )
            || quote
            || numbered;
        if !plain {
            return false;
        }
    }
    true
}
