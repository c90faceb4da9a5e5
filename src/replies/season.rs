//! The season as data: lists of jobs, what is due, reports. The contract fixes the names of quotes and jobs; these stand
//! beside them, under names of their own.

use chrono_tz::Tz;
use rust_decimal::Decimal;
use serde_json::{Map, Value, json};

use crate::{
    conversation::{
        DaysShown, DueShown, LastShown, PaysShown, QuotesShown, ReminderShown, ReportShown, ShiftShown, Verdict,
        WinShown,
    },
    journal::{QuoteEntry, Report, Slice, Sums, data},
    replies::english,
    units::RoundingPolicy,
};

/// What a part adds to the answer: field and value.
pub(super) type Field = (&'static str, Value);

/// The job of last time and the same today.
pub(super) fn last_time(shown: &LastShown) -> Vec<Field> {
    let entry = &shown.entry;
    let mut fields = vec![("job", job(entry, shown.zone, shown.prices))];
    if let Some(priced) = shown.today.as_ref().filter(|_| shown.prices) {
        let today = data::quote(entry.no, entry.place.as_deref(), entry.status, priced);
        fields.push(("today", Value::Object(today)));
    }
    if !shown.notes.is_empty() {
        fields.push(("notes", json!(shown.notes)));
    }
    if shown.files > 0 {
        fields.push(("files", json!(shown.files)));
    }
    fields
}

/// Places that are due again.
pub(super) fn due(shown: &DueShown) -> Field {
    let row = |row: &crate::conversation::DueRow| {
        json!({
            "place": row.place,
            "no": row.no.get(),
            "date": row.date.to_string(),
            "price": data::cents(row.price.get()),
            "today": row.today.map(|today| data::cents(today.get())),
        })
    };
    ("due", shown.rows.iter().map(row).collect())
}

/// A list of quotes.
pub(super) fn quotes(shown: &QuotesShown) -> Vec<Field> {
    let row = |row: &crate::conversation::QuoteRow| {
        let mut object = Map::new();
        object.insert("no".to_string(), json!(row.no.get()));
        if let Some(place) = &row.place {
            object.insert("place".to_string(), json!(place));
        }
        object.insert("amount".to_string(), json!(data::cents(row.amount.get())));
        if let (Some(since), Some(days)) = (row.since, row.days) {
            object.insert("since".to_string(), json!(since.to_string()));
            object.insert("days".to_string(), json!(days));
        }
        Value::Object(object)
    };
    vec![
        ("list", shown.rows.iter().map(row).collect()),
        ("list_count", json!(shown.count)),
        ("list_sum", json!(data::cents(shown.sum.get()))),
    ]
}

/// What is planned on some days.
pub(super) fn days(shown: &DaysShown) -> Field {
    let jobs = shown.jobs.iter();
    ("jobs", jobs.map(|entry| job(entry, shown.zone, shown.prices)).collect())
}

/// Fields of a job that hold money.
const MONEY_FIELDS: [&str; 6] = ["price", "rate_made", "paid", "owed", "revenue", "earned"];

/// A job as its reader may see it.
pub(super) fn job(entry: &QuoteEntry, zone: Tz, prices: bool) -> Value {
    let mut object = data::job_of(entry, zone);
    if !prices {
        object.retain(|field, _| !MONEY_FIELDS.contains(&field.as_str()));
    }
    Value::Object(object)
}

/// Jobs that went to another day.
pub(super) fn shifted(shown: &ShiftShown) -> Field {
    let jobs = shown.jobs.iter();
    (
        "jobs",
        jobs.map(|entry| Value::Object(data::job_of(entry, shown.zone)))
            .collect(),
    )
}

/// What a stretch of time came to.
pub(super) fn report(shown: &ReportShown) -> Field {
    let mut object = report_object(&shown.report);
    object.insert("from".to_string(), json!(shown.from.to_string()));
    object.insert("to".to_string(), json!(shown.to.to_string()));
    ("report", Value::Object(object))
}

/// Which work pays.
pub(super) fn pays(shown: &PaysShown) -> Field {
    let mut object = report_object(&shown.report);
    object.insert("from".to_string(), json!(shown.from.to_string()));
    object.insert("to".to_string(), json!(shown.to.to_string()));
    for (name, verdict) in [("best", &shown.best), ("worst", &shown.worst)] {
        if let Some(found) = verdict {
            object.insert(name.to_string(), verdict_object(found));
        }
    }
    ("report", Value::Object(object))
}

fn verdict_object(verdict: &Verdict) -> Value {
    let mut object = sums_object(&verdict.sums);
    object.insert("service".to_string(), json!(verdict.service));
    if let Some(size) = &verdict.size {
        object.insert("size".to_string(), json!(size));
    }
    Value::Object(object)
}

fn report_object(report: &Report) -> Map<String, Value> {
    let mut object = sums_object(&report.all);
    let mut put = |field: &str, value: Value| {
        object.insert(field.to_string(), value);
    };
    put("revenue", json!(data::cents(report.all.revenue)));
    put("paid", json!(data::cents(report.paid)));
    put("owed", json!(data::cents(report.owed)));
    put("quoted", json!(report.quoted));
    put("won", json!(report.won));
    put("lost", json!(report.lost));
    put("by_work", report.by_class.iter().map(class).collect());
    put("by_place", report.by_place.iter().map(place).collect());
    put("by_crew", report.by_crew.iter().map(crew).collect());
    object
}

fn class(slice: &Slice<(String, Option<String>)>) -> Value {
    let mut object = sums_object(&slice.sums);
    object.insert("service".to_string(), json!(slice.key.0));
    if let Some(size) = &slice.key.1 {
        object.insert("size".to_string(), json!(size));
    }
    Value::Object(object)
}

fn place(slice: &Slice<Option<String>>) -> Value {
    let mut object = sums_object(&slice.sums);
    if let Some(place) = &slice.key {
        object.insert("place".to_string(), json!(place));
    }
    Value::Object(object)
}

fn crew(slice: &Slice<u32>) -> Value {
    let mut object = sums_object(&slice.sums);
    object.insert("crew".to_string(), json!(slice.key));
    Value::Object(object)
}

fn sums_object(sums: &Sums) -> Map<String, Value> {
    let mut object = Map::new();
    object.insert("jobs".to_string(), json!(sums.jobs));
    object.insert("earned".to_string(), json!(data::cents(sums.earned)));
    object.insert("man_minutes".to_string(), json!(data::plain(sums.man_minutes)));
    if let Some(rate) = sums.rate() {
        object.insert("rate_made".to_string(), json!(data::cents(rate)));
    }
    object
}

/// How often quotes are won.
pub(super) fn win_share(shown: &WinShown) -> Field {
    let share = &shown.share;
    let levels: Vec<Value> = ["below", "usual", "above"]
        .into_iter()
        .zip(share.levels)
        .map(|(name, level)| json!({"level": name, "answered": level.answered, "won": level.won}))
        .collect();
    let usual = share
        .usual_rate
        .map(|rate: Decimal| data::cents(RoundingPolicy::HalfUp.places(rate, 2)));
    let object = json!({
        "answered": share.answered,
        "won": share.won,
        "enough": share.answered >= shown.enough,
        "usual_rate": usual,
        "levels": levels,
    });
    ("win_share", object)
}

/// A polite text about an open amount.
pub(super) fn reminder(shown: &ReminderShown) -> Field {
    ("forward", json!(english::reminder(shown)))
}
