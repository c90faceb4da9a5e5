//! Who writes from where, and how does an address come to belong to a member?
//!
//! An address (a number, an account of a messenger) belongs to one member at most; a member may have several. It is tied by
//! a one-time code and untied at once when the member is put out. Of a code only its hash is in the book; the code itself
//! is held in memory for as long as it is good, so that the answer which tells it can be shown ([`Codes`]).

use std::{
    collections::HashMap,
    sync::{Arc, Mutex, PoisonError},
};

use rusqlite::{Connection, OptionalExtension, Row, params};
use subtle::ConstantTimeEq;

use super::{Error, facts::read_time, people};
use crate::{
    channels::{CODE_GOOD_S, CODE_TRIES_MAX, Channel, Code},
    units::{AccountId, ChatId, InboundId, MemberId, Timestamp},
};

/// Codes held in memory at once; the oldest go first.
const CODES_HELD_MAX: usize = 256;

/// Where a member writes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chat {
    /// Its number.
    pub id: ChatId,
    /// Whose book.
    pub account: AccountId,
    /// Who.
    pub member: MemberId,
    /// By which messenger.
    pub channel: Channel,
    /// The messenger's id of the person.
    pub address: String,
    /// Where they are answered.
    pub room: String,
    /// When they last wrote.
    pub heard_at: Timestamp,
    /// They want no answers there.
    pub silenced: bool,
}

/// A chat in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChatShown {
    /// The messenger.
    pub channel: String,
    /// The address.
    pub address: String,
    /// The member.
    pub name: String,
    /// When they last wrote.
    pub heard_at: Timestamp,
    /// They want no answers there.
    pub silenced: bool,
}

/// A code that is told in an answer of late.
struct Told {
    /// What stands in its place in the answer that is kept.
    place: &'static str,
    /// The code as it is shown.
    shown: String,
    until: Timestamp,
}

/// The codes that are told in answers of late, by the message that asked for them.
#[derive(Clone, Default)]
pub(super) struct Codes(Arc<Mutex<HashMap<InboundId, Vec<Told>>>>);

impl Codes {
    /// Holds a code until it is no good any more. Several of one message take their places in the order they were made.
    pub(super) fn hold(
        &self,
        message: &InboundId,
        (place, shown): (&'static str, String),
        now: Timestamp,
        until: Timestamp,
    ) {
        let mut held = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        held.retain(|_, told| told.iter().any(|one| one.until > now));
        if held.len() >= CODES_HELD_MAX {
            let end = |told: &[Told]| told.iter().map(|one| one.until).max();
            let oldest = held.iter().min_by_key(|(_, told)| end(told)).map(|(id, _)| id.clone());
            if let Some(oldest) = oldest {
                held.remove(&oldest);
            }
        }
        let told = held.entry(message.clone()).or_default();
        told.push(Told { place, shown, until });
    }

    /// An answer with its codes in place, while they are held.
    pub(super) fn show(&self, message: &InboundId, text: &str) -> String {
        let held = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let told = held.get(message).map(Vec::as_slice).unwrap_or_default();
        told.iter()
            .fold(text.to_string(), |text, one| text.replacen(one.place, &one.shown, 1))
    }
}

pub(super) fn later(now: Timestamp, seconds: i64) -> Timestamp {
    Timestamp::from_unix_seconds(now.unix_seconds() + seconds).unwrap_or(now)
}

/// Keeps a code for a member and gives until when it is good; codes that they had for the same messenger are no good any more.
pub(super) fn add_code(
    connection: &Connection,
    code: &Code,
    (account, member): (AccountId, MemberId),
    channel: Option<Channel>,
    now: Timestamp,
) -> Result<Timestamp, Error> {
    let channel = channel.map(Channel::code);
    let until = later(now, CODE_GOOD_S);
    connection
        .prepare_cached(include_str!("sql/code_sweep.sql"))?
        .execute(params![now.to_string(), member.get(), channel])?;
    connection
        .prepare_cached(include_str!("sql/code_add.sql"))?
        .execute(params![
            code.name(),
            code.hash(),
            account.get(),
            member.get(),
            channel,
            now.to_string(),
            until.to_string(),
        ])?;
    Ok(until)
}

/// Whose code it is, used up with this; a wrong one counts against the code of that name.
pub(super) fn use_code(
    connection: &Connection,
    code: &Code,
    channel: Channel,
    now: Timestamp,
) -> Result<Option<(AccountId, MemberId)>, Error> {
    let found: Option<(String, i64, i64, Option<String>)> = connection
        .prepare_cached(include_str!("sql/code_find.sql"))?
        .query_row(params![code.name(), now.to_string(), CODE_TRIES_MAX], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
        })
        .optional()?;
    let Some((hash, account, member, only)) = found else {
        return Ok(None);
    };
    let fits: bool = hash.as_bytes().ct_eq(code.hash().as_bytes()).into();
    if !fits || only.is_some_and(|only| only != channel.code()) {
        connection
            .prepare_cached(include_str!("sql/code_miss.sql"))?
            .execute([code.name()])?;
        return Ok(None);
    }
    connection
        .prepare_cached(include_str!("sql/code_use.sql"))?
        .execute(params![code.name(), now.to_string()])?;
    Ok(Some((AccountId::new(account), MemberId::new(member))))
}

/// Ties an address to a member, whoever had it before.
pub(super) fn bind(
    connection: &Connection,
    (account, member): (AccountId, MemberId),
    channel: Channel,
    (address, room): (&str, &str),
    now: Timestamp,
) -> Result<Chat, Error> {
    connection
        .prepare_cached(include_str!("sql/chat_end_address.sql"))?
        .execute(params![channel.code(), address, now.to_string()])?;
    connection
        .prepare_cached(include_str!("sql/chat_add.sql"))?
        .execute(params![
            account.get(),
            member.get(),
            channel.code(),
            address,
            room,
            now.to_string(),
        ])?;
    Ok(Chat {
        id: ChatId::new(connection.last_insert_rowid()),
        account,
        member,
        channel,
        address: address.to_string(),
        room: room.to_string(),
        heard_at: now,
        silenced: false,
    })
}

/// Who writes from an address.
pub(super) fn by_address(connection: &Connection, channel: Channel, address: &str) -> Result<Option<Chat>, Error> {
    one(
        connection,
        include_str!("sql/chat_by_address.sql"),
        params![channel.code(), address],
    )
}

/// The chat of that number, while its member has it.
pub(super) fn by_id(connection: &Connection, id: ChatId) -> Result<Option<Chat>, Error> {
    one(connection, include_str!("sql/chat_by_id.sql"), params![id.get()])
}

/// Puts a member out of one messenger or all; gives how many chats ended. Their codes and sessions end with the last.
pub(super) fn put_out(
    connection: &Connection,
    account: AccountId,
    member: MemberId,
    channel: Option<Channel>,
    now: Timestamp,
) -> Result<usize, Error> {
    let ended = connection
        .prepare_cached(include_str!("sql/chat_end_member.sql"))?
        .execute(params![
            account.get(),
            member.get(),
            channel.map(Channel::code),
            now.to_string(),
        ])?;
    connection
        .prepare_cached(include_str!("sql/code_end_member.sql"))?
        .execute([member.get()])?;
    if channel.is_none() {
        people::end_ways_in(connection, member)?;
    }
    Ok(ended)
}

/// Every chat of an account.
pub(super) fn all(connection: &Connection, account: AccountId) -> Result<Vec<ChatShown>, Error> {
    let mut statement = connection.prepare_cached(include_str!("sql/chats.sql"))?;
    let mut rows = statement.query([account.get()])?;
    let mut chats = Vec::new();
    while let Some(row) = rows.next()? {
        chats.push(ChatShown {
            channel: row.get(0)?,
            address: row.get(1)?,
            name: row.get(2)?,
            heard_at: read_time("a time of a chat", row.get(3)?)?,
            silenced: row.get::<_, Option<String>>(4)?.is_some(),
        });
    }
    Ok(chats)
}

fn one(connection: &Connection, sql: &str, params: &[&dyn rusqlite::ToSql]) -> Result<Option<Chat>, Error> {
    let mut statement = connection.prepare_cached(sql)?;
    let mut rows = statement.query(params)?;
    rows.next()?.map(read).transpose()
}

fn read(row: &Row<'_>) -> Result<Chat, Error> {
    let channel: String = row.get(3)?;
    Ok(Chat {
        id: ChatId::new(row.get(0)?),
        account: AccountId::new(row.get(1)?),
        member: MemberId::new(row.get(2)?),
        channel: read_channel(channel)?,
        address: row.get(4)?,
        room: row.get(5)?,
        heard_at: read_time("a time of a chat", row.get(6)?)?,
        silenced: row.get::<_, Option<String>>(7)?.is_some(),
    })
}

pub(super) fn read_channel(stored: String) -> Result<Channel, Error> {
    Channel::parse(&stored).ok_or(Error::Stored {
        what: "a messenger",
        found: stored,
    })
}
