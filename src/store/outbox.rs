//! Which answers still have to be carried to another program?
//!
//! A row is written in the same commit as the answer, so an answer can neither be sent without being kept nor kept without
//! being queued. It is sent afterwards, at least once, under a key that never changes, so the other side can tell a second
//! try from a second answer. What is answered on the spot (web, terminal, signed webhook) is read back from the reply and
//! needs no row.

use rusqlite::{Connection, params};

use super::{Error, facts::read_time, step::Delivery};
use crate::units::Timestamp;

/// An answer waiting to be carried.
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

pub(super) fn queue(connection: &Connection, position: i64, delivery: &Delivery) -> Result<(), Error> {
    connection
        .prepare_cached(include_str!("sql/outbox_add.sql"))?
        .execute(params![
            position,
            // Ids must not hold a full stop: it is what the signed content is joined with.
            format!("answer_{}", delivery.id.as_str().replace('.', "_")),
            delivery.at.to_string()
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
