//! What becomes of a quote: won, lost, and the words kept with it.

use rust_decimal::Decimal;

use super::{
    answer::{JobNews, JobShown, Part, What},
    days,
    desk::{Desk, Worked},
    figures, places,
    which::{self, Last, Sort},
};
use crate::{
    journal::{Event, Item},
    language::PlaceSaid,
    pricing,
    units::QuoteNo,
};

/// The client said yes, at the quote's total or at another price.
pub(super) fn won(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, price: Option<Decimal>) -> Worked {
    let no = which::job(desk, place, &[Sort::OPEN, Sort::NOT_DONE], Last::Ask)?;
    let Some(entry) = desk.quote(no).cloned() else {
        return Ok(());
    };
    let mut agreed = entry.total;
    if let Some(price) = price {
        let price = figures::money(What::Price, price)?;
        let mut sheet = entry.sheet.clone();
        sheet.price_said = Some(price);
        sheet.take_off(pricing::Discount::None);
        let priced = pricing::quote(&sheet)?;
        agreed = priced.total;
        if sheet != entry.sheet {
            desk.record(Event::QuoteRevised {
                no,
                place: entry.place.clone(),
                sheet,
                total: agreed,
            });
        }
    }
    desk.record(Event::QuoteWon { no, agreed });
    show(desk, no, JobNews::Won);
    Ok(())
}

/// The client said no.
pub(super) fn lost(
    desk: &mut Desk<'_>,
    place: Option<&PlaceSaid>,
    reason: Option<&str>,
    price: Option<Decimal>,
) -> Worked {
    let no = which::job(desk, place, &[Sort::OPEN, Sort::ACTIVE], Last::Ask)?;
    let price = price.map(|price| figures::money(What::Price, price)).transpose()?;
    let reason = reason.map(str::to_string);
    desk.record(Event::QuoteLost {
        no,
        reason: reason.clone(),
        price,
    });
    show(desk, no, JobNews::Lost { reason, price });
    Ok(())
}

/// Words are kept with the place, the quote being talked about, or the account.
pub(super) fn note(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, text: &str) -> Worked {
    let numbered = place.and_then(|place| place.quote);
    let chosen = places::choose(desk, Item::Whole, place)?;
    let place = places::keep(desk, chosen);
    let no = match &place {
        _ if numbered.is_some() => numbered.map(QuoteNo::new),
        Some(_) => None,
        None => desk.current_quote().map(|quote| quote.no),
    };
    let place = place.or_else(|| desk.current_quote().and_then(|quote| quote.place.clone()));
    desk.record(Event::NoteKept {
        no,
        place: place.clone(),
        text: text.to_string(),
    });
    desk.say(Part::Noted {
        place,
        no,
        text: text.to_string(),
    });
    Ok(())
}

/// Puts a job into the answer.
pub(super) fn show(desk: &mut Desk<'_>, no: QuoteNo, news: JobNews) {
    if let Some(entry) = desk.quote(no).cloned() {
        let zone = days::zone(desk);
        desk.say(Part::Job(Box::new(JobShown {
            entry,
            zone,
            news,
            prices: true,
        })));
    }
}
