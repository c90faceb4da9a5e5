//! Words about who may speak and from where, and about letters that did not arrive.

use super::words::{clipped, joined};
use crate::conversation::{CODE_PLACE, HouseShown, LetterSeen, MemberSeen};

/// Minutes that a code is good.
const CODE_MINUTES: u32 = 10;

/// What was said or done about the house.
pub(super) fn house(shown: &HouseShown) -> String {
    match shown {
        HouseShown::Code { name, channel, on } => code(name.as_deref(), channel.as_deref(), on),
        HouseShown::NotOn { channel, on } => not_on(channel.as_deref(), on),
        HouseShown::TooMany(max) => format!("There are {max} people in this book already, and that is all it takes."),
        HouseShown::PutOut { name, chats, .. } => put_out(name, chats),
        HouseShown::Disconnected { channel, had: true, .. } => {
            format!(
                "Done: nothing from you by {} is heard any more. \"connect {channel}\" brings it back.",
                title(channel)
            )
        }
        HouseShown::Disconnected {
            channel, had: false, ..
        } => format!("You are not connected by {}.", title(channel)),
        HouseShown::NobodyCalled { name, known } => {
            format!("Nobody here is called {}. There are {}.", clipped(name), joined(known))
        }
        HouseShown::OwnerStays => "The owner cannot be put out of the own book.".to_string(),
        HouseShown::OwnerOnly => "Only the owner of this book can do that.".to_string(),
        HouseShown::Members(members) => self::members(members),
        HouseShown::Undelivered(letters) => undelivered(letters),
        HouseShown::Resent { count: 0, .. } => "Nothing got stuck: every answer went out.".to_string(),
        HouseShown::Resent { count: 1, .. } => "Sending it again.".to_string(),
        HouseShown::Resent { count, .. } => format!("Sending all {count} again."),
        HouseShown::NoSuchLetter { number, count: 0 } => {
            format!("There is no number {number}: nothing got stuck.")
        }
        HouseShown::NoSuchLetter { number, count } => {
            format!("There is no number {number}; \"undelivered\" lists {count}.")
        }
    }
}

fn title(channel: &str) -> &str {
    match channel {
        "telegram" => "Telegram",
        "sms" => "text message",
        "whatsapp" => "WhatsApp",
        "matrix" => "Matrix",
        "gateway" => "text message (gateway)",
        other => other,
    }
}

fn titles(channels: &[String]) -> String {
    let titles: Vec<String> = channels.iter().map(|channel| title(channel).to_string()).collect();
    joined(&titles)
}

/// Where a code has to be sent.
fn how(channel: Option<&str>, on: &[String]) -> String {
    match channel {
        Some("telegram") => "to the bot in Telegram".to_string(),
        Some("sms" | "gateway") => "as a text message to our number".to_string(),
        Some("whatsapp") => "to our number in WhatsApp".to_string(),
        Some("matrix") => "in a Matrix room with the bot, unencrypted".to_string(),
        _ => format!("to us by {}", titles(on)),
    }
}

fn code(name: Option<&str>, channel: Option<&str>, on: &[String]) -> String {
    let how = how(channel, on);
    match name {
        None => format!(
            "Send this {how}, within {CODE_MINUTES} minutes:\n{CODE_PLACE}\nIt works once and ties that account to you."
        ),
        Some(name) => format!(
            "Give {0} this code, to send {how} within {CODE_MINUTES} minutes:\n{CODE_PLACE}\nIt works once and lets {0} speak here.",
            clipped(name)
        ),
    }
}

fn not_on(channel: Option<&str>, on: &[String]) -> String {
    match (channel, on.is_empty()) {
        (_, true) => "No messenger is switched on here yet. The README says how, a page for each.".to_string(),
        (Some(channel), false) => format!(
            "{} is not switched on here; {} can be used.",
            title(channel),
            titles(on)
        ),
        (None, false) => format!("{} can be used.", titles(on)),
    }
}

fn put_out(name: &str, chats: &[String]) -> String {
    let name = clipped(name);
    if chats.is_empty() {
        return format!("{name} is out: links, sessions and codes are no good any more.");
    }
    format!(
        "{name} is out: nothing by {} is heard any more, and links, sessions and codes are no good.",
        titles(chats)
    )
}

fn members(members: &[MemberSeen]) -> String {
    if members.is_empty() {
        return "Nobody is connected here.".to_string();
    }
    let line = |member: &MemberSeen| {
        let role = if member.owner { " (owner)" } else { "" };
        if member.chats.is_empty() {
            format!("{}{role}: not connected", member.name)
        } else {
            format!("{}{role}: {}", member.name, titles(&member.chats))
        }
    };
    let lines: Vec<String> = members.iter().map(line).collect();
    lines.join("\n")
}

fn undelivered(letters: &[LetterSeen]) -> String {
    if letters.is_empty() {
        return "Nothing got stuck: every answer went out.".to_string();
    }
    let mut lines = vec!["These did not arrive:".to_string()];
    for (index, letter) in letters.iter().enumerate() {
        let first = letter.words.lines().next().unwrap_or_default();
        lines.push(format!(
            "{}. {} by {}: \"{}\" ({})",
            index + 1,
            letter.name.as_deref().unwrap_or("the other program"),
            title(&letter.channel),
            clipped(first),
            clipped(&letter.why)
        ));
    }
    lines.push("\"send again\" sends all, \"resend 1\" the first.".to_string());
    lines.join("\n")
}

/// Said to whoever sent a right code.
pub(in crate::replies) fn connected() -> String {
    "You are in: from here on I hear you. Tell me what you counted, such as \"12 small 3 medium crapes at Alder Ct\", or send \
     a voice note. \"menu\" says what else there is."
        .to_string()
}

/// Said when answers are wanted again.
pub(in crate::replies) fn answers_again() -> String {
    "You get answers here again.".to_string()
}

/// The one answer to a wish for no more answers.
pub(in crate::replies) fn silenced() -> String {
    "You get no more messages from here. START brings them back.".to_string()
}

/// Said when an earlier message was edited.
pub(in crate::replies) fn edited() -> String {
    "I saw that you changed a message. What is in the book stays as it was: say \"undo\", then say it anew.".to_string()
}

/// Said when something came that is neither words nor anything that is kept.
pub(in crate::replies) fn cannot_take() -> String {
    "I can take words, voice notes, photos and files; that was something else. Nothing was changed.".to_string()
}

/// Said when a text was too long; why, in words.
pub(in crate::replies) fn too_long(why: &str) -> String {
    format!("I did not take that in: {why}.")
}

/// Said when something sent along is too large.
pub(in crate::replies) fn too_large() -> String {
    "What you sent is too large for me: 20 MB fit. Nothing was changed.".to_string()
}

/// Said when a button is pressed whose question is not the last one any more.
pub(in crate::replies) fn question_closed() -> String {
    "That question is not open any more. Nothing was changed.".to_string()
}

/// Said when some of what was sent along could not be had, and the rest of the message is taken in.
pub(in crate::replies) fn not_all_fetched() -> String {
    "I could not get all of what you sent along (20 MB a file fit). The rest of that message is taken in; please send again what is \
     missing."
        .to_string()
}

/// Said when what was sent along could not be had.
pub(in crate::replies) fn not_fetched(voice: bool) -> String {
    let again = if voice {
        "Please say it again, or type it."
    } else {
        "Please send it again."
    };
    format!("I could not get what you sent along, and nothing of that message was taken in. {again}")
}
