//! The parts of the state as rows of the stored projection: canonical text, the same for the same state.

use super::{
    facts::write_done,
    form::{Written, printed},
    question, settings, sheet,
};
use crate::journal::{
    book::Place,
    clock::{Mark, Told},
    price_list::{Class, Service},
    quotes::{Client, ClientLink, ClientOffer, ClientWords, Finish, Payment, QuoteEntry},
    readers::{CalendarLink, Sight},
    settings::Settings,
    talk::Talk,
};
use crate::units::QuoteNo;

pub(in crate::journal) fn settings_row(figures: &Settings) -> String {
    settings::write_all(figures).into_value().to_string()
}

pub(in crate::journal) fn service_row(service: &Service) -> String {
    Written::new()
        .put("name", &service.name)
        .put("unit", service.unit)
        .put_some("rate", service.rate)
        .put("order", service.order)
        .list("classes", &service.classes, write_class)
        .into_value()
        .to_string()
}

pub(in crate::journal) fn place_row(place: &Place) -> String {
    let mut written = Written::new()
        .put("name", &place.name)
        .nest("notes", printed(&place.notes))
        .nest("files", printed(&place.files));
    if !place.cautions.is_empty() {
        written = written.nest("cautions", printed(&place.cautions));
    }
    written.into_value().to_string()
}

pub(in crate::journal) fn quote_row(quote: &QuoteEntry) -> String {
    let mut written = Written::new()
        .put("no", quote.no)
        .put_some("place", quote.place.as_ref())
        .put("given_at", quote.given_at)
        .put("given_by", quote.given_by.get())
        .nest("sheet", sheet::write(&quote.sheet).into_value())
        .put("total", quote.total)
        .put("status", quote.status.code())
        .put_some("agreed", quote.agreed)
        .put("priced_at", quote.priced_at)
        .put_some("decided_at", quote.decided_at)
        .put_some("planned", quote.planned)
        .put("planned_order", quote.planned_order)
        .put("let_go", quote.let_go)
        .list("payments", &quote.payments, write_payment)
        .nest("notes", printed(&quote.notes))
        .nest("files", printed(&quote.files));
    if let Some(clock) = &quote.clock {
        let clock = Written::new().list("marks", clock.marks(), write_mark);
        written = written.nest("clock", clock.into_value());
    }
    if let Some(finish) = &quote.finish {
        written = written.nest("finish", write_finish(finish).into_value());
    }
    if let Some(lost) = &quote.lost {
        let lost = Written::new()
            .put_some("reason", lost.reason.as_ref())
            .put_some("price", lost.price);
        written = written.nest("lost", lost.into_value());
    }
    if quote.client != Client::default() {
        written = written.nest("client", write_client(&quote.client).into_value());
    }
    written.into_value().to_string()
}

pub(in crate::journal) fn client_link_row(no: QuoteNo) -> String {
    Written::new().put("no", no).into_value().to_string()
}

/// The time model's figures, each printed so that it reads back as the same bits.
pub(in crate::journal) fn times_row(figures: &[(&'static str, Vec<f64>)]) -> String {
    let mut written = Written::new();
    for (name, values) in figures {
        written = written.nest(name, printed(values));
    }
    written.into_value().to_string()
}

pub(in crate::journal) fn talk_row(talk: &Talk) -> String {
    let mut written = Written::new()
        .put_some("quote", talk.quote)
        .nest("services", printed(&talk.services))
        .put_some("services_from", talk.services_from.as_ref());
    if let Some(pending) = &talk.pending {
        written = written
            .put("asked_after", &pending.cause)
            .nest("question", question::write(&pending.question).into_value());
    }
    if !talk.guide.sources.is_empty() {
        written = written
            .nest("guide_sources", printed(&talk.guide.sources))
            .flag("guide_spoke_last", talk.guide.spoke_last);
    }
    written = written.put_some("guide_plant", talk.guide.plant.as_ref());
    if let Some(shown) = &talk.what_if {
        written = written
            .put("what_if_of", shown.no)
            .nest("what_if", sheet::write(&shown.sheet).into_value());
    }
    written.into_value().to_string()
}

fn write_client(client: &Client) -> Written {
    let written =
        Written::new()
            .list("links", &client.links, write_link)
            .list("asked", &client.asked, write_client_words);
    match &client.accepted {
        Some(yes) => written.nest("accepted", write_client_words(yes).into_value()),
        None => written,
    }
}

fn write_link(link: &ClientLink) -> Written {
    write_offer(Written::new().put("hash", &link.hash), &link.offer).flag("shut", link.shut)
}

pub(super) fn write_offer(written: Written, offer: &ClientOffer) -> Written {
    written
        .put("until", offer.until)
        .put_some("terms", offer.terms.as_ref())
        .put_some("not_included", offer.not_included.as_ref())
}

fn write_client_words(said: &ClientWords) -> Written {
    Written::new()
        .put("name", &said.name)
        .put("at", said.at)
        .put("words", &said.words)
}

fn write_class(class: &Class) -> Written {
    Written::new()
        .put_some("size", class.size.as_ref())
        .put_some("minutes_each", class.minutes_each)
        .put("basis", sheet::basis_text(class.basis))
        .put_some("material_each", class.material_each)
        .put_some("price_each", class.price_each)
}

fn write_mark(mark: &Mark) -> Written {
    let (told, crew) = match mark.what {
        Told::On(crew) => ("on", crew),
        Told::Off => ("off", None),
        Told::People(crew) => ("people", Some(crew)),
        Told::End => ("end", None),
    };
    Written::new()
        .put("at", mark.at)
        .put("told", told)
        .put_some("crew", crew)
}

fn write_payment(payment: &Payment) -> Written {
    Written::new()
        .put("amount", payment.amount)
        .put_some("method", payment.method.as_ref())
        .put("at", payment.at)
}

fn write_finish(finish: &Finish) -> Written {
    Written::new()
        .put("ended", finish.ended)
        .put("crew", finish.crew)
        .put("man_minutes", finish.man_minutes)
        .put_some("man_minutes_low", finish.range.map(|(low, _)| low))
        .put_some("man_minutes_high", finish.range.map(|(_, high)| high))
        .list("done", &finish.done, write_done)
        .put("extra", finish.extra)
        .put("billed", finish.billed)
}

pub(in crate::journal) fn calendar_row(link: &CalendarLink) -> String {
    Written::new()
        .put("member", link.member.get())
        .flag("shut", link.shut)
        .into_value()
        .to_string()
}

pub(in crate::journal) fn sight_row(sight: &Sight) -> String {
    let name = |(name, show): &(&String, &bool)| Written::new().put("name", name).flag("show", **show);
    let names: Vec<(&String, &bool)> = sight.by_name.iter().collect();
    Written::new()
        .flag("crew", sight.crew)
        .list("names", &names, name)
        .into_value()
        .to_string()
}
