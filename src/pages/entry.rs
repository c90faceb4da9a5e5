//! One message and its answer, made ready to be drawn: what was said and by whom, the quote as a tag, what can be tapped.
//!
//! The answer is stored as words and as data. The words are what counts: a tag is drawn in the place of the words that say
//! the same, and where those are not found the words stand as they are.

use serde::Deserialize;

use super::quote_tag::QuoteTag;
use crate::units::Timestamp;

/// Who spoke.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Speaker {
    /// Whoever looks at the page.
    Own,
    /// A client, on the client page.
    Client,
    /// The house itself: a reminder, a summary.
    House,
}

/// One message and its answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Who said it.
    pub speaker: Speaker,
    /// What was said.
    pub said: String,
    /// When.
    pub at: Timestamp,
    /// Files that came with it.
    pub brought: Vec<FileShown>,
    /// What was taken from a voice note, when it was one.
    pub heard: bool,
    /// The answer's words before the quote, all of them when there is none.
    pub before: String,
    /// The quote, drawn as a tag.
    pub tag: Option<QuoteTag>,
    /// The answer's words after the quote.
    pub after: String,
    /// What may be tapped in reply to the newest answer; the place in the list, from 1, is what is sent.
    pub choices: Vec<String>,
    /// Whether it changed the book, so that an undo is offered with the newest answer.
    pub changed: bool,
    /// Pictures and files of the answer.
    pub files: Vec<FileShown>,
    /// The client page that the answer opened.
    pub client: Option<ClientShown>,
}

/// A picture, a voice note or another file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileShown {
    /// Its media type.
    pub kind: String,
    /// Its name.
    pub name: String,
    /// Where it is given out.
    pub path: String,
}

/// A client page, as its owner gets it.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct ClientShown {
    /// Its path on this server.
    pub path: Option<String>,
    /// Its whole address, when this server has one.
    pub url: Option<String>,
    /// The same as words to forward.
    pub text: String,
}

/// The parts of an answer's data that are drawn.
#[derive(Debug, Default, Deserialize)]
struct Data {
    #[serde(default)]
    understood: Vec<String>,
    #[serde(default)]
    asks: Vec<Ask>,
    quote: Option<QuoteTag>,
    #[serde(default)]
    attachments: Vec<Attached>,
    client: Option<ClientShown>,
}

#[derive(Debug, Deserialize)]
struct Ask {
    #[serde(default)]
    choices: Vec<String>,
}

#[derive(Debug, Deserialize)]
struct Attached {
    kind: String,
    name: String,
    path: String,
}

/// Kinds of meaning that leave nothing to take back.
const LOOKS: [&str; 5] = ["look", "solve", "guide", "menu", "unclear"];

impl Entry {
    /// A message with its answer's words and data; data that cannot be read is left out.
    pub fn new(speaker: Speaker, said: String, at: Timestamp, words: &str, json: &str) -> Entry {
        let data: Data = serde_json::from_str(json).unwrap_or_default();
        let split = data.quote.as_ref().and_then(|tag| tag.split(words));
        let (before, after) = split.unwrap_or((words, ""));
        let looks_only = |kind: &String| LOOKS.contains(&kind.as_str());
        let asks = data.asks.len();
        Entry {
            speaker,
            said,
            at,
            brought: Vec::new(),
            heard: false,
            before: before.to_string(),
            after: after.to_string(),
            tag: split.and(data.quote),
            choices: match data.asks.into_iter().next() {
                Some(ask) if asks == 1 => ask.choices,
                _ => Vec::new(),
            },
            changed: speaker == Speaker::Own && asks == 0 && !data.understood.iter().all(looks_only),
            files: data.attachments.into_iter().map(FileShown::from).collect(),
            client: data.client,
        }
    }
}

impl Entry {
    /// The same without the lines that number the choices: those are drawn to be tapped.
    pub(super) fn without_numbered_choices(&self) -> Entry {
        let numbered: Vec<String> = self
            .choices
            .iter()
            .enumerate()
            .map(|(index, choice)| format!("{}. {choice}", index + 1))
            .collect();
        let without = |words: &str| {
            let kept = words
                .lines()
                .filter(|line| !numbered.iter().any(|choice| choice == line));
            kept.collect::<Vec<&str>>().join("\n")
        };
        Entry {
            before: without(&self.before),
            after: without(&self.after),
            ..self.clone()
        }
    }
}

impl From<Attached> for FileShown {
    fn from(attached: Attached) -> FileShown {
        FileShown {
            kind: attached.kind,
            name: attached.name,
            path: attached.path,
        }
    }
}

impl FileShown {
    /// Whether it is a picture.
    pub(super) fn is_picture(&self) -> bool {
        self.kind.starts_with("image/")
    }

    /// Whether it is something to listen to.
    pub(super) fn is_sound(&self) -> bool {
        self.kind.starts_with("audio/")
    }

    /// Whether the page can show it: it is given out by this server.
    pub(super) fn is_here(&self) -> bool {
        self.path.starts_with("/files/")
    }
}

impl ClientShown {
    /// The address to hand on: the whole one, else the path.
    pub(super) fn address(&self) -> Option<&str> {
        self.url.as_deref().or(self.path.as_deref())
    }
}

#[cfg(test)]
mod tests {
    use super::{Entry, Speaker};

    fn entry(words: &str, json: &str) -> Entry {
        let at = "2026-01-12T15:00:00Z".parse().expect("a time");
        Entry::new(Speaker::Own, "said".into(), at, words, json)
    }

    const QUOTE: &str = r#"{"understood":["quote"],"quote":{"no":1,"place":"Alder Ct","status":"open","lines":[
        {"service":"holly","size":"small","unit":"each","quantity":"12","minutes_each":"6","man_minutes":"72",
         "unit_price":"12.00","price":"144.00","basis":"starter"}],"extras":[],"crew":1,"man_minutes":"72",
        "elapsed_minutes":"72","rate":"120.00","subtotal":"144.00","discount":"0.00","tax":"0.00","total":"144.00"}}"#;

    #[test]
    fn a_tag_takes_the_place_of_the_words_that_say_the_same() {
        let words = "Added 2.\nQuote 1, Alder Ct\n12 holly small: $144.00\nTotal $144.00\nMind: low.";
        let entry = entry(words, QUOTE);
        assert_eq!(
            (entry.before.as_str(), entry.after.as_str()),
            ("Added 2.", "Mind: low.")
        );
        assert!(entry.tag.is_some() && entry.changed);
    }

    #[test]
    fn where_the_words_are_not_found_they_stand_as_they_are() {
        let entry = entry("Something else entirely.", QUOTE);
        assert_eq!(
            (entry.before.as_str(), entry.after.as_str()),
            ("Something else entirely.", "")
        );
        assert!(entry.tag.is_none());
    }

    #[test]
    fn an_undo_is_offered_for_what_changed_the_book_only() {
        assert!(!entry("x", r#"{"understood":["look"]}"#).changed);
        assert!(!entry("x", r#"{"understood":["quote"],"asks":[{"question":"?"}]}"#).changed);
        assert!(entry("x", r#"{"understood":["look","set"]}"#).changed);
        assert!(!entry("x", "not json").changed);
    }
}
