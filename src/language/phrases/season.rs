//! Wordings of the season: people who come and go, breaks that were, what is settled, asked again or put into a file.

use rust_decimal::prelude::ToPrimitive;

use super::{Cue, Phrase, Row, Topic, minutes, number, text, whole};
use crate::language::meaning::{
    ClockSaid, DaySaid, FileOf, FileSaid, Look, Meaning, MembersSaid, PeopleSaid, PeriodSaid, Turn, WhenSaid,
};
use crate::language::pattern::Cap;
use crate::language::rules::day;
use crate::language::words::Words;

/// How old an open quote is when nothing was said of how old.
const UNANSWERED_DAYS: u32 = 7;

fn about(topic: Topic) -> Option<Phrase> {
    Some(Phrase::Cue(Cue::About(topic)))
}

fn whens(caps: &[&Cap]) -> Vec<WhenSaid> {
    let when = |cap: &&Cap| match cap {
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

fn break_between(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let clocked = words.clocked();
    let whens: Vec<WhenSaid> = caps.iter().filter_map(|cap| moment(cap, clocked)).collect();
    let [from, to] = whens.as_slice() else { return None };
    whole(Meaning::Clock(ClockSaid::Break {
        from: Some(*from),
        to: Some(*to),
        minutes: None,
    }))
}

fn break_of(caps: &[&Cap]) -> Option<Phrase> {
    whole(Meaning::Clock(ClockSaid::Break {
        from: None,
        to: None,
        minutes: Some(minutes(caps)?.minutes),
    }))
}

fn people_now(caps: &[&Cap]) -> Option<Phrase> {
    whole(Meaning::Clock(ClockSaid::People {
        place: None,
        change: PeopleSaid::Now(super::crew(caps)?),
        at: super::when(caps),
    }))
}

fn shift(caps: &[&Cap]) -> Option<Phrase> {
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

fn unanswered(caps: &[&Cap]) -> Option<Phrase> {
    let days = match number(caps) {
        Some(days) => days.to_u32()?,
        None => UNANSWERED_DAYS,
    };
    whole(Meaning::Look(Look::Unanswered(days)))
}

/// The stretch of the calendar that words name, and nothing else.
fn period_in(words: &Words<'_>, from: usize, to: usize) -> Option<PeriodSaid> {
    let (said, drawn) = stretch_in(words, from, to)?;
    (!drawn).then_some(said)
}

/// The stretch of the calendar that words name, and whether they want it drawn.
pub(super) fn stretch_in(words: &Words<'_>, from: usize, to: usize) -> Option<(PeriodSaid, bool)> {
    let mut start = from;
    while words.one_of(start, &["for", "of", "in", "from", "on", "over", "the"]) && start < to {
        start += 1;
    }
    let (said, mut end) = day::period(words, start)?;
    if words.one_of(end, &["so"]) && words.one_of(end + 1, &["far"]) {
        end += 2;
    }
    let led = words.one_of(end, &["as", "in", "with"]);
    let at = end + usize::from(led) + usize::from(led && words.one_of(end + 1, &["a"]));
    let drawn = led && words.one_of(at, &["picture", "pictures", "chart", "graph", "plot", "png"]);
    let end = if drawn { at + 1 } else { end };
    let stops = |at: usize| words.sign(at, '?') || words.sign(at, '.') || words.sign(at, '!');
    (end..to).all(stops).then_some((said, drawn))
}

/// The stretch of the calendar that the last words name.
pub(super) fn stretch_of(caps: &[&Cap], words: &Words<'_>) -> Option<PeriodSaid> {
    let rest = caps.iter().find_map(|cap| match cap {
        Cap::Text(from, to) if to > from => Some((*from, *to)),
        _ => None,
    });
    rest.and_then(|(from, to)| period_in(words, from, to))
}

/// `back a day`, `up two weeks`: days of so many each, later or, with a sign, earlier than was planned.
fn later(caps: &[&Cap], days: i32) -> Option<Phrase> {
    let count = match number(caps) {
        Some(count) => count.to_i32().filter(|count| (1..=365).contains(count))?,
        None => 1,
    };
    whole(Meaning::Plan {
        place: super::place(caps),
        when: WhenSaid {
            day: Some(DaySaid::Later(count.checked_mul(days)?)),
            minute_of_day: None,
        },
        moved: true,
    })
}

/// Places in the order of a day.
fn order(caps: &[&Cap], turn: Turn) -> Option<Phrase> {
    let places: Vec<_> = caps
        .iter()
        .filter_map(|cap| match cap {
            Cap::Place(place) => Some(place.clone()),
            _ => None,
        })
        .collect();
    let when = super::when(caps);
    if places.is_empty() || when.is_some_and(|when| when.minute_of_day.is_some()) {
        return None;
    }
    whole(Meaning::Order {
        places,
        turn,
        day: when.and_then(|when| when.day),
    })
}

fn file(caps: &[&Cap], words: &Words<'_>, of: FileOf, csv: bool) -> Option<Phrase> {
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

fn prices(caps: &[&Cap], words: &Words<'_>, show: bool) -> Option<Phrase> {
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
        |_, _| whole(Meaning::Look(Look::Due(None))),
    ),
    (
        "plan: a whole day",
        7,
        "(push | move | shift | bump | slide) (everything | all | all jobs | the jobs | it all)? (on | from)? #when (to | over to)? #when",
        |c, _| shift(c),
    ),
    (
        "plan: days later",
        9,
        "(push | move | bump | slide | shift | delay | postpone | put off | set) (it | that | the job | them | this one | that one | #place)? (back | off | out | by)? (by)? (a | one | another | #num) (of)? (more)? (day | days) (back | later | out)?",
        |c, _| later(c, 1),
    ),
    (
        "plan: weeks later",
        9,
        "(push | move | bump | slide | shift | delay | postpone | put off | set) (it | that | the job | them | this one | that one | #place)? (back | off | out | by)? (by)? (a | one | another | #num) (of)? (more)? (week | weeks) (back | later | out)?",
        |c, _| later(c, 7),
    ),
    (
        "plan: days earlier",
        10,
        "(push | move | bump | slide | shift | pull | bring) (it | that | the job | them | this one | that one | #place)? (up | forward | in | ahead) (by)? (a | one | #num) (day | days)",
        |c, _| later(c, -1),
    ),
    (
        "plan: days earlier",
        10,
        "(push | move | bump | slide | shift | pull | bring) (it | that | the job | them | this one | that one | #place)? (up | forward | by)? (a | one | #num) (day | days) (earlier | sooner | ahead | forward | up)",
        |c, _| later(c, -1),
    ),
    (
        "plan: weeks earlier",
        10,
        "(push | move | bump | slide | shift | pull | bring) (it | that | the job | them | this one | that one | #place)? (up | forward | in | ahead) (by)? (a | one | #num) (week | weeks)",
        |c, _| later(c, -7),
    ),
    (
        "plan: first of a day",
        8,
        "(do | start with | start off with | start off at | begin with | go to | hit | put | make | take)? #place (goes | is | comes)? first (thing)?",
        |c, _| order(c, Turn::First),
    ),
    (
        "plan: first of a day",
        16,
        "(do | start with | start off with | start off at | begin with | go to | hit | put | make | take)? #place (goes | is | comes)? first (thing)? (on)? #when",
        |c, _| order(c, Turn::First),
    ),
    (
        "plan: first of a day",
        8,
        "(start with | start off with | start off at | begin with) #place",
        |c, _| order(c, Turn::First),
    ),
    (
        "plan: first of a day",
        16,
        "(start with | start off with | start off at | begin with) #place (on)? #when",
        |c, _| order(c, Turn::First),
    ),
    (
        "plan: last of a day",
        8,
        "(do | put | leave | save | make | take) #place (for)? last",
        |c, _| order(c, Turn::Last),
    ),
    ("plan: last of a day", 3, "#place last", |c, _| order(c, Turn::Last)),
    ("plan: last of a day", 16, "#place last on #when", |c, _| {
        order(c, Turn::Last)
    }),
    ("plan: last of a day", 8, "#place (goes | is | comes) last", |c, _| {
        order(c, Turn::Last)
    }),
    (
        "plan: before another",
        8,
        "(do | put | hit | make | take | go to)? #place before #place",
        |c, _| order(c, Turn::Before),
    ),
    (
        "plan: before another",
        16,
        "(do | put | hit | make | take | go to)? #place before #place (on)? #when",
        |c, _| order(c, Turn::Before),
    ),
    (
        "plan: one after the other",
        8,
        "(do | the order is | first)? :? #place ,? (and)? then #place (,? (and)? then #place)? (,? (and)? then #place)? (,? (and)? then #place)?",
        |c, _| order(c, Turn::First),
    ),
    (
        "plan: one after the other",
        16,
        "(do | the order is | first)? :? #place ,? (and)? then #place (,? (and)? then #place)? (,? (and)? then #place)? (,? (and)? then #place)? (on)? #when",
        |c, _| order(c, Turn::First),
    ),
    (
        "look: a picture of a time",
        9,
        "(picture | pictures | plot | chart | graph | draw | draw me | drawing | (show | send | give | make | get) (me)? (a | the) (picture | chart | graph | plot)) (of | for)? (how)? #rest",
        |c, w| whole(Meaning::Look(Look::Picture(stretch_of(c, w)?))),
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
    (
        "members: one sees prices",
        6,
        "(can | may | should) see (the)? (prices | money | dollars) (too | now)?",
        |_, _| about(Topic::Sees(true)),
    ),
    (
        "members: one sees no prices",
        7,
        "(cannot | cant | can not | may not | should not | shouldnt | does not | doesnt) see (the)? (prices | money | dollars) (any more | anymore)?",
        |_, _| about(Topic::Sees(false)),
    ),
    (
        "members: the crew quotes",
        8,
        "(crew | the crew | my crew | they | everybody | everyone) (can | may) (quote | give quotes | give prices | make quotes | price jobs | do quotes) (too | now)?",
        |_, _| {
            whole(Meaning::Members(MembersSaid::Quoting {
                name: None,
                allow: true,
            }))
        },
    ),
    (
        "members: the crew quotes nothing",
        9,
        "(crew | the crew | my crew | they | everybody | everyone) (cannot | cant | can not | may not | should not | shouldnt | dont) (quote | give quotes | give prices | make quotes | price jobs | do quotes) (any more | anymore)?",
        |_, _| {
            whole(Meaning::Members(MembersSaid::Quoting {
                name: None,
                allow: false,
            }))
        },
    ),
    (
        "members: one quotes",
        6,
        "(can | may) (quote | give quotes | give prices | make quotes | price jobs | do quotes) (too | now)?",
        |_, _| about(Topic::Quotes(true)),
    ),
    (
        "members: one quotes nothing",
        7,
        "(cannot | cant | can not | may not | should not | shouldnt | does not | doesnt) (quote | give quotes | give prices | make quotes | price jobs | do quotes) (any more | anymore)?",
        |_, _| about(Topic::Quotes(false)),
    ),
    ("members: one quotes", 8, "(let | allow) #rest", |c, w| {
        let said = text(c, w)?;
        let said = said.trim_end_matches(['.', '!']).trim();
        let name = [
            "to give quotes",
            "to make quotes",
            "to quote",
            "give quotes",
            "make quotes",
            "quote",
        ]
        .into_iter()
        .find_map(|end| said.strip_suffix(end)?.strip_suffix(' '))?
        .trim();
        let crew = matches!(name.to_lowercase().as_str(), "crew" | "the crew" | "my crew" | "them");
        let one_word = !name.is_empty() && !name.contains(' ');
        (crew || one_word)
            .then(|| {
                whole(Meaning::Members(MembersSaid::Quoting {
                    name: (!crew).then(|| name.to_string()),
                    allow: true,
                }))
            })
            .flatten()
    }),
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
