//! Words that are likely in the notes of an account: its own kinds, sizes and places.

use crate::{
    journal::State,
    language::{ServiceName, Unit},
};

/// Places that are looked through for those that fit into a hint.
const PLACES_MAX: usize = 100;

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
            kinds: vocabulary.services().iter().flat_map(spoken).collect(),
            sizes,
            places: vocabulary.places().rev().take(PLACES_MAX).map(str::to_string).collect(),
        }
    }
}

/// A kind as it is spoken of: what is counted one by one in the plural, a long name also by the word that it is known by.
fn spoken(service: &ServiceName) -> Vec<String> {
    let as_counted = |name: &str| match service.unit {
        Unit::Each => plural(name),
        _ => name.to_string(),
    };
    let mut names = Vec::new();
    let short = service
        .aliases
        .iter()
        .find(|alias| service.name.starts_with(alias.as_str()));
    names.extend(short.map(|alias| as_counted(alias)));
    names.push(as_counted(&service.name));
    names
}

/// The plural of an English noun, near enough to be recognised by its sound.
fn plural(name: &str) -> String {
    match name.strip_suffix('y') {
        Some(stem) if !stem.ends_with(['a', 'e', 'o']) => format!("{stem}ies"),
        _ if name.ends_with(['s', 'x']) || name.ends_with("ch") => format!("{name}es"),
        _ => format!("{name}s"),
    }
}
