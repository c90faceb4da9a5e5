//! The words by which a person stops and starts text messages, which carriers and law keep for that.
//!
//! In the United States a whole message of STOP, STOPALL, UNSUBSCRIBE, CANCEL, END or QUIT stops them, START, UNSTOP or YES
//! starts them again, in any letters (twilio.com/docs/api/errors/23002, read 2026-11; CTIA Messaging Principles); plain
//! wordings such as "please stop" or "opt me out" have to be heeded as well (47 CFR 64.1200(a)(10), list from memory).

use super::{Channel, Incoming, Saying};

/// Why a letter is given up that was queued before its person asked for silence.
pub const SILENCED: &str = "they wrote STOP; after their START it can be sent again";

/// What a person wishes of us.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wish {
    /// No more answers.
    Silence,
    /// Answers again.
    Answers,
}

impl Wish {
    /// The wish that a message is, if it is nothing else. `YES` is one only where answers were stopped: elsewhere it
    /// answers a question.
    pub fn of(incoming: &Incoming, silenced: bool) -> Option<Wish> {
        let Saying::Text(text) = &incoming.saying else {
            return None;
        };
        if !matches!(incoming.channel, Channel::Sms | Channel::Gateway) {
            return None;
        }
        let letters: String = text
            .chars()
            .map(|letter| {
                if letter.is_alphabetic() {
                    letter.to_ascii_lowercase()
                } else {
                    ' '
                }
            })
            .collect();
        let words: Vec<&str> = letters.split_whitespace().filter(|word| *word != "please").collect();
        match words.join(" ").as_str() {
            "stop" | "stopall" | "stop all" | "unsubscribe" | "cancel" | "end" | "quit" | "revoke" | "opt out"
            | "optout" | "opt me out" | "unsubscribe me" | "stop texting me" | "stop messages" => Some(Wish::Silence),
            "start" | "unstop" => Some(Wish::Answers),
            "yes" if silenced => Some(Wish::Answers),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Wish;
    use crate::channels::{Channel, Incoming, Saying};

    #[track_caller]
    fn check(channel: Channel, text: &str, silenced: bool, wanted: Option<Wish>) {
        let incoming = Incoming {
            channel,
            external_id: "1".into(),
            address: "1".into(),
            room: "1".into(),
            saying: Saying::Text(text.into()),
            media: Vec::new(),
            sent_at: None,
        };
        assert_eq!(Wish::of(&incoming, silenced), wanted, "{text}");
    }

    #[test]
    fn the_carriers_words_are_heeded_and_no_others() {
        for text in [
            "STOP",
            " stop. ",
            "Quit",
            "END",
            "cancel",
            "Unsubscribe",
            "STOPALL",
            "please stop",
            "opt me out please",
        ] {
            check(Channel::Sms, text, false, Some(Wish::Silence));
            check(Channel::Telegram, text, false, None);
        }
        for text in ["START", "unstop"] {
            check(Channel::Gateway, text, false, Some(Wish::Answers));
        }
        check(Channel::Sms, "YES", true, Some(Wish::Answers));
        check(Channel::Sms, "YES", false, None);
        for text in [
            "stop at Alder on friday",
            "end of the hedge",
            "cancel Alder",
            "",
            "12 small",
            "quit early, done 85 min",
        ] {
            check(Channel::Sms, text, false, None);
        }
    }
}
