//! Single words of a question about plants: what cuts, what it is cut with, when, and what such a question is not about.

use rust_decimal::Decimal;

use crate::language::asked::GuideAbout;
use crate::language::lexicon::Class;
use crate::language::pattern::Cap;
use crate::language::rules::number;
use crate::language::token::TokenKind;
use crate::language::words::Words;

/// Words of cutting.
pub(super) const CUTS: [&str; 41] = [
    "chop", "chopped", "whacking", "shears", "clippers", "prune", "pruned", "prunes", "pruning", "trim", "trimmed",
    "trimming", "cut", "cuts", "cutting", "cutback", "shear", "sheared", "shearing", "shape", "shaped", "clip",
    "clipped", "clipping", "hack", "whack", "thin", "thinned", "deadhead", "top", "topped", "topping", "head", "lop",
    "pollard", "snip", "prooning", "proon", "prun", "trimed", "pruneing",
];
/// Words of money: such a sentence asks for a price.
pub(super) const MONEY: [&str; 14] = [
    "price", "charge", "cost", "costs", "bill", "rate", "total", "quote", "dollars", "bucks", "pay", "paid", "make",
    "discount",
];
/// Words of what is past: such a sentence asks the book.
pub(super) const PAST: [&str; 5] = ["did", "last", "was", "were", "done"];
/// Tools.
pub(super) const TOOLS: [&str; 18] = [
    "chainsaw",
    "polesaw",
    "chain",
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
pub(super) const STEMS: [&str; 16] = [
    "stem", "stems", "branch", "branches", "limb", "limbs", "wood", "cane", "canes", "twig", "twigs", "thick", "stuff",
    "ones", "trunk", "trunks",
];

/// The stretch of words that the last `#sentence` took.
pub(super) fn stretch(caps: &[&Cap]) -> (usize, usize) {
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
pub(super) type Range = (usize, usize);

/// A month, with its day when one was said.
pub(super) type MonthDay = (u8, Option<u8>);

/// The middle month of a season that is said: `in the summer`.
fn season(words: &Words<'_>, (from, to): Range) -> Option<u8> {
    const LEADS: [&str; 11] = [
        "in", "the", "this", "over", "during", "late", "early", "next", "mid", "for", "by",
    ];
    (from..to).find_map(|at| {
        let led = at > 0 && words.one_of(at - 1, &LEADS);
        let of = |names: &[&str]| words.one_of(at, names);
        match () {
            () if !led => None,
            () if of(&["winter", "wintertime"]) => Some(1),
            () if of(&["spring", "springtime"]) => Some(4),
            () if of(&["summer", "summertime"]) => Some(7),
            () if of(&["fall", "autumn"]) => Some(10),
            () => None,
        }
    })
}

/// A month or a season in a stretch, with a day behind it when one is said, and where its day stands.
pub(super) fn month(words: &Words<'_>, part: Range) -> Option<(MonthDay, Range)> {
    month_named(words, part).or_else(|| season(words, part).map(|month| ((month, None), (0, 0))))
}

fn month_named(words: &Words<'_>, (from, to): Range) -> Option<(MonthDay, Range)> {
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
pub(super) fn inches(words: &Words<'_>, (from, to): (usize, usize)) -> Option<(Decimal, (usize, usize))> {
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
pub(super) fn about_cutting(words: &Words<'_>, part: (usize, usize)) -> bool {
    any_of(words, part, &CUTS) && !any_of(words, part, &MONEY) && !any_of(words, part, &PAST)
}

/// Words that ask about the time of year.
pub(super) const TIMES: [&str; 11] = [
    "now", "yet", "today", "early", "late", "soon", "season", "time", "week", "weekend", "spring",
];
/// Words of a sentence about a plant that asks something else than the guide: changes, plans, money, and work on no plant.
pub(super) const ELSEWHERE: [&str; 31] = [
    "at",
    "add",
    "drop",
    "due",
    "owe",
    "owed",
    "won",
    "lost",
    "scheduled",
    "schedule",
    "book",
    "booked",
    "planned",
    "plan",
    "friday",
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "saturday",
    "sunday",
    "tomorrow",
    "gutter",
    "gutters",
    "mulch",
    "mow",
    "lawn",
    "grass",
    "each",
    "minutes",
    "hours",
];

/// A sentence that names a kind of the price list and the time of year, though no word of cutting (`is now ok for hollies`).
pub(super) fn about_its_time(words: &Words<'_>, (from, to): Range) -> bool {
    let names_kind = (from..to).any(|at| words.kinds(at).iter().any(|hit| hit.whole));
    let timed = any_of(words, (0, to), &TIMES) || month(words, (from, to)).is_some();
    let other = [&ELSEWHERE[..], &MONEY, &PAST]
        .iter()
        .any(|list| any_of(words, (0, to), list));
    names_kind && timed && !other
}

/// `do the boxwoods`, `hit the azaleas`, said where the time of year is asked for.
pub(super) fn about_doing(words: &Words<'_>, (from, to): Range) -> bool {
    let does = any_of(words, (from, to), &["do", "hit", "get", "touch", "tackle", "go"]);
    let names_kind = (from..to).any(|at| words.kinds(at).iter().any(|hit| hit.whole));
    let other = [&ELSEWHERE[..], &MONEY, &PAST]
        .iter()
        .any(|list| any_of(words, (0, to), list));
    does && names_kind && !other
}

/// Wood that goes whatever the time of year.
pub(super) const HAZARD: [&str; 8] = [
    "dead",
    "diseased",
    "broken",
    "dangerous",
    "hazard",
    "damaged",
    "cracked",
    "rotten",
];

/// `shear it or hand prune it`, `use hedge trimmers on it`: how it is cut, not when.
pub(super) fn by_what_tool(words: &Words<'_>, part: Range) -> bool {
    let shears = any_of(words, part, &["shear", "shears", "trimmer", "trimmers", "clippers"]);
    let by_hand = any_of(words, part, &["or"]) && any_of(words, part, &["hand", "thin", "prune"]);
    shears && (by_hand || any_of(words, part, &["use", "using", "with"])) && !spare_number(words, part, None)
}

/// What a sentence that no wording read asks of a plant, by the words in it alone.
pub(in crate::language) fn hinted(words: &Words<'_>) -> Option<GuideAbout> {
    let all = (0, words.len());
    let month = month(words, all);
    let other = [&ELSEWHERE[..], &MONEY, &PAST]
        .iter()
        .any(|list| any_of(words, all, list));
    if other || spare_number(words, all, month.map(|(_, day)| day)) {
        return None;
    }
    if any_of(words, all, &["special", "careful", "pruning"]) && month.is_none() {
        return Some(GuideAbout::When(None));
    }
    let returns = any_of(words, all, &["back", "regrow", "resprout", "survive"])
        && any_of(words, all, &["grow", "come", "wood", "bare", "sprout"]);
    if returns || any_of(words, all, &["how", "ground", "shear"]) {
        return Some(GuideAbout::How);
    }
    if any_of(
        words,
        all,
        &["when", "whens", "before", "after", "bloom", "season", "window"],
    ) {
        return Some(GuideAbout::When(month.map(|(said, _)| said)));
    }
    let timed = any_of(words, all, &TIMES) || any_of(words, all, &["wait", "hold"]) || month.is_some();
    let timed = timed || (any_of(words, all, &["if"]) && any_of(words, all, &CUTS));
    timed.then_some(GuideAbout::May(month.map(|(said, _)| said)))
}

/// `the right way to do a rose`, `the best way to take down a privet`.
pub(super) fn about_doing_it_right(words: &Words<'_>, (from, to): Range) -> bool {
    let way = (0..from.max(1)).any(|at| words.spelled(at, "way"));
    let names_kind = (from..to).any(|at| words.kinds(at).iter().any(|hit| hit.whole));
    let other = [&ELSEWHERE[..], &MONEY, &PAST]
        .iter()
        .any(|list| any_of(words, (0, to), list));
    way && names_kind && !other
}
