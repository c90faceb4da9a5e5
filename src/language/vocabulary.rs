//! The account's own names, indexed for matching by spelling and by sound.
//!
//! Built once when the price list or the places change, then shared; a message is matched against the indexes, so its
//! cost hardly grows with the length of the list. It holds names only: no minutes, no prices.

use std::sync::Arc;

use rphonetic::{DoubleMetaphone, Encoder};
use rustc_hash::{FxHashMap, FxHashSet};

use super::{Unit, places::Places};

/// A kind on the price list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ServiceName {
    /// Its name, singular, lower case.
    pub name: String,
    /// Other words that mean it (`gutters` for `gutter clean`).
    pub aliases: Vec<String>,
    /// What one unit is.
    pub unit: Unit,
    /// Its sizes in the account's own words; empty when it has none.
    pub sizes: Vec<String>,
    /// It has a material price, so a money figure per unit is taken for material.
    pub has_material: bool,
}

/// How a word of the message reached a word of a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Likeness {
    /// The same, but for number and ending.
    Same,
    /// A letter or two off.
    Spelling,
    /// Sounds alike.
    Sound,
}

/// A kind found in the message.
#[derive(Debug, Clone)]
pub(super) struct KindHit {
    /// How many words it took.
    pub(super) words: usize,
    /// Which kind.
    pub(super) service: usize,
    /// How.
    pub(super) likeness: Likeness,
    /// The whole name (or alias) was said, not a part of it.
    pub(super) whole: bool,
}

/// One way to say a kind: its words as stems.
#[derive(Debug, Clone)]
struct Name {
    service: usize,
    stems: Vec<String>,
    is_alias: bool,
}

/// Names that a message may use. A copy shares them.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    kinds: Arc<Kinds>,
    places: Places,
}

/// The kinds of the price list.
#[derive(Debug, Clone, Default)]
struct Kinds {
    services: Vec<ServiceName>,
    by_name: FxHashMap<String, usize>,
    names: Vec<Name>,
    /// Stem to (name, word of the name).
    by_stem: FxHashMap<String, Vec<(u32, u8)>>,
    /// The hash of the joined stems of a name, to those stems (`crapemyrtl`) and the name.
    by_joined: FxHashMap<u64, Vec<(String, u32)>>,
    /// The units in which some kind is sold.
    units: Vec<Unit>,
    /// The hash of a stem with letters left out, to stems; what is found so is compared letter by letter.
    by_deletion: FxHashMap<u64, Vec<u32>>,
    /// Sound code to stems.
    by_sound: FxHashMap<String, Vec<u32>>,
    stems: Vec<String>,
    /// Stems of the account's own size words.
    size_words: FxHashSet<String>,
}

/// Words shorter than this are matched as they are: a letter off in three is another word.
const FUZZY_MIN_LETTERS: usize = 4;
/// From this length on two letters may be off.
const FUZZY_TWO_LETTERS: usize = 7;
/// Most words that are joined to one of a name.
const JOINED_MAX: usize = 3;
/// Words of the message longer than this are not matched by likeness.
const FUZZY_MAX_LETTERS: usize = 24;

impl Vocabulary {
    /// Indexes the names of an account.
    pub fn new(services: Vec<ServiceName>, places: Vec<String>) -> Self {
        let mut known = Places::default();
        places.iter().for_each(|place| known.add(place));
        Vocabulary {
            kinds: Arc::new(Kinds::new(services)),
            places: known,
        }
    }

    /// Adds a place.
    pub fn add_place(&mut self, name: &str) {
        self.places.add(name);
    }

    /// The same places with other kinds.
    pub fn with_services(&self, services: Vec<ServiceName>) -> Self {
        Vocabulary {
            kinds: Arc::new(Kinds::new(services)),
            places: self.places.clone(),
        }
    }

    /// The kinds, in the order given.
    pub fn services(&self) -> &[ServiceName] {
        &self.kinds.services
    }

    /// The kind of this name.
    pub(super) fn service(&self, name: &str) -> Option<&ServiceName> {
        self.kinds.by_name.get(name).map(|index| &self.kinds.services[*index])
    }

    /// Whether the kind of this name is a whole job.
    pub(super) fn is_job(&self, name: Option<&str>) -> bool {
        name.and_then(|name| self.service(name))
            .is_some_and(|service| service.unit == Unit::Job)
    }

    /// The places, in the order given.
    pub fn places(&self) -> impl DoubleEndedIterator<Item = &str> {
        self.places.names()
    }

    /// A place by its number in that order.
    pub(super) fn place(&self, index: usize) -> &str {
        self.places.name(index)
    }

    /// Whether a place is called so, whatever its letter case.
    pub(super) fn has_place(&self, name: &str) -> bool {
        self.places.has(name)
    }

    /// Whether a stem is a word of a kind's name, or all of it.
    pub(super) fn has_word(&self, stem: &str) -> bool {
        self.kinds.by_stem.contains_key(stem) || self.kinds.joined(hash_on(FNV_BASIS, stem), &[stem]).is_some()
    }

    /// Whether some kind is sold in this unit.
    pub(super) fn sells_by(&self, unit: Unit) -> bool {
        self.kinds.units.contains(&unit)
    }

    /// Whether a stem is a size word of some kind of the account.
    pub(super) fn has_size_word(&self, stem: &str) -> bool {
        self.kinds.size_words.contains(stem)
    }

    /// Kinds that the message's words, from the first on, spell: whole names before parts, longer before shorter.
    /// `words` are stems; `fuzzy` allows likeness of the first word, `joinable`
    /// that of the first two together.
    pub(super) fn kinds(&self, words: &[&str], fuzzy: bool, joinable: bool) -> Vec<KindHit> {
        self.kinds.spelled(words, fuzzy, joinable)
    }

    /// Known places that the words from the first on spell, as many words as any place allows: (words taken, place, all
    /// of the name was said). A short name (`Alder` for `Alder Ct`, `Tansy` for `Mrs Tansy`) counts.
    pub(super) fn places_spelled(&self, words: &[&str]) -> Vec<(usize, usize, bool)> {
        self.places.spelled(words)
    }
}

impl Kinds {
    fn new(services: Vec<ServiceName>) -> Self {
        let mut kinds = Kinds {
            services,
            ..Kinds::default()
        };
        for index in 0..kinds.services.len() {
            let service = kinds.services[index].clone();
            kinds.by_name.entry(service.name.clone()).or_insert(index);
            if !kinds.units.contains(&service.unit) {
                kinds.units.push(service.unit);
            }
            kinds.add_name(index, &service.name, false);
            for alias in &service.aliases {
                kinds.add_name(index, alias, true);
            }
            kinds.size_words.extend(service.sizes.iter().map(|size| stem(size)));
        }
        kinds
    }

    fn add_name(&mut self, service: usize, name: &str, is_alias: bool) {
        let stems: Vec<String> = name
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty())
            .map(stem)
            .collect();
        if stems.is_empty() {
            return;
        }
        let id = u32::try_from(self.names.len()).expect("fewer than four billion names");
        self.add_joined(stems.concat(), id);
        let raw: String = name.chars().filter(|c| c.is_alphanumeric()).collect();
        self.add_joined(stem(&raw), id);
        for (place, word) in stems.iter().enumerate() {
            let place = u8::try_from(place).unwrap_or(u8::MAX);
            if !self.by_stem.contains_key(word) {
                self.add_stem(word);
            }
            self.by_stem.entry(word.clone()).or_default().push((id, place));
        }
        self.names.push(Name {
            service,
            stems,
            is_alias,
        });
    }

    fn add_joined(&mut self, joined: String, name: u32) {
        let known = self.by_joined.entry(hash_on(FNV_BASIS, &joined)).or_default();
        if !known.iter().any(|(other, _)| *other == joined) {
            known.push((joined, name));
        }
    }

    /// The name that some words spell when they are joined; `hash` is that of all their letters.
    fn joined(&self, hash: u64, words: &[&str]) -> Option<u32> {
        let spelled = |joined: &str| {
            let rest = words.iter().try_fold(joined, |rest, word| rest.strip_prefix(word));
            rest.is_some_and(str::is_empty)
        };
        let known = self.by_joined.get(&hash)?;
        known.iter().find(|(joined, _)| spelled(joined)).map(|(_, name)| *name)
    }

    fn add_stem(&mut self, word: &str) {
        let index = u32::try_from(self.stems.len()).expect("fewer than four billion words");
        self.stems.push(word.to_string());
        let letters = word.chars().count();
        if (FUZZY_MIN_LETTERS..=FUZZY_MAX_LETTERS).contains(&letters) {
            for short in deletions(word, if letters >= FUZZY_TWO_LETTERS { 2 } else { 1 }) {
                self.by_deletion.entry(short).or_default().push(index);
            }
            for code in sound_codes(word) {
                self.by_sound.entry(code).or_default().push(index);
            }
        }
    }

    fn spelled(&self, words: &[&str], fuzzy: bool, joinable: bool) -> Vec<KindHit> {
        let Some(first) = words.first() else { return Vec::new() };
        let mut hits = Vec::new();
        if let Some(uses) = self.by_stem.get(*first) {
            self.spell(uses, words, Likeness::Same, &mut hits);
        }
        let mut hash = FNV_BASIS;
        for count in 1..=words.len().min(JOINED_MAX) {
            hash = hash_on(hash, words[count - 1]);
            if let Some(name) = self.joined(hash, &words[..count]) {
                let service = self.names[name as usize].service;
                hits.push(KindHit {
                    words: count,
                    service,
                    likeness: Likeness::Same,
                    whole: true,
                });
            }
        }
        if hits.is_empty() {
            if fuzzy {
                for (index, likeness) in self.alike(first, true) {
                    if let Some(uses) = self.by_stem.get(&self.stems[index as usize]) {
                        self.spell(uses, words, likeness, &mut hits);
                    }
                }
            }
            if joinable {
                self.alike_joined(words, fuzzy, &mut hits);
            }
        }
        hits.sort_by_key(|hit| (std::cmp::Reverse((hit.whole, hit.words)), hit.likeness, hit.service));
        hits.dedup_by_key(|hit| (hit.words, hit.service));
        hits
    }

    /// `box woods`, `loro pedalum`: two words that together are nearly one. A first word that the language knows (`as alias`)
    /// has to sound so together with the other.
    fn alike_joined(&self, words: &[&str], first_unknown: bool, hits: &mut Vec<KindHit>) {
        let Some([a, b]) = words.get(..2) else { return };
        if a.chars().any(|c| c.is_ascii_digit()) || b.chars().any(|c| c.is_ascii_digit()) {
            return;
        }
        for (index, likeness) in self.alike(&format!("{a}{b}"), first_unknown) {
            let Some(uses) = self.by_stem.get(&self.stems[index as usize]) else {
                continue;
            };
            for (name, _) in uses {
                let name = &self.names[*name as usize];
                if name.stems.len() == 1 {
                    hits.push(KindHit {
                        words: 2,
                        service: name.service,
                        likeness,
                        whole: true,
                    });
                }
            }
        }
    }

    fn spell(&self, uses: &[(u32, u8)], words: &[&str], likeness: Likeness, hits: &mut Vec<KindHit>) {
        for (id, place) in uses {
            let name = &self.names[*id as usize];
            let place = usize::from(*place);
            let mut count = 1;
            let mut likeness = likeness;
            while let (Some(want), Some(got)) = (name.stems.get(place + count), words.get(count)) {
                if want == *got {
                    count += 1;
                } else if strsim::osa_distance(want, got) <= usize::from(want.chars().count() >= FUZZY_MIN_LETTERS) {
                    count += 1;
                    likeness = likeness.max(Likeness::Spelling);
                } else {
                    break;
                }
            }
            let whole = place == 0 && count == name.stems.len();
            let part_may_stand = !name.is_alias && !whole && (place == 0 || place + count == name.stems.len());
            if whole || part_may_stand {
                hits.push(KindHit {
                    words: count,
                    service: name.service,
                    likeness,
                    whole,
                });
            }
        }
    }

    /// Known stems that a word resembles, nearest first: by sound, and with `spelling` by that too.
    fn alike(&self, word: &str, spelling: bool) -> Vec<(u32, Likeness)> {
        let letters = word.chars().count();
        if !(FUZZY_MIN_LETTERS..=FUZZY_MAX_LETTERS).contains(&letters) {
            return Vec::new();
        }
        let reach = if letters >= FUZZY_TWO_LETTERS { 2 } else { 1 };
        let mut found: Vec<(usize, u32, Likeness)> = Vec::new();
        let mut compared: Vec<u32> = Vec::new();
        for short in spelling.then(|| deletions(word, reach)).into_iter().flatten() {
            for index in self.by_deletion.get(&short).map_or(&[][..], Vec::as_slice) {
                if compared.contains(index) {
                    continue;
                }
                compared.push(*index);
                let known = &self.stems[*index as usize];
                let off = strsim::osa_distance(word, known);
                // The first letter is the one that hands get right: "scrape" is no crape.
                let head = letters >= FUZZY_TWO_LETTERS || known.chars().next() == word.chars().next();
                if head && off <= reach {
                    found.push((off, *index, Likeness::Spelling));
                }
            }
        }
        for code in sound_codes(word) {
            for index in self.by_sound.get(&code).map_or(&[][..], Vec::as_slice) {
                let known = &self.stems[*index as usize];
                let near = strsim::normalized_levenshtein(word, known) >= 0.5;
                if near && !found.iter().any(|(_, i, _)| i == index) {
                    found.push((2, *index, Likeness::Sound));
                }
            }
        }
        found.sort_by_key(|(off, index, likeness)| (*off, *likeness, *index));
        let best = found.first().map(|(off, ..)| *off);
        found
            .into_iter()
            .filter(|(off, ..)| Some(*off) == best)
            .map(|(_, index, likeness)| (index, likeness))
            .collect()
    }
}

/// `Court` and `Ct` are the same word of a place.
pub(super) fn fold_place_word(word: &str) -> &str {
    match word {
        "court" => "ct",
        "street" | "str" => "st",
        "road" => "rd",
        "lane" => "ln",
        "drive" => "dr",
        "avenue" | "av" => "ave",
        "boulevard" => "blvd",
        "circle" => "cir",
        "terrace" => "ter",
        "parkway" => "pkwy",
        "highway" => "hwy",
        "trail" => "trl",
        "cove" => "cv",
        "place" => "pl",
        "square" => "sq",
        "alley" => "aly",
        other => other.trim_end_matches("'s"),
    }
}

/// The bare form of a word: without plural, `-ing` and a final `e`.
pub(super) fn stem(word: &str) -> String {
    let mut bare = word.to_lowercase();
    let letters = bare.chars().count();
    if letters > 4 && bare.ends_with("ies") {
        bare.truncate(bare.len() - 3);
        bare.push('y');
    } else if letters > 4 && ["ses", "xes", "ches", "shes", "zes"].iter().any(|e| bare.ends_with(e)) {
        bare.truncate(bare.len() - 2);
    } else if letters > 3 && bare.ends_with('s') && !["ss", "us", "is"].iter().any(|e| bare.ends_with(e)) {
        bare.truncate(bare.len() - 1);
    }
    if let Some(head) = bare.strip_suffix("ing")
        && head.len() >= 3
        && head.contains(['a', 'e', 'i', 'o', 'u', 'y'])
    {
        bare.truncate(bare.len() - 3);
    }
    if bare.chars().count() > 3 && bare.ends_with('e') {
        bare.truncate(bare.len() - 1);
    }
    bare
}

/// Hashes of a word with up to `most` (at most two) letters left out, of itself too. Hashes, because the variants of a long
/// word are hundreds, and writing each out would be most of the cost of a word that nothing knows.
fn deletions(word: &str, most: usize) -> Vec<u64> {
    let letters: Vec<char> = word.chars().collect();
    let mut all = vec![hash_without(&letters, usize::MAX, usize::MAX)];
    for first in 0..letters.len() {
        all.push(hash_without(&letters, first, usize::MAX));
        if most > 1 {
            all.extend((first + 1..letters.len()).map(|second| hash_without(&letters, first, second)));
        }
    }
    all.sort_unstable();
    all.dedup();
    all
}

/// Offset basis of FNV-1a, 64 bits (draft-eastlake-fnv; it and the prime from memory, any odd pair would do).
const FNV_BASIS: u64 = 0xcbf2_9ce4_8422_2325;
/// Its prime.
const FNV_PRIME: u64 = 0x0100_0000_01b3;

/// FNV-1a over the letters but two.
fn hash_without(letters: &[char], first: usize, second: usize) -> u64 {
    let kept = letters
        .iter()
        .enumerate()
        .filter(|(at, _)| *at != first && *at != second);
    kept.fold(FNV_BASIS, |hash, (_, letter)| {
        (hash ^ u64::from(u32::from(*letter))).wrapping_mul(FNV_PRIME)
    })
}

/// FNV-1a goes on over the bytes of a word.
fn hash_on(hash: u64, word: &str) -> u64 {
    word.bytes()
        .fold(hash, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(FNV_PRIME))
}

/// Double Metaphone codes, by the well-known algorithm of Philips (2000).
fn sound_codes(word: &str) -> Vec<String> {
    if !word.chars().all(|c| c.is_ascii_alphabetic()) {
        return Vec::new();
    }
    let encoder = DoubleMetaphone::default();
    let mut codes = vec![encoder.encode(word), encoder.encode_alternate(word)];
    codes.retain(|code| code.len() >= 2);
    codes.dedup();
    codes
}

/// The singular of a plural word, spelled out.
pub(super) fn singular(word: &str) -> String {
    if word == "leaves" {
        return "leaf".to_string();
    }
    let letters = word.chars().count();
    if letters > 4 && word.ends_with("ies") {
        return format!("{}y", &word[..word.len() - 3]);
    }
    if letters > 4 && ["oses", "ases", "uses"].iter().any(|e| word.ends_with(e)) {
        return word[..word.len() - 1].to_string();
    }
    if letters > 4 && ["ses", "xes", "ches", "shes", "zes"].iter().any(|e| word.ends_with(e)) {
        return word[..word.len() - 2].to_string();
    }
    if letters > 3 && word.ends_with('s') && !["ss", "us", "is"].iter().any(|e| word.ends_with(e)) {
        return word[..word.len() - 1].to_string();
    }
    word.to_string()
}
