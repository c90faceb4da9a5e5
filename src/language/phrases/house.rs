//! Wordings about who may speak and from where, about letters that did not arrive and recordings that are kept.

use rust_decimal::{Decimal, prelude::ToPrimitive};

use super::{Phrase, Row, number, set, text, whole};
use crate::language::meaning::{HouseSaid, Meaning, Setting};
use crate::language::pattern::Cap;
use crate::language::words::Words;

/// What people call each messenger, and its name in settings.
const MESSENGERS: [(&str, &str); 12] = [
    ("telegram", "telegram"),
    ("sms", "sms"),
    ("text", "sms"),
    ("texts", "sms"),
    ("texting", "sms"),
    ("text messages", "sms"),
    ("my phone", "sms"),
    ("phone", "sms"),
    ("whatsapp", "whatsapp"),
    ("matrix", "matrix"),
    ("element", "matrix"),
    ("gateway", "gateway"),
];

fn house(said: HouseSaid) -> Option<Phrase> {
    whole(Meaning::House(said))
}

/// How long recordings are kept: so many times so many days, `a week` once.
fn recordings(caps: &[&Cap], days: u32) -> Option<Phrase> {
    let times = number(caps).unwrap_or(Decimal::ONE);
    set(Setting::RecordingDays(times.checked_mul(days.into())?))
}

/// The messenger that words name.
fn messenger(said: &str) -> Option<String> {
    let said = said
        .trim_matches(|c: char| c.is_whitespace() || matches!(c, '.' | '!' | '?' | ','))
        .to_lowercase();
    let said = said.strip_prefix("to ").unwrap_or(&said);
    let found = MESSENGERS.iter().find(|(word, _)| *word == said);
    found.map(|(_, code)| (*code).to_string())
}

fn connect(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let channel = Some(messenger(&text(caps, words)?)?);
    house(HouseSaid::Connect { channel })
}

fn disconnect(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let channel = messenger(&text(caps, words)?)?;
    house(HouseSaid::Disconnect { channel })
}

/// A name, perhaps with the messenger behind it: `Sam on telegram`.
fn name(caps: &[&Cap], words: &Words<'_>) -> Option<(String, Option<String>)> {
    let said = text(caps, words)?;
    let said = said.trim_matches(|c: char| c.is_whitespace() || matches!(c, '.' | '!' | '?' | ',' | ':' | '"'));
    let split = [" on ", " by ", " to ", " with "]
        .iter()
        .find_map(|between| said.rsplit_once(between))
        .and_then(|(name, channel)| Some((name.trim().to_string(), Some(messenger(channel)?))));
    let (name, channel) = split.unwrap_or_else(|| (said.to_string(), None));
    let plain = !name.is_empty()
        && name.split_whitespace().count() <= 3
        && name
            .chars()
            .all(|c| c.is_alphabetic() || matches!(c, ' ' | '-' | '\'' | '.' | '\u{2019}'));
    plain.then_some((name, channel))
}

fn invite(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let (name, channel) = name(caps, words)?;
    house(HouseSaid::Invite { name, channel })
}

/// `put Sam out`: the name stands between.
fn put_name_out(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let said = text(caps, words)?;
    let said = said.trim_end_matches(['.', '!', ' ']);
    let name = said.strip_suffix(" out").or_else(|| said.strip_suffix(" OUT"))?.trim();
    let plain = !name.is_empty()
        && name.split_whitespace().count() <= 3
        && name
            .chars()
            .all(|c| c.is_alphabetic() || matches!(c, ' ' | '-' | '\'' | '.' | '\u{2019}'));
    plain
        .then(|| house(HouseSaid::PutOut { name: name.to_string() }))
        .flatten()
}

fn put_out(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let (name, _) = name(caps, words)?;
    house(HouseSaid::PutOut { name })
}

pub(super) const ROWS: &[Row] = &[
    (
        "house: connect",
        9,
        "(connect | hook up | link up) (me | me to | to | with | my)? #rest",
        connect,
    ),
    (
        "house: connect",
        5,
        "(connect | connect me | connect my phone)",
        |_, _| house(HouseSaid::Connect { channel: None }),
    ),
    (
        "house: disconnect",
        9,
        "(disconnect | unhook) (me from | from | my)? #rest",
        disconnect,
    ),
    (
        "house: invite",
        9,
        "(can you | could you)? (please)? (invite | let in) (crew member | crew | a crew member | helper | my helper | my guy | the new guy)? [:,]? #rest",
        invite,
    ),
    (
        "house: put out",
        9,
        "(put out | shut out | lock out | throw out | remove crew | remove member | remove helper) [:,]? #rest",
        put_out,
    ),
    (
        "house: put out",
        8,
        "(can you | could you)? (please)? (put | shut | lock | throw) #rest",
        put_name_out,
    ),
    (
        "house: members",
        8,
        "(who is connected | whos connected | who can talk to you | who can text you | who is in the crew | whos in the crew | members | list members | show members)",
        |_, _| house(HouseSaid::Members),
    ),
    (
        "house: undelivered",
        8,
        "(what did not arrive | what didnt arrive | what did not go out | what didnt go out | undelivered | not delivered | what was not delivered | what wasnt delivered | what got stuck | stuck messages)",
        |_, _| house(HouseSaid::Undelivered),
    ),
    (
        "house: resend",
        8,
        "(send again | resend | send it again | send that again | send them again | send them all again | send all again | resend all | resend it | try sending again | try to send again)",
        |_, _| house(HouseSaid::Resend { number: None }),
    ),
    (
        "house: resend",
        9,
        "(resend | send) (number | no)? #num again?",
        |caps, words| {
            let said = words.text(0, words.len()).to_lowercase();
            let again = said.contains("again") || said.contains("resend");
            let number = number(caps).and_then(|n| n.to_u32()).filter(|_| again);
            number.and_then(|number| house(HouseSaid::Resend { number: Some(number) }))
        },
    ),
    (
        "set: recordings",
        6,
        "[keep store hold save] [my our the all]? ((voice | audio)? [recordings recording] | [voice audio] [notes note]) (for)? ~? #num [days day]",
        |c, _| recordings(c, 1),
    ),
    (
        "set: recordings by the week",
        6,
        "[keep store hold save] [my our the all]? ((voice | audio)? [recordings recording] | [voice audio] [notes note]) (for)? ~? (#num | a) [weeks week]",
        |c, _| recordings(c, 7),
    ),
    (
        "set: recordings",
        6,
        "[delete drop forget remove] [my our the all]? (voice | audio)? [recordings recording] after ~? #num [days day]",
        |c, _| recordings(c, 1),
    ),
    (
        "set: no recordings",
        6,
        "([dont never] [keep store save] (any)? | keep no | do not [keep store save] (any)?) [my our the]? (voice | audio)? [recordings recording]",
        |_, _| set(Setting::RecordingDays(Decimal::ZERO)),
    ),
];
