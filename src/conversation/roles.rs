//! What a member of the crew may say and see.
//!
//! The crew clocks, finishes, notes, times, asks the guide and looks at days and places; everything that makes or changes a
//! price is the owner's. Prices are taken out of what the crew is shown unless the owner says otherwise. Seeing prices is
//! one thing and making them another: whoever may quote may see, plan and say won, but rates, the price list, payments
//! and reports stay the owner's. What is let through is listed, so that a new kind of message or answer is the owner's
//! until somebody decides.

use super::{
    answer::{Attachment, Part, Picture, TimesShown},
    ask::{Ask, Choice, Label, Question},
    desk::{Desk, Worked},
};
use crate::{
    journal::Event,
    language::{AnswerSaid, Look, Meaning, MembersSaid, PeriodSaid},
};

/// What the member who speaks may do and see.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// Everything.
    Owner,
    /// The crew's part and quotes, from the first count to the day it is planned for.
    CrewWhoQuote,
    /// The crew's part, with prices.
    CrewWithPrices,
    /// The crew's part, without prices.
    Crew,
}

/// The role of the member who speaks. A house that says nothing of its members has only its owner.
pub(super) fn role(desk: &Desk<'_>) -> Role {
    let members = &desk.ctx.house.members;
    let Some(speaker) = members.iter().find(|member| member.id == desk.inbound.member) else {
        return if members.is_empty() { Role::Owner } else { Role::Crew };
    };
    match () {
        () if speaker.owner => Role::Owner,
        () if desk.book().lets_quote(&speaker.name) => Role::CrewWhoQuote,
        () if desk.book().shows_prices_to(&speaker.name) => Role::CrewWithPrices,
        () => Role::Crew,
    }
}

/// Whether somebody of this role may say that.
pub(super) fn may_say(role: Role, meaning: &Meaning) -> bool {
    match meaning {
        _ if role == Role::Owner => true,
        Meaning::Here { .. }
        | Meaning::Pause { .. }
        | Meaning::Resume { .. }
        | Meaning::Clock(_)
        | Meaning::Finish(_)
        | Meaning::Note { .. }
        | Meaning::Guide(_)
        | Meaning::PlaceCaution { .. }
        | Meaning::Time(_)
        | Meaning::Menu
        | Meaning::Undo { .. }
        | Meaning::House(_)
        | Meaning::Members(MembersSaid::Calendar | MembersSaid::NoCalendar)
        | Meaning::Look(
            Look::Times(_)
            | Look::LastTime(_)
            | Look::Photos(_)
            | Look::Day(_)
            | Look::Left(_)
            | Look::Plot(_)
            | Look::SignIn,
        ) => true,
        Meaning::Look(Look::Period(said)) => matches!(said, PeriodSaid::Week(_) | PeriodSaid::Day(_)),
        Meaning::Look(Look::ShowQuote(_) | Look::Why | Look::PriceList | Look::PricesOf(_)) => role != Role::Crew,
        Meaning::Answer(AnswerSaid::Place(place)) => place.quote.is_none() || role != Role::Crew,
        Meaning::Quote { .. }
        | Meaning::Revise { .. }
        | Meaning::Solve(_)
        | Meaning::Again { .. }
        | Meaning::Won { .. }
        | Meaning::Lost { .. }
        | Meaning::Plan { .. }
        | Meaning::Shift { .. }
        | Meaning::Order { .. }
        | Meaning::Look(Look::OpenQuotes | Look::Unanswered(_) | Look::Due(_) | Look::Send { .. } | Look::Unsend(_)) => {
            role == Role::CrewWhoQuote
        }
        Meaning::Answer(_) => true,
        _ => false,
    }
}

/// The answer as somebody of this role may see it.
pub(super) fn shown_to(role: Role, parts: Vec<Part>) -> Vec<Part> {
    if role != Role::Crew {
        return parts;
    }
    let mut shown: Vec<Part> = parts.into_iter().filter_map(without_prices).collect();
    if shown.is_empty() {
        shown.push(Part::OwnersOnly);
    }
    shown
}

/// A part without prices; `None` when nothing would be left of it.
fn without_prices(part: Part) -> Option<Part> {
    Some(match part {
        Part::Job(mut shown) => {
            shown.prices = false;
            Part::Job(shown)
        }
        Part::LastTime(mut shown) => {
            shown.prices = false;
            Part::LastTime(shown)
        }
        Part::Days(mut shown) => {
            shown.prices = false;
            Part::Days(shown)
        }
        Part::Ask(ask) => Part::Ask(Box::new(ask_without_prices(*ask)?)),
        // What a trend is worth is money.
        Part::Times(rows) => Part::Times(rows.into_iter().map(without_worth).collect()),
        Part::Timed(mut timed) => {
            timed.now = timed.now.map(without_worth);
            Part::Timed(timed)
        }
        Part::Attachment(Attachment::Picture(Picture::Minutes(_)))
        | Part::Guide(_)
        | Part::OddKept
        | Part::OddTakenOut { .. }
        | Part::Undone(_)
        | Part::Misfit
        | Part::LetGo(_)
        | Part::NotUsed(_)
        | Part::Menu
        | Part::NotYet(_)
        | Part::Unclear(_)
        | Part::Noted { .. }
        | Part::Caution(_)
        | Part::Forgotten(_)
        | Part::Calendar { .. }
        | Part::Kept(_)
        | Part::House(_)
        | Part::SignInCode { .. }
        | Part::OwnersOnly
        | Part::Heard(_)
        | Part::Unheard(_)
        | Part::SayAgain
        | Part::FilesKept { .. } => part,
        _ => return None,
    })
}

/// Minutes without what their trend is worth.
fn without_worth(row: TimesShown) -> TimesShown {
    TimesShown { trend: None, ..row }
}

/// A question whose choices do not show what things come to.
fn ask_without_prices(mut ask: Ask) -> Option<Ask> {
    if matches!(
        ask.question,
        Question::PaidTooMuch { .. } | Question::PriceSaidBefore(_)
    ) {
        return None;
    }
    for choice in &mut ask.choices {
        if let Choice {
            label: Label::Quote { total, .. },
            ..
        } = choice
        {
            *total = None;
        }
    }
    Some(ask)
}

/// The owner says whether the crew, or one of them, may see prices. Who may not see them cannot quote.
pub(super) fn prices(desk: &mut Desk<'_>, name: Option<&str>, show: bool) -> Worked {
    let Some(name) = of_crew(desk, name) else { return Ok(()) };
    desk.record(Event::PricesShown {
        name: name.clone(),
        show,
    });
    if !show {
        desk.record(Event::QuotingAllowed {
            name: name.clone(),
            allow: false,
        });
    }
    desk.say(Part::PricesShown { name, show });
    Ok(())
}

/// The owner says whether the crew, or one of them, may make quotes.
pub(super) fn quoting(desk: &mut Desk<'_>, name: Option<&str>, allow: bool) -> Worked {
    let Some(name) = of_crew(desk, name) else { return Ok(()) };
    desk.record(Event::QuotingAllowed {
        name: name.clone(),
        allow,
    });
    desk.say(Part::QuotingAllowed { name, allow });
    Ok(())
}

/// The member of that name as the house writes it; `Some(None)` is the whole crew. A name that nobody has is told.
fn of_crew(desk: &mut Desk<'_>, name: Option<&str>) -> Option<Option<String>> {
    let known: Vec<String> = desk
        .ctx
        .house
        .members
        .iter()
        .map(|member| member.name.clone())
        .collect();
    let Some(name) = name else { return Some(None) };
    let found = known.iter().find(|known| known.eq_ignore_ascii_case(name)).cloned();
    if found.is_none() {
        desk.say(Part::NobodyOfThatName {
            name: name.to_string(),
            known,
        });
    }
    found.map(Some)
}
