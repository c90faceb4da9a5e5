//! Wordings of counts, minutes, crews, places: what a quote is made of.

use rust_decimal::Decimal;

use super::{Phrase, Row, class, crew, explicit, line, man, minutes, money, number, place, timed, unit, unsure, when};
use crate::language::pattern::Cap;

fn minutes_each(caps: &[&Cap], each: bool) -> Option<Phrase> {
    Some(Phrase::Minutes {
        class: class(caps),
        said: minutes(caps)?,
        each,
        unit: unit(caps).flatten(),
    })
}

fn minutes_timed(caps: &[&Cap], each: bool) -> Option<Phrase> {
    if timed(caps) { minutes_each(caps, each) } else { None }
}

/// A rate; half a dollar an hour is half an hour.
fn rate(caps: &[&Cap]) -> Option<Phrase> {
    money(caps).filter(|rate| *rate >= Decimal::from(5)).map(Phrase::Rate)
}

fn price_each(caps: &[&Cap], dollars: bool) -> Option<Phrase> {
    let value = money(caps).or_else(|| number(caps))?;
    Some(Phrase::PriceEach {
        class: class(caps),
        value,
        dollars: dollars || explicit(caps),
        unit: unit(caps).flatten(),
    })
}

pub(super) const ROWS: &[Row] = &[
    ("count", 2, "#line", |c, _| line(c).map(Phrase::Line)),
    ("kind", 0, "#class", |c, _| class(c).map(Phrase::Class)),
    ("crew", 3, "#crew", |c, _| crew(c).map(|n| Phrase::Crew(n, false))),
    ("place", 2, "#place", |c, _| place(c).map(Phrase::Place)),
    ("day", 1, "#when", |c, _| when(c).map(Phrase::When)),
    (
        "minutes each",
        4,
        "[at @ is takes take in figure]? #dur #each",
        |c, _| minutes_each(c, true),
    ),
    (
        "minutes each",
        5,
        "[at @ is takes take figure]? #dur #each? [on for with] #class",
        |c, _| minutes_each(c, true),
    ),
    ("minutes each", 4, "[at @ takes take] #dur", |c, _| {
        minutes_timed(c, false)
    }),
    (
        "minutes each of a kind",
        1,
        "#class ,? [at @ is are takes take taking run runs need needs : = - ,]? #dur #each?",
        |c, _| minutes_each(c, unit(c).is_some()),
    ),
    ("minutes each of a kind", 1, "#class ,? : #dur #each?", |c, _| {
        minutes_each(c, unit(c).is_some())
    }),
    ("minutes each of a kind", 1, "#class = #dur #each?", |c, _| {
        minutes_each(c, unit(c).is_some())
    }),
    ("minutes each of a kind", 1, "#class - #dur #each?", |c, _| {
        minutes_each(c, unit(c).is_some())
    }),
    ("minutes each of a kind", 1, "#class , #dur #each?", |c, _| {
        minutes_each(c, unit(c).is_some())
    }),
    (
        "minutes each of a kind",
        2,
        "#class (now)? [takes take taking] (us | me)? (now)? #mins #each?",
        |c, _| minutes_each(c, true),
    ),
    (
        "minutes each of a kind",
        2,
        "[do does] #class in #dur #each?",
        |c, _| minutes_each(c, true),
    ),
    (
        "minutes each of a kind",
        5,
        "(it)? [takes take] (me | us | about)? #dur (to (do | trim | prune | cut) | for | per) (a | an | one | each) #class",
        |c, _| minutes_each(c, true),
    ),
    (
        "time for the work",
        1,
        "[in takes take took]? (us | me)? #dur [total altogether]?",
        |c, _| {
            Some(Phrase::Time {
                said: minutes(c)?,
                man: man(c),
            })
        },
    ),
    (
        "time for all of it",
        6,
        "(should | will | would | might | gonna | going to | ought to) (only | probably | just)? (take | be) (us | me)? #dur [total altogether]?",
        |c, _| {
            Some(Phrase::Time {
                said: minutes(c)?,
                man: man(c),
            })
        },
    ),
    ("time for the work", 1, "( #dur )", |c, _| {
        Some(Phrase::Time {
            said: minutes(c)?,
            man: man(c),
        })
    }),
    ("price each", 4, "[at @ for]? #moneyeach #each", |c, _| {
        price_each(c, false)
    }),
    (
        "price each",
        5,
        "([charge charging bill sell get quote] (them | him | her | it)? | do (it | them) (at | for)) #moneyeach #each",
        |c, _| price_each(c, true),
    ),
    (
        "on this quote",
        4,
        "(on | for) this (one | job | quote | yard | house | place)",
        |_, _| Some(Phrase::Cue(super::Cue::ThisOne)),
    ),
    ("price each", 4, "[at @ for]? #dollars #each", |c, _| {
        price_each(c, true)
    }),
    (
        "price each of a kind",
        2,
        "#class [at @ for is are : =]? #dollars #each",
        |c, _| price_each(c, true),
    ),
    (
        "price each of a kind",
        1,
        "#class [at @ for]? #moneyeach #each",
        |c, _| price_each(c, false),
    ),
    (
        "rate of this quote",
        4,
        "[at @ use using for with]? #money #perhour",
        |c, _| rate(c),
    ),
    (
        "rate of this quote",
        5,
        "[at @ use using with] (a | the)? [rate] of? #money #perhour?",
        |c, _| rate(c),
    ),
    (
        "bound of a figure",
        2,
        "(at (least | most) | no (more | less | fewer) than | not more than | a minimum of | a good)",
        |_, _| Some(Phrase::Aside),
    ),
    (
        "figure left open",
        3,
        "(more than | fewer than | upwards of | north of)",
        |_, _| unsure("more or fewer than that"),
    ),
    ("money", 0, "#dollars", |c, _| Some(Phrase::Money(money(c)?))),
    (
        "asks for a price",
        6,
        "(what | whats | how much) (would | will | does | do) (it | that | you | we | i)? (run | cost | charge | be | take) (me | us | them | her | him)? to (do | cut | trim | prune | get)",
        |_, _| Some(Phrase::Lead),
    ),
    // What is done is the counting, and no job.
    (
        "asks for a price",
        6,
        "(im | i am | were | we are | all)? (done | finished | through) (counting | looking | measuring | walking (it | around | the yard)?)",
        |_, _| Some(Phrase::Lead),
    ),
    (
        "asks for a price",
        2,
        "put (me | us | them | her | him) down for",
        |_, _| Some(Phrase::Lead),
    ),
    (
        "asks for a price",
        2,
        "(how much | how many) [for to on would is are]? (it | that)? [cost be]?",
        |_, _| Some(Phrase::Lead),
    ),
    (
        "asks for a price",
        2,
        "(whats | what is | what s) the [price cost damage]? (for | on | of)?",
        |_, _| Some(Phrase::Lead),
    ),
    (
        "asks for a price",
        2,
        "(what | how much) (would | will | do | does)",
        |_, _| Some(Phrase::Lead),
    ),
    (
        "asks for a price",
        2,
        "(run | cost | come to) (me | us | them | her | him)?",
        |_, _| Some(Phrase::Lead),
    ),
    (
        "asks for a price",
        2,
        "what would [i we] [charge get] (for | on)?",
        |_, _| Some(Phrase::Lead),
    ),
    (
        "asks for a price",
        2,
        "(give me | i need | need | gimme | can i get | get me) (a | the)? [price quote number bid estimate] (for | on | of)?",
        |_, _| Some(Phrase::Lead),
    ),
    (
        "asks for a price",
        2,
        "[price quote bid estimate pricing quoting] (for | on | of | out | up | this | me | a | the | it)?",
        |_, _| Some(Phrase::Lead),
    ),
    (
        "kind: the lawn mowed",
        3,
        "(the | her | his | their | my)? [grass lawn yard] #class",
        |c, w| {
            class(c)
                .filter(|class| class.size.is_none() && w.vocabulary.is_job(class.service.as_deref()))
                .map(Phrase::Class)
        },
    ),
    (
        "kind: mow the lawn",
        3,
        "#class (the | her | his | their | my)? [grass lawn]",
        |c, w| {
            class(c)
                .filter(|class| class.size.is_none() && w.vocabulary.is_job(class.service.as_deref()))
                .map(Phrase::Class)
        },
    ),
    ("new quote", 3, "new [quote job bid yard one] [at for :]?", |_, _| {
        Some(Phrase::Cue(super::Cue::New))
    }),
];
