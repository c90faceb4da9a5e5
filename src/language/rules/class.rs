//! A kind and a size, in either order: `small crapes`, `holly large`, `the big ones`.

use crate::language::lexicon::{Class, Lexicon};
use crate::language::meaning::ClassSaid;
use crate::language::token::TokenKind;
use crate::language::vocabulary::{KindHit, Likeness, ServiceName, stem};
use crate::language::words::Words;

/// A kind and size found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::language) struct Classed {
    /// One past its last word.
    pub(in crate::language) end: usize,
    /// What was said.
    pub(in crate::language) said: ClassSaid,
    /// Points taken off for likeness, parts of names and words passed over.
    pub(in crate::language) cost: i32,
}

/// A size word: its common form (`large` for `big`) or the account's own word.
pub(in crate::language) fn size(words: &Words<'_>, at: usize) -> Option<(String, usize)> {
    if words.is(at, Class::EXTRA) && words.text_value(at + 1, Class::SIZE) == Some("large") {
        return Some(("xl".to_string(), at + 2));
    }
    if let Some(value) = words.text_value(at, Class::SIZE) {
        return Some((value.to_string(), at + 1));
    }
    if let Some(value) = words.size_letter(at) {
        return Some((value.to_string(), at + 1));
    }
    let token = words.get(at)?;
    if words.unknown(at) {
        // A letter off in a size word ("samll").
        let sorted = |word: &str| {
            let mut letters: Vec<char> = word.chars().collect();
            letters.sort_unstable();
            letters
        };
        let said = words.lower(at);
        let near = |size: &&&str| {
            said.starts_with(&size[..1])
                && said.len().abs_diff(size.len()) <= 3
                && (said.len() != size.len() || sorted(said) == sorted(size))
                && strsim::osa_distance(said, size) == 1
        };
        if let Some(size) = ["small", "medium", "large"].iter().find(near) {
            return Some(((*size).to_string(), at + 1));
        }
    }
    if token.is_word() && words.is_size_word(at) {
        return Some((words.stem(at).to_string(), at + 1));
    }
    None
}

/// The size in the service's own word, when it has one that means it; else the word as it is.
pub(in crate::language) fn fit_size(service: &ServiceName, said: &str, lexicon: &Lexicon) -> String {
    let group = |word: &str| {
        lexicon
            .find(word)
            .and_then(|entry| lexicon.value(entry.word, Class::SIZE))
            .unwrap_or(word)
            .to_string()
    };
    let same = |own: &&String| own.as_str() == said || group(own) == group(said) || stem(own) == stem(said);
    service
        .sizes
        .iter()
        .find(same)
        .cloned()
        .unwrap_or_else(|| said.to_string())
}

/// Kinds and sizes that start at word `at`. With `counted`, a word that no list knows may stand for a kind.
pub(in crate::language) fn classes(words: &Words<'_>, at: usize, counted: bool) -> Vec<Classed> {
    let mut found = Vec::new();
    if let Some((said, end)) = size(words, at) {
        let after_sized = skip_sized(words, end);
        let after_ones = if words.is(after_sized, Class::ONES) && !words.kinds(after_sized + 1).is_empty() {
            after_sized + 1
        } else {
            after_sized
        };
        let kind_at = skip_adjectives(words, after_ones);
        kinds(words, kind_at, |service, rivals, end, cost| {
            let cost = cost + i32::from(kind_at > after_sized);
            found.push(classed(words, at, end, Some(service), rivals, Some(&said), cost));
        });
        if counted && let Some((word, end)) = unknown(words, after_sized) {
            let mut piece = classed(words, at, end, None, Vec::new(), Some(&said), 5);
            piece.said.unknown = Some(word);
            found.push(piece);
        }
        found.extend(bracketed_kind(words, at, after_sized, &said));
        let end = if words.is(after_sized, Class::ONES) && !words.is(after_sized + 1, Class::SIZE) {
            after_sized + 1
        } else {
            after_sized
        };
        // "a big yard", "the little house": no size of a plant.
        let of_place = !counted
            && words.one_of(
                end,
                &["yard", "house", "lot", "property", "job", "place", "lawn", "mess"],
            );
        if !of_place {
            found.push(classed(words, at, end, None, Vec::new(), Some(&said), 0));
        }
    }
    kinds(words, at, |service, rivals, end, cost| {
        let size_at = size_behind(words, end);
        if let Some((said, mut after)) = size(words, size_at) {
            // "crapes small 12": but not "crapes big hollies", where the size belongs to what follows.
            let next_kind = words.kinds(skip_sized(words, after)).iter().any(|hit| hit.whole);
            after = skip_sized(words, after);
            if words.is(after, Class::ONES) || words.one_of(after, &["kind", "sort", "type"]) {
                after += 1;
            }
            if words.sign(end, '(') && words.sign(after, ')') {
                after += 1;
            }
            let cost = cost + i32::from(size_at > end) + 2 * i32::from(next_kind);
            found.push(classed(
                words,
                at,
                after,
                Some(service),
                rivals.clone(),
                Some(&said),
                cost,
            ));
        }
        found.push(classed(words, at, end, Some(service), rivals, None, cost));
    });
    if counted
        && found.is_empty()
        && let Some((word, end)) = unknown(words, at)
    {
        let mut piece = classed(words, at, end, None, Vec::new(), None, 5);
        piece.said.unknown = Some(word);
        found.push(piece);
    }
    found
}

/// Where a size behind a kind would stand: `crapes - small`, `crapes, the small ones`, `crapes all small`.
fn size_behind(words: &Words<'_>, end: usize) -> usize {
    let marked = words.sign(end, '-') || words.sign(end, '(') || words.sign(end, ':') || trailing_size(words, end);
    let size_at = if marked { end + 1 } else { end };
    let size_at = if words.spelled(size_at, "the") {
        size_at + 1
    } else {
        size_at
    };
    let all = words.one_of(size_at, &["all", "both"]) && ends_with_size(words, size_at + 1);
    if all { size_at + 1 } else { size_at }
}

/// `5 smalls (crape)`: the kind in brackets behind its size.
fn bracketed_kind(words: &Words<'_>, at: usize, bracket: usize, size: &str) -> Option<Classed> {
    let mut found = None;
    if words.sign(bracket, '(') {
        kinds(words, bracket + 1, |service, rivals, end, cost| {
            if words.sign(end, ')') {
                found = Some(classed(words, at, end + 1, Some(service), rivals, Some(size), cost));
            }
        });
    }
    found
}

fn classed(
    words: &Words<'_>,
    at: usize,
    end: usize,
    service: Option<usize>,
    rivals: Vec<usize>,
    size: Option<&str>,
    cost: i32,
) -> Classed {
    let services = words.vocabulary.services();
    let size = size.map(|said| match service {
        Some(index) => fit_size(&services[index], said, words.lexicon),
        None => said.to_string(),
    });
    let said = ClassSaid {
        service: service.map(|index| services[index].name.clone()),
        rivals: rivals.into_iter().map(|index| services[index].name.clone()).collect(),
        unknown: None,
        size,
        span: words.span(at, end),
    };
    Classed { end, said, cost }
}

/// Calls back for each kind that starts at `at`, generic nouns after it included (`crape myrtle trees`).
fn kinds(words: &Words<'_>, at: usize, mut each: impl FnMut(usize, Vec<usize>, usize, i32)) {
    let hits = words.kinds(at);
    let usable = |hit: &&KindHit| {
        hit.whole || (hit.words > 1) || !words.is(at, Class::CONTEXT.or(Class::LEAD).or(Class::RULE).or(Class::SUFFIX))
    };
    let Some(best) = hits.iter().find(usable) else { return };
    let rank = |hit: &KindHit| (hit.words, hit.whole, hit.likeness);
    let rivals: Vec<usize> = hits
        .iter()
        .filter(|hit| rank(hit) == rank(best) && hit.service != best.service)
        .map(|hit| hit.service)
        .collect();
    let cost = match best.likeness {
        Likeness::Same => 0,
        Likeness::Spelling => 1,
        Likeness::Sound => 2,
    };
    let mut end = at + best.words;
    while words.is(end, Class::GENERIC) && !words.is(end, Class::UNIT) {
        end += 1;
    }
    each(best.service, rivals, end, cost);
}

/// `6 hollies, large`: a comma, a size and then a stop or the end.
fn trailing_size(words: &Words<'_>, comma: usize) -> bool {
    if !words.sign(comma, ',') {
        return false;
    }
    let start = if words.spelled(comma + 1, "the") {
        comma + 2
    } else {
        comma + 1
    };
    let Some((_, end)) = size(words, start) else {
        return false;
    };
    let mut end = skip_sized(words, end);
    if words.is(end, Class::ONES) || words.one_of(end, &["kind", "sort", "type"]) {
        end += 1;
    }
    words
        .get(end)
        .is_none_or(|token| !token.is_word() && !matches!(token.kind, TokenKind::Number(_)))
}

/// A size that no kind follows.
fn ends_with_size(words: &Words<'_>, at: usize) -> bool {
    size(words, at).is_some_and(|(_, end)| words.kinds(skip_sized(words, end)).is_empty())
}

fn skip_sized(words: &Words<'_>, at: usize) -> usize {
    let at = if words.sign(at, '-') && words.is(at + 1, Class::SIZED) {
        at + 1
    } else {
        at
    };
    if words.is(at, Class::SIZED) { at + 1 } else { at }
}

/// Words of looks between a size and its kind (`12 small old white crapes`), two at most.
fn skip_adjectives(words: &Words<'_>, at: usize) -> usize {
    // "4 med and the lawn": what is joined on is another thing.
    let joins = |at: usize| words.one_of(at, &["and", "or", "plus", "with", "then", "also", "but", "the"]);
    let mut next = at;
    while next < at + 2 && words.kinds(next).is_empty() && words.is(next, Class::CONTEXT) && !joins(next) {
        next += 1;
    }
    if words.kinds(next).is_empty() { at } else { next }
}

/// A word that nothing knows, taken for a kind; a second one joins it (`burning bush`, `knock outs`).
fn unknown(words: &Words<'_>, at: usize) -> Option<(String, usize)> {
    let known = |at: usize| words.kinds(at).iter().any(|hit| hit.whole);
    if !words.unknown(at) || words.lower(at).chars().count() < 3 || known(at) {
        return None;
    }
    let mut name = words.stem_singular(at);
    let mut end = at + 1;
    if words.unknown(end)
        && !known(end)
        && !words.get(end).is_some_and(|t| t.capital)
        && words.lower(end).chars().count() >= 3
    {
        name = format!("{} {}", words.lower(at), words.stem_singular(end));
        end += 1;
    }
    Some((name, end))
}
