//! Who keeps this book, and how do they get in?
//!
//! An account is one business; its members may speak for it. Sign-in links and sessions are kept as hashes only, a link
//! works once, and every look-up goes by hash, so a guess cannot be timed against what is stored.

use rusqlite::{Connection, OptionalExtension, Row, params};
use sha2::{Digest, Sha256};

use super::{Error, facts::read_time};
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

impl SecretHash {
    /// What is kept of a secret. A plain hash will do where a password would need a slow one: a link has 256 bits, and a
    /// code is gone after minutes.
    pub fn of(secret: &str) -> SecretHash {
        let digest = Sha256::digest(format!("tallyhand secret {secret}").as_bytes());
        SecretHash(digest.iter().map(|byte| format!("{byte:02x}")).collect())
    }
}

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

/// A new account with its owner.
pub(super) fn add_account(connection: &Connection, owner: &str, now: Timestamp) -> Result<Member, Error> {
    connection
        .prepare_cached(include_str!("sql/account_add.sql"))?
        .execute([now.to_string()])?;
    let account = AccountId::new(connection.last_insert_rowid());
    add(connection, account, owner.trim(), "owner", now)
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

/// A code of eight digits for signing in, out of random bits.
pub(super) fn sign_in_code(secret: &[u8; 32]) -> String {
    let number = secret
        .iter()
        .take(8)
        .fold(0_u64, |sum, byte| sum << 8 | u64::from(*byte));
    format!("{:08}", number % 100_000_000)
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
    device: &str,
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
        .execute(params![session.0, member, now.to_string(), until.to_string(), device])?;
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

/// A session, for the list of those that are good.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionShown {
    /// Its number.
    pub id: i64,
    /// Whose it is.
    pub member: String,
    /// What kind of device it is on.
    pub device: String,
    /// When it began.
    pub since: Timestamp,
    /// It is the one that asks.
    pub own: bool,
}

/// The sessions of an account that are good.
pub(super) fn sessions(
    connection: &Connection,
    account: AccountId,
    own: &SecretHash,
    now: Timestamp,
) -> Result<Vec<SessionShown>, Error> {
    let mut statement = connection.prepare_cached(include_str!("sql/sessions.sql"))?;
    let mut rows = statement.query(params![account.get(), now.to_string(), own.0])?;
    let mut sessions = Vec::new();
    while let Some(row) = rows.next()? {
        sessions.push(SessionShown {
            id: row.get(0)?,
            member: row.get(1)?,
            device: row.get(2)?,
            since: read_time("a time of a session", row.get(3)?)?,
            own: row.get(4)?,
        });
    }
    Ok(sessions)
}

/// Ends one session of an account, or all but one; only those of one member when one is given.
pub(super) fn end_sessions(
    connection: &Connection,
    account: AccountId,
    whose: Option<MemberId>,
    which: &EndSession,
) -> Result<(), Error> {
    let whose = whose.map(MemberId::get);
    match which {
        EndSession::One(id) => connection
            .prepare_cached(include_str!("sql/session_end_of_account.sql"))?
            .execute(params![account.get(), id, whose])?,
        EndSession::AllBut(own) => connection
            .prepare_cached(include_str!("sql/session_end_others.sql"))?
            .execute(params![account.get(), own.0, whose])?,
    };
    Ok(())
}

/// Which sessions are to end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EndSession {
    /// The one of this number.
    One(i64),
    /// All but this one.
    AllBut(SecretHash),
}

/// Whose quote a client link shows: the account; nothing for a link that nobody gave out.
pub(super) fn of_client_link(connection: &Connection, hash: &str) -> Result<Option<AccountId>, Error> {
    let account: Option<i64> = connection
        .prepare_cached(include_str!("sql/client_link.sql"))?
        .query_row([hash], |row| row.get(0))
        .optional()?;
    Ok(account.map(AccountId::new))
}

/// Ends every session and link of a member at once.
pub(super) fn end_ways_in(connection: &Connection, member: MemberId) -> Result<(), Error> {
    for sql in [include_str!("sql/sessions_end.sql"), include_str!("sql/links_end.sql")] {
        connection.prepare_cached(sql)?.execute([member.get()])?;
    }
    Ok(())
}

/// Which account gave out an address of the calendar; nothing for one that nobody gave out.
pub(super) fn of_calendar(connection: &Connection, hash: &str) -> Result<Option<AccountId>, Error> {
    let account: Option<i64> = connection
        .prepare_cached(include_str!("sql/calendar_link.sql"))?
        .query_row([hash], |row| row.get(0))
        .optional()?;
    Ok(account.map(AccountId::new))
}

/// Everybody who may speak for an account.
pub(super) fn all(connection: &Connection, account: AccountId) -> Result<Vec<Member>, Error> {
    let members = connection
        .prepare_cached(include_str!("sql/members.sql"))?
        .query_map([account.get()], read_member)?
        .collect::<Result<_, _>>()?;
    Ok(members)
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
