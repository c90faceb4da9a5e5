//! What one unit of a service is.

use std::{fmt, str::FromStr};

/// What is counted when a service is priced.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Unit {
    /// A plant or another single thing.
    Each,
    /// A running foot.
    Foot,
    /// A square foot.
    SquareFoot,
    /// A cubic yard.
    Yard,
    /// A bag.
    Bag,
    /// A load.
    Load,
    /// An hour of work.
    Hour,
    /// The whole job.
    Job,
}

/// A text that names no unit.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0:?} is not a unit")]
pub struct UnknownUnit(pub String);

impl Unit {
    /// Every unit.
    pub const ALL: [Unit; 8] = [
        Unit::Each,
        Unit::Foot,
        Unit::SquareFoot,
        Unit::Yard,
        Unit::Bag,
        Unit::Load,
        Unit::Hour,
        Unit::Job,
    ];

    /// The unit's name in data: singular, lower case (`square foot`).
    pub fn name(self) -> &'static str {
        match self {
            Unit::Each => "each",
            Unit::Foot => "foot",
            Unit::SquareFoot => "square foot",
            Unit::Yard => "yard",
            Unit::Bag => "bag",
            Unit::Load => "load",
            Unit::Hour => "hour",
            Unit::Job => "job",
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Unit {
    type Err = UnknownUnit;

    /// Reads what `Display` writes.
    ///
    /// # Errors
    /// When the text is no unit's name.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Unit::ALL
            .into_iter()
            .find(|unit| unit.name() == text)
            .ok_or_else(|| UnknownUnit(text.to_owned()))
    }
}
