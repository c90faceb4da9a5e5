//! Is the book sound?
//!
//! Everything that can be derived is derived again and compared with what is stored: SQLite's own pages and references,
//! the sequence of each account's events, every event's stored form, and the projection against a fresh fold. The book
//! is read in one transaction and never changed; nothing is repaired here, since a repair would hide the cause.

use std::{collections::BTreeMap, path::Path};

use rusqlite::Connection;

use super::{Error, connection, facts, files, migrate};
use crate::{
    journal::{self, Event, Recorded},
    units::AccountId,
};

/// Faults listed of one sort; more of it would bury the rest.
const FAULTS_LISTED_MAX: usize = 20;

/// Something in the book that is not as it should be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// SQLite found damage.
    #[error("the file is damaged: {0}")]
    Damage(String),
    /// A row points at a row that is not there.
    #[error("a row of {table} points at a row of {parent} that is not there")]
    Reference {
        /// The table that points.
        table: String,
        /// The table pointed at.
        parent: String,
    },
    /// Sequence numbers are missing.
    #[error("account {account} has {events} events numbered {first} to {last}, so some are missing")]
    Gap {
        /// Whose.
        account: i64,
        /// How many there are.
        events: i64,
        /// The lowest number.
        first: i64,
        /// The highest.
        last: i64,
    },
    /// An event does not read back.
    #[error("{0}")]
    Unreadable(String),
    /// An event of a kind that this version does not know.
    #[error("event {sequence} of account {account} is of kind {kind:?}, which this version does not know")]
    UnknownKind {
        /// Whose.
        account: i64,
        /// Which.
        sequence: u64,
        /// As stored.
        kind: String,
    },
    /// The projection has not seen all events.
    #[error("the projection of account {account} has seen event {seen} of {last}")]
    Behind {
        /// Whose.
        account: i64,
        /// The last event it has seen.
        seen: u64,
        /// The last event there is.
        last: u64,
    },
    /// A projection row differs from the fold.
    #[error("{table} {key:?} of account {account} is not what the events add up to")]
    Projection {
        /// Whose.
        account: i64,
        /// Which table.
        table: String,
        /// Which row.
        key: String,
    },
    /// A message without an answer.
    #[error("message {0} has no answer")]
    Unanswered(String),
    /// A message whose time is none.
    #[error("the time of message {0} does not read")]
    Untimely(String),
    /// The content of a file is not what was kept.
    #[error("the content of file {0} is not what was kept")]
    Spoilt(String),
    /// A row of one account names a member or a message of another.
    #[error("{what} {which} names somebody of another account")]
    Stranger {
        /// Message or event.
        what: String,
        /// Which.
        which: String,
    },
}

/// Looks the whole book over. An empty list means that all is well.
pub fn check(path: &Path) -> Result<Vec<Fault>, Error> {
    match look_over(path) {
        // Damage that stops the look is what was looked for.
        Err(Error::Damaged(source)) => Ok(vec![Fault::Damage(source.to_string())]),
        other => other,
    }
}

/// Looks over the pages and references alone; what a book of an older form allows.
pub(super) fn check_pages(path: &Path) -> Result<Vec<Fault>, Error> {
    let connection = connection::open_to_read(path)?;
    let mut faults = damage(&connection)?;
    faults.extend(references(&connection)?);
    Ok(faults)
}

fn look_over(path: &Path) -> Result<Vec<Fault>, Error> {
    if !path.exists() {
        return Err(Error::NoBook {
            path: path.to_path_buf(),
        });
    }
    let mut connection = connection::open_to_read(path)?;
    migrate::require_up_to_date(&connection)?;
    let transaction = connection.transaction()?;
    let mut faults = damage(&transaction)?;
    faults.extend(content_faults(&transaction)?);
    Ok(faults)
}

/// What is wrong with what stands on the pages, whatever the pages are like.
pub(super) fn content_faults(connection: &Connection) -> Result<Vec<Fault>, Error> {
    let mut faults = references(connection)?;
    faults.extend(gaps(connection)?);
    faults.extend(unanswered(connection)?);
    faults.extend(untimely(connection)?);
    faults.extend(strangers(connection)?);
    let spoilt = files::spoilt(connection)?.into_iter().take(FAULTS_LISTED_MAX);
    faults.extend(spoilt.map(Fault::Spoilt));
    for account in facts::accounts(connection)? {
        faults.extend(account_faults(connection, account)?);
    }
    Ok(faults)
}

fn damage(connection: &Connection) -> Result<Vec<Fault>, Error> {
    let mut faults = Vec::new();
    connection.pragma_query(None, "integrity_check", |row| {
        let word: String = row.get(0)?;
        if word != "ok" && faults.len() < FAULTS_LISTED_MAX {
            faults.push(Fault::Damage(word));
        }
        Ok(())
    })?;
    Ok(faults)
}

fn references(connection: &Connection) -> Result<Vec<Fault>, Error> {
    let mut faults = Vec::new();
    connection.pragma_query(None, "foreign_key_check", |row| {
        if faults.len() < FAULTS_LISTED_MAX {
            faults.push(Fault::Reference {
                table: row.get(0)?,
                parent: row.get(2)?,
            });
        }
        Ok(())
    })?;
    Ok(faults)
}

fn gaps(connection: &Connection) -> Result<Vec<Fault>, Error> {
    let faults = connection
        .prepare(include_str!("sql/check_gaps.sql"))?
        .query_map([], |row| {
            Ok(Fault::Gap {
                account: row.get(0)?,
                events: row.get(1)?,
                first: row.get(2)?,
                last: row.get(3)?,
            })
        })?
        .collect::<Result<_, _>>()?;
    Ok(faults)
}

fn unanswered(connection: &Connection) -> Result<Vec<Fault>, Error> {
    let faults = connection
        .prepare(include_str!("sql/check_unanswered.sql"))?
        .query_map([], |row| Ok(Fault::Unanswered(row.get(0)?)))?
        .take(FAULTS_LISTED_MAX)
        .collect::<Result<_, _>>()?;
    Ok(faults)
}

/// Messages whose time does not read.
fn untimely(connection: &Connection) -> Result<Vec<Fault>, Error> {
    let mut statement = connection.prepare(include_str!("sql/check_times.sql"))?;
    let mut rows = statement.query([])?;
    let mut faults = Vec::new();
    while let Some(row) = rows.next()? {
        let (message, time): (String, String) = (row.get(0)?, row.get(1)?);
        if faults.len() < FAULTS_LISTED_MAX && facts::read_time("a time of a message", time).is_err() {
            faults.push(Fault::Untimely(message));
        }
    }
    Ok(faults)
}

fn strangers(connection: &Connection) -> Result<Vec<Fault>, Error> {
    let faults = connection
        .prepare(include_str!("sql/check_strangers.sql"))?
        .query_map([], |row| {
            Ok(Fault::Stranger {
                what: row.get(0)?,
                which: row.get(1)?,
            })
        })?
        .take(FAULTS_LISTED_MAX)
        .collect::<Result<_, _>>()?;
    Ok(faults)
}

/// Reads an account's events back, folds them, and compares the fold with what is stored.
fn account_faults(connection: &Connection, account: AccountId) -> Result<Vec<Fault>, Error> {
    let events = match facts::after(connection, account, 0) {
        Ok(events) => events,
        Err(failure @ (Error::Event { .. } | Error::Stored { .. })) => {
            return Ok(vec![Fault::Unreadable(failure.to_string())]);
        }
        Err(failure) => return Err(failure),
    };
    let mut faults: Vec<Fault> = unknown_kinds(account, &events).take(FAULTS_LISTED_MAX).collect();
    let last = events.last().map_or(0, |recorded| recorded.sequence);
    let (seen, form) = facts::seen(connection, account)?.unwrap_or((0, facts::PROJECTION_FORM));
    if form != facts::PROJECTION_FORM {
        return Ok(faults);
    }
    if seen != last {
        faults.push(Fault::Behind {
            account: account.get(),
            seen,
            last,
        });
    }
    let folded: BTreeMap<(String, String), String> = journal::replay(&events)
        .rows()
        .into_iter()
        .map(|row| ((row.table.to_string(), row.key), row.json))
        .collect();
    let stored = facts::stored_rows(connection, account)?;
    faults.extend(differing(account, &folded, &stored).take(FAULTS_LISTED_MAX));
    Ok(faults)
}

fn unknown_kinds(account: AccountId, events: &[Recorded]) -> impl Iterator<Item = Fault> + '_ {
    events.iter().filter_map(move |recorded| match &recorded.event {
        Event::Unknown { kind, .. } => Some(Fault::UnknownKind {
            account: account.get(),
            sequence: recorded.sequence,
            kind: kind.clone(),
        }),
        _ => None,
    })
}

type Rows = BTreeMap<(String, String), String>;

fn differing<'a>(account: AccountId, folded: &'a Rows, stored: &'a Rows) -> impl Iterator<Item = Fault> + 'a {
    let changed = folded
        .iter()
        .filter(|(name, json)| stored.get(*name) != Some(json))
        .map(|(name, _)| name);
    let left = stored.keys().filter(|name| !folded.contains_key(*name));
    changed.chain(left).map(move |(table, key)| Fault::Projection {
        account: account.get(),
        table: table.clone(),
        key: key.clone(),
    })
}
