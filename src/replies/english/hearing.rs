//! Voice notes: what was heard, or why nothing was.

use super::words::{clipped, joined};
use crate::conversation::Unheard;

/// The line that an answer to a voice note begins with.
pub(super) fn heard(text: &str) -> String {
    format!("Heard: \"{}\"", text.trim())
}

/// Why a note gave no words, and what to do; one line, and the note is kept in any case.
pub(super) fn unheard(why: Unheard) -> String {
    match why {
        Unheard::NoModel => "I kept the voice note but cannot listen yet. On the machine that runs me: \
             tallyhand speech install. Then say \"hear it again\", or type it now."
            .to_string(),
        Unheard::TooLong { minutes_max } => {
            format!(
                "I kept the voice note; it is longer than the {minutes_max} minutes that I listen to. Say it in two?"
            )
        }
        Unheard::TooLarge { megabytes_max } => {
            format!("That voice note is larger than the {megabytes_max} MB that I take. Say it in two, or type it?")
        }
        Unheard::UnknownKind => {
            "I kept the voice note but cannot read that kind of sound. Send it as a usual voice note, or type it?"
                .to_string()
        }
        Unheard::Broken => {
            "The voice note came damaged or cut short, so I took nothing from it. Send it again, or type it?"
                .to_string()
        }
        Unheard::NoWords => {
            "I heard no words in the voice note. Say it again closer to the phone, or type it?".to_string()
        }
        Unheard::NoNote => "I have no voice note of yours to hear again. Say it again, or type it?".to_string(),
        Unheard::Counted => {
            "Your last voice note is in the book already. Say \"undo\" first, then \"hear it again\".".to_string()
        }
        Unheard::Failed => {
            "I kept the voice note but could not listen to it just now. Say \"hear it again\" later, or type it?"
                .to_string()
        }
    }
}

/// What a note may have said, when nothing was taken from it.
pub(super) fn several(ways: &[String]) -> String {
    let quoted: Vec<String> = ways.iter().map(|way| format!("\"{}\"", clipped(way))).collect();
    format!("That could be {}. I took none of it; please type it.", joined(&quoted))
}
