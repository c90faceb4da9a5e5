//! Money that comes in, money that does not, and the words to ask for it.
//!
//! A payment goes to the job that owes; more than is owed is asked about before it is put down, less is put down with what
//! is still to come. What will not come is let go only when the owner says so.

use rust_decimal::Decimal;

use super::{
    answer::{JobNews, Part, QuoteList, QuoteRow, QuotesShown, ReminderShown, What},
    ask::{Ask, Choice, Label, Question},
    days,
    desk::{Desk, Worked},
    figures, jobs, look,
    which::{self, Last, Sort},
};
use crate::{
    journal::{Event, Fill, Hole, Item, QuoteEntry, Within},
    language::PlaceSaid,
    units::{Money, QuoteNo},
};

/// Money came in: an amount, or all that was open.
pub(super) fn paid(
    desk: &mut Desk<'_>,
    place: Option<&PlaceSaid>,
    amount: Option<Decimal>,
    method: Option<&str>,
) -> Worked {
    let said = amount.map(|amount| figures::money(What::Payment, amount)).transpose()?;
    let no = paying_job(desk, place, said)?;
    let Some(entry) = desk.quote(no).cloned() else {
        return Ok(());
    };
    let method = method.map(str::to_string);
    let amount = match said {
        Some(amount) if amount > entry.owed() => match settle_too_much(desk, &entry, amount)? {
            Some(amount) => amount,
            None => {
                jobs::show(desk, no, JobNews::Shown);
                return Ok(());
            }
        },
        Some(amount) => amount,
        None => entry.owed(),
    };
    if !amount.is_zero() {
        desk.record(Event::PaymentTaken {
            no,
            amount,
            method: method.clone(),
        });
    }
    jobs::show(desk, no, JobNews::Paid { amount, method });
    Ok(())
}

/// The job that is paid: one that is done and owes, or else one that was agreed, or a quote; at last one that was paid.
fn paying_job(desk: &Desk<'_>, place: Option<&PlaceSaid>, amount: Option<Money>) -> Worked<QuoteNo> {
    let owes = |entry: &QuoteEntry| !entry.owed().is_zero();
    let exactly = |entry: &QuoteEntry| amount == Some(entry.owed());
    let exactly = Sort::OWED.that(&exactly);
    let agreed = Sort::AGREED.that(&owes);
    // The amount decides between several at one place; without a place, what is talked about comes first.
    if place.is_some()
        && let Ok(no) = which::job(desk, place, &[exactly], Last::Ask)
    {
        return Ok(no);
    }
    if place.is_some() || desk.current_quote().is_none_or(|entry| !entry.is_owed()) {
        which::job(
            desk,
            place,
            &[exactly, Sort::OWED, agreed, Sort::OPEN, Sort::NOT_LOST],
            Last::Newest,
        )
    } else {
        which::job(
            desk,
            place,
            &[Sort::OWED, agreed, Sort::OPEN, Sort::NOT_LOST],
            Last::Newest,
        )
    }
}

/// More came than was asked: is it all for this job, or was it the amount asked, or nothing?
fn settle_too_much(desk: &Desk<'_>, entry: &QuoteEntry, amount: Money) -> Worked<Option<Money>> {
    let slot = desk.slot(Item::Whole, Hole::Money);
    match desk.filled(slot) {
        Some(Fill::Number(settled)) => return Ok(Some(figures::money(What::Payment, settled)?)),
        Some(Fill::No) => return Ok(None),
        _ => {}
    }
    let owed = entry.owed();
    let mut choices = vec![Choice {
        label: Label::TakeAll(amount),
        fill: Fill::Number(amount.get()),
    }];
    if !owed.is_zero() {
        choices.push(Choice {
            label: Label::TakeOnly(owed),
            fill: Fill::Number(owed.get()),
        });
    }
    choices.push(Choice {
        label: Label::LeaveIt,
        fill: Fill::No,
    });
    let question = Question::PaidTooMuch {
        no: entry.no,
        place: entry.place.clone(),
        amount,
        owed,
    };
    Err(Ask::choice(slot, question, choices).into())
}

/// What is still to come is let go.
pub(super) fn settled(desk: &mut Desk<'_>, place: Option<&PlaceSaid>) -> Worked {
    let no = which::job(desk, place, &[Sort::OWED, Sort::NOT_LOST], Last::Newest)?;
    let amount = desk.quote(no).map_or(Money::ZERO, QuoteEntry::owed);
    if !amount.is_zero() {
        desk.record(Event::RestLetGo { no, amount });
    }
    jobs::show(desk, no, JobNews::Settled(amount));
    Ok(())
}

/// What is owed, the oldest first.
pub(super) fn owed(desk: &mut Desk<'_>) {
    let today = days::today(desk);
    let mut all: Vec<&QuoteEntry> = desk.book().within(Within::Owed).collect();
    all.sort_by_key(|entry| (entry.finish.as_ref().map(|finish| finish.ended), entry.no));
    let sum = Money::checked_sum(all.iter().map(|entry| entry.owed())).unwrap_or(Money::ZERO);
    let row = |entry: &&QuoteEntry| {
        let since = entry
            .finish
            .as_ref()
            .map(|finish| days::local(desk, finish.ended).date_naive());
        QuoteRow {
            no: entry.no,
            place: entry.place.clone(),
            amount: entry.owed(),
            since,
            days: since.map(|since| (today - since).num_days()),
        }
    };
    let shown = QuotesShown {
        list: QuoteList::Owed,
        rows: all.iter().take(look::ROWS_MAX).map(row).collect(),
        count: all.len(),
        sum,
    };
    let numbers: Vec<QuoteNo> = all.iter().map(|entry| entry.no).collect();
    desk.say(Part::Quotes(shown));
    look::attach_whole_list(desk, QuoteList::Owed, &numbers, QuoteEntry::owed);
}

/// Polite words about an open amount.
pub(super) fn reminder(desk: &mut Desk<'_>, place: Option<&PlaceSaid>) -> Worked {
    if place.is_none() && Sort::OWED.find(desk, None).next().is_none() {
        owed(desk);
        return Ok(());
    }
    let no = which::job(desk, place, &[Sort::OWED, Sort::DONE], Last::Newest)?;
    let Some(entry) = desk.quote(no).cloned() else {
        return Ok(());
    };
    if entry.owed().is_zero() {
        jobs::show(
            desk,
            no,
            JobNews::Paid {
                amount: Money::ZERO,
                method: None,
            },
        );
        return Ok(());
    }
    let ended = entry.finish.as_ref().map(|finish| finish.ended);
    desk.say(Part::Reminder(Box::new(ReminderShown {
        business: desk.book().settings().business_name.clone(),
        place: entry.place.clone(),
        owed: entry.owed(),
        paid: entry.paid(),
        done_on: ended.map(|ended| days::local(desk, ended).date_naive()),
    })));
    Ok(())
}
