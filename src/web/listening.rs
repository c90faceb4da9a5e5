//! What is done with a voice note before its message goes to the book: it is listened to, and what was heard goes along.
//!
//! Every way in uses [`attend`]: it leaves a message without sound as it is, so it can be put before any delivery. The
//! wish to hear the last note again is seen here too, because only here are both the recordings and the listener at hand.

use std::time::Duration;

use crate::{
    conversation::{Heard, MediaKind, Unheard},
    speech::{Error as SpeechError, Hints, Recogniser, asks_to_hear_again},
    store::{Delivery, Error, StoreHandle},
    units::AccountId,
};

/// Tries to listen to a note while somebody waits.
const TRIES: u32 = 3;

/// Time between tries.
const PAUSE: Duration = Duration::from_secs(2);

/// Listens to the voice note of a message, or to the member's last one when the message wishes so. A message of neither
/// kind comes back as it is.
pub async fn attend(store: &StoreHandle, recogniser: &Recogniser, mut delivery: Delivery) -> Result<Delivery, Error> {
    if delivery.heard.is_some() {
        return Ok(delivery);
    }
    let heard = if let Some((bytes, media_type)) = note_of(&delivery) {
        Some(hear(store, recogniser, delivery.account, bytes, &media_type).await?)
    } else if asks_to_hear_again(&delivery.text) {
        let heard = hear_again(store, recogniser, &delivery).await?;
        delivery.text.clear();
        Some(heard)
    } else {
        None
    };
    if let Some(text) = heard.as_ref().and_then(Heard::text) {
        delivery.text = [delivery.text.trim(), text].join("\n").trim().to_string();
    }
    delivery.heard = heard;
    Ok(delivery)
}

/// The sound of a message.
fn note_of(delivery: &Delivery) -> Option<(Vec<u8>, String)> {
    let voice = delivery
        .media
        .iter()
        .find(|enclosed| enclosed.media.kind == MediaKind::Voice)?;
    Some((voice.bytes.clone()?, voice.media.media_type.clone()))
}

/// The member's last note, heard again. One that is counted already is not counted twice.
async fn hear_again(store: &StoreHandle, recogniser: &Recogniser, delivery: &Delivery) -> Result<Heard, Error> {
    let Some((recording, message)) = store.last_spoken(delivery.account, delivery.member).await? else {
        return Ok(Heard::Nothing(Unheard::NoNote));
    };
    let state = store.state(delivery.account).await?;
    if state.steps().any(|step| step.cause == message) {
        return Ok(Heard::Nothing(Unheard::Counted));
    }
    hear(
        store,
        recogniser,
        delivery.account,
        recording.bytes,
        &recording.media_type,
    )
    .await
}

/// What is heard in a note, with the account's own words in mind.
pub async fn hear(
    store: &StoreHandle,
    recogniser: &Recogniser,
    account: AccountId,
    bytes: Vec<u8>,
    media_type: &str,
) -> Result<Heard, Error> {
    let hints = Hints::of(&store.state(account).await?);
    for tried in 1..=TRIES {
        match recogniser.hear(bytes.clone(), media_type, hints.clone()).await {
            Ok(heard) => return Ok(heard),
            Err(SpeechError::Busy) if tried < TRIES => tokio::time::sleep(PAUSE).await,
            Err(failure) => {
                tracing::error!(error = &failure as &dyn std::error::Error, "a voice note was not heard");
                break;
            }
        }
    }
    Ok(Heard::Nothing(Unheard::Failed))
}
