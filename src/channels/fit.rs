//! How does one answer look in each messenger?
//!
//! The same answer goes everywhere; here it is cut to what a messenger takes at once, its choices become buttons where
//! there are buttons (the numbered list stays in the words, so typing the number works everywhere), and its pictures go
//! along or become a link. What comes out depends on the answer and the messenger alone, so that a letter that was half
//! sent can be taken up where it stopped.

use serde::Deserialize;

use super::{Channel, gsm, marks};

/// Pieces that one answer may become; the rest is left on the page.
pub const PIECES_MAX: usize = 5;

/// Text messages of 153 letters that one piece may cost.
const SEGMENTS_MAX: usize = 4;

/// Letters that a provider of text messages takes at once.
const SMS_LETTERS_MAX: usize = 1600;

/// Longest label on a button, in letters, where the messenger has no narrower limit.
const LABEL_LETTERS_MAX: usize = 40;

/// A button: what it shows, and what comes back when it is pressed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tap {
    /// What it shows.
    pub label: String,
    /// What comes back: the letter's number and the choice's, `17:2`.
    pub data: String,
}

/// Something to send at once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// Words, with buttons under them.
    Text {
        /// The words.
        text: String,
        /// The buttons.
        taps: Vec<Tap>,
    },
    /// A file.
    File {
        /// By what the book finds it.
        file: String,
        /// Its media type.
        media_type: String,
        /// Its name.
        name: String,
    },
}

/// A file that goes with an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Enclosed {
    /// By what the book finds it.
    pub file: String,
    /// Its media type.
    pub media_type: String,
    /// Its name.
    pub name: String,
    /// Where it can be fetched by whoever has the link, when the house is reachable.
    pub link: Option<String>,
}

/// An answer, as far as messengers need to know it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Reply {
    /// The words.
    pub text: String,
    /// The choices of its one question.
    pub choices: Vec<String>,
    /// Files.
    pub files: Vec<Enclosed>,
}

impl Reply {
    /// Words alone.
    pub fn words(text: impl Into<String>) -> Reply {
        Reply {
            text: text.into(),
            ..Reply::default()
        }
    }

    /// Reads the JSON of an answer. Two questions at once have no buttons: a press could not say which it answers.
    pub fn from_json(json: &str) -> Option<Reply> {
        #[derive(Deserialize)]
        struct Answer {
            text: String,
            #[serde(default)]
            asks: Vec<Ask>,
            #[serde(default)]
            attachments: Vec<Attachment>,
        }
        #[derive(Deserialize)]
        struct Ask {
            #[serde(default)]
            choices: Vec<String>,
        }
        #[derive(Deserialize)]
        struct Attachment {
            kind: String,
            name: String,
            path: String,
        }
        let mut answer: Answer = serde_json::from_str(json).ok()?;
        let choices = if answer.asks.len() == 1 {
            answer.asks.remove(0).choices
        } else {
            Vec::new()
        };
        let files = answer.attachments.into_iter().map(|attachment| Enclosed {
            file: attachment.path.trim_start_matches("/files/").to_string(),
            media_type: attachment.kind,
            name: attachment.name,
            link: None,
        });
        Some(Reply {
            text: answer.text,
            choices,
            files: files.collect(),
        })
    }
}

/// What a messenger can show.
struct Room {
    /// How much of a text goes at once.
    fits: fn(&str) -> bool,
    /// The same for words with buttons under them.
    fits_with_taps: fn(&str) -> bool,
    /// Buttons that it shows.
    taps: usize,
    /// Letters on one of them.
    label: usize,
    /// Whether files go along.
    files: bool,
}

fn room(channel: Channel) -> Room {
    match channel {
        // sendMessage takes 4096 UTF-16 units; a keyboard 100 buttons, of which a phone shows a dozen well.
        Channel::Telegram => Room {
            fits: |text| text.encode_utf16().count() <= 4096,
            fits_with_taps: |text| text.encode_utf16().count() <= 4096,
            taps: 12,
            label: LABEL_LETTERS_MAX,
            files: true,
        },
        // Three buttons of 20 letters, or a list of ten rows of 24, under 1024 letters.
        Channel::Whatsapp => Room {
            fits: |text| text.encode_utf16().count() <= 4096,
            fits_with_taps: |text| text.encode_utf16().count() <= 1024,
            taps: 10,
            label: 20,
            files: true,
        },
        // An event may have 65,536 bytes, encoded twice over as JSON and signed.
        Channel::Matrix => Room {
            fits: |text| text.len() <= 16_000,
            fits_with_taps: |_| true,
            taps: 0,
            label: 0,
            files: true,
        },
        Channel::Sms | Channel::Gateway => Room {
            fits: |text| gsm::segments(text) <= SEGMENTS_MAX && text.encode_utf16().count() <= SMS_LETTERS_MAX,
            fits_with_taps: |_| true,
            taps: 0,
            label: 0,
            files: false,
        },
    }
}

/// Whether a messenger carries files; else they go as links.
pub fn carries_files(channel: Channel) -> bool {
    room(channel).files
}

/// The pieces of an answer in one messenger, in order. `letter` is the number that buttons bring back.
pub fn pieces(channel: Channel, reply: &Reply, letter: i64) -> Vec<Piece> {
    let room = room(channel);
    let cheap = matches!(channel, Channel::Sms | Channel::Gateway);
    let mut text = match channel {
        _ if cheap => gsm::plain(&reply.text),
        Channel::Whatsapp => marks::unmarked(&reply.text),
        _ => reply.text.clone(),
    };
    if !room.files {
        for file in &reply.files {
            if let Some(link) = &file.link {
                text = format!("{text}\n{}: {link}", file.name);
            }
        }
    }
    let taps = taps(&room, &reply.choices, letter);
    let mut texts = cut(&text, room.fits);
    let last = texts.pop();
    if let Some(last) = last {
        if taps.is_empty() || (room.fits_with_taps)(&last) {
            texts.push(last);
        } else {
            texts.extend(cut(&last, room.fits_with_taps));
        }
    }
    let files = if room.files {
        reply.files.len().min(PIECES_MAX - 1)
    } else {
        0
    };
    let kept = PIECES_MAX - files;
    if texts.len() > kept {
        texts.truncate(kept);
        if let Some(last) = texts.last_mut() {
            *last = with_end(last, "(cut here: the page has all of it)", room.fits);
        }
    }
    let last = texts.len().saturating_sub(1);
    let mut pieces: Vec<Piece> = texts
        .into_iter()
        .enumerate()
        .map(|(index, text)| Piece::Text {
            text,
            taps: if index == last { taps.clone() } else { Vec::new() },
        })
        .collect();
    pieces.extend(reply.files.iter().take(files).map(|file| Piece::File {
        file: file.file.clone(),
        media_type: file.media_type.clone(),
        name: file.name.clone(),
    }));
    pieces
}

/// Buttons for the choices, if all of them can be shown.
fn taps(room: &Room, choices: &[String], letter: i64) -> Vec<Tap> {
    if choices.len() > room.taps {
        return Vec::new();
    }
    let labels: Vec<String> = choices.iter().map(|choice| clipped(choice, room.label)).collect();
    let same = labels
        .iter()
        .enumerate()
        .any(|(index, label)| labels[..index].contains(label));
    labels
        .into_iter()
        .enumerate()
        .map(|(index, label)| Tap {
            // Two choices that begin alike are told apart by their number in the list above.
            label: if same {
                clipped(&format!("{}. {label}", index + 1), room.label)
            } else {
                label
            },
            data: format!("{letter}:{}", index + 1),
        })
        .collect()
}

/// What a press brings back: the letter and the choice, from 1.
pub fn read_tap(data: &str) -> Option<(i64, usize)> {
    let (letter, choice) = data.split_once(':')?;
    Some((letter.parse().ok()?, choice.parse().ok().filter(|choice| *choice > 0)?))
}

fn clipped(text: &str, letters_max: usize) -> String {
    if text.chars().count() <= letters_max {
        return text.to_string();
    }
    let kept: String = text.chars().take(letters_max.saturating_sub(3)).collect();
    format!("{}...", kept.trim_end())
}

/// A text in parts that fit: between lines where that will do, else between words, else anywhere.
fn cut(text: &str, fits: fn(&str) -> bool) -> Vec<String> {
    let mut parts = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        if fits(rest) {
            parts.push(rest.to_string());
            break;
        }
        let end = longest_start(rest, fits);
        let head = &rest[..end];
        let at = head
            .rfind('\n')
            .or_else(|| head.rfind(' '))
            .filter(|at| *at > 0)
            .unwrap_or(end);
        parts.push(rest[..at].trim_end().to_string());
        rest = rest[at..].trim_start();
    }
    parts
}

/// Where the longest start of a text that fits ends; at least one letter.
fn longest_start(text: &str, fits: fn(&str) -> bool) -> usize {
    let ends: Vec<usize> = text.char_indices().map(|(at, letter)| at + letter.len_utf8()).collect();
    // Longer starts never cost less, so the border is found by halving.
    let fitting = ends.partition_point(|end| fits(&text[..*end]));
    ends.get(fitting.saturating_sub(1)).copied().unwrap_or(text.len())
}

/// A text that ends with some words, shortened until both fit.
fn with_end(text: &str, end: &str, fits: fn(&str) -> bool) -> String {
    let mut kept = text;
    loop {
        let whole = format!("{}\n{end}", kept.trim_end());
        if fits(&whole) || kept.is_empty() {
            return whole;
        }
        let shorter = kept.char_indices().rev().nth(9).map_or(0, |(at, _)| at);
        kept = &kept[..shorter];
    }
}

#[cfg(test)]
mod tests {
    use super::{Enclosed, PIECES_MAX, Piece, Reply, pieces, read_tap};
    use crate::channels::{Channel, gsm};

    fn texts(pieces: &[Piece]) -> Vec<&str> {
        let text = |piece: &'_ Piece| match piece {
            Piece::Text { .. } => true,
            Piece::File { .. } => false,
        };
        pieces
            .iter()
            .filter(|piece| text(piece))
            .map(|piece| match piece {
                Piece::Text { text, .. } => text.as_str(),
                Piece::File { .. } => unreachable!("filtered above"),
            })
            .collect()
    }

    fn labels(pieces: &[Piece]) -> Vec<(&str, &str)> {
        match pieces.last() {
            Some(Piece::Text { taps, .. }) => taps.iter().map(|tap| (tap.label.as_str(), tap.data.as_str())).collect(),
            _ => Vec::new(),
        }
    }

    #[test]
    fn an_answer_is_read_from_its_json() {
        let json = r#"{"text":"What size?\n1. small\n2. large","asks":[{"question":"What size?","choices":["small","large"]}],
            "attachments":[{"kind":"image/png","name":"plot.png","path":"/files/f_1"}]}"#;
        let reply = Reply::from_json(json).expect("an answer");
        assert_eq!(reply.choices, ["small", "large"]);
        assert_eq!(reply.files[0].file, "f_1");
        let two = r#"{"text":"x","asks":[{"choices":["a"]},{"choices":["b"]}]}"#;
        assert!(Reply::from_json(two).expect("an answer").choices.is_empty());
        assert!(Reply::from_json("x").is_none());
    }

    #[test]
    fn choices_are_buttons_where_there_are_buttons() {
        let reply = Reply {
            text: "What size?\n1. small\n2. a very long name of a size that goes on".into(),
            choices: vec!["small".into(), "a very long name of a size that goes on".into()],
            files: Vec::new(),
        };
        let telegram = pieces(Channel::Telegram, &reply, 17);
        assert_eq!(
            labels(&telegram),
            [("small", "17:1"), ("a very long name of a size that goes on", "17:2")]
        );
        let whatsapp = pieces(Channel::Whatsapp, &reply, 17);
        assert_eq!(labels(&whatsapp), [("small", "17:1"), ("a very long name...", "17:2")]);
        for channel in [Channel::Sms, Channel::Matrix, Channel::Gateway] {
            let pieces = pieces(channel, &reply, 17);
            assert!(labels(&pieces).is_empty() && texts(&pieces)[0].contains("2. a very long"));
        }
        assert_eq!(read_tap("17:2"), Some((17, 2)));
        for wrong in ["", "17", "17:0", "17:x", "x:1", "undo:1"] {
            assert_eq!(read_tap(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn long_answers_are_cut_between_lines_and_end_somewhere() {
        let line = "12 crape myrtle small, 6 min each (starter guess): $114.00 ($9.50 each)";
        let reply = Reply::words(vec![line; 400].join("\n"));
        for channel in Channel::ALL {
            let pieces = pieces(channel, &reply, 1);
            let texts = texts(&pieces);
            assert!(
                texts.len() > 1 && texts.len() <= PIECES_MAX,
                "{channel:?}: {}",
                texts.len()
            );
            assert!(
                texts[0].lines().all(|shown| shown == line),
                "{channel:?} cuts between lines"
            );
            if matches!(channel, Channel::Sms | Channel::Gateway) {
                assert!(texts.iter().all(|text| gsm::segments(text) <= 4));
                assert!(
                    texts
                        .last()
                        .is_some_and(|text| text.ends_with("(cut here: the page has all of it)"))
                );
            }
        }
        let word = Reply::words("a".repeat(9000));
        assert_eq!(texts(&pieces(Channel::Telegram, &word, 1)).concat(), word.text);
    }

    #[test]
    fn pictures_go_along_or_are_a_link() {
        let reply = Reply {
            text: "Small crapes".into(),
            choices: Vec::new(),
            files: vec![Enclosed {
                file: "f_1".into(),
                media_type: "image/png".into(),
                name: "plot.png".into(),
                link: Some("https://yard.example.com/f/abc".into()),
            }],
        };
        assert!(matches!(
            pieces(Channel::Telegram, &reply, 1).as_slice(),
            [Piece::Text { .. }, Piece::File { file, .. }] if file == "f_1"
        ));
        assert_eq!(
            texts(&pieces(Channel::Sms, &reply, 1)),
            ["Small crapes\nplot.png: https://yard.example.com/f/abc"]
        );
    }

    #[test]
    fn nothing_is_taken_for_markup() {
        let reply = Reply::words("Noted: *gate* 4411");
        assert_eq!(
            texts(&pieces(Channel::Whatsapp, &reply, 1)),
            ["Noted: \u{2217}gate\u{2217} 4411"]
        );
        for channel in [Channel::Telegram, Channel::Matrix, Channel::Sms, Channel::Gateway] {
            assert_eq!(texts(&pieces(channel, &reply, 1)), ["Noted: *gate* 4411"]);
        }
    }

    #[test]
    fn text_messages_are_made_cheap() {
        let reply = Reply::words("Alder’s quote – $114.00…");
        assert_eq!(texts(&pieces(Channel::Sms, &reply, 1)), ["Alder's quote - $114.00..."]);
    }
}
