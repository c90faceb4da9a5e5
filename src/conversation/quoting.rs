//! A price asked for: from counted lines to a numbered quote at a place.

use super::{
    answer::{Part, QuoteShown, Remark},
    ask::{Ask, Choice, Counted, Label, Question},
    costs,
    desk::{Desk, Worked},
    figures,
    lines::{self, line_choice},
    places, revising,
};
use crate::{
    journal::{Event, Fill, Hole, Item, QuoteEntry, ServiceSet},
    language::{Change, Expecting, LineSaid, MinutesSaid, PlaceSaid},
    pricing::{self, Basis, Effort, FeeKind, Sheet, SheetLine},
    units::{Crew, Percent, QuoteNo},
};

/// Makes a quote, or asks what is missing for it.
pub(super) fn quote(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, said: &[LineSaid], changes: &[Change]) -> Worked {
    let mut place = places::choose(desk, Item::Whole, place)?;
    let mut sheet = blank_sheet(desk);
    let mut remarks = Vec::new();
    add_lines(desk, &mut sheet, said)?;
    for line in said {
        remarks.extend(line.minutes_each.as_ref().and_then(range_remark));
    }
    for (index, change) in changes.iter().enumerate() {
        let done = revising::apply(desk, &mut sheet, Item::Change(index), change)?;
        if let Some(named) = done.place {
            place = Some(named);
        }
        remarks.extend(done.remarks);
    }
    if sheet.lines.is_empty() {
        let slot = desk.slot(Item::Whole, Hole::Quantity);
        return Err(Ask::value(slot, Question::HowMany(Counted::default()), Expecting::Nothing).into());
    }
    let priced = pricing::quote(&sheet)?;
    let no = desk.book().next_quote_no();
    remarks.extend(list_new_kinds(desk, &sheet));
    let place = places::keep(desk, place);
    desk.record(Event::QuoteGiven {
        no,
        place: place.clone(),
        sheet: sheet.clone(),
        total: priced.total,
    });
    show_new(desk, no, priced, remarks);
    Ok(())
}

/// Whether a quote is shown as it stands, or as it would be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Showing {
    /// It is stored so.
    Stored,
    /// It is not stored.
    WhatIf,
}

/// Puts a quote as it is stored into the answer.
pub(super) fn show_new(desk: &mut Desk<'_>, no: QuoteNo, priced: pricing::Quote, remarks: Vec<Remark>) {
    if let Some(entry) = desk.quote(no).cloned() {
        show(
            desk,
            &entry,
            entry.place.clone(),
            &entry.sheet,
            priced,
            remarks,
            Showing::Stored,
        );
    }
}

/// Puts a quote into the answer, with what the owner should know of it.
pub(super) fn show(
    desk: &mut Desk<'_>,
    entry: &QuoteEntry,
    place: Option<String>,
    sheet: &Sheet,
    priced: pricing::Quote,
    mut remarks: Vec<Remark>,
    showing: Showing,
) {
    remarks.extend(warnings(desk, sheet, &priced));
    desk.say(Part::Quote(Box::new(QuoteShown {
        no: entry.no,
        place,
        status: entry.status,
        discount: sheet.discount,
        tax: sheet.tax,
        starter_rate: desk.book().settings().rate.is_none() && sheet.rate_said.is_none(),
        priced,
        what_if: showing == Showing::WhatIf,
        remarks,
    })));
}

/// A sheet with the account's own figures and nothing counted.
pub(super) fn blank_sheet(desk: &Desk<'_>) -> Sheet {
    let settings = desk.book().settings();
    Sheet {
        set_up: settings.set_up,
        haul: settings.haul,
        drive: settings.drive,
        fees: settings
            .dump_fee
            .map(|fee| (FeeKind::DumpFee, fee))
            .into_iter()
            .collect(),
        minimum: settings.minimum,
        step: settings.step,
        tax: settings.tax,
        markup: settings.markup.unwrap_or(Percent::ZERO),
        ..Sheet::blank(desk.book().rate(), settings.crew.unwrap_or(Crew::ONE))
    }
}

fn add_lines(desk: &Desk<'_>, sheet: &mut Sheet, said: &[LineSaid]) -> Worked {
    let topic = desk.talk().services;
    let mut resolved: Vec<SheetLine> = Vec::with_capacity(said.len());
    for (index, line) in said.iter().enumerate() {
        let around = kinds_around(said, &resolved, index, &topic);
        resolved.push(lines::resolve(desk, Item::Line(index), line, &around)?);
    }
    let mut kept: Vec<SheetLine> = Vec::with_capacity(resolved.len());
    for (index, line) in resolved.into_iter().enumerate() {
        match kept.iter_mut().find(|twin| same_class(twin, &line)) {
            None => kept.push(line),
            Some(twin) if said[index].more && !same_figures(twin, &line) => kept.push(line),
            Some(twin) => join(desk, index, twin, &line, said[index].more)?,
        }
    }
    sheet.lines = kept;
    Ok(())
}

/// The kinds that a line without one could be of. A list shares the kind named next after it or before it in the
/// message; a message that names none is about what is being talked about.
fn kinds_around(said: &[LineSaid], resolved: &[SheetLine], index: usize, topic: &[String]) -> Vec<String> {
    let before = resolved.last().map(|line| line.service.clone());
    let after = said.iter().skip(index + 1).find_map(|line| line.class.service.clone());
    let mut around: Vec<String> = before.into_iter().chain(after).collect();
    if around.is_empty() {
        around.extend_from_slice(topic);
    }
    around
}

/// Whether two lines count the same thing at the same figures.
pub(super) fn same_class(one: &SheetLine, other: &SheetLine) -> bool {
    one.service == other.service && one.size == other.size && one.unit == other.unit
}

/// Whether two lines can be one: nothing but the count differs.
pub(super) fn same_figures(one: &SheetLine, other: &SheetLine) -> bool {
    same_class(one, other)
        && one.effort == other.effort
        && matches!(one.effort, Effort::Each(_))
        && one.material_each == other.material_each
        && one.price_each == other.price_each
        && one.rate == other.rate
}

/// A thing counted again in one message: `another` and `more` add up, otherwise it is asked.
fn join(desk: &Desk<'_>, index: usize, twin: &mut SheetLine, line: &SheetLine, more: bool) -> Worked {
    let slot = desk.slot(Item::Line(index), Hole::Twice);
    let sum = twin.quantity.get() + line.quantity.get();
    let fill = if more { Some(Fill::All) } else { desk.filled(slot) };
    match fill {
        Some(Fill::All) => {
            twin.quantity = figures::quantity(sum)?;
            Ok(())
        }
        Some(Fill::Line(0)) => Ok(()),
        Some(Fill::Line(_)) => {
            *twin = line.clone();
            Ok(())
        }
        _ => {
            let of = |quantity| Counted {
                quantity: Some(quantity),
                unit: Some(line.unit),
                service: Some(line.service.clone()),
                size: line.size.clone(),
            };
            let mut choices = vec![
                Choice {
                    label: Label::Both(of(sum)),
                    fill: Fill::All,
                },
                line_choice(1, line),
            ];
            if twin.quantity != line.quantity {
                choices.push(line_choice(0, twin));
            }
            Err(Ask::choice(slot, Question::CountedTwice(of(line.quantity.get())), choices).into())
        }
    }
}

/// Puts kinds that were not on the price list there, with the minutes said of them, so that they can be priced next time.
pub(super) fn list_new_kinds(desk: &mut Desk<'_>, sheet: &Sheet) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for line in &sheet.lines {
        if line.basis != Basis::Said || desk.book().service(&line.service).is_some() {
            continue;
        }
        desk.record(Event::ServicePriced(ServiceSet {
            service: line.service.clone(),
            size: line.size.clone(),
            unit: Some(line.unit),
            minutes_each: line.minutes_each().ok().filter(|minutes| !minutes.is_zero()),
            price_each: line.price_each,
            material_each: line.material_each,
            rate: None,
        }));
        remarks.push(Remark::NewOnList(line.service.clone()));
    }
    remarks
}

/// The ends of a range of minutes, when one was said.
pub(super) fn range_remark(minutes: &MinutesSaid) -> Option<Remark> {
    minutes.range.map(|(low, high)| Remark::MinutesRange {
        low,
        high,
        used: minutes.minutes,
    })
}

fn warnings(desk: &Desk<'_>, sheet: &Sheet, priced: &pricing::Quote) -> Vec<Remark> {
    let mut remarks = Vec::new();
    if let (Some(minimum), Some(short)) = (sheet.minimum, priced.short_of_minimum) {
        remarks.push(Remark::BelowMinimum { minimum, short });
    }
    if let (Some(costs), Some(made)) = (costs::exact(desk.book().settings()), priced.rate_made)
        && let (true, Ok(break_even)) = (!costs.is_covered_by(made), costs.break_even())
    {
        remarks.push(Remark::BelowBreakEven { made, break_even });
    }
    remarks
}

/// Adds a line to a sheet; one that counts the same thing at the same figures grows.
pub(super) fn add_line(sheet: &mut Sheet, line: SheetLine) -> Worked {
    if let Some(twin) = sheet.lines.iter_mut().find(|twin| same_figures(twin, &line)) {
        twin.quantity = figures::quantity(twin.quantity.get() + line.quantity.get())?;
        return Ok(());
    }
    sheet.lines.push(line);
    Ok(())
}
