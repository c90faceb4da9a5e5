//! The sum, worked backwards: from a price to the rate it makes, to the time it leaves; from a time or a rate to a
//! price.
//!
//! Prices are before tax. Answers are as fine as their units hold, so that quoting with an answer gives the price back
//! to the cent; whoever shows them rounds. Material counts as the client is charged for it, markup included.

use super::quote::{Quote, QuoteLine};
use super::refusal::Refusal;
use super::rules::quote;
use super::sheet::{Discount, Material, Sheet};
use crate::units::{
    ManMinutes, Minutes, Money, Percent, Quantity, RateMade, RatePerManHour, RoundingPolicy, UnitPrice, Unrounded,
};

/// How long the work may take at a price.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TimeForPrice {
    /// All work together.
    pub man_minutes: ManMinutes,
    /// Time on the clock for the quote's crew, half up at the hundredth.
    pub elapsed_minutes: Minutes,
    /// The work in the quote as it stands.
    pub quoted_man_minutes: ManMinutes,
    /// How much faster that is than quoted: (quoted - allowed) / quoted, half up at the hundredth of a percent. Below
    /// zero there is time to spare. `None` when no work was quoted.
    pub faster: Option<Percent>,
}

/// The rate made when the work takes another time than quoted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RateAtTime {
    /// All work together.
    pub man_minutes: ManMinutes,
    /// What it makes at the quote's price.
    pub rate: RateMade,
}

/// A quote at one of several rates.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RateRow {
    /// The rate.
    pub rate: RatePerManHour,
    /// The quote at it.
    pub quote: Quote,
}

/// The rate that a quote's work makes at a price: (price - materials - fees) x 60 / man-minutes.
///
/// # Errors
/// When the quote has no work.
pub fn rate_at_price(quote: &Quote, price: Money) -> Result<RateMade, Refusal> {
    rate_if_man_minutes_at(quote, price, quote.man_minutes)
}

/// The rate that one unit makes at a price for each: (price - material) x 60 / minutes each.
///
/// # Errors
/// When a unit takes no time.
pub fn rate_at_price_each(
    price_each: UnitPrice,
    material: Material,
    minutes_each: ManMinutes,
) -> Result<RateMade, Refusal> {
    if minutes_each.is_zero() {
        return Err(Refusal::NoWork);
    }
    Ok(for_work_each(price_each, material)?.checked_per_man_hour(minutes_each)?)
}

/// The rate that a line of a quote makes at a price for each unit.
///
/// # Errors
/// When the line has no work.
pub fn line_rate_at_price_each(line: &QuoteLine, price_each: UnitPrice) -> Result<RateMade, Refusal> {
    if line.man_minutes.is_zero() {
        return Err(Refusal::NoWork);
    }
    let price = price_each.checked_mul(line.quantity)?;
    Ok(price
        .checked_sub(Unrounded::from(line.material))?
        .checked_per_man_hour(line.man_minutes)?)
}

/// The man-minutes that make a rate at a price: (price - materials - fees) x 60 / rate. Set-up, haul and drive are part
/// of them.
///
/// # Errors
/// When materials and fees leave nothing of the price.
pub fn man_minutes_for_price(quote: &Quote, price: Money, rate: RatePerManHour) -> Result<TimeForPrice, Refusal> {
    let for_work = for_work(quote, price)?;
    if for_work <= Money::ZERO {
        return Err(Refusal::NothingForWork {
            price,
            materials: quote.materials,
            fees: quote.fees,
        });
    }
    let man_minutes = for_work.checked_work_at(rate)?;
    Ok(TimeForPrice {
        man_minutes,
        elapsed_minutes: man_minutes.checked_elapsed(quote.crew)?,
        quoted_man_minutes: quote.man_minutes,
        faster: faster(quote.man_minutes, man_minutes)?,
    })
}

/// The man-minutes each that make a rate at a price for each unit: (price - material) x 60 / rate.
///
/// # Errors
/// When the material leaves nothing of the price.
pub fn minutes_each_for_price(
    price_each: UnitPrice,
    material: Material,
    rate: RatePerManHour,
) -> Result<ManMinutes, Refusal> {
    let for_work = for_work_each(price_each, material)?;
    if for_work <= Unrounded::ZERO {
        let materials = material.checked_mul(Quantity::ONE)?.round(RoundingPolicy::HalfUp)?;
        let price = price_each.checked_mul(Quantity::ONE)?.round(RoundingPolicy::HalfUp)?;
        return Err(Refusal::NothingForWork {
            price,
            materials,
            fees: Money::ZERO,
        });
    }
    Ok(for_work.checked_work_at(rate)?)
}

/// The rate made at the quote's price if all the work, set-up, haul and drive included, takes this long. For a time on
/// the clock, multiply by the crew first ([`Minutes::checked_by`]).
///
/// # Errors
/// When there is no work.
pub fn rate_if_man_minutes(quote: &Quote, man_minutes: ManMinutes) -> Result<RateAtTime, Refusal> {
    let rate = rate_if_man_minutes_at(quote, quote.price_before_tax, man_minutes)?;
    Ok(RateAtTime { man_minutes, rate })
}

/// The rate made at the quote's price if the units of some lines take other times; the rest stays as quoted. Each pair
/// is an index into the quote's lines and the minutes for one unit.
///
/// # Errors
/// When there is no such line, or no work.
pub fn rate_if_minutes_each(quote: &Quote, changed: &[(usize, ManMinutes)]) -> Result<RateAtTime, Refusal> {
    let mut man_minutes = ManMinutes::checked_sum(quote.extras.iter().filter_map(|extra| extra.man_minutes))?;
    if let Some(&(missing, _)) = changed.iter().find(|(index, _)| *index >= quote.lines.len()) {
        return Err(Refusal::NoSuchLine(missing));
    }
    for (index, line) in quote.lines.iter().enumerate() {
        let other = changed.iter().rev().find(|(changed, _)| *changed == index);
        let work = match other {
            Some((_, minutes_each)) => minutes_each.checked_mul(line.quantity)?,
            None => line.man_minutes,
        };
        man_minutes = man_minutes.checked_add(work)?;
    }
    rate_if_man_minutes(quote, man_minutes)
}

/// The quote at another rate: what to charge to make it. A price said and a discount are left out, since they would
/// hold the price where it is; fixed prices stay.
///
/// # Errors
/// As [`quote`].
pub fn price_for_rate(sheet: &Sheet, rate: RatePerManHour) -> Result<Quote, Refusal> {
    let mut sheet = sheet.clone();
    sheet.rate_said = Some(rate);
    sheet.price_said = None;
    sheet.take_off(Discount::None);
    quote(&sheet)
}

/// The same work at several rates, in the order given.
///
/// # Errors
/// As [`quote`].
pub fn compare_rates(sheet: &Sheet, rates: &[RatePerManHour]) -> Result<Vec<RateRow>, Refusal> {
    rates
        .iter()
        .map(|&rate| {
            Ok(RateRow {
                rate,
                quote: price_for_rate(sheet, rate)?,
            })
        })
        .collect()
}

/// The price before tax that makes a rate if all the work takes this long: man-minutes / 60 x rate + materials + fees,
/// half up at the cent. No minimum and no step apply: it is the price that just makes the rate.
///
/// # Errors
/// When the price is out of range.
pub fn price_for_man_minutes(quote: &Quote, man_minutes: ManMinutes, rate: RatePerManHour) -> Result<Money, Refusal> {
    let work = rate.checked_mul(man_minutes)?;
    let passed_on = Unrounded::from(quote.materials.checked_add(quote.fees)?);
    Ok(work.checked_add(passed_on)?.round(RoundingPolicy::HalfUp)?)
}

fn rate_if_man_minutes_at(quote: &Quote, price: Money, man_minutes: ManMinutes) -> Result<RateMade, Refusal> {
    if man_minutes.is_zero() {
        return Err(Refusal::NoWork);
    }
    Ok(for_work(quote, price)?.checked_per_man_hour(man_minutes)?)
}

fn for_work(quote: &Quote, price: Money) -> Result<Money, Refusal> {
    Ok(price.checked_sub(quote.materials)?.checked_sub(quote.fees)?)
}

fn for_work_each(price_each: UnitPrice, material: Material) -> Result<Unrounded, Refusal> {
    Ok(price_each
        .checked_mul(Quantity::ONE)?
        .checked_sub(material.checked_mul(Quantity::ONE)?)?)
}

fn faster(quoted: ManMinutes, allowed: ManMinutes) -> Result<Option<Percent>, Refusal> {
    if quoted.is_zero() {
        return Ok(None);
    }
    Ok(Some(Percent::checked_less(allowed, quoted)?))
}
