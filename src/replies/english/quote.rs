//! A quote in a few lines: what was counted, how long it takes, what it comes to, so that the sum can be checked by hand.

use rust_decimal::Decimal;

use super::words::{
    class, clock, count, hourly, joined, minutes, money, number, per, rate, rate_made, spoken, unit_price,
};
use crate::{
    conversation::{QuoteShown, Remark},
    journal::{Likely, Status},
    language::ExtraKind,
    pricing::{Basis, Discount, Effort, Extra, ExtraWhat, FeeKind, Quote, QuoteLine, Sheet, SheetLine, SumStep, Tax},
    units::RateMade,
};

/// A quote.
pub(super) fn quote(shown: &QuoteShown) -> String {
    let priced = &shown.priced;
    let mut lines: Vec<String> = shown.remarks.iter().filter_map(before).collect();
    lines.push(heading(shown));
    let with_sheet = priced.lines.iter().zip(&shown.sheet.lines);
    lines.extend(with_sheet.map(|(line, from)| counted(line, from, shown)));
    lines.extend(priced.extras.iter().map(|extra| added(*extra, &shown.sheet)));
    lines.push(work(shown));
    if !priced.discount.is_zero() || !priced.tax.is_zero() {
        lines.push(format!("Subtotal: {}", money(priced.subtotal)));
    }
    if !priced.discount.is_zero() {
        lines.extend(taken_off(priced));
    }
    if !priced.tax.is_zero() {
        lines.push(format!("Tax{}: {}", tax_of(shown.sheet.tax), money(priced.tax)));
    }
    lines.push(total(shown));
    lines.extend(shown.likely.filter(|likely| likely.from_jobs).map(likely));
    lines.extend(shown.remarks.iter().filter_map(after));
    lines.join("\n")
}

fn heading(shown: &QuoteShown) -> String {
    let place = shown
        .place
        .as_ref()
        .map(|place| format!(", {place}"))
        .unwrap_or_default();
    let status = match shown.status {
        Status::Open => "",
        Status::Won => " (won)",
        Status::Here | Status::Paused => " (on it)",
        Status::Done => " (done)",
        Status::Lost => " (lost)",
    };
    if shown.what_if {
        format!("What if, quote {}{place}:", shown.no)
    } else {
        format!("Quote {}{place}{status}", shown.no)
    }
}

fn counted(line: &QuoteLine, from: &SheetLine, shown: &QuoteShown) -> String {
    let what = count(line.quantity.get(), line.unit, &line.service, line.size.as_deref());
    let guess = match line.basis {
        Basis::Starter => " (starter guess)",
        Basis::Learned => " (learned)",
        Basis::Set | Basis::Said => "",
    };
    let price = money(line.price);
    let each_word = per(line.unit);
    let single = line.quantity.get() == Decimal::ONE;
    if line.fixed_price {
        let made = line
            .rate_made
            .map(|made| format!(", makes {} an hour", rate_made(made.to_cents())))
            .unwrap_or_default();
        return format!(
            "{what} at {}{each_word}: {price}{made}{guess}",
            unit_price(line.unit_price)
        );
    }
    let own_rate = if line.rate == shown.priced.rate {
        String::new()
    } else {
        format!(" at {} an hour", rate(line.rate))
    };
    let material = from.material_each.map(|each| {
        let markup = shown.sheet.markup.get();
        let markup = if markup.is_zero() {
            String::new()
        } else {
            format!(" + {}%", number(markup))
        };
        format!(" + {}{markup} material", unit_price(each))
    });
    let material = material.unwrap_or_default();
    let work = match from.effort {
        Effort::Each(each) => format!("{}{material}{each_word}", minutes(each)),
        Effort::Whole(whole) if single => format!("{}{material}", minutes(whole)),
        Effort::Whole(whole) => format!("{} in all{material}", minutes(whole)),
    };
    let unit = if single {
        String::new()
    } else {
        format!(" ({}{each_word})", unit_price(line.unit_price))
    };
    format!("{what}, {work}{own_rate}{guess}: {price}{unit}")
}

fn added(extra: Extra, sheet: &Sheet) -> String {
    let price = money(extra.price);
    let time = extra
        .man_minutes
        .map(|work| format!(" {}", minutes(work)))
        .unwrap_or_default();
    match extra.what {
        ExtraWhat::SetUp if sheet.set_up_learned => format!("Set-up{time} (learned): {price}"),
        ExtraWhat::SetUp => format!("Set-up{time}: {price}"),
        ExtraWhat::Haul => format!("Haul{time}: {price}"),
        ExtraWhat::Drive => format!("Drive{time}: {price}"),
        ExtraWhat::Fee(FeeKind::DumpFee) => format!("Dump fee: {price}"),
        ExtraWhat::Minimum => {
            let minimum = sheet
                .minimum
                .map(|minimum| format!(" {}", money(minimum)))
                .unwrap_or_default();
            format!("Up to your{minimum} minimum: {price}")
        }
        ExtraWhat::Rounding => format!("Rounding: {price}"),
        ExtraWhat::PriceSaid => format!("To your price: {price}"),
    }
}

/// How long it is likely to take, and the chance of making the rate.
fn likely(likely: Likely) -> String {
    let percent = number(likely.chance * Decimal::ONE_HUNDRED);
    format!(
        "Likely {} to {} man-min: {percent}% to make your rate.",
        number(likely.low),
        number(likely.high)
    )
}

/// Work, rate and crew.
fn work(shown: &QuoteShown) -> String {
    let priced = &shown.priced;
    let guess = if shown.starter_rate { " (starter rate)" } else { "" };
    let man_minutes = number(priced.man_minutes.get());
    let crew = match priced.crew.get() {
        1 => ", 1 person".to_string(),
        people => format!(", {people} people about {}", clock(priced.elapsed_minutes.get())),
    };
    let at = if uses_its_rate(priced) {
        format!("{man_minutes} man-min at {} an hour{guess}{crew}", rate(priced.rate))
    } else {
        format!("{man_minutes} man-min{crew}")
    };
    match priced.rate_made {
        Some(made) if is_another_rate(made, priced) => {
            format!("{at}; makes {} an hour", rate_made(made.to_cents()))
        }
        _ => at,
    }
}

/// Whether any work is priced at the quote's rate; else every line has its own, or a fixed price.
fn uses_its_rate(priced: &Quote) -> bool {
    let line = |line: &QuoteLine| line.rate == priced.rate && !line.fixed_price;
    priced.lines.iter().any(line) || priced.extras.iter().any(|extra| extra.man_minutes.is_some())
}

/// The rate made is worth a word when it is not just the quote's rate with its cents rounded.
fn is_another_rate(made: RateMade, priced: &Quote) -> bool {
    let plain = priced
        .extras
        .iter()
        .all(|extra| extra.man_minutes.is_some() || matches!(extra.what, ExtraWhat::Fee(_)));
    let one_rate = priced
        .lines
        .iter()
        .all(|line| line.rate == priced.rate && !line.fixed_price);
    let rounded_only = plain && one_rate && priced.discount.is_zero();
    !rounded_only && made.to_cents() != RateMade::from(priced.rate).to_cents()
}

fn total(shown: &QuoteShown) -> String {
    format!("Total {}", money(shown.priced.total))
}

/// What is taken off, each with what it comes to.
fn taken_off(priced: &Quote) -> Vec<String> {
    let steps = priced.explain().iter().filter_map(|step| match step {
        SumStep::Discount { percent, discount, .. } => Some((*percent, *discount)),
        _ => None,
    });
    steps
        .enumerate()
        .map(|(place, (percent, discount))| {
            let percent = percent
                .map(|percent| format!(" {}%", number(percent.get())))
                .unwrap_or_default();
            let more = if place > 0 { " another" } else { "" };
            format!("Less{more}{percent}: -{}", money(discount))
        })
        .collect()
}

fn amount_off(discount: Discount) -> String {
    match discount {
        Discount::Percent(percent) => format!("{}%", number(percent.get())),
        Discount::Money(amount) => money(amount),
        Discount::None => "nothing".to_string(),
    }
}

fn tax_of(tax: Tax) -> String {
    match tax {
        Tax::All(percent) => format!(" {}%", number(percent.get())),
        Tax::Materials(percent) => format!(" {}% on material", number(percent.get())),
        Tax::None => String::new(),
    }
}

/// What is said before a quote: what was changed.
fn before(remark: &Remark) -> Option<String> {
    match remark {
        Remark::PutTogether { before, more, all } => {
            Some(format!("{} + {}: {}.", number(*before), number(*more), spoken(all)))
        }
        Remark::Added(counted) => Some(format!("Added {}.", spoken(counted))),
        Remark::Dropped(counted, None) => Some(format!("Dropped {}.", spoken(counted))),
        Remark::Dropped(counted, Some(of)) => Some(format!("Dropped {} of {}.", spoken(counted), number(*of))),
        Remark::MoreOffPercent(more) => Some(format!("Another {}% off.", number(*more))),
        Remark::MoreOffMoney(more) => Some(format!("Another ${} off.", number(*more))),
        Remark::LeftOut(ExtraKind::Markup) => {
            Some("Without markup on this quote; \"markup 0\" takes it off all.".to_string())
        }
        Remark::LeftOut(what) => Some(format!("Without {}.", extra_name(*what))),
        Remark::NewOnList(name, size) => Some(format!("New on your list: {}.", class(name, size.as_deref()))),
        Remark::MinutesRange { .. } => range(remark),
        Remark::InPlaceOf(before) => {
            let before: Vec<String> = before.iter().map(|off| amount_off(*off)).collect();
            Some(format!("In place of {} off.", joined(&before)))
        }
        Remark::Minimum(_) | Remark::BelowMinimum { .. } | Remark::BelowBreakEven { .. } | Remark::HeldPrice { .. } => {
            None
        }
    }
}

/// A range of minutes and the figure used.
pub(super) fn range(remark: &Remark) -> Option<String> {
    match remark {
        Remark::MinutesRange { low, high, used } => Some(format!(
            "{} to {} min: I use {}.",
            number(*low),
            number(*high),
            number(*used)
        )),
        _ => None,
    }
}

/// What is said after a quote: what to mind.
fn after(remark: &Remark) -> Option<String> {
    match remark {
        Remark::BelowMinimum { minimum, short } => Some(format!(
            "Mind: {} under your minimum of {}.",
            money(*short),
            money(*minimum)
        )),
        Remark::Minimum(minimum) => Some(format!("Minimum {}: it is over that.", money(*minimum))),
        Remark::HeldPrice { price, made } => Some(format!(
            "At {} all the same, that makes {} an hour.",
            money(*price),
            rate_made(made.to_cents())
        )),
        Remark::BelowBreakEven { made, break_even } => Some(format!(
            "Mind: {} an hour is under your break-even of {}.",
            rate_made(made.to_cents()),
            hourly(*break_even)
        )),
        _ => None,
    }
}

/// The name of a part of a price.
pub(super) fn extra_name(what: ExtraKind) -> &'static str {
    match what {
        ExtraKind::SetUp => "set-up",
        ExtraKind::Haul => "haul",
        ExtraKind::Drive => "drive",
        ExtraKind::DumpFee => "dump fee",
        ExtraKind::Minimum => "minimum",
        ExtraKind::Rounding => "rounding",
        ExtraKind::Discount => "discount",
        ExtraKind::Tax => "tax",
        ExtraKind::Material => "material",
        ExtraKind::Markup => "markup",
    }
}
