//! Figures as said, made into values with units; one that cannot be is refused with what it was taken for.

use rust_decimal::Decimal;

use super::answer::{Refused, What};
use crate::units::{
    Crew, Days, HourlyCost, ManHours, ManMinutes, Money, Percent, Quantity, RatePerManHour, UnitPrice, Years,
};

fn made<T, E>(what: What, value: Decimal, made: Result<T, E>) -> Result<T, Refused> {
    made.map_err(|_| Refused::OutOfRange { what, value })
}

/// Refuses what is not above zero.
fn above_zero(what: What, value: Decimal) -> Result<(), Refused> {
    if value > Decimal::ZERO {
        Ok(())
    } else {
        Err(Refused::OutOfRange { what, value })
    }
}

/// Dollars above zero.
pub(super) fn money(what: What, value: Decimal) -> Result<Money, Refused> {
    above_zero(what, value)?;
    made(what, value, Money::new(value))
}

/// Dollars above zero, or nothing for zero.
pub(super) fn money_or_off(what: What, value: Decimal) -> Result<Option<Money>, Refused> {
    if value.is_zero() {
        Ok(None)
    } else {
        money(what, value).map(Some)
    }
}

/// Dollars for a unit, zero included.
pub(super) fn each(what: What, value: Decimal) -> Result<UnitPrice, Refused> {
    made(what, value, UnitPrice::new(value))
}

/// Dollars for a unit, above zero.
pub(super) fn price_each(value: Decimal) -> Result<UnitPrice, Refused> {
    above_zero(What::Price, value)?;
    each(What::Price, value)
}

/// Man-minutes above zero; more than eight decimals are rounded half up.
pub(super) fn man_minutes(value: Decimal) -> Result<ManMinutes, Refused> {
    above_zero(What::Minutes, value)?;
    made(What::Minutes, value, ManMinutes::new(value))
}

/// Man-minutes above zero, or nothing for zero.
pub(super) fn man_minutes_or_off(value: Decimal) -> Result<Option<ManMinutes>, Refused> {
    if value.is_zero() {
        Ok(None)
    } else {
        man_minutes(value).map(Some)
    }
}

/// A rate above zero.
pub(super) fn rate(value: Decimal) -> Result<RatePerManHour, Refused> {
    above_zero(What::Rate, value)?;
    made(What::Rate, value, RatePerManHour::new(value))
}

/// Dollars for an hour of a person's time.
pub(super) fn wage(value: Decimal) -> Result<HourlyCost, Refused> {
    above_zero(What::Wage, value)?;
    made(What::Wage, value, HourlyCost::new(value))
}

/// Man-hours above zero.
pub(super) fn man_hours(value: Decimal) -> Result<ManHours, Refused> {
    made(What::Hours, value, ManHours::new(value))
}

/// Whole days that recordings are kept, none included.
pub(super) fn recording_days(value: Decimal) -> Result<Days, Refused> {
    made(What::RecordingDays, value, Days::new(value))
}

/// Years above zero.
pub(super) fn years(value: Decimal) -> Result<Years, Refused> {
    made(What::Years, value, Years::new(value))
}

/// A count above zero.
pub(super) fn quantity(value: Decimal) -> Result<Quantity, Refused> {
    made(What::Count, value, Quantity::new(value))
}

/// Percent from 0 to `greatest`.
pub(super) fn percent(what: What, value: Decimal, greatest: u32) -> Result<Percent, Refused> {
    if value < Decimal::ZERO || value > Decimal::from(greatest) {
        return Err(Refused::OutOfRange { what, value });
    }
    made(what, value, Percent::new(value))
}

/// People.
pub(super) fn crew(people: u32) -> Result<Crew, Refused> {
    made(What::Crew, Decimal::from(people), Crew::new(people))
}
