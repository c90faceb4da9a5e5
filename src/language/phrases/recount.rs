//! Wordings that say that what was counted is something else: another size or kind, twice as many, fewer, not all of it.

use rust_decimal::Decimal;

use super::{Cue, Phrase, Row, class, line, man, minutes, number, numbers, percent, unsure};
use crate::language::lines::{line_text, unsaid};
use crate::language::meaning::{Change, ClassSaid, Doubt, LineSaid, MinutesSaid, QuantitySaid, Unit};
use crate::language::pattern::Cap;
use crate::language::rules::count::Counted;
use crate::language::words::Words;

fn change(change: Change) -> Option<Phrase> {
    Some(Phrase::Change(vec![change]))
}

fn classes(caps: &[&Cap]) -> Vec<ClassSaid> {
    let said = |cap: &&Cap| match cap {
        Cap::Class(class) => Some(class.clone()),
        Cap::Line(line) => Some(line.line.class.clone()),
        _ => None,
    };
    caps.iter().filter_map(said).collect()
}

/// From the first class to the second; a bare size on one side keeps the kind of the other.
fn recount(from: LineSaid, to: ClassSaid) -> Option<Phrase> {
    let to_nothing = to.service.is_none() && to.size.is_none();
    let same = from.class.service == to.service && from.class.size == to.size;
    (!to_nothing && !same)
        .then(|| change(Change::Recount { from, to }))
        .flatten()
}

/// `the large ones are mediums`.
fn whole_line(caps: &[&Cap]) -> Option<Phrase> {
    let [from, to] = <[ClassSaid; 2]>::try_from(classes(caps)).ok()?;
    recount(unsaid(&from), to)
}

/// `those are mediums`, `make them medium`.
fn only_line(caps: &[&Cap]) -> Option<Phrase> {
    recount(unsaid(&ClassSaid::default()), class(caps)?)
}

/// `one of the smalls is a large`, `swap 2 small for large`.
fn some_of_line(caps: &[&Cap]) -> Option<Phrase> {
    let from = line(caps)?.line;
    let to = class(caps)?;
    recount(from, to)
}

/// `swap 2 small for 2 large`: as many as there were.
fn as_many(caps: &[&Cap]) -> Option<Phrase> {
    let lines: Vec<LineSaid> = caps
        .iter()
        .filter_map(|cap| match cap {
            Cap::Line(line) => Some(line.line.clone()),
            _ => None,
        })
        .collect();
    let [from, to] = <[LineSaid; 2]>::try_from(lines).ok()?;
    if from.quantity == to.quantity {
        return recount(from, to.class);
    }
    Some(Phrase::Change(vec![Change::Drop(from), Change::Add(to)]))
}

/// `one of them is a large`; of `half of them` it is asked how many that is.
fn some_of_them(caps: &[&Cap]) -> Option<Phrase> {
    if number(caps)? < Decimal::ONE {
        return unsure("half of them");
    }
    let from = LineSaid {
        quantity: QuantitySaid::Exact(number(caps)?),
        ..unsaid(&ClassSaid::default())
    };
    recount(from, class(caps)?)
}

/// `gutters instead of the mow`.
fn instead_of(caps: &[&Cap]) -> Option<Phrase> {
    let [to, from] = <[ClassSaid; 2]>::try_from(classes(caps)).ok()?;
    recount(unsaid(&from), to)
}

/// `only the mow`: a price for it alone, or the rest dropped?
fn only_that(caps: &[&Cap]) -> Option<Phrase> {
    let said = class(caps)?;
    let name = line_text(&unsaid(&said));
    Some(Phrase::Unsure(Box::new(Doubt::Either {
        words: format!("only {name}"),
        choices: Vec::new(),
        span: said.span,
    })))
}

/// `6 azaleas = 24 min`: the time is that of all of them, when it comes out even; else it is asked.
fn timed_in_all(caps: &[&Cap]) -> Option<Phrase> {
    let mut counted = line(caps)?;
    let said = minutes(caps)?;
    let QuantitySaid::Exact(count) = counted.line.quantity else {
        return None;
    };
    if count <= Decimal::ONE || said.range.is_some() || man(caps) {
        return None;
    }
    let each = said.minutes.checked_div(count)?.normalize();
    if each >= Decimal::ONE && each.scale() <= 2 {
        counted.line.minutes_each = Some(MinutesSaid {
            minutes: each,
            range: None,
        });
        return Some(Phrase::Line(counted));
    }
    let text = line_text(&counted.line);
    let minutes = said.minutes.normalize();
    Some(Phrase::Unsure(Box::new(Doubt::Either {
        words: format!("{text} = {minutes} min"),
        choices: vec![
            format!("{text} {minutes} min each"),
            format!("{text}, solo {minutes} min"),
        ],
        span: counted.line.span,
    })))
}

fn times(caps: &[&Cap], factor: Decimal) -> Option<Phrase> {
    change(Change::Times(class(caps).unwrap_or_default(), factor))
}

fn fewer(caps: &[&Cap]) -> Option<Phrase> {
    change(Change::Drop(LineSaid {
        quantity: QuantitySaid::Exact(number(caps)?),
        ..unsaid(&class(caps).unwrap_or_default())
    }))
}

fn more_off(caps: &[&Cap]) -> Option<Phrase> {
    match percent(caps) {
        Some(percent) => change(Change::MoreOffPercent(percent)),
        None => change(Change::MoreOffMoney(*numbers(caps).first()?)),
    }
}

/// `3 ft tall` of a plant prices nothing; of what is sold by the foot it would, and is asked about.
pub(super) fn how_tall(words: &Words<'_>) -> Option<Phrase> {
    let services = words.vocabulary.services();
    let by_length = |at: usize| {
        words
            .kinds(at)
            .iter()
            .any(|hit| matches!(services[hit.service].unit, Unit::Foot | Unit::SquareFoot))
    };
    (!(0..words.len()).any(by_length)).then_some(Phrase::Aside)
}

/// The rule of a count of what was counted before.
pub(in crate::language) const OF_THEM: &str = "count of them";

/// The rule of a count of what is dead or gone.
pub(in crate::language) const GONE: &str = "count of what is gone";

/// So many of what was counted.
fn of_them(caps: &[&Cap], rule: &'static str) -> Option<Phrase> {
    let line = LineSaid {
        quantity: QuantitySaid::Exact(number(caps)?),
        ..unsaid(&ClassSaid::default())
    };
    Some(Phrase::Line(Box::new(Counted {
        end: 0,
        line,
        cost: 0,
        slip: false,
        rule,
    })))
}

pub(super) const ROWS: &[Row] = &[
    (
        "revise: another size or kind",
        6,
        "(the | those | all the | all those)? #class (is | are | were | was | should be | should have been | turned out to be) (really | actually | in fact | all)? (a | an)? #class",
        |c, _| whole_line(c),
    ),
    (
        "revise: another size or kind",
        7,
        "([swap switch change trade replace] (out)? (the | all the | those)?) #class (for | to | with | into) (the)? #class",
        |c, _| whole_line(c),
    ),
    (
        "revise: another size or kind",
        7,
        "[make call] (the | all the | those) #class (the)? #class",
        |c, _| whole_line(c),
    ),
    (
        "revise: these are another size",
        5,
        "([make call change switch] [them those these it that] (all)? (to | into)?) (the)? #class",
        |c, _| only_line(c),
    ),
    (
        "revise: these are another size",
        5,
        "([those these they theyre] (are | were | should be)? (really | actually | all)?) #class",
        |c, _| only_line(c),
    ),
    (
        "revise: some are another size",
        9,
        "[swap switch change trade replace make] (out)? #line (is | are | was | were | should be | for | to | into | with) (really | actually | in fact)? (a | an | the)? #class",
        |c, _| some_of_line(c),
    ),
    (
        "revise: some are another size",
        9,
        "#line (is | are | was | were | should be) (really | actually | in fact)? (a | an)? #class",
        |c, _| some_of_line(c),
    ),
    (
        "revise: some are another size",
        10,
        "[swap switch change trade replace] (out)? #line (for | to | into | with) #line",
        |c, _| as_many(c),
    ),
    (
        "revise: some are another size",
        8,
        "#num of [them those these em] (is | are | was | were | should be) (really | actually | in fact)? (a | an)? #class",
        |c, _| some_of_them(c),
    ),
    (
        "revise: so many times",
        6,
        "[double doubling] (up | up on)? #class",
        |c, _| times(c, Decimal::TWO),
    ),
    ("revise: so many times", 6, "[triple] #class", |c, _| {
        times(c, Decimal::from(3))
    }),
    ("revise: so many times", 6, "twice as many #class", |c, _| {
        times(c, Decimal::TWO)
    }),
    (
        "revise: fewer",
        8,
        "#num (fewer | less) (of the | of)? #class?",
        |c, _| fewer(c),
    ),
    (
        "revise: more off",
        9,
        "([knock take give cut shave drop] (them | him | her | off)?)? [another additional] (#pct | #money) (off | discount) (that | it | the [total price whole])?",
        |c, _| more_off(c),
    ),
    (
        "revise: more off",
        9,
        "([knock take give cut shave drop] (them | him | her | off)?) (another | an extra | an additional) (#pct | #money) (off | discount)? (that | it | the [total price whole])?",
        |c, _| more_off(c),
    ),
    (
        "revise: more off",
        9,
        "([knock take give cut shave drop] (them | him | her | off)?)? (#pct | #dollars) more (off)?",
        |c, _| more_off(c),
    ),
    (
        "revise: more off",
        9,
        "([knock take give cut shave drop] (them | him | her | off)?)? (#pct | #money) more off",
        |c, _| more_off(c),
    ),
    (
        "revise: fewer",
        8,
        "[take drop pull cut leave lose remove] #num of [them those these em] [off out away]?",
        |c, _| fewer(c),
    ),
    (
        "an exception",
        4,
        "(all | everything)? (except | excepting | excluding | minus | less | but not | but only | not counting | not including | other than | apart from | aside from | all but | everything but | besides) (for)? (the | that | those)?",
        |_, _| Some(Phrase::Cue(Cue::Except)),
    ),
    ("an exception of a kind", 2, "not (the | any | those)?", |_, _| {
        Some(Phrase::Cue(Cue::Except))
    }),
    ("count of them", 1, "#num of [them those these em]", |c, _| {
        of_them(c, OF_THEM)
    }),
    (
        "count of what is gone",
        3,
        "#num (of [them those these em])? (are | were | is | was | look | looks)? (already | all)? [dead dying gone missing died]",
        |c, _| of_them(c, GONE),
    ),
    (
        "count of what is gone",
        5,
        "(already (did | done | got | finished | cut | trimmed | have) #num | (did | done) #num already | #num (are | is | were)? (already done | done already))",
        |c, _| of_them(c, GONE),
    ),
    (
        "revise: another size or kind",
        7,
        "#class (instead of | rather than | in place of) (the)? #class",
        |c, _| instead_of(c),
    ),
    (
        "revise: only that",
        4,
        "(only | nothing but) (do)? (the | those)? #class",
        |c, _| only_that(c),
    ),
    ("revise: only that", 4, "#class only", |c, _| only_that(c)),
    (
        "no charge",
        5,
        "(n / c | gratis | complimentary | comped | comp (it | that | them))",
        |_, _| unsure("no charge"),
    ),
    (
        "there and back",
        4,
        "(each | both) (way | ways) | (round trip | there and back)",
        |_, _| unsure("each way"),
    ),
    (
        "material in all",
        9,
        "(the | my)? [material materials] (is | are | was | costs | cost | runs | : | =)? #money (total | in all | altogether | for (it | all | everything | the (job | lot)))",
        |_, _| unsure("the material in all"),
    ),
    ("count and its time in all", 5, "#line = #dur", |c, _| timed_in_all(c)),
    (
        "correction of a number",
        5,
        "[scratch strike] (that | the)? #num",
        |_, _| Some(Phrase::Correct),
    ),
    (
        "what is not done",
        6,
        "[we i they] (dont | do not) (do | have | want | need) (any | the)? #class",
        |_, _| Some(Phrase::Aside),
    ),
    ("not a number", 3, ",? not #num", |_, _| Some(Phrase::Aside)),
    (
        "revise: drop",
        3,
        "(without | leave out | leave off | leave out of it | take out | cut out | dont do | dont count | dont bother with | not doing | wont do | but skip | but drop | but leave out) (the | that | those | any)?",
        |_, _| Some(Phrase::Cue(Cue::Drop)),
    ),
    (
        "how tall",
        4,
        "#num -? (foot | feet | ft | inch | inches | in)? -? [tall high wide deep thick]",
        |_, w| how_tall(w),
    ),
    ("how tall", 4, "(a)? #num -? [story stories storey storeys]", |_, _| {
        Some(Phrase::Aside)
    }),
    (
        "correction at the start",
        4,
        "(only | its only | theres only | there is only | there are only | turns out (theres | there are | there is | its | it is)? | should only be | it should have been)",
        |_, _| Some(Phrase::Correct),
    ),
    ("revise: drop", 6, "[take cut pull leave] #line [off out]", |c, _| {
        line(c).and_then(|counted| change(Change::Drop(counted.line)))
    }),
    (
        "revise: drop",
        6,
        "[take leave cut pull] (the | that | those) #class [off out]",
        |c, _| change(Change::Drop(unsaid(&class(c)?))),
    ),
];
