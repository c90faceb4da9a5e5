//! Wordings of the working day and what follows it: arriving, breaks, finishing, won and lost, planning, payment.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::{Cue, Phrase, Row, class, minutes, money, text, timed, whole};
use crate::language::meaning::{Meaning, StopwatchSaid, WhenSaid};
use crate::language::pattern::Cap;
use crate::language::words::Words;

fn cue(cue: Cue) -> Option<Phrase> {
    Some(Phrase::Cue(cue))
}

fn readings(caps: &[&Cap], single_ok: bool) -> Option<Phrase> {
    let class = class(caps)?;
    let values: Vec<_> = caps
        .iter()
        .filter_map(|cap| match cap {
            Cap::Mins(said, ..) => Some(said.minutes),
            _ => None,
        })
        .collect();
    (single_ok || values.len() > 1)
        .then(|| {
            whole(Meaning::Time(vec![StopwatchSaid {
                class,
                readings: values,
            }]))
        })
        .flatten()
}

/// `large 14 and a half`: a broken number cannot be a count of plants, so it is a reading.
fn broken_reading(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let said = minutes(caps)?;
    let broken = !timed(caps) && said.range.is_none() && !said.minutes.is_integer();
    (broken || (timed(caps) && words.clocked()))
        .then(|| readings(caps, true))
        .flatten()
}

fn paid(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    // "paid half" is no half dollar: it is asked about.
    if money(caps).is_some_and(|sum| sum < Decimal::ONE) {
        return None;
    }
    cue(Cue::Paid(money(caps), text(caps, words).map(|t| t.to_lowercase())))
}

/// `move it to 10`: an hour of the day planned before; from 7 to 11 it is morning, else afternoon.
fn moved_to(caps: &[&Cap]) -> Option<Phrase> {
    let hour = super::number(caps)?.to_u16().filter(|hour| (1..=12).contains(hour))?;
    let hour = if hour < 7 { hour + 12 } else { hour };
    whole(Meaning::Plan {
        place: None,
        when: WhenSaid {
            day: None,
            minute_of_day: Some(hour * 60),
        },
        moved: true,
    })
}

pub(super) const ROWS: &[Row] = &[
    (
        "finish: done",
        4,
        "(all done | done | were done | im done | finished | we finished | all finished | finished up | wrapped up | wrapped | complete | completed | thats done | thats a wrap | job done | done here | done with | we are done | i am done | finish | its done | that one is done)  (in | with | it in | up)?",
        |_, _| cue(Cue::Done),
    ),
    (
        "finish: done",
        5,
        "(knocked | banged | got | finished | polished | cranked) (it | that | that one | them | this one) (out | done | off | up | knocked out) (in | with)?",
        |_, _| cue(Cue::Done),
    ),
    (
        "finish: done",
        5,
        "(out of there | out of here | we were there | i was there | was there | were there) (in | for)",
        |_, _| cue(Cue::Done),
    ),
    (
        "finish: took",
        3,
        "(it | that | job | the job | that one | this one | whole thing | the whole thing | everything)? (took | ended up taking) (us | me)?",
        |_, _| cue(Cue::Took),
    ),
    (
        "finish: did",
        3,
        "(and)? (we | i)? (did | actually did | ended up doing | really did | turned out to be | it was really | ended up with) (only)?",
        |_, _| cue(Cue::Did),
    ),
    (
        "finish: each of the crew",
        0,
        "(each | apiece | a man | per man | a piece | each of us)",
        |_, _| cue(Cue::EachPerson),
    ),
    ("finish: minutes in all", 1, "[in]? #mins", |c, _| {
        if timed(c) {
            Some(Phrase::Time {
                said: minutes(c)?,
                man: super::man(c),
            })
        } else {
            None
        }
    }),
    (
        "here",
        4,
        "(here | im here | were here | we are here | i am here | on site | onsite | just got here | got here | got to | arrived | just arrived | got there | i got there | we got there | i got here | we got here | i arrived | we arrived | i was there | we were there | started | i started | we started | got started | been here since | here since | clocked in | starting | starting now | start now | clock in | clocking in | on the clock | pulling up | pulled up | at it) (now)?",
        |_, _| cue(Cue::Here),
    ),
    (
        "here",
        4,
        "(were | im | we are | i am) (over | here | out | down | up)? #place (now)?",
        |c, _| super::place(c).map(Phrase::HereAt),
    ),
    (
        "pause",
        5,
        "(lunch | lunch break | break | pause | taking a break | take five | taking lunch | stopping for lunch | going to lunch | off to lunch | on break | quick break | hold the clock | water break | stopped | we stopped | i stopped | stopped for lunch | went to lunch | took lunch | calling it a day | knocking off | back tomorrow | finishing tomorrow | done for today) #when?",
        |c, _| whole(Meaning::Pause { at: super::when(c) }),
    ),
    (
        "resume",
        5,
        "(back | were back | im back | back at it | back to it | back to work | back from lunch | resume | going again | back on it | lunch is over | lunch over | we were back | i was back | got back | we got back | i got back | started again | started back up | going again) #when?",
        |c, _| whole(Meaning::Resume { at: super::when(c) }),
    ),
    (
        "won",
        5,
        "(won | won it | we won | we got it | got it | got the job | we got the job | they said yes | he said yes | she said yes | client said yes | said yes | accepted | they accepted | approved | they approved | sold | its a go | they took it | they want it | they went for it | job is ours | its ours | they are in | theyre in | they went with (it | us | me | that) | (they | he | she) took (it | the bid | the quote | the job) | (they | he | she) (agreed | signed | booked it | okayed it | gave the go ahead | gave the green light | said go ahead | said go for it | is in | are in | wants it) | got the go ahead | got the green light | green light | its a deal | deal | we have a deal | go ahead came | landed it | nailed it | they bit | signed | its a yes | that is a yes | thats a yes)",
        |_, _| cue(Cue::Won(None)),
    ),
    (
        "won at a price",
        7,
        "(won | won it | we won | we got it | got it | got the job | they said yes | he said yes | she said yes | said yes | accepted | they accepted | approved | sold | they took it | they went for it | its a go | they want it | yes | yep | yeah) (at | for) #money",
        |c, _| cue(Cue::Won(money(c))),
    ),
    (
        "won at a price",
        7,
        "(they | he | she | client | the client | customer | the customer)? (agreed | agreed to | agree to | is ok with | are ok with | is good with | are good with | is fine with | are fine with | took it at | took it for | ok d | okayed | settled on | settled at | came up to | went up to) #money",
        |c, _| cue(Cue::Won(money(c))),
    ),
    (
        "won at a price",
        7,
        "(won | won it | we won | we got it | got it | got the job | they said yes | he said yes | she said yes | said yes | accepted | they accepted | approved | sold | they took it | they went for it | they went with it | (they | he | she) (agreed | okayed | signed | went) | yes | yep | yeah | deal | its a deal | they are in | theyre in | (they | he | she) (agreed | settled)) (but)? (only)? (at | for | to | on) #money",
        |c, _| cue(Cue::Won(money(c))),
    ),
    (
        "won",
        6,
        "(is | its | thats | that is | they are | hes | shes) (a (go | yes | deal | win) | ours | a done deal | on board) (for)?",
        |_, _| cue(Cue::Won(None)),
    ),
    (
        "lost",
        5,
        "(they | he | she | theyre | hes | shes) (are | is)? (going to | gonna | decided to | going with | gonna go with | going to go with)? (pass | passing | pass on it | passing on it | someone else | somebody else | another (guy | crew | company) | on it | this time)",
        |_, _| cue(Cue::Lost(None)),
    ),
    (
        "lost",
        5,
        "(lost | lost it | we lost | they said no | he said no | she said no | client said no | said no | they passed | she passed | he passed | passed on it | declined | they declined | no go | didnt get it | did not get it | went with someone else | they went with someone else | (they | he | she)? (went with | hired | picked | chose) (someone | somebody | another) (else | guy | crew | company | outfit)? | (they | he | she)? (want | wants | wanted) nothing | turned it down | turned us down | they turned it down)",
        |_, _| cue(Cue::Lost(None)),
    ),
    (
        "lost with a reason",
        6,
        "(lost | lost it | we lost | they said no | he said no | she said no | said no | they passed | passed on it | declined | they declined | no go | didnt get it | turned it down | they turned it down) [,]? (, | because | cause | - | : | too)? #rest",
        |c, w| {
            let reason = text(c, w)?;
            cue(Cue::Lost(Some(reason)))
        },
    ),
    (
        "plan: moved",
        4,
        "(push | move | reschedule | bump | shift | slide) (it | that | the job)? (back)?",
        |_, _| cue(Cue::Push),
    ),
    (
        "plan",
        4,
        "(plan | schedule | book | put | pencil | pencil in | plan on | set up) (it | that | them)? (in | down)?",
        |_, _| cue(Cue::Plan),
    ),
    (
        "plan: do it then",
        5,
        "(do (it | that | them) | make (it | that) | change (it | that) to | switch (it | that) to | set (it | that) (for | to) | put (it | that | them) down (for)? | we can do (it | that) | well do (it | that) | can we do (it | that)) #when",
        |c, _| {
            whole(Meaning::Plan {
                place: None,
                when: super::when(c).filter(|when| when.day.is_some())?,
                moved: true,
            })
        },
    ),
    (
        "lost",
        6,
        "(they | he | she) (decided to | chose to | wanted to | are gonna | are going to | gonna)? (go | going | went) with (someone | somebody) else",
        |_, _| cue(Cue::Lost(None)),
    ),
    (
        "here",
        5,
        "(we | i) (pulled up | are pulling up | showed up | rolled up | made it | pulled in) (to | at)?",
        |_, _| cue(Cue::Here),
    ),
    (
        "pause",
        6,
        "(we | were | im | i)? (gonna | going to | are gonna | are going to)? ([take taking grab grabbing] (a | our | my | some)? [lunch break] | breaking for lunch | stopping for a break) #when?",
        |c, _| whole(Meaning::Pause { at: super::when(c) }),
    ),
    (
        "plan",
        9,
        "(put | get) (it | that | this | them)? (down)? on (the | my)? [calendar schedule books] (for)?",
        |_, _| cue(Cue::Plan),
    ),
    (
        "plan: not then",
        6,
        "(cant | cannot | can not | wont | will not) (do | make | be there)? (it)? #when",
        |_, _| Some(Phrase::Aside),
    ),
    (
        "plan: moved to a time",
        7,
        "(push | move | shift | slide | reschedule) (it | that | them | the job)? (back | up)? (to | till | until) #num (oclock)?",
        |c, _| moved_to(c),
    ),
    (
        "paid",
        9,
        "(they | he | she)? (paid | payed) (me | us | up)? (with | by | in)? (a | the)? <method> (for | of) #money",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        6,
        "(got | received | collected) #money (in | by | via | with)? <method>",
        |c, w| paid(c, w),
    ),
    (
        "paid: by phone",
        5,
        "[venmo zelle paypal cash cashapp] #money",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        6,
        "(a | the)? (payment | money | funds) (came in | came | arrived | is in | received) (of | for | today)? #money",
        |c, w| paid(c, w),
    ),
    (
        "paid: from a place",
        8,
        "(got | received | collected) (a)? #money (by | in | with)? <method>? from #place",
        |c, w| {
            whole(Meaning::Paid {
                place: super::place(c),
                amount: money(c).filter(|sum| *sum >= Decimal::ONE),
                method: text(c, w).map(|method| method.to_lowercase()),
            })
        },
    ),
    ("lost: a no", 7, "(its a | thats a)? no (on | from) #place", |c, _| {
        whole(Meaning::Lost {
            place: Some(super::place(c)?),
            reason: None,
            price: None,
        })
    }),
    (
        "lost",
        6,
        "(they | he | she | client | the client) (decided (not to (do it | go ahead)? | against it) | changed (their | his | her) minds? | backed out | bailed | cancelled | canceled | pulled out | is out | are out | dont want it | doesnt want it | did it (themselves | himself | herself))",
        |_, _| cue(Cue::Lost(None)),
    ),
    (
        "time: readings by the watch",
        6,
        "#class : #reading ,? (and | then)? #reading (,? (and | then)? #reading)? (,? (and | then)? #reading)? (,? (and | then)? #reading)?",
        |c, w| w.clocked().then(|| readings(c, false)).flatten(),
    ),
    (
        "paid: a sum and how",
        4,
        "#money ,? (in | by | via | with)? <method>",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        6,
        "(they | he | she)? (paid | paid up | paid me | paid us | got paid | payment | paid in full | payed) (of | in)? #money? (by | with | in | via | a | , | on)? <method>?",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        6,
        "(gave | handed | sent | slipped) (me | us) (a)? #money (in | by | with | via | a)? <method>?",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        7,
        "(got | received | picked up | collected | here is | she left | he left | they left | left) (a | the | my | their | her | his)? <method> ,? (for | of | it was | was | in the amount of)? #money",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        6,
        "(got | received | picked up | collected) (the | my | their | her | his | a) <method> (today | in the mail | in hand | already)?",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        6,
        "(they | he | she) (just)? <method> (me | us)? #money",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        6,
        "#dollars (in | by | via | with)? <method> (came in | in hand | received | got it)?",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        5,
        "(a | the)? <method> (for | of) #money (came (in | today)? | arrived | cleared)?",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        5,
        "<method> (came in | came | cleared | received | in hand | for | of) (for | of)? #money",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        5,
        "(they | he | she) (settled up | squared up | paid me? up | paid the bill | paid in full | paid it off | took care of (it | the bill))  (by | with | in | via | ,)? <method>?",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        4,
        "(received | collected | got | took in) (a)? #dollars (by | with | in | via | a | ,)? <method>",
        |c, w| paid(c, w),
    ),
    (
        "paid",
        4,
        "(received | collected | got) (a)? <method> (for | of)? #money",
        |c, w| paid(c, w),
    ),
    (
        "time: readings",
        6,
        "#class (took | was | were | timed at | ran | times | readings | clocked) :? #reading ,? (and | then)? #reading (,? (and | then)? #reading)? (,? (and | then)? #reading)? (,? (and | then)? #reading)? (,? (and | then)? #reading)? (,? (and | then)? #reading)? (,? (and | then)? #reading)?",
        |c, _| readings(c, false),
    ),
    (
        "time: one reading",
        6,
        "(that | the | one | a | this | last | first | next)? #class (took | was timed at | timed at | clocked at | ran | was) (me | us)? (about)? #reading",
        |c, _| readings(c, true),
    ),
    (
        "time: one reading",
        5,
        "(timed) (one | a | the | that)? #class (at | :)? #reading",
        |c, _| readings(c, true),
    ),
    (
        "time: readings",
        7,
        "(stopwatch | watch | timed) :? #class :? #reading (,? and? #reading)? (,? and? #reading)? (,? and? #reading)? (,? and? #reading)?",
        |c, _| readings(c, true),
    ),
    ("time: broken number", 4, "#class #reading", |c, w| broken_reading(c, w)),
];
