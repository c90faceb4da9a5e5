//! Who keeps this book, and how do they get in?
//!
//! An account is one business; its members may speak for it. Sign-in links and sessions are kept as hashes only, a link
//! works once, and every look-up goes by hash, so a guess cannot be timed against what is stored.

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::Error;
use crate::units::{AccountId, MemberId, Timestamp};

/// What the owner is called until named.
pub const OWNER_NAME: &str = "owner";

/// A person who may speak for an account.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// Their number.
    pub id: MemberId,
    /// Their account.
    pub account: AccountId,
    /// What they are called in the book.
    pub name: String,
    /// Whether the account is theirs.
    pub owner: bool,
}

/// Hash of a secret, in hexadecimal: all that is kept of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SecretHash(pub String);

/// Makes sure that there is an account with an owner, and gives it.
pub(super) fn ensure_owner(connection: &Connection, name: &str, now: Timestamp) -> Result<Member, Error> {
    let first: Option<i64> = connection
        .prepare_cached(include_str!("sql/accounts.sql"))?
        .query_row([], |row| row.get(0))
        .optional()?;
    let account = match first {
        Some(id) => id,
        None => {
            connection
                .prepare_cached(include_str!("sql/account_add.sql"))?
                .execute([now.to_string()])?;
            connection.last_insert_rowid()
        }
    };
    if let Some(owner) = owner(connection, AccountId::new(account))? {
        return Ok(owner);
    }
    add(connection, AccountId::new(account), name, "owner", now)
}

/// The owner of an account.
pub(super) fn owner(connection: &Connection, account: AccountId) -> Result<Option<Member>, Error> {
    one(connection, include_str!("sql/member_owner.sql"), params![account.get()])
}

/// The member of that name; capitals do not matter.
pub(super) fn named(connection: &Connection, account: AccountId, name: &str) -> Result<Option<Member>, Error> {
    one(
        connection,
        include_str!("sql/member_by_name.sql"),
        params![account.get(), name.trim()],
    )
}

/// The member of that name, or the failure that lists who there is.
pub(super) fn require(connection: &Connection, account: AccountId, name: &str) -> Result<Member, Error> {
    if let Some(member) = named(connection, account, name)? {
        return Ok(member);
    }
    let known: Vec<String> = connection
        .prepare_cached(include_str!("sql/members.sql"))?
        .query_map([account.get()], |row| row.get(2))?
        .collect::<Result<_, _>>()?;
    Err(Error::UnknownMember {
        name: name.to_string(),
        known: known.join(", "),
    })
}

/// The member of that name, added to the crew when new.
pub(super) fn ensure_crew(
    connection: &Connection,
    account: AccountId,
    name: &str,
    now: Timestamp,
) -> Result<Member, Error> {
    match named(connection, account, name)? {
        Some(member) => Ok(member),
        None => add(connection, account, name.trim(), "crew", now),
    }
}

fn add(connection: &Connection, account: AccountId, name: &str, role: &str, now: Timestamp) -> Result<Member, Error> {
    connection
        .prepare_cached(include_str!("sql/member_add.sql"))?
        .execute(params![account.get(), name, role, now.to_string()])?;
    let id = MemberId::new(connection.last_insert_rowid());
    Ok(Member {
        id,
        account,
        name: name.to_string(),
        owner: role == "owner",
    })
}

/// Keeps a one-time link for a member.
pub(super) fn add_link(
    connection: &Connection,
    link: &SecretHash,
    member: MemberId,
    now: Timestamp,
    until: Timestamp,
) -> Result<(), Error> {
    connection
        .prepare_cached(include_str!("sql/link_add.sql"))?
        .execute(params![link.0, member.get(), now.to_string(), until.to_string()])?;
    Ok(())
}

/// Turns an unused link into a session; false when there is no such link any more.
pub(super) fn use_link(
    connection: &Connection,
    link: &SecretHash,
    session: &SecretHash,
    now: Timestamp,
    until: Timestamp,
) -> Result<bool, Error> {
    connection
        .prepare_cached(include_str!("sql/sessions_sweep.sql"))?
        .execute([now.to_string()])?;
    let member: Option<i64> = connection
        .prepare_cached(include_str!("sql/link_use.sql"))?
        .query_row(params![link.0, now.to_string()], |row| row.get(0))
        .optional()?;
    let Some(member) = member else { return Ok(false) };
    connection
        .prepare_cached(include_str!("sql/session_add.sql"))?
        .execute(params![session.0, member, now.to_string(), until.to_string()])?;
    Ok(true)
}

/// Whose session it is, while it is good.
pub(super) fn of_session(
    connection: &Connection,
    session: &SecretHash,
    now: Timestamp,
) -> Result<Option<Member>, Error> {
    one(
        connection,
        include_str!("sql/session_member.sql"),
        params![session.0, now.to_string()],
    )
}

/// Ends a session.
pub(super) fn end_session(connection: &Connection, session: &SecretHash) -> Result<(), Error> {
    connection
        .prepare_cached(include_str!("sql/session_end.sql"))?
        .execute([&session.0])?;
    Ok(())
}

fn one(connection: &Connection, sql: &str, params: &[&dyn rusqlite::ToSql]) -> Result<Option<Member>, Error> {
    Ok(connection
        .prepare_cached(sql)?
        .query_row(params, read_member)
        .optional()?)
}

fn read_member(row: &Row<'_>) -> rusqlite::Result<Member> {
    Ok(Member {
        id: MemberId::new(row.get(0)?),
        account: AccountId::new(row.get(1)?),
        name: row.get(2)?,
        owner: row.get::<_, String>(3)? == "owner",
    })
}
