//! The figures that a new book begins with: a rate card and a price list of starter guesses.
//!
//! They are data (`defaults.toml`), each with where it comes from; most are "common practice, no source", which is why
//! every answer that uses one says so. Numbers are written as text there, since a TOML number with a fraction is a
//! float.

use std::collections::BTreeSet;

use serde::Deserialize;

use crate::units::{self, Crew, ManMinutes, RatePerManHour, Unit, UnknownUnit};

const DEFAULTS: &str = include_str!("defaults.toml");

/// What a new book begins with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Starter {
    /// The rate card.
    pub card: StarterCard,
    /// The price list, in the order it is shown.
    pub kinds: Vec<StarterKind>,
}

/// The starter rate card: everything that is not named here is switched off (no set-up, haul, drive, fee, minimum, tax
/// or rounding).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StarterCard {
    /// Dollars for each man-hour.
    pub rate: RatePerManHour,
    /// People who work together.
    pub crew: Crew,
    /// Where the figures come from.
    pub source: String,
}

/// A kind of work on the starter price list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StarterKind {
    /// Its name, singular, lower case.
    pub name: String,
    /// Other words for it, lower case; each belongs to one kind only.
    pub said: Vec<String>,
    /// What one unit is.
    pub unit: Unit,
    /// Whether it is sold with material, whose price only the owner knows.
    pub takes_material: bool,
    /// Its classes: one for each size, small to large, or one without a size.
    pub classes: Vec<StarterClass>,
    /// Where the figures come from.
    pub source: String,
}

/// One size of a kind, or the whole kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StarterClass {
    /// The size; `None` for a kind without sizes.
    pub size: Option<String>,
    /// Man-minutes for one unit.
    pub minutes_each: ManMinutes,
}

/// Why a file of starter figures is refused.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// It is not laid out as starter figures are.
    #[error("starter figures cannot be read")]
    Layout(#[from] toml::de::Error),
    /// A figure is out of its range.
    #[error("a figure of {of} is refused")]
    Figure {
        /// The kind, or the rate card.
        of: String,
        /// Why.
        #[source]
        source: units::Error,
    },
    /// A unit that there is not.
    #[error("the unit of {of} is refused")]
    Unit {
        /// The kind.
        of: String,
        /// Why.
        #[source]
        source: UnknownUnit,
    },
    /// A name or word that is empty, not lower case, or used twice.
    #[error("{0:?} is no name of its own, in lower case")]
    Name(String),
    /// Sizes and one figure for all at once, or neither.
    #[error("{0} needs either sizes or minutes")]
    Classes(String),
    /// A larger size that takes no longer than the smaller one before it, or a unit that takes no time.
    #[error("minutes of {0} do not grow with size")]
    Minutes(String),
    /// No word on where the figures come from.
    #[error("{0} has no source")]
    Source(String),
}

/// The starter figures built into the program.
pub fn starter() -> Starter {
    parse(DEFAULTS).expect("the built-in starter figures are checked by a test")
}

/// The starter rate alone.
pub fn starter_rate() -> RatePerManHour {
    starter().card.rate
}

/// Reads and checks a file of starter figures.
///
/// # Errors
/// Whatever in it is refused; see [`Error`].
pub fn parse(text: &str) -> Result<Starter, Error> {
    let stored: StoredStarter = toml::from_str(text)?;
    let card = stored.rate_card.check()?;
    let mut words = BTreeSet::new();
    let kinds = stored
        .kind
        .into_iter()
        .map(|kind| kind.check(&mut words))
        .collect::<Result<_, _>>()?;
    Ok(Starter { card, kinds })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StoredStarter {
    rate_card: StoredCard,
    kind: Vec<StoredKind>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StoredCard {
    rate: String,
    crew: u32,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StoredKind {
    name: String,
    #[serde(default)]
    said: Vec<String>,
    unit: String,
    #[serde(default)]
    takes_material: bool,
    minutes: Option<String>,
    #[serde(default)]
    sizes: Vec<StoredSize>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StoredSize {
    size: String,
    minutes: String,
}

impl StoredCard {
    fn check(self) -> Result<StarterCard, Error> {
        let refused = |source| Error::Figure {
            of: "the rate card".to_owned(),
            source,
        };
        Ok(StarterCard {
            rate: self.rate.parse().map_err(refused)?,
            crew: Crew::new(self.crew).map_err(refused)?,
            source: check_source(self.source, "the rate card")?,
        })
    }
}

impl StoredKind {
    fn check(self, words: &mut BTreeSet<String>) -> Result<StarterKind, Error> {
        let name = self.name;
        for word in std::iter::once(&name).chain(&self.said) {
            check_name(word)?;
            if !words.insert(word.clone()) {
                return Err(Error::Name(word.clone()));
            }
        }
        let minutes = |text: &str| {
            text.parse::<ManMinutes>().map_err(|source| Error::Figure {
                of: name.clone(),
                source,
            })
        };
        let classes = match (self.minutes, self.sizes.is_empty()) {
            (Some(text), true) => vec![StarterClass {
                size: None,
                minutes_each: minutes(&text)?,
            }],
            (None, false) => (self.sizes.iter())
                .map(|size| {
                    check_name(&size.size)?;
                    Ok(StarterClass {
                        size: Some(size.size.clone()),
                        minutes_each: minutes(&size.minutes)?,
                    })
                })
                .collect::<Result<_, Error>>()?,
            _ => return Err(Error::Classes(name)),
        };
        let mut least = ManMinutes::ZERO;
        let mut sizes = BTreeSet::new();
        for class in &classes {
            if class.minutes_each <= least {
                return Err(Error::Minutes(name));
            }
            least = class.minutes_each;
            if let Some(size) = class.size.as_deref().filter(|size| !sizes.insert(*size)) {
                return Err(Error::Name(size.to_owned()));
            }
        }
        let unit = self.unit.parse().map_err(|source| Error::Unit {
            of: name.clone(),
            source,
        })?;
        let source = check_source(self.source, &name)?;
        Ok(StarterKind {
            name,
            said: self.said,
            unit,
            takes_material: self.takes_material,
            classes,
            source,
        })
    }
}

fn check_name(name: &str) -> Result<(), Error> {
    if name.trim().is_empty() || name != name.trim().to_lowercase() {
        return Err(Error::Name(name.to_owned()));
    }
    Ok(())
}

fn check_source(source: String, of: &str) -> Result<String, Error> {
    if source.trim().is_empty() {
        Err(Error::Source(of.to_owned()))
    } else {
        Ok(source)
    }
}
