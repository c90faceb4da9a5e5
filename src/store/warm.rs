//! Who waits while a business with a long book is folded for the first time after a start?
//!
//! A start folds nothing, so that it is as fast with a million messages as with none, and an account is folded when its
//! first message comes. For most that is nothing; for the few long ones this thread folds ahead, the longest first, beside
//! the writer and from a snapshot of its own. What it hands over is brought up to date by whoever uses it, like any other
//! state that was held while another process wrote.

use std::sync::atomic::{AtomicBool, Ordering};

use rusqlite::Connection;
use tokio::sync::mpsc;

use super::{Error, facts, writer::Job};
use crate::units::AccountId;

/// Accounts with fewer events than this are folded in no time when they are needed.
const EVENTS_MIN: i64 = 500;

/// How many are folded ahead.
const ACCOUNTS_MAX: i64 = 512;

/// Folds the longest accounts, until all are or the house closes.
pub(super) fn run(connection: &Connection, jobs: &mpsc::Sender<Job>, closing: &AtomicBool) {
    if let Err(failure) = fold_longest(connection, jobs, closing) {
        // Whoever needs such an account will say what is wrong with it.
        tracing::warn!(
            error = &failure as &dyn std::error::Error,
            "accounts could not be folded ahead"
        );
    }
}

fn fold_longest(connection: &Connection, jobs: &mpsc::Sender<Job>, closing: &AtomicBool) -> Result<(), Error> {
    for account in longest(connection)? {
        if closing.load(Ordering::Relaxed) {
            return Ok(());
        }
        let folded = facts::fold(connection, account)?;
        // The names are indexed for reading here too.
        folded.state.vocabulary();
        if jobs.blocking_send(Job::Hold(account, Box::new(folded))).is_err() {
            return Ok(());
        }
    }
    Ok(())
}

fn longest(connection: &Connection) -> Result<Vec<AccountId>, Error> {
    let accounts = connection
        .prepare(include_str!("sql/accounts_longest.sql"))?
        .query_map([EVENTS_MIN, ACCOUNTS_MAX], |row| Ok(AccountId::new(row.get(0)?)))?
        .collect::<Result<_, _>>()?;
    Ok(accounts)
}
