//! Who may speak and from where, and letters that did not arrive.
//!
//! These are not facts of the book but of the house around it: the conversation is told how it stands ([`House`]) and
//! answers as if the thing were done; whoever keeps the book takes what has to be done out of the answer
//! ([`HouseShown::effect`]) and does it in the same commit.

use super::{
    answer::{HouseShown, Part},
    desk::{Desk, Worked},
};
use crate::{journal::Event, language::HouseSaid, units::MemberId};

/// What stands in an answer in place of a code. Only whoever makes the code can put it there, and it is not kept.
pub const CODE_PLACE: &str = "####-####-####";

/// The same for a code that lets another phone in.
pub const SIGN_IN_CODE_PLACE: &str = "#### ####";

/// Members of a book; more cannot be invited.
const MEMBERS_MAX: usize = 200;

/// How the house stands.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct House {
    /// The messengers that are switched on, by their names in settings.
    pub channels: Vec<String>,
    /// Who may speak.
    pub members: Vec<MemberSeen>,
    /// Letters that did not arrive, newest first.
    pub undelivered: Vec<LetterSeen>,
}

/// A member as the conversation sees them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MemberSeen {
    /// Their number.
    pub id: MemberId,
    /// Their name.
    pub name: String,
    /// Whether the book is theirs.
    pub owner: bool,
    /// The messengers that they write by, by their names in settings.
    pub chats: Vec<String>,
}

/// A letter that did not arrive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LetterSeen {
    /// Its number in the outbox.
    pub id: i64,
    /// To whom; nobody when it was to be carried to another program.
    pub name: Option<String>,
    /// By which messenger, or `callback`.
    pub channel: String,
    /// Its words.
    pub words: String,
    /// Why.
    pub why: String,
}

/// Something to be done to the house.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Effect {
    /// Make a code for a member, by name; they are added to the crew when new.
    Code {
        /// Whose; the speaker's own when none.
        name: Option<String>,
        /// For which messenger; any when none.
        channel: Option<String>,
    },
    /// Put a member out of one messenger, or of all of them.
    PutOut {
        /// Who.
        member: MemberId,
        /// Of which.
        channel: Option<String>,
    },
    /// Make a code with which another phone signs in as the speaker.
    SignInCode {
        /// How long it is good, in minutes.
        minutes: u32,
    },
    /// Queue letters again that did not arrive: one, or all.
    Resend {
        /// Which.
        letter: Option<i64>,
    },
}

/// Does what was said about the house.
pub(super) fn house(desk: &mut Desk<'_>, said: &HouseSaid) -> Worked {
    let shown = match said {
        HouseSaid::Connect { channel } => code(desk, None, channel.clone()),
        HouseSaid::Disconnect { channel } => disconnect(desk, channel),
        HouseSaid::Members => HouseShown::Members(desk.ctx.house.members.clone()),
        // Everything from here on is the owner's.
        _ if !is_owner(desk) => HouseShown::OwnerOnly,
        HouseSaid::Invite { name, channel } => invite(desk, name, channel.clone()),
        HouseSaid::PutOut { name } => put_out(desk, name),
        HouseSaid::Undelivered => HouseShown::Undelivered(desk.ctx.house.undelivered.clone()),
        HouseSaid::Resend { number } => resend(desk, *number),
    };
    desk.say(Part::House(shown));
    Ok(())
}

fn is_owner(desk: &Desk<'_>) -> bool {
    let speaker = desk.inbound.member;
    desk.ctx
        .house
        .members
        .iter()
        .any(|member| member.id == speaker && member.owner)
}

fn code(desk: &Desk<'_>, name: Option<String>, channel: Option<String>) -> HouseShown {
    let on = desk.ctx.house.channels.clone();
    if on.is_empty() || channel.as_ref().is_some_and(|channel| !on.contains(channel)) {
        return HouseShown::NotOn { channel, on };
    }
    HouseShown::Code { name, channel, on }
}

fn invite(desk: &Desk<'_>, name: &str, channel: Option<String>) -> HouseShown {
    let known = desk
        .ctx
        .house
        .members
        .iter()
        .find(|member| same_name(&member.name, name));
    let name = match known {
        Some(member) => member.name.clone(),
        None if desk.ctx.house.members.len() >= MEMBERS_MAX => return HouseShown::TooMany(MEMBERS_MAX),
        None => name.to_string(),
    };
    code(desk, Some(name), channel)
}

fn put_out(desk: &mut Desk<'_>, name: &str) -> HouseShown {
    let Some(member) = desk
        .ctx
        .house
        .members
        .iter()
        .find(|member| same_name(&member.name, name))
    else {
        return HouseShown::NobodyCalled {
            name: name.to_string(),
            known: desk
                .ctx
                .house
                .members
                .iter()
                .map(|member| member.name.clone())
                .collect(),
        };
    };
    if member.owner {
        return HouseShown::OwnerStays;
    }
    let (id, name, chats) = (member.id, member.name.clone(), member.chats.clone());
    // Their calendar is a way in too.
    if desk.book().has_calendar(id) {
        desk.record(Event::CalendarShut { member: Some(id) });
    }
    HouseShown::PutOut {
        member: id,
        name,
        chats,
    }
}

fn disconnect(desk: &Desk<'_>, channel: &str) -> HouseShown {
    let speaker = desk.inbound.member;
    let member = desk.ctx.house.members.iter().find(|member| member.id == speaker);
    let has = member.is_some_and(|member| member.chats.iter().any(|chat| chat == channel));
    HouseShown::Disconnected {
        member: speaker,
        channel: channel.to_string(),
        had: has,
    }
}

fn resend(desk: &Desk<'_>, number: Option<u32>) -> HouseShown {
    let letters = &desk.ctx.house.undelivered;
    let count = letters.len();
    let Some(number) = number else {
        return HouseShown::Resent { count, letter: None };
    };
    let index = usize::try_from(number).unwrap_or_default().checked_sub(1);
    match index.and_then(|index| letters.get(index)).map(|letter| letter.id) {
        Some(id) => HouseShown::Resent {
            count: 1,
            letter: Some(id),
        },
        None => HouseShown::NoSuchLetter { number, count },
    }
}

impl HouseShown {
    /// What has to be done for the answer to be true.
    pub fn effect(&self) -> Option<Effect> {
        match self {
            HouseShown::Code { name, channel, .. } => Some(Effect::Code {
                name: name.clone(),
                channel: channel.clone(),
            }),
            HouseShown::PutOut { member, .. } => Some(Effect::PutOut {
                member: *member,
                channel: None,
            }),
            HouseShown::Disconnected {
                member,
                channel,
                had: true,
            } => Some(Effect::PutOut {
                member: *member,
                channel: Some(channel.clone()),
            }),
            HouseShown::Resent { count, letter } if *count > 0 => Some(Effect::Resend { letter: *letter }),
            _ => None,
        }
    }
}

fn same_name(left: &str, right: &str) -> bool {
    left.trim().eq_ignore_ascii_case(right.trim())
}
