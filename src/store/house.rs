//! How the house around the book stands, for the conversation to see, and what it says has to be done to it.

use rusqlite::Connection;

use super::{
    Error, Options,
    chats::{self, Codes},
    outbox, people,
    people::SecretHash,
    step::Delivery,
};
use crate::{
    channels::{Channel, Code},
    conversation::{CODE_PLACE, Effect, House, LetterSeen, MemberSeen, SIGN_IN_CODE_PLACE},
    units::{AccountId, MemberId},
};

/// Who may speak and from where, and what did not arrive.
pub(super) fn seen(connection: &Connection, account: AccountId, options: &Options) -> Result<House, Error> {
    let mut members: Vec<MemberSeen> = connection
        .prepare_cached(include_str!("sql/members.sql"))?
        .query_map([account.get()], |row| {
            Ok(MemberSeen {
                id: MemberId::new(row.get(0)?),
                name: row.get(2)?,
                owner: row.get::<_, String>(3)? == "owner",
                chats: Vec::new(),
            })
        })?
        .collect::<Result<_, _>>()?;
    let mut statement = connection.prepare_cached(include_str!("sql/chats_of_members.sql"))?;
    let mut rows = statement.query([account.get()])?;
    while let Some(row) = rows.next()? {
        let (member, channel) = (MemberId::new(row.get(0)?), row.get(1)?);
        if let Some(member) = members.iter_mut().find(|seen| seen.id == member) {
            member.chats.push(channel);
        }
    }
    let undelivered = outbox::undelivered(connection, account)?;
    Ok(House {
        channels: options
            .channels
            .iter()
            .map(|channel| channel.code().to_string())
            .collect(),
        members,
        undelivered: undelivered
            .into_iter()
            .map(|letter| LetterSeen {
                id: letter.id,
                name: letter.name,
                channel: letter.channel,
                words: letter.words,
                why: letter.failure,
            })
            .collect(),
    })
}

/// Does what an answer says was done.
pub(super) fn carry_out(
    connection: &Connection,
    codes: &Codes,
    delivery: &Delivery,
    effect: &Effect,
    options: &Options,
) -> Result<(), Error> {
    let (account, now) = (delivery.account, delivery.at);
    match effect {
        Effect::Code { name, channel } => {
            let member = match name {
                Some(name) => people::ensure_crew(connection, account, name, now)?.id,
                None => delivery.member,
            };
            let channel = channel.as_deref().and_then(Channel::parse);
            let code = Code::from_secret(&(options.secret)());
            let until = chats::add_code(connection, &code, (account, member), channel, now)?;
            codes.hold(&delivery.id, (CODE_PLACE, code.shown()), now, until);
        }
        Effect::SignInCode { minutes } => {
            let code = people::sign_in_code(&(options.secret)());
            let until = chats::later(now, i64::from(*minutes) * 60);
            people::add_link(connection, &SecretHash::of(&code), delivery.member, now, until)?;
            let (first, second) = code.split_at(code.len() / 2);
            codes.hold(
                &delivery.id,
                (SIGN_IN_CODE_PLACE, format!("{first} {second}")),
                now,
                until,
            );
        }
        Effect::PutOut { member, channel } => {
            let channel = channel.as_deref().and_then(Channel::parse);
            chats::put_out(connection, account, *member, channel, now)?;
        }
        Effect::Resend { letter } => {
            outbox::resend(connection, account, *letter, now)?;
        }
    }
    Ok(())
}
