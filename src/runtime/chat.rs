//! The conversation in the terminal: one message, or a line each until the input ends.

use std::{
    io::{BufRead, IsTerminal, Write},
    path::{Path, PathBuf},
};

use anyhow::{Context, bail};
use serde_json::json;

use super::{
    attachments,
    house::House,
    lines::{self, Line},
};
use crate::{
    channels::{MESSAGE_BYTES_MAX, TextRefused, accept_text, media_of},
    conversation::MediaKind,
    store::{Delivery, Enclosed, FILE_BYTES_MAX, Member},
    units::InboundId,
    web::attend,
};

const CHANNEL: &str = "terminal";

/// Says one thing, with the files that go with it, and prints the answer.
pub(super) fn say(
    house: &House,
    name: Option<&str>,
    text: &str,
    (files, voice): (&[PathBuf], Option<&Path>),
    as_json: bool,
) -> anyhow::Result<()> {
    house.wait(async {
        let member = house.member(name).await?;
        lines::print(&answer(house, &member, text, (files, voice), as_json).await?)
    })?
}

/// Reads messages until the input ends and prints an answer to each.
pub(super) fn run(house: &House, name: Option<&str>, as_json: bool) -> anyhow::Result<()> {
    house.wait(async {
        let member = house.member(name).await?;
        let mut input = std::io::stdin().lock();
        let at_a_terminal = std::io::stdin().is_terminal() && !as_json;
        if at_a_terminal {
            lines::print("Say what you counted, such as: 12 small 3 medium crapes. ? shows the rest, Ctrl-D ends.")?;
        }
        while let Some(line) = prompt(&mut input, at_a_terminal)? {
            let said = match line {
                // A person pressing Enter says nothing; a program gets an answer for every line.
                Line::Text(text) if text.trim().is_empty() && !as_json => continue,
                Line::Text(text) => answer(house, &member, &text, (&[], None), as_json).await?,
                Line::TooLong(bytes) => refusal(house, TextRefused::TooLong { bytes }, as_json),
            };
            lines::print(&said)?;
            if !as_json {
                lines::print("")?;
            }
        }
        Ok(())
    })?
}

fn prompt(input: &mut impl BufRead, at_a_terminal: bool) -> anyhow::Result<Option<Line>> {
    if at_a_terminal {
        let mut output = std::io::stdout().lock();
        write!(output, "> ")?;
        output.flush()?;
    }
    Ok(lines::next(input, MESSAGE_BYTES_MAX)?)
}

async fn answer(
    house: &House,
    member: &Member,
    text: &str,
    (files, voice): (&[PathBuf], Option<&Path>),
    as_json: bool,
) -> anyhow::Result<String> {
    let text = match accept_text(text) {
        Ok(text) => text,
        Err(TextRefused::Empty) if !files.is_empty() || voice.is_some() => String::new(),
        Err(refused) => return Ok(refusal(house, refused, as_json)),
    };
    let delivery = house.delivery(member, CHANNEL, text);
    let mut media = enclose(&delivery.id, files)?;
    if let Some(voice) = voice {
        media.push(spoken(&delivery.id, media.len() + 1, voice)?);
    }
    let store = house.store.handle();
    let delivery = attend(&store, &house.recogniser, Delivery { media, ..delivery }).await?;
    let answered = store.take(delivery).await?;
    let answered = attachments::write_out(&store, member.account, &house.config.db, answered).await?;
    Ok(if as_json { answered.json } else { answered.text })
}

/// Files from this machine, to go with a message.
fn enclose(message: &InboundId, files: &[PathBuf]) -> anyhow::Result<Vec<Enclosed>> {
    let numbered = files.iter().enumerate();
    numbered
        .map(|(index, path)| enclose_one(message, index + 1, path))
        .collect()
}

fn enclose_one(message: &InboundId, place: usize, path: &Path) -> anyhow::Result<Enclosed> {
    let bytes = std::fs::read(path).with_context(|| format!("{} cannot be read", path.display()))?;
    if bytes.is_empty() || bytes.len() > FILE_BYTES_MAX {
        bail!(
            "{} has {} bytes; 1 to {FILE_BYTES_MAX} can be kept",
            path.display(),
            bytes.len()
        );
    }
    let name = path.file_name().map(|name| name.to_string_lossy());
    Ok(Enclosed {
        media: media_of(message, place, &bytes, Some("text/plain"), name.as_deref()),
        bytes: Some(bytes),
    })
}

/// A recording from this machine. Phones record sound into containers that are taken for films.
fn spoken(message: &InboundId, place: usize, path: &Path) -> anyhow::Result<Enclosed> {
    let mut enclosed = enclose_one(message, place, path)?;
    enclosed.media.kind = MediaKind::Voice;
    enclosed.media.media_type = enclosed.media.media_type.replace("video/", "audio/");
    Ok(enclosed)
}

/// The answer to a text that does not go into the book.
fn refusal(house: &House, refused: TextRefused, as_json: bool) -> String {
    if !as_json {
        return refused.to_string();
    }
    json!({
        "id": house.ids.inbound().as_str(),
        "at": house.clock.now().to_string(),
        "understood": ["unclear"],
        "text": refused.to_string(),
    })
    .to_string()
}
