//! A finish: how long it really took, what was really done, and the rate that was made.
//!
//! The agreed price stands whatever was done; what was done beyond the quote is told with its worth, and billed only when
//! the owner says so. Time said once for a crew is multiplied by it, man-minutes are taken as they are.

use rust_decimal::Decimal;

use super::{
    answer::{FinishCause, FinishNews, JobNews, TimesShown},
    ask::{Ask, Choice, Counted, Label, Question, TimeQuestion},
    clock, days,
    desk::{Desk, Worked},
    figures, jobs, lines, minutes, places, quoting, revising,
    which::{self, Last, Sort},
};
use crate::{
    journal::{Clock, DoneLine, Event, Fill, Hole, Item, JobFinished, QuoteEntry, SharedLine, Status, Stretch, Within},
    language::{Expecting, FinishSaid, LineSaid, MinutesSaid, PlaceSaid, QuantitySaid, WhenSaid, WorkedSaid},
    pricing::{self, Basis, Sheet, SheetLine, Tax},
    timing::reason::Pace,
    units::{Crew, Error, ManMinutes, Money, QuoteNo, RoundingPolicy, Timestamp},
};

/// Takes in a finish, or asks what is missing for it.
pub(super) fn finish(desk: &mut Desk<'_>, said: &FinishSaid) -> Worked {
    let long_ago = correct_earlier(desk, said)?;
    let no = match long_ago {
        Some(no) => no,
        None => finished_job(desk, said)?,
    };
    let Some(entry) = desk.quote(no).cloned() else {
        return Ok(());
    };
    let crew = match said.crew {
        Some(people) => figures::crew(people)?,
        None => entry.crew(),
    };
    let ended = ended(desk, said, &entry)?;
    let worked = meant(desk, worked(desk, said, &entry, ended)?);
    let mut time = Time::of(&worked, crew)?;
    let by_clock =
        said.worked.is_none() && by_clock(&entry, ended).is_some_and(|minutes| time.elapsed == Some(minutes));
    let mut crew = crew;
    let stretches = match entry.clock.as_ref().filter(|_| by_clock && said.crew.is_none()) {
        Some(running) if running.crew_changed() => {
            time.man_minutes = clock::figure(running.man_minutes(ended, entry.sheet.crew))?;
            crew = running.most(entry.sheet.crew).unwrap_or(crew);
            stretches(running, ended, entry.sheet.crew)
        }
        _ => Vec::new(),
    };
    let counted = what_was_done(desk, &entry.sheet, &said.done)?;
    let finished = JobFinished {
        no,
        ended,
        crew,
        man_minutes: time.man_minutes,
        range: time.ends,
        done: counted.done.clone(),
        agreed: entry.price(),
        extra: counted.extra,
    };
    wonder(desk, &finished, &time);
    let cause = cause(desk, &entry, &finished);
    let before = learned(desk, &counted.done);
    desk.record(Event::JobFinished(finished));
    let news = FinishNews {
        ended: said.at.map(|_| ended),
        elapsed: time.elapsed,
        by_clock,
        stretches,
        range: quoting::range_remark(&time.said),
        crew_of_job: said.crew.is_none() && time.elapsed.is_some(),
        counted_as_won: entry.agreed.is_none(),
        did: counted.did,
        more: counted.more,
        fewer: counted.fewer,
        extra: counted.extra,
        short: counted.short,
        learned: match long_ago {
            None => news_of(&before, learned(desk, &counted.done)),
            // What the earlier time taught is taken out only by a fold over the whole log, after this answer.
            Some(_) => Vec::new(),
        },
        cause,
    };
    jobs::show(desk, no, JobNews::Finished(Box::new(news)));
    Ok(())
}

/// The job that is done: the one whose clock runs, unless a place or a number says which; one that was done by the clock
/// before, when only the time of its end is said.
fn finished_job(desk: &Desk<'_>, said: &FinishSaid) -> Worked<QuoteNo> {
    if let Some(running) = clock::running(desk).filter(|_| said.place.is_none()) {
        return Ok(running);
    }
    let timed = |entry: &QuoteEntry| entry.status == Status::Done && entry.clock.is_some();
    let ended_again = said.at.is_some() && said.worked.is_none() && said.done.is_empty();
    if ended_again
        && said.place.is_none()
        && let Some(current) = desk.current_quote().filter(|entry| timed(entry))
    {
        return Ok(current.no);
    }
    if said.place.is_none() {
        return which::job(desk, None, &[Sort::ON_JOB, Sort::ACTIVE], Last::Ask);
    }
    which::job(
        desk,
        said.place.as_ref(),
        &[Sort::ON_JOB, Sort::of(&[Status::Won]), Sort::ACTIVE],
        Last::Ask,
    )
}

/// When it ended: as said, as answered, or now.
fn ended(desk: &Desk<'_>, said: &FinishSaid, entry: &QuoteEntry) -> Worked<Timestamp> {
    if let Some(at) = said.at {
        return clock::ended(desk, entry, at);
    }
    match desk.filled(desk.slot(Item::Whole, Hole::Ended)) {
        Some(Fill::Number(minute)) => {
            let when = WhenSaid {
                day: None,
                minute_of_day: u16::try_from(minute).ok(),
            };
            clock::ended(desk, entry, when)
        }
        _ => Ok(desk.said_at()),
    }
}

/// The stretches on the clock with the people in each, when they changed.
fn stretches(clock: &Clock, ended: Timestamp, otherwise: Crew) -> Vec<(Decimal, u32)> {
    let minutes = |stretch: &Stretch| {
        let to = stretch.to.map_or(ended, |to| to.min(ended));
        let seconds = Decimal::from((to.unix_seconds() - stretch.from.unix_seconds()).max(0));
        RoundingPolicy::HalfUp.places(seconds / Decimal::from(60), 2)
    };
    let stretches = clock.stretches();
    let people = |stretch: &Stretch| stretch.crew.unwrap_or(otherwise).get();
    stretches
        .iter()
        .map(|stretch| (minutes(stretch), people(stretch)))
        .collect()
}

/// Works a job that is done out again after its clock was put right.
pub(super) fn again_by_clock(desk: &mut Desk<'_>, no: QuoteNo) {
    let Some(entry) = desk.quote(no).cloned() else { return };
    let (Some(finish), Some(clock)) = (&entry.finish, &entry.clock) else {
        return;
    };
    let Ok(man_minutes) = clock::figure(clock.man_minutes(finish.ended, finish.crew)) else {
        return;
    };
    desk.record(Event::JobFinished(JobFinished {
        no,
        ended: finish.ended,
        crew: finish.crew,
        man_minutes,
        range: None,
        done: finish.done.clone(),
        agreed: entry.price(),
        extra: finish.extra,
    }));
    jobs::show(desk, no, JobNews::Shown);
}

/// A finish with a time, said of a job that is done already, may correct the first one or belong to another job: that is
/// asked. A correction takes the first finish back, so that nothing is learned twice; where that lies too far back, or did
/// more than finish the job, the job is finished once more, and only the last time teaches: that job.
fn correct_earlier(desk: &mut Desk<'_>, said: &FinishSaid) -> Worked<Option<QuoteNo>> {
    let (Some(worked), None, None) = (&said.worked, &said.place, clock::running(desk)) else {
        return Ok(None);
    };
    let done = desk
        .current_quote()
        .and_then(|entry| Some((entry.no, entry.place.clone(), entry.finish.as_ref()?.man_minutes)));
    let Some((no, place, took)) = done else { return Ok(None) };
    let slot = desk.slot(Item::Whole, Hole::Again);
    match desk.filled(slot) {
        Some(Fill::Yes) => match desk.state().finish_alone(no) {
            Some((cause, state)) => {
                desk.take_back(Event::Undone { causes: vec![cause] }, Some(state));
                desk.record(Event::QuoteShown { no });
                Ok(None)
            }
            None => Ok(Some(no)),
        },
        Some(_) => Ok(None),
        None => {
            let (WorkedSaid::Elapsed(minutes) | WorkedSaid::EachPerson(minutes) | WorkedSaid::ManMinutes(minutes)) =
                worked;
            let choices = vec![
                Choice {
                    label: Label::CorrectTo(minutes.minutes),
                    fill: Fill::Yes,
                },
                Choice {
                    label: Label::AnotherJob,
                    fill: Fill::No,
                },
            ];
            let question = TimeQuestion::FinishedBefore {
                no,
                place,
                took: took.get(),
            };
            Err(Ask::choice(slot, Question::Time(question), choices).into())
        }
    }
}

/// The time as it was meant, when it was asked about.
fn meant(desk: &Desk<'_>, said: WorkedSaid) -> WorkedSaid {
    let Some(Fill::Number(minutes)) = desk.filled(desk.slot(Item::Whole, Hole::Odd)) else {
        return said;
    };
    let minutes = MinutesSaid { minutes, range: None };
    match said {
        WorkedSaid::Elapsed(_) => WorkedSaid::Elapsed(minutes),
        WorkedSaid::EachPerson(_) => WorkedSaid::EachPerson(minutes),
        WorkedSaid::ManMinutes(_) => WorkedSaid::ManMinutes(minutes),
    }
}

/// Asks about a time that is far out; it is taken in all the same.
fn wonder(desk: &mut Desk<'_>, finished: &JobFinished, time: &Time) {
    let slot = desk.slot(Item::Whole, Hole::Odd);
    let (None, Some(odd)) = (desk.filled(slot), desk.book().odd_finish(finished)) else {
        return;
    };
    // A slip is undone in the figure that was said, not in what it comes to for the crew.
    let said = time.said.minutes;
    let share = |meant: ManMinutes| (said * meant.get()).checked_div(finished.man_minutes.get());
    let meant = odd
        .meant
        .and_then(share)
        .map(|meant| RoundingPolicy::HalfUp.places(meant, 2));
    let question = TimeQuestion::OddFinish {
        said,
        meant,
        expected: RoundingPolicy::HalfUp.places(odd.expected, 0),
    };
    let mut choices: Vec<Choice> = meant.into_iter().map(minutes::meant_choice).collect();
    choices.push(Choice {
        label: Label::Right(said),
        fill: Fill::Yes,
    });
    desk.wonder(Ask::choice(slot, Question::Time(question), choices));
}

/// A difference of less than this share of what was quoted is none.
const AS_QUOTED: Decimal = Decimal::from_parts(5, 0, 0, false, 2);

/// Why a job took what it took: the class whose share of the time is furthest from what was quoted for it, where the time
/// was out of the usual at all.
fn cause(desk: &Desk<'_>, entry: &QuoteEntry, finished: &JobFinished) -> Option<FinishCause> {
    let quoted = entry.quoted_man_minutes().get();
    let took = finished.man_minutes.get();
    if (took - quoted).abs() <= quoted * AS_QUOTED {
        return Some(FinishCause::AsQuoted);
    }
    let reason = desk.book().reason(finished)?;
    if reason.pace == Pace::AsExpected {
        return Some(FinishCause::Usual);
    }
    let quoted_each = |line: &SharedLine| {
        let same = |known: &&SheetLine| known.service == line.service && known.size == line.size;
        let known = entry.sheet.lines.iter().find(same)?;
        Some(known.minutes_each().ok()?.get())
    };
    let longer = took > quoted;
    let off = |line: &SharedLine| Some((line.each - quoted_each(line)?) * line.units);
    let (line, _) = reason
        .lines
        .iter()
        .filter_map(|line| Some((line, off(line)?)))
        .filter(|(_, off)| off.is_sign_positive() == longer && !off.is_zero())
        .max_by_key(|(_, off)| off.abs())?;
    Some(FinishCause::Class {
        counted: Counted {
            quantity: None,
            unit: None,
            service: Some(line.service.clone()),
            size: line.size.clone(),
        },
        one_kind: reason.lines.iter().all(|other| other.service == line.service),
        each: line.each,
        quoted: quoted_each(line)?,
    })
}

/// What is new of the minutes of the job's classes: learned ones that were not before, and trends that show only now.
fn news_of(before: &[TimesShown], after: Vec<TimesShown>) -> Vec<TimesShown> {
    let new = |row: &TimesShown| {
        let known = before
            .iter()
            .find(|known| known.service == row.service && known.size == row.size);
        known.is_none_or(|known| {
            (known.basis != Basis::Learned && row.basis == Basis::Learned)
                || (known.trend.is_none() && row.trend.is_some())
                || known.minutes_each != row.minutes_each
        })
    };
    after.into_iter().filter(new).collect()
}

/// Adds the extra work of a finish to the price agreed.
pub(super) fn bill_extra(desk: &mut Desk<'_>, place: Option<&PlaceSaid>) -> Worked {
    let has_extra = Sort::within(Within::Extra);
    let current_has = desk.current_quote().is_some_and(|entry| has_extra.fits(entry));
    if place.is_none() && !current_has && has_extra.find(desk, None).next().is_none() {
        let slot = desk.slot(Item::Whole, Hole::Quote);
        return Err(Ask::value(slot, Question::NoExtra, Expecting::Nothing).into());
    }
    let no = places::quote_meant(desk, place, has_extra)?;
    let Some(entry) = desk.quote(no) else { return Ok(()) };
    let amount = entry.finish.as_ref().map_or(Money::ZERO, |finish| finish.extra);
    let agreed = with_tax(entry.sheet.tax, amount)
        .and_then(|billed| entry.price().checked_add(billed))
        .map_err(pricing::Refusal::from)?;
    desk.record(Event::ExtraBilled { no, amount, agreed });
    jobs::show(desk, no, JobNews::ExtraBilled(amount));
    Ok(())
}

/// An amount with the tax on it.
fn with_tax(tax: Tax, amount: Money) -> Result<Money, Error> {
    match tax {
        Tax::All(percent) => amount.checked_add(percent.checked_of(amount)?.round(RoundingPolicy::HalfUp)?),
        Tax::None | Tax::Materials(_) => Ok(amount),
    }
}

/// The classes of what was done that are priced with learned minutes, or show a trend.
fn learned(desk: &Desk<'_>, done: &[DoneLine]) -> Vec<TimesShown> {
    let book = desk.book();
    let row = |line: &DoneLine| {
        let service = book.service(&line.service)?;
        minutes::row_of(book, service, service.class(line.size.as_deref())?)
    };
    let rows = done.iter().filter_map(row);
    rows.filter(|row| row.basis == Basis::Learned || row.trend.is_some())
        .collect()
}

/// How long it took: as said, as answered, or as the job's clock shows.
fn worked(desk: &Desk<'_>, said: &FinishSaid, entry: &QuoteEntry, ended: Timestamp) -> Worked<WorkedSaid> {
    if let Some(worked) = &said.worked {
        return Ok(worked.clone());
    }
    let slot = desk.slot(Item::Whole, Hole::Worked);
    match desk.filled(slot) {
        Some(Fill::Number(minutes)) => Ok(WorkedSaid::Elapsed(MinutesSaid { minutes, range: None })),
        _ if said.at.is_none() && is_forgotten(desk, entry, ended) => {
            let minutes = by_clock(entry, ended).unwrap_or_default();
            let since = entry.clock.as_ref().and_then(|clock| clock.began()).unwrap_or(ended);
            let question = Question::StillThere {
                since: days::local(desk, since).naive_local(),
                minutes,
            };
            let choices = vec![Choice {
                label: Label::ThatLong(minutes),
                fill: Fill::Yes,
            }];
            let ask = Ask::choice(desk.slot(Item::Whole, Hole::Ended), question, choices);
            Err(Box::new(Ask {
                expecting: Expecting::Time,
                ..*ask
            })
            .into())
        }
        _ if by_clock(entry, ended).is_some() => Ok(WorkedSaid::Elapsed(MinutesSaid {
            minutes: by_clock(entry, ended).unwrap_or_default(),
            range: None,
        })),
        _ => Err(Ask::value(slot, Question::HowLong, Expecting::Minutes).into()),
    }
}

/// Whether the clock has run for longer than a day's work, and nothing was said of that yet.
fn is_forgotten(desk: &Desk<'_>, entry: &QuoteEntry, ended: Timestamp) -> bool {
    let asked = desk.filled(desk.slot(Item::Whole, Hole::Ended)).is_some();
    !asked && clock::forgotten(entry, ended).is_some()
}

/// Minutes that the job's clock shows, when it has run.
fn by_clock(entry: &QuoteEntry, ended: Timestamp) -> Option<Decimal> {
    let minutes = entry.clock.as_ref()?.minutes(ended);
    (!minutes.is_zero()).then_some(minutes)
}

/// Time worked, in man-minutes.
struct Time {
    man_minutes: ManMinutes,
    ends: Option<(ManMinutes, ManMinutes)>,
    /// The time on the clock, when it was said so.
    elapsed: Option<Decimal>,
    said: MinutesSaid,
}

impl Time {
    fn of(worked: &WorkedSaid, crew: Crew) -> Worked<Time> {
        let (said, people) = match worked {
            WorkedSaid::Elapsed(minutes) | WorkedSaid::EachPerson(minutes) => (minutes, Decimal::from(crew.get())),
            WorkedSaid::ManMinutes(minutes) => (minutes, Decimal::ONE),
        };
        let whole = |minutes: Decimal| figures::man_minutes(minutes.saturating_mul(people));
        let ends = match said.range {
            Some((low, high)) => Some((whole(low)?, whole(high)?)),
            None => None,
        };
        Ok(Time {
            man_minutes: whole(said.minutes)?,
            ends,
            elapsed: (!matches!(worked, WorkedSaid::ManMinutes(_))).then_some(said.minutes),
            said: *said,
        })
    }
}

/// What was done against what was quoted.
struct Counts {
    done: Vec<DoneLine>,
    did: Vec<Counted>,
    more: Vec<Counted>,
    fewer: Vec<Counted>,
    extra: Money,
    short: Money,
}

/// Lines that were not spoken of were done as quoted.
fn what_was_done(desk: &Desk<'_>, quoted: &Sheet, said: &[LineSaid]) -> Worked<Counts> {
    let mut real = quoted.clone();
    let mut counted = Vec::new();
    for (index, line) in said.iter().enumerate() {
        take_count(desk, &mut real, quoted, &mut counted, Item::Line(index), line)?;
    }
    let before = pricing::quote(quoted)?;
    let after = pricing::quote(&plain(&real))?;
    let mut counts = Counts {
        done: real.lines.iter().map(done_line).collect(),
        did: told(&counted, &real),
        more: Vec::new(),
        fewer: Vec::new(),
        extra: Money::ZERO,
        short: Money::ZERO,
    };
    for (index, line) in real.lines.iter().enumerate() {
        let was = quoted
            .lines
            .get(index)
            .map_or(Decimal::ZERO, |line| line.quantity.get());
        let worth_before = before.lines.get(index).map_or(Money::ZERO, |line| line.price);
        let worth_after = after.lines.get(index).map_or(Money::ZERO, |line| line.price);
        let change = line.quantity.get() - was;
        let counted = lines::counted_line(line, change.abs());
        if change > Decimal::ZERO {
            counts.more.push(counted);
            counts.extra = sum(counts.extra, worth_after, worth_before)?;
        } else if change < Decimal::ZERO {
            counts.fewer.push(counted);
            counts.short = sum(counts.short, worth_before, worth_after)?;
        }
    }
    Ok(counts)
}

fn sum(so_far: Money, larger: Money, smaller: Money) -> Worked<Money> {
    let worth = larger.checked_sub(smaller).and_then(|worth| so_far.checked_add(worth));
    Ok(worth.map_err(pricing::Refusal::from)?)
}

/// The counts that were said, each once.
fn told(counted: &[usize], real: &Sheet) -> Vec<Counted> {
    let lines = real
        .lines
        .iter()
        .enumerate()
        .filter(|(index, _)| counted.contains(index));
    lines
        .map(|(_, line)| lines::counted_line(line, line.quantity.get()))
        .collect()
}

/// The counted lines alone, at the quote's own figures.
fn plain(sheet: &Sheet) -> Sheet {
    Sheet {
        discount: pricing::Discount::None,
        more_off: Vec::new(),
        price_said: None,
        ..sheet.clone()
    }
}

fn done_line(line: &SheetLine) -> DoneLine {
    DoneLine {
        service: line.service.clone(),
        size: line.size.clone(),
        quantity: line.quantity,
    }
}

/// Takes over a real count: of a line of the quote, or of something that was not on it. `counted` are the lines that were
/// counted before in this message.
fn take_count(
    desk: &Desk<'_>,
    real: &mut Sheet,
    quoted: &Sheet,
    counted: &mut Vec<usize>,
    item: Item,
    said: &LineSaid,
) -> Worked {
    let index = match revising::matching(quoted, &said.class).as_slice() {
        [index] => *index,
        _ => {
            let around: Vec<String> = quoted.lines.iter().rev().map(|line| line.service.clone()).collect();
            let line = lines::resolve(desk, item, said, &around)?;
            match real.lines.iter().position(|known| quoting::same_class(known, &line)) {
                Some(index) => index,
                None => {
                    real.lines.push(line);
                    counted.push(real.lines.len() - 1);
                    return Ok(());
                }
            }
        }
    };
    let line = &mut real.lines[index];
    let unsaid = said.quantity == QuantitySaid::Unsaid && desk.filled(desk.slot(item, Hole::Quantity)).is_none();
    if !unsaid {
        let class = lines::Class {
            service: line.service.clone(),
            size: line.size.clone(),
        };
        let quantity = lines::resolve_quantity(desk, item, said, &class, line.unit)?;
        let again = SheetLine {
            quantity,
            ..line.clone()
        };
        if counted.contains(&index) {
            // The counts put together are told with what was done.
            let _ = quoting::join(desk, item, line, &again, said.more)?;
        } else {
            *line = again;
        }
    }
    counted.push(index);
    Ok(())
}
