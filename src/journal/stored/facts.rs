//! Each event as an object of text fields, and back.

use super::{
    form::{Form, Written, printed},
    question, rows, settings, sheet,
};
use crate::{
    journal::{
        Error,
        event::{DoneLine, Event, JobFinished},
        quotes::ClientOffer,
    },
    pricing::Sheet,
    units::{FileId, InboundId, MemberId, Money, QuoteNo},
};

/// The kinds that this program writes.
pub(super) const KINDS: [&str; 39] = [
    "message_heard",
    "setting_given",
    "service_priced",
    "place_named",
    "quote_given",
    "quote_revised",
    "what_if_shown",
    "quote_won",
    "quote_lost",
    "job_planned",
    "payment_taken",
    "rest_let_go",
    "work_started",
    "work_paused",
    "work_resumed",
    "crew_changed",
    "clock_corrected",
    "job_finished",
    "extra_billed",
    "note_kept",
    "file_kept",
    "minutes_kept",
    "units_timed",
    "client_link_given",
    "client_links_shut",
    "client_accepted",
    "client_asked",
    "question_asked",
    "question_closed",
    "service_mentioned",
    "quote_shown",
    "calendar_opened",
    "calendar_shut",
    "prices_shown",
    "quoting_allowed",
    "place_caution_kept",
    "caution_given",
    "guide_shown",
    "undone",
];

pub(super) fn write(event: &Event) -> (&'static str, Written) {
    let new = Written::new;
    let of = |no: &QuoteNo| Written::new().put("no", no);
    match event {
        Event::MessageHeard { text } => ("message_heard", new().put("text", text)),
        Event::SettingGiven(figure) => ("setting_given", settings::write(figure)),
        Event::ServicePriced(said) => ("service_priced", settings::write_service(said)),
        Event::PlaceNamed { name } => ("place_named", new().put("name", name)),
        Event::QuoteGiven {
            no,
            place,
            sheet,
            total,
        } => ("quote_given", write_priced(*no, place, sheet, *total)),
        Event::QuoteRevised {
            no,
            place,
            sheet,
            total,
        } => ("quote_revised", write_priced(*no, place, sheet, *total)),
        Event::WhatIfShown { no, sheet } => ("what_if_shown", with_sheet(*no, sheet)),
        Event::QuoteWon { no, agreed } => ("quote_won", of(no).put("agreed", agreed)),
        Event::QuoteLost { no, reason, price } => {
            let written = of(no).put_some("reason", reason.as_ref());
            ("quote_lost", written.put_some("price", *price))
        }
        Event::JobPlanned { no, start } => ("job_planned", of(no).put("start", start)),
        Event::PaymentTaken { no, amount, method } => {
            let written = of(no).put("amount", amount);
            ("payment_taken", written.put_some("method", method.as_ref()))
        }
        Event::RestLetGo { no, amount } => ("rest_let_go", of(no).put("amount", amount)),
        Event::WorkStarted { .. }
        | Event::WorkPaused { .. }
        | Event::WorkResumed { .. }
        | Event::CrewChanged { .. }
        | Event::ClockCorrected { .. } => write_clock(event),
        Event::JobFinished(finished) => ("job_finished", write_finish(finished)),
        Event::ExtraBilled { no, amount, agreed } => {
            ("extra_billed", of(no).put("amount", amount).put("agreed", agreed))
        }
        Event::NoteKept { .. } | Event::FileKept { .. } => write_kept(event),
        Event::MinutesKept { service, size, keep } => ("minutes_kept", of_class(service, size).flag("keep", *keep)),
        Event::UnitsTimed {
            service,
            size,
            readings,
        } => (
            "units_timed",
            of_class(service, size).nest("readings", printed(readings)),
        ),
        Event::ClientLinkGiven { .. }
        | Event::ClientLinksShut { .. }
        | Event::ClientAccepted { .. }
        | Event::ClientAsked { .. } => write_client(event),
        Event::QuestionAsked(open) => ("question_asked", question::write(open)),
        Event::QuestionClosed => ("question_closed", new()),
        Event::ServiceMentioned { service } => ("service_mentioned", new().put("service", service)),
        Event::QuoteShown { no } => ("quote_shown", of(no)),
        Event::CalendarOpened { .. }
        | Event::CalendarShut { .. }
        | Event::PricesShown { .. }
        | Event::QuotingAllowed { .. } => write_readers(event),
        Event::PlaceCautionKept { .. } | Event::CautionGiven { .. } | Event::GuideShown { .. } => write_guide(event),
        Event::Undone { causes } => ("undone", new().nest("causes", printed(causes))),
        Event::Unknown { payload, .. } => ("unknown", new().put("payload", payload)),
    }
}

/// What was told of the clock of a job.
fn write_clock(event: &Event) -> (&'static str, Written) {
    let of = |no: &QuoteNo| Written::new().put("no", no);
    match event {
        Event::WorkStarted { no, at, crew } => ("work_started", of(no).put("at", at).put_some("crew", *crew)),
        Event::WorkPaused { no, at } => ("work_paused", of(no).put("at", at)),
        Event::WorkResumed { no, at } => ("work_resumed", of(no).put("at", at)),
        Event::CrewChanged { no, at, crew } => ("crew_changed", of(no).put("at", at).put("crew", crew)),
        Event::ClockCorrected { no, was, is } => ("clock_corrected", of(no).put("was", was).put("is", is)),
        other => write(other),
    }
}

/// What goes between us and the client of a quote.
fn write_client(event: &Event) -> (&'static str, Written) {
    let of = |no: &QuoteNo| Written::new().put("no", no);
    match event {
        Event::ClientLinkGiven { no, hash, offer } => {
            let written = of(no).put("hash", hash);
            ("client_link_given", rows::write_offer(written, offer))
        }
        Event::ClientAccepted { no, agreed, name } => {
            ("client_accepted", of(no).put("agreed", agreed).put("name", name))
        }
        Event::ClientAsked { no, name, words } => ("client_asked", of(no).put("name", name).put("words", words)),
        Event::ClientLinksShut { no } => ("client_links_shut", of(no)),
        other => write(other),
    }
}

fn kept_with(no: Option<QuoteNo>, place: &Option<String>) -> Written {
    Written::new().put_some("no", no).put_some("place", place.as_ref())
}

fn of_class(service: &str, size: &Option<String>) -> Written {
    Written::new().put("service", service).put_some("size", size.as_ref())
}

/// What the guide said and was told.
fn write_guide(event: &Event) -> (&'static str, Written) {
    let new = Written::new;
    match event {
        Event::PlaceCautionKept { place, text } => ("place_caution_kept", new().put("place", place).put("text", text)),
        Event::CautionGiven { no, code, source } => {
            let written = new().put_some("no", *no).put("code", code);
            ("caution_given", written.put("source", source))
        }
        Event::GuideShown { plant, sources } => {
            let written = new().put_some("plant", plant.as_ref());
            ("guide_shown", written.nest("sources", printed(sources)))
        }
        other => write(other),
    }
}

fn write_priced(no: QuoteNo, place: &Option<String>, sheet: &Sheet, total: Money) -> Written {
    with_sheet(no, sheet)
        .put_some("place", place.as_ref())
        .put("total", total)
}

/// `None` for a kind that is not one of [`KINDS`].
pub(super) fn read(kind: &str, form: Form<'_>) -> Result<Option<Event>, Error> {
    Ok(Some(match kind {
        "message_heard" => Event::MessageHeard {
            text: form.text("text")?,
        },
        "setting_given" => Event::SettingGiven(settings::read(form)?),
        "service_priced" => Event::ServicePriced(settings::read_service(form)?),
        "place_named" => Event::PlaceNamed {
            name: form.text("name")?,
        },
        "quote_given" => Event::QuoteGiven {
            no: no(form)?,
            place: form.maybe_string("place")?,
            sheet: sheet::read(form.inner("sheet")?)?,
            total: form.need("total")?,
        },
        "quote_revised" => Event::QuoteRevised {
            no: no(form)?,
            place: form.maybe_string("place")?,
            sheet: sheet::read(form.inner("sheet")?)?,
            total: form.need("total")?,
        },
        "what_if_shown" => Event::WhatIfShown {
            no: no(form)?,
            sheet: sheet::read(form.inner("sheet")?)?,
        },
        "quote_won" => Event::QuoteWon {
            no: no(form)?,
            agreed: form.need("agreed")?,
        },
        "quote_lost" => Event::QuoteLost {
            no: no(form)?,
            reason: form.maybe_string("reason")?,
            price: form.maybe("price")?,
        },
        "job_planned" => Event::JobPlanned {
            no: no(form)?,
            start: form.need("start")?,
        },
        "payment_taken" => Event::PaymentTaken {
            no: no(form)?,
            amount: form.need("amount")?,
            method: form.maybe_string("method")?,
        },
        "job_finished" => Event::JobFinished(read_finish(form)?),
        "rest_let_go" => Event::RestLetGo {
            no: no(form)?,
            amount: form.need("amount")?,
        },
        "extra_billed" => Event::ExtraBilled {
            no: no(form)?,
            amount: form.need("amount")?,
            agreed: form.need("agreed")?,
        },
        _ => return read_clock(kind, form),
    }))
}

fn read_clock(kind: &str, form: Form<'_>) -> Result<Option<Event>, Error> {
    Ok(Some(match kind {
        "work_started" => Event::WorkStarted {
            no: no(form)?,
            at: form.need("at")?,
            crew: sheet::maybe_crew(form, "crew")?,
        },
        "work_paused" => Event::WorkPaused {
            no: no(form)?,
            at: form.need("at")?,
        },
        "work_resumed" => Event::WorkResumed {
            no: no(form)?,
            at: form.need("at")?,
        },
        "crew_changed" => Event::CrewChanged {
            no: no(form)?,
            at: form.need("at")?,
            crew: sheet::read_crew(form, "crew")?,
        },
        "clock_corrected" => Event::ClockCorrected {
            no: no(form)?,
            was: form.need("was")?,
            is: form.need("is")?,
        },
        _ => return read_talk(kind, form),
    }))
}

/// What is kept beside a job or a place.
fn write_kept(event: &Event) -> (&'static str, Written) {
    match event {
        Event::NoteKept { no, place, text } => ("note_kept", kept_with(*no, place).put("text", text)),
        Event::FileKept {
            no,
            place,
            file,
            media_type,
        } => {
            let written = kept_with(*no, place).put("file", file);
            ("file_kept", written.put("media_type", media_type))
        }
        other => write(other),
    }
}

/// Who may see what from outside the talk.
fn write_readers(event: &Event) -> (&'static str, Written) {
    let new = Written::new;
    match event {
        Event::CalendarOpened { hash } => ("calendar_opened", new().put("hash", hash)),
        Event::PricesShown { name, show } => {
            let written = new().put_some("name", name.as_ref());
            ("prices_shown", written.flag("show", *show))
        }
        Event::QuotingAllowed { name, allow } => {
            let written = new().put_some("name", name.as_ref());
            ("quoting_allowed", written.flag("allow", *allow))
        }
        Event::CalendarShut { member } => {
            let member = member.map(MemberId::get);
            ("calendar_shut", new().put_some("member", member))
        }
        other => write(other),
    }
}

/// What the guide and the calendar keep.
fn read_house(kind: &str, form: Form<'_>) -> Result<Option<Event>, Error> {
    Ok(Some(match kind {
        "calendar_opened" => Event::CalendarOpened {
            hash: form.text("hash")?,
        },
        "calendar_shut" => Event::CalendarShut {
            member: form.maybe("member")?.map(MemberId::new),
        },
        "prices_shown" => Event::PricesShown {
            name: form.maybe_string("name")?,
            show: form.flag("show"),
        },
        "quoting_allowed" => Event::QuotingAllowed {
            name: form.maybe_string("name")?,
            allow: form.flag("allow"),
        },
        "place_caution_kept" => Event::PlaceCautionKept {
            place: form.text("place")?,
            text: form.text("text")?,
        },
        "caution_given" => Event::CautionGiven {
            no: form.maybe("no")?.map(QuoteNo::new),
            code: form.text("code")?,
            source: form.text("source")?,
        },
        "guide_shown" => Event::GuideShown {
            plant: form.maybe_string("plant")?,
            sources: form.values("sources")?,
        },
        _ => return Ok(None),
    }))
}

fn read_talk(kind: &str, form: Form<'_>) -> Result<Option<Event>, Error> {
    Ok(Some(match kind {
        "note_kept" => Event::NoteKept {
            no: form.maybe("no")?.map(QuoteNo::new),
            place: form.maybe_string("place")?,
            text: form.text("text")?,
        },
        "file_kept" => Event::FileKept {
            no: form.maybe("no")?.map(QuoteNo::new),
            place: form.maybe_string("place")?,
            file: FileId::new(form.text("file")?),
            media_type: form.text("media_type")?,
        },
        "minutes_kept" => Event::MinutesKept {
            service: form.text("service")?,
            size: form.maybe_string("size")?,
            keep: form.flag("keep"),
        },
        "units_timed" => Event::UnitsTimed {
            service: form.text("service")?,
            size: form.maybe_string("size")?,
            readings: form.values("readings")?,
        },
        "client_link_given" => Event::ClientLinkGiven {
            no: no(form)?,
            hash: form.text("hash")?,
            offer: ClientOffer {
                until: form.need("until")?,
                terms: form.maybe_string("terms")?,
                not_included: form.maybe_string("not_included")?,
            },
        },
        "client_links_shut" => Event::ClientLinksShut { no: no(form)? },
        "client_accepted" => Event::ClientAccepted {
            no: no(form)?,
            agreed: form.need("agreed")?,
            name: form.text("name")?,
        },
        "client_asked" => Event::ClientAsked {
            no: no(form)?,
            name: form.text("name")?,
            words: form.text("words")?,
        },
        "question_asked" => Event::QuestionAsked(question::read(form)?),
        "question_closed" => Event::QuestionClosed,
        "service_mentioned" => Event::ServiceMentioned {
            service: form.text("service")?,
        },
        "quote_shown" => Event::QuoteShown { no: no(form)? },
        "undone" => Event::Undone {
            causes: form
                .values::<String>("causes")?
                .into_iter()
                .map(InboundId::new)
                .collect(),
        },
        _ => return read_house(kind, form),
    }))
}

fn no(form: Form<'_>) -> Result<QuoteNo, Error> {
    form.need("no").map(QuoteNo::new)
}

fn with_sheet(no: QuoteNo, priced_from: &Sheet) -> Written {
    Written::new()
        .put("no", no)
        .nest("sheet", sheet::write(priced_from).into_value())
}

fn write_finish(finished: &JobFinished) -> Written {
    Written::new()
        .put("no", finished.no)
        .put("ended", finished.ended)
        .put("crew", finished.crew)
        .put("man_minutes", finished.man_minutes)
        .put_some("man_minutes_low", finished.range.map(|(low, _)| low))
        .put_some("man_minutes_high", finished.range.map(|(_, high)| high))
        .list("done", &finished.done, write_done)
        .put("agreed", finished.agreed)
        .put("extra", finished.extra)
}

pub(super) fn write_done(line: &DoneLine) -> Written {
    Written::new()
        .put("service", &line.service)
        .put_some("size", line.size.as_ref())
        .put("quantity", line.quantity)
}

fn read_finish(form: Form<'_>) -> Result<JobFinished, Error> {
    Ok(JobFinished {
        no: no(form)?,
        ended: form.need("ended")?,
        crew: sheet::read_crew(form, "crew")?,
        man_minutes: form.need("man_minutes")?,
        range: form.maybe("man_minutes_low")?.zip(form.maybe("man_minutes_high")?),
        done: form.list("done", |line| {
            Ok(DoneLine {
                service: line.text("service")?,
                size: line.maybe_string("size")?,
                quantity: line.need("quantity")?,
            })
        })?,
        agreed: form.need("agreed")?,
        extra: form.need("extra")?,
    })
}
