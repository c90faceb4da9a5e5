//! The plants, what is known of each, and the tool for a stem.

use rust_decimal::Decimal;

use super::{Guide, Source};

/// What a plant blooms on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Wood {
    /// Last year's.
    Old,
    /// This year's.
    New,
    /// It is not grown for bloom.
    None,
}

/// A plant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plant {
    /// Its name, singular, lower case.
    pub name: String,
    /// Other names.
    pub also: Vec<String>,
    /// The everyday name that it shares with plants cut at other times.
    pub group: Option<String>,
    /// How it grows: `tree`, `shrub`, `canes` and so on.
    pub form: String,
    /// What it blooms on.
    pub wood: Wood,
    /// Who says what it blooms on.
    pub source: &'static Source,
    /// What else is known.
    pub facts: Vec<Fact>,
}

/// What a fact is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FactKind {
    /// The way to cut it.
    How,
    /// The one caution.
    Care,
    /// How much may go.
    Share,
    /// Why it is not topped.
    Top,
}

/// Something known of a plant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// What it is about.
    pub kind: FactKind,
    /// What is known.
    pub text: String,
    /// Who says so.
    pub source: &'static Source,
}

/// A tool for stems of some diameters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tool {
    /// Its name.
    pub name: String,
    /// Inches: thicker than this.
    pub over: Decimal,
    /// Inches: up to and with this.
    pub upto: Decimal,
    /// It is what is answered; else a source that draws the line elsewhere.
    pub main: bool,
    /// What is said with it.
    pub note: String,
    /// Who says so.
    pub source: &'static Source,
}

impl Plant {
    /// What is known of one thing.
    pub fn facts(&self, kind: FactKind) -> impl Iterator<Item = &Fact> {
        self.facts.iter().filter(move |fact| fact.kind == kind)
    }
}

impl Fact {
    /// What is known, marked when nobody published it.
    pub fn said(&self) -> String {
        format!("{}{}", self.text, self.source.mark())
    }
}

impl Guide {
    /// The tool for a stem of a diameter in inches, and the sources that would take another; `None` above what any row
    /// covers, or at nothing.
    pub fn tool(&self, inches: Decimal) -> Option<(&Tool, Vec<&Tool>)> {
        let fits = |tool: &&Tool| tool.over < inches && inches <= tool.upto;
        let main = self.tools.iter().filter(|tool| tool.main).find(fits)?;
        let others = self.tools.iter().filter(|tool| !tool.main).filter(fits);
        Some((main, others.filter(|tool| tool.name != main.name).collect()))
    }
}
