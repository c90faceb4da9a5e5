//! Worked backwards: from a price to the rate it makes or the time it leaves, from a rate or a time to a price.
//!
//! Nothing is stored. What is asked of the whole is worked out for the quote being talked about; what is asked of each
//! unit needs no quote. The sum is always shown.

use rust_decimal::Decimal;

use super::{
    answer::{Part, QuotePrice, Refused, SolveSum, Solved, Supposed, What},
    ask::{Ask, Counted, Question},
    costs,
    desk::{Desk, Stop, Worked},
    figures, lines, places, quoting, revising,
    which::Sort,
};
use crate::{
    journal::{Event, Hole, Item, QuoteEntry},
    language::{ClassSaid, Expecting, MinutesSaid, Solve},
    pricing::{self, Material, Quote, SheetLine, solve as backwards},
    units::{Crew, ManMinutes, Minutes, Money, Quantity, RateMade, RoundingPolicy, UnitPrice},
};

/// Works something backwards, or asks what is missing for it.
pub(super) fn solve(desk: &mut Desk<'_>, said: &Solve) -> Worked {
    let solved = match said {
        Solve::RateAtPrice { price, each, class } => match unit_of(desk, *each, class.as_ref())? {
            Some(unit) => unit_rate(desk, unit, *price)?,
            None => quote_rate(desk, *price)?,
        },
        Solve::MinutesForPrice { price, each, class } => {
            if *each || (class.is_some() && desk.current_quote().is_none()) {
                unit_minutes(desk, class.as_ref(), *price)?
            } else {
                quote_minutes(desk, *price)?
            }
        }
        Solve::RateIfTime {
            minutes,
            each: true,
            class,
            ..
        } => rate_if_minutes(desk, &class.clone().unwrap_or_default(), minutes)?,
        Solve::RateIfMinutes(class, minutes) => rate_if_minutes(desk, class, minutes)?,
        Solve::RateIfTime {
            minutes,
            man_minutes,
            crew,
            ..
        } => rate_if_time(desk, minutes, *man_minutes, *crew)?,
        Solve::PriceForRate { rate } => rates(desk, &[*rate])?,
        Solve::CompareRates(list) => rates(desk, list)?,
        Solve::BreakEven => break_even(desk)?,
        Solve::PriceForChance(chance) => price_for_chance(desk, *chance)?,
    };
    desk.say(Part::Solved(Box::new(solved)));
    Ok(())
}

/// The quote that the sum is about, with its price worked out.
fn quote_in_hand(desk: &Desk<'_>) -> Worked<(QuoteEntry, Quote)> {
    let no = places::quote_meant(desk, None, Sort::ANY)?;
    let slot = desk.slot(Item::Whole, Hole::Quote);
    let entry = desk.quote(no).cloned();
    let entry = entry.ok_or_else(|| Stop::from(Ask::value(slot, Question::NoQuote, Expecting::Nothing)))?;
    let priced = pricing::quote(&entry.sheet)?;
    Ok((entry, priced))
}

fn price_of(entry: &QuoteEntry, priced: &Quote, price: Money) -> QuotePrice {
    QuotePrice {
        no: entry.no,
        place: entry.place.clone(),
        price,
        materials: priced.materials,
        fees: priced.fees,
    }
}

/// One unit of a kind, with its figures on the quote in hand, or else on the price list.
struct UnitInHand {
    counted: Counted,
    minutes_each: Option<ManMinutes>,
    material: Material,
    line: Option<SheetLine>,
}

/// The unit that a price for each is about; `None` when the whole quote is meant.
fn unit_of(desk: &mut Desk<'_>, each: bool, class: Option<&ClassSaid>) -> Worked<Option<UnitInHand>> {
    let whole = !each && (class.is_none() || desk.current_quote().is_some());
    if whole {
        return Ok(None);
    }
    unit_in_hand(desk, class.unwrap_or(&ClassSaid::default())).map(Some)
}

fn unit_in_hand(desk: &mut Desk<'_>, class: &ClassSaid) -> Worked<UnitInHand> {
    if let Some(line) = line_in_hand(desk, class) {
        let sheet = desk.current_quote().map(|entry| entry.sheet.clone());
        return Ok(UnitInHand {
            counted: lines::counted_of(&line),
            minutes_each: line.minutes_each().ok(),
            material: sheet.map_or(Material::NONE, |sheet| sheet.material(&line)),
            line: Some(line),
        });
    }
    let topic = desk.talk().services;
    let counted = lines::class_counted(class);
    let class = lines::resolve_class(desk, Item::Whole, class, &counted, &topic)?;
    let sheet = quoting::blank_sheet(desk);
    let service = desk.book().service(&class.service).cloned();
    let known = service
        .as_ref()
        .and_then(|service| service.class(class.size.as_deref()));
    let material = Material {
        each: known.and_then(|known| known.material_each).unwrap_or_default(),
        markup: sheet.markup,
    };
    let minutes_each = service
        .as_ref()
        .zip(known)
        .and_then(|(service, known)| desk.book().minutes_of(service, known))
        .map(|listed| listed.0);
    mention(desk, &class.service);
    Ok(UnitInHand {
        counted: Counted {
            quantity: None,
            unit: service.map(|service| service.unit),
            service: Some(class.service),
            size: class.size,
        },
        minutes_each,
        material,
        line: None,
    })
}

/// The only line of the quote in hand that a class can mean.
fn line_in_hand(desk: &Desk<'_>, class: &ClassSaid) -> Option<SheetLine> {
    let sheet = &desk.current_quote()?.sheet;
    match revising::matching(sheet, class).as_slice() {
        [only] => sheet.lines.get(*only).cloned(),
        _ => None,
    }
}

/// A kind that was worked out without a quote is talked about from here on.
fn mention(desk: &mut Desk<'_>, service: &str) {
    if desk.talk().services != [service] {
        desk.record(Event::ServiceMentioned {
            service: service.to_string(),
        });
    }
}

fn material_of_one(material: Material) -> Worked<Money> {
    let price = material
        .checked_mul(Quantity::ONE)
        .and_then(|price| price.round(RoundingPolicy::HalfUp));
    Ok(price.map_err(pricing::Refusal::from)?)
}

/// The rate aimed at: the quote's, when one is in hand, else the account's.
fn aim(desk: &Desk<'_>, line: Option<&SheetLine>) -> crate::units::RatePerManHour {
    match (desk.current_quote(), line) {
        (Some(entry), Some(line)) => entry.sheet.line_rate(line),
        (Some(entry), None) => entry.sheet.quote_rate(),
        (None, _) => desk.book().rate(),
    }
}

fn unit_rate(desk: &mut Desk<'_>, unit: UnitInHand, price: Decimal) -> Worked<Solved> {
    let price_each = figures::price_each(price)?;
    let aim = aim(desk, unit.line.as_ref());
    let Some(minutes_each) = unit.minutes_each else {
        let slot = desk.slot(Item::Whole, Hole::Minutes);
        return Err(Ask::value(slot, Question::MinutesUnknown(unit.counted), Expecting::Nothing).into());
    };
    let rate = backwards::rate_at_price_each(price_each, unit.material, minutes_each)?;
    let sum = SolveSum::UnitRate {
        unit: Some(unit.counted),
        price_each,
        material: material_of_one(unit.material)?,
        minutes_each,
        supposed: Supposed::Nothing,
        aim,
    };
    Ok(Solved {
        rate: Some(rate),
        minutes_each: None,
        man_minutes: None,
        price: None,
        sum,
    })
}

fn quote_rate(desk: &mut Desk<'_>, price: Decimal) -> Worked<Solved> {
    let price = figures::money(What::Price, price)?;
    let (entry, priced) = quote_in_hand(desk)?;
    let rate = backwards::rate_at_price(&priced, price)?;
    Ok(quote_solved(
        &entry,
        &priced,
        price,
        rate,
        priced.man_minutes,
        Supposed::Nothing,
    ))
}

fn quote_solved(
    entry: &QuoteEntry,
    priced: &Quote,
    price: Money,
    rate: RateMade,
    man_minutes: ManMinutes,
    supposed: Supposed,
) -> Solved {
    Solved {
        rate: Some(rate),
        minutes_each: None,
        man_minutes: None,
        price: None,
        sum: SolveSum::QuoteRate {
            of: price_of(entry, priced, price),
            man_minutes,
            supposed,
            aim: priced.rate,
        },
    }
}

fn unit_minutes(desk: &mut Desk<'_>, class: Option<&ClassSaid>, price: Decimal) -> Worked<Solved> {
    let price_each = figures::price_each(price)?;
    // The minutes that a price leaves are the same for every kind without material, so nothing is asked.
    let unit = match class {
        Some(class) => Some(unit_in_hand(desk, class)?),
        None => match line_in_hand(desk, &ClassSaid::default()) {
            Some(_) => Some(unit_in_hand(desk, &ClassSaid::default())?),
            None => None,
        },
    };
    let line = unit.as_ref().and_then(|unit| unit.line.clone());
    let rate = aim(desk, line.as_ref());
    let material = unit.as_ref().map_or(Material::NONE, |unit| unit.material);
    let minutes_each = backwards::minutes_each_for_price(price_each, material, rate)?;
    Ok(Solved {
        rate: None,
        minutes_each: Some(minutes_each),
        man_minutes: None,
        price: None,
        sum: SolveSum::UnitMinutes {
            now: unit.as_ref().and_then(|unit| unit.minutes_each),
            unit: unit.map(|unit| unit.counted),
            price_each,
            material: material_of_one(material)?,
            rate,
        },
    })
}

fn quote_minutes(desk: &mut Desk<'_>, price: Decimal) -> Worked<Solved> {
    let price = figures::money(What::Price, price)?;
    let (entry, priced) = quote_in_hand(desk)?;
    let time = backwards::man_minutes_for_price(&priced, price, priced.rate)?;
    let only_work = priced.extras.iter().all(|extra| extra.man_minutes.is_none());
    let minutes_each = match entry.sheet.lines.as_slice() {
        [line] if only_work => time.man_minutes.checked_each(line.quantity).ok(),
        _ => None,
    };
    Ok(Solved {
        rate: None,
        minutes_each,
        man_minutes: Some(time.man_minutes),
        price: None,
        sum: SolveSum::QuoteMinutes {
            of: price_of(&entry, &priced, price),
            rate: priced.rate,
            time,
            crew: priced.crew,
        },
    })
}

fn rate_if_time(desk: &mut Desk<'_>, said: &MinutesSaid, man_minutes: bool, crew: Option<u32>) -> Worked<Solved> {
    let (entry, priced) = quote_in_hand(desk)?;
    let range = quoting::range_remark(said);
    let crew = match crew {
        Some(people) => figures::crew(people)?,
        None => priced.crew,
    };
    let (whole, supposed) = if man_minutes {
        (figures::man_minutes(said.minutes)?, Supposed::ManMinutes { range })
    } else {
        elapsed(said.minutes, crew, range)?
    };
    let made = backwards::rate_if_man_minutes(&priced, whole)?;
    Ok(quote_solved(
        &entry,
        &priced,
        priced.price_before_tax,
        made.rate,
        whole,
        supposed,
    ))
}

fn elapsed(minutes: Decimal, crew: Crew, range: Option<super::answer::Remark>) -> Worked<(ManMinutes, Supposed)> {
    figures::man_minutes(minutes)?;
    let minutes = Minutes::new(minutes).map_err(pricing::Refusal::from)?;
    let whole = minutes.checked_by(crew).map_err(pricing::Refusal::from)?;
    Ok((whole, Supposed::Elapsed { minutes, crew, range }))
}

/// Other minutes for a kind, the price held.
fn rate_if_minutes(desk: &mut Desk<'_>, class: &ClassSaid, said: &MinutesSaid) -> Worked<Solved> {
    let minutes = figures::man_minutes(said.minutes)?;
    let range = quoting::range_remark(said);
    let on_quote = desk
        .current_quote()
        .is_some_and(|entry| !revising::matching(&entry.sheet, class).is_empty());
    if on_quote {
        let (entry, priced) = quote_in_hand(desk)?;
        let lines = revising::target_lines(desk, &entry.sheet, Item::Whole, class)?;
        let changed: Vec<(usize, ManMinutes)> = lines.iter().map(|index| (*index, minutes)).collect();
        let made = backwards::rate_if_minutes_each(&priced, &changed)?;
        let unit = lines
            .first()
            .map_or_else(Counted::default, |index| lines::counted_of(&entry.sheet.lines[*index]));
        let supposed = Supposed::Each { unit, minutes, range };
        let price = priced.price_before_tax;
        return Ok(quote_solved(
            &entry,
            &priced,
            price,
            made.rate,
            made.man_minutes,
            supposed,
        ));
    }
    let unit = unit_in_hand(desk, class)?;
    let name = unit.counted.service.clone().unwrap_or_default();
    let price_each = super::setting::priced(desk, &name, unit.counted.size.as_deref())
        .and_then(|priced| UnitPrice::try_from(priced.unit_price).ok())
        .unwrap_or_default();
    let rate = backwards::rate_at_price_each(price_each, unit.material, minutes)?;
    Ok(Solved {
        rate: Some(rate),
        minutes_each: None,
        man_minutes: None,
        price: None,
        sum: SolveSum::UnitRate {
            unit: Some(unit.counted.clone()),
            price_each,
            material: material_of_one(unit.material)?,
            minutes_each: minutes,
            supposed: Supposed::Each {
                unit: unit.counted,
                minutes,
                range,
            },
            aim: desk.book().rate(),
        },
    })
}

fn rates(desk: &mut Desk<'_>, said: &[Decimal]) -> Worked<Solved> {
    let rates = said
        .iter()
        .map(|rate| figures::rate(*rate))
        .collect::<Result<Vec<_>, _>>()?;
    let (entry, priced) = quote_in_hand(desk)?;
    let rows = backwards::compare_rates(&entry.sheet, &rates)?;
    let price = match rows.as_slice() {
        [only] => Some(only.quote.total),
        _ => None,
    };
    Ok(Solved {
        rate: None,
        minutes_each: None,
        man_minutes: None,
        price,
        sum: SolveSum::Rates {
            no: entry.no,
            lines: entry
                .sheet
                .lines
                .iter()
                .map(|line| lines::counted_line(line, line.quantity.get()))
                .collect(),
            rows: rows.into_iter().map(|row| (row.rate, row.quote)).collect(),
            now: (priced.price_before_tax, priced.rate_made),
        },
    })
}

/// The price that makes the rate with a chance: what the work takes no more than that often, at the rate.
fn price_for_chance(desk: &mut Desk<'_>, chance: Decimal) -> Worked<Solved> {
    let (entry, priced) = quote_in_hand(desk)?;
    let allowed = desk.book().allowance(&entry.sheet, chance);
    let allowed = allowed.ok_or(Refused::OutOfRange {
        what: What::Chance,
        value: chance,
    })?;
    let price = backwards::price_for_man_minutes(&priced, allowed, priced.rate)?;
    Ok(Solved {
        rate: None,
        minutes_each: None,
        man_minutes: Some(allowed),
        price: Some(price),
        sum: SolveSum::Chance {
            of: price_of(&entry, &priced, price),
            chance,
            allowed,
            rate: priced.rate,
        },
    })
}

fn break_even(desk: &Desk<'_>) -> Worked<Solved> {
    let settings = desk.book().settings();
    let Some(costs) = costs::build_up(settings) else {
        let slot = desk.slot(Item::Whole, Hole::Money);
        let question = Question::CostsMissing(costs::missing(settings));
        return Err(Ask::value(slot, question, Expecting::Nothing).into());
    };
    Ok(Solved {
        rate: RateMade::new(costs.break_even.get()).ok(),
        minutes_each: None,
        man_minutes: None,
        price: None,
        sum: SolveSum::BreakEven(costs),
    })
}
