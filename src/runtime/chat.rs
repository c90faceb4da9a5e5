//! The conversation in the terminal: one message, or a line each until the input ends.

use std::io::{BufRead, IsTerminal, Write};

use serde_json::json;

use super::{
    house::House,
    lines::{self, Line},
};
use crate::{
    channels::{MESSAGE_BYTES_MAX, TextRefused, accept_text},
    store::Member,
};

const CHANNEL: &str = "terminal";

/// Says one thing and prints the answer.
pub(super) fn say(house: &House, name: Option<&str>, text: &str, as_json: bool) -> anyhow::Result<()> {
    house.wait(async {
        let member = house.member(name).await?;
        lines::print(&answer(house, &member, text, as_json).await?)
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
                Line::Text(text) => answer(house, &member, &text, as_json).await?,
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

async fn answer(house: &House, member: &Member, text: &str, as_json: bool) -> anyhow::Result<String> {
    let text = match accept_text(text) {
        Ok(text) => text,
        Err(refused) => return Ok(refusal(house, refused, as_json)),
    };
    let answered = house.store.handle().take(house.delivery(member, CHANNEL, text)).await?;
    Ok(if as_json { answered.json } else { answered.text })
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
