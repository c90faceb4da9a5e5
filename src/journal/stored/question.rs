//! Open questions in stored form: slots, fills and expectations as short texts.

use super::form::{Form, Written};
use crate::{
    journal::{
        Error,
        question::{Fill, Hole, Item, OpenQuestion, Settled, Slot},
    },
    language::Expecting,
    units::QuoteNo,
};

const HOLES: [(Hole, &str); 17] = [
    (Hole::Reading, "reading"),
    (Hole::Kind, "kind"),
    (Hole::Size, "size"),
    (Hole::Quantity, "quantity"),
    (Hole::Minutes, "minutes"),
    (Hole::Worked, "worked"),
    (Hole::Ended, "ended"),
    (Hole::Money, "money"),
    (Hole::Place, "place"),
    (Hole::Quote, "quote"),
    (Hole::Target, "target"),
    (Hole::Twice, "twice"),
    (Hole::PriceSaid, "price_said"),
    (Hole::Region, "region"),
    (Hole::LastFrost, "last frost"),
    (Hole::Odd, "odd"),
    (Hole::Again, "again"),
];

pub(super) fn write(question: &OpenQuestion) -> Written {
    Written::new()
        .put("text", &question.text)
        .put("read_as", expecting_text(question.read_as))
        .put("start", question.start)
        .list("settled", &question.settled, |settled| {
            Written::new()
                .nest("slot", write_slot(settled.slot).into_value())
                .nest("fill", write_fill(&settled.fill).into_value())
        })
        .nest("slot", write_slot(question.slot).into_value())
        .list("choices", &question.choices, write_fill)
        .put("expecting", expecting_text(question.expecting))
        .put_some("said_at", question.said_at)
}

pub(super) fn read(form: Form<'_>) -> Result<OpenQuestion, Error> {
    Ok(OpenQuestion {
        text: form.text("text")?,
        read_as: read_expecting(form, "read_as")?,
        start: form.need("start")?,
        settled: form.list("settled", |settled| {
            Ok(Settled {
                slot: read_slot(settled.inner("slot")?)?,
                fill: read_fill(settled.inner("fill")?)?,
            })
        })?,
        slot: read_slot(form.inner("slot")?)?,
        choices: form.list("choices", read_fill)?,
        expecting: read_expecting(form, "expecting")?,
        said_at: form.maybe("said_at")?,
    })
}

fn expecting_text(expecting: Expecting) -> String {
    match expecting {
        Expecting::Nothing => "nothing".to_string(),
        Expecting::Choice(choices) => format!("choice {choices}"),
        Expecting::Count => "count".to_string(),
        Expecting::Minutes => "minutes".to_string(),
        Expecting::Money => "money".to_string(),
        Expecting::Place => "place".to_string(),
        Expecting::Time => "time".to_string(),
    }
}

fn read_expecting(form: Form<'_>, field: &'static str) -> Result<Expecting, Error> {
    let text = form.text(field)?;
    match text.as_str() {
        "nothing" => Ok(Expecting::Nothing),
        "count" => Ok(Expecting::Count),
        "minutes" => Ok(Expecting::Minutes),
        "money" => Ok(Expecting::Money),
        "place" => Ok(Expecting::Place),
        "time" => Ok(Expecting::Time),
        other => other
            .strip_prefix("choice ")
            .and_then(|choices| choices.parse().ok())
            .map(Expecting::Choice)
            .ok_or_else(|| form.unfit(field, other)),
    }
}

fn write_slot(slot: Slot) -> Written {
    let hole = HOLES
        .iter()
        .find(|(hole, _)| *hole == slot.hole)
        .map_or("reading", |(_, name)| name);
    let written = Written::new().put("meaning", slot.meaning).put("hole", hole);
    match slot.item {
        Item::Whole => written,
        Item::Line(index) => written.put("line", index),
        Item::Change(index) => written.put("change", index),
        Item::Words(from, to) => written.put("from", from).put("to", to),
    }
}

fn read_slot(form: Form<'_>) -> Result<Slot, Error> {
    let name = form.text("hole")?;
    let hole = HOLES.iter().find(|(_, known)| *known == name).map(|(hole, _)| *hole);
    let item = match (form.maybe("line")?, form.maybe("change")?, form.maybe("from")?) {
        (Some(index), _, _) => Item::Line(index),
        (_, Some(index), _) => Item::Change(index),
        (_, _, Some(from)) => Item::Words(from, form.need("to")?),
        _ => Item::Whole,
    };
    Ok(Slot {
        meaning: form.need("meaning")?,
        item,
        hole: hole.ok_or_else(|| form.unfit("hole", &name))?,
    })
}

fn write_fill(fill: &Fill) -> Written {
    let written = Written::new();
    match fill {
        Fill::Say(text) => written.put("fill", "say").put("text", text),
        Fill::Kind(name) => written.put("fill", "kind").put("name", name),
        Fill::Size(size) => written.put("fill", "size").put_some("name", size.as_ref()),
        Fill::Number(number) => written.put("fill", "number").put("number", number),
        Fill::Place(name) => written.put("fill", "place").put("name", name),
        Fill::Quote(no) => written.put("fill", "quote").put("no", no),
        Fill::Line(index) => written.put("fill", "line").put("line", index),
        Fill::All => written.put("fill", "all"),
        Fill::Yes => written.put("fill", "yes"),
        Fill::No => written.put("fill", "no"),
    }
}

fn read_fill(form: Form<'_>) -> Result<Fill, Error> {
    let what = form.text("fill")?;
    Ok(match what.as_str() {
        "say" => Fill::Say(form.text("text")?),
        "kind" => Fill::Kind(form.text("name")?),
        "size" => Fill::Size(form.maybe_string("name")?),
        "number" => Fill::Number(form.need("number")?),
        "place" => Fill::Place(form.text("name")?),
        "quote" => Fill::Quote(QuoteNo::new(form.need("no")?)),
        "line" => Fill::Line(form.need("line")?),
        "all" => Fill::All,
        "yes" => Fill::Yes,
        "no" => Fill::No,
        other => return Err(form.unfit("fill", other)),
    })
}
