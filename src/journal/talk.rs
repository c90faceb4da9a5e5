//! What a member and the assistant are talking about: the "it" of the next message.
//!
//! Kept for each member apart, so that one person's "2" never answers another person's question.

use super::question::Pending;
use crate::{
    pricing::Sheet,
    units::{InboundId, QuoteNo},
};

/// The thread of one member.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Talk {
    /// The quote being talked about.
    pub quote: Option<QuoteNo>,
    /// The kinds being talked about.
    pub services: Vec<String>,
    /// The message that named them one by one, while more of them may follow.
    pub services_from: Option<InboundId>,
    /// The question that is open.
    pub pending: Option<Pending>,
    /// The last change that was shown and not made, while nothing else was shown since.
    pub what_if: Option<WhatIf>,
    /// What the guide said since a quote or a job was last shown.
    pub guide: GuideTalk,
}

/// What the guide said.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct GuideTalk {
    /// About which plant.
    pub plant: Option<String>,
    /// Where it came from, by the guide's names of the sources.
    pub sources: Vec<String>,
    /// It was asked something, and answered last; cautions beside a price do not count.
    pub spoke_last: bool,
}

impl GuideTalk {
    /// One more source of what was said.
    pub(super) fn name_source(&mut self, source: &str) {
        if !self.sources.iter().any(|known| known == source) {
            self.sources.push(source.to_string());
        }
    }
}

/// A change that was shown and not made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WhatIf {
    /// The quote it was about.
    pub no: QuoteNo,
    /// What it was priced from.
    pub sheet: Sheet,
}
