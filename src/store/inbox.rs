//! Which messages of messengers wait to be handled?
//!
//! A message is claimed by the provider's id and kept in one commit; only then may it be acknowledged. It is worked off
//! afterwards, the messages of one chat in order, under a lease that runs out when its worker dies. Who is not known is not
//! kept: strangers can neither fill the book nor learn anything, save that a right code ties them to a member.

use rusqlite::{Connection, OptionalExtension, params};
use serde::{Deserialize, Serialize};

use super::{
    Error,
    chats::{self, Chat, read_channel},
    facts::read_time,
    outbox,
};
use crate::{
    channels::{
        Channel, Code, Incoming, MEDIA_MAX, MESSAGE_BYTES_MAX, MediaRef, SILENCED, Saying, Wish, kind_code, parse_kind,
    },
    replies,
    units::{ChatId, Timestamp},
};

/// Messages of one chat that may wait; more are refused, and come again.
pub const WAITING_OF_CHAT_MAX: u32 = 200;

/// What became of a message that was brought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Claimed {
    /// It is kept and will be handled.
    Kept,
    /// It was seen before.
    Again,
    /// Nobody known speaks.
    Stranger,
    /// A right code tied the speaker to a member.
    Connected,
    /// A word that stops or starts answers.
    Wished,
    /// Too many of this chat are waiting.
    Full,
}

/// A message in hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InHand {
    /// The row.
    pub id: i64,
    /// The chat that it came by.
    pub chat: ChatId,
    /// The message.
    pub incoming: Incoming,
    /// When it came.
    pub received_at: Timestamp,
    /// Tries with this one.
    pub tries: u32,
}

/// What sent-along things look like in the book.
#[derive(Serialize, Deserialize)]
struct StoredMedia {
    kind: String,
    media_type: String,
    name: Option<String>,
    source: String,
}

/// Claims messages in the order given and notes how far the messenger's news was taken, in one commit. Each comes with
/// where that would be after it; what is too much stops the rest, so that nothing is passed over.
pub(super) fn claim(
    connection: &mut Connection,
    channel: Channel,
    brought: &[(Option<String>, Incoming)],
    after_all: Option<&str>,
    now: Timestamp,
) -> Result<Vec<Claimed>, Error> {
    let transaction = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    let mut claimed = Vec::with_capacity(brought.len());
    let mut taken_to = None;
    for (after, incoming) in brought {
        let one = claim_one(&transaction, incoming, now)?;
        claimed.push(one);
        if one == Claimed::Full {
            break;
        }
        taken_to = after.as_deref();
    }
    if claimed.last() != Some(&Claimed::Full) {
        taken_to = after_all.or(taken_to);
    }
    if let Some(value) = taken_to {
        transaction
            .prepare_cached(include_str!("sql/cursor_set.sql"))?
            .execute(params![channel.code(), value])?;
    }
    if claimed
        .iter()
        .any(|one| !matches!(one, Claimed::Stranger | Claimed::Again))
    {
        transaction
            .prepare_cached(include_str!("sql/channel_heard.sql"))?
            .execute(params![channel.code(), now.to_string()])?;
    }
    transaction.commit()?;
    Ok(claimed)
}

fn claim_one(connection: &Connection, incoming: &Incoming, now: Timestamp) -> Result<Claimed, Error> {
    let known: Option<i64> = connection
        .prepare_cached(include_str!("sql/waiting_known.sql"))?
        .query_row(params![incoming.channel.code(), incoming.external_id], |row| row.get(0))
        .optional()?;
    if known.is_some() {
        return Ok(Claimed::Again);
    }
    if let Some(chat) = connect(connection, incoming, now)? {
        keep(connection, &chat, incoming, now, "done")?;
        outbox::queue_words(connection, &chat, &replies::connected(), &key(incoming), now)?;
        return Ok(Claimed::Connected);
    }
    let Some(chat) = chats::by_address(connection, incoming.channel, &incoming.address)? else {
        return Ok(Claimed::Stranger);
    };
    let waiting: u32 = connection
        .prepare_cached(include_str!("sql/waiting_count.sql"))?
        .query_row([chat.id.get()], |row| row.get(0))?;
    if waiting >= WAITING_OF_CHAT_MAX {
        return Ok(Claimed::Full);
    }
    connection
        .prepare_cached(include_str!("sql/chat_heard.sql"))?
        .execute(params![chat.id.get(), now.to_string(), incoming.room])?;
    outbox::let_go(connection, chat.id, now)?;
    if let Some(wish) = Wish::of(incoming, chat.silenced) {
        keep(connection, &chat, incoming, now, "done")?;
        heed(connection, &chat, wish, &key(incoming), now)?;
        return Ok(Claimed::Wished);
    }
    keep(connection, &chat, incoming, now, "waiting")?;
    Ok(Claimed::Kept)
}

/// The chat that a right code makes of whoever sent it.
fn connect(connection: &Connection, incoming: &Incoming, now: Timestamp) -> Result<Option<Chat>, Error> {
    let Saying::Text(text) = &incoming.saying else {
        return Ok(None);
    };
    let Some(code) = Code::read(text) else { return Ok(None) };
    let Some(whose) = chats::use_code(connection, &code, incoming.channel, now)? else {
        return Ok(None);
    };
    let at = (incoming.address.as_str(), incoming.room.as_str());
    chats::bind(connection, whose, incoming.channel, at, now).map(Some)
}

fn heed(connection: &Connection, chat: &Chat, wish: Wish, key: &str, now: Timestamp) -> Result<(), Error> {
    let silenced_at = match wish {
        Wish::Silence => Some(now.to_string()),
        Wish::Answers => None,
    };
    if wish == Wish::Silence {
        connection
            .prepare_cached(include_str!("sql/outbox_silence.sql"))?
            .execute(params![chat.id.get(), SILENCED, now.to_string()])?;
    }
    // A provider says so itself; a gateway of one's own does not.
    if wish == Wish::Silence && chat.channel == Channel::Gateway {
        outbox::queue_words(connection, chat, &replies::silenced(), key, now)?;
    }
    connection
        .prepare_cached(include_str!("sql/chat_silence.sql"))?
        .execute(params![chat.id.get(), silenced_at])?;
    if wish == Wish::Answers {
        outbox::queue_words(connection, chat, &replies::answers_again(), key, now)?;
    }
    Ok(())
}

fn key(incoming: &Incoming) -> String {
    format!("{}_{}", incoming.channel.code(), incoming.external_id)
}

fn keep(connection: &Connection, chat: &Chat, incoming: &Incoming, now: Timestamp, state: &str) -> Result<(), Error> {
    let (saying, text, callback) = match &incoming.saying {
        Saying::Text(text) => ("text", text, None),
        Saying::Edited(text) => ("edit", text, None),
        Saying::Pressed { data, callback } => ("press", data, callback.as_ref()),
    };
    // A text over the limit is kept so far that its length still shows; the answer says that it was too long.
    let mut end = text.len().min(MESSAGE_BYTES_MAX + 1);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let waits = state == "waiting";
    connection
        .prepare_cached(include_str!("sql/waiting_add.sql"))?
        .execute(params![
            chat.id.get(),
            incoming.channel.code(),
            incoming.external_id,
            saying,
            if waits { &text[..end] } else { "" },
            callback,
            if waits {
                media_json(&incoming.media)
            } else {
                "[]".to_string()
            },
            now.to_string(),
            state,
            incoming.sent_at.map(|at| at.to_string()),
        ])?;
    Ok(())
}

fn media_json(media: &[MediaRef]) -> String {
    let stored: Vec<StoredMedia> = media
        .iter()
        .take(MEDIA_MAX)
        .map(|one| StoredMedia {
            kind: kind_code(one.kind).to_string(),
            media_type: one.media_type.clone(),
            name: one.name.clone(),
            source: one.source.clone(),
        })
        .collect();
    serde_json::to_string(&stored).expect("a list of texts is JSON")
}

fn read_media(stored: String) -> Result<Vec<MediaRef>, Error> {
    let list: Result<Vec<StoredMedia>, _> = serde_json::from_str(&stored);
    let media = list.ok().and_then(|list| {
        list.into_iter()
            .map(|one| {
                Some(MediaRef {
                    kind: parse_kind(&one.kind)?,
                    media_type: one.media_type,
                    name: one.name,
                    source: one.source,
                })
            })
            .collect::<Option<Vec<_>>>()
    });
    media.ok_or(Error::Stored {
        what: "what was sent along with a message",
        found: stored,
    })
}

/// Takes the first waiting message of each chat that is due in hand, until a time.
pub(super) fn lease(
    connection: &mut Connection,
    now: Timestamp,
    until: Timestamp,
    limit: u32,
) -> Result<Vec<InHand>, Error> {
    let transaction = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    let mut in_hand = Vec::new();
    {
        let mut statement = transaction.prepare_cached(include_str!("sql/waiting_lease.sql"))?;
        let mut rows = statement.query(params![now.to_string(), until.to_string(), limit])?;
        while let Some(row) = rows.next()? {
            let chat = ChatId::new(row.get(1)?);
            let channel = read_channel(row.get(2)?)?;
            let saying: String = row.get(4)?;
            let text: String = row.get(5)?;
            let saying = match saying.as_str() {
                "press" => Saying::Pressed {
                    data: text,
                    callback: row.get(6)?,
                },
                "edit" => Saying::Edited(text),
                _ => Saying::Text(text),
            };
            in_hand.push(InHand {
                id: row.get(0)?,
                chat,
                incoming: Incoming {
                    channel,
                    external_id: row.get(3)?,
                    address: String::new(),
                    room: String::new(),
                    saying,
                    media: read_media(row.get(7)?)?,
                    sent_at: row
                        .get::<_, Option<String>>(10)?
                        .map(|at| read_time("a time of a waiting message", at))
                        .transpose()?,
                },
                received_at: read_time("a time of a waiting message", row.get(8)?)?,
                tries: row.get(9)?,
            });
        }
    }
    transaction.commit()?;
    in_hand.sort_by_key(|message| message.id);
    Ok(in_hand)
}

/// How work on a message ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Worked {
    /// It is in the book.
    Done,
    /// It is not taken in, and these words say why.
    Refused {
        /// What is said in the chat.
        words: String,
    },
    /// It is not taken in, and nobody is told.
    Dropped {
        /// Why.
        failure: String,
    },
    /// Not now.
    Later {
        /// When.
        due: Timestamp,
        /// What went wrong.
        failure: String,
    },
}

/// Notes how work on a message ended.
pub(super) fn note(
    connection: &mut Connection,
    message: &InHand,
    worked: &Worked,
    now: Timestamp,
) -> Result<(), Error> {
    let transaction = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    match worked {
        Worked::Done => end(&transaction, message.id, "done", None)?,
        Worked::Refused { words } => {
            end(&transaction, message.id, "done", None)?;
            if let Some(chat) = chats::by_id(&transaction, message.chat)? {
                outbox::queue_words(&transaction, &chat, words, &key(&message.incoming), now)?;
            }
        }
        Worked::Dropped { failure } => end(&transaction, message.id, "dropped", Some(failure))?,
        Worked::Later { due, failure } => {
            transaction
                .prepare_cached(include_str!("sql/waiting_later.sql"))?
                .execute(params![message.id, due.to_string(), failure])?;
        }
    }
    transaction.commit()?;
    Ok(())
}

fn end(connection: &Connection, id: i64, state: &str, failure: Option<&String>) -> Result<(), Error> {
    connection
        .prepare_cached(include_str!("sql/waiting_end.sql"))?
        .execute(params![id, state, failure])?;
    Ok(())
}

/// Keeps a message in hand for longer.
pub(super) fn renew(connection: &Connection, id: i64, until: Timestamp) -> Result<(), Error> {
    connection
        .prepare_cached(include_str!("sql/waiting_renew.sql"))?
        .execute(params![id, until.to_string()])?;
    Ok(())
}

/// How far a messenger's news was taken.
pub(super) fn cursor(connection: &Connection, channel: Channel) -> Result<Option<String>, Error> {
    Ok(connection
        .prepare_cached(include_str!("sql/cursor_get.sql"))?
        .query_row([channel.code()], |row| row.get(0))
        .optional()?)
}
