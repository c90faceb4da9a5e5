//! How do events and what they add up to get in and out of the book?
//!
//! Events are only ever appended, each with the next sequence number of its account: the unique pair refuses a second
//! writer that has not seen the first one's. Projection rows are a copy of what the fold says, kept so that a rebuild can
//! be compared with them; nothing is decided from them.

use std::collections::BTreeMap;

use rusqlite::{Connection, OptionalExtension, params};

use super::Error;
use crate::{
    journal::{self, Recorded, RowChange, State},
    units::{AccountId, InboundId, MemberId, Timestamp},
};

/// The form of the stored projection; raised when the fold's rows change shape, which makes every book rebuild its own.
pub(super) const PROJECTION_FORM: i64 = 5;

/// A state with the last event it has seen.
#[derive(Clone)]
pub(super) struct Folded {
    /// What the events add up to.
    pub(super) state: State,
    /// The last event seen; 0 for none.
    pub(super) sequence: u64,
}

/// Appends events.
pub(super) fn append(connection: &Connection, account: AccountId, events: &[Recorded]) -> Result<(), Error> {
    let mut statement = connection.prepare_cached(include_str!("sql/event_add.sql"))?;
    for recorded in events {
        let (kind, version, payload) = journal::encode(&recorded.event);
        statement.execute(params![
            account.get(),
            to_sql(recorded.sequence),
            kind,
            version,
            recorded.at.to_string(),
            recorded.cause.as_str(),
            recorded.member.get(),
            payload,
        ])?;
    }
    Ok(())
}

/// The last sequence number of an account; 0 when it has no events.
pub(super) fn last_sequence(connection: &Connection, account: AccountId) -> Result<u64, Error> {
    let last: i64 = connection
        .prepare_cached(include_str!("sql/sequence_last.sql"))?
        .query_row([account.get()], |row| row.get(0))?;
    Ok(from_sql(last))
}

/// The events of an account after one of them, in order.
pub(super) fn after(connection: &Connection, account: AccountId, sequence: u64) -> Result<Vec<Recorded>, Error> {
    let mut statement = connection.prepare_cached(include_str!("sql/events_after.sql"))?;
    let mut rows = statement.query(params![account.get(), to_sql(sequence)])?;
    let mut events = Vec::new();
    while let Some(row) = rows.next()? {
        let sequence = from_sql(row.get(0)?);
        let (kind, version, payload): (String, u32, String) = (row.get(1)?, row.get(2)?, row.get(6)?);
        events.push(Recorded {
            sequence,
            at: read_time("a time of an event", row.get(3)?)?,
            cause: InboundId::new(row.get::<_, String>(4)?),
            member: MemberId::new(row.get(5)?),
            event: journal::decode(&kind, version, &payload).map_err(|source| Error::Event {
                account: account.get(),
                sequence,
                source,
            })?,
        });
    }
    Ok(events)
}

/// What all events of an account add up to.
pub(super) fn fold(connection: &Connection, account: AccountId) -> Result<Folded, Error> {
    let events = after(connection, account, 0)?;
    let sequence = events.last().map_or(0, |recorded| recorded.sequence);
    Ok(Folded {
        state: journal::replay(&events),
        sequence,
    })
}

/// Brings a state up to the last event in the book: another process may have appended since.
pub(super) fn catch_up(connection: &Connection, account: AccountId, folded: &mut Folded) -> Result<(), Error> {
    if last_sequence(connection, account)? == folded.sequence {
        return Ok(());
    }
    for recorded in &after(connection, account, folded.sequence)? {
        folded.state.apply(recorded);
        folded.sequence = recorded.sequence;
    }
    if folded.state.needs_replay() {
        *folded = fold(connection, account)?;
    }
    Ok(())
}

/// Writes the rows of the projection that changed, and how far it has seen.
pub(super) fn project(
    connection: &Connection,
    account: AccountId,
    changes: &[RowChange],
    sequence: u64,
) -> Result<(), Error> {
    let mut put = connection.prepare_cached(include_str!("sql/projection_put.sql"))?;
    let mut remove = connection.prepare_cached(include_str!("sql/projection_remove.sql"))?;
    for change in changes {
        match &change.json {
            Some(json) => put.execute(params![account.get(), change.table, change.key, json])?,
            None => remove.execute(params![account.get(), change.table, change.key])?,
        };
    }
    connection
        .prepare_cached(include_str!("sql/projection_see.sql"))?
        .execute(params![account.get(), to_sql(sequence), PROJECTION_FORM])?;
    Ok(())
}

/// Makes the whole projection of an account what the fold says, touching only rows that differ.
pub(super) fn rebuild(connection: &Connection, account: AccountId, folded: &Folded) -> Result<(), Error> {
    let mut stored = stored_rows(connection, account)?;
    let mut changed = Vec::new();
    for row in folded.state.rows() {
        let same = stored
            .remove(&(row.table.to_string(), row.key.clone()))
            .is_some_and(|json| json == row.json);
        if !same {
            changed.push(RowChange {
                table: row.table,
                key: row.key,
                json: Some(row.json),
            });
        }
    }
    let mut remove = connection.prepare_cached(include_str!("sql/projection_remove.sql"))?;
    for (table, key) in stored.keys() {
        remove.execute(params![account.get(), table, key])?;
    }
    project(connection, account, &changed, folded.sequence)
}

/// The projection as stored: table and key to JSON.
pub(super) fn stored_rows(
    connection: &Connection,
    account: AccountId,
) -> Result<BTreeMap<(String, String), String>, Error> {
    let rows = connection
        .prepare_cached(include_str!("sql/projection_rows.sql"))?
        .query_map([account.get()], |row| Ok(((row.get(0)?, row.get(1)?), row.get(2)?)))?
        .collect::<Result<_, _>>()?;
    Ok(rows)
}

/// How far the stored projection has seen, and in which form it was written.
pub(super) fn seen(connection: &Connection, account: AccountId) -> Result<Option<(u64, i64)>, Error> {
    let seen = connection
        .prepare_cached(include_str!("sql/projection_seen.sql"))?
        .query_row([account.get()], |row| Ok((from_sql(row.get(0)?), row.get(1)?)))
        .optional()?;
    Ok(seen)
}

/// Every account in the book.
pub(super) fn accounts(connection: &Connection) -> Result<Vec<AccountId>, Error> {
    let accounts = connection
        .prepare_cached(include_str!("sql/accounts.sql"))?
        .query_map([], |row| Ok(AccountId::new(row.get(0)?)))?
        .collect::<Result<_, _>>()?;
    Ok(accounts)
}

/// Accounts whose stored projection was written in another form.
pub(super) fn stale(connection: &Connection) -> Result<Vec<AccountId>, Error> {
    let accounts = connection
        .prepare_cached(include_str!("sql/projection_stale.sql"))?
        .query_map([PROJECTION_FORM], |row| Ok(AccountId::new(row.get(0)?)))?
        .collect::<Result<_, _>>()?;
    Ok(accounts)
}

/// A stored time; times are written by this program only, in one form.
pub(super) fn read_time(what: &'static str, stored: String) -> Result<Timestamp, Error> {
    stored.parse().map_err(|_| Error::Stored { what, found: stored })
}

fn to_sql(sequence: u64) -> i64 {
    i64::try_from(sequence).expect("a book cannot hold 2^63 events")
}

fn from_sql(sequence: i64) -> u64 {
    u64::try_from(sequence).expect("the schema checks that sequences are positive")
}
