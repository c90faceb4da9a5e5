//! How is the book file opened, so that a commit means what it says?
//!
//! The settings that durability rests on are set and then read back: a connection on which one of them did not take is
//! refused, since SQLite ignores what it does not know without a word. `synchronous=FULL` is the point of it all: with
//! less, a power cut may take back messages that were acknowledged.

use std::{path::Path, time::Duration};

use rusqlite::{Connection, OpenFlags, config::DbConfig};

use super::Error;

/// How long a connection waits for another process to let go of the book.
const BUSY_WAIT: Duration = Duration::from_secs(5);

/// Prepared statements kept by each connection; a little above the number of files in `sql/`.
const STATEMENTS_KEPT: usize = 256;

/// Pages that the writer keeps at hand, in KiB. The messages of a busy moment touch pages all over a large book.
const CACHE_KIB: i64 = 64 * 1024;

/// Opens the one connection that may write, and makes the file when there is none.
pub(super) fn open_to_write(path: &Path) -> Result<Connection, Error> {
    // One thread owns it: SQLite's own lock around every call would be taken for nobody.
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags).map_err(|source| Error::Open {
        path: path.to_path_buf(),
        source,
    })?;
    prepare(&connection)?;
    connection.pragma_update(None, "journal_mode", "WAL")?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "cache_size", -CACHE_KIB)?;
    assert_text(&connection, "journal_mode", "wal")?;
    assert_number(&connection, "synchronous", 2)?;
    Ok(connection)
}

/// Opens a connection that cannot write. The file has to be there.
pub(super) fn open_to_read(path: &Path) -> Result<Connection, Error> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags).map_err(|source| Error::Open {
        path: path.to_path_buf(),
        source,
    })?;
    prepare(&connection)?;
    connection.pragma_update(None, "query_only", true)?;
    assert_number(&connection, "query_only", 1)?;
    Ok(connection)
}

/// Opens a connection to copy the book from. It writes nothing, but has to be able to make the copy.
pub(super) fn open_to_copy(path: &Path) -> Result<Connection, Error> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags).map_err(|source| Error::Open {
        path: path.to_path_buf(),
        source,
    })?;
    prepare(&connection)?;
    Ok(connection)
}

fn prepare(connection: &Connection) -> Result<(), Error> {
    connection.busy_timeout(BUSY_WAIT)?;
    connection.set_prepared_statement_cache_capacity(STATEMENTS_KEPT);
    // Else a statement that a partial index could serve is parsed and planned anew for every value bound to it, which was an
    // eighth of the cost of a message. The values of ours that choose such an index stand in the statement.
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    assert_number(connection, "foreign_keys", 1)?;
    assert_number(
        connection,
        "busy_timeout",
        i64::try_from(BUSY_WAIT.as_millis()).unwrap_or(i64::MAX),
    )
}

fn assert_number(connection: &Connection, pragma: &'static str, wanted: i64) -> Result<(), Error> {
    let found: i64 = connection.pragma_query_value(None, pragma, |row| row.get(0))?;
    if found == wanted {
        Ok(())
    } else {
        Err(Error::SettingRefused {
            pragma,
            found: found.to_string(),
        })
    }
}

fn assert_text(connection: &Connection, pragma: &'static str, wanted: &str) -> Result<(), Error> {
    let found: String = connection.pragma_query_value(None, pragma, |row| row.get(0))?;
    if found.eq_ignore_ascii_case(wanted) {
        Ok(())
    } else {
        Err(Error::SettingRefused { pragma, found })
    }
}
