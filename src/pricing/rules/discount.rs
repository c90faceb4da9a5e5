//! What is taken off the subtotal: percentages of it, half up at the cent, or dollars, one after the other; `10% off` and
//! `another 5% off` are 15% in all. It may take the price below the minimum, since the owner's word wins; the quote then says by how much.

use super::Draft;
use crate::pricing::explain::SumStep;
use crate::pricing::refusal::{AmountOf, PercentOf, Refusal, check_not_below_zero, check_percent};
use crate::pricing::sheet::{Discount, Sheet};
use crate::units::{Money, RoundingPolicy};

pub(super) fn apply(sheet: &Sheet, draft: &mut Draft) -> Result<(), Refusal> {
    draft.steps.push(SumStep::Subtotal(draft.sum));
    for discount in sheet.discounts() {
        take_off(discount, draft)?;
    }
    Ok(())
}

fn take_off(said: Discount, draft: &mut Draft) -> Result<(), Refusal> {
    // What the discounts before this one left.
    let subtotal = draft.price_before_tax()?;
    let (percent, discount) = match said {
        Discount::None => (None, Money::ZERO),
        Discount::Percent(percent) => {
            check_percent(PercentOf::Discount, percent, 0, 100)?;
            let share = percent.checked_of(draft.sum)?.round(RoundingPolicy::HalfUp)?;
            (Some(percent), share)
        }
        Discount::Money(money) => {
            check_not_below_zero(AmountOf::Discount, money)?;
            (None, money)
        }
    };
    if discount > subtotal {
        return Err(Refusal::DiscountAbovePrice { discount, subtotal });
    }
    draft.discount = draft.discount.checked_add(discount)?;
    let price_before_tax = draft.price_before_tax()?;
    draft.steps.push(SumStep::Discount {
        subtotal,
        percent,
        discount,
        price_before_tax,
    });
    Ok(())
}
