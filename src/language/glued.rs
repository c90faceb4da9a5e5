//! A size and a kind written as one word: `medcrape`, `smhollies`, `crapelg`.
//!
//! Only a word that nothing knows is parted, only into a size word and a word of the account's own kinds, and only where
//! both are spelled out: a guess at either would make a kind out of many a name.

use super::lexicon::{Class, Lexicon};
use super::meaning::Span;
use super::token::Tokens;
use super::vocabulary::{Vocabulary, stem};

/// Letters of the shortest size word that is taken for one: `sm`.
const SIZE_LETTERS_MIN: usize = 2;
/// Letters of the shortest word of a kind that is taken for one.
const KIND_LETTERS_MIN: usize = 3;

/// Parts such words.
pub(super) fn part(tokens: &mut Tokens<'_>, lexicon: &Lexicon, vocabulary: &Vocabulary) {
    for index in (0..tokens.list.len()).rev() {
        let token = &tokens.list[index];
        if !token.is_word() || token.class != Class::NONE || token.possessive {
            continue;
        }
        let Some(cut) = cut(tokens.lower_of(index), lexicon, vocabulary) else {
            continue;
        };
        let at = token.span.start + cut;
        let mut tail = token.clone();
        let mut head = token.clone();
        head.span.end = at;
        tail.span.start = at;
        (tail.glued, tail.capital) = (true, false);
        for part in [&mut head, &mut tail] {
            let Span { start, end } = part.span;
            if let Some(entry) = lexicon.find(&tokens.lower[start..end]) {
                (part.word, part.class) = (entry.word, entry.class);
            }
        }
        tokens.list.splice(index..=index, [head, tail]);
    }
}

/// Where a word comes apart.
fn cut(word: &str, lexicon: &Lexicon, vocabulary: &Vocabulary) -> Option<usize> {
    if word.len() < SIZE_LETTERS_MIN + KIND_LETTERS_MIN || !word.is_ascii() || vocabulary.has_word(&stem(word)) {
        return None;
    }
    let size = |part: &str| {
        part.len() >= SIZE_LETTERS_MIN && lexicon.find(part).is_some_and(|entry| entry.class.any(Class::SIZE))
    };
    let kind = |part: &str| part.len() >= KIND_LETTERS_MIN && vocabulary.has_word(&stem(part));
    (1..word.len()).find(|at| {
        let (head, tail) = word.split_at(*at);
        size(head) && kind(tail) || size(tail) && kind(head)
    })
}
