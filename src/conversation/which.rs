//! Which job is meant, when the words fit more than one.
//!
//! What was said fits some jobs better than others: `paid` a job that is done and owes money before one that is only won.
//! The jobs are looked through in that order, and the first sort that has any decides. Several of one sort are asked
//! about, unless one of them is being talked about.

use super::{
    ask::{Ask, Question},
    desk::{Desk, Worked},
    places,
};
use crate::{
    journal::{Fill, Hole, Item, QuoteEntry},
    language::{Expecting, PlaceSaid},
    units::QuoteNo,
};

/// A sort of jobs that can be meant.
pub(super) type Sort<'s> = &'s dyn Fn(&QuoteEntry) -> bool;

/// What is done when several of the last sort fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Last {
    /// They are asked about like others.
    Ask,
    /// The newest is taken: nothing will be changed.
    Newest,
}

/// The job meant.
pub(super) fn job(desk: &Desk<'_>, place: Option<&PlaceSaid>, sorts: &[Sort<'_>], last: Last) -> Worked<QuoteNo> {
    let slot = desk.slot(Item::Whole, Hole::Quote);
    if let Some(Fill::Quote(no)) = desk.filled(slot)
        && desk.quote(no).is_some()
    {
        return Ok(no);
    }
    if let Some(no) = place.and_then(|place| place.quote) {
        return numbered(desk, no);
    }
    let chosen = places::choose(desk, Item::Whole, place)?;
    let there = |entry: &QuoteEntry| {
        chosen
            .as_ref()
            .is_none_or(|place| entry.place.as_deref() == Some(place.name.as_str()))
    };
    let current = desk.current_quote().filter(|entry| there(entry));
    for (index, sort) in sorts.iter().enumerate() {
        let all = desk.book().quotes_newest_first();
        let mut found: Vec<&QuoteEntry> = all.filter(|entry| there(entry) && sort(entry)).collect();
        let (Some(newest), count) = (found.first().copied(), found.len()) else {
            continue;
        };
        if let Some(current) = current.filter(|current| sort(current)) {
            return Ok(current.no);
        }
        // What is talked about and fits less well is offered beside what fits better.
        let fits_less = |entry: &&QuoteEntry| sorts[index + 1..].iter().any(|sort| sort(entry));
        found.extend(current.filter(fits_less));
        let talks_of_another = chosen.is_none() && desk.current_quote().is_some();
        if (count == found.len() && count == 1 && !talks_of_another)
            || (last == Last::Newest && index + 1 == sorts.len())
        {
            return Ok(newest.no);
        }
        let choices = found.into_iter().take(places::CHOICES_MAX).map(places::quote_choice);
        return Err(Ask::choice(slot, Question::WhichQuote, choices.collect()).into());
    }
    let question = match chosen {
        Some(place) => Question::NoQuoteAt(place.name),
        None => Question::NoQuote,
    };
    Err(Ask::value(slot, question, Expecting::Nothing).into())
}

/// A quote by its number.
pub(super) fn numbered(desk: &Desk<'_>, no: u32) -> Worked<QuoteNo> {
    let slot = desk.slot(Item::Whole, Hole::Quote);
    match desk.quote(QuoteNo::new(no)) {
        Some(entry) => Ok(entry.no),
        None => Err(Ask::value(slot, Question::NoSuchQuote(no), Expecting::Nothing).into()),
    }
}
