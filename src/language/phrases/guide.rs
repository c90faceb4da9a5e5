//! Wordings that ask the guide: when and how a plant is cut, with what, how much, and who says so.
//!
//! People ask such things in any order of words, and the plant need not be on the price list. So a wording here is how the
//! sentence opens, and the rest is looked through: for a word of cutting, a month, a diameter. A sentence with a number
//! that none of these takes is not read here, so that no number is passed over.

use rust_decimal::Decimal;

use super::{Phrase, Row, whole};
use crate::language::asked::{GuideAbout, GuideSaid};
use crate::language::lexicon::Class;
use crate::language::meaning::Meaning;
use crate::language::pattern::Cap;
use crate::language::rules::number;
use crate::language::token::TokenKind;
use crate::language::words::Words;

/// Words of cutting.
const CUTS: [&str; 38] = [
    "shears", "clippers", "prune", "pruned", "prunes", "pruning", "trim", "trimmed", "trimming", "cut", "cuts",
    "cutting", "cutback", "shear", "sheared", "shearing", "shape", "shaped", "clip", "clipped", "clipping", "hack",
    "whack", "thin", "thinned", "deadhead", "top", "topped", "topping", "head", "lop", "pollard", "snip", "prooning",
    "proon", "prun", "trimed", "pruneing",
];
/// Words of money: such a sentence asks for a price.
const MONEY: [&str; 14] = [
    "price", "charge", "cost", "costs", "bill", "rate", "total", "quote", "dollars", "bucks", "pay", "paid", "make",
    "discount",
];
/// Words of what is past: such a sentence asks the book.
const PAST: [&str; 5] = ["did", "last", "was", "were", "done"];
/// Tools.
const TOOLS: [&str; 15] = [
    "use",
    "tool",
    "tools",
    "pruner",
    "pruners",
    "loppers",
    "lopper",
    "saw",
    "handsaw",
    "snips",
    "shears",
    "clippers",
    "cutters",
    "secateurs",
    "blade",
];
/// What a tool is for.
const STEMS: [&str; 16] = [
    "stem", "stems", "branch", "branches", "limb", "limbs", "wood", "cane", "canes", "twig", "twigs", "thick", "stuff",
    "ones", "trunk", "trunks",
];

/// A guide meaning about something, with the whole message as its words.
pub(super) fn said(about: GuideAbout, words: &Words<'_>) -> Box<GuideSaid> {
    let named = (0..words.len()).find_map(|at| words.kinds(at).iter().find(|hit| hit.whole));
    Box::new(GuideSaid {
        about,
        plant: named.map(|hit| words.vocabulary.services()[hit.service].name.clone()),
        words: words.tokens.text.to_string(),
    })
}

fn ask(about: GuideAbout, words: &Words<'_>) -> Option<Phrase> {
    whole(Meaning::Guide(*said(about, words)))
}

/// The stretch of words that the last `#sentence` took.
pub(super) fn stretch(caps: &[Cap]) -> (usize, usize) {
    let last = caps.iter().rev().find_map(|cap| match cap {
        Cap::Text(from, to) => Some((*from, *to)),
        _ => None,
    });
    last.unwrap_or_default()
}

/// Whether one of these words stands in a stretch.
pub(super) fn any_of(words: &Words<'_>, (from, to): (usize, usize), list: &[&str]) -> bool {
    (from..to).any(|at| words.one_of(at, list))
}

/// Whether a number stands in a stretch that is not in `used`.
pub(super) fn spare_number(words: &Words<'_>, (from, to): (usize, usize), used: Option<(usize, usize)>) -> bool {
    let is_used = |at: usize| used.is_some_and(|(start, end)| start <= at && at < end);
    (from..to).any(|at| {
        let figure = match words.get(at).map(|token| token.kind) {
            Some(TokenKind::Number(_) | TokenKind::Clock(..)) => true,
            Some(TokenKind::Word) => words.is(at, Class::UNITS.or(Class::TENS)) && !words.is(at, Class::ONES),
            _ => false,
        };
        figure && !is_used(at)
    })
}

/// Words from one up to another.
type Range = (usize, usize);

/// A month, with its day when one was said.
type MonthDay = (u8, Option<u8>);

/// A month in a stretch, with a day behind it when one is said, and where its day stands.
fn month(words: &Words<'_>, (from, to): Range) -> Option<(MonthDay, Range)> {
    let at = (from..to).find(|at| words.is(*at, Class::MONTH) && !is_modal(words, from, *at))?;
    let month = u8::try_from(words.value(at, Class::MONTH)?).ok()?;
    let day = match words.get(at + 1).filter(|_| at + 1 < to).map(|token| token.kind) {
        Some(TokenKind::Number(value)) => u8::try_from(value).ok().filter(|day| (1..=31).contains(day)),
        _ => None,
    };
    Some(((month, day), (at + 1, at + 1 + usize::from(day.is_some()))))
}

/// `may I` is no month.
fn is_modal(words: &Words<'_>, from: usize, at: usize) -> bool {
    let leads = at > from
        && words.one_of(
            at - 1,
            &[
                "in", "this", "late", "early", "mid", "of", "until", "til", "by", "after", "before",
            ],
        );
    let dated = matches!(words.get(at + 1).map(|token| token.kind), Some(TokenKind::Number(_)));
    words.spelled(at, "may") && !leads && !dated
}

/// `half-inch`, `3/4 in`, `an inch and a half`, `2"`: the diameter and the words that say it.
fn inches(words: &Words<'_>, (from, to): (usize, usize)) -> Option<(Decimal, (usize, usize))> {
    let unit = |at: usize| words.one_of(at, &["inch", "inches", "in", "inchers"]) || words.sign(at, '"');
    for at in from..to {
        let Some(found) = number::number(words, at) else {
            continue;
        };
        let mut end = found.end;
        if words.sign(end, '-') {
            end += 1;
        }
        if end < to && unit(end) {
            return Some(with_half(words, found.value, at, end + 1));
        }
        // "half an inch", "a quarter of an inch"
        let more = (end..to.min(end + 3)).find(|next| words.one_of(*next, &["inch", "inches"]));
        if let Some(more) = more.filter(|more| (end..*more).all(|next| words.one_of(next, &["of", "an", "a"]))) {
            return Some((found.value, (at, more + 1)));
        }
    }
    let quarter = |at: &usize| words.is(*at, Class::QUARTER.or(Class::HALF));
    for at in (from..to).filter(quarter) {
        let end = at + 1 + usize::from(words.sign(at + 1, '-'));
        if end < to && unit(end) {
            let part = if words.is(at, Class::HALF) {
                Decimal::new(5, 1)
            } else {
                Decimal::new(25, 2)
            };
            return Some((part, (at, end + 1)));
        }
    }
    let one = (from..to).find(|at| words.spelled(*at, "inch"))?;
    Some(with_half(words, Decimal::ONE, one, one + 1))
}

/// `inch and a half`.
fn with_half(words: &Words<'_>, value: Decimal, from: usize, end: usize) -> (Decimal, (usize, usize)) {
    let half = words.spelled(end, "and") && words.is(end + 1, Class::ARTICLE) && words.is(end + 2, Class::HALF);
    if half {
        (value + Decimal::new(5, 1), (from, end + 3))
    } else {
        (value, (from, end))
    }
}

/// A sentence about cutting, and not about money or what is past.
fn about_cutting(words: &Words<'_>, part: (usize, usize)) -> bool {
    any_of(words, part, &CUTS) && !any_of(words, part, &MONEY) && !any_of(words, part, &PAST)
}

fn practice(caps: &[Cap], words: &Words<'_>, topic: &'static str) -> Option<Phrase> {
    let part = stretch(caps);
    (!spare_number(words, part, None) && !any_of(words, part, &MONEY))
        .then(|| ask(GuideAbout::Practice(topic), words))
        .flatten()
}

/// Wood that goes whatever the time of year.
const HAZARD: [&str; 8] = [
    "dead",
    "diseased",
    "broken",
    "dangerous",
    "hazard",
    "damaged",
    "cracked",
    "rotten",
];

fn when(caps: &[Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    if any_of(words, part, &HAZARD) {
        return practice(caps, words, "hazard");
    }
    let month = month(words, part);
    if !about_cutting(words, part) || spare_number(words, part, month.map(|(_, day)| day)) {
        return None;
    }
    ask(GuideAbout::When(month.map(|(said, _)| said)), words)
}

/// `the window on live oaks`.
fn window(caps: &[Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    (!any_of(words, part, &MONEY) && !spare_number(words, part, None))
        .then(|| ask(GuideAbout::When(None), words))
        .flatten()
}

fn may(caps: &[Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    // "can you trim the hedge" asks for work.
    if words.spelled(part.0, "you") {
        return None;
    }
    if any_of(words, part, &TOOLS) && inches(words, part).is_some() {
        return tool(caps, words);
    }
    if any_of(words, part, &HAZARD) && about_cutting(words, part) {
        return practice(caps, words, "hazard");
    }
    let month = month(words, part);
    if !about_cutting(words, part) || spare_number(words, part, month.map(|(_, day)| day)) {
        return None;
    }
    ask(GuideAbout::May(month.map(|(said, _)| said)), words)
}

/// `prune azaleas now?`, `pruning hollies in march`: a question by its mark, by `now` or by a month.
fn may_by_mark(caps: &[Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let month = month(words, part);
    let asks = words.sign(part.1, '?') || any_of(words, part, &["now", "yet", "today"]) || month.is_some();
    let refused = any_of(words, part, &MONEY) || any_of(words, part, &PAST) || any_of(words, part, &["grass", "lawn"]);
    if !asks || refused || spare_number(words, part, month.map(|(_, day)| day)) {
        return None;
    }
    ask(GuideAbout::May(month.map(|(said, _)| said)), words)
}

fn how(caps: &[Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let other = ["long", "many", "fast", "much", "was", "did", "quick"];
    // "how low do I take it"
    let far = words.one_of(part.0, &["low", "far", "short", "hard", "high"]);
    let taken = far && any_of(words, part, &["take", "go", "bring"]) && !any_of(words, part, &MONEY);
    let about = taken || about_cutting(words, part);
    if words.one_of(part.0, &other) || !about || spare_number(words, part, None) {
        return None;
    }
    ask(GuideAbout::How, words)
}

fn share(caps: &[Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let taken = any_of(
        words,
        part,
        &["off", "back", "take", "remove", "crown", "leaves", "green", "out"],
    );
    let cut = any_of(words, part, &CUTS) || any_of(words, part, &["take", "remove", "come", "go", "crown"]);
    if !taken || !cut || any_of(words, part, &MONEY) || spare_number(words, part, None) {
        return None;
    }
    ask(GuideAbout::Share, words)
}

fn tool(caps: &[Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let inches = inches(words, part);
    let named = any_of(words, part, &TOOLS) || any_of(words, part, &CUTS);
    let stems = inches.is_some() || any_of(words, part, &STEMS) || any_of(words, part, &["tool", "tools"]);
    let other = any_of(words, part, &MONEY) || any_of(words, part, &PAST);
    if !named || !stems || other || spare_number(words, part, inches.map(|(_, at)| at)) {
        return None;
    }
    ask(GuideAbout::Tool(inches.map(|(value, _)| value)), words)
}

fn near_wires(caps: &[Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let wires = any_of(
        words,
        part,
        &["wire", "wires", "line", "lines", "powerline", "powerlines"],
    );
    (wires && !spare_number(words, part, None))
        .then(|| ask(GuideAbout::Remark, words))
        .flatten()
}

pub(super) const ROWS: &[Row] = &[
    (
        "guide: when",
        8,
        "(when | whens | what month | what months | what time of year | what time | what season | best time | the best time | right time | good time | whats the best time | what is the best time | whats the right time | whats a good time | best month | how early | how late | how soon) #sentence",
        when,
    ),
    (
        "guide: when",
        8,
        "#class (, | - | : | ?)? (when | what month | whats the best time | best time) #sentence",
        when,
    ),
    (
        "guide: when",
        8,
        "(whats the | what is the | the)? (pruning | cutting | trimming)? (window | season) (on | for) #sentence",
        window,
    ),
    (
        "guide: may I",
        8,
        "(can | could | should | may | do | is it | is now | is this | are we | am i | are | is | safe | alright | fine | good | too late | too early) #sentence",
        may,
    ),
    (
        "guide: may I",
        8,
        "#class (, | - | : | ?)? (can | should | is it | may | ok | safe) #sentence",
        may,
    ),
    (
        "guide: may I",
        5,
        "(prune | pruning | trim | trimming | cut | cutting | shear | shearing) #sentence",
        may_by_mark,
    ),
    (
        "guide: how",
        8,
        "(how | hows | best way | the best way | right way | the right way | whats the best way | what is the best way | whats the right way | show me how | tell me how | tell me how to) #sentence",
        how,
    ),
    ("guide: how", 8, "#class (, | - | : | ?)? (how) #sentence", how),
    (
        "guide: how much",
        9,
        "(how much | what percent | how many inches | how much of) #sentence",
        share,
    ),
    ("guide: tool", 8, "(what | which | whats) #sentence", tool),
    (
        "guide: tool",
        7,
        "(loppers | lopper | pruners | pruner | hand pruners | hand pruner | saw | hand saw | pruning saw | will | tool | tools) #sentence",
        tool,
    ),
    (
        "guide: wires",
        8,
        "(how close | how near | how far) #sentence",
        near_wires,
    ),
    (
        "guide: why not top",
        10,
        "(why not | why shouldnt | why shouldnt i | why shouldnt we | why cant i | why cant we | whats wrong with | what is wrong with | whats bad about | is it bad to | why is it bad to | why dont you | why dont we | why is) (just | ever)? (top | topping | topped) (off)? (them | it | these | those | trees | the #class | #class)? (bad | wrong | bad for them | bad for it)?",
        |_, w| ask(GuideAbout::WhyNotTop, w),
    ),
    (
        "guide: wound paint",
        10,
        "(do i | should i | should we | do we | can i | need to | is it ok to | do you)? (need to | have to)? (paint | seal | tar | painting | sealing) (the | over | my | oak)? (cuts | cut | wound | wounds | stubs | them | it | oak cuts | oak wounds) #sentence?",
        |c, w| practice(c, w, "paint"),
    ),
    (
        "guide: wound paint",
        9,
        "(wound paint | pruning paint | tree paint | pruning sealer | wound sealer) #sentence?",
        |c, w| practice(c, w, "paint"),
    ),
    (
        "guide: clean blades",
        10,
        "(do i | should i | should we | do we | when do i | how do i)? (need to | have to)? (disinfect | sterilize | clean | sanitize | wipe) (my | the | our)? (blades | blade | pruners | tools | saw | saws | loppers | shears) #sentence?",
        |c, w| practice(c, w, "clean"),
    ),
    (
        "guide: renewal",
        10,
        "(how do i | how do we | when do i | when do we | can i | should i | how to)? (renew | rejuvenate | renovate | bring back) (an | a | the | this | these | old)? #sentence",
        |c, w| practice(c, w, "renew"),
    ),
    (
        "guide: big limbs",
        10,
        "(how do i | how do we | how to | whats the)? (take | take off | cut | drop | remove | do)? (a | the)? (big limb | big limbs | heavy limb | heavy limbs | large limb | large limbs | big branch | three cut | three cuts | undercut) #sentence?",
        |c, w| practice(c, w, "cuts"),
    ),
    (
        "guide: big limbs",
        10,
        "(how big | how large | how thick) (of)? (a | an)? (limb | branch | cut | stem) #sentence?",
        |c, w| practice(c, w, "big"),
    ),
    (
        "guide: source",
        7,
        "(says who | who says | who says so | who says that | source | sources | the source | whats the source | whats your source | what is the source | where is that from | where did that come from | where did you get that | whered you get that | where do you get that | wheres that from | whats that from | according to who)",
        |_, w| ask(GuideAbout::Source, w),
    ),
];
