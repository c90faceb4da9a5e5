//! Changes that turn what was counted into something else: another size or kind, or so many times as many.

use rust_decimal::Decimal;

use super::{
    answer::Remark,
    ask::{Ask, Question},
    desk::{Desk, Worked},
    figures, lines, quoting,
    revising::{self, Applied},
};
use crate::{
    journal::{Hole, Item},
    language::{Change, ClassSaid, Expecting, LineSaid, QuantitySaid},
    pricing::Sheet,
};

/// Makes one of these changes.
pub(super) fn apply(desk: &Desk<'_>, sheet: &mut Sheet, item: Item, change: &Change) -> Worked<Applied> {
    match change {
        Change::Recount { from, to } => recount(desk, sheet, item, from, to),
        Change::Times(class, factor) => multiply(desk, sheet, item, class, *factor),
        _ => Ok(Applied::default()),
    }
}

/// `the big ones are mediums`, `swap 2 small for 2 large`: what the line counted goes over to another class.
fn recount(desk: &Desk<'_>, sheet: &mut Sheet, item: Item, from: &LineSaid, to: &ClassSaid) -> Worked<Applied> {
    let index = revising::target_line(desk, sheet, item, &from.class)?;
    let old = sheet.lines[index].clone();
    let counted = old.quantity.get();
    let moved = match from.quantity {
        QuantitySaid::Unsaid => counted,
        _ => {
            let class = lines::Class {
                service: old.service.clone(),
                size: old.size.clone(),
            };
            lines::resolve_quantity(desk, item, from, &class, old.unit)?.get()
        }
    };
    if moved > counted {
        let slot = desk.slot(item, Hole::Quantity);
        let question = Question::FewerThanThat(lines::counted_line(&old, counted));
        return Err(Ask::value(slot, question, Expecting::Count).into());
    }
    let said = LineSaid {
        quantity: QuantitySaid::Exact(moved),
        class: to.clone(),
        ..from.clone()
    };
    let new = lines::resolve(desk, item, &said, std::slice::from_ref(&old.service))?;
    let remarks = vec![
        Remark::Dropped(lines::counted_line(&old, moved), None),
        Remark::Added(lines::counted_line(&new, moved)),
    ];
    let has_twin = sheet.lines.iter().any(|twin| quoting::same_figures(twin, &new));
    match (moved == counted, has_twin) {
        (true, false) => sheet.lines[index] = new,
        (true, true) => {
            sheet.lines.remove(index);
            quoting::add_line(sheet, new)?;
        }
        (false, _) => {
            revising::grow(&mut sheet.lines[index], figures::quantity(counted - moved)?)?;
            quoting::add_line(sheet, new)?;
        }
    }
    Ok(Applied {
        remarks,
        place: None,
        work_changed: true,
    })
}

/// `double the smalls`: the count of a line times a factor.
fn multiply(desk: &Desk<'_>, sheet: &mut Sheet, item: Item, class: &ClassSaid, factor: Decimal) -> Worked<Applied> {
    let index = revising::target_line(desk, sheet, item, class)?;
    let line = &mut sheet.lines[index];
    let quantity = line.quantity.get().saturating_mul(factor);
    revising::grow(line, figures::quantity(quantity)?)?;
    Ok(Applied {
        work_changed: true,
        ..Applied::default()
    })
}
