//! The words that rules look at: tokens without fillers, with the account's names found in them.
//!
//! Fillers are passed over wherever they stand (`twelve um small`), so that no rule has to know of them; their spans stay
//! inside the pieces around them. Stems, numbers and matches of kinds are worked out once for each word.

use std::cell::OnceCell;

use super::lexicon::{Class, Lexicon, WordId};
use super::meaning::Span;
use super::rules::number::Number;
use super::token::{Token, TokenKind, Tokens};
use super::vocabulary::{KindHit, Vocabulary, singular, stem};

/// Most words of a name that are looked at together.
const NAME_WORDS_MAX: usize = 4;

/// Letters for sizes, where a message counts by letters.
const SIZE_LETTERS: [(&str, &str); 4] = [("s", "small"), ("m", "medium"), ("l", "large"), ("xl", "xl")];

/// The message as rules see it.
pub(super) struct Words<'a> {
    /// The tokens.
    pub(super) tokens: &'a Tokens<'a>,
    /// The lexicon.
    pub(super) lexicon: &'a Lexicon,
    /// The account's names.
    pub(super) vocabulary: &'a Vocabulary,
    active: Vec<Active<'a>>,
    /// Letters stand for sizes here (`8 s + 4 m + 2 l`).
    size_letters: bool,
    /// A time like `12:30` stands somewhere.
    clocked: bool,
    /// The first word at which the whole name of a kind stands.
    first_kind: OnceCell<Option<usize>>,
}

/// A word that is not passed over, and what was worked out about it.
struct Active<'a> {
    /// Its token.
    index: usize,
    class: Class,
    /// Its lower-case text; empty for what is no word.
    spelling: &'a str,
    stem: OnceCell<String>,
    size_word: OnceCell<bool>,
    kinds: OnceCell<Vec<KindHit>>,
    number: OnceCell<Option<Number>>,
}

impl<'a> Words<'a> {
    /// Passes over fillers, unless nothing else was said.
    pub(super) fn new(tokens: &'a Tokens<'a>, lexicon: &'a Lexicon, vocabulary: &'a Vocabulary) -> Self {
        let spoken_digit = |i: usize| tokens.list.get(i).is_some_and(|token| token.class.any(Class::UNITS));
        // "one oh five" is a number; elsewhere "oh" is a filler.
        let zero =
            |i: usize| matches!(tokens.lower_of(i), "oh" | "o") && i > 0 && spoken_digit(i - 1) && spoken_digit(i + 1);
        // "ten or so azaleas".
        let or_so = |i: usize| {
            tokens.lower_of(i) == "or"
                && tokens.list.get(i + 1).is_some_and(|token| token.is_word())
                && tokens.lower_of(i + 1) == "so"
        };
        let mut active: Vec<usize> = (0..tokens.list.len())
            .filter(|i| !(is_filler(tokens.list[*i].class) || or_so(*i)) || zero(*i))
            .collect();
        let spoken = |i: &usize| !matches!(tokens.list[*i].kind, TokenKind::Sign(_) | TokenKind::Break);
        if !active.iter().any(spoken) {
            active = (0..tokens.list.len()).collect();
        }
        let word = |index: usize| {
            let token = &tokens.list[index];
            Active {
                index,
                class: token.class,
                spelling: spelling(tokens, index, lexicon),
                stem: OnceCell::new(),
                size_word: OnceCell::new(),
                kinds: OnceCell::new(),
                number: OnceCell::new(),
            }
        };
        let active: Vec<Active<'a>> = active.into_iter().map(word).collect();
        let counted = |letter: &str| {
            active.windows(2).any(|pair| {
                pair[1].spelling == letter && matches!(tokens.list[pair[0].index].kind, TokenKind::Number(_))
            })
        };
        let letters = SIZE_LETTERS.map(|(letter, _)| counted(letter));
        let several = letters.iter().filter(|counted| **counted).count() > 1;
        Words {
            tokens,
            lexicon,
            vocabulary,
            clocked: tokens
                .list
                .iter()
                .any(|token| matches!(token.kind, TokenKind::Clock(..))),
            first_kind: OnceCell::new(),
            active,
            // "4 m" alone is minutes and "6 l" is nothing; two letters side by side are sizes.
            size_letters: several && (letters[0] || letters[2]),
        }
    }

    /// The size that a letter stands for, in a message that counts by letters.
    pub(super) fn size_letter(&self, at: usize) -> Option<&'static str> {
        let spelling = self.active.get(at).filter(|_| self.size_letters)?.spelling;
        SIZE_LETTERS
            .iter()
            .find(|(letter, _)| *letter == spelling)
            .map(|(_, size)| *size)
    }

    /// How many words there are.
    pub(super) fn len(&self) -> usize {
        self.active.len()
    }

    /// Word `at`, if there is one.
    pub(super) fn get(&self, at: usize) -> Option<&Token> {
        self.active.get(at).map(|word| &self.tokens.list[word.index])
    }

    /// The class of word `at`.
    pub(super) fn class(&self, at: usize) -> Class {
        self.active.get(at).map_or(Class::NONE, |word| word.class)
    }

    /// Whether word `at` is of any of these classes.
    pub(super) fn is(&self, at: usize, class: Class) -> bool {
        self.class(at).any(class)
    }

    /// Whether word `at` is this sign.
    pub(super) fn sign(&self, at: usize, sign: char) -> bool {
        self.get(at).is_some_and(|token| token.is_sign(sign))
    }

    /// Whether word `at` is spelled so (lower case).
    pub(super) fn spelled(&self, at: usize, word: &str) -> bool {
        self.active.get(at).is_some_and(|here| here.spelling == word)
    }

    /// Whether word `at` is spelled in one of these ways.
    pub(super) fn one_of(&self, at: usize, words: &[&str]) -> bool {
        match self.active.get(at) {
            Some(here) if !here.spelling.is_empty() => words.contains(&here.spelling),
            _ => false,
        }
    }

    /// The lower-case text of word `at`, without possessive ending.
    pub(super) fn lower(&self, at: usize) -> &str {
        self.tokens.lower_of(self.active[at].index)
    }

    /// The lexicon's number of word `at` in a class.
    pub(super) fn value(&self, at: usize, class: Class) -> Option<i64> {
        let token = self.get(at)?;
        if !token.class.any(class) {
            return None;
        }
        self.lexicon.number(token.word, class)
    }

    /// The lexicon's text of word `at` in a class.
    pub(super) fn text_value(&self, at: usize, class: Class) -> Option<&str> {
        let token = self.get(at)?;
        if !token.class.any(class) {
            return None;
        }
        self.lexicon.value(token.word, class)
    }

    /// The word's id.
    pub(super) fn id(&self, at: usize) -> WordId {
        self.get(at).map_or(WordId::NONE, |token| token.word)
    }

    /// Span of words `from..to`.
    pub(super) fn span(&self, from: usize, to: usize) -> Span {
        if from >= to || to > self.len() {
            return Span::default();
        }
        Span {
            start: self.tokens.list[self.active[from].index].span.start,
            end: self.tokens.list[self.active[to - 1].index].span.end,
        }
    }

    /// Text of words `from..to` as written.
    pub(super) fn text(&self, from: usize, to: usize) -> &'a str {
        let span = self.span(from, to);
        &self.tokens.text[span.start..span.end]
    }

    /// Whether the word right before a byte of the text, fillers included, is of a class.
    pub(super) fn follows(&self, byte: usize, class: Class) -> bool {
        let next = self.tokens.list.partition_point(|token| token.span.start < byte);
        next > 0 && self.tokens.list[next - 1].class.any(class)
    }

    /// The word before a byte of the text.
    pub(super) fn before(&self, byte: usize) -> Option<usize> {
        self.first_from(byte).checked_sub(1)
    }

    /// The words of a stretch of the text.
    pub(super) fn within(&self, span: Span) -> impl Iterator<Item = usize> + '_ {
        let from = self.first_from(span.start);
        (from..self.len()).take_while(move |at| self.span(*at, at + 1).end <= span.end)
    }

    /// The words from a byte of the text on, up to the first stop.
    pub(super) fn clause(&self, from: usize) -> impl Iterator<Item = usize> + '_ {
        let stops = |kind: TokenKind| {
            matches!(
                kind,
                TokenKind::Break | TokenKind::Sign(',' | '.' | ';' | '(' | ')' | '!' | '?')
            )
        };
        (self.first_from(from)..self.len()).take_while(move |at| !self.get(*at).is_some_and(|t| stops(t.kind)))
    }

    /// The first word that begins at a byte or behind it.
    fn first_from(&self, byte: usize) -> usize {
        self.active
            .partition_point(|word| self.tokens.list[word.index].span.start < byte)
    }

    /// The stem of word `at`.
    pub(super) fn stem(&self, at: usize) -> &str {
        self.active[at].stem.get_or_init(|| stem(self.lower(at)))
    }

    /// Whether word `at` is a size word of some kind of the account.
    pub(super) fn is_size_word(&self, at: usize) -> bool {
        self.active.get(at).is_some_and(|word| {
            *word
                .size_word
                .get_or_init(|| !word.spelling.is_empty() && self.vocabulary.has_size_word(self.stem(at)))
        })
    }

    /// Whether a time like `12:30` stands in the message.
    pub(super) fn clocked(&self) -> bool {
        self.clocked
    }

    /// The first kind whose whole name stands in the message.
    pub(super) fn first_kind(&self) -> Option<&KindHit> {
        let whole = |at: usize| self.kinds(at).iter().find(|hit| hit.whole);
        let at = self
            .first_kind
            .get_or_init(|| (0..self.len()).find(|at| whole(*at).is_some()));
        whole((*at)?)
    }

    /// Word `at` in the singular.
    pub(super) fn stem_singular(&self, at: usize) -> String {
        singular(self.lower(at))
    }

    /// Whether the word is a plain word that neither the lexicon nor a rule knows.
    pub(super) fn unknown(&self, at: usize) -> bool {
        self.get(at).is_some_and(|t| t.is_word() && t.class == Class::NONE)
    }

    /// The number that starts at word `at`, as `find` tells it; it is asked once for each word.
    pub(super) fn number_once(&self, at: usize, find: impl FnOnce() -> Option<Number>) -> Option<Number> {
        *self.active.get(at)?.number.get_or_init(find)
    }

    /// Kinds of the price list that start at word `at`.
    pub(super) fn kinds(&self, at: usize) -> &[KindHit] {
        if at >= self.len() {
            return &[];
        }
        self.active[at].kinds.get_or_init(|| {
            if !self.get(at).is_some_and(Token::is_word) {
                return Vec::new();
            }
            let mut stems = [""; NAME_WORDS_MAX];
            stems[0] = self.stem(at);
            let (mut count, mut next) = (1, at + 1);
            while count < NAME_WORDS_MAX && next < self.len() {
                if self.sign(next, '-') && self.get(next).is_some_and(|t| t.glued) {
                    next += 1;
                } else if self.get(next).is_some_and(Token::is_word) {
                    stems[count] = self.stem(next);
                    count += 1;
                    next += 1;
                } else {
                    break;
                }
            }
            let mut hits = self
                .vocabulary
                .kinds(&stems[..count], self.unknown(at), self.unknown(at + 1));
            if hits.is_empty()
                && self.is(at, Class::KINDSLIP)
                && let Some(meant) = self.text_value(at, Class::KINDSLIP)
            {
                let meant = stem(meant);
                stems[0] = &meant;
                hits = self.vocabulary.kinds(&stems[..count], false, false);
                hits.retain(|hit| hit.words <= count);
                for hit in &mut hits {
                    hit.likeness = super::vocabulary::Likeness::Sound;
                }
            }
            self.widen_over_hyphens(at, &mut hits);
            hits
        })
    }

    /// A hit counts words; between them a hyphen may stand as a token of its own.
    fn widen_over_hyphens(&self, at: usize, hits: &mut [KindHit]) {
        for hit in hits {
            let (mut seen, mut next) = (0, at);
            while seen < hit.words && next < self.len() {
                if self.get(next).is_some_and(Token::is_word) {
                    seen += 1;
                }
                next += 1;
            }
            hit.words = next - at;
        }
    }
}

/// A word as rules compare it: in lower case; what has an apostrophe (`there's`) or is a sign (`&`) as the lexicon spells it.
fn spelling<'a>(tokens: &'a Tokens<'a>, index: usize, lexicon: &'a Lexicon) -> &'a str {
    let token = &tokens.list[index];
    if !token.is_word() {
        return "";
    }
    // "there's", "&", "w/o" and "makin" are compared as the lexicon spells them.
    if token.word == WordId::NONE {
        tokens.lower_of(index)
    } else {
        lexicon.spelling(token.word)
    }
}

/// A word that is passed over wherever it stands.
pub(super) fn is_filler(class: Class) -> bool {
    class.any(Class::FILLER) && class.only(Class::FILLER.or(Class::RULE).or(Class::NET))
}
