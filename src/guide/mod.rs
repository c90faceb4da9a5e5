//! What is known of plants and of what can hurt somebody, with a source for every line?
//!
//! Facts are rows of the tables in `data/`: each names its source and the day it was read, and a table with a row that
//! does not is refused as a whole. Sources that differ stand side by side; nothing here decides between them, and nothing
//! claims more than its source. The rules that pick rows are here too: what may be cut on a day at a place ([`season`]),
//! which cautions a message or a job calls up ([`cautions`]), and the published formulas for weather, noise and lifting
//! ([`weather`], [`limits`]). Pure; money is not known here.

pub mod calendar;
pub mod cautions;
mod error;
pub mod limits;
mod load;
pub mod plants;
pub mod season;
mod table;
pub mod weather;

use std::sync::LazyLock;

pub use calendar::{MonthDay, Zone};
pub use cautions::Warning;
pub use error::Error;
pub use load::{Files, parse};
pub use plants::{Fact, FactKind, Plant, Tool, Wood};
pub use season::{Place, Season, Verdict, Window};

/// How a source was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Seen {
    /// The publisher's own page, or a regulation's text.
    Original,
    /// A reprint, a news item, or a page that quotes it.
    Copy,
    /// No source was found: common practice.
    Practice,
}

/// Where a row comes from.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Source {
    /// Its short name in the tables.
    pub key: String,
    /// What it is.
    pub text: String,
    /// Where it was seen; empty for none.
    pub address: String,
    /// How it was seen.
    pub seen: Seen,
    /// The day it was read, `2026-11-25`.
    pub read_on: String,
}

impl Source {
    /// What goes behind a fact that nobody published, so that it claims no more than it can.
    pub fn mark(&self) -> &'static str {
        match self.seen {
            Seen::Practice => " (common practice)",
            Seen::Original | Seen::Copy => "",
        }
    }

    /// The source with how sure it is, in a line.
    pub fn cited(&self) -> String {
        match self.seen {
            Seen::Original => format!("{} (read {})", self.text, self.read_on),
            Seen::Copy => format!("{} (seen in a copy, read {})", self.text, self.read_on),
            Seen::Practice => self.text.clone(),
        }
    }
}

/// General practice: a topic, what is said of it, and who says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Practice {
    /// The topic; with a form behind a colon it is for plants of that form.
    pub topic: String,
    /// What is said.
    pub text: String,
    /// Who says so.
    pub source: &'static Source,
}

/// All that is known.
#[derive(Debug)]
pub struct Guide {
    /// The plants.
    pub plants: Vec<Plant>,
    /// When they are cut.
    pub windows: Vec<Window>,
    /// Closed seasons for diseases.
    pub closed: Vec<season::Closed>,
    /// General practice.
    pub practice: Vec<Practice>,
    /// What cuts which diameter.
    pub tools: Vec<Tool>,
    /// The cautions, those that come first first.
    pub warnings: Vec<Warning>,
    /// Words that call them up.
    pub triggers: Vec<cautions::Trigger>,
    /// Work that calls them up.
    pub works: Vec<cautions::Work>,
    /// Published levels of heat and cold.
    pub levels: Vec<weather::Level>,
    /// The sources.
    pub sources: Vec<&'static Source>,
}

static BUILT_IN: LazyLock<Guide> =
    LazyLock::new(|| parse(&Files::built_in()).expect("a test reads the tables built into the program"));

/// The guide built into the program.
pub fn guide() -> &'static Guide {
    &BUILT_IN
}

impl Practice {
    /// What is said, marked when nobody published it.
    pub fn said(&self) -> String {
        format!("{}{}", self.text, self.source.mark())
    }
}

impl Guide {
    /// A plant by its name.
    pub fn plant(&self, name: &str) -> Option<&Plant> {
        self.plants.iter().find(|plant| plant.name == name)
    }

    /// The plants that share an everyday name.
    pub fn group(&self, name: &str) -> Vec<&Plant> {
        self.plants
            .iter()
            .filter(|plant| plant.group.as_deref() == Some(name))
            .collect()
    }

    /// What is said of a topic.
    pub fn practice(&self, topic: &str) -> impl Iterator<Item = &Practice> {
        self.practice.iter().filter(move |row| row.topic == topic)
    }

    /// A caution by its code.
    pub fn warning(&self, code: &str) -> Option<&Warning> {
        self.warnings.iter().find(|warning| warning.code == code)
    }
}
