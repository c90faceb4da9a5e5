//! The verbs of the book that messengers need: messages that wait, letters that go out, and how each messenger fares.

use std::sync::Arc;

use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};
use tokio::sync::Notify;

use super::{
    Error, StoreHandle,
    chats::{self, Chat, ChatShown},
    facts::read_time,
    inbox::{self, Claimed, InHand, Worked},
    outbox::{self, Letter, Undelivered},
};
use crate::{
    channels::{Channel, Incoming},
    units::{AccountId, ChatId, MemberId, Timestamp},
};

/// Rung when there is something to work off, so that nobody has to look all the time.
#[derive(Clone, Default)]
pub(super) struct Bells {
    pub(super) inbox: Arc<Notify>,
    pub(super) outbox: Arc<Notify>,
}

/// How a messenger fares.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ChannelState {
    /// When something last came by it.
    pub heard_at: Option<Timestamp>,
    /// When something last went out by it.
    pub sent_at: Option<Timestamp>,
    /// When and how it last failed.
    pub failure: Option<(Timestamp, String)>,
    /// Messages that wait to be handled.
    pub waiting: u32,
    /// Letters that wait to go out.
    pub queued: u32,
    /// Letters that were given up.
    pub given_up: u32,
    /// People who write by it.
    pub people: u32,
}

/// How the carrying of answers to another program fares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct CallbackState {
    /// Answers that wait to go out.
    pub queued: u32,
    /// Answers that were given up.
    pub given_up: u32,
}

impl StoreHandle {
    /// Claims messages of a messenger in the order given, each with how far its news is taken with it; kept when this
    /// returns. Ends early at one for which there is no room.
    pub async fn claim(
        &self,
        channel: Channel,
        brought: Vec<(Option<String>, Incoming)>,
        after_all: Option<String>,
        now: Timestamp,
    ) -> Result<Vec<Claimed>, Error> {
        let claimed = self
            .write(move |connection| inbox::claim(connection, channel, &brought, after_all.as_deref(), now))
            .await?;
        if claimed.contains(&Claimed::Kept) {
            self.bells.inbox.notify_one();
        }
        if claimed
            .iter()
            .any(|one| matches!(one, Claimed::Connected | Claimed::Wished))
        {
            self.bells.outbox.notify_one();
        }
        Ok(claimed)
    }

    /// How far a messenger's news was taken.
    pub async fn cursor(&self, channel: Channel) -> Result<Option<String>, Error> {
        self.ask(move |connection| inbox::cursor(connection, channel)).await
    }

    /// Takes the first waiting message of each chat in hand, until a time; in order of arrival.
    pub async fn take_in_hand(&self, now: Timestamp, until: Timestamp, limit: u32) -> Result<Vec<InHand>, Error> {
        self.write(move |connection| inbox::lease(connection, now, until, limit))
            .await
    }

    /// Keeps a message in hand for longer.
    pub async fn keep_in_hand(&self, id: i64, until: Timestamp) -> Result<(), Error> {
        self.write(move |connection| inbox::renew(connection, id, until)).await
    }

    /// Notes how work on a message ended.
    pub async fn note_worked(&self, message: InHand, worked: Worked, now: Timestamp) -> Result<(), Error> {
        self.write(move |connection| inbox::note(connection, &message, &worked, now))
            .await?;
        self.bells.inbox.notify_one();
        self.bells.outbox.notify_one();
        Ok(())
    }

    /// A chat, while its member has it.
    pub async fn chat(&self, id: ChatId) -> Result<Option<Chat>, Error> {
        self.ask(move |connection| chats::by_id(connection, id)).await
    }

    /// The chat of an address, while a member has it.
    pub async fn chat_at(&self, channel: Channel, address: String) -> Result<Option<Chat>, Error> {
        self.ask(move |connection| chats::by_address(connection, channel, &address))
            .await
    }

    /// Every chat of an account.
    pub async fn chats(&self, account: AccountId) -> Result<Vec<ChatShown>, Error> {
        self.ask(move |connection| chats::all(connection, account)).await
    }

    /// Notes that a chat is answered elsewhere from now on.
    pub async fn chat_moved(&self, id: ChatId, room: String) -> Result<(), Error> {
        self.write(move |connection| {
            connection
                .prepare_cached(include_str!("sql/chat_moved.sql"))?
                .execute(params![id.get(), room])?;
            Ok(())
        })
        .await
    }

    /// Whether the question that a letter asked in a chat is the one that its member was asked last.
    pub async fn still_asked(&self, letter: i64, chat: &Chat) -> Result<bool, Error> {
        let (id, member) = (chat.id, (chat.account, chat.member));
        self.ask(move |connection| outbox::still_asked(connection, letter, id, member))
            .await
    }

    /// Whether letters of a chat are held back until the person writes again.
    pub async fn is_holding_back(&self, chat: ChatId) -> Result<bool, Error> {
        self.ask(move |connection| outbox::is_holding_back(connection, chat))
            .await
    }

    /// Takes the first letter of each chat that is due in hand, until a time; not of messengers that have to wait.
    pub async fn letters(
        &self,
        now: Timestamp,
        until: Timestamp,
        limit: u32,
        pausing: Vec<Channel>,
    ) -> Result<Vec<Letter>, Error> {
        let codes = self.codes.clone();
        self.write(move |connection| outbox::lease(connection, &codes, (now, until), limit, &pausing))
            .await
    }

    /// Takes every letter of one chat that is due in hand, until a time; in order.
    pub async fn letters_of(&self, chat: ChatId, now: Timestamp, until: Timestamp) -> Result<Vec<Letter>, Error> {
        let codes = self.codes.clone();
        self.write(move |connection| outbox::lease_chat(connection, &codes, chat, (now, until)))
            .await
    }

    /// The letters of a chat that were given in the response to a call; in order.
    pub async fn letters_given(&self, chat: ChatId, call: String) -> Result<Vec<Letter>, Error> {
        let codes = self.codes.clone();
        self.ask(move |connection| outbox::given(connection, &codes, chat, &call))
            .await
    }

    /// Whether a message still waits to be handled.
    pub async fn is_waiting(&self, channel: Channel, external_id: String) -> Result<bool, Error> {
        self.ask(move |connection| {
            let found: Option<i64> = connection
                .prepare_cached(include_str!("sql/waiting_open.sql"))?
                .query_row(params![channel.code(), external_id], |row| row.get(0))
                .optional()?;
            Ok(found.is_some())
        })
        .await
    }

    /// Notes that a letter which a provider took did not arrive in the end, and whether they want no more.
    pub async fn note_report(
        &self,
        channel: Channel,
        outside_id: String,
        failure: String,
        opted_out: bool,
        now: Timestamp,
    ) -> Result<(), Error> {
        self.write(move |connection| outbox::reported(connection, channel, &outside_id, &failure, opted_out, now))
            .await
    }

    /// Notes that one piece of a letter went out; the letter stays in hand until a time.
    pub async fn note_piece(&self, id: i64, outside_id: Option<String>, until: Timestamp) -> Result<(), Error> {
        self.write(move |connection| outbox::note_piece(connection, id, outside_id.as_deref(), until))
            .await
    }

    /// Keeps a letter in hand for longer.
    pub async fn keep_letter(&self, id: i64, until: Timestamp) -> Result<(), Error> {
        self.write(move |connection| {
            connection
                .prepare_cached(include_str!("sql/outbox_renew.sql"))?
                .execute(params![id, until.to_string()])?;
            Ok(())
        })
        .await
    }

    /// Lets a letter go without a try.
    pub async fn release_letter(&self, id: i64) -> Result<(), Error> {
        self.write(move |connection| outbox::release(connection, id)).await
    }

    /// Letters of an account that were given up, newest first.
    pub async fn undelivered(&self, account: AccountId) -> Result<Vec<Undelivered>, Error> {
        self.ask(move |connection| outbox::undelivered(connection, account))
            .await
    }

    /// Accounts in which the clock of a job runs.
    pub async fn accounts_on_job(&self) -> Result<Vec<AccountId>, Error> {
        self.ask(|connection| {
            let mut found = connection.prepare_cached(include_str!("sql/accounts_on_job.sql"))?;
            let found = found.query_map([], |row| Ok(AccountId::new(row.get(0)?)))?;
            Ok(found.collect::<Result<_, _>>()?)
        })
        .await
    }

    /// Tells a member something that answers no message, in every chat of theirs; once under a key.
    pub async fn tell(
        &self,
        (account, member): (AccountId, MemberId),
        words: String,
        key: String,
        now: Timestamp,
    ) -> Result<(), Error> {
        self.write(move |connection| {
            let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
            let ids: Vec<i64> = transaction
                .prepare_cached(include_str!("sql/chats_of_member.sql"))?
                .query_map(params![account.get(), member.get()], |row| row.get(0))?
                .collect::<Result<_, _>>()?;
            for id in ids {
                if let Some(chat) = chats::by_id(&transaction, ChatId::new(id))? {
                    outbox::queue_words(&transaction, &chat, &words, &format!("{key}_{id}"), now)?;
                }
            }
            Ok(transaction.commit()?)
        })
        .await?;
        self.bells.outbox.notify_one();
        Ok(())
    }

    /// Notes that something went out by a messenger.
    pub async fn channel_sent(&self, channel: Channel, now: Timestamp) -> Result<(), Error> {
        self.write(move |connection| {
            connection
                .prepare_cached(include_str!("sql/channel_sent.sql"))?
                .execute(params![channel.code(), now.to_string()])?;
            Ok(())
        })
        .await
    }

    /// Notes what went wrong with a messenger.
    pub async fn channel_failed(&self, channel: Channel, failure: String, now: Timestamp) -> Result<(), Error> {
        self.write(move |connection| {
            connection
                .prepare_cached(include_str!("sql/channel_failed.sql"))?
                .execute(params![channel.code(), now.to_string(), failure])?;
            Ok(())
        })
        .await
    }

    /// How a messenger fares.
    pub async fn channel_state(&self, channel: Channel) -> Result<ChannelState, Error> {
        self.ask(move |connection| channel_state(connection, channel)).await
    }

    /// How the carrying of answers to another program fares.
    pub async fn callback_state(&self) -> Result<CallbackState, Error> {
        self.ask(|connection| {
            let mut count = connection.prepare_cached(include_str!("sql/callback_count.sql"))?;
            Ok(count.query_row([], |row| {
                Ok(CallbackState {
                    queued: row.get(0)?,
                    given_up: row.get(1)?,
                })
            })?)
        })
        .await
    }

    /// Waits until there may be a message to work off.
    pub async fn inbox_rings(&self) {
        self.bells.inbox.notified().await;
    }

    /// Waits until there may be a letter to send.
    pub async fn outbox_rings(&self) {
        self.bells.outbox.notified().await;
    }
}

fn channel_state(connection: &Connection, channel: Channel) -> Result<ChannelState, Error> {
    type Row = (Option<String>, Option<String>, Option<String>, Option<String>);
    let row: Option<Row> = connection
        .prepare_cached(include_str!("sql/channel_state.sql"))?
        .query_row([channel.code()], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
        })
        .optional()?;
    let (heard, sent, failed, failure) = row.unwrap_or_default();
    let time = |stored: Option<String>| {
        stored
            .map(|stored| read_time("a time of a messenger", stored))
            .transpose()
    };
    let (waiting, queued, given_up, people) = connection
        .prepare_cached(include_str!("sql/channel_count.sql"))?
        .query_row([channel.code()], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
        })?;
    Ok(ChannelState {
        heard_at: time(heard)?,
        sent_at: time(sent)?,
        failure: time(failed)?.zip(failure),
        waiting,
        queued,
        given_up,
        people,
    })
}
