//! Sums worked backwards, with the sum shown.

use rust_decimal::Decimal;

use super::{
    costs::costs,
    quote::range,
    words::{class, clock, dollars, joined, minutes, money, number, per, rate, rate_made, spoken, unit_price},
};
use crate::{
    conversation::{Counted, QuotePrice, SolveSum, Solved, Supposed},
    pricing::{ExtraWhat, Quote, QuoteLine, solve::TimeForPrice},
    units::{Crew, ManMinutes, Money, QuoteNo, RateMade, RatePerManHour, RoundingPolicy, Unit, UnitPrice},
};

/// Something worked backwards.
pub(super) fn solved(solved: &Solved) -> String {
    match &solved.sum {
        SolveSum::QuoteRate {
            of,
            man_minutes,
            supposed,
            aim,
        } => {
            let made = made(solved.rate, *aim);
            let sum = format!(
                "{} / {} man-min x 60 = {made}",
                left_for_work(of),
                number(man_minutes.get())
            );
            with_supposed(sum, supposed)
        }
        SolveSum::UnitRate {
            unit,
            price_each,
            material,
            minutes_each,
            supposed,
            aim,
        } => {
            let left = left_of_unit(unit.as_ref(), *price_each, *material);
            let made = made(solved.rate, *aim);
            with_supposed(format!("{left} / {} x 60 = {made}", minutes(*minutes_each)), supposed)
        }
        SolveSum::QuoteMinutes {
            of,
            rate: at,
            time,
            crew,
        } => {
            let left = left_for_work(of);
            format!(
                "{left} / {} x 60 = {}",
                rate(*at),
                allowed(solved.minutes_each, time, *crew)
            )
        }
        SolveSum::UnitMinutes {
            unit,
            price_each,
            material,
            rate: at,
            now,
        } => {
            let left = left_of_unit(unit.as_ref(), *price_each, *material);
            let allowed = solved.minutes_each.map(rounded).unwrap_or_default();
            let now = now
                .map(|now| format!(" Your list says {}.", minutes(now)))
                .unwrap_or_default();
            format!("{left} / {} x 60 = {allowed} each.{now}", rate(*at))
        }
        SolveSum::Rates { no, lines, rows, now } => match rows.as_slice() {
            [(at, priced)] => at_rate(*no, *at, priced),
            _ => rates(*no, lines, rows, *now),
        },
        SolveSum::Chance {
            of,
            chance,
            allowed,
            rate: at,
        } => for_chance(of, *chance, *allowed, *at),
        SolveSum::BreakEven(shown) => costs(shown),
    }
}

/// The time that a price leaves.
fn allowed(each: Option<ManMinutes>, time: &TimeForPrice, crew: Crew) -> String {
    let each = each.map(|each| format!(", {} each", rounded(each))).unwrap_or_default();
    let people = match crew.get() {
        1 => String::new(),
        people => format!(", {people} people about {}", clock(time.elapsed_minutes.get())),
    };
    let faster = time
        .faster
        .map(|faster| against(time.quoted_man_minutes, faster.get()))
        .unwrap_or_default();
    format!("{} man-min{each}{people}.{faster}", number_of(time.man_minutes))
}

/// The price that makes the rate so many times in ten.
fn for_chance(of: &QuotePrice, chance: Decimal, allowed: ManMinutes, at: RatePerManHour) -> String {
    let times = number(chance * Decimal::TEN);
    let allowed = number(allowed.get());
    let sum = format!("{allowed} / 60 x {}{}", rate(at), passed_on(of.materials, of.fees));
    format!(
        "{times} times in 10 it takes {allowed} man-min or less: {sum} = {}.",
        money(of.price)
    )
}

/// What is added to a price for work.
fn passed_on(materials: Money, fees: Money) -> String {
    let material = if materials.is_zero() {
        String::new()
    } else {
        format!(" + {} material", money(materials))
    };
    let fees = if fees.is_zero() {
        String::new()
    } else {
        format!(" + {} fees", money(fees))
    };
    format!("{material}{fees}")
}

/// One small table: a rate and a price a line, and where the quote stands now.
fn rates(
    no: QuoteNo,
    lines: &[Counted],
    rows: &[(RatePerManHour, Quote)],
    (price, made): (Money, Option<RateMade>),
) -> String {
    let counted: Vec<String> = lines.iter().map(spoken).collect();
    let mut text = vec![format!("Quote {no}, {}:", counted.join(", "))];
    text.extend(
        rows.iter()
            .map(|(at, priced)| format!("{} an hour: {}{}", rate(*at), money(priced.total), taxed(priced))),
    );
    if let Some(made) = made {
        let made = rate_made(made.to_cents());
        text.push(format!("Now {} before tax, makes {made} an hour", money(price)));
    }
    text.join("\n")
}

fn taxed(priced: &Quote) -> &'static str {
    if priced.tax.is_zero() { "" } else { " with tax" }
}

/// The price for a rate with its sum.
fn at_rate(no: QuoteNo, at: RatePerManHour, priced: &Quote) -> String {
    let fixed: Vec<Money> = priced
        .lines
        .iter()
        .filter(|line| line.fixed_price)
        .map(|line| line.price)
        .collect();
    let work: Decimal = priced
        .lines
        .iter()
        .filter(|line| !line.fixed_price)
        .map(|line| line.man_minutes.get())
        .chain(
            priced
                .extras
                .iter()
                .filter_map(|extra| extra.man_minutes)
                .map(ManMinutes::get),
        )
        .sum();
    let material = |line: &&QuoteLine| !line.fixed_price;
    let materials = priced.lines.iter().filter(material).map(|line| line.material);
    let materials = Money::checked_sum(materials).unwrap_or(Money::ZERO);
    let mut sum = format!(
        "{} / 60 x {}{}",
        number(work),
        rate(at),
        passed_on(materials, priced.fees)
    );
    for price in fixed {
        sum.push_str(&format!(" + {} fixed", money(price)));
    }
    let adjusted = |what| priced.extras.iter().any(|extra| extra.what == what);
    let with: Vec<String> = [
        (adjusted(ExtraWhat::Minimum), "the minimum"),
        (adjusted(ExtraWhat::Rounding), "rounding"),
        (!priced.tax.is_zero(), "tax"),
    ]
    .into_iter()
    .filter(|(applies, _)| *applies)
    .map(|(_, name)| name.to_string())
    .collect();
    let with = if with.is_empty() {
        String::new()
    } else {
        format!(", with {}", joined(&with))
    };
    format!(
        "Quote {no} at {} an hour: {sum}{with} = {}.",
        rate(at),
        money(priced.total)
    )
}

fn left_of_unit(unit: Option<&Counted>, price_each: UnitPrice, material: Money) -> String {
    let name = unit.map(|unit| format!("{}: ", name(unit))).unwrap_or_default();
    format!("{name}{}", less(unit_price(price_each), material, Money::ZERO))
}

fn left_for_work(of: &QuotePrice) -> String {
    let place = of.place.as_ref().map(|place| format!(", {place}")).unwrap_or_default();
    format!(
        "Quote {}{place}: {}",
        of.no,
        less(money(of.price), of.materials, of.fees)
    )
}

/// A price less what is passed on.
pub(super) fn less(price: String, materials: Money, fees: Money) -> String {
    let mut terms = vec![price];
    if !materials.is_zero() {
        terms.push(format!("{} material", money(materials)));
    }
    if !fees.is_zero() {
        terms.push(format!("{} fees", money(fees)));
    }
    if terms.len() == 1 {
        terms.remove(0)
    } else {
        format!("({})", terms.join(" - "))
    }
}

/// The rate made and how it stands to the rate aimed at.
fn made(made: Option<RateMade>, aim: RatePerManHour) -> String {
    let Some(made) = made else { return "no rate".to_string() };
    let made = made.to_cents();
    let difference = made.get() - RateMade::from(aim).to_cents().get();
    let stands = if difference.is_zero() {
        "just your rate".to_string()
    } else {
        let word = if difference.is_sign_negative() { "under" } else { "over" };
        format!("{} {word} {}", dollars(difference), rate(aim))
    };
    format!("{} an hour, {stands}.", rate_made(made))
}

fn against(quoted: ManMinutes, faster: rust_decimal::Decimal) -> String {
    let quoted = number_of(quoted);
    if faster.is_zero() {
        format!(" The quote has {quoted}.")
    } else if faster.is_sign_negative() {
        format!(" The quote has {quoted}: {}% to spare.", number(faster.abs()))
    } else {
        format!(" The quote has {quoted}: {}% faster.", number(faster))
    }
}

fn name(unit: &Counted) -> String {
    class(unit.service.as_deref().unwrap_or("one"), unit.size.as_deref())
}

fn with_supposed(text: String, supposed: &Supposed) -> String {
    let (said, ends) = match supposed {
        Supposed::Nothing => return text,
        Supposed::Elapsed { minutes, crew, range } => {
            let people = if crew.get() == 1 {
                String::new()
            } else {
                format!(" x {crew} people")
            };
            (format!("If it takes {}{people}: ", clock(minutes.get())), range)
        }
        Supposed::ManMinutes { range } => ("If it takes that: ".to_string(), range),
        Supposed::Each {
            unit,
            minutes: each,
            range,
        } => {
            let per = per(unit.unit.unwrap_or(Unit::Each));
            (
                format!("If {} takes {}{per}, price held: ", name(unit), minutes(*each)),
                range,
            )
        }
    };
    let ends = ends
        .as_ref()
        .and_then(range)
        .map(|ends| format!(" {ends}"))
        .unwrap_or_default();
    format!("{said}{text}{ends}")
}

/// Minutes to the hundredth.
fn rounded(minutes: ManMinutes) -> String {
    format!("{} min", number_of(minutes))
}

fn number_of(minutes: ManMinutes) -> String {
    number(RoundingPolicy::HalfUp.places(minutes.get(), 2))
}
