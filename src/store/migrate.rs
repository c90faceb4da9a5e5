//! Is this file a book, and is it in the form that this program knows?
//!
//! Migrations are numbered files that are never edited once released. The book notes each one with the hash of its text,
//! and every start compares: a changed migration, or a number that this program has never heard of, is refused before
//! anything is written. All that are missing are applied in one transaction.

use rusqlite::{Connection, TransactionBehavior, params};
use sha2::{Digest, Sha256};

use super::Error;
use crate::units::Timestamp;

struct Migration {
    number: i64,
    name: &'static str,
    sql: &'static str,
}

/// Every migration there is, in order.
const MIGRATIONS: &[Migration] = &[
    Migration {
        number: 1,
        name: "0001_book.sql",
        sql: include_str!("../../migrations/0001_book.sql"),
    },
    Migration {
        number: 2,
        name: "0002_files.sql",
        sql: include_str!("../../migrations/0002_files.sql"),
    },
    Migration {
        number: 3,
        name: "0003_ways_in.sql",
        sql: include_str!("../../migrations/0003_ways_in.sql"),
    },
    Migration {
        number: 4,
        name: "0004_channels.sql",
        sql: include_str!("../../migrations/0004_channels.sql"),
    },
    Migration {
        number: 5,
        name: "0005_letters.sql",
        sql: include_str!("../../migrations/0005_letters.sql"),
    },
    Migration {
        number: 6,
        name: "0006_sent.sql",
        sql: include_str!("../../migrations/0006_sent.sql"),
    },
    Migration {
        number: 7,
        name: "0007_pieces.sql",
        sql: include_str!("../../migrations/0007_pieces.sql"),
    },
];

/// Brings the book to this program's form.
pub(super) fn bring_up_to_date(connection: &mut Connection, now: Timestamp) -> Result<(), Error> {
    // Immediate: two first starts at once must not both find the book empty.
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let applied = match noted(&transaction)? {
        Some(applied) => applied,
        None => {
            transaction.execute(include_str!("sql/migration_table.sql"), [])?;
            Vec::new()
        }
    };
    compare(&applied)?;
    for migration in MIGRATIONS.iter().skip(applied.len()) {
        transaction.execute_batch(migration.sql)?;
        transaction
            .prepare_cached(include_str!("sql/migration_note.sql"))?
            .execute(params![
                migration.number,
                migration.name,
                hash_of(migration.sql),
                now.to_string(),
            ])?;
    }
    transaction.commit()?;
    Ok(())
}

/// Refuses a book that is not in this program's form; changes nothing.
pub(super) fn require_up_to_date(connection: &Connection) -> Result<(), Error> {
    let applied = noted(connection)?.ok_or(Error::NotABook)?;
    compare(&applied)?;
    if applied.len() < MIGRATIONS.len() {
        Err(Error::OlderBook)
    } else {
        Ok(())
    }
}

/// Whether the file holds a book; an empty one does not.
pub(super) fn is_book(connection: &Connection) -> Result<bool, Error> {
    Ok(noted(connection)?.is_some())
}

/// The migrations noted in the file; `None` when the file is empty.
fn noted(connection: &Connection) -> Result<Option<Vec<(i64, String)>>, Error> {
    let tables: Vec<String> = connection
        .prepare_cached(include_str!("sql/tables.sql"))?
        .query_map([], |row| row.get(0))?
        .collect::<Result<_, _>>()?;
    if tables.is_empty() {
        return Ok(None);
    }
    if !tables.iter().any(|table| table == "migration") {
        return Err(Error::NotABook);
    }
    let applied = connection
        .prepare_cached(include_str!("sql/migrations_applied.sql"))?
        .query_map([], |row| Ok((row.get(0)?, row.get(2)?)))?
        .collect::<Result<_, _>>()?;
    Ok(Some(applied))
}

fn compare(applied: &[(i64, String)]) -> Result<(), Error> {
    let known = MIGRATIONS.last().map_or(0, |migration| migration.number);
    if let Some((book, _)) = applied.last().filter(|(number, _)| *number > known) {
        return Err(Error::NewerBook { book: *book, known });
    }
    for ((number, hash), migration) in applied.iter().zip(MIGRATIONS) {
        if *number != migration.number || *hash != hash_of(migration.sql) {
            return Err(Error::MigrationChanged { number: *number });
        }
    }
    Ok(())
}

fn hash_of(sql: &str) -> String {
    Sha256::digest(sql.as_bytes())
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}
