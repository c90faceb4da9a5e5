//! Wordings that change a quote.

use super::{Cue, Phrase, Row, class, explicit, minutes, money, number, percent, text};
use crate::language::meaning::{
    Change, ClassSaid, Doubt, ExtraKind, LineSaid, Meaning, PlaceSaid, QuantitySaid, Span, Unit,
};
use crate::language::pattern::Cap;
use crate::language::rules::count::JOBS_MAX;
use crate::language::words::Words;
use rust_decimal::Decimal;

fn change(change: Change) -> Option<Phrase> {
    Some(Phrase::Change(vec![change]))
}

/// `make the smalls 14`; but `make the mow 40` is minutes or dollars.
fn kind_quantity(value: Decimal, class: Option<ClassSaid>, words: &Words<'_>) -> Option<Phrase> {
    match class {
        Some(class) if words.vocabulary.is_job(class.service.as_deref()) && value > Decimal::from(JOBS_MAX) => {
            let name = class.service.clone().unwrap_or_default();
            let value = value.normalize();
            Some(Phrase::Unsure(Box::new(Doubt::Either {
                words: format!("{name} {value}"),
                choices: vec![
                    format!("make the {name} {value} min"),
                    format!("charge ${value} for the {name}"),
                ],
                span: class.span,
            })))
        }
        class => bare_quantity(value, class),
    }
}

fn bare_quantity(value: Decimal, class: Option<ClassSaid>) -> Option<Phrase> {
    change(Change::Quantity(LineSaid {
        quantity: QuantitySaid::Exact(value),
        span: class.as_ref().map(|c| c.span).unwrap_or_default(),
        class: class.unwrap_or_default(),
        unit: None,
        minutes_each: None,
        price_each: None,
        material_each: None,
        more: false,
    }))
}

/// Money off; a half is no half dollar.
fn money_off(caps: &[&Cap]) -> Option<Decimal> {
    money(caps).filter(|money| *money >= Decimal::ONE || explicit(caps))
}

/// `2 off the smalls`, `10% off the mulch`: less work, or a lower price of that part? Both have other wordings.
fn part_off(caps: &[&Cap], off: &str) -> Option<Phrase> {
    let said = class(caps).unwrap_or_default();
    let name = [said.size.as_deref(), said.service.as_deref()];
    let name = name.into_iter().flatten().collect::<Vec<_>>().join(" ");
    let mut choices = vec![off.to_string()];
    if let (Some(count), false, false) = (money(caps), name.is_empty(), explicit(caps)) {
        choices.insert(0, format!("drop {} {name}", count.normalize()));
    }
    Some(Phrase::Unsure(Box::new(Doubt::Either {
        words: format!("{off} {name}").trim_end().to_string(),
        choices,
        span: said.span,
    })))
}

fn made(caps: &[&Cap]) -> Option<Phrase> {
    let value = money(caps)?;
    if explicit(caps) {
        change(Change::Price(value))
    } else {
        bare_quantity(value, None)
    }
}

pub(super) const ROWS: &[Row] = &[
    (
        "revise: add",
        2,
        "[add plus include] (on | in | also | me | to that)?",
        |_, _| Some(Phrase::Cue(Cue::Add)),
    ),
    ("revise: add", 2, "[throw toss put tack] (in | on)", |_, _| {
        Some(Phrase::Cue(Cue::Add))
    }),
    (
        "revise: drop",
        2,
        "[drop remove delete lose scratch skip forget cancel] (the | those | that)?",
        |_, _| Some(Phrase::Cue(Cue::Drop)),
    ),
    (
        "revise: drop",
        3,
        "[take leave] (off | out) (the | those | that)?",
        |_, _| Some(Phrase::Cue(Cue::Drop)),
    ),
    ("revise: no more", 1, "no (more)? #class", |c, _| {
        change(Change::Drop(LineSaid {
            quantity: QuantitySaid::Unsaid,
            span: class(c)?.span,
            class: class(c)?,
            unit: None,
            minutes_each: None,
            price_each: None,
            material_each: None,
            more: false,
        }))
    }),
    (
        "revise: make that",
        2,
        "[make change switch set bump] (that | it | the | those | this)? (to | up to)?",
        |_, _| Some(Phrase::Cue(Cue::Make)),
    ),
    ("revise: make that", 3, "(that | it) should be", |_, _| {
        Some(Phrase::Cue(Cue::Make))
    }),
    (
        "revise: make that a number",
        4,
        "[make change bump] [that it this] (to | up to)? #money",
        |c, _| made(c),
    ),
    (
        "revise: kind to a number",
        5,
        "([make change switch set bump] (the | those)?)? #class (to | up to | should be | is really | are really) #num",
        |c, w| kind_quantity(number(c)?, class(c), w),
    ),
    ("revise: kind to a number", 4, "make the #class #num", |c, w| {
        kind_quantity(number(c)?, class(c), w)
    }),
    (
        "revise: minutes of a kind",
        8,
        "[make change set bump] (the | those | my)? #class (to | take | at | up to)? #dur #each?",
        |c, _| change(Change::Minutes(class(c)?, minutes(c)?)),
    ),
    (
        "revise: minutes of a kind",
        8,
        "(the | those)? #class should (be | take) #dur #each?",
        |c, _| change(Change::Minutes(class(c)?, minutes(c)?)),
    ),
    (
        "revise: discount",
        5,
        "([knock take give cut shave drop] (them | him | her | it)?)? #pct (off | discount | less) (that | it | of it | for them | the [total price whole])?",
        |c, _| change(Change::DiscountPercent(percent(c)?)),
    ),
    (
        "revise: discount",
        5,
        "[knock take give cut shave drop] (them | him | her)? (off)? #pct",
        |c, _| change(Change::DiscountPercent(percent(c)?)),
    ),
    (
        "revise: discount",
        5,
        "([knock take give cut shave drop]) ((them | him | her | off)? half (off | price) | half off)",
        |_, _| change(Change::DiscountPercent(Decimal::from(50))),
    ),
    ("revise: discount", 5, "half (off | price)", |_, _| {
        change(Change::DiscountPercent(Decimal::from(50)))
    }),
    (
        "revise: discount",
        6,
        "[knock take bring cut mark] (it | that | them | the price | the total) (down | off)? (by)? #pct",
        |c, _| change(Change::DiscountPercent(percent(c)?)),
    ),
    (
        "revise: discount",
        6,
        "[knock take bring cut mark] (it | that | them | the price | the total) (down | off)? by #money",
        |c, _| change(Change::DiscountMoney(money_off(c)?)),
    ),
    ("revise: discount", 5, "- #pct", |c, _| {
        change(Change::DiscountPercent(percent(c)?.abs()))
    }),
    ("revise: discount", 5, "#pct", |c, _| {
        let off = percent(c).filter(|off| off.is_sign_negative())?;
        change(Change::DiscountPercent(off.abs()))
    }),
    (
        "revise: discount",
        5,
        "(off | discount | less | minus) (of)? #pct",
        |c, _| change(Change::DiscountPercent(percent(c)?)),
    ),
    (
        "revise: discount",
        5,
        "([knock take give cut shave drop] (them | him | her | another | off)?)? #money (off | discount) (that | it | of it | the [total price whole])?",
        |c, _| change(Change::DiscountMoney(money_off(c)?)),
    ),
    (
        "revise: discount",
        5,
        "(discount | take off | knock off) (of)? #money",
        |c, _| change(Change::DiscountMoney(money_off(c)?)),
    ),
    (
        "revise: price said",
        6,
        "(call it | do it for | lets (do | say | call it) | just charge | charge (them | him | her)? | flat | price it at | round it to | tell (them | him | her | the client | the customer) | settle on | settle at | go with) #money [even flat total]? (for (the lot | everything | all of it))?",
        |c, _| change(Change::Price(money(c)?)),
    ),
    (
        "revise: price said",
        8,
        "(drop | lower | cut | bring | knock | raise | bump | set | put | change | move | take | make) (the | my | our)? ([total]? price | quote | total | bid) (down | up | back)? (to | at) #money [even flat]?",
        |c, _| change(Change::Price(money(c)?)),
    ),
    (
        "revise: price said",
        8,
        "[make set put] (the | my | our)? ([total]? price | total) #money [even flat]?",
        |c, _| change(Change::Price(money(c)?)),
    ),
    (
        "revise: price of one thing",
        8,
        "([charge bill do make put quote] (them | her | him)?) #money (for | on) (the)? #class",
        |c, w| price_of(c, w),
    ),
    (
        "revise: price said",
        7,
        "(knock | bring | round | lower | cut) (it | that | the price | the total) (down | up | off)? (to | at) #money [even flat]?",
        |c, _| change(Change::Price(money(c)?)),
    ),
    (
        "revise: price said",
        7,
        "([go come] (down | up | back)? (to | with)? | ill do it for | [ill well id wed] (do | charge | take) (it | them | him | her)? (for)? | [charge bill quote] (them | him | her | it) (at)? | make it an even) #money [even flat total]?",
        |c, _| change(Change::Price(money(c)?)),
    ),
    (
        "revise: price said",
        9,
        "(make | call) (it | that | this | them) (a)? #money (even | flat | total | all in | altogether | in all)",
        |c, _| change(Change::Price(money(c)?)),
    ),
    (
        "revise: price said of a place",
        7,
        "(call | make | put) #place (at | to | =)? #money [even flat total]?",
        |c, _| {
            super::whole(Meaning::Revise {
                changes: vec![Change::Price(money(c)?)],
                what_if: false,
                place: Some(super::place(c).filter(|place| place.known)?),
            })
        },
    ),
    (
        "price alone",
        4,
        "(the | my)? ([total]? price | total | quote) (is | should be | will be | =)? #money [even flat total]?",
        |c, _| change(Change::Price(money(c)?)),
    ),
    (
        "revise: price said",
        6,
        "#money [even flat] (for (the lot | everything | all of it))?",
        |c, _| change(Change::Price(money(c)?)),
    ),
    (
        "revise: price said",
        4,
        "#dollars (for (the lot | everything | all of it | the whole thing) | total | all in)",
        |c, _| change(Change::Price(money(c)?)),
    ),
    (
        "revise: price said",
        3,
        "#money (total | all in | altogether | for everything | for all of it | for the lot | for the whole thing)",
        |c, _| change(Change::Price(money(c)?)),
    ),
    (
        "revise: what if",
        3,
        "(what | whats) (would | does | is)? (that | it | this) (be | come to | come out to | run | cost | look like) (with | at)?",
        |_, _| Some(Phrase::Cue(Cue::WhatIf)),
    ),
    (
        "revise: what if a crew",
        6,
        "(what if? | how about) (i | we)? (had | have | use | used | put | send | bring | brought | go | went | did it | do it)? #crew (do it | did it | on it)?",
        |c, _| whatif(vec![Change::Crew(super::crew(c)?)]),
    ),
    (
        "revise: what if",
        3,
        "(what (if | about) | how about | say if | suppose) (i | we | the | it | they)? (do | did | go | went | use | was | were | is | charge | charged | had)?",
        |_, _| Some(Phrase::Cue(Cue::WhatIf)),
    ),
    (
        "revise: what if at",
        4,
        "(what if? | how about) (i | we)? (charge | charged | do | did | go | went)? (at | with | use) #money #perhour?",
        |c, _| whatif(vec![Change::Rate(money(c)?)]),
    ),
    (
        "revise: what if at",
        7,
        "(what if | what about | how about) (i | we)? (the | my | our | set | put | make | made | had)? [rate] (is | was | were | goes to | went to | at | to | of)? #money #perhour?",
        |c, _| whatif(vec![Change::Rate(money(c)?)]),
    ),
    (
        "revise: what if minutes",
        5,
        "(what if | what about | how about | if) (the | my)? #class (take | takes | took | are | is | were | was | run | go) (only | about)? #mins #each?",
        |c, _| whatif(vec![Change::Minutes(class(c)?, minutes(c)?)]),
    ),
    (
        "revise: what if at",
        6,
        "(what if | what about | how about) (its | it was)? #money #perhour",
        |c, _| whatif(vec![Change::Rate(money(c)?)]),
    ),
    (
        "revise: what if minutes",
        5,
        "(what if | what about | how about) they (take | takes | took) (only)? #mins #each?",
        |c, _| whatif(vec![Change::Minutes(ClassSaid::default(), minutes(c)?)]),
    ),
    (
        "revise: what if minutes",
        5,
        "(what if | what about | how about) (it | they) (take | takes | took) #mins #each",
        |c, _| whatif(vec![Change::Minutes(ClassSaid::default(), minutes(c)?)]),
    ),
    (
        "revise: use that",
        5,
        "([use keep apply take] that [one]? | [go run] with that [one]? | lets do that | do that | lock it in | lock that in | that works use it)",
        |_, _| change(Change::UseThat),
    ),
    (
        "revise: bill the extra",
        5,
        "([bill charge add invoice] (them | him | her)? (for)? (the | that | those) (extra | extras | difference | rest))",
        |_, _| change(Change::BillExtra),
    ),
    (
        "revise: place",
        3,
        "(its | thats | it is | that is | this is | that one is) #place",
        |c, _| change(Change::Place(super::place(c)?)),
    ),
    (
        "correction",
        3,
        "(no no? wait | wait no? | no sorry wait | oh wait | oops wait | sorry i meant? | no i meant? | i meant to say | let me correct that | correct that to | that was wrong | i mean | i meant | make that | no make (that | it) | scratch that | sorry | actually | no actually | correction | strike that | forget that | never mind | take that back | hold on (a (sec | second | minute | min))? | hang on (a (sec | second | minute | min))? | no hang on | or rather | nope | no sorry | oops | check that | my bad)",
        |_, _| Some(Phrase::Correct),
    ),
    ("correction", 4, "no", |_, _| Some(Phrase::Correct)),
    (
        "note",
        4,
        "(note | make a note | take a note | remember | jot down) (to self | that | down)? :? #rest",
        |c, w| note(c, w),
    ),
    (
        "note: a code",
        7,
        "(the)? [gate alarm lock door garage lockbox]? [code combo pin passcode] (is | : | = | #)? #num #num? #num? #num? #num? #num?",
        |c, _| {
            let figures = super::numbers(c)
                .into_iter()
                .map(|figure| figure.normalize().to_string());
            let text = format!("code {}", figures.collect::<String>());
            super::whole(Meaning::Note { place: None, text })
        },
    ),
    (
        "note at a place",
        6,
        "(note | make a note | take a note | remember | jot down) #place (: | ,)? #rest",
        |c, w| {
            let led = |place: &PlaceSaid| {
                let before = w.tokens.lower[..place.span.start].split_whitespace().next_back();
                matches!(before, Some("at" | "for" | "on" | "@"))
            };
            let place = super::place(c).filter(|place| place.quote.is_some() || led(place))?;
            super::whole(Meaning::Note {
                place: Some(place),
                text: text(c, w)?,
            })
        },
    ),
    (
        "revise: discount",
        5,
        "(less | minus) #dollars (off | discount)?",
        |c, _| change(Change::DiscountMoney(money_off(c)?)),
    ),
    (
        "revise: price said",
        7,
        "(call | make | lets (call | make | do | say)) (it | that)? an? even #money",
        |c, _| change(Change::Price(money(c)?)),
    ),
    (
        "revise: count said again",
        6,
        "(no | nope | actually | sorry | oops | my bad | i (meant | mean | said) | correction | wait) ,? (its | it is | it was | thats | that is | theyre | they are | there are | theres | that was | i (meant | mean | said) | (it | that)? should (be | have been))? (really | actually)? #num (,? not #num)?",
        |c, _| bare_quantity(number(c)?, None),
    ),
    (
        "revise: count said again",
        6,
        "(its | it is | it was | thats | that is | theyre | they are | there are | theres | (it | that)? should (be | have been)) (really | actually)? #num (,? not #num)?",
        |c, _| bare_quantity(number(c)?, None),
    ),
    (
        "revise: count said again",
        6,
        "#num ,? (actually | sorry | i (mean | meant) | my bad | instead | really | in fact)",
        |c, _| bare_quantity(number(c)?, None),
    ),
    (
        "revise: count said again",
        6,
        "([make change switch bump] (the | that)? #num (to | into) #num | (the | that)? #num should (be | have been) #num | (its | it is | it was)? not #num ,? (its | it is | but | make it | rather)? #num)",
        |c, _| bare_quantity(*super::numbers(c).last()?, None),
    ),
    ("revise: count said again", 5, "#num ,? not #num", |c, _| {
        bare_quantity(number(c)?, None)
    }),
    (
        "revise: count said again",
        6,
        "(no | nope | actually | sorry | oops | my bad | i (meant | mean | said) | correction | its | it is | thats | theyre | it was | (it | that) should be) ,? (its | it is | it was | thats | that is | theyre | they are | there are | theres | i (meant | mean | said) | (it | that)? should be)? (really | actually)? #line (,? not #num)?",
        |c, _| change(Change::Quantity(super::line(c)?.line)),
    ),
    (
        "revise: extra of this quote",
        6,
        "[add put charge include and]? (a | another)? (dump | dumping | dump site | tipping | disposal) (fee | charge)? (of | is | at)? #money (on | for) (this | that) (one | job | quote)?",
        |c, _| change(Change::ExtraMoney(ExtraKind::DumpFee, money(c)?)),
    ),
    (
        "revise: extra of this quote",
        7,
        "(and | plus | add | put in | throw in | charge) #money (for | of)? (a | the)? (dump | dumping | tipping | disposal) (fee | charge | run)?",
        |c, _| change(Change::ExtraMoney(ExtraKind::DumpFee, money(c)?)),
    ),
    (
        "revise: extra of this quote",
        7,
        "(and | plus | add | put in | throw in | charge)? #dollars (for | of)? (a | the)? (dump | dumping | tipping | disposal) (fee | charge)?",
        |c, _| change(Change::ExtraMoney(ExtraKind::DumpFee, money(c)?)),
    ),
    (
        "revise: extra of this quote",
        7,
        "(and | plus | add | put in | allow | figure) (another | an extra)? #mins (for | of | to)? (the | a)? (set -? up | setup | setting up)",
        |c, _| change(Change::ExtraMinutes(ExtraKind::SetUp, minutes(c)?.minutes)),
    ),
    (
        "revise: extra of this quote",
        7,
        "(and | plus | add | put in | allow | figure) (another | an extra)? #mins (for | of | to)? (the | a)? (haul | hauling | haul off | hauling off | haul away)",
        |c, _| change(Change::ExtraMinutes(ExtraKind::Haul, minutes(c)?.minutes)),
    ),
    (
        "revise: extra of this quote",
        7,
        "(and | plus | add | put in | allow | figure) (another | an extra)? #mins (for | of | to)? (the | a)? (drive | driving | drive time | travel)",
        |c, _| change(Change::ExtraMinutes(ExtraKind::Drive, minutes(c)?.minutes)),
    ),
    (
        "revise: place",
        5,
        "(put | mark | file) (it | that | this | this one | that one) (down)? #place",
        |c, _| change(Change::Place(super::place(c)?)),
    ),
    (
        "revise: what if a count",
        6,
        "(what (if | about) | how about | say if | suppose) (its | theres | theyre | (it | there | they | i | we) (was | were | is | are | had | counted)?) (really | only)? #num",
        |c, _| match bare_quantity(number(c)?, None)? {
            Phrase::Change(changes) => whatif(changes),
            _ => None,
        },
    ),
    (
        "revise: rate",
        8,
        "(price | do | quote | run | figure) (it | this | that | them) at #money #perhour",
        |c, _| Some(Phrase::Rate(money(c)?)),
    ),
    (
        "revise: what if a price",
        9,
        "(what if | what about | how about | if) (the | my)? #class (is | are | was | were | cost | costs | goes to | at) #moneyeach #each",
        |c, _| {
            let bulk = matches!(super::unit(c).flatten(), Some(Unit::Yard | Unit::Bag | Unit::Load));
            if bulk || explicit(c) {
                whatif(vec![if bulk {
                    Change::MaterialEach(class(c)?, money(c)?)
                } else {
                    Change::PriceEach(class(c)?, money(c)?)
                }])
            } else {
                None
            }
        },
    ),
    (
        "revise: make that a price each",
        7,
        "[make change] [that it them those] (to)? #dollars #each",
        |c, _| change(Change::PriceEach(ClassSaid::default(), money(c)?)),
    ),
    ("for a price", 2, "for #money [total even flat]?", |c, _| {
        change(Change::Price(money(c)?))
    }),
    (
        "revise: a part discounted",
        8,
        "([knock take give cut])? #pct off (of)? (the | just the)? ([material materials] | #class)",
        |c, _| part_off(c, &format!("{}% off", percent(c)?)),
    ),
    (
        "revise: a part discounted",
        8,
        "([knock take give cut])? #money off (of)? (the | just the | each)? (#class | each)",
        |c, _| part_off(c, &format!("${} off", money(c)?)),
    ),
];

/// `charge 50 for the mow`: the price of that job; of what is counted it could be the price of one or of all.
fn price_of(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let said = class(caps)?;
    let price = money(caps)?;
    if words.vocabulary.is_job(said.service.as_deref()) {
        return change(Change::PriceEach(said, price));
    }
    None
}

/// `note Pell: dog`: a name before a colon is the place.
fn note(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let said = text(caps, words)?;
    let (place, text) = match said.split_once(':') {
        Some((name, rest)) if is_name(name, words) && !rest.trim().is_empty() => (
            Some(PlaceSaid {
                name: name.trim().to_string(),
                known: false,
                rivals: Vec::new(),
                quote: None,
                span: Span::default(),
            }),
            rest.trim().to_string(),
        ),
        _ => (None, said),
    };
    super::whole(Meaning::Note { place, text })
}

/// A place of the account, or capitalised words, four at most.
fn is_name(text: &str, words: &Words<'_>) -> bool {
    let parts: Vec<&str> = text.split_whitespace().collect();
    let lower: Vec<String> = parts.iter().map(|part| part.to_lowercase()).collect();
    let spelled: Vec<&str> = lower.iter().map(String::as_str).collect();
    let known = |hit: &(usize, usize, bool)| hit.0 == spelled.len();
    let capital = |part: &&str| part.starts_with(|c: char| c.is_uppercase() || c.is_ascii_digit());
    !parts.is_empty()
        && parts.len() <= 4
        && (words.vocabulary.places_spelled(&spelled).first().is_some_and(known) || parts.iter().all(capital))
}

fn whatif(changes: Vec<Change>) -> Option<Phrase> {
    super::whole(crate::language::meaning::Meaning::Revise {
        changes,
        what_if: true,
        place: None,
    })
}
