//! Wordings that look something up, take back, or ask what can be said.

use rust_decimal::prelude::ToPrimitive;

use super::{Phrase, Row, class, number, place, when, whole};
use crate::language::meaning::{AnswerSaid, DaySaid, Doubt, Look, Meaning};
use crate::language::pattern::Cap;
use crate::language::rules::day;
use crate::language::words::Words;

fn look(look: Look) -> Option<Phrase> {
    whole(Meaning::Look(look))
}

fn answer(said: AnswerSaid) -> Option<Phrase> {
    whole(Meaning::Answer(said))
}

fn undo(caps: &[&Cap]) -> Option<Phrase> {
    let steps = number(caps).and_then(|n| n.to_u32()).filter(|n| *n > 0).unwrap_or(1);
    whole(Meaning::Undo { steps })
}

/// The stretch of the calendar that the last words name.
fn period(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let (from, to) = caps.iter().find_map(|cap| match cap {
        Cap::Text(from, to) if to > from => Some((*from, *to)),
        _ => None,
    })?;
    let (said, drawn) = super::season::stretch_in(words, from, to)?;
    look(if drawn { Look::Picture(said) } else { Look::Period(said) })
}

fn day_list(caps: &[&Cap]) -> Option<Phrase> {
    let said = when(caps)?;
    match (said.day, said.minute_of_day) {
        (Some(day), None) => look(Look::Day(day)),
        _ => None,
    }
}

pub(super) const ROWS: &[Row] = &[
    (
        "look: times",
        5,
        "(my | our | the)? (times | minutes list | show times | show me times | show me the times | what are my times)",
        |_, _| look(Look::Times(None)),
    ),
    (
        "look: times of a kind",
        6,
        "(my | our | the)? (times | show times | show me times | minutes) (for | on | of)? #class",
        |c, _| look(Look::Times(class(c))),
    ),
    (
        "look: times of a kind",
        6,
        "how long (do | does | did) (the | my)? #class (take | run) (us | me)?",
        |c, _| look(Look::Times(class(c))),
    ),
    (
        "look: last time",
        7,
        "(when was | what was | show me | how was)? (the)? (last time | last job) (we were | i was)? #place?",
        |c, _| look(Look::LastTime(place(c))),
    ),
    (
        "look: last time",
        7,
        "(what did [i we] make (an hour)? | how did [i we] do | what rate did [i we] make | how did (that | it) (go | come out)) (on (that | it | this | that one | this one))? #place?",
        |c, _| look(Look::LastTime(place(c))),
    ),
    (
        "look: a period",
        7,
        "(how was | how is | hows | hows it going | (how did | howd) ([i we] (do | make out))? | how were | show me | report for | report | (what did | how much did) [i we] make) #rest",
        period,
    ),
    (
        "look: a period",
        8,
        "(what did (we | i) (do | get done | make | earn | bring in | take in) | what have (we | i) (done | made) | how (did | have) (we | i) (do | done) | how are (we | i) doing | how much did (we | i) (make | earn | bring in | take in | do) | how much have (we | i) (made | done) | how much (money)? came in | what came in | how many jobs did (we | i) do | what was done | revenue | income | earnings | totals | the numbers | my numbers | numbers | recap | sum up) (so far)? (, | :)? #rest",
        period,
    ),
    (
        "look: photos",
        8,
        "(show | show me | see | send | send me | get | what | any)? (the | all | my)? (photos | photo | pictures | pics | images | files) (do we have | are there)? (kept)? (of | from | for)? #place",
        |c, _| look(Look::Photos(Some(place(c)?))),
    ),
    (
        "look: photos",
        7,
        "(show | show me | see | send | send me)? (the | all | my)? (photos | pictures | pics) (again | here)?",
        |_, _| look(Look::Photos(None)),
    ),
    (
        "look: a period",
        7,
        "(this | last | next) (week | month | season | year)",
        |_, w| day::period(w, 0).and_then(|(p, _)| look(Look::Period(p))),
    ),
    (
        "look: which work pays",
        7,
        "(which | what) (work | jobs | kind | kinds | service | services) (pays | pay | make | makes | is worth it) (best | most | the most | the best | money | more | off)?",
        |_, _| look(Look::WhatPays),
    ),
    (
        "look: who is due",
        7,
        "(who | whos | who is | anyone | anybody) (is)? (due | coming due | up next) (again | now | this season)?",
        |_, _| look(Look::Due(None)),
    ),
    (
        "look: who is due in a time",
        8,
        "(who | whos | who is | anyone | anybody | which places | places) (are | is)? (due | coming due | up | up next | coming up) (again)? (, | :)? #rest",
        |c, w| look(Look::Due(Some(super::season::stretch_of(c, w)?))),
    ),
    (
        "look: owed",
        6,
        "(owed | (who | what | how much) (do | does)? (people | everybody | everyone | they | clients | customers) (still)? owe (me | us)? | who still owes (me | us)? (money)? | who owes (me | us)? (money)? | what am i owed | how much am i owed | how much (is | are) (still)? owed (to me)? | whats owed | unpaid | who hasnt paid | who has not paid | who owes | open amounts | unpaid jobs | outstanding)",
        |_, _| look(Look::Owed),
    ),
    (
        "look: open quotes",
        7,
        "(show | list | my | the | any | what)? (open quotes | pending quotes | quotes still open | whats (still)? open | what is (still)? open | quotes out | what quotes are (still)? (open | out))",
        |_, _| look(Look::OpenQuotes),
    ),
    (
        "look: plot",
        6,
        "(plot | chart | graph | draw) (the | my | of)? #class",
        |c, _| look(Look::Plot(class(c)?)),
    ),
    (
        "look: why",
        6,
        "(why | show the sum | show me the sum | show your work | how did you get that | whats the math | explain | explain that | how come | break it down | show the math)",
        |_, _| look(Look::Why),
    ),
    (
        "look: price list",
        6,
        "(price list | prices | my prices | settings | show settings | show my settings | my settings | what are my prices | show me my prices | show prices | my rate | whats my rate | what is my rate)",
        |_, _| look(Look::PriceList),
    ),
    (
        "look: prices of a kind",
        7,
        "(price list | prices | my prices | show prices) (for | of | on)? #class",
        |c, _| look(Look::PricesOf(class(c)?)),
    ),
    (
        "look: costs",
        6,
        "(costs | my costs | cost build -? up | show costs | whats my margin | what margin does my rate leave | what margin does that leave me | what margin do i make | what margin am i at | target rate | what should my rate be | whats my target rate)",
        |_, _| look(Look::Costs),
    ),
    (
        "look: a day",
        3,
        "(whats | what is | whats on | what do i have | what have i got | what do we have | schedule | jobs | list)? (on | for)? #when",
        |c, _| day_list(c),
    ),
    (
        "look: what is left",
        8,
        "(whats | what is | whats still | what is still | what do we (still)? have | what do i (still)? have | what have (i | we) (still)? got | who is | whos | anything | jobs | stops | how many (jobs | stops)? (are)?) (still)? left (to do | to go)?",
        |_, _| look(Look::Left(DaySaid::InDays(0))),
    ),
    (
        "look: what is left of a day",
        16,
        "(whats | what is | whats still | what is still | what do we (still)? have | what do i (still)? have | what have (i | we) (still)? got | who is | whos | anything | jobs | stops | how many (jobs | stops)? (are)?) (still)? left (to do | to go)? (for | on)? #when",
        |c, _| {
            let said = when(c).filter(|said| said.minute_of_day.is_none())?;
            look(Look::Left(said.day?))
        },
    ),
    (
        "look: the quote",
        6,
        "(show | show me | whats | see | read me | repeat | resend) (the | that | my)? (quote | price | total) (again)? #place?",
        |c, _| look(Look::ShowQuote(place(c))),
    ),
    (
        "look: send as words",
        8,
        "(send | share | forward | give me | text | show me) (it | that | the quote | the price | the client text | the words)? (to (them | the client | him | her | the customer))? (as | in) (a)? (text | plain text | words | text message) #place?",
        |c, _| {
            look(Look::Send {
                place: place(c),
                as_text: true,
            })
        },
    ),
    (
        "look: send as words",
        7,
        "(plain text | client text | text version | text for the client | text for the customer) #place?",
        |c, _| {
            look(Look::Send {
                place: place(c),
                as_text: true,
            })
        },
    ),
    (
        "look: send",
        7,
        "(send | share | forward | email | text) (it | that | this | the quote | that quote | my quote | the price | the link | a link | quote) (over | out | off)? (to (them | the client | him | her | the customer))? (please)? #place?",
        |c, _| {
            look(Look::Send {
                place: place(c),
                as_text: false,
            })
        },
    ),
    (
        "look: send",
        7,
        "(client link | quote link | link for the client | link for the customer | a link for the client | make a link | client page | customer link | get the link) #place?",
        |c, _| {
            look(Look::Send {
                place: place(c),
                as_text: false,
            })
        },
    ),
    (
        "look: take the link back",
        8,
        "(take back | pull back | pull | revoke | kill | close | shut | take down | withdraw | turn off) (the | that | my)? (link | client link | quote link | client page) #place?",
        |c, _| look(Look::Unsend(place(c))),
    ),
    (
        "look: take the link back",
        8,
        "(take (the | that) (link | page) (back | down | away) | unsend (it | that | the quote)? | stop sharing (it | that | the quote)?) #place?",
        |c, _| look(Look::Unsend(place(c))),
    ),
    (
        "look: a way in",
        7,
        "(a | my | give me a | send me a | i need a)? (sign -? in | login | log -? in) (code | link | another phone | a phone | on another phone | on my other phone | on my phone | for another phone | on a phone | the page)?",
        |_, _| look(Look::SignIn),
    ),
    (
        "undo",
        6,
        "(oops | wait | no no? no? | sorry | shoot)? (undo | undo that | undo it | undo last | undo the last one | scratch that | take that back | take it back | never mind that last one | undo that last one | forget that | scratch (that | the) whole (thing | quote) | oops undo | reverse that)",
        |c, _| undo(c),
    ),
    (
        "undo",
        7,
        "(undo | take back | scratch | reverse) (the)? last #num (things | steps | ones | messages)?",
        |c, _| undo(c),
    ),
    (
        "undo: a quote by number",
        8,
        "(undo | take back | scratch | reverse | delete | cancel | remove) #place",
        |c, _| {
            let place = super::place(c).filter(|place| place.quote.is_some())?;
            Some(Phrase::Unsure(Box::new(Doubt::Either {
                words: format!("undo {}", place.name),
                choices: vec![format!("lost {}", place.name), "undo".to_string()],
                span: place.span,
            })))
        },
    ),
    ("undo", 7, "undo #num (things | steps | ones | messages)?", |c, _| {
        undo(c)
    }),
    (
        "menu",
        6,
        "(menu | commands | (help me out)? (show me)? what (all)? (can you do | you can do) | what can you do | what can i say | what do you do | how do i use this | how does this work | what now | options)",
        |_, _| whole(Meaning::Menu),
    ),
    (
        "answer: yes",
        2,
        "(yes | yep | yup | yea | sure | correct | ok | okay | y | right | please do | do it | yes please | thats right | affirmative)",
        |_, _| answer(AnswerSaid::Yes),
    ),
    (
        "answer: no",
        2,
        "(no | nope | nah | n | no thanks | not that | neither | none | none of those)",
        |_, _| answer(AnswerSaid::No),
    ),
    (
        "answer: a choice",
        3,
        "(the | option | number | choice | no | # | pick | take | go with)? (number)? #num (please | one)?",
        |c, _| answer(AnswerSaid::Number(number(c)?)),
    ),
    (
        "answer: a choice",
        3,
        "(the)? <ordinal> (one | option | choice)?",
        |c, w| {
            let at = c.iter().find_map(|cap| match cap {
                Cap::Text(from, _) => Some(*from),
                _ => None,
            })?;
            let value = w.value(at, crate::language::lexicon::Class::ORDINAL)?;
            answer(AnswerSaid::Number(value.into()))
        },
    ),
    (
        "answer: all",
        3,
        "(both | all | all of them | everything | each of them | every one)",
        |_, _| answer(AnswerSaid::Word("all".to_string())),
    ),
    ("answer: the last", 3, "(the)? last (one)?", |_, _| {
        answer(AnswerSaid::Word("last".to_string()))
    }),
    ("answer: dollars", 3, "[dollars dollar bucks money]", |_, _| {
        answer(AnswerSaid::Word("dollars".to_string()))
    }),
    ("answer: minutes", 3, "[minutes minute min mins]", |_, _| {
        answer(AnswerSaid::Word("minutes".to_string()))
    }),
];
