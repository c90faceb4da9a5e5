//! Figures of the account and the price list, said back as they were taken.

use super::{
    costs::{costs as build_up, stand},
    money_or_none,
    quote::{extra_name, range},
    words::{capital, class, hourly, joined, minutes, money, number, per, rate, rate_made, unit_price},
};
use crate::{
    conversation::{FiguresShown, PricedShown, Refused, SetShown, What},
    journal::{SettingSet, Settings},
    pricing::{
        AmountOf, Basis, CostPart, PercentOf, Refusal, Step, Tax,
        cost::{PerPeriod, Period},
    },
    units::{Days, ManMinutes, Unit},
};

/// A figure that was set.
pub(super) fn figure(shown: &SetShown) -> String {
    let mut text = setting(&shown.figure);
    if let Some(costs) = &shown.costs {
        text.push('\n');
        let words = match shown.figure {
            SettingSet::Rate(_) => stand(costs),
            _ => build_up(costs),
        };
        text.push_str(&words);
    }
    text
}

fn setting(figure: &SettingSet) -> String {
    match figure {
        SettingSet::Rate(at) => format!("Rate: {} a man-hour.", rate(*at)),
        SettingSet::SetUp(time) => format!("Set-up: {}.", minutes_or_none(*time)),
        SettingSet::Haul(time) => format!("Haul: {}.", minutes_or_none(*time)),
        SettingSet::Drive(time) => format!("Drive: {}.", minutes_or_none(*time)),
        SettingSet::Minimum(amount) => format!("Minimum: {}.", money_or_none(*amount)),
        SettingSet::DumpFee(amount) => format!("Dump fee: {}.", money_or_none(*amount)),
        SettingSet::Crew(people) => format!("Crew: {people}."),
        SettingSet::Step(step) => format!("Rounding: {}.", step_words(*step)),
        SettingSet::Tax(tax) => format!("Tax: {}.", tax_words(*tax)),
        SettingSet::Markup(Some(percent)) => format!("Markup on material: {}%.", number(percent.get())),
        SettingSet::Markup(None) => "Markup on material: 0, off for all quotes from here on.".to_string(),
        SettingSet::Wage(wage) => format!("Wage: {} an hour.", hourly(*wage)),
        SettingSet::Burden(percent) => format!("Burden: {}%.", number(percent.get())),
        SettingSet::Overhead(figure) => format!("Overhead: {} {}.", money(figure.amount), period(figure)),
        SettingSet::BillableHours(figure) => {
            format!("Billable hours: {} {}.", number(figure.amount.get()), period(figure))
        }
        SettingSet::Margin(percent) => format!("Margin: {}%.", number(percent.get())),
        SettingSet::Equipment(thing) => {
            format!(
                "{}: {} over {} years.",
                thing.name,
                money(thing.price),
                number(thing.years.get())
            )
        }
        SettingSet::EquipmentGone(name) => format!("Out of your costs: {name}."),
        SettingSet::TimeZone(zone) => format!("Time zone: {zone}."),
        SettingSet::BusinessName(name) => format!("Business: {name}."),
        SettingSet::OfferDays(1) => "Quotes are good for 1 day.".to_string(),
        SettingSet::OfferDays(days) => format!("Quotes are good for {days} days{}.", weeks(*days)),
        SettingSet::ClientTerms(Some(terms)) => {
            format!("Terms on every client page: {terms}\n\"no terms\" brings the usual ones back.")
        }
        SettingSet::ClientTerms(None) => "Terms on client pages: the usual ones.".to_string(),
        SettingSet::NotIncluded(Some(words)) => {
            format!("Not in the price, on every client page: {words}\n\"not included: nothing\" takes that off again.")
        }
        SettingSet::NotIncluded(None) => "Not in the price, on client pages: only the usual lines.".to_string(),
        SettingSet::HardinessZone(zone) => format!("USDA zone: {zone}."),
        SettingSet::State(state) => format!("State: {state}."),
        SettingSet::LastFrost(day) => format!("Last frost: {day}."),
        SettingSet::RecordingDays(days) => recordings_kept(*days),
    }
}

fn recordings_kept(days: Days) -> String {
    match number(days.get()).as_str() {
        "0" => "Recordings are kept 0 days: let go within the hour. What was heard in them stays.".to_string(),
        "1" => "Recordings are kept 1 day. What was heard in them stays.".to_string(),
        days => format!("Recordings are kept {days} days. What was heard in them stays."),
    }
}

/// ` (2 weeks)`, when it is whole weeks.
fn weeks(days: u32) -> String {
    match (days / 7, days % 7) {
        (1, 0) => " (1 week)".to_string(),
        (weeks, 0) => format!(" ({weeks} weeks)"),
        _ => String::new(),
    }
}

fn minutes_or_none(time: Option<ManMinutes>) -> String {
    time.map_or_else(|| "0, off".to_string(), minutes)
}

fn step_words(step: Step) -> String {
    match step {
        Step::None => "0, off".to_string(),
        Step::Nearest(money_step) => format!("to the nearest {}", money(money_step)),
        Step::Up(money_step) => format!("up to the next {}", money(money_step)),
    }
}

fn tax_words(tax: Tax) -> String {
    match tax {
        Tax::None => "0, off".to_string(),
        Tax::All(percent) => format!("{}% on everything", number(percent.get())),
        Tax::Materials(percent) => format!("{}% on material", number(percent.get())),
    }
}

fn period<T>(figure: &PerPeriod<T>) -> &'static str {
    match figure.period {
        Period::Month => "a month",
        Period::Year => "a year",
    }
}

/// A kind that got a figure, with the price that it makes.
pub(super) fn priced_service(shown: &PricedShown) -> String {
    let mut text = capital(&priced_row(shown));
    if shown.new {
        text.push_str(" New on your list.");
    }
    if !shown.sizes_gone.is_empty() {
        text.push_str(&format!(
            " This takes the place of the starter sizes ({}).",
            joined(&shown.sizes_gone)
        ));
    }
    if let Some(range) = shown.range.as_ref().and_then(range) {
        text.push_str(&format!(" {range}"));
    }
    text
}

/// A kind and size with its figures in a line: `crape myrtle small: 6 min, $12.00 each at $120.00`.
pub(super) fn priced_row(shown: &PricedShown) -> String {
    let name = class(&shown.service, shown.size.as_deref());
    let each = per(shown.unit);
    let guess = if shown.basis == Basis::Starter {
        " (starter guess)"
    } else {
        ""
    };
    let time = shown
        .minutes_each
        .map(|time| format!("{}{guess}, ", minutes(time)))
        .unwrap_or_default();
    if let Some(price) = shown.price_each {
        let made = shown
            .rate_made
            .map(|made| format!(", makes {} an hour", rate_made(made.to_cents())))
            .unwrap_or_default();
        return format!("{name}: {time}{}{each}{made}.", unit_price(price));
    }
    let material = shown
        .material_each
        .map(|price| format!("{} material, ", unit_price(price)))
        .unwrap_or_default();
    if shown.minutes_each.is_none() {
        return format!("{name}: {}no minutes yet.", material);
    }
    let starter = if shown.starter_rate { " (starter rate)" } else { "" };
    let unit = if shown.unit == Unit::Job { "" } else { each };
    format!(
        "{name}: {time}{material}{}{unit} at {}{starter}.",
        money(shown.unit_price),
        rate(shown.rate)
    )
}

/// The figures of the account, those that were said.
pub(super) fn figures(shown: &FiguresShown) -> String {
    let mut lines: Vec<String> = Vec::new();
    if let Some(starter) = shown.starter_rate {
        lines.push(format!("Rate: {} a man-hour (starter rate).", rate(starter)));
    }
    lines.extend(said(&shown.settings).iter().map(setting));
    lines.join("\n")
}

/// The figures that were said, as if they were set again.
fn said(settings: &Settings) -> Vec<SettingSet> {
    let mut list = Vec::new();
    list.extend(settings.rate.map(SettingSet::Rate));
    list.extend(settings.crew.map(SettingSet::Crew));
    list.extend(settings.set_up.map(|time| SettingSet::SetUp(Some(time))));
    list.extend(settings.haul.map(|time| SettingSet::Haul(Some(time))));
    list.extend(settings.drive.map(|time| SettingSet::Drive(Some(time))));
    list.extend(settings.dump_fee.map(|fee| SettingSet::DumpFee(Some(fee))));
    list.extend(settings.minimum.map(|minimum| SettingSet::Minimum(Some(minimum))));
    list.extend((settings.step != Step::None).then_some(SettingSet::Step(settings.step)));
    list.extend((settings.tax != Tax::None).then_some(SettingSet::Tax(settings.tax)));
    list.extend(settings.markup.map(|percent| SettingSet::Markup(Some(percent))));
    list.extend(settings.offer_days.map(SettingSet::OfferDays));
    let terms = settings.client_terms.clone();
    list.extend(terms.map(|terms| SettingSet::ClientTerms(Some(terms))));
    let not_included = settings.not_included.clone();
    list.extend(not_included.map(|words| SettingSet::NotIncluded(Some(words))));
    list.extend(settings.state.clone().map(SettingSet::State));
    list.extend(settings.hardiness_zone.map(SettingSet::HardinessZone));
    list.extend(settings.last_frost.map(SettingSet::LastFrost));
    list.extend(settings.recording_days.map(SettingSet::RecordingDays));
    list
}

/// Why something cannot be, in one sentence.
pub(super) fn refused(refused: &Refused) -> String {
    match refused {
        Refused::OutOfRange { what, value } => {
            let (name, range) = bounds(*what);
            format!(
                "{} cannot be a {name}: say {range}. Nothing was changed.",
                number(*value)
            )
        }
        Refused::NotMinutes(what) => format!(
            "{} is money, not minutes: say how many dollars.",
            capital(extra_name(*what))
        ),
        Refused::NotMoney(what, figure) => format!(
            "{} goes by minutes, not by ${}: say how many minutes, or \"dump fee\" for a flat sum. Nothing was changed.",
            capital(extra_name(*what)),
            number(*figure)
        ),
        Refused::NoSuchZone(zone) => {
            format!("I know no time zone \"{zone}\": say one like America/Chicago. Nothing was changed.")
        }
        Refused::NoSuchEquipment { said, known } if known.is_empty() => {
            format!("There is no equipment in your costs, so no \"{said}\". Nothing was changed.")
        }
        Refused::NoSuchEquipment { said, known } => format!(
            "Which do you mean by \"{said}\"? In your costs: {}. Nothing was changed.",
            joined(known)
        ),
        Refused::NoSuchHardinessZone(zone) => {
            format!("There is no USDA zone {zone}: say one from 1 to 13, like \"zone 8a\". Nothing was changed.")
        }
        Refused::Pricing(refusal) => pricing(refusal),
        Refused::TimeDoesNotFit(time) => format!(
            "{} does not fit: it is ahead of now, or before the work began. Nothing was changed.",
            time.format("%-I:%M %p")
        ),
        Refused::BreakDoesNotFit => {
            "That break does not fit: it has to lie between the start of the work and now. Nothing was changed."
                .to_string()
        }
        Refused::ClientLines { lines, letters } => format!(
            "That is more than a client reads: {lines} lines of {letters} letters fit, with semicolons between them. Nothing \
             was changed."
        ),
        Refused::NobodyLeft(people) => format!(
            "That would leave nobody: I have {people} there. Say \"lunch\" to stop the clock, or \"done\". Nothing was \
             changed."
        ),
        Refused::NoDayYet => "It has no day yet to move from: say one like \"friday at 9\".".to_string(),
        Refused::NoSuchDay => "There is no such day: say one like \"friday at 9\" or \"march 3\".".to_string(),
    }
}

fn bounds(what: What) -> (&'static str, &'static str) {
    match what {
        What::Count => ("count", "more than 0, up to 100,000"),
        What::Minutes => ("time", "minutes above 0"),
        What::Rate => ("rate", "dollars an hour above 0, up to 10,000"),
        What::Price => ("price", "dollars above 0"),
        What::Material => ("material price", "dollars, 0 or more"),
        What::Fee => ("fee", "dollars, 0 for none"),
        What::Minimum => ("minimum", "dollars, 0 for none"),
        What::Discount => ("discount", "a percentage up to 100, or dollars"),
        What::Tax => ("tax", "a percentage from 0 to 100"),
        What::Step => ("step", "dollars, 0 for none"),
        What::Markup => ("markup", "a percentage from 0 to 1000"),
        What::Crew => ("crew", "1 to 1000 people"),
        What::Wage => ("wage", "dollars an hour above 0"),
        What::Burden => ("burden", "a percentage from 0 to 1000"),
        What::Overhead => ("overhead", "dollars a month or a year"),
        What::Hours => ("number of hours", "hours above 0"),
        What::Margin => ("margin", "a percentage under 100"),
        What::Years => ("number of years", "1 to 100"),
        What::RecordingDays => ("number of days", "whole days, 0 to 3,653"),
        What::Payment => ("payment", "dollars above 0"),
        What::Temperature => ("temperature", "degrees Fahrenheit from -80 to 140"),
        What::Humidity => ("humidity", "a percentage from 0 to 100"),
        What::Wind => ("wind", "miles an hour from 0 to 200"),
        What::Decibels => ("noise level", "dBA from 60 to 140"),
        What::Weight => ("weight", "pounds from 1 up"),
        What::Length => ("ladder's length", "feet from 1 to 60"),
        What::Voltage => ("line's voltage", "kilovolts from 0 to 1500"),
        What::Seconds => ("time to the thunder", "seconds from 0 to 600"),
        What::OfferDays => ("number of days", "1 to 365"),
        What::Chance => ("chance", "one between 0 and 1, like 8 times in 10"),
    }
}

fn pricing(refusal: &Refusal) -> String {
    match refusal {
        Refusal::NothingCounted => "Nothing is counted yet: say what and how many.".to_string(),
        Refusal::PercentOutOfRange {
            of,
            percent,
            least,
            greatest,
        } => {
            let name = match of {
                PercentOf::Discount => "discount",
                PercentOf::Tax => "tax",
                PercentOf::Markup => "markup",
                PercentOf::Burden => "burden",
                PercentOf::Margin => "margin",
            };
            format!(
                "{}% cannot be a {name}: say {least} to {greatest}. Nothing was changed.",
                number(percent.get())
            )
        }
        Refusal::BelowZero { of, amount } => {
            let name = match of {
                AmountOf::Fee => "fee",
                AmountOf::Minimum => "minimum",
                AmountOf::Discount => "discount",
                AmountOf::Price => "price",
                AmountOf::Overhead => "overhead",
                AmountOf::Equipment => "price of equipment",
            };
            format!(
                "{} cannot be a {name}: say 0 or more. Nothing was changed.",
                money(*amount)
            )
        }
        Refusal::StepNotAboveZero(step) => format!("Prices cannot be rounded to {}: say a step above 0.", money(*step)),
        Refusal::DiscountAbovePrice { discount, subtotal } => format!(
            "{} is more than the {} there is: say less. Nothing was changed.",
            money(*discount),
            money(*subtotal)
        ),
        Refusal::NoWork => "There is no work in it to make a rate: say how many minutes it takes.".to_string(),
        Refusal::NothingForWork { price, materials, fees } => format!(
            "{} leaves nothing for work after {} material and {} fees: say a higher price.",
            money(*price),
            money(*materials),
            money(*fees)
        ),
        Refusal::NoSuchLine(line) => format!("The quote has no line {}: say which kind you mean.", line + 1),
        Refusal::MarginWithoutPrice(percent) => {
            format!(
                "No price leaves a margin of {}%: say one under 100.",
                number(percent.get())
            )
        }
        Refusal::CostMissing(CostPart::Wage) => "I need your wage for that: say \"wage 22\".".to_string(),
        Refusal::CostMissing(CostPart::BillableHours) => {
            "I need your billable hours for that: say \"110 billable hours\".".to_string()
        }
        Refusal::Value(_) => "That is more than I can count: say smaller figures. Nothing was changed.".to_string(),
    }
}
