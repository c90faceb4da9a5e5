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
    journal::{Fill, Hole, Item, QuoteEntry, Status, Within},
    language::{Expecting, PlaceSaid},
    units::QuoteNo,
};

/// A sort of jobs that can be meant: some that the book keeps together, and of those the ones that fit.
#[derive(Clone, Copy)]
pub(super) struct Sort<'s> {
    within: Within,
    that: Option<&'s dyn Fn(&QuoteEntry) -> bool>,
}

impl<'s> Sort<'s> {
    /// Any quote.
    pub(super) const ANY: Sort<'static> = Sort::within(Within::All);
    /// Quotes without an answer.
    pub(super) const OPEN: Sort<'static> = Sort::of(&[Status::Open]);
    /// Quotes that work can still be done on.
    pub(super) const ACTIVE: Sort<'static> = Sort::of(&[Status::Open, Status::Won, Status::Here, Status::Paused]);
    /// Jobs that were agreed and are not done.
    pub(super) const AGREED: Sort<'static> = Sort::of(&[Status::Won, Status::Here, Status::Paused]);
    /// Jobs that the crew is at.
    pub(super) const ON_JOB: Sort<'static> = Sort::of(&[Status::Here, Status::Paused]);
    /// Jobs that are done.
    pub(super) const DONE: Sort<'static> = Sort::of(&[Status::Done]);
    /// Jobs that are done and owe money.
    pub(super) const OWED: Sort<'static> = Sort::within(Within::Owed);
    /// Quotes that the client can say yes to: open, or lost before.
    pub(super) const NOT_DONE: Sort<'static> =
        Sort::of(&[Status::Open, Status::Won, Status::Here, Status::Paused, Status::Lost]);
    /// Quotes that were not lost.
    pub(super) const NOT_LOST: Sort<'static> =
        Sort::of(&[Status::Open, Status::Won, Status::Here, Status::Paused, Status::Done]);

    /// Those that have come so far.
    pub(super) const fn of(statuses: &'static [Status]) -> Sort<'static> {
        Sort::within(Within::Of(statuses))
    }

    /// Those that the book keeps together.
    pub(super) const fn within(within: Within) -> Sort<'static> {
        Sort { within, that: None }
    }

    /// Of those the ones that fit.
    pub(super) fn that(self, fits: &'s dyn Fn(&QuoteEntry) -> bool) -> Sort<'s> {
        Sort {
            that: Some(fits),
            ..self
        }
    }

    /// Whether a quote is of this sort.
    pub(super) fn fits(&self, entry: &QuoteEntry) -> bool {
        self.within.holds(entry) && self.that.is_none_or(|fits| fits(entry))
    }

    /// The quotes of this sort, newest first: all, or those at a place.
    pub(super) fn find<'d>(
        &'d self,
        desk: &'d Desk<'_>,
        place: Option<&'d str>,
    ) -> Box<dyn Iterator<Item = &'d QuoteEntry> + 'd> {
        let book = desk.book();
        match place {
            Some(place) => Box::new(book.quotes_at(place).filter(|entry| self.fits(entry))),
            None => Box::new(book.within(self.within).filter(|entry| self.fits(entry))),
        }
    }
}

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
        let place = chosen.as_ref().map(|place| place.name.as_str());
        // More than can be asked about are not looked for.
        let mut found: Vec<&QuoteEntry> = sort.find(desk, place).take(places::CHOICES_MAX + 1).collect();
        let (Some(newest), count) = (found.first().copied(), found.len()) else {
            continue;
        };
        if let Some(current) = current.filter(|current| sort.fits(current)) {
            return Ok(current.no);
        }
        // What is talked about and fits less well is offered beside what fits better.
        let fits_less = |entry: &&QuoteEntry| sorts[index + 1..].iter().any(|sort| sort.fits(entry));
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
