//! The whole account as one JSON object.

use chrono_tz::Tz;
use serde_json::{Map, Value, json};

use crate::{
    journal::{QuoteEntry, State, Status, data},
    pricing,
};

/// The account as it stands: `settings`, `services`, `quotes`, `jobs` (quotes that were won, planned, begun or done) and
/// `places`, oldest first. Times of day are in the account's own time zone; while it has none, in the one given.
pub fn account_json(state: &State, otherwise: Tz) -> Value {
    let book = state.book();
    let mut entries: Vec<&QuoteEntry> = book.quotes_newest_first().collect();
    entries.reverse();
    let zone = book.settings().zone().unwrap_or(otherwise);
    let is_job = |entry: &QuoteEntry| !matches!(entry.status, Status::Open | Status::Lost) || entry.planned.is_some();
    let jobs = entries.iter().filter(|entry| is_job(entry));
    json!({
        "settings": data::settings(book.settings()),
        "services": book.services().into_iter().map(data::service).collect::<Vec<Value>>(),
        "quotes": entries.iter().filter_map(|entry| quote(entry)).collect::<Vec<Value>>(),
        "jobs": jobs.map(|entry| Value::Object(data::job_of(entry, zone))).collect::<Vec<Value>>(),
        "places": book.places().map(|place| json!({"name": place.name, "notes": place.notes})).collect::<Vec<Value>>(),
    })
}

fn quote(entry: &QuoteEntry) -> Option<Value> {
    let priced = pricing::quote(&entry.sheet).ok()?;
    let mut object: Map<String, Value> = data::quote(entry.no, entry.place.as_deref(), entry.status, &priced);
    object.insert("at".to_string(), json!(entry.given_at.to_string()));
    if let Some(agreed) = entry.agreed {
        object.insert("agreed".to_string(), json!(data::cents(agreed.get())));
    }
    if !entry.notes.is_empty() {
        object.insert("notes".to_string(), json!(entry.notes));
    }
    Some(Value::Object(object))
}
