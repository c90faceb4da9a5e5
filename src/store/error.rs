//! What can go wrong with the book, as facts.

use std::{path::PathBuf, sync::Arc};

use super::check::Fault;
use crate::journal;

/// A failure of the book: disk, stored data, or the threads that hold it.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The file could not be opened or made.
    #[error("the book {} cannot be opened", path.display())]
    Open {
        /// The book file.
        path: PathBuf,
        /// SQLite's own words.
        source: rusqlite::Error,
    },
    /// There is no file, and this verb does not make one.
    #[error("there is no book at {}; the first message makes one", path.display())]
    NoBook {
        /// The book file.
        path: PathBuf,
    },
    /// The file is something else.
    #[error("that file is not a Tallyhand book; name another one with --db")]
    NotABook,
    /// The file was written by a later version.
    #[error("the book was written by a newer Tallyhand (form {book}, this one knows {known}); use that version")]
    NewerBook {
        /// The last migration noted in the file.
        book: i64,
        /// The last migration known here.
        known: i64,
    },
    /// The file needs a migration and may only be read.
    #[error("the book is in an older form; any message, or `serve`, brings it up to date")]
    OlderBook,
    /// A migration that the book has had is not the one known here.
    #[error(
        "migration {number} in the book is not the one this program knows; restore a backup or use the old version"
    )]
    MigrationChanged {
        /// Its number.
        number: i64,
    },
    /// A setting that durability rests on did not take.
    #[error("this file system does not allow a safe book: {pragma} stayed {found}")]
    SettingRefused {
        /// The setting.
        pragma: &'static str,
        /// What it is instead.
        found: String,
    },
    /// Another process kept the book locked for longer than the wait.
    #[error("another tallyhand is busy with this book; try again in a moment")]
    Busy,
    /// Too many messages are waiting.
    #[error("too many messages are waiting; try again in a moment")]
    QueueFull,
    /// The thread that holds the book is gone.
    #[error("the book has been closed")]
    Stopped,
    /// A stored event does not decode.
    #[error("event {sequence} of account {account} does not decode")]
    Event {
        /// Whose.
        account: i64,
        /// Which.
        sequence: u64,
        /// Why.
        source: journal::Error,
    },
    /// A stored value is not of the form that this program writes.
    #[error("{what} in the book reads {found:?}, which cannot be")]
    Stored {
        /// Which value.
        what: &'static str,
        /// As stored.
        found: String,
    },
    /// A file to be read in is not one that was written for it.
    #[error("that file is not an account written by `export --whole`: {why}")]
    NotAWhole {
        /// What is wrong with it.
        why: String,
    },
    /// An account is read only into a book in which nothing was said.
    #[error("something was said in this book already; name a new file with --db to read the account into")]
    NotEmpty,
    /// A member of that name is not in the account.
    #[error("nobody in this book is called {name:?}; it has {known}")]
    UnknownMember {
        /// As asked for.
        name: String,
        /// The names there are, with commas.
        known: String,
    },
    /// A file is larger than the book keeps.
    #[error("a file of {bytes} bytes is too large; {} fit", super::FILE_BYTES_MAX)]
    FileTooLarge {
        /// Its size.
        bytes: usize,
    },
    /// A thread for the book could not be started.
    #[error("no thread could be started for the book {}", path.display())]
    Thread {
        /// The book file.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// A backup or a part of one is a file that cannot be read or written.
    #[error("{} cannot be read or written", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// Something is where a new file was to go.
    #[error("{} is there already and is left alone; name another file", path.display())]
    InTheWay {
        /// What is there.
        path: PathBuf,
    },
    /// A file is neither a book nor a packed one.
    #[error("{} is not a backup of a book", path.display())]
    NotABackup {
        /// The file.
        path: PathBuf,
    },
    /// A backup is sealed and no key was given.
    #[error(
        "{} is encrypted; give the key with --identity-file, or the passphrase with --passphrase-file",
        path.display()
    )]
    Sealed {
        /// The file.
        path: PathBuf,
    },
    /// A sealed backup does not open with the key that was given.
    #[error("{} does not open with that key; it was sealed for another one, or it is damaged", path.display())]
    WrongKey {
        /// The file.
        path: PathBuf,
    },
    /// A public key that is none.
    #[error("{0:?} is not a public key as `age-keygen` prints it: age1 and 58 letters and figures")]
    Recipient(String),
    /// A file that was to have secret keys in it has none.
    #[error("{} has no secret key as `age-keygen` makes it", path.display())]
    NoKeys {
        /// The file.
        path: PathBuf,
    },
    /// A passphrase that is too easily guessed.
    #[error("the passphrase is too short; at least {least} letters, such as four words of your own")]
    Passphrase {
        /// Letters that it has to have.
        least: usize,
    },
    /// A copy of the book was looked over and does not count.
    #[error("the copy is not sound and was thrown away: {first} ({count} faults in all)")]
    Unsound {
        /// The first fault.
        first: Box<Fault>,
        /// How many there are.
        count: usize,
    },
    /// A book is where one was to be restored.
    #[error("there is a book at {}; with --replace it is moved aside first", path.display())]
    BookThere {
        /// The book file.
        path: PathBuf,
    },
    /// A book that was to be replaced is open somewhere.
    #[error("another tallyhand has the book {} open; stop it first", path.display())]
    InUse {
        /// The book file.
        path: PathBuf,
    },
    /// The disk is full.
    #[error("the disk is full; make room, then say it again: nothing of it was kept")]
    DiskFull,
    /// The file or its folder may not be written.
    #[error("the book may only be read: make the file and its folder writable for this user")]
    ReadOnly,
    /// Pages of the file are damaged.
    #[error("the book is damaged; `tallyhand check` says where, `tallyhand restore` puts a backup in its place")]
    Damaged(#[source] Arc<rusqlite::Error>),
    /// SQLite failed.
    #[error("the book could not be read or written")]
    Sqlite(#[source] Arc<rusqlite::Error>),
}

impl Error {
    /// The same failure for another message of the same commit.
    pub(super) fn shared(&self) -> Error {
        match self {
            Error::Sqlite(source) => Error::Sqlite(Arc::clone(source)),
            Error::Damaged(source) => Error::Damaged(Arc::clone(source)),
            Error::Busy => Error::Busy,
            Error::DiskFull => Error::DiskFull,
            Error::ReadOnly => Error::ReadOnly,
            _ => Error::Stopped,
        }
    }
}

impl From<rusqlite::Error> for Error {
    fn from(source: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode::{DatabaseBusy, DatabaseCorrupt, DatabaseLocked, DiskFull, NotADatabase, ReadOnly};
        match source.sqlite_error_code() {
            Some(DatabaseBusy | DatabaseLocked) => Error::Busy,
            Some(NotADatabase) => Error::NotABook,
            Some(DiskFull) => Error::DiskFull,
            Some(ReadOnly) => Error::ReadOnly,
            Some(DatabaseCorrupt) => Error::Damaged(Arc::new(source)),
            _ => Error::Sqlite(Arc::new(source)),
        }
    }
}
