//! Words that are likely in the notes of an account: its own kinds, sizes and places.

use crate::journal::State;

/// Words that are likely in the notes of one account.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Hints {
    /// Its kinds, as on the price list.
    pub kinds: Vec<String>,
    /// Its size words.
    pub sizes: Vec<String>,
    /// Its places, the latest first.
    pub places: Vec<String>,
}

impl Hints {
    /// The words of an account.
    pub fn of(state: &State) -> Hints {
        let vocabulary = state.vocabulary();
        let mut sizes: Vec<String> = Vec::new();
        for size in vocabulary.services().iter().flat_map(|service| &service.sizes) {
            if !sizes.contains(size) {
                sizes.push(size.clone());
            }
        }
        Hints {
            kinds: vocabulary
                .services()
                .iter()
                .map(|service| service.name.clone())
                .collect(),
            sizes,
            places: vocabulary.places().iter().rev().cloned().collect(),
        }
    }
}
