//! Where is the book kept, and what is promised of a message that was acknowledged?
//!
//! SQLite in one file. One thread owns the writing connection, another a read-only one; everybody else holds a
//! [`StoreHandle`] and awaits named verbs. A message is acknowledged after the commit that holds it, its events, its
//! answer and what they add up to: all of it or nothing.
//!
//! Several processes may use one book (a message from the terminal while the page is served). The state held in memory is
//! compared with the book's last sequence number inside each writing transaction, and what another process appended is
//! folded in before the next message is handled; the unique sequence would refuse it otherwise.
//!
//! Invariants: only this part names SQLite. Messages, events, replies and failures are never changed or removed. Every
//! queue has a limit with a name; a full one is refused, not waited for.

mod backup;
mod chats;
mod check;
mod connection;
mod counts;
mod doctor;
mod error;
mod facts;
#[cfg(test)]
mod faults;
mod files;
mod house;
mod inbox;
mod mail;
mod migrate;
mod outbox;
mod people;
mod reader;
mod seal;
mod step;
mod warm;
mod whole;
mod writer;

use std::{
    path::{Path, PathBuf},
    sync::{
        Arc,
        atomic::{AtomicBool, Ordering},
    },
    thread::{Builder, JoinHandle},
};

use chrono_tz::Tz;
use rusqlite::Connection;
use tokio::sync::{broadcast, mpsc, oneshot};

use crate::{
    channels::Channel,
    conversation::{CLIENT_CHANNEL, Context, Inbound, Media, Outcome},
    exports,
    journal::State,
    units::{AccountId, Days, FileId, InboundId, MemberId, QuoteNo, Timestamp},
};

pub use backup::{BackedUp, Packing, Restored, backup, restore};
pub use chats::{Chat, ChatShown};
pub use check::{Fault, check};
pub use counts::Counts;
pub use doctor::{Signs, signs};
pub use error::Error;
pub use files::{Enclosed, FILE_BYTES_MAX, File};
pub use inbox::{Claimed, InHand, WAITING_OF_CHAT_MAX, Worked};
pub use mail::{CallbackState, ChannelState};
pub use outbox::{Carried, Letter, Undelivered, Waiting};
pub use people::{EndSession, Member, OWNER_NAME, SecretHash, SessionShown};
pub use reader::{Talk, TalkFile, first_channel};
pub use seal::{Key, Recipients, Seal};
pub use step::{Answered, Delivery};

use chats::Codes;
use mail::Bells;
use reader::Question;
use writer::Job;

/// Messages and other work that may wait for the writer; more are refused.
const QUEUE_MAX: usize = 1024;

/// Questions that may wait for the reader; more are refused.
const QUESTIONS_MAX: usize = 256;

/// News that a listener may fall behind before it is only told that there was some.
const NEWS_MAX: usize = 64;

/// How the book is kept.
#[derive(Clone)]
pub struct Options {
    /// What handles a message; the conversation, except in tests of its failing.
    pub handle: fn(&State, &Inbound, &Context) -> Outcome,
    /// The time zone of accounts that have not set their own.
    pub zone: Tz,
    /// The address under which clients reach the pages, if there is one.
    pub public_url: Option<String>,
    /// Whether answers are also queued for another program.
    pub carry_answers: bool,
    /// What the owner of a new book is called.
    pub owner: String,
    /// The messengers that are switched on.
    pub channels: Vec<Channel>,
    /// Makes 256 random bits, for links and codes.
    pub secret: fn() -> [u8; 32],
}

/// The open book: its handle and its threads.
pub struct Store {
    handle: StoreHandle,
    owner: Member,
    path: PathBuf,
    threads: Vec<JoinHandle<()>>,
    closing: Arc<AtomicBool>,
    stopped: oneshot::Receiver<()>,
}

/// The way to the book; cheap to clone.
#[derive(Clone)]
pub struct StoreHandle {
    jobs: mpsc::Sender<Job>,
    questions: mpsc::Sender<Question>,
    codes: Codes,
    bells: Bells,
    counts: Counts,
    news: broadcast::Sender<AccountId>,
}

impl Store {
    /// Opens the book and makes it when there is none: migrations, owner, and projections of an older form.
    pub fn open(path: &Path, options: Options, now: Timestamp) -> Result<Store, Error> {
        let mut writing = connection::open_to_write(path)?;
        migrate::bring_up_to_date(&mut writing, now)?;
        let owner = set_up(&mut writing, &options.owner, now)?;
        let reading = connection::open_to_read(path)?;
        let (jobs, waiting_jobs) = mpsc::channel(QUEUE_MAX);
        let (questions, waiting_questions) = mpsc::channel(QUESTIONS_MAX);
        let counts = Counts::default();
        let counting = counts.clone();
        let (news, _) = broadcast::channel(NEWS_MAX);
        let tell = news.clone();
        let (alive, stopped) = oneshot::channel();
        let codes = Codes::default();
        let shown = codes.clone();
        let threads = vec![
            spawn("book-writer", path, move || {
                // Dropped when the thread ends, however it ends.
                let _alive: oneshot::Sender<()> = alive;
                writer::run(writing, waiting_jobs, &options, shown, (&counting, &tell));
            })?,
            spawn("book-reader", path, move || reader::run(&reading, waiting_questions))?,
        ];
        Ok(Store {
            handle: StoreHandle {
                jobs,
                questions,
                codes,
                bells: Bells::default(),
                counts,
                news,
            },
            owner,
            path: path.to_path_buf(),
            threads,
            closing: Arc::default(),
            stopped,
        })
    }

    /// Folds the accounts with the longest books ahead, on a thread of its own, so that nobody waits for it later. For a
    /// house that stays open.
    pub fn warm_up(&mut self) -> Result<(), Error> {
        let reading = connection::open_to_read(&self.path)?;
        let (jobs, closing) = (self.handle.jobs.clone(), Arc::clone(&self.closing));
        self.threads.push(spawn("book-warmer", &self.path, move || {
            warm::run(&reading, &jobs, &closing);
        })?);
        Ok(())
    }

    /// The way in.
    pub fn handle(&self) -> StoreHandle {
        self.handle.clone()
    }

    /// The owner of the book's first account.
    pub fn owner(&self) -> &Member {
        &self.owner
    }

    /// Waits until the writer has ended, which it does by itself only when it has failed.
    pub async fn failed(&mut self) {
        let _ = (&mut self.stopped).await;
    }

    /// Finishes what is queued and closes the file. Handles that are still about find it closed. Not to be called from
    /// a task: it waits.
    pub fn close(self) {
        self.closing.store(true, Ordering::Relaxed);
        // Both fail only when the thread is gone already.
        let _ = self.handle.jobs.blocking_send(Job::Stop);
        let _ = self.handle.questions.blocking_send(Question::Stop);
        for thread in self.threads {
            if thread.join().is_err() {
                tracing::error!("a thread of the book ended with a panic");
            }
        }
    }
}

fn spawn(name: &str, path: &Path, work: impl FnOnce() + Send + 'static) -> Result<JoinHandle<()>, Error> {
    Builder::new()
        .name(name.to_string())
        .spawn(work)
        .map_err(|source| Error::Thread {
            path: PathBuf::from(path),
            source,
        })
}

/// Makes the first account and rebuilds projections that were written in another form.
fn set_up(connection: &mut Connection, owner: &str, now: Timestamp) -> Result<Member, Error> {
    let transaction = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    let owner = people::ensure_owner(&transaction, owner, now)?;
    for account in facts::stale(&transaction)? {
        let folded = facts::fold(&transaction, account)?;
        facts::rebuild(&transaction, account, &folded)?;
    }
    transaction.commit()?;
    Ok(owner)
}

impl StoreHandle {
    /// Takes a message: answered after the commit that holds it; a second delivery gets the first answer again.
    pub async fn take(&self, delivery: Delivery) -> Result<Answered, Error> {
        let to_chat = delivery.answer_to.is_some() || delivery.channel == CLIENT_CHANNEL;
        let answered = self.enqueue(delivery)?.await.map_err(|_| Error::Stopped)?;
        if to_chat {
            self.bells.outbox.notify_one();
        }
        answered
    }

    /// Queues a message behind those that are waiting, and gives where its answer will be.
    pub fn enqueue(&self, delivery: Delivery) -> Result<oneshot::Receiver<Result<Answered, Error>>, Error> {
        let (answer, waiting) = oneshot::channel();
        self.jobs
            .try_send(Job::Take(Box::new(delivery), answer))
            .map_err(|refused| self.refuse(&refused))?;
        Ok(waiting)
    }

    /// What the book has been doing since the start.
    pub fn counts(&self) -> &Counts {
        &self.counts
    }

    /// How many messages and other work wait for the writer now.
    pub fn waiting(&self) -> usize {
        QUEUE_MAX - self.jobs.capacity()
    }

    /// Whether both threads answer: the one that writes and the one that reads.
    pub async fn ready(&self) -> Result<(), Error> {
        self.write(|connection| {
            // Taking the lock shows that it can be had and that the file may be written; nothing is.
            connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
            Ok(())
        })
        .await?;
        self.ask(|connection| facts::accounts(connection).map(drop)).await
    }

    /// The answer that a delivery got the first time.
    pub async fn first_answer(
        &self,
        account: AccountId,
        channel: &'static str,
        external_id: String,
    ) -> Result<Option<Answered>, Error> {
        let codes = self.codes.clone();
        self.ask(move |connection| step::first_answer(connection, &codes, account, channel, &external_id))
            .await
    }

    /// The owner of an account.
    pub async fn owner(&self, account: AccountId) -> Result<Member, Error> {
        self.ask(move |connection| {
            let owner = people::owner(connection, account)?;
            owner.ok_or_else(|| Error::UnknownMember {
                name: OWNER_NAME.to_string(),
                known: String::new(),
            })
        })
        .await
    }

    /// The member of that name.
    pub async fn member(&self, account: AccountId, name: String) -> Result<Member, Error> {
        self.ask(move |connection| people::require(connection, account, &name))
            .await
    }

    /// A new account, for a business of its own, with its owner.
    pub async fn add_account(&self, owner: String, now: Timestamp) -> Result<Member, Error> {
        self.write(move |connection| {
            let transaction = connection.transaction()?;
            let owner = people::add_account(&transaction, &owner, now)?;
            transaction.commit()?;
            Ok(owner)
        })
        .await
    }

    /// The member of that name, added to the crew when new.
    pub async fn ensure_crew(&self, account: AccountId, name: String, now: Timestamp) -> Result<Member, Error> {
        self.write(move |connection| people::ensure_crew(connection, account, &name, now))
            .await
    }

    /// Keeps the hash of a one-time sign-in link, good until a time.
    pub async fn add_link(
        &self,
        link: SecretHash,
        member: MemberId,
        now: Timestamp,
        until: Timestamp,
    ) -> Result<(), Error> {
        self.write(move |connection| people::add_link(connection, &link, member, now, until))
            .await
    }

    /// Turns an unused link into a session, good until a time; false when the link is unknown, used or too old.
    pub async fn use_link(
        &self,
        link: SecretHash,
        session: SecretHash,
        device: String,
        now: Timestamp,
        until: Timestamp,
    ) -> Result<bool, Error> {
        self.write(move |connection| {
            let transaction = connection.transaction()?;
            let used = people::use_link(&transaction, &link, &session, &device, now, until)?;
            transaction.commit()?;
            Ok(used)
        })
        .await
    }

    /// Whose session it is, while it is good.
    pub async fn of_session(&self, session: SecretHash, now: Timestamp) -> Result<Option<Member>, Error> {
        self.ask(move |connection| people::of_session(connection, &session, now))
            .await
    }

    /// The sessions of an account that are good; `own` is the asker's.
    pub async fn sessions(
        &self,
        account: AccountId,
        own: SecretHash,
        now: Timestamp,
    ) -> Result<Vec<SessionShown>, Error> {
        self.ask(move |connection| people::sessions(connection, account, &own, now))
            .await
    }

    /// Ends sessions of an account; only those of one member when one is given.
    pub async fn end_sessions(
        &self,
        account: AccountId,
        whose: Option<MemberId>,
        which: EndSession,
    ) -> Result<(), Error> {
        self.write(move |connection| people::end_sessions(connection, account, whose, &which))
            .await
    }

    /// The account that gave out a client link, by the hash of its secret.
    pub async fn of_client_link(&self, hash: String) -> Result<Option<AccountId>, Error> {
        self.ask(move |connection| people::of_client_link(connection, &hash))
            .await
    }

    /// The whole account as one JSON object: what was said and answered, the facts, people and files.
    pub async fn whole(&self, account: AccountId) -> Result<serde_json::Value, Error> {
        self.ask(move |connection| whole::write(connection, account)).await
    }

    /// Reads a whole account into a book in which nothing was said yet.
    pub async fn read_whole(&self, account: AccountId, account_file: serde_json::Value) -> Result<(), Error> {
        self.write(move |connection| whole::read(connection, account, &account_file))
            .await
    }

    /// The account that gave out an address of the calendar, by the hash of its secret.
    pub async fn of_calendar(&self, hash: String) -> Result<Option<AccountId>, Error> {
        self.ask(move |connection| people::of_calendar(connection, &hash)).await
    }

    /// Everybody who may speak for an account.
    pub async fn members(&self, account: AccountId) -> Result<Vec<Member>, Error> {
        self.ask(move |connection| people::all(connection, account)).await
    }

    /// Ends a session.
    pub async fn end_session(&self, session: SecretHash) -> Result<(), Error> {
        self.write(move |connection| people::end_session(connection, &session))
            .await
    }

    /// What a member said and was answered, newest last: at most `limit`, all before a position when one is given.
    pub async fn talk(&self, member: &Member, before: Option<i64>, limit: u32) -> Result<Vec<Talk>, Error> {
        let (account, id) = (member.account, member.id);
        let mut talk = self
            .ask(move |connection| reader::talk(connection, account, id, before, limit))
            .await?;
        for one in &mut talk {
            one.answer = self.codes.show(&one.id, &one.answer);
            one.json = self.codes.show(&one.id, &one.json);
        }
        Ok(talk)
    }

    /// The messages that a quote came of and went through, newest last: at most `limit` of the newest.
    pub async fn talk_of_quote(&self, account: AccountId, no: QuoteNo, limit: u32) -> Result<Vec<Talk>, Error> {
        self.ask(move |connection| reader::talk_of_quote(connection, account, no, limit))
            .await
    }

    /// The place in the book of an account's newest message.
    pub async fn newest(&self, account: AccountId) -> Result<Option<i64>, Error> {
        self.ask(move |connection| reader::newest(connection, account)).await
    }

    /// Accounts into whose book something new was written by this process, from now on.
    pub fn news(&self) -> broadcast::Receiver<AccountId> {
        self.news.subscribe()
    }

    /// What all events of an account add up to.
    pub async fn state(&self, account: AccountId) -> Result<State, Error> {
        let (answer, waiting) = oneshot::channel();
        self.jobs
            .try_send(Job::Look(account, answer))
            .map_err(|refused| self.refuse(&refused))?;
        waiting.await.map_err(|_| Error::Stopped)?
    }

    /// The time zone that an account has set, or else the one given.
    pub async fn zone(&self, account: AccountId, otherwise: Tz) -> Result<Tz, Error> {
        let state = self.state(account).await?;
        Ok(state.book().settings().zone().unwrap_or(otherwise))
    }

    /// The account as it stands, as one JSON object; its times in its own time zone, or else the one given.
    pub async fn export(&self, account: AccountId, otherwise: Tz) -> Result<serde_json::Value, Error> {
        Ok(exports::account_json(&self.state(account).await?, otherwise))
    }

    /// Keeps a file that is needed before its message can be handled, such as a recording; the delivery names it again.
    pub async fn keep_file(
        &self,
        account: AccountId,
        media: Media,
        bytes: Vec<u8>,
        at: Timestamp,
    ) -> Result<(), Error> {
        self.write(move |connection| {
            let fresh = files::Fresh {
                id: &media.id,
                position: None,
                incoming: true,
                media_type: &media.media_type,
                name: &media.name,
                bytes: &bytes,
            };
            files::add(connection, account, &fresh, at)
        })
        .await
    }

    /// A file of an account; nothing when the account has no such file.
    pub async fn file(&self, account: AccountId, id: FileId) -> Result<Option<File>, Error> {
        self.ask(move |connection| files::get(connection, account, &id)).await
    }

    /// The latest recording that a member sent and that is still kept, with the message that it came with.
    pub async fn last_spoken(&self, account: AccountId, member: MemberId) -> Result<Option<(File, InboundId)>, Error> {
        self.ask(move |connection| files::last_spoken(connection, account, member))
            .await
    }

    /// Keeps the hash of a link that leads to a file without a session, good until a time; false when the account has
    /// no such file.
    pub async fn add_file_link(
        &self,
        link: SecretHash,
        account: AccountId,
        id: FileId,
        now: Timestamp,
        until: Timestamp,
    ) -> Result<bool, Error> {
        self.write(move |connection| files::add_link(connection, &link, (account, &id), now, until))
            .await
    }

    /// The file that such a link leads to, while it is good.
    pub async fn file_of_link(&self, link: SecretHash, now: Timestamp) -> Result<Option<File>, Error> {
        self.ask(move |connection| files::by_link(connection, &link, now)).await
    }

    /// Lets go of recordings that are older than their account keeps them: as long as its owner said, else as long as the
    /// house does. Gives how many went.
    pub async fn forget_recordings(&self, house: Days, now: Timestamp) -> Result<usize, Error> {
        self.write(move |connection| files::forget_recordings(connection, house, now))
            .await
    }

    /// Answers that are due to be carried to another program.
    pub async fn due(&self, now: Timestamp, limit: u32) -> Result<Vec<Waiting>, Error> {
        self.ask(move |connection| outbox::due(connection, now, limit)).await
    }

    /// When the next answer is due to be carried.
    pub async fn next_due(&self) -> Result<Option<Timestamp>, Error> {
        self.ask(outbox::next_due).await
    }

    /// Notes how a try to carry an answer went.
    pub async fn note_carried(&self, id: i64, carried: Carried, now: Timestamp) -> Result<(), Error> {
        self.write(move |connection| outbox::note(connection, id, &carried, now))
            .await
    }

    async fn write<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Connection) -> Result<T, Error> + Send + 'static,
    ) -> Result<T, Error> {
        let (answer, waiting) = oneshot::channel();
        let job = Job::Run(Box::new(move |connection| {
            let _ = answer.send(work(connection));
        }));
        self.jobs.try_send(job).map_err(|refused| self.refuse(&refused))?;
        waiting.await.map_err(|_| Error::Stopped)?
    }

    async fn ask<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Connection) -> Result<T, Error> + Send + 'static,
    ) -> Result<T, Error> {
        let (answer, waiting) = oneshot::channel();
        let question = Question::Ask(Box::new(move |connection| {
            let _ = answer.send(work(connection));
        }));
        self.questions
            .try_send(question)
            .map_err(|refused| self.refuse(&refused))?;
        waiting.await.map_err(|_| Error::Stopped)?
    }

    fn refuse<T>(&self, refused: &mpsc::error::TrySendError<T>) -> Error {
        match refused {
            mpsc::error::TrySendError::Full(_) => {
                self.counts.refused().inc();
                Error::QueueFull
            }
            mpsc::error::TrySendError::Closed(_) => Error::Stopped,
        }
    }
}
