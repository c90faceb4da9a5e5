//! The words of a language as data: what can this word be?
//!
//! The table beside this file gives each word one or more classes, with a value where the class has one (`twelve` is a
//! unit number worth 12, `mon` a weekday worth 0). Rules ask for classes, never for spellings, so that a second language
//! is a second table. Words that rules name outright are interned here too.

use rustc_hash::FxHashMap;

/// A word known to the lexicon or to a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) struct WordId(u32);

impl WordId {
    /// No known word.
    pub(super) const NONE: WordId = WordId(0);

    /// Index for dense tables.
    pub(super) fn index(self) -> usize {
        self.0 as usize
    }
}

/// A set of word classes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Class(u128);

macro_rules! classes {
    ($($constant:ident $name:literal $bit:literal;)*) => {
        impl Class {
            $(pub(super) const $constant: Class = Class(1 << $bit);)*

            fn named(name: &str) -> Option<Class> {
                match name {
                    $($name => Some(Class::$constant),)*
                    _ => None,
                }
            }
        }
    };
}

classes! {
    UNITS "units" 0; TENS "tens" 1; HUNDRED "hundred" 2; THOUSAND "thousand" 3; SLIP "slip" 4; DOZEN "dozen" 5;
    COUPLE "couple" 6; HALF "half" 7; QUARTER "quarter" 8; ARTICLE "article" 9; VAGUE "vague" 10; ORDINAL "ordinal" 11;
    MINUTE "minute" 12; HOUR "hour" 13; SECOND "second" 14; MAN "man" 15; MANHOUR "manhour" 16;
    MANMINUTE "manminute" 17; DOLLAR "dollar" 18; BUCK "buck" 19; CENT "cent" 20; PERCENT "percent" 21; EACH "each" 22;
    PER "per" 23; UNIT "unit" 24; SQUARE "square" 25; LINEAR "linear" 26; CUBIC "cubic" 27; SIZE "size" 28;
    EXTRA "extra" 29; SIZED "sized" 30; ONES "ones" 31; PEOPLE "people" 32; CREW "crew" 33; ME "me" 34;
    SOLO "solo" 35; SUFFIX "suffix" 36; WEAKSUFFIX "weaksuffix" 37; TITLE "title" 38; WEEKDAY "weekday" 39;
    MONTH "month" 40; TODAY "today" 41; AMPM "ampm" 42; NOON "noon" 43; DAYPART "daypart" 44; FILLER "filler" 45;
    CONTEXT "context" 46; LEAD "lead" 47; CORRECTION "correction" 48; KINDSLIP "kindslip" 49; GENERIC "generic" 50;
    METHOD "method" 51; NAMELIKE "namelike" 52; RULE "rule" 53; EXCEPTION "exception" 54; NEGATION "negation" 55;
    GONE "gone" 56; SPOT "spot" 57; SHARE "share" 58; LOOKS "looks" 59; MEASURE "measure" 60; NET "net" 61;
    ADDED "added" 62; TOTAL "total" 63; ONLY "only" 64; ASKS "asks" 65; PAYS "pays" 66;
    PACE "pace" 67; ADDS "adds" 68; ALSO "also" 69;
}

impl Class {
    /// No class.
    pub(super) const NONE: Class = Class(0);

    /// The class of this name.
    ///
    /// # Panics
    /// When there is none: names of classes are part of the program.
    pub(super) fn named_or_panic(name: &str) -> Class {
        Class::named(name).unwrap_or_else(|| panic!("no class is called '{name}'"))
    }

    /// Whether any of `other`'s classes is here.
    pub(super) fn any(self, other: Class) -> bool {
        self.0 & other.0 != 0
    }

    /// Both sets.
    pub(super) const fn or(self, other: Class) -> Class {
        Class(self.0 | other.0)
    }

    /// Whether it has no class but those of `other`.
    pub(super) fn only(self, other: Class) -> bool {
        self.0 & !other.0 == 0
    }
}

/// What the lexicon knows of a word.
#[derive(Debug, Clone)]
pub(super) struct Entry {
    /// Its id.
    pub(super) word: WordId,
    /// What it can be.
    pub(super) class: Class,
}

/// A word's value in one class.
#[derive(Debug)]
struct Worth {
    class: Class,
    text: String,
    /// The text as a number, when it is one.
    number: Option<i64>,
}

/// The words of one language.
#[derive(Debug)]
pub(super) struct Lexicon {
    words: FxHashMap<String, Entry>,
    /// By word.
    values: Vec<Vec<Worth>>,
    spellings: Vec<String>,
    classes: Vec<Class>,
    /// Number words of five letters and more.
    long_numbers: Vec<String>,
}

impl Lexicon {
    /// Loads a table of `word, class, value, note`; lines that start with `#` are comments.
    ///
    /// # Panics
    /// When a row names a class that does not exist: the table is part of the program.
    pub(super) fn load(table: &str) -> Lexicon {
        let mut lexicon = Lexicon {
            words: FxHashMap::default(),
            values: vec![Vec::new()],
            spellings: vec![String::new()],
            classes: vec![Class::NONE],
            long_numbers: Vec::new(),
        };
        for line in table
            .lines()
            .skip(1)
            .filter(|line| !line.is_empty() && !line.starts_with('#'))
        {
            let mut cells = line.split('\t');
            let (word, name) = (cells.next().unwrap_or(""), cells.next().unwrap_or(""));
            let value = cells.next().unwrap_or("");
            let class = Class::named(name).unwrap_or_else(|| panic!("lexicon row '{line}' names no class"));
            lexicon.add(word, class, value);
            if class.any(Class::UNITS.or(Class::TENS)) && word.len() >= 5 {
                lexicon.long_numbers.push(word.to_string());
            }
        }
        lexicon
    }

    fn add(&mut self, word: &str, class: Class, value: &str) {
        let id = self.intern(word);
        if let Some(entry) = self.words.get_mut(word) {
            entry.class = entry.class.or(class);
            self.classes[id.index()] = entry.class;
        }
        if !value.is_empty() {
            let worth = Worth {
                class,
                text: value.to_string(),
                number: value.parse().ok(),
            };
            let worths = &mut self.values[id.index()];
            worths.retain(|old| old.class != class);
            worths.push(worth);
        }
    }

    /// The id of a word, made when it is new.
    pub(super) fn intern(&mut self, word: &str) -> WordId {
        if let Some(entry) = self.words.get(word) {
            return entry.word;
        }
        let id = WordId(u32::try_from(self.spellings.len()).expect("a lexicon has fewer than four billion words"));
        self.spellings.push(word.to_string());
        self.classes.push(Class::NONE);
        self.values.push(Vec::new());
        self.words.insert(
            word.to_string(),
            Entry {
                word: id,
                class: Class::NONE,
            },
        );
        id
    }

    /// The words that are written for a word, itself first.
    pub(super) fn written_for(&mut self, word: &str) -> Vec<WordId> {
        let own = self.intern_for_rule(word);
        let stands_for = |other: &WordId| self.value(*other, Class::ALSO) == Some(word);
        let others: Vec<WordId> = self.words_of(Class::ALSO).filter(stands_for).collect();
        std::iter::once(own).chain(others).collect()
    }

    /// Interns a word that a rule names, so that it is not taken for an unknown name.
    pub(super) fn intern_for_rule(&mut self, word: &str) -> WordId {
        let id = self.intern(word);
        self.add(word, Class::RULE, "");
        id
    }

    /// What is known of a word, in lower case.
    pub(super) fn find(&self, word: &str) -> Option<&Entry> {
        self.words.get(word)
    }

    /// What is known of a word as it may be meant: with the g that speech drops (`makin`), or, for the longer numbers, a
    /// letter off (`twelv`, `fourten`).
    pub(super) fn find_near(&self, word: &str) -> Option<&Entry> {
        if word.len() < 5 || !word.is_ascii() {
            return None;
        }
        if word.ends_with("in")
            && let Some(entry) = self.words.get(&format!("{word}g"))
        {
            return Some(entry);
        }
        let near = |number: &&String| {
            number.starts_with(&word[..1])
                && number.len().abs_diff(word.len()) <= 1
                && strsim::osa_distance(number, word) == 1
        };
        let number = self.long_numbers.iter().find(near)?;
        self.words.get(number)
    }

    /// The word's value in a class, as text.
    pub(super) fn value(&self, word: WordId, class: Class) -> Option<&str> {
        self.worth(word, class).map(|worth| worth.text.as_str())
    }

    /// The word's value in a class, as a number.
    pub(super) fn number(&self, word: WordId, class: Class) -> Option<i64> {
        self.worth(word, class)?.number
    }

    fn worth(&self, word: WordId, class: Class) -> Option<&Worth> {
        self.values[word.index()].iter().find(|worth| worth.class == class)
    }

    /// How a word is spelled.
    pub(super) fn spelling(&self, word: WordId) -> &str {
        &self.spellings[word.index()]
    }

    /// All words with a class.
    pub(super) fn words_of(&self, class: Class) -> impl Iterator<Item = WordId> + '_ {
        (0u32..)
            .zip(&self.classes)
            .filter(move |(_, c)| c.any(class))
            .map(|(index, _)| WordId(index))
    }

    /// How many word ids there are.
    pub(super) fn size(&self) -> usize {
        self.spellings.len()
    }
}
