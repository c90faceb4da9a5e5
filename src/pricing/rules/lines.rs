//! Counted lines: man-minutes / 60 x rate + material, or quantity x fixed price; computed whole, rounded once.

use super::Draft;
use crate::pricing::explain::SumStep;
use crate::pricing::quote::QuoteLine;
use crate::pricing::refusal::Refusal;
use crate::pricing::sheet::{Effort, Sheet, SheetLine};
use crate::units::RoundingPolicy;

pub(super) fn apply(sheet: &Sheet, draft: &mut Draft) -> Result<(), Refusal> {
    for line in &sheet.lines {
        let priced = price(sheet, line, draft)?;
        draft.sum = draft.sum.checked_add(priced.price)?;
        draft.materials = draft.materials.checked_add(priced.material)?;
        draft.man_minutes = draft.man_minutes.checked_add(priced.man_minutes)?;
        draft.lines.push(priced);
    }
    Ok(())
}

fn price(sheet: &Sheet, line: &SheetLine, draft: &mut Draft) -> Result<QuoteLine, Refusal> {
    let index = draft.lines.len();
    let quantity = line.quantity;
    let man_minutes = line.man_minutes()?;
    let minutes_each = match line.effort {
        Effort::Each(each) => Some(each),
        Effort::Whole(_) => None,
    };
    draft.steps.push(SumStep::LineWork {
        line: index,
        quantity,
        minutes_each,
        man_minutes,
    });

    let rate = sheet.line_rate(line);
    let material_said = sheet.material(line);
    let material_unrounded = material_said.checked_mul(quantity)?;
    let material = material_unrounded.round(RoundingPolicy::HalfUp)?;
    let (price, unit_price) = match line.price_each {
        Some(price_each) => {
            let price = price_each.checked_mul(quantity)?.round(RoundingPolicy::HalfUp)?;
            draft.steps.push(SumStep::LineFixed {
                line: index,
                quantity,
                price_each,
                price,
            });
            (price, price_each)
        }
        None => {
            let labour = rate.checked_mul(man_minutes)?;
            let whole = labour.checked_add(material_unrounded)?;
            let price = whole.round(RoundingPolicy::HalfUp)?;
            let material = (!material_said.each.is_zero()).then_some((quantity, material_said));
            draft.steps.push(SumStep::LinePrice {
                line: index,
                man_minutes,
                rate,
                material,
                price,
            });
            (price, whole.checked_each(quantity)?)
        }
    };
    let rate_made = if man_minutes.is_zero() {
        None
    } else {
        Some(price.checked_sub(material)?.checked_per_man_hour(man_minutes)?)
    };
    Ok(QuoteLine {
        service: line.service.clone(),
        size: line.size.clone(),
        unit: line.unit,
        quantity,
        minutes_each: line.minutes_each()?,
        man_minutes,
        rate,
        unit_price,
        price,
        material,
        fixed_price: line.price_each.is_some(),
        rate_made,
        basis: line.basis,
    })
}
