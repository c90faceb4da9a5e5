//! What is taken off the subtotal: a percentage, half up at the cent, or dollars. It may take the price below the
//! minimum, since the owner's word wins; the quote then says by how much.

use super::Draft;
use crate::pricing::explain::SumStep;
use crate::pricing::refusal::{AmountOf, PercentOf, Refusal, check_not_below_zero, check_percent};
use crate::pricing::sheet::{Discount, Sheet};
use crate::units::RoundingPolicy;

pub(super) fn apply(sheet: &Sheet, draft: &mut Draft) -> Result<(), Refusal> {
    let subtotal = draft.sum;
    draft.steps.push(SumStep::Subtotal(subtotal));
    let (percent, discount) = match sheet.discount {
        Discount::None => return Ok(()),
        Discount::Percent(percent) => {
            check_percent(PercentOf::Discount, percent, 0, 100)?;
            (
                Some(percent),
                percent.checked_of(subtotal)?.round(RoundingPolicy::HalfUp)?,
            )
        }
        Discount::Money(money) => {
            check_not_below_zero(AmountOf::Discount, money)?;
            (None, money)
        }
    };
    if discount > subtotal {
        return Err(Refusal::DiscountAbovePrice { discount, subtotal });
    }
    draft.discount = discount;
    let price_before_tax = draft.price_before_tax()?;
    draft.steps.push(SumStep::Discount {
        subtotal,
        percent,
        discount,
        price_before_tax,
    });
    Ok(())
}
