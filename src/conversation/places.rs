//! Which place, and which quote there.

use super::{
    ask::{Ask, Choice, Label, Question},
    desk::{Desk, Worked},
    which::{self, Sort},
};
use crate::{
    journal::{Event, Fill, Hole, Item, QuoteEntry},
    language::{Expecting, PlaceSaid},
    units::QuoteNo,
};

/// How many quotes fit under a question on a phone.
pub(super) const CHOICES_MAX: usize = 6;

/// A place that was settled on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PlaceChosen {
    pub(super) name: String,
    pub(super) known: bool,
}

/// Settles which place was meant.
pub(super) fn choose(desk: &Desk<'_>, item: Item, said: Option<&PlaceSaid>) -> Worked<Option<PlaceChosen>> {
    let slot = desk.slot(item, Hole::Place);
    if let Some(Fill::Place(name)) = desk.filled(slot) {
        let known = desk.book().place(&name).map(|place| place.name.clone());
        return Ok(Some(PlaceChosen {
            known: known.is_some(),
            name: known.unwrap_or(name),
        }));
    }
    let Some(said) = said else { return Ok(None) };
    if let Some(no) = said.quote {
        let no = which::numbered(desk, no)?;
        let place = desk.quote(no).and_then(|entry| entry.place.clone());
        return Ok(place.map(|name| PlaceChosen { name, known: true }));
    }
    if said.rivals.is_empty() {
        let known = desk.book().place(&said.name).map(|place| place.name.clone());
        return Ok(Some(PlaceChosen {
            known: known.is_some(),
            name: known.unwrap_or_else(|| said.name.clone()),
        }));
    }
    let known = said.known.then_some(&said.name);
    let choices = known
        .into_iter()
        .chain(&said.rivals)
        .take(CHOICES_MAX)
        .map(|name| Choice {
            label: Label::Words(name.clone()),
            fill: Fill::Place(name.clone()),
        })
        .collect();
    Err(Ask::choice(slot, Question::WhichPlace(said.name.clone()), choices).into())
}

/// Records a place that is named for the first time; gives back its name.
pub(super) fn keep(desk: &mut Desk<'_>, place: Option<PlaceChosen>) -> Option<String> {
    let place = place?;
    if !place.known {
        desk.record(Event::PlaceNamed {
            name: place.name.clone(),
        });
    }
    Some(place.name)
}

/// Settles which quote is meant: the one at the place named, else the one being talked about, else, when none is talked
/// about yet, the only one that fits. `sort` says which can be meant at all; one that is talked about and does not fit is
/// never passed over in silence for another.
pub(super) fn quote_meant(desk: &Desk<'_>, place: Option<&PlaceSaid>, sort: Sort<'_>) -> Worked<QuoteNo> {
    let slot = desk.slot(Item::Whole, Hole::Quote);
    if let Some(Fill::Quote(no)) = desk.filled(slot)
        && desk.quote(no).is_some()
    {
        return Ok(no);
    }
    if let Some(no) = place.and_then(|place| place.quote) {
        let no = which::numbered(desk, no)?;
        return match desk.quote(no).filter(|entry| sort.fits(entry)) {
            Some(entry) => Ok(entry.no),
            None => Err(Ask::value(slot, Question::NotThatQuote(no), Expecting::Nothing).into()),
        };
    }
    if let Some(place) = choose(desk, Item::Whole, place)? {
        let there = |quote: &&QuoteEntry| quote.place.as_deref() == Some(place.name.as_str()) && sort.fits(quote);
        let current = desk.current_quote().filter(there);
        return match current.or_else(|| sort.find(desk, Some(&place.name)).next()) {
            Some(quote) => Ok(quote.no),
            None => Err(Ask::value(slot, Question::NoQuoteAt(place.name), Expecting::Nothing).into()),
        };
    }
    if let Some(quote) = desk.current_quote().filter(|quote| sort.fits(quote)) {
        return Ok(quote.no);
    }
    let fitting: Vec<&QuoteEntry> = sort.find(desk, None).take(CHOICES_MAX).collect();
    match fitting.as_slice() {
        [] => Err(Ask::value(slot, Question::NoQuote, Expecting::Nothing).into()),
        [only] if desk.current_quote().is_none() => Ok(only.no),
        several => {
            let choices = several.iter().map(|quote| quote_choice(quote)).collect();
            Err(Ask::choice(slot, Question::WhichQuote, choices).into())
        }
    }
}

/// A quote as a choice.
pub(super) fn quote_choice(quote: &QuoteEntry) -> Choice {
    Choice {
        label: Label::Quote {
            no: quote.no,
            place: quote.place.clone(),
            total: Some(quote.agreed.unwrap_or(quote.total)),
        },
        fill: Fill::Quote(quote.no),
    }
}

/// A quote that work can still be done on.
pub(super) fn is_active(quote: &QuoteEntry) -> bool {
    quote.status.is_active()
}

/// Whether work can still be done on a quote at a place.
pub(super) fn has_active(desk: &Desk<'_>, place: &PlaceSaid) -> bool {
    place.rivals.is_empty() && Sort::ACTIVE.find(desk, Some(&place.name)).next().is_some()
}
