//! Changes to a quote: what each does to the sheet, which line it means, and what has to be asked first.
//!
//! The owner's word wins: a price said, a discount or a figure of his own stands, below the minimum or break-even too;
//! the answer warns. A `what if` is worked out in the same way and not stored.

use rust_decimal::Decimal;

use super::{
    answer::{Refused, Remark, What},
    ask::{Ask, Choice, Label, Question},
    desk::{Desk, Stop, Worked},
    figures,
    lines::{self, line_choice},
    places::{self, PlaceChosen},
    quoting::{self, Showing},
    recount, setting,
    which::Sort,
};
use crate::{
    journal::{Event, Fill, Hole, Item, QuoteEntry, Slot},
    language::{Change, ClassSaid, Expecting, ExtraKind, LineSaid, PlaceSaid, QuantitySaid, TaxOn},
    pricing::{self, Basis, Discount, Effort, FeeKind, Sheet, SheetLine, Step, Tax},
    units::{ManMinutes, Percent, Quantity, QuoteNo},
};

/// What a change did besides changing the sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Applied {
    pub(super) remarks: Vec<Remark>,
    pub(super) place: Option<PlaceChosen>,
    /// The counted work is another one than before.
    pub(super) work_changed: bool,
}

/// Changes the quote being talked about, or shows what a change would make of it.
pub(super) fn revise(desk: &mut Desk<'_>, changes: &[Change], what_if: bool, place: Option<&PlaceSaid>) -> Worked {
    if changes.contains(&Change::BillExtra) {
        return super::finish::bill_extra(desk, place);
    }
    // The quote in hand can be changed whatever became of it; another one only while it is not closed.
    let current = desk.talk().quote;
    let changeable = |entry: &QuoteEntry| Some(entry.no) == current || places::is_active(entry);
    let sort = match current {
        Some(_) => Sort::ANY.that(&changeable),
        None => Sort::ACTIVE,
    };
    let no = places::quote_meant(desk, place, sort)?;
    let Some(entry) = desk.quote(no).cloned() else {
        return Err(no_quote(desk));
    };
    let mut sheet = entry.sheet.clone();
    let mut done = Applied::default();
    if changes.contains(&Change::UseThat) {
        use_that(desk, no, &mut sheet)?;
    }
    apply_all(desk, &mut sheet, changes, &mut done)?;
    if done.work_changed && !changes.iter().any(|change| matches!(change, Change::Price(_))) {
        settle_price_said(desk, &entry, &mut sheet)?;
    }
    if sheet.lines.is_empty() {
        let slot = desk.slot(Item::Whole, Hole::Quantity);
        return Err(Ask::value(slot, Question::NothingLeft, Expecting::Nothing).into());
    }
    let priced = pricing::quote(&sheet)?;
    if what_if {
        desk.record(Event::WhatIfShown {
            no,
            sheet: sheet.clone(),
        });
        done.remarks.extend(held_price(&entry, changes, &priced));
        let place = done.place.map(|place| place.name).or(entry.place.clone());
        quoting::show(desk, &entry, place, &sheet, priced, done.remarks, Showing::WhatIf);
        return Ok(());
    }
    done.remarks.extend(quoting::list_new_kinds(desk, &sheet));
    let place = places::keep(desk, done.place).or(entry.place);
    desk.record(Event::QuoteRevised {
        no,
        place: place.clone(),
        sheet: sheet.clone(),
        total: priced.total,
    });
    quoting::show_new(desk, no, priced, done.remarks);
    Ok(())
}

/// What the price as it was would make, when only the time is supposed to change.
fn held_price(entry: &QuoteEntry, changes: &[Change], supposed: &pricing::Quote) -> Option<Remark> {
    let of_time = |change: &Change| {
        matches!(
            change,
            Change::Minutes(..) | Change::WorkElapsed { .. } | Change::WorkManMinutes(_)
        )
    };
    if !changes.iter().all(of_time) {
        return None;
    }
    let before = pricing::quote(&entry.sheet).ok()?;
    let made = pricing::solve::rate_if_man_minutes(&before, supposed.man_minutes).ok()?;
    Some(Remark::HeldPrice {
        price: before.price_before_tax,
        made: made.rate,
    })
}

fn no_quote(desk: &Desk<'_>) -> Stop {
    let slot = desk.slot(Item::Whole, Hole::Quote);
    Ask::value(slot, Question::NoQuote, Expecting::Nothing).into()
}

/// Takes over the last change that was shown and not made.
fn use_that(desk: &Desk<'_>, no: QuoteNo, sheet: &mut Sheet) -> Worked {
    match desk.talk().what_if.filter(|shown| shown.no == no) {
        Some(shown) => {
            *sheet = shown.sheet;
            Ok(())
        }
        None => {
            let slot = desk.slot(Item::Whole, Hole::Target);
            Err(Ask::value(slot, Question::NoWhatIf, Expecting::Nothing).into())
        }
    }
}

/// A price was said for the work as it was; now the work is another. Both could be meant, so it is asked.
fn settle_price_said(desk: &Desk<'_>, entry: &QuoteEntry, sheet: &mut Sheet) -> Worked {
    let Some(said) = entry.sheet.price_said else {
        return Ok(());
    };
    let slot = desk.slot(Item::Whole, Hole::PriceSaid);
    let mut again = sheet.clone();
    again.price_said = None;
    match desk.filled(slot) {
        Some(Fill::Yes) => Ok(()),
        Some(Fill::No) => {
            *sheet = again;
            Ok(())
        }
        _ => {
            let choices = vec![
                Choice {
                    label: Label::KeepPrice(said),
                    fill: Fill::Yes,
                },
                Choice {
                    label: Label::PriceAgain(pricing::quote(&again)?.price_before_tax),
                    fill: Fill::No,
                },
            ];
            Err(Ask::choice(slot, Question::PriceSaidBefore(said), choices).into())
        }
    }
}

/// Makes all changes of a message to a sheet. A rate comes first whatever the order of words, so that a price said beside
/// it stands.
pub(super) fn apply_all(desk: &Desk<'_>, sheet: &mut Sheet, changes: &[Change], done: &mut Applied) -> Worked {
    let is_rate = |change: &Change| matches!(change, Change::Rate(_));
    let rates = (0..changes.len()).filter(|index| is_rate(&changes[*index]));
    let others = (0..changes.len()).filter(|index| !is_rate(&changes[*index]));
    for index in rates.chain(others) {
        let applied = apply(desk, sheet, Item::Change(index), &changes[index])?;
        done.remarks.extend(applied.remarks);
        done.place = applied.place.or(done.place.take());
        done.work_changed |= applied.work_changed;
    }
    settle_discount(desk, sheet, changes)
}

/// A price and something off it in one breath: the price may be meant before or after, so it is asked.
fn settle_discount(desk: &Desk<'_>, sheet: &mut Sheet, changes: &[Change]) -> Worked {
    let off = changes.iter().find_map(|change| match change {
        Change::DiscountPercent(percent) => {
            Some(figures::percent(What::Discount, *percent, 100).map(Discount::Percent))
        }
        Change::DiscountMoney(money) => Some(figures::money(What::Discount, *money).map(Discount::Money)),
        _ => None,
    });
    let has_price = changes.iter().any(|change| matches!(change, Change::Price(_)));
    let (Some(off), Some(price), true) = (off, sheet.price_said, has_price) else {
        return Ok(());
    };
    let slot = desk.slot(Item::Whole, Hole::Money);
    let before_off = Sheet {
        discount: off?,
        more_off: Vec::new(),
        ..sheet.clone()
    };
    sheet.take_off(Discount::None);
    match desk.filled(slot) {
        Some(Fill::Yes) => Ok(()),
        Some(Fill::No) => {
            *sheet = before_off;
            Ok(())
        }
        _ => {
            let less = pricing::quote(&before_off)?.price_before_tax;
            let choices = vec![
                Choice {
                    label: Label::InAll(price),
                    fill: Fill::Yes,
                },
                Choice {
                    label: Label::LessOff { price, less },
                    fill: Fill::No,
                },
            ];
            Err(Ask::choice(slot, Question::PriceBeforeOrAfter(price), choices).into())
        }
    }
}

/// Makes one change to a sheet.
fn apply(desk: &Desk<'_>, sheet: &mut Sheet, item: Item, change: &Change) -> Worked<Applied> {
    let mut done = Applied::default();
    match change {
        Change::Quantity(said) => return set_quantity(desk, sheet, item, said),
        Change::Add(said) => return add(desk, sheet, item, said),
        Change::Drop(said) => return drop(desk, sheet, item, said),
        Change::Recount { .. } | Change::Times(..) => return recount::apply(desk, sheet, item, change),
        Change::DiscountPercent(_)
        | Change::DiscountMoney(_)
        | Change::MoreOffPercent(_)
        | Change::MoreOffMoney(_)
        | Change::Price(_)
        | Change::Rate(_) => done.remarks.extend(set_price(sheet, change)?),
        Change::Minutes(class, minutes) => {
            set_minutes(desk, sheet, item, class, minutes.minutes)?;
            done.remarks.extend(quoting::range_remark(minutes));
        }
        Change::PriceEach(class, price) | Change::MaterialEach(class, price) => {
            let price = figures::price_each(*price)?;
            for index in target_lines(desk, sheet, item, class)? {
                let line = &mut sheet.lines[index];
                match change {
                    Change::PriceEach(..) => line.price_each = Some(price),
                    _ => line.material_each = Some(price),
                }
            }
            done.work_changed = true;
        }
        Change::WorkElapsed { minutes, crew } => {
            sheet.crew = figures::crew(*crew)?;
            take_whole_time(desk, sheet, item, minutes.minutes.saturating_mul(Decimal::from(*crew)))?;
            done.remarks.extend(quoting::range_remark(minutes));
        }
        Change::WorkManMinutes(minutes) => {
            take_whole_time(desk, sheet, item, minutes.minutes)?;
            done.remarks.extend(quoting::range_remark(minutes));
        }
        Change::No(what) => {
            leave_out(sheet, *what);
            done.work_changed = changes_work(*what);
            done.remarks.push(Remark::LeftOut(*what));
        }
        Change::With(what) => done.work_changed = charge(desk, sheet, item, *what)?,
        Change::ExtraMinutes(what, minutes) => {
            set_extra_minutes(sheet, *what, *minutes)?;
            done.work_changed = true;
        }
        Change::ExtraMoney(what, _) if goes_by_minutes(*what) => {
            done.work_changed = figure_of(desk, sheet, item, *what)?
        }
        Change::ExtraMoney(what, money) => {
            set_extra_money(sheet, *what, *money)?;
            done.work_changed = *what != ExtraKind::Minimum;
            done.remarks.extend(
                sheet
                    .minimum
                    .filter(|_| *what == ExtraKind::Minimum)
                    .map(Remark::Minimum),
            );
        }
        Change::Markup(percent) => {
            sheet.markup = figures::percent(What::Markup, *percent, 1_000)?;
            done.work_changed = true;
        }
        Change::Crew(people) => sheet.crew = figures::crew(*people)?,
        Change::Place(place) => done.place = places::choose(desk, item, Some(place))?,
        Change::UseThat | Change::BillExtra => {}
    }
    Ok(done)
}

/// Makes a change of the price as a whole: something off it, a price said, another rate.
fn set_price(sheet: &mut Sheet, change: &Change) -> Worked<Option<Remark>> {
    match change {
        Change::DiscountPercent(percent) => {
            let off = Discount::Percent(figures::percent(What::Discount, *percent, 100)?);
            return Ok(take_off(sheet, off));
        }
        Change::DiscountMoney(money) => {
            let off = Discount::Money(figures::money(What::Discount, *money)?);
            return Ok(take_off(sheet, off));
        }
        Change::MoreOffPercent(percent) => {
            sheet.take_off_more(Discount::Percent(figures::percent(What::Discount, *percent, 100)?));
            return Ok(Some(Remark::MoreOffPercent(*percent)));
        }
        Change::MoreOffMoney(money) => {
            sheet.take_off_more(Discount::Money(figures::money(What::Discount, *money)?));
            return Ok(Some(Remark::MoreOffMoney(*money)));
        }
        Change::Price(money) => {
            sheet.price_said = Some(figures::money(What::Price, *money)?);
            sheet.take_off(Discount::None);
        }
        Change::Rate(rate) => {
            sheet.rate_said = Some(figures::rate(*rate)?);
            sheet.price_said = None;
        }
        _ => {}
    }
    Ok(None)
}

/// Takes something off; what was taken off before is told, since this is in place of it.
fn take_off(sheet: &mut Sheet, off: Discount) -> Option<Remark> {
    let before: Vec<Discount> = sheet.discounts().filter(|before| *before != off).collect();
    sheet.take_off(off);
    (!before.is_empty()).then_some(Remark::InPlaceOf(before))
}

fn set_minutes(desk: &Desk<'_>, sheet: &mut Sheet, item: Item, class: &ClassSaid, minutes: Decimal) -> Worked {
    let each = figures::man_minutes(minutes)?;
    for index in target_lines(desk, sheet, item, class)? {
        sheet.lines[index].effort = Effort::Each(each);
        sheet.lines[index].basis = Basis::Said;
    }
    Ok(())
}

fn set_quantity(desk: &Desk<'_>, sheet: &mut Sheet, item: Item, said: &LineSaid) -> Worked<Applied> {
    let mut done = Applied {
        work_changed: true,
        ..Applied::default()
    };
    let Some(index) = target_or_new(desk, sheet, item, &said.class, said)? else {
        return add(desk, sheet, item, said);
    };
    if matching(sheet, &said.class).is_empty() {
        sheet.lines[index] = lines::resolve(desk, item, said, &[sheet.lines[index].service.clone()])?;
        return Ok(done);
    }
    let line = &sheet.lines[index];
    let class = lines::Class {
        service: line.service.clone(),
        size: line.size.clone(),
    };
    let unit = line.unit;
    let quantity = lines::resolve_quantity(desk, item, said, &class, unit)?;
    let line = &mut sheet.lines[index];
    grow(line, quantity)?;
    if let Some(minutes) = &said.minutes_each {
        line.effort = Effort::Each(figures::man_minutes(minutes.minutes)?);
        line.basis = Basis::Said;
        done.remarks.extend(quoting::range_remark(minutes));
    }
    if let Some(price) = said.price_each {
        line.price_each = Some(figures::price_each(price)?);
    }
    if let Some(material) = said.material_each {
        line.material_each = Some(figures::each(What::Material, material)?);
    }
    Ok(done)
}

fn add(desk: &Desk<'_>, sheet: &mut Sheet, item: Item, said: &LineSaid) -> Worked<Applied> {
    let mut around: Vec<String> = sheet.lines.iter().map(|line| line.service.clone()).collect();
    around.reverse();
    let line = lines::resolve(desk, item, said, &around)?;
    let added = lines::counted_line(&line, line.quantity.get());
    quoting::add_line(sheet, line)?;
    let mut remarks = vec![Remark::Added(added)];
    remarks.extend(said.minutes_each.as_ref().and_then(quoting::range_remark));
    Ok(Applied {
        remarks,
        place: None,
        work_changed: true,
    })
}

fn drop(desk: &Desk<'_>, sheet: &mut Sheet, item: Item, said: &LineSaid) -> Worked<Applied> {
    let index = target_line(desk, sheet, item, &said.class)?;
    let line = &mut sheet.lines[index];
    let counted = line.quantity.get();
    let dropped = match said.quantity {
        QuantitySaid::Unsaid => counted,
        _ => {
            let class = lines::Class {
                service: line.service.clone(),
                size: line.size.clone(),
            };
            lines::resolve_quantity(desk, item, said, &class, line.unit)?.get()
        }
    };
    let of = (dropped < counted).then_some(counted);
    let remark = Remark::Dropped(lines::counted_line(line, dropped), of);
    if dropped > counted {
        let slot = desk.slot(item, Hole::Quantity);
        let question = Question::FewerThanThat(lines::counted_line(line, counted));
        return Err(Ask::value(slot, question, Expecting::Count).into());
    }
    if dropped == counted {
        sheet.lines.remove(index);
    } else {
        grow(line, figures::quantity(counted - dropped)?)?;
    }
    Ok(Applied {
        remarks: vec![remark],
        place: None,
        work_changed: true,
    })
}

/// The lines that a class can mean.
pub(super) fn matching(sheet: &Sheet, class: &ClassSaid) -> Vec<usize> {
    let service = class.service.as_ref().or(class.unknown.as_ref());
    let fits = |line: &SheetLine| {
        let kind = service.is_none_or(|name| *name == line.service || class.rivals.contains(&line.service));
        kind && (class.size.is_none() || class.size == line.size)
    };
    (0..sheet.lines.len())
        .filter(|index| fits(&sheet.lines[*index]))
        .collect()
}

/// The one line that is meant.
pub(super) fn target_line(desk: &Desk<'_>, sheet: &Sheet, item: Item, class: &ClassSaid) -> Worked<usize> {
    let slot = desk.slot(item, Hole::Target);
    if let Some(Fill::Line(index)) = desk.filled(slot) {
        return Ok(index.min(sheet.lines.len().saturating_sub(1)));
    }
    match matching(sheet, class).as_slice() {
        [only] => Ok(*only),
        [] => {
            let choices = (0..sheet.lines.len())
                .map(|index| line_choice(index, &sheet.lines[index]))
                .collect();
            Err(Ask::choice(slot, Question::NoSuchLine(lines::class_counted(class)), choices).into())
        }
        several => Err(which_line(slot, sheet, class, several).into()),
    }
}

fn which_line(slot: Slot, sheet: &Sheet, class: &ClassSaid, several: &[usize]) -> Box<Ask> {
    let choices = several
        .iter()
        .map(|index| line_choice(*index, &sheet.lines[*index]))
        .collect();
    Ask::choice(slot, Question::WhichLine(lines::class_counted(class)), choices)
}

/// The line that a count is for; `None` when it is to be a line of its own, which is asked for.
fn target_or_new(
    desk: &Desk<'_>,
    sheet: &Sheet,
    item: Item,
    class: &ClassSaid,
    said: &LineSaid,
) -> Worked<Option<usize>> {
    let slot = desk.slot(item, Hole::Target);
    if desk.filled(slot) == Some(Fill::Yes) {
        return Ok(None);
    }
    if !matching(sheet, class).is_empty() || desk.filled(slot).is_some() {
        return target_line(desk, sheet, item, class).map(Some);
    }
    let counted = lines::counted(said);
    let mut choices = vec![Choice {
        label: Label::AddAs(counted.clone()),
        fill: Fill::Yes,
    }];
    choices.extend((0..sheet.lines.len()).map(|index| Choice {
        label: Label::Instead(lines::counted_line(
            &sheet.lines[index],
            sheet.lines[index].quantity.get(),
        )),
        fill: Fill::Line(index),
    }));
    Err(Ask::choice(slot, Question::NoSuchLine(counted), choices).into())
}

/// The lines that a figure is for: one, or all that fit when that is what was meant.
pub(super) fn target_lines(desk: &Desk<'_>, sheet: &Sheet, item: Item, class: &ClassSaid) -> Worked<Vec<usize>> {
    let slot = desk.slot(item, Hole::Target);
    let fitting = matching(sheet, class);
    match (desk.filled(slot), fitting.len()) {
        (Some(Fill::All), _) => Ok(fitting),
        (None, 2..) => {
            let mut ask = which_line(slot, sheet, class, &fitting);
            ask.choices.push(Choice {
                label: Label::All,
                fill: Fill::All,
            });
            ask.expecting = Expecting::Choice(ask.choices.len());
            Err(ask.into())
        }
        _ => Ok(vec![target_line(desk, sheet, item, class)?]),
    }
}

/// One time for the whole work: the minutes of its only line, or shared out over the lines in proportion.
fn take_whole_time(desk: &Desk<'_>, sheet: &mut Sheet, item: Item, man_minutes: Decimal) -> Worked {
    let whole = figures::man_minutes(man_minutes)?;
    let Ok(spread) = pricing::spread(sheet, whole) else {
        let slot = desk.slot(item, Hole::Minutes);
        return Err(Ask::value(slot, Question::WhichMinutes, Expecting::Nothing).into());
    };
    *sheet = spread;
    for line in &mut sheet.lines {
        line.basis = Basis::Said;
    }
    Ok(())
}

/// Another count of the same thing; one time for all of it grows with the count.
pub(super) fn grow(line: &mut SheetLine, quantity: Quantity) -> Worked {
    if let Effort::Whole(whole) = line.effort {
        let grown = whole
            .get()
            .checked_mul(quantity.get())
            .map(|product| product / line.quantity.get());
        let grown = grown.map_or(whole.get(), |grown| grown.round_dp(ManMinutes::PLACES));
        line.effort = Effort::Whole(figures::man_minutes(grown)?);
    }
    line.quantity = quantity;
    Ok(())
}

/// Whether leaving it out makes the work, or what is passed on, another one.
fn changes_work(what: ExtraKind) -> bool {
    matches!(
        what,
        ExtraKind::SetUp
            | ExtraKind::Haul
            | ExtraKind::Drive
            | ExtraKind::DumpFee
            | ExtraKind::Material
            | ExtraKind::Markup
    )
}

fn leave_out(sheet: &mut Sheet, what: ExtraKind) {
    match what {
        ExtraKind::SetUp => {
            sheet.set_up = None;
            sheet.set_up_learned = false;
        }
        ExtraKind::Haul => sheet.haul = None,
        ExtraKind::Drive => sheet.drive = None,
        ExtraKind::DumpFee => sheet.fees.retain(|(kind, _)| *kind != FeeKind::DumpFee),
        ExtraKind::Minimum => sheet.minimum = None,
        ExtraKind::Rounding => sheet.step = Step::None,
        ExtraKind::Discount => sheet.take_off(Discount::None),
        ExtraKind::Tax => sheet.tax = Tax::None,
        ExtraKind::Markup => sheet.markup = Percent::ZERO,
        ExtraKind::Material => sheet.lines.iter_mut().for_each(|line| line.material_each = None),
    }
}

/// Whether a part of the price is charged on a sheet.
fn is_charged(sheet: &Sheet, what: ExtraKind) -> bool {
    match what {
        ExtraKind::SetUp => sheet.set_up.is_some(),
        ExtraKind::Haul => sheet.haul.is_some(),
        ExtraKind::Drive => sheet.drive.is_some(),
        ExtraKind::DumpFee => sheet.fees.iter().any(|(kind, _)| *kind == FeeKind::DumpFee),
        ExtraKind::Tax => sheet.tax != Tax::None,
        ExtraKind::Minimum | ExtraKind::Rounding | ExtraKind::Discount | ExtraKind::Material | ExtraKind::Markup => {
            true
        }
    }
}

/// Charges what was asked for by name, at the account's own figure; without one the figure is asked for. Tells whether the
/// work changed.
fn charge(desk: &Desk<'_>, sheet: &mut Sheet, item: Item, what: ExtraKind) -> Worked<bool> {
    if is_charged(sheet, what) {
        return Ok(false);
    }
    let own = quoting::blank_sheet(desk);
    if is_charged(&own, what) {
        match what {
            ExtraKind::SetUp => (sheet.set_up, sheet.set_up_learned) = (own.set_up, own.set_up_learned),
            ExtraKind::Haul => sheet.haul = own.haul,
            ExtraKind::Drive => sheet.drive = own.drive,
            ExtraKind::DumpFee => sheet.fees = own.fees,
            _ => sheet.tax = own.tax,
        }
        return Ok(changes_work(what));
    }
    figure_of(desk, sheet, item, what)
}

fn goes_by_minutes(what: ExtraKind) -> bool {
    matches!(what, ExtraKind::SetUp | ExtraKind::Haul | ExtraKind::Drive)
}

/// Asks what a part of the price comes to, and charges it; a part that goes by minutes is asked for in minutes.
fn figure_of(desk: &Desk<'_>, sheet: &mut Sheet, item: Item, what: ExtraKind) -> Worked<bool> {
    let timed = goes_by_minutes(what);
    let (hole, expecting) = if timed {
        (Hole::Minutes, Expecting::Minutes)
    } else {
        (Hole::Money, Expecting::Money)
    };
    let slot = desk.slot(item, hole);
    let Some(Fill::Number(figure)) = desk.filled(slot) else {
        return Err(Ask::value(slot, Question::HowMuchIs(what), expecting).into());
    };
    match what {
        ExtraKind::Tax => sheet.tax = setting::tax_of(figure, TaxOn::Everything)?,
        _ if timed => set_extra_minutes(sheet, what, figure)?,
        _ => set_extra_money(sheet, what, figure)?,
    }
    Ok(changes_work(what))
}

fn set_extra_minutes(sheet: &mut Sheet, what: ExtraKind, minutes: Decimal) -> Worked {
    let minutes = figures::man_minutes_or_off(minutes)?;
    match what {
        ExtraKind::SetUp => {
            sheet.set_up = minutes;
            sheet.set_up_learned = false;
        }
        ExtraKind::Haul => sheet.haul = minutes,
        ExtraKind::Drive => sheet.drive = minutes,
        _ => return Err(Refused::NotMinutes(what).into()),
    }
    Ok(())
}

fn set_extra_money(sheet: &mut Sheet, what: ExtraKind, money: Decimal) -> Worked {
    let sum = figures::money_or_off(What::Fee, money)?;
    match what {
        ExtraKind::DumpFee => {
            sheet.fees.retain(|(kind, _)| *kind != FeeKind::DumpFee);
            sheet.fees.extend(sum.map(|fee| (FeeKind::DumpFee, fee)));
        }
        ExtraKind::Minimum => sheet.minimum = sum,
        _ => return Err(Refused::NotMoney(what, money).into()),
    }
    Ok(())
}
