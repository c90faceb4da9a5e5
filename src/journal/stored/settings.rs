//! Figures of the account and of the price list in stored form.
//!
//! A figure that was switched off is stored under its name without a value.

use super::{
    form::{Form, Written},
    sheet,
};
use crate::{
    journal::{
        Error,
        price_list::ServiceSet,
        settings::{Equipment, SettingSet, Settings},
    },
    pricing::cost::{PerPeriod, Period},
};

pub(super) fn write(figure: &SettingSet) -> Written {
    let named = |name: &'static str| Written::new().put("figure", name);
    match figure {
        SettingSet::Rate(rate) => named("rate").put("value", rate),
        SettingSet::SetUp(minutes) => named("set_up").put_some("value", *minutes),
        SettingSet::Haul(minutes) => named("haul").put_some("value", *minutes),
        SettingSet::Drive(minutes) => named("drive").put_some("value", *minutes),
        SettingSet::Minimum(money) => named("minimum").put_some("value", *money),
        SettingSet::DumpFee(money) => named("dump_fee").put_some("value", *money),
        SettingSet::Crew(people) => named("crew").put("value", people),
        SettingSet::Step(step) => sheet::write_step(named("rounding"), *step),
        SettingSet::Tax(tax) => sheet::write_tax(named("tax_on"), *tax),
        SettingSet::Markup(percent) => named("markup").put_some("value", *percent),
        SettingSet::Wage(wage) => named("wage").put("value", wage),
        SettingSet::Burden(percent) => named("burden").put("value", percent),
        SettingSet::Overhead(figure) => named("overhead")
            .put("value", figure.amount)
            .flag("yearly", is_yearly(figure)),
        SettingSet::BillableHours(figure) => named("billable_hours")
            .put("value", figure.amount)
            .flag("yearly", is_yearly(figure)),
        SettingSet::Margin(percent) => named("margin").put("value", percent),
        SettingSet::Equipment(thing) => named("equipment")
            .put("name", &thing.name)
            .put("price", thing.price)
            .put("years", thing.years),
        SettingSet::EquipmentGone(name) => named("equipment_gone").put("name", name),
        SettingSet::TimeZone(zone) => named("time_zone").put("value", zone),
        SettingSet::BusinessName(name) => named("business_name").put("value", name),
        SettingSet::OfferDays(days) => named("offer_days").put("value", days),
        SettingSet::ClientTerms(terms) => named("client_terms").put_some("value", terms.as_ref()),
        SettingSet::NotIncluded(words) => named("not_included").put_some("value", words.as_ref()),
        SettingSet::HardinessZone(zone) => named("hardiness_zone").put("value", zone),
        SettingSet::State(state) => named("state").put("value", state),
        SettingSet::LastFrost(day) => named("last_frost").put("value", day.stored()),
        SettingSet::RecordingDays(days) => named("recording_days").put("value", days),
    }
}

pub(super) fn read(form: Form<'_>) -> Result<SettingSet, Error> {
    let name = form.text("figure")?;
    Ok(match name.as_str() {
        "rate" => SettingSet::Rate(form.need("value")?),
        "set_up" => SettingSet::SetUp(form.maybe("value")?),
        "haul" => SettingSet::Haul(form.maybe("value")?),
        "drive" => SettingSet::Drive(form.maybe("value")?),
        "minimum" => SettingSet::Minimum(form.maybe("value")?),
        "dump_fee" => SettingSet::DumpFee(form.maybe("value")?),
        "crew" => SettingSet::Crew(sheet::read_crew(form, "value")?),
        "rounding" => SettingSet::Step(sheet::read_step(form)?),
        "tax_on" => SettingSet::Tax(sheet::read_tax(form)?),
        "markup" => SettingSet::Markup(form.maybe("value")?),
        "wage" => SettingSet::Wage(form.need("value")?),
        "burden" => SettingSet::Burden(form.need("value")?),
        "overhead" => SettingSet::Overhead(PerPeriod {
            amount: form.need("value")?,
            period: read_period(form),
        }),
        "billable_hours" => SettingSet::BillableHours(PerPeriod {
            amount: form.need("value")?,
            period: read_period(form),
        }),
        "margin" => SettingSet::Margin(form.need("value")?),
        "equipment" => SettingSet::Equipment(Equipment {
            name: form.text("name")?,
            price: form.need("price")?,
            years: form.need("years")?,
        }),
        "equipment_gone" => SettingSet::EquipmentGone(form.text("name")?),
        "time_zone" => SettingSet::TimeZone(form.text("value")?),
        "business_name" => SettingSet::BusinessName(form.text("value")?),
        "offer_days" => SettingSet::OfferDays(form.need("value")?),
        "client_terms" => SettingSet::ClientTerms(form.maybe_string("value")?),
        "not_included" => SettingSet::NotIncluded(form.maybe_string("value")?),
        "hardiness_zone" => SettingSet::HardinessZone(form.need("value")?),
        "state" => SettingSet::State(form.text("value")?),
        "last_frost" => SettingSet::LastFrost(form.need("value")?),
        "recording_days" => SettingSet::RecordingDays(form.need("value")?),
        other => return Err(form.unfit("figure", other)),
    })
}

fn guide_day(day: crate::guide::MonthDay) -> String {
    day.stored()
}

fn is_yearly<T>(figure: &PerPeriod<T>) -> bool {
    figure.period == Period::Year
}

fn read_period(form: Form<'_>) -> Period {
    if form.flag("yearly") {
        Period::Year
    } else {
        Period::Month
    }
}

pub(super) fn write_service(said: &ServiceSet) -> Written {
    Written::new()
        .put("service", &said.service)
        .put_some("size", said.size.as_ref())
        .put_some("unit", said.unit)
        .put_some("minutes_each", said.minutes_each)
        .put_some("material_each", said.material_each)
        .put_some("price_each", said.price_each)
        .put_some("rate", said.rate)
}

pub(super) fn read_service(form: Form<'_>) -> Result<ServiceSet, Error> {
    Ok(ServiceSet {
        service: form.text("service")?,
        size: form.maybe_string("size")?,
        unit: form.maybe("unit")?,
        minutes_each: form.maybe("minutes_each")?,
        material_each: form.maybe("material_each")?,
        price_each: form.maybe("price_each")?,
        rate: form.maybe("rate")?,
    })
}

/// The figures of the account together, those that were said.
pub(super) fn write_all(settings: &Settings) -> Written {
    let written = Written::new()
        .put_some("rate", settings.rate)
        .put_some("set_up", settings.set_up)
        .put_some("haul", settings.haul)
        .put_some("drive", settings.drive)
        .put_some("minimum", settings.minimum)
        .put_some("dump_fee", settings.dump_fee)
        .put_some("crew", settings.crew)
        .put_some("markup", settings.markup)
        .put_some("wage", settings.wage)
        .put_some("burden", settings.burden)
        .put_some("overhead", settings.overhead.map(|figure| figure.amount))
        .flag(
            "overhead_yearly",
            settings.overhead.is_some_and(|figure| is_yearly(&figure)),
        )
        .put_some("billable_hours", settings.billable_hours.map(|figure| figure.amount))
        .flag(
            "billable_hours_yearly",
            settings.billable_hours.is_some_and(|figure| is_yearly(&figure)),
        )
        .put_some("margin", settings.margin)
        .list("equipment", &settings.equipment, |thing| {
            Written::new()
                .put("name", &thing.name)
                .put("price", thing.price)
                .put("years", thing.years)
        })
        .put_some("time_zone", settings.time_zone.as_ref())
        .put_some("business_name", settings.business_name.as_ref())
        .put_some("offer_days", settings.offer_days)
        .put_some("client_terms", settings.client_terms.as_ref())
        .put_some("not_included", settings.not_included.as_ref())
        .put_some("hardiness_zone", settings.hardiness_zone)
        .put_some("state", settings.state.as_ref())
        .put_some("last_frost", settings.last_frost.map(guide_day))
        .put_some("recording_days", settings.recording_days);
    sheet::write_tax(sheet::write_step(written, settings.step), settings.tax)
}
