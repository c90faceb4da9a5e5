//! Answers as data, by the contract's field names.

use rust_decimal::Decimal;
use serde_json::{Map, Value, json};

use super::{AttachedFile, english, season};
use crate::{
    conversation::{
        Answer, Ask, Caution, ClientPageShown, GuideSays, GuideShown, JobNews, JobShown, Kind, Part, QuoteShown,
        Solved, TimesShown,
    },
    journal::data,
    units::{InboundId, ManMinutes, RoundingPolicy, Timestamp},
};

/// The whole answer.
pub(super) fn answer(answer: &Answer, id: &InboundId, at: Timestamp, files: &[AttachedFile]) -> Value {
    let understood: Vec<&str> = answer.understood.iter().map(|kind| kind.code()).collect();
    let mut object = head(id, at, &understood, &english::answer(answer));
    let mut quotes = Vec::new();
    for part in &answer.parts {
        match part {
            Part::Quote(shown) => {
                put(&mut object, "quote", quote(shown));
                quotes.push(quote(shown));
            }
            Part::Solved(shown) => put(&mut object, "solve", solve(shown)),
            Part::Job(shown) => {
                put(&mut object, "job", job(shown));
                if let JobNews::Finished(news) = &shown.news
                    && !news.learned.is_empty()
                {
                    extend(&mut object, "times", news.learned.iter().map(times));
                }
            }
            Part::LastTime(shown) => put_all(&mut object, season::last_time(shown)),
            Part::Quotes(shown) => put_all(&mut object, season::quotes(shown)),
            Part::Due(shown) => put_all(&mut object, [season::due(shown)]),
            Part::Days(shown) => put_all(&mut object, [season::days(shown)]),
            Part::Shifted(shown) => put_all(&mut object, [season::shifted(shown)]),
            Part::Report(shown) => put_all(&mut object, [season::report(shown)]),
            Part::Pays(shown) => put_all(&mut object, [season::pays(shown)]),
            Part::WinShare(shown) => put_all(&mut object, [season::win_share(shown)]),
            Part::Reminder(shown) => put_all(&mut object, [season::reminder(shown)]),
            Part::Times(rows) => extend(&mut object, "times", rows.iter().map(times)),
            Part::Timed(shown) => extend(&mut object, "times", shown.now.iter().map(times)),
            Part::ServicePriced(shown) => extend(&mut object, "times", shown.times().iter().map(times)),
            Part::Heard(text) => put(&mut object, "heard", json!(text)),
            Part::Ask(shown) => extend(&mut object, "asks", [ask(shown)]),
            Part::ClientPage(shown) => put(&mut object, "client", client_page(shown)),
            Part::Guide(shown) => put(&mut object, "guide", guide(shown)),
            Part::OutOfSeason { code, shown, source } => {
                let text = english::out_of_season(shown);
                extend(
                    &mut object,
                    "cautions",
                    [json!({"code": code, "text": text, "source": source})],
                );
            }
            Part::Caution(shown) => extend(&mut object, "cautions", [caution(shown)]),
            _ => {}
        }
    }
    // A long note may hold several; the field that there is one of holds the last.
    if quotes.len() > 1 {
        extend(&mut object, "quotes", quotes);
    }
    if !files.is_empty() {
        extend(&mut object, "attachments", files.iter().map(attachment));
    }
    Value::Object(object)
}

/// What is given when handling a message failed.
pub(super) fn failed(id: &InboundId, at: Timestamp) -> Value {
    Value::Object(head(id, at, &[Kind::Unclear.code()], &english::failed()))
}

fn head(id: &InboundId, at: Timestamp, understood: &[&str], text: &str) -> Map<String, Value> {
    let mut object = Map::new();
    put(&mut object, "id", json!(id.as_str()));
    put(&mut object, "at", json!(at.to_string()));
    put(&mut object, "understood", json!(understood));
    put(&mut object, "text", json!(text));
    object
}

fn put(object: &mut Map<String, Value>, field: &str, value: Value) {
    object.insert(field.to_string(), value);
}

fn put_all(object: &mut Map<String, Value>, fields: impl IntoIterator<Item = season::Field>) {
    for (field, value) in fields {
        put(object, field, value);
    }
}

/// Adds to a list of the object.
fn extend(object: &mut Map<String, Value>, field: &str, items: impl IntoIterator<Item = Value>) {
    let list = object
        .entry(field.to_string())
        .or_insert_with(|| Value::Array(Vec::new()));
    if let Value::Array(list) = list {
        list.extend(items);
    }
}

fn quote(shown: &QuoteShown) -> Value {
    let mut object = data::quote(shown.no, shown.place.as_deref(), shown.status, &shown.priced);
    if let Some(likely) = shown.likely {
        put(
            &mut object,
            "likely_man_minutes",
            json!([data::plain(likely.low), data::plain(likely.high)]),
        );
        put(&mut object, "chance_of_rate", fraction(likely.chance));
    }
    if shown.what_if {
        put(&mut object, "what_if", json!(true));
    }
    Value::Object(object)
}

/// A share of one as a number; the one figure that is not text.
fn fraction(value: Decimal) -> Value {
    value
        .normalize()
        .to_string()
        .parse::<serde_json::Number>()
        .map_or(Value::Null, Value::Number)
}

fn solve(shown: &Solved) -> Value {
    let hundredths = |minutes: ManMinutes| data::plain(RoundingPolicy::HalfUp.places(minutes.get(), 2));
    json!({
        "rate": shown.rate.map(|rate| data::cents(rate.to_cents().get())),
        "minutes_each": shown.minutes_each.map(hundredths),
        "man_minutes": shown.man_minutes.map(hundredths),
        "price": shown.price.map(|price| data::cents(price.get())),
    })
}

fn job(shown: &JobShown) -> Value {
    season::job(&shown.entry, shown.zone, shown.prices)
}

fn times(row: &TimesShown) -> Value {
    let mut object = Map::new();
    put(&mut object, "service", json!(row.service));
    if let Some(size) = &row.size {
        put(&mut object, "size", json!(size));
    }
    put(&mut object, "minutes_each", json!(data::plain(row.minutes_each.get())));
    if let Some((low, high)) = row.between {
        put(&mut object, "low", json!(data::plain(low)));
        put(&mut object, "high", json!(data::plain(high)));
    }
    put(&mut object, "units", json!(data::plain(row.units)));
    put(&mut object, "jobs", json!(row.jobs));
    put(&mut object, "basis", json!(data::basis(row.basis)));
    if row.kept {
        put(&mut object, "kept", json!(true));
    }
    if let Some(trend) = &row.trend {
        let trend = json!({
            "from": data::plain(trend.curve.first.get()),
            "to": data::plain(trend.curve.current.get()),
            "jobs": trend.curve.jobs,
        });
        put(&mut object, "trend", trend);
    }
    Value::Object(object)
}

fn ask(shown: &Ask) -> Value {
    let choices: Vec<String> = shown
        .choices
        .iter()
        .map(|choice| english::label(&choice.label))
        .collect();
    let mut object = Map::new();
    put(&mut object, "question", json!(english::question(&shown.question)));
    if !choices.is_empty() {
        put(&mut object, "choices", json!(choices));
    }
    Value::Object(object)
}

/// A page for the client; `path` is under the address of this server.
fn client_page(shown: &ClientPageShown) -> Value {
    let mut object = Map::new();
    put(&mut object, "no", json!(shown.quote.no.get()));
    if let Some(path) = &shown.path {
        put(&mut object, "path", json!(path));
    }
    if let (Some(path), Some(base)) = (&shown.path, &shown.base) {
        put(
            &mut object,
            "url",
            json!(format!("{}{path}", base.trim_end_matches('/'))),
        );
    }
    put(&mut object, "valid_until", json!(shown.quote.until.to_string()));
    put(&mut object, "text", json!(english::client_text(&shown.quote)));
    Value::Object(object)
}

fn guide(shown: &GuideShown) -> Value {
    let mut object = Map::new();
    if let GuideSays::When(plants) = &shown.says {
        let plants = plants.iter().map(|when| {
            let day = when.day.stored();
            json!({"plant": when.plant, "day": day, "verdict": english::verdict_code(when.verdict)})
        });
        put(&mut object, "plants", plants.collect());
    }
    if let GuideSays::How(how) = &shown.says {
        put(&mut object, "plants", json!([{"plant": how.plant}]));
    }
    put(&mut object, "sources", json!(shown.sources));
    Value::Object(object)
}

fn caution(shown: &Caution) -> Value {
    json!({"code": shown.code, "text": shown.text, "source": shown.source})
}

fn attachment(file: &AttachedFile) -> Value {
    json!({"kind": file.media_type, "name": file.name, "path": file.path})
}
