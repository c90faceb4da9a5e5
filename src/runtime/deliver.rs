//! Carrying answers to another program: due rows of the outbox, one request each, noted before the next.
//!
//! At least once: a crash between the request and the note sends it again under the same id. The schedule of tries, the
//! signature and the body belong to the channel; here is only the sending.

use std::{sync::Arc, time::Duration};

use anyhow::Context;
use tokio::{sync::watch, task::JoinHandle};

use super::house::House;
use crate::{
    channels::signed::{self, After, Secret},
    store::{Carried, Error, StoreHandle, Waiting},
    units::Timestamp,
    web::{Clock, Ids},
};

/// Answers sent before the outbox is asked again.
const ROUND_MAX: u32 = 16;

/// How often the outbox is asked when nothing is due.
const PAUSE: Duration = Duration::from_secs(1);

/// How long the other side may take.
const ANSWER_WAIT: Duration = Duration::from_secs(20);

/// What it takes to carry answers.
#[derive(Clone)]
pub struct Carrier {
    /// Where the answers wait.
    pub store: StoreHandle,
    /// The time.
    pub clock: Arc<dyn Clock>,
    /// Where chance comes from.
    pub ids: Arc<dyn Ids>,
    /// Where they go.
    pub url: reqwest::Url,
    /// What signs them.
    pub secrets: Vec<Secret>,
    client: reqwest::Client,
}

impl Carrier {
    /// A carrier with a client of its own: no redirects, no proxy, a limit on the wait.
    pub fn new(
        store: StoreHandle,
        clock: Arc<dyn Clock>,
        ids: Arc<dyn Ids>,
        url: reqwest::Url,
        secrets: Vec<Secret>,
    ) -> anyhow::Result<Carrier> {
        // Another part may have installed it already; any provider will do then.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let client = reqwest::Client::builder()
            .timeout(ANSWER_WAIT)
            .redirect(reqwest::redirect::Policy::none())
            .no_proxy()
            .build()
            .context("no client for the callback")?;
        Ok(Carrier {
            store,
            clock,
            ids,
            url,
            secrets,
            client,
        })
    }
}

/// Starts the worker, if answers are carried anywhere.
pub(super) fn start(house: &House, stopping: watch::Receiver<bool>) -> anyhow::Result<Option<JoinHandle<()>>> {
    let Some(url) = house.config.callback_url.clone() else {
        return Ok(None);
    };
    let secrets = house.config.signed_secrets.clone();
    let carrier = Carrier::new(
        house.store.handle(),
        Arc::clone(&house.clock),
        Arc::clone(&house.ids),
        url,
        secrets,
    )?;
    Ok(Some(tokio::spawn(work(carrier, stopping))))
}

/// What wakes the worker.
enum Wake {
    Due,
    Stop,
}

async fn work(carrier: Carrier, mut stopping: watch::Receiver<bool>) {
    loop {
        let full = match deliver_due(&carrier).await {
            Ok(carried) => carried == ROUND_MAX as usize,
            Err(failure) => {
                tracing::error!(
                    error = &failure as &dyn std::error::Error,
                    "the outbox could not be read"
                );
                false
            }
        };
        let pause = if full { Duration::ZERO } else { PAUSE };
        let wake = tokio::select! {
            () = tokio::time::sleep(pause) => Wake::Due,
            _ = stopping.wait_for(|stop| *stop) => Wake::Stop,
        };
        match wake {
            Wake::Due => {}
            Wake::Stop => return,
        }
    }
}

/// Tries once to carry every answer that is due, a round at most, and gives how many were tried.
pub async fn deliver_due(carrier: &Carrier) -> Result<usize, Error> {
    let waiting = carrier.store.due(carrier.clock.now(), ROUND_MAX).await?;
    for answer in &waiting {
        let carried = try_once(carrier, answer).await;
        carrier
            .store
            .note_carried(answer.id, carried, carrier.clock.now())
            .await?;
    }
    Ok(waiting.len())
}

async fn try_once(carrier: &Carrier, answer: &Waiting) -> Carried {
    let request = match signed::encode(&answer.key, &answer.json, &carrier.secrets, carrier.clock.now()) {
        Ok(request) => request,
        Err(failure) => {
            return Carried::GivenUp {
                failure: failure.to_string(),
            };
        }
    };
    let mut call = carrier.client.post(carrier.url.clone()).body(request.body);
    for (name, value) in request.headers {
        call = call.header(name, value);
    }
    let (status, retry_after_s, failure) = match call.send().await {
        Ok(response) => {
            let asked = response
                .headers()
                .get("retry-after")
                .and_then(|value| value.to_str().ok()?.parse().ok());
            (
                Some(response.status().as_u16()),
                asked,
                format!("status {}", response.status().as_u16()),
            )
        }
        // Without the address: it may hold a key.
        Err(failure) => (None, None, failure.without_url().to_string()),
    };
    let [.., high, low] = carrier.ids.secret();
    let jitter = u32::from(u16::from_be_bytes([high, low])) % 1001;
    match signed::after_try(status, retry_after_s, answer.attempts + 1, jitter) {
        After::Sent => Carried::Sent,
        After::Wait(seconds) => Carried::Later {
            due: in_seconds(carrier.clock.now(), seconds),
            failure,
        },
        After::Stop => Carried::GivenUp { failure },
    }
}

fn in_seconds(now: Timestamp, seconds: i64) -> Timestamp {
    Timestamp::from_unix_seconds(now.unix_seconds() + seconds).unwrap_or(now)
}
