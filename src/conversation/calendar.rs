//! The private calendar of a member: an address that a phone's calendar subscribes to, given out and shut by message.
//!
//! The address holds 256 random bits of its own; the book keeps a hash. A new one ends the one before, so that a phone
//! that was lost can be shut out from any other.

use sha2::{Digest, Sha256};

use super::{
    Context,
    answer::Part,
    desk::{Desk, Worked},
};
use crate::{journal::Event, units::MemberId};

/// Gives the member who speaks an address; an earlier one ends.
pub(super) fn open(desk: &mut Desk<'_>) -> Worked {
    let token = token_of(desk.ctx, desk.inbound.member);
    desk.record(Event::CalendarOpened {
        hash: calendar_hash(&token),
    });
    let base = desk.ctx.public_url.clone();
    desk.say(Part::Calendar {
        path: Some(format!("/calendar/{token}.ics")),
        base,
    });
    Ok(())
}

/// Ends the address of the member who speaks.
pub(super) fn shut(desk: &mut Desk<'_>) -> Worked {
    if desk.book().has_calendar(desk.inbound.member) {
        desk.record(Event::CalendarShut { member: None });
    }
    desk.say(Part::Calendar { path: None, base: None });
    Ok(())
}

/// The secret of an address, made from the message's own random secret.
fn token_of(ctx: &Context, member: MemberId) -> String {
    use base64::{Engine, engine::general_purpose::URL_SAFE_NO_PAD};
    let mut hasher = Sha256::new();
    hasher.update(format!("tallyhand calendar of {} ", member.get()).as_bytes());
    hasher.update(ctx.secret);
    URL_SAFE_NO_PAD.encode(hasher.finalize())
}

/// What the book keeps of an address's secret.
pub fn calendar_hash(token: &str) -> String {
    let digest = Sha256::digest(format!("tallyhand calendar {token}").as_bytes());
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}
