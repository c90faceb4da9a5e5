//! Which of the account's places do some words spell?
//!
//! A book that lives for years names thousands of places, and every message is looked through for them. So each run of
//! words that a name holds is indexed when the name is added, a look-up costs as many steps as the longest name has
//! words, and a copy shares everything with the one before. Words that very many names hold (`Ct`) say little: of the
//! names that hold them only the first few are kept, which is more than anybody can be asked about.

use std::sync::Arc;

use imbl::{HashMap, Vector};

use super::vocabulary::fold_place_word;

/// Names that are told for words that many hold a part of.
const PARTS_MAX: usize = 16;

/// Longest run of words that is indexed as a part of a name.
const RUN_MAX: usize = 8;

/// The account's places, in the order in which they were named.
#[derive(Debug, Clone, Default)]
pub(super) struct Places {
    names: Vector<Arc<str>>,
    by_name: HashMap<String, u32>,
    /// All words of a name, folded, to the names.
    whole: HashMap<String, Vector<u32>>,
    /// A run of words of a name that is not all of it, folded, to the names.
    part: HashMap<String, Vector<u32>>,
    /// Most words that a name has.
    words_max: usize,
}

impl Places {
    /// Adds a place.
    pub(super) fn add(&mut self, name: &str) {
        let place = u32::try_from(self.names.len()).expect("fewer than four billion places");
        self.names.push_back(Arc::from(name));
        self.by_name.entry(name.to_lowercase()).or_insert(place);
        let words = words_of(name);
        self.words_max = self.words_max.max(words.len());
        self.whole.entry(words.join(" ")).or_default().push_back(place);
        for length in 1..=words.len().min(RUN_MAX) {
            for run in words.windows(length).filter(|run| run.len() < words.len()) {
                let list = self.part.entry(run.join(" ")).or_default();
                if list.len() < PARTS_MAX && list.back() != Some(&place) {
                    list.push_back(place);
                }
            }
        }
    }

    /// The name of a place.
    pub(super) fn name(&self, place: usize) -> &str {
        &self.names[place]
    }

    /// All names, in the order in which they were named.
    pub(super) fn names(&self) -> impl DoubleEndedIterator<Item = &str> {
        self.names.iter().map(|name| name.as_ref())
    }

    /// Whether a place is called so, whatever its letter case.
    pub(super) fn has(&self, name: &str) -> bool {
        self.by_name.contains_key(&name.to_lowercase())
    }

    /// Places that the words from the first on spell, as many words as any place allows: (words taken, place, all of the
    /// name was said), whole names first, then in the order in which they were named.
    pub(super) fn spelled(&self, words: &[&str]) -> Vec<(usize, usize, bool)> {
        // Most words of a message begin the name of no place.
        let first = words.first().map(|word| fold_place_word(word));
        if !first.is_some_and(|first| self.part.contains_key(first) || self.whole.contains_key(first)) {
            return Vec::new();
        }
        let mut keys = Vec::with_capacity(self.words_max);
        let mut key = String::new();
        for word in words.iter().take(self.words_max) {
            if !key.is_empty() {
                key.push(' ');
            }
            key.push_str(fold_place_word(word));
            keys.push(key.clone());
            // Words go on to spell a name only if they spell the beginning of one.
            if keys.len() <= RUN_MAX && !self.part.contains_key(&key) {
                break;
            }
        }
        let longest = keys.iter().enumerate().rev().find_map(|(last, key)| {
            let (whole, part) = (self.whole.get(key), self.part.get(key));
            (whole.is_some() || part.is_some()).then_some((last + 1, whole, part))
        });
        let Some((count, whole, part)) = longest else {
            return Vec::new();
        };
        let found = |places: Option<&Vector<u32>>, is_whole: bool| -> Vec<(usize, usize, bool)> {
            let places = places.into_iter().flatten().take(PARTS_MAX);
            places.map(|place| (count, *place as usize, is_whole)).collect()
        };
        let mut hits = found(whole, true);
        hits.extend(found(part, false));
        hits
    }
}

fn words_of(name: &str) -> Vec<String> {
    name.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(|word| fold_place_word(&word.to_lowercase()).to_string())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::Places;

    #[test]
    fn as_many_words_as_any_place_has_are_taken() {
        let mut places = Places::default();
        for name in ["12 Alder Court", "Alder Way", "Mrs Tansy", "Old Mill at Fern"] {
            places.add(name);
        }
        let check = |text: &str, wanted: &[(usize, usize, bool)]| {
            let words: Vec<&str> = text.split(' ').collect();
            assert_eq!(places.spelled(&words), wanted, "{text:?}");
        };
        check("12 alder ct friday", &[(3, 0, true)]);
        check("alder ct", &[(2, 0, false)]);
        check("alder", &[(1, 0, false), (1, 1, false)]);
        check("alder way", &[(2, 1, true)]);
        check("tansy's place", &[(1, 2, false)]);
        check("old mill", &[(2, 3, false)]);
        check("old fern", &[(1, 3, false)]);
        check("elm", &[]);
        check("", &[]);
        assert!(places.has("mrs TANSY") && !places.has("tansy"));
    }

    /// A name longer than the runs that are indexed is still found when all of it is said, and what many names hold stays
    /// a short list.
    #[test]
    fn long_names_and_common_words() {
        let mut places = Places::default();
        let long = "the small house by the old mill at the end of fern lane";
        for number in 0..1000 {
            places.add(&format!("{number} Alder Ct"));
        }
        places.add(long);
        let words: Vec<&str> = long.split(' ').collect();
        assert_eq!(places.spelled(&words[..6]), [(6, 1000, false)]);
        assert_eq!(places.spelled(&words), [(words.len(), 1000, true)]);
        assert_eq!(places.spelled(&["ct"]).len(), super::PARTS_MAX);
        assert_eq!(places.spelled(&["999", "alder", "ct"]), [(3, 999, true)]);
    }
}
