//! How the book is given out as data: one shape for quotes, jobs, figures and the price list, wherever they appear.
//!
//! Decimals are strings: money with two decimals, other figures without trailing zeros. What does not apply is not there.

use chrono_tz::Tz;
use rust_decimal::Decimal;
use serde_json::{Map, Value, json};

use super::{
    price_list::Service,
    quotes::{QuoteEntry, Status},
    settings::{Equipment, Settings},
};
use crate::{
    pricing::{
        Basis, Extra, Quote, QuoteLine, Step, Tax,
        cost::{PerPeriod, Period},
    },
    units::{QuoteNo, RoundingPolicy},
};

/// Dollars: two decimals, or more where there are more.
pub fn cents(value: Decimal) -> String {
    let mut value = value.normalize();
    if value.scale() < 2 {
        value.rescale(2);
    }
    value.to_string()
}

/// A figure without trailing zeros.
pub fn plain(value: Decimal) -> String {
    value.normalize().to_string()
}

/// Where minutes came from.
pub fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Set => "set",
        Basis::Learned => "learned",
        Basis::Starter => "starter",
        Basis::Said => "said",
    }
}

/// A quote.
pub fn quote(no: QuoteNo, place: Option<&str>, status: Status, priced: &Quote) -> Map<String, Value> {
    let mut object = Map::new();
    let mut put = |field: &str, value: Value| {
        object.insert(field.to_string(), value);
    };
    put("no", json!(no.get()));
    if let Some(place) = place {
        put("place", json!(place));
    }
    put("status", json!(status.code()));
    put("lines", priced.lines.iter().map(line).collect());
    put("extras", priced.extras.iter().map(extra).collect());
    put("crew", json!(priced.crew.get()));
    put("man_minutes", json!(plain(priced.man_minutes.get())));
    put("elapsed_minutes", json!(plain(priced.elapsed_minutes.get())));
    put("rate", json!(cents(priced.rate.get())));
    put("subtotal", json!(cents(priced.subtotal.get())));
    put("discount", json!(cents(priced.discount.get())));
    put("tax", json!(cents(priced.tax.get())));
    put("total", json!(cents(priced.total.get())));
    object
}

fn line(line: &QuoteLine) -> Value {
    let mut object = Map::new();
    let mut put = |field: &str, value: Value| {
        object.insert(field.to_string(), value);
    };
    put("service", json!(line.service));
    if let Some(size) = &line.size {
        put("size", json!(size));
    }
    put("unit", json!(line.unit.name()));
    put("quantity", json!(plain(line.quantity.get())));
    put("minutes_each", json!(plain(line.minutes_each.get())));
    put("man_minutes", json!(plain(line.man_minutes.get())));
    put("unit_price", json!(cents(line.unit_price.get())));
    put("price", json!(cents(line.price.get())));
    if !line.material.is_zero() {
        put("material", json!(cents(line.material.get())));
    }
    if let Some(made) = line.rate_made.filter(|_| line.fixed_price) {
        put("rate_made", json!(cents(made.to_cents().get())));
    }
    put("basis", json!(basis(line.basis)));
    Value::Object(object)
}

fn extra(extra: &Extra) -> Value {
    let what = extra.what.name();
    let mut object = Map::new();
    object.insert("what".to_string(), json!(what));
    if let Some(work) = extra.man_minutes {
        object.insert("man_minutes".to_string(), json!(plain(work.get())));
    }
    object.insert("price".to_string(), json!(cents(extra.price.get())));
    Value::Object(object)
}

/// A job: a quote with what became of it. The time of day is in `zone`.
pub fn job_of(entry: &QuoteEntry, zone: Tz) -> Map<String, Value> {
    let mut object = Map::new();
    let mut put = |field: &str, value: Value| {
        object.insert(field.to_string(), value);
    };
    put("no", json!(entry.no.get()));
    if let Some(place) = &entry.place {
        put("place", json!(place));
    }
    put("status", json!(entry.status.code()));
    put("crew", json!(entry.crew().get()));
    put("price", json!(cents(entry.price().get())));
    put("quoted_man_minutes", json!(plain(entry.quoted_man_minutes().get())));
    if let Some(finish) = &entry.finish {
        put("man_minutes", json!(plain(finish.man_minutes.get())));
    }
    if let Some(made) = entry.rate_made() {
        put("rate_made", json!(cents(made.to_cents().get())));
    }
    if let Some(planned) = entry.planned {
        put("planned", json!(planned.utc().with_timezone(&zone).to_rfc3339()));
    }
    put("paid", json!(cents(entry.paid().get())));
    if let Some(finish) = &entry.finish {
        put("done", json!(finish.ended.utc().with_timezone(&zone).to_rfc3339()));
        put("owed", json!(cents(entry.owed().get())));
        if let (Some(revenue), Some(earned)) = (entry.revenue(), entry.earned()) {
            put("revenue", json!(cents(revenue.get())));
            put("earned", json!(cents(earned.get())));
        }
    }
    object
}

/// The figures of the account, those that were said; a figure for a year is given for a month.
pub fn settings(settings: &Settings) -> Map<String, Value> {
    let mut object = Map::new();
    let mut put = |field: &str, value: Option<String>| {
        if let Some(value) = value {
            object.insert(field.to_string(), Value::String(value));
        }
    };
    put("rate", settings.rate.map(|rate| cents(rate.get())));
    put("set_up", settings.set_up.map(|time| plain(time.get())));
    put("haul", settings.haul.map(|time| plain(time.get())));
    put("drive", settings.drive.map(|time| plain(time.get())));
    put("minimum", settings.minimum.map(|amount| cents(amount.get())));
    put("dump_fee", settings.dump_fee.map(|amount| cents(amount.get())));
    put("crew", settings.crew.map(|people| people.to_string()));
    match settings.step {
        Step::None => {}
        Step::Nearest(step) => put("round_to", Some(cents(step.get()))),
        Step::Up(step) => put("round_up_to", Some(cents(step.get()))),
    }
    match settings.tax {
        Tax::None => {}
        Tax::All(percent) => put("tax", Some(plain(percent.get()))),
        Tax::Materials(percent) => put("tax_materials", Some(plain(percent.get()))),
    }
    put("markup", settings.markup.map(|percent| plain(percent.get())));
    put("wage", settings.wage.map(|wage| cents(wage.get())));
    put("burden", settings.burden.map(|percent| plain(percent.get())));
    put(
        "overhead_month",
        settings
            .overhead
            .map(|figure| cents(monthly(&figure, figure.amount.get()))),
    );
    put(
        "billable_hours_month",
        settings
            .billable_hours
            .map(|figure| plain(monthly(&figure, figure.amount.get()))),
    );
    put("margin", settings.margin.map(|percent| plain(percent.get())));
    put("time_zone", settings.time_zone.clone());
    put("business_name", settings.business_name.clone());
    put("offer_days", settings.offer_days.map(|days| days.to_string()));
    put("client_terms", settings.client_terms.clone());
    put("not_included", settings.not_included.clone());
    put("zone", settings.hardiness_zone.map(|zone| zone.to_string()));
    put("state", settings.state.clone());
    put("last_frost", settings.last_frost.map(|day| day.stored()));
    put("recording_days", settings.recording_days.map(|days| plain(days.get())));
    if !settings.equipment.is_empty() {
        object.insert(
            "equipment".to_string(),
            settings.equipment.iter().map(equipment).collect(),
        );
    }
    object
}

/// A figure for a month, half up at the hundredth when it was said for a year.
fn monthly<T>(figure: &PerPeriod<T>, amount: Decimal) -> Decimal {
    match figure.period {
        Period::Month => amount,
        Period::Year => RoundingPolicy::HalfUp.places(amount / Decimal::from(12), 2),
    }
}

fn equipment(thing: &Equipment) -> Value {
    json!({"name": thing.name, "price": cents(thing.price.get()), "years": plain(thing.years.get())})
}

/// A kind of the price list, with its classes.
pub fn service(service: &Service) -> Value {
    let classes: Vec<Value> = service
        .classes
        .iter()
        .map(|class| {
            let mut object = Map::new();
            let mut put = |field: &str, value: Option<String>| {
                if let Some(value) = value {
                    object.insert(field.to_string(), Value::String(value));
                }
            };
            put("size", class.size.clone());
            put("minutes_each", class.minutes_each.map(|time| plain(time.get())));
            put("material_each", class.material_each.map(|price| cents(price.get())));
            put("price_each", class.price_each.map(|price| cents(price.get())));
            put("basis", Some(basis(class.basis).to_string()));
            Value::Object(object)
        })
        .collect();
    let mut object = Map::new();
    object.insert("service".to_string(), json!(service.name));
    object.insert("unit".to_string(), json!(service.unit.name()));
    if let Some(rate) = service.rate {
        object.insert("rate".to_string(), json!(cents(rate.get())));
    }
    object.insert("classes".to_string(), Value::Array(classes));
    Value::Object(object)
}
