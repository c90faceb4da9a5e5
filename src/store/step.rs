//! What happens to one message inside the book: all of it, or nothing.
//!
//! A delivery that was seen before gets its first answer again and changes nothing. A new one is handled on the state
//! that the account's events add up to; then the message, the events, the projection rows, the answer and, if another
//! program wants it, the outbox row are written inside one savepoint. A panic in handling is caught here: the message is
//! kept with an apology and the failure, the half-changed state is thrown away, and the next message finds a sound one.

use std::{
    collections::{HashMap, hash_map::Entry},
    panic::{AssertUnwindSafe, catch_unwind},
};

use rusqlite::{Connection, OptionalExtension, params};

use super::{
    Error, Options,
    chats::Codes,
    facts,
    facts::{Folded, read_time},
    files::{self, Enclosed, Fresh},
    house, outbox,
};
use crate::{
    channels::said_at,
    conversation::{Answer, CLIENT_CHANNEL, Context, Effect, Heard, House, Inbound, Part},
    exports::{self, Rendered},
    journal::{Recorded, State},
    replies::{self, AttachedFile},
    units::{AccountId, ChatId, FileId, InboundId, MemberId, Timestamp},
};

/// A message as it reached the house.
#[derive(Debug, Clone)]
pub struct Delivery {
    /// Whose book it is for.
    pub account: AccountId,
    /// Who speaks.
    pub member: MemberId,
    /// Our own id for it, fresh.
    pub id: InboundId,
    /// The way it came.
    pub channel: String,
    /// The sender's id for it, the same on every delivery of the same message.
    pub external_id: String,
    /// What was said; of a voice note, what was heard.
    pub text: String,
    /// What was heard, when it was spoken.
    pub heard: Option<Heard>,
    /// What came with it.
    pub media: Vec<Enclosed>,
    /// The chat that the answer goes to, when it is not given on the spot.
    pub answer_to: Option<ChatId>,
    /// When its sender or provider says that it was sent, where one does.
    pub sent_at: Option<Timestamp>,
    /// When it reached the house.
    pub at: Timestamp,
}

/// The answer to a delivery.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answered {
    /// The id under which the message was first taken.
    pub id: InboundId,
    /// When it was first taken.
    pub at: Timestamp,
    /// The answer in words.
    pub text: String,
    /// The answer as one JSON object.
    pub json: String,
    /// Whether this delivery had been answered before.
    pub again: bool,
    /// Whether handling it failed just now, so that the answer is an apology.
    pub failed: bool,
}

/// Accounts whose state is held in memory, at some 260 kB each for small ones.
const STATES_HELD_MAX: usize = 4096;

/// The states held in memory, each known to be as new as the transaction that uses it.
pub(super) struct States {
    held: HashMap<AccountId, Folded>,
    /// Accounts compared with the book in the transaction that is open.
    fresh: Vec<AccountId>,
    codes: Codes,
}

impl States {
    /// No states yet; codes that answers tell are held here.
    pub(super) fn with(codes: Codes) -> States {
        States {
            held: HashMap::new(),
            fresh: Vec::new(),
            codes,
        }
    }

    /// To be called when a transaction opens: another process may have written since the last one.
    pub(super) fn begin(&mut self) {
        self.fresh.clear();
    }

    /// Holds a state that was folded elsewhere, unless there is one already or no room; its next use brings it up to date.
    pub(super) fn hold(&mut self, account: AccountId, folded: Folded) {
        if self.held.len() < STATES_HELD_MAX {
            self.held.entry(account).or_insert(folded);
        }
    }

    /// Forgets an account's state: the next use folds it anew.
    pub(super) fn forget(&mut self, account: AccountId) {
        self.held.remove(&account);
    }

    /// Forgets everything, after a commit that failed.
    pub(super) fn forget_all(&mut self) {
        self.held.clear();
        self.fresh.clear();
    }

    /// Forgets one that this transaction has not used, when as many are held as may be; its next use folds it anew.
    fn make_room(&mut self) {
        if self.held.len() < STATES_HELD_MAX {
            return;
        }
        let idle = self.held.keys().find(|account| !self.fresh.contains(account)).copied();
        if let Some(idle) = idle {
            self.held.remove(&idle);
        }
    }

    /// An account's state, as new as the transaction that is open.
    pub(super) fn of(&mut self, connection: &Connection, account: AccountId) -> Result<&mut Folded, Error> {
        let fresh = self.fresh.contains(&account);
        if !fresh {
            self.fresh.push(account);
        }
        if !self.held.contains_key(&account) {
            self.make_room();
        }
        let folded = match self.held.entry(account) {
            Entry::Vacant(place) => return Ok(place.insert(facts::fold(connection, account)?)),
            Entry::Occupied(place) => place.into_mut(),
        };
        if !fresh {
            facts::catch_up(connection, account, folded)?;
        }
        Ok(folded)
    }
}

/// What handling came to.
struct Handled {
    events: Vec<Recorded>,
    text: String,
    json: String,
    files: Vec<(FileId, Rendered)>,
    effects: Vec<Effect>,
    failure: Option<String>,
}

/// Takes one delivery inside an open savepoint.
pub(super) fn take(
    connection: &Connection,
    states: &mut States,
    delivery: &Delivery,
    options: &Options,
) -> Result<Answered, Error> {
    let codes = states.codes.clone();
    if let Some(first) = first_answer(
        connection,
        &codes,
        delivery.account,
        &delivery.channel,
        &delivery.external_id,
    )? {
        return Ok(first);
    }
    let house = house::seen(connection, delivery.account, options)?;
    let kept = |id: &FileId| files::named(connection, delivery.account, id);
    let folded = states.of(connection, delivery.account)?;
    let mut before = State::new();
    let handled = match catch_unwind(AssertUnwindSafe(|| handle(folded, delivery, options, house, &kept))) {
        Ok((handled, after)) => {
            before = std::mem::replace(folded, after).state;
            handled
        }
        Err(panic) => apologise(delivery, &panic_words(panic.as_ref())),
    };
    let position = keep_message(connection, delivery)?;
    keep_files(connection, position, delivery, &handled)?;
    facts::append(connection, delivery.account, &handled.events)?;
    if !handled.events.is_empty() {
        project(connection, states, delivery.account, &before, &handled.events)?;
    }
    connection
        .prepare_cached(include_str!("sql/reply_add.sql"))?
        .execute(params![position, handled.text, handled.json])?;
    if let Some(detail) = &handled.failure {
        connection
            .prepare_cached(include_str!("sql/failure_add.sql"))?
            .execute(params![position, delivery.at.to_string(), detail])?;
    }
    for effect in &handled.effects {
        house::carry_out(connection, &codes, delivery, effect, options)?;
    }
    if options.carry_answers {
        outbox::queue(connection, position, delivery, None)?;
    }
    if delivery.answer_to.is_some() {
        outbox::queue(connection, position, delivery, delivery.answer_to)?;
    }
    if delivery.channel == CLIENT_CHANNEL {
        tell_everywhere(connection, position, delivery)?;
    }
    Ok(Answered {
        id: delivery.id.clone(),
        at: delivery.at,
        text: codes.show(&delivery.id, &handled.text),
        json: codes.show(&delivery.id, &handled.json),
        again: false,
        failed: handled.failure.is_some(),
    })
}

/// News that nobody in the account asked for goes to every chat of the member whom it is for.
fn tell_everywhere(connection: &Connection, position: i64, delivery: &Delivery) -> Result<(), Error> {
    let mut chats = connection.prepare_cached(include_str!("sql/chats_of_member.sql"))?;
    let chats = chats.query_map(params![delivery.account.get(), delivery.member.get()], |row| row.get(0))?;
    for chat in chats.collect::<Result<Vec<i64>, _>>()? {
        outbox::queue(connection, position, delivery, Some(ChatId::new(chat)))?;
    }
    Ok(())
}

/// The answer that a delivery got the first time, if there was one.
pub(super) fn first_answer(
    connection: &Connection,
    codes: &Codes,
    account: AccountId,
    channel: &str,
    external_id: &str,
) -> Result<Option<Answered>, Error> {
    let row: Option<(String, String, String, String)> = connection
        .prepare_cached(include_str!("sql/reply_first.sql"))?
        .query_row(params![account.get(), channel, external_id], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
        })
        .optional()?;
    let Some((id, at, text, json)) = row else {
        return Ok(None);
    };
    let id = InboundId::new(id);
    Ok(Some(Answered {
        at: read_time("a time of a message", at)?,
        text: codes.show(&id, &text),
        json: codes.show(&id, &json),
        id,
        again: true,
        failed: false,
    }))
}

/// The pure part: what the message does, what is said, and the state after it.
fn handle(
    folded: &Folded,
    delivery: &Delivery,
    options: &Options,
    house: House,
    kept: &dyn Fn(&FileId) -> Option<AttachedFile>,
) -> (Handled, Folded) {
    let said_at = said_at(delivery.sent_at, delivery.at);
    let inbound = Inbound {
        id: delivery.id.clone(),
        channel: delivery.channel.clone(),
        member: delivery.member,
        text: delivery.text.clone(),
        heard: delivery.heard.clone(),
        media: delivery.media.iter().map(|enclosed| enclosed.media.clone()).collect(),
        at: said_at,
    };
    let context = Context {
        now: delivery.at,
        zone: options.zone,
        public_url: options.public_url.clone(),
        secret: (options.secret)(),
        house,
    };
    let outcome = (options.handle)(&folded.state, &inbound, &context);
    let mut folded = folded.clone();
    let mut events = Vec::with_capacity(outcome.events.len());
    for event in outcome.events {
        folded.sequence += 1;
        let recorded = Recorded {
            sequence: folded.sequence,
            at: said_at,
            cause: delivery.id.clone(),
            member: delivery.member,
            event,
        };
        folded.state.apply(&recorded);
        events.push(recorded);
    }
    let effects = effects(&outcome.answer);
    let text = replies::text(&outcome.answer);
    let files = render(&outcome.answer, &delivery.id);
    let made = files.iter().map(|(id, file)| attached(id, file));
    let given_out = outcome.answer.parts.iter().flat_map(given_out).filter_map(kept);
    let attached: Vec<AttachedFile> = made.chain(given_out).collect();
    let json = replies::json(&outcome.answer, &delivery.id, delivery.at, &attached).to_string();
    (
        Handled {
            events,
            text,
            json,
            files,
            effects,
            failure: None,
        },
        folded,
    )
}

fn apologise(delivery: &Delivery, detail: &str) -> Handled {
    tracing::error!(message = delivery.id.as_str(), detail, "handling a message failed");
    let text = replies::failed_text();
    let json = replies::failed_json(&delivery.id, delivery.at).to_string();
    Handled {
        events: Vec::new(),
        text,
        json,
        files: Vec::new(),
        effects: Vec::new(),
        failure: Some(detail.to_string()),
    }
}

/// What has to be done for an answer to be true.
fn effects(answer: &Answer) -> Vec<Effect> {
    let house = |part: &Part| match part {
        Part::House(shown) => shown.effect(),
        Part::SignInCode { minutes, .. } => Some(Effect::SignInCode { minutes: *minutes }),
        _ => None,
    };
    answer.parts.iter().filter_map(house).collect()
}

/// Makes the files of an answer.
fn render(answer: &Answer, message: &InboundId) -> Vec<(FileId, Rendered)> {
    let attachments = answer.parts.iter().filter_map(|part| match part {
        Part::Attachment(attachment) => Some(attachment),
        _ => None,
    });
    attachments
        .enumerate()
        .map(|(index, attachment)| (FileId::outgoing(message, index + 1), exports::render(attachment)))
        .collect()
}

fn attached(id: &FileId, file: &Rendered) -> AttachedFile {
    AttachedFile {
        // The contract's kind is the bare media type.
        media_type: file.media_type.split(';').next().unwrap_or_default().to_string(),
        name: file.name.clone(),
        path: format!("/files/{id}"),
    }
}

/// Files of the book that an answer gives out again.
fn given_out(part: &Part) -> &[FileId] {
    match part {
        Part::Kept(shown) => &shown.files,
        _ => &[],
    }
}

fn keep_files(connection: &Connection, position: i64, delivery: &Delivery, handled: &Handled) -> Result<(), Error> {
    files::add_enclosed(connection, delivery.account, position, &delivery.media, delivery.at)?;
    for (id, file) in &handled.files {
        let fresh = Fresh {
            id,
            position: Some(position),
            incoming: false,
            media_type: file.media_type,
            name: &file.name,
            bytes: &file.bytes,
        };
        files::add(connection, delivery.account, &fresh, delivery.at)?;
    }
    Ok(())
}

fn keep_message(connection: &Connection, delivery: &Delivery) -> Result<i64, Error> {
    connection
        .prepare_cached(include_str!("sql/message_add.sql"))?
        .execute(params![
            delivery.id.as_str(),
            delivery.account.get(),
            delivery.member.get(),
            delivery.channel,
            delivery.external_id,
            delivery.text,
            delivery.at.to_string(),
        ])?;
    Ok(connection.last_insert_rowid())
}

/// Brings the stored projection along. Before the first event there is none, and after something was taken back that the
/// state did not remember any row may differ: then all are compared.
fn project(
    connection: &Connection,
    states: &mut States,
    account: AccountId,
    before: &State,
    events: &[Recorded],
) -> Result<(), Error> {
    let replayed = states.of(connection, account)?.state.needs_replay();
    if replayed {
        states.forget(account);
    }
    let folded = states.of(connection, account)?;
    let first = events.first().is_some_and(|recorded| recorded.sequence == 1);
    let changes = match first || replayed {
        true => None,
        false => folded.state.changes_since(before, events),
    };
    match changes {
        Some(changes) => facts::project(connection, account, &changes, folded.sequence),
        None => facts::rebuild(connection, account, folded),
    }
}

fn panic_words(panic: &(dyn std::any::Any + Send)) -> String {
    if let Some(words) = panic.downcast_ref::<&str>() {
        (*words).to_string()
    } else if let Some(words) = panic.downcast_ref::<String>() {
        words.clone()
    } else {
        "a panic without words".to_string()
    }
}
