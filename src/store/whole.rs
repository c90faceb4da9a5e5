//! The whole account as one file, to be moved to another machine: what was said and answered, the facts, the people, the
//! files. What the facts add up to is not in it: that is worked out again.
//!
//! Reading it into an empty book and writing it again gives the same bytes. Sign-in links, sessions, chats and codes stay
//! behind: they belong to the machine.

use base64::{Engine, engine::general_purpose::STANDARD};
use rusqlite::{Connection, Row};
use serde_json::{Map, Value, json};

use super::{Error, check, facts};
use crate::units::AccountId;

/// The form of the file, in its first field.
const FORM: u32 = 1;

/// A table of the file: its name, how it is read from the book and written to it.
struct Part {
    name: &'static str,
    columns: &'static [&'static str],
    read: &'static str,
    write: &'static str,
}

/// In the order in which they refer to each other.
const PARTS: [Part; 6] = [
    Part {
        name: "members",
        columns: &["id", "name", "role", "created_at"],
        read: include_str!("sql/whole_members.sql"),
        write: include_str!("sql/whole_member_add.sql"),
    },
    Part {
        name: "messages",
        columns: &[
            "inbound_id",
            "member_id",
            "channel",
            "external_id",
            "text",
            "received_at",
        ],
        read: include_str!("sql/whole_messages.sql"),
        write: include_str!("sql/whole_message_add.sql"),
    },
    Part {
        name: "replies",
        columns: &["inbound_id", "text", "json"],
        read: include_str!("sql/whole_replies.sql"),
        write: include_str!("sql/whole_reply_add.sql"),
    },
    Part {
        name: "failures",
        columns: &["inbound_id", "failed_at", "detail"],
        read: include_str!("sql/whole_failures.sql"),
        write: include_str!("sql/whole_failure_add.sql"),
    },
    Part {
        name: "events",
        columns: &[
            "sequence",
            "kind",
            "version",
            "recorded_at",
            "cause",
            "member_id",
            "payload",
        ],
        read: include_str!("sql/whole_events.sql"),
        write: include_str!("sql/whole_event_add.sql"),
    },
    Part {
        name: "files",
        columns: &["id", "inbound_id", "way", "media_type", "name", "sha256", "bytes", "at"],
        read: include_str!("sql/whole_files.sql"),
        write: include_str!("sql/whole_file_add.sql"),
    },
];

/// The account as one JSON object.
pub(super) fn write(connection: &Connection, account: AccountId) -> Result<Value, Error> {
    let mut whole = Map::new();
    whole.insert("tallyhand".to_string(), json!(FORM));
    for part in &PARTS {
        let rows = connection
            .prepare_cached(part.read)?
            .query_map([account.get()], |row| read_row(row, part))?
            .collect::<Result<Vec<Value>, _>>()?;
        whole.insert(part.name.to_string(), Value::Array(rows));
    }
    Ok(Value::Object(whole))
}

fn read_row(row: &Row<'_>, part: &Part) -> rusqlite::Result<Value> {
    use rusqlite::types::ValueRef;
    let mut object = Map::new();
    for (index, column) in part.columns.iter().enumerate() {
        let value = match row.get_ref(index)? {
            ValueRef::Null => continue,
            ValueRef::Integer(number) => json!(number),
            ValueRef::Real(number) => json!(number),
            ValueRef::Text(text) => json!(String::from_utf8_lossy(text)),
            ValueRef::Blob(bytes) => json!(STANDARD.encode(bytes)),
        };
        object.insert((*column).to_string(), value);
    }
    Ok(Value::Object(object))
}

/// Reads an account into a book in which nothing was said yet, all or nothing.
pub(super) fn read(connection: &mut Connection, account: AccountId, whole: &Value) -> Result<(), Error> {
    match take_in(connection, account, whole) {
        // What the disk or another process has to do with it has an error of its own; the rest is the file's fault.
        Err(failure @ (Error::Event { .. } | Error::Stored { .. })) => Err(Error::NotAWhole {
            why: failure.to_string(),
        }),
        Err(Error::Sqlite(source)) => Err(Error::NotAWhole {
            why: source.to_string(),
        }),
        other => other,
    }
}

fn take_in(connection: &mut Connection, account: AccountId, whole: &Value) -> Result<(), Error> {
    if whole["tallyhand"] != json!(FORM) {
        return Err(Error::NotAWhole {
            why: "it does not say of which form it is".to_string(),
        });
    }
    let transaction = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    let said: i64 = transaction.query_row(include_str!("sql/whole_said.sql"), [], |row| row.get(0))?;
    if said > 0 {
        return Err(Error::NotEmpty);
    }
    transaction.execute_batch(include_str!("sql/whole_clear_ways_in.sql"))?;
    transaction.execute(include_str!("sql/whole_clear_members.sql"), [account.get()])?;
    for part in &PARTS {
        let rows = whole[part.name].as_array().ok_or_else(|| Error::NotAWhole {
            why: format!("it has no {}", part.name),
        })?;
        let mut add = transaction.prepare(part.write)?;
        for (index, row) in rows.iter().enumerate() {
            let mut values = vec![rusqlite::types::Value::Integer(account.get())];
            for column in part.columns {
                values.push(value_of(row, column).ok_or_else(|| Error::NotAWhole {
                    why: format!("{} {} has an odd {column}", part.name, index + 1),
                })?);
            }
            add.execute(rusqlite::params_from_iter(values))
                .map_err(|failure| Error::NotAWhole {
                    why: format!("{} {}: {failure}", part.name, index + 1),
                })?;
        }
    }
    let folded = facts::fold(&transaction, account)?;
    facts::rebuild(&transaction, account, &folded)?;
    // What nobody would find sound afterwards is not let in.
    if let Some(fault) = check::content_faults(&transaction)?.first() {
        return Err(Error::NotAWhole { why: fault.to_string() });
    }
    transaction.commit()?;
    Ok(())
}

/// A field as SQLite takes it; a missing one is nothing. `None` when it is none that was ever written.
fn value_of(row: &Value, column: &str) -> Option<rusqlite::types::Value> {
    use rusqlite::types::Value as Stored;
    Some(match row.get(column) {
        None => Stored::Null,
        Some(Value::Number(number)) => Stored::Integer(number.as_i64()?),
        Some(Value::String(text)) if column == "bytes" => Stored::Blob(STANDARD.decode(text).ok()?),
        Some(Value::String(text)) => Stored::Text(text.clone()),
        Some(_) => return None,
    })
}
