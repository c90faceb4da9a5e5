//! The invented business: a season of messages, replayed through the same door as real ones.
//!
//! The messages carry their own dates and keys, so filling the book a second time changes nothing.

use std::path::Path;

use anyhow::Context;
use serde::Deserialize;

use super::house::House;
use crate::{
    store::{self, Delivery},
    units::Timestamp,
};

/// The season, a message a line.
const SEASON: &str = include_str!("../../fixtures/demo/season.jsonl");

/// The way these messages came in.
pub(super) const CHANNEL: &str = "demo";

/// Messages that wait at once.
const WAITING_MAX: usize = 256;

#[derive(Deserialize)]
struct Line {
    at: String,
    #[serde(rename = "as")]
    speaker: String,
    text: String,
}

/// One message of the season.
pub(super) struct DemoMessage {
    pub(super) at: Timestamp,
    pub(super) speaker: String,
    pub(super) text: String,
}

/// The season, in order.
pub(super) fn season() -> anyhow::Result<Vec<DemoMessage>> {
    SEASON
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty())
        .map(read)
        .collect()
}

fn read((index, line): (usize, &str)) -> anyhow::Result<DemoMessage> {
    let place = || format!("line {} of the demo season", index + 1);
    let line: Line = serde_json::from_str(line).with_context(place)?;
    let at = line.at.parse().ok().with_context(place)?;
    Ok(DemoMessage {
        at,
        speaker: line.speaker,
        text: line.text,
    })
}

/// Whether a file is new, or the book of an earlier demo.
pub(super) fn is_demo_book(path: &Path) -> anyhow::Result<bool> {
    Ok(store::first_channel(path)?.is_none_or(|channel| channel == CHANNEL))
}

/// Says the season to the book, as far as it was not said before.
pub(super) async fn fill(house: &House, season: Vec<DemoMessage>) -> anyhow::Result<()> {
    let handle = house.store.handle();
    let account = house.store.owner().account;
    let mut numbered = season.into_iter().enumerate().peekable();
    while numbered.peek().is_some() {
        let mut waiting = Vec::new();
        for (index, message) in numbered.by_ref().take(WAITING_MAX) {
            let member = handle.ensure_crew(account, message.speaker, message.at).await?;
            waiting.push(handle.enqueue(Delivery {
                account,
                member: member.id,
                id: house.ids.inbound(),
                channel: CHANNEL.to_string(),
                external_id: format!("season-{index}"),
                text: message.text,
                heard: None,
                answer_to: None,
                sent_at: None,
                media: Vec::new(),
                at: message.at,
            })?);
        }
        for answer in waiting {
            answer.await.map_err(|_| store::Error::Stopped)??;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::season;

    #[test]
    fn the_season_is_in_order() {
        let season = season().expect("every line reads");
        assert!(!season.is_empty());
        assert!(season.is_sorted_by_key(|message| message.at));
    }
}
