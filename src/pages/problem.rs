//! A page that says one thing: what is the matter, and what would work.

use askama::Template;

use super::assets::{Links, links};

/// The words of such a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ProblemPage {
    title: &'static str,
    sentence: &'static str,
    way_on: &'static str,
    /// What can be done about it.
    next: Next,
}

/// What can be done about a problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Next {
    /// Only what the words say.
    Words,
    /// A link to the chat.
    Chat,
    /// A code can be typed.
    Code,
}

#[derive(Template)]
#[template(path = "problem.html", config = "src/pages/askama.toml")]
struct View {
    links: Links,
    page: ProblemPage,
}

impl ProblemPage {
    /// No session.
    pub const SIGNED_OUT: Self = Self::with_code(
        "The book is closed",
        "This phone is not signed in. Say “sign-in code” where you already talk to Tallyhand, and type the code here:",
        "Or open the sign-in link that it printed when it started; “tallyhand link” on that machine prints a new one.",
    );
    /// A code that does not work.
    pub const CODE_WRONG: Self = Self::with_code(
        "That code does not work",
        "A code has eight digits and works once, for ten minutes. Say “sign-in code” for a new one, and type it here:",
        "Or run “tallyhand link” on the machine that keeps the book.",
    );
    /// Too many wrong links or codes.
    pub const TOO_MANY_TRIES: Self = Self::plain(
        "Wait a while",
        "Too many wrong tries came from here.",
        "Try again in ten minutes.",
    );
    /// A client's link that shows nothing.
    pub const CLIENT_LINK_UNKNOWN: Self = Self::plain(
        "Nothing here",
        "This link shows nothing, or nothing any more.",
        "Ask whoever sent it to you for a new one.",
    );
    /// A sign-in link that does not work any more.
    pub const LINK_SPENT: Self = Self::plain(
        "That link is used up",
        "A sign-in link works once, and for a day.",
        "For a new one, run “tallyhand link” on the machine that keeps the book.",
    );
    /// A session was just begun.
    pub const SIGNED_IN: Self = Self::onward("You are in", "This phone can write in the book now.", "Open the book");
    /// A form of another session.
    pub const FOREIGN_FORM: Self = Self::onward(
        "Not taken",
        "That form was not from this page, so nothing was written down.",
        "Open the book",
    );
    /// A form that cannot be read.
    pub const BAD_FORM: Self = Self::onward(
        "Not taken",
        "That form did not arrive whole, so nothing was written down.",
        "Open the book",
    );
    /// A body over the limit.
    pub const TOO_LARGE: Self = Self::onward(
        "Too long",
        "That message is too long, so nothing was written down: send it in parts.",
        "Open the book",
    );
    /// The book is busy.
    pub const BUSY: Self = Self::onward(
        "One moment",
        "The book is busy just now, so nothing was written down: send it again in a moment.",
        "Open the book",
    );
    /// Too many messages in a short time.
    pub const TOO_FAST: Self = Self::onward(
        "Slower, please",
        "That were many messages in a short time, so this one was not written down: send it again in a moment.",
        "Open the book",
    );
    /// Something failed on our side.
    pub const FAILED: Self = Self::onward(
        "That did not work",
        "Something failed on this side and nothing was written down: send it again.",
        "Open the book",
    );
    /// No such page.
    pub const NOT_FOUND: Self = Self::onward("Nothing here", "There is no page under this address.", "Open the book");

    const fn plain(title: &'static str, sentence: &'static str, way_on: &'static str) -> Self {
        ProblemPage {
            title,
            sentence,
            way_on,
            next: Next::Words,
        }
    }

    const fn onward(title: &'static str, sentence: &'static str, way_on: &'static str) -> Self {
        ProblemPage {
            title,
            sentence,
            way_on,
            next: Next::Chat,
        }
    }

    const fn with_code(title: &'static str, sentence: &'static str, way_on: &'static str) -> Self {
        ProblemPage {
            title,
            sentence,
            way_on,
            next: Next::Code,
        }
    }

    fn to_chat(self) -> bool {
        self.next == Next::Chat
    }

    fn takes_code(self) -> bool {
        self.next == Next::Code
    }

    /// The page.
    pub fn html(self) -> String {
        View {
            links: links(),
            page: self,
        }
        .render()
        .expect("writing to a string does not fail")
    }
}
