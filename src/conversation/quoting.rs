//! A price asked for: from counted lines to a numbered quote at a place.

use rust_decimal::Decimal;

use super::{
    answer::{Part, QuoteShown, Remark},
    ask::{Ask, Choice, Counted, Label, Question},
    costs,
    desk::{Desk, Worked},
    figures, lines, places,
    revising::{self, Applied},
};
use crate::{
    journal::{Event, Fill, Hole, Item, Likely, QuoteEntry, ServiceSet},
    language::{Change, Expecting, LineSaid, MinutesSaid, PlaceSaid, QuantitySaid},
    pricing::{self, Basis, Effort, ExtraWhat, FeeKind, Sheet, SheetLine, solve as backwards},
    units::{Crew, Percent, QuoteNo},
};

/// Makes a quote, or asks what is missing for it.
pub(super) fn quote(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, said: &[LineSaid], changes: &[Change]) -> Worked {
    let mut place = places::choose(desk, Item::Whole, place)?;
    let mut sheet = blank_sheet(desk);
    let mut remarks = Vec::new();
    remarks.extend(add_lines(desk, &mut sheet, said)?);
    for line in said {
        remarks.extend(line.minutes_each.as_ref().and_then(range_remark));
    }
    let mut done = Applied::default();
    revising::apply_all(desk, &mut sheet, changes, &mut done)?;
    place = done.place.or(place);
    remarks.extend(done.remarks);
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

/// Whether counts without a kind, said with a quote of one kind in hand, could be more of it: `12 large`. Of several kinds
/// the kind is asked first.
pub(super) fn could_join(desk: &Desk<'_>, said: &[LineSaid]) -> bool {
    let nameless = |line: &LineSaid| {
        line.class.service.is_none()
            && line.class.unknown.is_none()
            && line.class.size.is_some()
            && matches!(line.quantity, QuantitySaid::Exact(_))
    };
    let one_kind = |entry: &QuoteEntry| {
        let mut kinds = entry.sheet.lines.iter().map(|line| &line.service);
        let first = kinds.next();
        first.is_some_and(|first| kinds.all(|kind| kind == first))
    };
    desk.current_quote()
        .filter(|entry| places::is_active(entry))
        .is_some_and(one_kind)
        && desk.filled(desk.slot(Item::Whole, Hole::Target)).is_none()
        && !said.is_empty()
        && said.iter().all(nameless)
}

/// Asks whether such counts are added to the quote, replace what it counts, or are another quote.
pub(super) fn ask_to_join(desk: &Desk<'_>, said: &[LineSaid]) -> Box<Ask> {
    let text = |line: &LineSaid| {
        let count = match line.quantity {
            QuantitySaid::Exact(count) => count.normalize().to_string(),
            _ => String::new(),
        };
        format!("{count} {}", line.class.size.as_deref().unwrap_or_default())
    };
    let counts = said.iter().map(text).collect::<Vec<_>>().join(" and ");
    let kind = desk
        .current_quote()
        .and_then(|quote| quote.sheet.lines.last())
        .map(|line| line.service.clone())
        .unwrap_or_default();
    let says = |text: String| Choice {
        label: Label::Words(text.clone()),
        fill: Fill::Say(text),
    };
    let choices = vec![
        says(format!("add {counts}")),
        says(format!("make it {counts}")),
        says(format!("new quote: {counts} {kind}")),
    ];
    Ask::choice(
        desk.slot(Item::Whole, Hole::Target),
        Question::WhichReading(counts),
        choices,
    )
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
    if priced.extras.iter().any(|extra| extra.what == ExtraWhat::Minimum) {
        // The lift tells the minimum already.
        remarks.retain(|remark| !matches!(remark, Remark::Minimum(_)));
    }
    remarks.extend(warnings(desk, sheet, &priced));
    desk.say(Part::Quote(Box::new(QuoteShown {
        no: entry.no,
        place,
        status: entry.status,
        sheet: sheet.clone(),
        likely: likely(desk, sheet, &priced),
        starter_rate: desk.book().settings().rate.is_none() && sheet.rate_said.is_none(),
        priced,
        what_if: showing == Showing::WhatIf,
        remarks,
    })));
}

/// How long the work is likely to take, and the chance that its price makes the rate. Minutes said for this quote only
/// are not the model's to judge.
fn likely(desk: &Desk<'_>, sheet: &Sheet, priced: &pricing::Quote) -> Option<Likely> {
    if sheet.lines.iter().any(|line| line.basis == Basis::Said) {
        return None;
    }
    let paid_for = backwards::man_minutes_for_price(priced, priced.price_before_tax, priced.rate).ok()?;
    desk.book().likely(sheet, paid_for.man_minutes)
}

/// A sheet with the account's own figures and nothing counted.
pub(super) fn blank_sheet(desk: &Desk<'_>) -> Sheet {
    let settings = desk.book().settings();
    let learned = desk.book().learned_set_up();
    Sheet {
        set_up: settings.set_up.or(learned),
        set_up_learned: learned.is_some(),
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

fn add_lines(desk: &Desk<'_>, sheet: &mut Sheet, said: &[LineSaid]) -> Worked<Vec<Remark>> {
    let topic = desk.talk().services;
    let mut resolved: Vec<SheetLine> = Vec::with_capacity(said.len());
    for (index, line) in said.iter().enumerate() {
        let around = kinds_around(said, &resolved, index, &topic);
        resolved.push(lines::resolve(desk, Item::Line(index), line, &around)?);
    }
    let mut remarks = Vec::new();
    let mut kept: Vec<SheetLine> = Vec::with_capacity(resolved.len());
    for (index, line) in resolved.into_iter().enumerate() {
        match kept.iter_mut().find(|twin| same_figures(twin, &line)) {
            None => kept.push(line),
            Some(twin) => remarks.extend(join(desk, Item::Line(index), twin, &line, said[index].more)?),
        }
    }
    sheet.lines = kept;
    Ok(remarks)
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

/// A thing counted again in one message: `another` and `more` add up, otherwise it is asked. The counts themselves are
/// offered, so that both the position and the count can be said; where one could be taken for the other, only the count.
pub(super) fn join(
    desk: &Desk<'_>,
    item: Item,
    twin: &mut SheetLine,
    line: &SheetLine,
    more: bool,
) -> Worked<Option<Remark>> {
    let slot = desk.slot(item, Hole::Twice);
    let (first, second) = (twin.quantity.get(), line.quantity.get());
    let sum = first + second;
    if let (false, Some(Fill::Number(count))) = (more, desk.filled(slot)) {
        twin.quantity = figures::quantity(count)?;
        return Ok((count == sum).then(|| put_together(first, second, line, sum)));
    }
    if more {
        twin.quantity = figures::quantity(sum)?;
        return Ok(Some(put_together(first, second, line, sum)));
    }
    let counted = |quantity| Counted {
        quantity: Some(quantity),
        ..lines::counted_of(line)
    };
    let mut counts = vec![sum, second];
    if first != second {
        counts.push(first);
    }
    let question = Question::CountedTwice(counted(second), counts.clone());
    let positions = Decimal::from(counts.len());
    if counts.iter().any(|count| *count <= positions) {
        return Err(Ask::value(slot, question, Expecting::Count).into());
    }
    let label = |count| {
        if count == sum {
            Label::Both(counted(sum))
        } else {
            Label::Line(counted(count))
        }
    };
    let choices = counts.iter().map(|count| Choice {
        label: label(*count),
        fill: Fill::Number(*count),
    });
    Err(Ask::choice(slot, question, choices.collect()).into())
}

fn put_together(before: Decimal, more: Decimal, line: &SheetLine, sum: Decimal) -> Remark {
    Remark::PutTogether {
        before,
        more,
        all: lines::counted_line(line, sum),
    }
}

/// Puts kinds and sizes that were not on the price list there, with the minutes said of them, so that they can be priced
/// next time.
pub(super) fn list_new_kinds(desk: &mut Desk<'_>, sheet: &Sheet) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for line in &sheet.lines {
        let known = desk.book().service(&line.service);
        if line.basis != Basis::Said || known.is_some_and(|known| known.class(line.size.as_deref()).is_some()) {
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
        remarks.push(Remark::NewOnList(line.service.clone(), line.size.clone()));
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
        && let (Ok(false), Ok(break_even)) = (costs.is_covered_by_quote(priced), costs.break_even())
    {
        remarks.push(Remark::BelowBreakEven { made, break_even });
    }
    remarks
}

/// Adds a line to a sheet; one that counts the same thing at the same figures grows.
pub(super) fn add_line(sheet: &mut Sheet, line: SheetLine) -> Worked<()> {
    if let Some(twin) = sheet.lines.iter_mut().find(|twin| same_figures(twin, &line)) {
        twin.quantity = figures::quantity(twin.quantity.get() + line.quantity.get())?;
        return Ok(());
    }
    sheet.lines.push(line);
    Ok(())
}
