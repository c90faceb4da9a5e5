//! Wordings of the season: people who come and go, breaks that were, what is settled, asked again or put into a file.

use rust_decimal::prelude::ToPrimitive;

use super::{Cue, Phrase, Row, Topic, minutes, number, text, whole};
use crate::language::meaning::{
    ClockSaid, FileOf, FileSaid, Look, Meaning, MembersSaid, PeopleSaid, PeriodSaid, WhenSaid,
};
use crate::language::pattern::Cap;
use crate::language::rules::day;
use crate::language::words::Words;

/// How old an open quote is when nothing was said of how old.
const UNANSWERED_DAYS: u32 = 7;

fn about(topic: Topic) -> Option<Phrase> {
    Some(Phrase::Cue(Cue::About(topic)))
}

fn whens(caps: &[Cap]) -> Vec<WhenSaid> {
    let when = |cap: &Cap| match cap {
        Cap::When(when) => Some(*when),
        _ => None,
    };
    caps.iter().filter_map(when).collect()
}

/// `12`, `12:30`: an hour or a time of day, which the break's own words make of it; a duration is neither.
fn moment(cap: &Cap, clocked: bool) -> Option<WhenSaid> {
    let (said, timed) = match cap {
        Cap::When(when) => return Some(*when),
        Cap::Mins(said, false, timed) if clocked || !timed => (said, *timed),
        _ => return None,
    };
    let figure = said
        .minutes
        .to_u32()
        .filter(|_| said.minutes.is_integer() && said.range.is_none())?;
    let (hour, minute) = if timed { (figure / 60, figure % 60) } else { (figure, 0) };
    let minute_of_day = day::minute_of_day(hour, minute).filter(|_| hour > 0)?;
    Some(WhenSaid {
        day: None,
        minute_of_day: Some(minute_of_day),
    })
}

fn break_between(caps: &[Cap], words: &Words<'_>) -> Option<Phrase> {
    let clocked = super::clocked(words);
    let whens: Vec<WhenSaid> = caps.iter().filter_map(|cap| moment(cap, clocked)).collect();
    let [from, to] = whens.as_slice() else { return None };
    whole(Meaning::Clock(ClockSaid::Break {
        from: Some(*from),
        to: Some(*to),
        minutes: None,
    }))
}

fn break_of(caps: &[Cap]) -> Option<Phrase> {
    whole(Meaning::Clock(ClockSaid::Break {
        from: None,
        to: None,
        minutes: Some(minutes(caps)?.minutes),
    }))
}

fn people_now(caps: &[Cap]) -> Option<Phrase> {
    whole(Meaning::Clock(ClockSaid::People {
        place: None,
        change: PeopleSaid::Now(super::crew(caps)?),
        at: super::when(caps),
    }))
}

fn shift(caps: &[Cap]) -> Option<Phrase> {
    let whens = whens(caps);
    let [from, to] = whens.as_slice() else { return None };
    if from.minute_of_day.is_some() || to.minute_of_day.is_some() {
        return None;
    }
    whole(Meaning::Shift {
        from: from.day?,
        to: to.day?,
    })
}

fn unanswered(caps: &[Cap]) -> Option<Phrase> {
    let days = match number(caps) {
        Some(days) => days.to_u32()?,
        None => UNANSWERED_DAYS,
    };
    whole(Meaning::Look(Look::Unanswered(days)))
}

/// The stretch of the calendar that words name, and nothing else.
fn period_in(words: &Words<'_>, from: usize, to: usize) -> Option<PeriodSaid> {
    let mut start = from;
    while words.one_of(start, &["for", "of", "in", "from"]) && start < to {
        start += 1;
    }
    let (said, end) = day::period(words, start)?;
    let stops = |at: usize| words.sign(at, '?') || words.sign(at, '.') || words.sign(at, '!');
    (end..to).all(stops).then_some(said)
}

fn file(caps: &[Cap], words: &Words<'_>, of: FileOf, csv: bool) -> Option<Phrase> {
    let rest = caps.iter().find_map(|cap| match cap {
        Cap::Text(from, to) if to > from => Some((*from, *to)),
        _ => None,
    });
    let period = match rest {
        Some((from, to)) => Some(period_in(words, from, to)?),
        None => None,
    };
    whole(Meaning::Look(Look::File(FileSaid { of, period, csv })))
}

fn prices(caps: &[Cap], words: &Words<'_>, show: bool) -> Option<Phrase> {
    let name = text(caps, words).map(|name| name.trim_end_matches(['.', '!']).trim().to_string());
    let crew = |name: &String| matches!(name.to_lowercase().as_str(), "crew" | "the crew" | "my crew" | "them");
    let name = name.filter(|name| !crew(name));
    whole(Meaning::Members(MembersSaid::Prices { name, show }))
}

pub(super) const ROWS: &[Row] = &[
    (
        "crew: left",
        5,
        "(left | went home | had to leave | had to go | took off | headed home | headed out | is gone | are gone | has left | have left | is leaving)",
        |_, _| about(Topic::Left),
    ),
    (
        "crew: came",
        5,
        "(joined | joined us | joined me | showed up | came in | jumped in | is here too | are here too | is here now | is with me now | came to help | came by to help)",
        |_, _| about(Topic::Came),
    ),
    (
        "crew: now",
        6,
        "(down to | up to | its just | it is just | now its | now it is | just | only) #crew (now | from now on | from here on)? #when?",
        |c, _| match c.iter().any(|cap| matches!(cap, Cap::When(_))) {
            true => people_now(c),
            false => None,
        },
    ),
    (
        "crew: now",
        7,
        "(down to | up to | its just | it is just | its only | now its | now it is | were down to | we are down to | just | only) #crew (now | from now on | from here on)",
        |c, _| people_now(c),
    ),
    (
        "clock: a break that was",
        8,
        "(lunch | break | took lunch | took a break | lunch break | we took lunch | we had lunch | had lunch | lunch was) (from)? #when (to | - | until | till)? #when",
        break_between,
    ),
    (
        "clock: a break that was",
        8,
        "(lunch | break | took lunch | took a break | lunch break | we took lunch | we had lunch | had lunch | lunch was) (from)? (#when | #mins) (to | - | until | till) (#when | #mins)",
        break_between,
    ),
    (
        "clock: a break of so long",
        8,
        "(we | i)? (took | had | with) (a | an)? #dur (for)? (lunch | break | lunch break)",
        |c, _| break_of(c),
    ),
    (
        "clock: a break of so long",
        8,
        "(lunch | break | the break | lunch break) (was | took | of) #dur",
        |c, _| break_of(c),
    ),
    (
        "paid: settled",
        7,
        "(that settles it | this settles it | that squares it | that closes it | call it square | call it even | call it settled | call it paid | lets call it square | lets call it even | were square | we are square | were even | we are even | forget the rest | let the rest go | write off the rest | write the rest off | let it go)",
        |_, _| about(Topic::Settled),
    ),
    (
        "paid: part",
        7,
        "(got | took | received | paid)? (a | the)? (deposit | down payment | part payment | partial payment) (of | :)? #money (by | with | in | via | a | ,)? <method>?",
        |c, w| {
            let method = text(c, w).map(|t| t.to_lowercase());
            Some(Phrase::Cue(Cue::Paid(super::money(c), method)))
        },
    ),
    (
        "paid: part",
        7,
        "(got | took | received | paid)? (a | the)? #dollars (deposit | down payment | on account)",
        |c, _| Some(Phrase::Cue(Cue::Paid(super::money(c), None))),
    ),
    (
        "paid: part",
        7,
        "(they | he | she)? (paid | paid me | paid us | payment) (of)? #money (on account | as a deposit | for a deposit | as a down payment)",
        |c, _| Some(Phrase::Cue(Cue::Paid(super::money(c), None))),
    ),
    (
        "look: payment reminder",
        8,
        "(payment | money | bill | billing) (reminder | nudge | text | message | note)",
        |_, _| about(Topic::Reminder),
    ),
    (
        "look: payment reminder",
        8,
        "(remind | nudge | ask | text) #place (about | for | to)? (the)? (money | payment | bill | pay | pay up)?",
        |c, _| whole(Meaning::Look(Look::Reminder(super::place(c)))),
    ),
    (
        "look: payment reminder",
        8,
        "(what do i | what should i | how do i | give me something to | what can i) (text | tell | send | say to | ask | write) (to)? #place? (about | for) (the)? (money | payment | bill)",
        |c, _| whole(Meaning::Look(Look::Reminder(super::place(c)))),
    ),
    (
        "quote: again",
        9,
        "(quote | price | requote | reprice | redo | repeat | do) #place (again | same as last time | like last time)",
        |c, _| whole(Meaning::Again { place: super::place(c) }),
    ),
    (
        "quote: again",
        8,
        "(same as last time | same again | same as last year | same as before | quote it again | quote that again | requote it | price it again)",
        |_, _| about(Topic::Again),
    ),
    (
        "look: unanswered",
        8,
        "(show | list | which | what | any)? (unanswered quotes | unanswered | no answer | no answer yet | who hasnt answered | who has not answered | quotes without an answer | quotes with no answer | quotes not answered | old quotes | stale quotes | cold quotes | who should i chase | who hasnt said yes) ((for | in | since | over | older than)? #num days)?",
        |c, _| unanswered(c),
    ),
    (
        "look: unanswered",
        8,
        "(open)? quotes (older than | over | open for | open more than) #num days",
        |c, _| unanswered(c),
    ),
    (
        "look: win share",
        7,
        "(win rate | win share | my win rate | close rate | closing rate | how many do (i | we) win | how often do (i | we) win | how many quotes do (i | we) win | do (i | we) win enough | am i too (high | low | cheap | expensive) | are we too (high | low | cheap | expensive) | how are my prices doing)",
        |_, _| whole(Meaning::Look(Look::WinShare)),
    ),
    (
        "look: which work pays",
        7,
        "(what pays | whats worth it | what is worth it | best and worst | what makes money | what loses money | which jobs lose money | where do (i | we) make money | what should i drop | what pays best)",
        |_, _| whole(Meaning::Look(Look::WhatPays)),
    ),
    (
        "look: who is due",
        7,
        "(whos due | who should i call | who do i call | whos up again | who needs us again | whos coming up | who was it this time last year)",
        |_, _| whole(Meaning::Look(Look::Due)),
    ),
    (
        "plan: a whole day",
        7,
        "(push | move | shift | bump | slide) (everything | all | all jobs | the jobs | it all)? (on | from)? #when (to | over to)? #when",
        |c, _| shift(c),
    ),
    (
        "file: jobs",
        8,
        "(send | give me | get me | make | export)? (me)? (a | the | my)? (jobs | job) (file | sheet | spreadsheet | workbook | excel | xlsx) #rest?",
        |c, w| file(c, w, FileOf::Jobs, false),
    ),
    (
        "file: jobs as text",
        8,
        "(send | give me | get me | make | export)? (me)? (a | the | my)? (jobs | job) (csv | csv file | as csv) #rest?",
        |c, w| file(c, w, FileOf::Jobs, true),
    ),
    (
        "file: payments",
        8,
        "(send | give me | get me | make | export)? (me)? (a | the | my)? (payments | payment) (file | sheet | spreadsheet | workbook | excel | xlsx) #rest?",
        |c, w| file(c, w, FileOf::Payments, false),
    ),
    (
        "file: payments as text",
        8,
        "(send | give me | get me | make | export)? (me)? (a | the | my)? (payments | payment) (csv | csv file | as csv) #rest?",
        |c, w| file(c, w, FileOf::Payments, true),
    ),
    (
        "file: price list",
        8,
        "(send | give me | get me | make | export)? (me)? (a | the | my)? (price list | prices) (file | sheet | spreadsheet | workbook | excel | xlsx)",
        |c, w| file(c, w, FileOf::PriceList, false),
    ),
    (
        "file: price list as text",
        8,
        "(send | give me | get me | make | export)? (me)? (a | the | my)? (price list | prices) (csv | csv file | as csv)",
        |c, w| file(c, w, FileOf::PriceList, true),
    ),
    (
        "members: prices",
        8,
        "(crew | the crew | my crew | they) (can | may | should) see (the)? (prices | money | dollars)",
        |c, w| prices(c, w, true),
    ),
    (
        "members: prices",
        8,
        "(crew | the crew | my crew | they) (cannot | cant | can not | may not | should not | shouldnt | dont) see (the)? (prices | money | dollars)",
        |c, w| prices(c, w, false),
    ),
    ("members: prices", 8, "show (the)? (prices | money) to #rest", |c, w| {
        prices(c, w, true)
    }),
    (
        "members: prices",
        8,
        "hide (the)? (prices | money) from #rest",
        |c, w| prices(c, w, false),
    ),
    (
        "members: calendar",
        8,
        "(calendar | my calendar | calendar link | calendar feed | my calendar link | new calendar link | calendar address | send me the calendar | new calendar)",
        |_, _| whole(Meaning::Members(MembersSaid::Calendar)),
    ),
    (
        "members: no calendar",
        9,
        "(turn off | switch off | revoke | stop | remove | no) (the | my)? (calendar | calendar link | calendar feed)",
        |_, _| whole(Meaning::Members(MembersSaid::NoCalendar)),
    ),
];
