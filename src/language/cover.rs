//! The best cover: which phrases, side by side, account for the words of a message with least left over?
//!
//! Every wording is tried at every word; a shortest-path search over positions then picks the set of phrases that does not
//! overlap and earns most. A word in a phrase earns, a word left over costs, a number left over costs most: a reading that
//! uses every number beats one that does not (P1).

use std::borrow::Cow;

use super::chart::Chart;
use super::lexicon::Class;
use super::meaning::{Change, Meaning};
use super::pattern::Cap;
use super::phrases::{Cue, Phrase, Placed, Wordings};
use super::rules::number;
use super::token::TokenKind;
use super::words::Words;

/// Points for each word in a phrase.
const WORD_GAIN: i32 = 6;
/// Points off for each phrase, so that one phrase beats two.
const PHRASE_COST: i32 = 10;
/// Points off for a number left over.
const NUMBER_LEFT_COST: i32 = 24;
/// Points off for a word left over that nothing knows.
const UNKNOWN_LEFT_COST: i32 = 4;
/// Points off for a known word left over.
const KNOWN_LEFT_COST: i32 = 2;

/// The cover: phrases and skipped words in order.
pub(super) struct Cover {
    /// The phrases, in order; stops among them.
    pub(super) placed: Vec<Placed>,
    /// Words that no phrase took.
    pub(super) left: Vec<usize>,
}

#[derive(Clone, Copy)]
struct Step {
    score: i32,
    from: usize,
    phrase: Option<usize>,
}

/// Finds the best cover.
pub(super) fn cover(words: &Words<'_>, wordings: &Wordings) -> Cover {
    let chart = Chart::new(words);
    let mut all: Vec<(i32, Placed)> = Vec::new();
    let mut by_start: Vec<Vec<usize>> = vec![Vec::new(); words.len()];
    let mut caps = Vec::new();
    for (at, starts) in by_start.iter_mut().enumerate() {
        candidates(words, wordings, &chart, (at, &mut caps), &mut all, starts);
    }
    let dead = Step {
        score: i32::MIN,
        from: 0,
        phrase: None,
    };
    let mut best = vec![dead; words.len() + 1];
    best[0] = Step {
        score: 0,
        from: 0,
        phrase: None,
    };
    for at in 0..words.len() {
        let here = best[at].score;
        let skipped = here - left_cost(words, at);
        if skipped > best[at + 1].score {
            best[at + 1] = Step {
                score: skipped,
                from: at,
                phrase: None,
            };
        }
        for index in &by_start[at] {
            let (gain, placed) = &all[*index];
            if here + gain > best[placed.to].score {
                best[placed.to] = Step {
                    score: here + gain,
                    from: at,
                    phrase: Some(*index),
                };
            }
        }
    }
    trace(words, &best, &all)
}

fn trace(words: &Words<'_>, best: &[Step], all: &[(i32, Placed)]) -> Cover {
    let mut placed = Vec::new();
    let mut left = Vec::new();
    let mut at = words.len();
    while at > 0 {
        let step = best[at];
        match step.phrase {
            Some(index) => placed.push(all[index].1.clone()),
            None => match stop(words, step.from) {
                Some(strong) => placed.push(Placed {
                    to: at,
                    rule: "stop",
                    phrase: Phrase::Stop(strong),
                    span: words.span(step.from, at),
                }),
                None => left.push(step.from),
            },
        }
        at = step.from;
    }
    placed.reverse();
    left.reverse();
    Cover { placed, left }
}

fn stop(words: &Words<'_>, at: usize) -> Option<bool> {
    match words.get(at)?.kind {
        TokenKind::Break => Some(true),
        TokenKind::Sign('.' | ';' | '!' | '?' | ':') => Some(true),
        TokenKind::Sign(_) => Some(false),
        TokenKind::Word if words.one_of(at, &["then"]) => Some(true),
        TokenKind::Word if words.one_of(at, &["and", "plus", "also"]) => Some(false),
        _ => None,
    }
}

fn left_cost(words: &Words<'_>, at: usize) -> i32 {
    let Some(token) = words.get(at) else { return 0 };
    match token.kind {
        TokenKind::Sign(_) | TokenKind::Break => 0,
        TokenKind::Number(_) | TokenKind::Clock(..) => NUMBER_LEFT_COST,
        TokenKind::Word if words.is(at, Class::CONTEXT) && listed(words, at) => 8,
        TokenKind::Word if words.is(at, Class::CONTEXT.or(Class::LEAD).or(Class::FILLER)) => 1,
        TokenKind::Word if words.is(at, Class::UNITS.or(Class::TENS)) && !words.is(at, Class::ONES) => NUMBER_LEFT_COST,
        TokenKind::Word if words.is(at, Class::SIZE) || words.kinds(at).iter().any(|hit| hit.whole) => 8,
        TokenKind::Word if token.class == Class::NONE => UNKNOWN_LEFT_COST,
        TokenKind::Word => KNOWN_LEFT_COST,
    }
}

/// A common word that is a kind too counts as one where a list would have it (`mow and edge`).
fn listed(words: &Words<'_>, at: usize) -> bool {
    let opens = at == 0 || stop(words, at - 1).is_some();
    let closes = at + 1 == words.len() || stop(words, at + 1).is_some() || words.one_of(at + 1, &["at", "for"]);
    opens && closes && words.kinds(at).iter().any(|hit| hit.whole)
}

fn candidates<'c>(
    words: &Words<'_>,
    wordings: &Wordings,
    chart: &'c Chart<'_, '_>,
    (at, caps): (usize, &mut Vec<Cow<'c, Cap>>),
    all: &mut Vec<(i32, Placed)>,
    starts: &mut Vec<usize>,
) {
    let mut push = |gain: i32, to: usize, rule: &'static str, phrase: Phrase| {
        starts.push(all.len());
        all.push((
            gain,
            Placed {
                to,
                rule,
                phrase,
                span: words.span(at, to),
            },
        ));
    };
    for wording in wordings.at(words, at, chart) {
        for (end, caps) in wording.pattern.matches(words, at, chart, caps) {
            if end == at || !stands(wording.name, words, at, end) {
                continue;
            }
            if let Some(phrase) = (wording.build)(&caps, words).filter(|phrase| !counts_more(words, end, phrase)) {
                let gain = gain(words, at, end, wording.bonus, &phrase);
                push(gain, end, wording.name, phrase);
            }
        }
    }
    match words.get(at).map(|t| t.kind) {
        Some(TokenKind::Clock(hours, minutes)) => push(2, at + 1, "clock", Phrase::Clock(hours, minutes)),
        _ => {
            if let Some(n) = number::number(words, at) {
                push(-6, n.end, "number alone", Phrase::Bare(n.value));
            }
            if let Some(end) = number::aloud(words, at) {
                push(WORD_GAIN, end, "counting aloud", Phrase::Aside);
            }
            if let Some((left, right, end)) = number::pair(words, at) {
                push(-6, end, "two numbers", Phrase::Pair(left, right));
            }
        }
    }
}

/// `might do 3 small hollies`: the number that would be a price counts what follows it.
fn counts_more(words: &Words<'_>, end: usize, phrase: &Phrase) -> bool {
    let priced = match phrase {
        Phrase::Change(changes) => matches!(
            changes.as_slice(),
            [Change::Price(_) | Change::DiscountMoney(_) | Change::MoreOffMoney(_)]
        ),
        Phrase::Cue(Cue::Won(price) | Cue::Paid(price, _)) => price.is_some(),
        // "what would I charge for a dozen large crapes".
        Phrase::Whole(meaning) => matches!(**meaning, Meaning::Solve(_)),
        _ => false,
    };
    let numbered = |at: usize| {
        matches!(words.get(at).map(|t| t.kind), Some(TokenKind::Number(_)))
            || words.is(
                at,
                Class::UNITS
                    .or(Class::TENS)
                    .or(Class::DOZEN)
                    .or(Class::COUPLE)
                    .or(Class::HUNDRED),
            )
    };
    let counted = Class::SIZE
        .or(Class::UNIT)
        .or(Class::PEOPLE)
        .or(Class::MINUTE)
        .or(Class::HOUR)
        .or(Class::GENERIC);
    priced && numbered(end - 1) && (words.is(end, counted) || words.kinds(end).iter().any(|hit| hit.whole))
}

fn gain(words: &Words<'_>, from: usize, to: usize, bonus: i32, phrase: &Phrase) -> i32 {
    let said = (from..to)
        .filter(|at| words.get(*at).is_some_and(|t| !matches!(t.kind, TokenKind::Sign(_))))
        .count();
    let said = i32::try_from(said).unwrap_or(i32::MAX / 64);
    let more = match phrase {
        Phrase::Class(_) => -3,
        Phrase::When(when) => 10 * i32::from(when.day.is_some()),
        Phrase::Line(line) => 4 - 2 * line.cost + 2 * i32::from(line.line.class.service.is_some()),
        Phrase::Place(place) => {
            let numbered = matches!(words.get(from).map(|t| t.kind), Some(TokenKind::Number(_)));
            // "13 Hedge Row" as it is on a sign.
            let signed = numbered && (from + 1..to).all(|at| words.get(at).is_some_and(|t| t.capital));
            6 * i32::from(place.known) + 4 * i32::from(numbered) + 6 * i32::from(signed)
        }
        Phrase::Whole(meaning) => match &**meaning {
            Meaning::PlaceCaution { place: Some(place), .. } => 6 * i32::from(place.known),
            _ => 0,
        },
        Phrase::Lead | Phrase::Cue(Cue::New) => -2,
        _ => 0,
    };
    WORD_GAIN * said + 2 * bonus + more - PHRASE_COST
}

/// Some wordings are common words too, and hold only as a sentence or a message of their own.
fn stands(rule: &str, words: &Words<'_>, from: usize, to: usize) -> bool {
    let opens = from == 0 || stop(words, from - 1).is_some();
    let closes = to == words.len() || stop(words, to).is_some();
    let sign = |at: usize| {
        words
            .get(at)
            .is_some_and(|t| matches!(t.kind, TokenKind::Sign(_) | TokenKind::Break))
    };
    match rule {
        _ if rule.starts_with("answer") => (0..from).all(sign) && (to..words.len()).all(sign),
        // "12 small, scratch that, 10 small": a correction.
        "undo" if !(0..from).all(sign) && !(to..words.len()).all(sign) && words.is(from, Class::CORRECTION) => false,
        _ if stands_alone(rule) => opens && closes,
        // "they want it for 40" is an offer.
        "won" if words.spelled(to, "for") => words.is(to + 1, Class::WEEKDAY.or(Class::MONTH).or(Class::TODAY)),
        "won" if words.is(to, Class::SIZE) || !words.kinds(to).is_empty() => false,
        "pause" | "resume" => breaks_off(words, from, to),
        "paid" | "won" | "won at a price" | "lost" | "lost with a reason" if depends(words, from) => false,
        "note" | "revise: what if" | "here" | "plan" | "won" | "lost" | "won at a price" | "lost with a reason" => {
            opens || words.kinds(from).is_empty() && sentence_opens(words, from)
        }
        "rate of this quote" | "revise: price said" if !led(words, from) => {
            from == 0 || stop(words, from - 1).is_some() || counts_before(words, from)
        }
        "for a price" => to == words.len() || stop(words, to).is_some() || words.one_of(to, &["at", "for"]),
        "revise: count said again" | "revise: what if a count" => (0..from).all(sign) && (to..words.len()).all(sign),
        // Within a message it corrects the count before it, when a count follows ("set-up" does not).
        "revise: make that" => opens || counted(words, to) || !words.kinds(to).is_empty() || !words.sign(to, '-'),
        // "plus drive time 20 min": at that figure, not at the account's own.
        "extra: charged" => !figure_follows(words, to),
        // "10 small crapes should take an hour": the count's, not those of a kind.
        "revise: minutes of a kind" => from == 0 || !counted_before(words, from),
        "time for all of it" => !words.is(to, Class::EACH.or(Class::PER)),
        // "took me half an hour" is a finish; "mow, take 40 min" is not.
        "time for the work" if opens && words.spelled(from, "took") => false,
        // "they want the gutters done" asks for it.
        "finish: done" if !opens && wanted(words, from) => false,
        // "100 an hour" is a rate, whatever stands before it.
        "time for the work" | "finish: minutes in all" | "minutes each" if hour_of_pay(words, from) => false,
        // "what do I make an hour": an hour of pay, not of work.
        "time for the work" | "finish: minutes in all" => {
            from == 0 || !words.one_of(from - 1, &["make", "making", "get", "earn", "clear", "charge"])
        }
        // At the very start it corrects what was talked about before, when a count follows; `no` alone is an answer.
        "an exception of a kind" => !words.kinds(to).is_empty(),
        // "take off three of them": plants and not people.
        "crew"
            if from > 0
                && words.one_of(
                    from - 1,
                    &["off", "out", "drop", "remove", "add", "skip", "lose", "only"],
                ) =>
        {
            words.is(to - 1, Class::PEOPLE)
        }
        // "did I count that one": a question, not news.
        "finish: did" if words.one_of(to, &["i", "we", "you", "they", "that", "it", "he", "she"]) => false,
        "correction at the start" => (0..from).all(sign) && (!words.kinds(to).is_empty() || counted(words, to)),
        "correction of a number" => from > 0 && number::number(words, to).is_some(),
        "what is not done" => from > 0,
        "not a number" => closes && from > 0,
        "paid" if from > 0 && words.is(from - 1, Class::LEAD) => false,
        "paid" if words.is(to, Class::SIZE.or(Class::PEOPLE).or(Class::UNIT)) || words.spelled(to + 1, "us") => false,
        "correction" => from > 0 || (to < words.len() && !words.sign(to, ',') || to + 1 < words.len()),
        // "paid by wire"
        "remark: something there" => from == 0 || to > from + 1 || !words.spelled(from - 1, "by"),
        _ if rule.starts_with("set: rate") => !asked(words, from),
        _ => true,
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
            | "undo"
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
    while at > 0 && stop(words, at - 1).is_none() {
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
    while at > 0 && stop(words, at - 1) != Some(true) {
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
    while at > 0 && stop(words, at - 1).is_none() {
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
