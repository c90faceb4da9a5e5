//! The conversation as a ledger: days, what was said, what was answered, and a line to write on.

use std::borrow::Cow;

use askama::Template;
use chrono_tz::Tz;

use super::{
    assets::{Links, links},
    dates,
    entry::{Entry, Speaker},
    nav::Place,
    tally,
};
use crate::units::Timestamp;

/// Why a text was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Notice {
    /// It was empty.
    Empty,
    /// It was too long.
    TooLong {
        /// Its length in bytes.
        bytes: usize,
        /// What fits, in bytes.
        fit: usize,
    },
}

/// The page of the conversation.
#[derive(Debug, Clone)]
pub struct ChatPage {
    /// Whose page it is, so that what waits on a phone is sent for the one who said it.
    pub who: i64,
    /// The reader is the owner, who alone makes prices.
    pub owner: bool,
    /// Messages, oldest first.
    pub entries: Vec<Entry>,
    /// The position before which older ones lie, when there are any.
    pub earlier: Option<i64>,
    /// Ties the forms to the session.
    pub form_token: String,
    /// Makes the next message recognisable when it is sent twice.
    pub key: String,
    /// Why the last text was not taken.
    pub notice: Option<Notice>,
    /// That text, so that it need not be typed again.
    pub draft: String,
    /// Whether the newest messages are shown, so that there is a line to write on.
    pub newest: bool,
}

#[derive(Template)]
#[template(path = "chat.html", config = "src/pages/askama.toml")]
struct View<'a> {
    links: Links,
    place: Place,
    page: &'a ChatPage,
    days: Vec<Day<'a>>,
    notice: Option<String>,
}

struct Day<'a> {
    heading: String,
    /// SVG of our own making.
    tally: String,
    lines: Vec<Line<'a>>,
}

struct Line<'a> {
    time: String,
    entry: Cow<'a, Entry>,
    newest: bool,
}

impl ChatPage {
    /// The page in a time zone at a time, which decides what is called today.
    pub fn html(&self, zone: Tz, now: Timestamp) -> String {
        let view = View {
            links: links(),
            place: Place::Talk,
            page: self,
            days: self.days(zone, now),
            notice: self.notice.map(words),
        };
        view.render().expect("writing to a string does not fail")
    }

    fn days(&self, zone: Tz, now: Timestamp) -> Vec<Day<'_>> {
        let mut days: Vec<Day<'_>> = Vec::new();
        for (index, entry) in self.entries.iter().enumerate() {
            let heading = dates::day(entry.at, now, zone);
            if days.last().is_none_or(|day| day.heading != heading) {
                days.push(Day {
                    heading,
                    tally: String::new(),
                    lines: Vec::new(),
                });
            }
            let day = days.last_mut().expect("one was pushed when there was none");
            let newest = self.newest && index + 1 == self.entries.len();
            day.lines.push(Line {
                time: dates::time_of_day(entry.at, zone),
                entry: match newest && !entry.choices.is_empty() {
                    true => Cow::Owned(entry.without_numbered_choices()),
                    false => Cow::Borrowed(entry),
                },
                newest,
            });
        }
        for day in &mut days {
            day.tally = tally::svg(day.lines.len());
        }
        days
    }
}

fn words(notice: Notice) -> String {
    match notice {
        Notice::Empty => "Nothing was written. Say what you counted, such as: 12 small 3 medium crapes".to_string(),
        Notice::TooLong { bytes, fit } => {
            format!("That is {bytes} letters long and {fit} fit on a line of the book. Send it in parts.")
        }
    }
}

#[cfg(test)]
mod tests {
    use chrono_tz::America::Chicago;

    use super::{ChatPage, Entry, Speaker};

    fn page(entries: Vec<Entry>) -> String {
        let page = ChatPage {
            who: 1,
            owner: true,
            entries,
            earlier: None,
            form_token: "f".into(),
            key: "k".into(),
            notice: None,
            draft: String::new(),
            newest: true,
        };
        page.html(Chicago, "2026-01-12T15:04:05Z".parse().expect("a time"))
    }

    fn entry(said: &str, answer: &str, at: &str, choices: &[&str]) -> Entry {
        let json = serde_json::json!({"asks": [{"question": "?", "choices": choices}]}).to_string();
        Entry::new(Speaker::Own, said.into(), at.parse().expect("a time"), answer, &json)
    }

    #[test]
    fn what_was_said_cannot_become_markup() {
        let html = page(vec![entry(
            "<script>alert(1)</script>",
            "\"><img src=x onerror=alert(1)>",
            "2026-01-12T15:00:00Z",
            &["<u>"],
        )]);
        for raw in ["<script>alert", "<img", "<u>"] {
            assert!(!html.contains(raw), "{raw} came through");
        }
        assert!(html.contains("&#60;script&#62;"), "it is shown as text:\n{html}");
    }

    #[test]
    fn choices_are_offered_for_the_newest_answer_only() {
        let ask = |at| entry("hollies", "What size?", at, &["small", "large"]);
        let html = page(vec![ask("2026-01-11T15:00:00Z"), ask("2026-01-12T15:00:00Z")]);
        assert_eq!(html.matches("class=\"choice\"").count(), 2);
        assert!(html.contains("Sunday, January 11") && html.contains("today"));
    }
}
