//! Something to look at: the price list, the figures, the quote in hand and its sum, what is open and what is owed.

use super::{
    answer::{
        Attachment, Cell, FiguresShown, JobNews, Part, PricedShown, QuoteList, Remark, SetShown, Table, WhyShown,
    },
    ask::{Ask, Question},
    client, coming_back, costs,
    desk::{Desk, Worked},
    drawing, files, guide, jobs, kept, lines, minutes, paying, places, plotting,
    quoting::{self, Showing},
    reports, setting,
    which::Sort,
};
use crate::{
    journal::{Class, Event, Hole, Item, QuoteEntry, Service, SettingSet, Status},
    language::{ClassSaid, Expecting, Look, PeriodSaid, PlaceSaid},
    pricing,
    units::{Money, QuoteNo},
};

/// How many rows of a list fit into a message.
pub(super) const ROWS_MAX: usize = 12;

/// How long a sign-in code is good.
const CODE_MINUTES: u32 = 10;

/// Shows something.
pub(super) fn look(desk: &mut Desk<'_>, what: &Look) -> Worked {
    match what {
        Look::Times(class) => times(desk, class.as_ref()),
        Look::PriceList => price_list(desk),
        Look::PricesOf(class) => prices_of(desk, class),
        Look::Costs => show_costs(desk),
        Look::Why => why(desk),
        Look::ShowQuote(place) => show_quote(desk, place.as_ref()),
        Look::OpenQuotes => {
            reports::open_quotes(desk, None);
            Ok(())
        }
        Look::Unanswered(days) => {
            reports::open_quotes(desk, Some(*days));
            Ok(())
        }
        Look::Owed => {
            paying::owed(desk);
            Ok(())
        }
        Look::Send { place, as_text } => client::send(desk, place.as_ref(), *as_text),
        Look::Unsend(place) => client::unsend(desk, place.as_ref()),
        Look::SignIn => {
            sign_in(desk);
            Ok(())
        }
        Look::Terms => {
            terms(desk);
            Ok(())
        }
        Look::Reminder(place) => paying::reminder(desk, place.as_ref()),
        Look::LastTime(place) => coming_back::last_time(desk, place.as_ref()),
        Look::Photos(place) => kept::show(desk, place.as_ref()),
        Look::Due(said) => coming_back::due(desk, *said),
        Look::Period(said) => reports::period(desk, *said),
        Look::Picture(said) => drawing::picture(desk, *said),
        Look::WhatPays => reports::what_pays(desk),
        Look::WinShare => {
            reports::win_share(desk);
            Ok(())
        }
        Look::Day(day) => reports::period(desk, PeriodSaid::Day(*day)),
        Look::Left(day) => reports::left(desk, *day),
        Look::File(said) => files::file(desk, *said),
        Look::Plot(class) => plotting::plot(desk, class),
    }
}

/// What every client page says, as if it were set again.
fn terms(desk: &mut Desk<'_>) {
    let settings = desk.book().settings();
    let figures = [
        SettingSet::OfferDays(settings.offer_days.unwrap_or(client::OFFER_DAYS)),
        SettingSet::ClientTerms(settings.client_terms.clone()),
        SettingSet::NotIncluded(settings.not_included.clone()),
    ];
    for figure in figures {
        desk.say(Part::Set(SetShown { figure, costs: None }));
    }
}

/// A code with which another phone signs in as whoever speaks.
fn sign_in(desk: &mut Desk<'_>) {
    let base = desk.ctx.public_url.clone();
    desk.say(Part::SignInCode {
        minutes: CODE_MINUTES,
        base,
    });
}

/// Minutes of the price list: of one kind, of one size, or of everything that the owner gave.
fn times(desk: &mut Desk<'_>, class: Option<&ClassSaid>) -> Worked {
    let rows = match class {
        Some(class) => {
            let topic = desk.talk().services;
            let name = lines::resolve_kind(desk, Item::Whole, class, &lines::class_counted(class), &topic)?;
            if desk.talk().services != [name.as_str()] {
                desk.record(Event::ServiceMentioned { service: name.clone() });
            }
            let service = desk.book().service(&name);
            service
                .map(|service| minutes::rows_of(desk.book(), service, class.size.as_deref()))
                .unwrap_or_default()
        }
        None => listed(desk)
            .into_iter()
            .flat_map(|service| minutes::rows_of(desk.book(), service, None))
            .collect(),
    };
    desk.say(Part::Times(rows));
    Ok(())
}

/// The kinds that the owner gave figures for, and those that his jobs did; all of the starter list while there are none.
fn listed<'a>(desk: &'a Desk<'_>) -> Vec<&'a Service> {
    let all = desk.book().services();
    let learned = |service: &Service| {
        let of = |class: &Class| desk.book().learned(&service.name, class.size.as_deref()).is_some();
        service.classes.iter().any(of)
    };
    let own: Vec<&Service> = all
        .iter()
        .copied()
        .filter(|service| service.is_own() || learned(service))
        .collect();
    if own.is_empty() { all } else { own }
}

fn price_list(desk: &mut Desk<'_>) -> Worked {
    let rows: Vec<PricedShown> = listed(desk)
        .into_iter()
        .flat_map(|service| {
            service
                .classes
                .iter()
                .map(|class| (service.name.as_str(), class.size.as_deref()))
        })
        .filter_map(|(name, size)| setting::priced(desk, name, size))
        .collect();
    let settings = desk.book().settings().clone();
    let starter_rate = settings.rate.is_none().then(|| desk.book().rate());
    desk.say(Part::Figures(Box::new(FiguresShown { settings, starter_rate })));
    desk.say(Part::PriceList(rows));
    Ok(())
}

/// The prices of one kind, or of one size of it.
fn prices_of(desk: &mut Desk<'_>, class: &ClassSaid) -> Worked {
    let topic = desk.talk().services;
    let name = lines::resolve_kind(desk, Item::Whole, class, &lines::class_counted(class), &topic)?;
    if desk.talk().services != [name.as_str()] {
        desk.record(Event::ServiceMentioned { service: name.clone() });
    }
    let classes = desk
        .book()
        .service(&name)
        .map(|service| service.classes.clone())
        .unwrap_or_default();
    let rows: Vec<PricedShown> = classes
        .iter()
        .filter(|known| class.size.is_none() || known.size == class.size)
        .filter_map(|known| setting::priced(desk, &name, known.size.as_deref()))
        .collect();
    desk.say(Part::PriceList(rows));
    Ok(())
}

fn show_costs(desk: &mut Desk<'_>) -> Worked {
    let settings = desk.book().settings();
    let Some(shown) = costs::build_up(settings) else {
        let slot = desk.slot(Item::Whole, Hole::Money);
        let question = Question::CostsMissing(costs::missing(settings));
        return Err(Ask::value(slot, question, Expecting::Nothing).into());
    };
    desk.say(Part::Costs(shown));
    Ok(())
}

/// The sum that was shown last, step by step.
fn why(desk: &mut Desk<'_>) -> Worked {
    if desk.talk().guide.spoke_last || (desk.current_quote().is_none() && !desk.talk().guide.sources.is_empty()) {
        guide::sources(desk);
        return Ok(());
    }
    let what_if = desk.talk().what_if;
    let no = match &what_if {
        Some(shown) => shown.no,
        None => places::quote_meant(desk, None, Sort::ANY)?,
    };
    let sheet = what_if.as_ref().map(|shown| shown.sheet.clone());
    let Some(sheet) = sheet.or_else(|| desk.quote(no).map(|entry| entry.sheet.clone())) else {
        return Ok(());
    };
    let priced = pricing::quote(&sheet)?;
    desk.say(Part::Why(Box::new(WhyShown {
        no,
        what_if: what_if.is_some(),
        priced,
    })));
    if !desk.talk().guide.sources.is_empty() {
        guide::sources(desk);
    }
    Ok(())
}

fn show_quote(desk: &mut Desk<'_>, place: Option<&PlaceSaid>) -> Worked {
    let no = places::quote_meant(desk, place, Sort::ANY)?;
    desk.record(Event::QuoteShown { no });
    show_stored(desk, no);
    Ok(())
}

/// Puts a quote into the answer as it stands.
pub(super) fn show_stored(desk: &mut Desk<'_>, no: QuoteNo) {
    let Some(entry) = desk.quote(no).cloned() else { return };
    let Ok(priced) = pricing::quote(&entry.sheet) else {
        return;
    };
    let remarks: Vec<Remark> = Vec::new();
    quoting::show(
        desk,
        &entry,
        entry.place.clone(),
        &entry.sheet,
        priced,
        remarks,
        Showing::Stored,
    );
    if entry.status != Status::Open {
        jobs::show(desk, no, JobNews::Shown);
    }
}

/// A list that is too long for a message, all of it as a table that goes with the answer.
pub(super) fn attach_whole_list(
    desk: &mut Desk<'_>,
    which: QuoteList,
    numbers: &[QuoteNo],
    amount: impl Fn(&QuoteEntry) -> Money,
) {
    if numbers.len() <= ROWS_MAX {
        return;
    }
    let name = match which {
        QuoteList::Open => "open quotes",
        QuoteList::Unanswered(_) => "quotes without an answer",
        QuoteList::Owed => "owed",
    };
    let row = |entry: &QuoteEntry| {
        vec![
            Cell::Number(entry.no.get().into()),
            entry.place.clone().map_or(Cell::Empty, Cell::Text),
            Cell::Text(entry.given_at.to_string()),
            Cell::Text(entry.status.code().to_string()),
            Cell::Number(amount(entry).get()),
        ]
    };
    let rows = numbers.iter().filter_map(|no| desk.quote(*no)).map(row).collect();
    let table = Table {
        name: name.to_string(),
        columns: ["quote", "place", "given at", "status", "dollars"]
            .map(str::to_string)
            .into(),
        rows,
    };
    desk.say(Part::Attachment(Attachment::Table(table)));
}

/// After something was taken back, shows the quote being talked about if it is another than before.
pub(super) fn show_current_if_changed(desk: &mut Desk<'_>, before: Option<&QuoteEntry>) {
    let Some(now) = desk.current_quote().cloned() else {
        return;
    };
    if before != Some(&now) {
        show_stored(desk, now.no);
    }
}
