//! A body is read up to a limit and never further into memory.
//!
//! A sender that is cut off in the middle of a body sees a broken connection instead of the sentence that says why. So
//! what is over the limit is read and thrown away for a while before the refusal; only then is the connection left.

use std::time::Duration;

use axum::body::{Body, Bytes};
use http_body_util::BodyExt;

/// Most bytes read and thrown away so that the refusal reaches the sender.
const DISCARD_BYTES_MAX: usize = 32 * 1024 * 1024;

/// How long a sender may take over a body.
pub(super) const WAIT_MAX: Duration = Duration::from_secs(20);

/// Why a body is not read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Refused {
    /// Over the limit.
    TooLarge,
    /// The connection broke off, or the sender took too long.
    Broken,
}

/// The whole body, if it fits.
pub(super) async fn read(body: Body, bytes_max: usize) -> Result<Bytes, Refused> {
    read_within(body, bytes_max, WAIT_MAX).await
}

/// The whole body, if it fits and comes within a time.
pub(super) async fn read_within(body: Body, bytes_max: usize, wait: Duration) -> Result<Bytes, Refused> {
    tokio::time::timeout(wait, read_to_end(body, bytes_max))
        .await
        .unwrap_or(Err(Refused::Broken))
}

async fn read_to_end(mut body: Body, bytes_max: usize) -> Result<Bytes, Refused> {
    let mut kept = Vec::new();
    let mut seen = 0_usize;
    while let Some(frame) = body.frame().await {
        let Ok(data) = frame.map_err(|_| Refused::Broken)?.into_data() else {
            continue;
        };
        seen = seen.saturating_add(data.len());
        if seen > DISCARD_BYTES_MAX {
            break;
        }
        if seen <= bytes_max {
            kept.extend_from_slice(&data);
        } else {
            kept = Vec::new();
        }
    }
    if seen > bytes_max {
        Err(Refused::TooLarge)
    } else {
        Ok(Bytes::from(kept))
    }
}
