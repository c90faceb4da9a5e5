//! Tax: on the price after the discount, or on the material in it; computed once for the whole, half up at the cent.
//!
//! Material is taxed at what the client is charged for it, but never on more than the client pays.

use super::Draft;
use crate::pricing::explain::SumStep;
use crate::pricing::refusal::{PercentOf, Refusal, check_percent};
use crate::pricing::sheet::{Sheet, Tax};
use crate::units::RoundingPolicy;

pub(super) fn apply(sheet: &Sheet, draft: &mut Draft) -> Result<(), Refusal> {
    let price = draft.price_before_tax()?;
    let (taxed, percent, materials_only) = match sheet.tax {
        Tax::None => return Ok(()),
        Tax::All(percent) => (price, percent, false),
        Tax::Materials(percent) => (draft.materials.min(price), percent, true),
    };
    check_percent(PercentOf::Tax, percent, 0, 100)?;
    draft.tax = percent.checked_of(taxed)?.round(RoundingPolicy::HalfUp)?;
    draft.steps.push(SumStep::Tax {
        taxed,
        materials_only,
        percent,
        tax: draft.tax,
    });
    Ok(())
}
