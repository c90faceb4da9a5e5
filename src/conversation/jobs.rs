//! What becomes of a quote: won, lost, planned, paid, and the words kept with it.

use rust_decimal::Decimal;

use super::{
    answer::{JobNews, JobShown, Part, What},
    ask::{Ask, Question},
    days,
    desk::{Desk, Worked},
    figures, places,
};
use crate::{
    journal::{Event, Hole, Item, QuoteEntry, Status},
    language::{Expecting, PlaceSaid, WhenSaid},
    pricing,
    units::QuoteNo,
};

/// The client said yes, at the quote's total or at another price.
pub(super) fn won(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, price: Option<Decimal>) -> Worked {
    let no = places::quote_meant(desk, place, places::can_be_won)?;
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
    let no = places::quote_meant(desk, place, places::is_active)?;
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

/// A day is fixed.
pub(super) fn plan(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, when: WhenSaid) -> Worked {
    let no = places::quote_meant(desk, place, places::is_active)?;
    if when == WhenSaid::default() {
        let slot = desk.slot(Item::Whole, Hole::Reading);
        return Err(Ask::value(slot, Question::WhichDay, Expecting::Nothing).into());
    }
    let before = desk.quote(no).and_then(|quote| quote.planned);
    let start = days::instant(desk, when, before)?;
    desk.record(Event::JobPlanned { no, start });
    let time_said = when.minute_of_day.is_some() || before.is_some();
    show(desk, no, JobNews::Planned { time_said });
    Ok(())
}

/// Money came in: an amount, or all that was open.
pub(super) fn paid(
    desk: &mut Desk<'_>,
    place: Option<&PlaceSaid>,
    amount: Option<Decimal>,
    method: Option<&str>,
) -> Worked {
    let no = places::quote_meant(desk, place, places::not_lost)?;
    let Some(entry) = desk.quote(no) else { return Ok(()) };
    let amount = match amount {
        Some(amount) => figures::money(What::Payment, amount)?,
        None => entry.owed(),
    };
    let method = method.map(str::to_string);
    if !amount.is_zero() {
        desk.record(Event::PaymentTaken {
            no,
            amount,
            method: method.clone(),
        });
    }
    show(desk, no, JobNews::Paid { amount, method });
    Ok(())
}

/// Words are kept with the place, the quote being talked about, or the account.
pub(super) fn note(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, text: &str) -> Worked {
    let chosen = places::choose(desk, Item::Whole, place)?;
    let place = places::keep(desk, chosen);
    let no = match &place {
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
        desk.say(Part::Job(Box::new(JobShown { entry, zone, news })));
    }
}

/// Whether money is still to come for a job.
pub(super) fn is_owed(entry: &QuoteEntry) -> bool {
    entry.status == Status::Done && !entry.owed().is_zero()
}
