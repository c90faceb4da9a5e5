//! Which quotes have some words on them, and which are of a season or a sort, without opening each?
//!
//! The page of the book looks through all quotes: it counts them by season and finds those with a word. A card holds the
//! little that is asked for; places and kinds are on it by number, so that a word is looked for once in each name of the
//! book. Notes are on it in lower case. Nothing here is a fact of its own.

use std::sync::Arc;

use imbl::OrdMap;

use super::{
    book::Book,
    names::{KindsId, NameId, Names},
    quotes::{QuoteEntry, Status, Worth},
};
use crate::units::{QuoteNo, Timestamp};

/// Stands between the notes of a quote: no message brings it.
const BETWEEN_NOTES: &str = "\0";

/// What is looked at of a quote when all are looked through.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Card {
    /// The day of the work, or the day that it is meant for, or that of the quote.
    pub day: Timestamp,
    /// How far it has come.
    pub status: Status,
    /// Whether it is done and money is still to come.
    pub owed: bool,
    place: Option<NameId>,
    kinds: KindsId,
    notes: Option<Arc<str>>,
}

/// Words that are looked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Search {
    words: String,
    no: Option<QuoteNo>,
    names: Vec<bool>,
    kinds: Vec<bool>,
}

/// What of an entry was put on its card.
pub(super) struct Copied {
    worth: Option<Arc<Worth>>,
    notes: usize,
}

impl Copied {
    pub(super) fn of(entry: &QuoteEntry) -> Copied {
        Copied {
            worth: entry.worth.clone(),
            notes: entry.notes.len(),
        }
    }

    /// A sheet that was priced anew has a worth of its own.
    fn has_sheet_of(&self, entry: &QuoteEntry) -> bool {
        let both = self.worth.as_ref().zip(entry.worth.as_ref());
        both.is_some_and(|(before, after)| Arc::ptr_eq(before, after))
    }
}

impl Card {
    fn of(names: &mut Names, entry: &QuoteEntry, known: Option<(&Card, &Copied)>) -> Card {
        let sheet = known.filter(|(_, copied)| copied.has_sheet_of(entry));
        let noted = known.filter(|(_, copied)| copied.notes == entry.notes.len());
        let services = entry.sheet.lines.iter().map(|line| line.service.as_str());
        Card {
            day: entry.day(),
            status: entry.status,
            owed: entry.is_owed(),
            place: entry.place.as_deref().map(|place| names.number(place)),
            kinds: match sheet {
                Some((card, _)) => card.kinds,
                None => names.kinds_number(services),
            },
            notes: match noted {
                Some((card, _)) => card.notes.clone(),
                None if entry.notes.is_empty() => None,
                None => Some(entry.notes.join(BETWEEN_NOTES).to_lowercase().into()),
            },
        }
    }
}

/// Writes the card of an entry that is new, or another than it was.
pub(super) fn moved(cards: &mut OrdMap<QuoteNo, Card>, names: &mut Names, before: Option<&Copied>, entry: &QuoteEntry) {
    let known = cards.get(&entry.no);
    let card = Card::of(names, entry, known.zip(before));
    if known != Some(&card) {
        cards.insert(entry.no, card);
    }
}

impl Book {
    /// The cards of all quotes, newest first.
    pub fn cards_newest_first(&self) -> impl Iterator<Item = (QuoteNo, &Card)> {
        self.cards.iter().rev().map(|(no, card)| (*no, card))
    }

    /// Makes words ready to be looked for: a number, or letters of a place, a kind or a note, whatever their case.
    pub fn search(&self, words: &str) -> Search {
        let words = words.trim().to_lowercase();
        let (names, kinds) = match words.is_empty() {
            true => (Vec::new(), Vec::new()),
            false => self.names.having(&words),
        };
        Search {
            no: words.trim_start_matches('#').parse().ok().map(QuoteNo::new),
            words,
            names,
            kinds,
        }
    }
}

impl Search {
    /// Whether a quote of that book has the words; every one has none at all.
    pub fn finds(&self, no: QuoteNo, card: &Card) -> bool {
        let has = |marks: &[bool], index: usize| marks.get(index).copied().unwrap_or_default();
        self.words.is_empty()
            || self.no == Some(no)
            || card.place.is_some_and(|place| has(&self.names, place.index()))
            || has(&self.kinds, card.kinds.index())
            || card.notes.as_deref().is_some_and(|notes| notes.contains(&self.words))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{ProptestConfig, prop_assert_eq, proptest};

    use super::{Book, QuoteEntry, QuoteNo};
    use crate::journal::histories::{messages, told};

    /// The numbers of the quotes with some words, by reading each quote.
    fn read(book: &Book, words: &str) -> Vec<QuoteNo> {
        let words = words.trim().to_lowercase();
        let has = |text: &str| text.to_lowercase().contains(&words);
        let fits = |entry: &&QuoteEntry| {
            words.is_empty()
                || words.trim_start_matches('#').parse() == Ok(entry.no.get())
                || entry.place.as_deref().is_some_and(has)
                || entry.sheet.lines.iter().any(|line| has(&line.service))
                || entry.notes.iter().any(|note| has(note))
        };
        book.quotes_newest_first().filter(fits).map(|entry| entry.no).collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn a_search_finds_what_reading_every_quote_finds(said in messages()) {
            let (_, state) = told(&said);
            let book = state.book();
            for words in ["", "7", "#3", " alder", "ÉCLAT", "éclat way", "Rd", "w", "MYRTLE", "holly rd", "key 3 ", "gate 1", "small", "zzz"] {
                let search = book.search(words);
                let found: Vec<QuoteNo> = book
                    .cards_newest_first()
                    .filter(|(no, card)| search.finds(*no, card))
                    .map(|(no, _)| no)
                    .collect();
                prop_assert_eq!(found, read(book, words), "{}", words);
            }
            for (no, card) in book.cards_newest_first() {
                let entry = book.quote(no).expect("a card of a quote");
                let kept = (card.day, card.status, card.owed);
                prop_assert_eq!(kept, (entry.day(), entry.status, entry.is_owed()));
            }
            prop_assert_eq!(book.cards_newest_first().count(), book.quotes_newest_first().count());
        }
    }
}
