//! Which answers still have to be carried to another program, or to a chat?
//!
//! A row is written in the same commit as the answer, so an answer can neither be sent without being kept nor kept without
//! being queued. It is sent afterwards, at least once, under a key that never changes, so the other side can tell a second
//! try from a second answer. Letters of one chat go out in order: only the first that is still queued can be taken in hand,
//! under a lease that runs out when its worker dies. What is answered on the spot (web, terminal, signed webhook) is read
//! back from the reply and needs no row.

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::{
    Error,
    chats::{self, Chat, Codes},
    facts::read_time,
    step::Delivery,
};
use crate::{
    channels::{Channel, Reply, WHEN_THEY_WRITE},
    units::{AccountId, ChatId, InboundId, MemberId, Timestamp},
};

/// Letters that were given up and are listed at once.
pub(super) const UNDELIVERED_LISTED_MAX: u32 = 10;

/// An answer waiting to be carried to another program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiting {
    /// The row.
    pub id: i64,
    /// The same on every try.
    pub key: String,
    /// Tries so far.
    pub attempts: u32,
    /// The answer as JSON.
    pub json: String,
}

/// A letter in hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Letter {
    /// The row.
    pub id: i64,
    /// Whose book.
    pub account: AccountId,
    /// Where it goes; nothing when the chat has ended.
    pub chat: Option<Chat>,
    /// What it says.
    pub reply: Reply,
    /// The same on every try.
    pub key: String,
    /// When it was queued.
    pub queued_at: Timestamp,
    /// Tries so far.
    pub attempts: u32,
    /// Pieces that went out before.
    pub pieces_sent: u32,
}

/// A letter that was given up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undelivered {
    /// The row.
    pub id: i64,
    /// To whom; nobody when it was to be carried to another program.
    pub name: Option<String>,
    /// By which messenger, or `callback`.
    pub channel: String,
    /// Its words.
    pub words: String,
    /// When it was queued.
    pub queued_at: Timestamp,
    /// Why it did not arrive.
    pub failure: String,
}

/// How a try went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Carried {
    /// The other side took it.
    Sent,
    /// Not now: try again then.
    Later {
        /// When.
        due: Timestamp,
        /// What went wrong, without the message.
        failure: String,
    },
    /// Never.
    GivenUp {
        /// Why.
        failure: String,
    },
}

/// Queues the answer to a message: to the other program when `chat` is none, else to that chat.
pub(super) fn queue(
    connection: &Connection,
    position: i64,
    delivery: &Delivery,
    chat: Option<ChatId>,
) -> Result<(), Error> {
    // Ids must not hold a full stop: it is what the signed content is joined with.
    let id = delivery.id.as_str().replace('.', "_");
    let key = match chat {
        None => format!("answer_{id}"),
        Some(chat) => format!("letter_{id}_{}", chat.get()),
    };
    connection
        .prepare_cached(include_str!("sql/outbox_add.sql"))?
        .execute(params![
            delivery.account.get(),
            chat.map(ChatId::get),
            position,
            key,
            delivery.at.to_string()
        ])?;
    Ok(())
}

/// Queues words that answer no message; once under a key. A chat that wants no answers gets none.
pub(super) fn queue_words(
    connection: &Connection,
    chat: &Chat,
    words: &str,
    key: &str,
    now: Timestamp,
) -> Result<(), Error> {
    if chat.silenced && words != crate::replies::answers_again() {
        return Ok(());
    }
    connection
        .prepare_cached(include_str!("sql/outbox_words.sql"))?
        .execute(params![
            chat.account.get(),
            chat.id.get(),
            words,
            format!("words_{key}"),
            now.to_string()
        ])?;
    Ok(())
}

pub(super) fn due(connection: &Connection, now: Timestamp, limit: u32) -> Result<Vec<Waiting>, Error> {
    let waiting = connection
        .prepare_cached(include_str!("sql/outbox_due.sql"))?
        .query_map(params![now.to_string(), limit], |row| {
            Ok(Waiting {
                id: row.get(0)?,
                key: row.get(1)?,
                attempts: row.get(2)?,
                json: row.get(3)?,
            })
        })?
        .collect::<Result<_, _>>()?;
    Ok(waiting)
}

pub(super) fn next_due(connection: &Connection) -> Result<Option<Timestamp>, Error> {
    let next: Option<String> = connection
        .prepare_cached(include_str!("sql/outbox_next.sql"))?
        .query_row([], |row| row.get(0))?;
    next.map(|stored| read_time("a time in the outbox", stored)).transpose()
}

/// Takes the first letter of each chat that is due in hand, until a time; not of messengers that have to wait.
pub(super) fn lease(
    connection: &mut Connection,
    codes: &Codes,
    (now, until): (Timestamp, Timestamp),
    limit: u32,
    pausing: &[Channel],
) -> Result<Vec<Letter>, Error> {
    let names: Vec<&str> = pausing.iter().map(|channel| channel.code()).collect();
    let names = serde_json::to_string(&names).expect("a list of names is JSON");
    let transaction = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    let mut letters = Vec::new();
    {
        let mut statement = transaction.prepare_cached(include_str!("sql/outbox_lease.sql"))?;
        let mut rows = statement.query(params![now.to_string(), until.to_string(), limit, names])?;
        while let Some(row) = rows.next()? {
            letters.push(read_letter(&transaction, codes, row)?);
        }
    }
    transaction.commit()?;
    letters.sort_by_key(|letter| letter.id);
    Ok(letters)
}

/// Takes every letter of one chat that is due in hand, until a time; in order.
pub(super) fn lease_chat(
    connection: &mut Connection,
    codes: &Codes,
    chat: ChatId,
    (now, until): (Timestamp, Timestamp),
) -> Result<Vec<Letter>, Error> {
    let transaction = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    let mut letters = Vec::new();
    {
        let mut statement = transaction.prepare_cached(include_str!("sql/outbox_lease_chat.sql"))?;
        let mut rows = statement.query(params![chat.get(), now.to_string(), until.to_string()])?;
        while let Some(row) = rows.next()? {
            letters.push(read_letter(&transaction, codes, row)?);
        }
    }
    transaction.commit()?;
    letters.sort_by_key(|letter| letter.id);
    Ok(letters)
}

/// The letters of a chat that were given in the response to a call of its provider; in order.
pub(super) fn given(connection: &Connection, codes: &Codes, chat: ChatId, call: &str) -> Result<Vec<Letter>, Error> {
    let mut statement = connection.prepare_cached(include_str!("sql/outbox_given.sql"))?;
    let mut rows = statement.query(params![chat.get(), call])?;
    let mut letters = Vec::new();
    while let Some(row) = rows.next()? {
        letters.push(read_letter(connection, codes, row)?);
    }
    Ok(letters)
}

fn read_letter(connection: &Connection, codes: &Codes, row: &Row<'_>) -> Result<Letter, Error> {
    let position: Option<i64> = row.get(3)?;
    let reply = match (position, row.get::<_, Option<String>>(4)?) {
        (Some(position), _) => answer(connection, codes, position)?,
        (None, words) => Reply::words(words.unwrap_or_default()),
    };
    Ok(Letter {
        id: row.get(0)?,
        account: AccountId::new(row.get(1)?),
        chat: chats::by_id(connection, ChatId::new(row.get(2)?))?,
        reply,
        key: row.get(5)?,
        queued_at: read_time("a time in the outbox", row.get(6)?)?,
        attempts: row.get(7)?,
        pieces_sent: row.get(8)?,
    })
}

/// Notes that a letter which a provider took did not arrive in the end; who wants no messages gets none any more.
pub(super) fn reported(
    connection: &mut Connection,
    channel: Channel,
    outside_id: &str,
    failure: &str,
    opted_out: bool,
    now: Timestamp,
) -> Result<(), Error> {
    let transaction = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    let letter: Option<(i64, i64)> = transaction
        .prepare_cached(include_str!("sql/outbox_reported.sql"))?
        .query_row(params![channel.code(), outside_id, failure], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })
        .optional()?;
    if let Some((letter, chat)) = letter {
        transaction
            .prepare_cached(include_str!("sql/letter_piece_end.sql"))?
            .execute([letter])?;
        if opted_out {
            transaction
                .prepare_cached(include_str!("sql/chat_silence.sql"))?
                .execute(params![chat, now.to_string()])?;
        }
    }
    Ok(transaction.commit()?)
}

fn answer(connection: &Connection, codes: &Codes, position: i64) -> Result<Reply, Error> {
    let json: String = connection
        .prepare_cached(include_str!("sql/reply_json.sql"))?
        .query_row([position], |row| row.get(0))?;
    let mut reply = Reply::from_json(&json).ok_or(Error::Stored {
        what: "an answer",
        found: String::new(),
    })?;
    if let Some(id) = serde_json::from_str::<serde_json::Value>(&json)
        .ok()
        .and_then(|answer| answer["id"].as_str().map(str::to_string))
    {
        reply.text = codes.show(&InboundId::new(id), &reply.text);
    }
    Ok(reply)
}

pub(super) fn note(connection: &Connection, id: i64, carried: &Carried, now: Timestamp) -> Result<(), Error> {
    match carried {
        Carried::Sent => connection
            .prepare_cached(include_str!("sql/outbox_sent.sql"))?
            .execute(params![id, now.to_string()])?,
        Carried::Later { due, failure } => connection
            .prepare_cached(include_str!("sql/outbox_later.sql"))?
            .execute(params![id, due.to_string(), failure])?,
        Carried::GivenUp { failure } => connection
            .prepare_cached(include_str!("sql/outbox_give_up.sql"))?
            .execute(params![id, failure])?,
    };
    Ok(())
}

/// Notes that one piece went out; the letter stays in hand until a time.
pub(super) fn note_piece(
    connection: &mut Connection,
    id: i64,
    outside_id: Option<&str>,
    until: Timestamp,
) -> Result<(), Error> {
    let transaction = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    let piece: Option<i64> = transaction
        .prepare_cached(include_str!("sql/outbox_piece.sql"))?
        .query_row(params![id, until.to_string()], |row| row.get(0))
        .optional()?;
    if let (Some(piece), Some(outside_id)) = (piece, outside_id) {
        transaction
            .prepare_cached(include_str!("sql/letter_piece_add.sql"))?
            .execute(params![id, piece, outside_id])?;
    }
    Ok(transaction.commit()?)
}

/// Lets a letter go without a try.
pub(super) fn release(connection: &Connection, id: i64) -> Result<(), Error> {
    connection
        .prepare_cached(include_str!("sql/outbox_release.sql"))?
        .execute([id])?;
    Ok(())
}

/// Letters of an account that were given up, newest first.
pub(super) fn undelivered(connection: &Connection, account: AccountId) -> Result<Vec<Undelivered>, Error> {
    let mut statement = connection.prepare_cached(include_str!("sql/outbox_undelivered.sql"))?;
    let mut rows = statement.query(params![account.get(), UNDELIVERED_LISTED_MAX])?;
    let mut letters = Vec::new();
    while let Some(row) = rows.next()? {
        letters.push(Undelivered {
            id: row.get(0)?,
            name: row.get(1)?,
            channel: row.get(2)?,
            words: row.get::<_, Option<String>>(3)?.unwrap_or_default(),
            queued_at: read_time("a time in the outbox", row.get(4)?)?,
            failure: row.get::<_, Option<String>>(5)?.unwrap_or_default(),
        });
    }
    Ok(letters)
}

/// Queues letters again that were given up: one, or all; gives how many.
pub(super) fn resend(
    connection: &Connection,
    account: AccountId,
    letter: Option<i64>,
    now: Timestamp,
) -> Result<usize, Error> {
    Ok(connection
        .prepare_cached(include_str!("sql/outbox_resend.sql"))?
        .execute(params![account.get(), letter, now.to_string()])?)
}

/// Whether letters of a chat are held back until the person writes again.
pub(super) fn is_holding_back(connection: &Connection, chat: ChatId) -> Result<bool, Error> {
    Ok(connection
        .prepare_cached(include_str!("sql/outbox_held_back.sql"))?
        .exists(params![chat.get(), WHEN_THEY_WRITE])?)
}

/// Queues the letters again that were held back until a person writes.
pub(super) fn let_go(connection: &Connection, chat: ChatId, now: Timestamp) -> Result<(), Error> {
    connection
        .prepare_cached(include_str!("sql/outbox_let_go.sql"))?
        .execute(params![chat.get(), WHEN_THEY_WRITE, now.to_string()])?;
    Ok(())
}

/// Whether the question that a letter asked in a chat is the one that its member was asked last.
pub(super) fn still_asked(
    connection: &Connection,
    letter: i64,
    chat: ChatId,
    member: (AccountId, MemberId),
) -> Result<bool, Error> {
    let asked: Option<String> = connection
        .prepare_cached(include_str!("sql/outbox_asked.sql"))?
        .query_row(params![letter, chat.get()], |row| row.get(1))
        .optional()?;
    let last: Option<String> = connection
        .prepare_cached(include_str!("sql/reply_asked_last.sql"))?
        .query_row(params![member.0.get(), member.1.get()], |row| row.get(0))
        .optional()?;
    let asks = |json: Option<String>| {
        let answer: serde_json::Value = serde_json::from_str(&json?).ok()?;
        answer.get("asks").cloned()
    };
    Ok(asks(asked).is_some_and(|asked| asks(last) == Some(asked)))
}
