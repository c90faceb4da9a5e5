//! Places: after `at`, `@` or `for`, before a colon, on a line of their own, or a house number with a street. A street may
//! be named after a plant or a number.

use rust_decimal::prelude::ToPrimitive;

use super::money::{For, moneys};
use super::number::number;
use crate::language::lexicon::Class;
use crate::language::meaning::PlaceSaid;
use crate::language::token::{Token, TokenKind};
use crate::language::vocabulary::Likeness;
use crate::language::words::Words;

/// A place found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::language) struct Place {
    /// One past its last word.
    pub(in crate::language) end: usize,
    /// The place.
    pub(in crate::language) said: PlaceSaid,
    /// Points: how sure.
    pub(in crate::language) gain: i32,
}

/// Most words in a place's name.
const PLACE_WORDS_MAX: usize = 6;

/// Places that start at word `at`, the preposition included.
pub(in crate::language) fn places(words: &Words<'_>, at: usize) -> Vec<Place> {
    let mut found = Vec::new();
    numbered_quote(words, at, &mut found);
    let led = words.one_of(at, &["at", "for", "over", "to", "from"]);
    if led {
        let mut start = at + 1;
        while words.one_of(
            start,
            &["the", "at", "over", "house", "place", "job", "corner", "end", "of"],
        ) && start < at + 4
        {
            start += 1;
        }
        let strong = words.spelled(at, "at");
        // A place of the book first: of two readings that are worth the same, the first is taken.
        known(words, start, 4, &mut found);
        if !words.one_of(at, &["to", "from"]) {
            numbered_plot(words, start, &mut found);
            named(words, start, true, &mut found);
            loose(words, start, strong, &mut found);
        }
    } else if words.one_of(at, &["by", "near", "off"]) {
        named(words, at + 1, true, &mut found);
    } else {
        known(words, at, 2, &mut found);
        named(words, at, false, &mut found);
        own_line(words, at, &mut found);
        titled(words, at, &mut found);
    }
    found
}

/// `quote 3`, `for job #2`: a quote by its number. Before a kind, a size or a unit the number is a count.
fn numbered_quote(words: &Words<'_>, at: usize, found: &mut Vec<Place>) {
    let led = words.one_of(at, &["on", "for", "to", "from", "of", "at"]);
    let noun = if led { at + 1 } else { at };
    let noun = if words.one_of(noun, &["the", "that"]) {
        noun + 1
    } else {
        noun
    };
    let named = words.one_of(noun, &["quote", "job", "bid", "estimate", "ticket"]);
    let mut end = if named { noun + 1 } else { noun };
    if named && words.one_of(end, &["number", "no", "num", "nr"]) {
        end += 1;
        if words.sign(end, '.') {
            end += 1;
        }
    }
    let hash = words.sign(end, '#');
    end += usize::from(hash);
    if !named && !hash {
        return;
    }
    let Some(number) = number(words, end).filter(|n| n.value.is_integer()) else {
        return;
    };
    let Some(no) = number.value.to_u32().filter(|no| (1..100_000).contains(no)) else {
        return;
    };
    let counted = Class::SIZE
        .or(Class::UNIT)
        .or(Class::MINUTE)
        .or(Class::HOUR)
        .or(Class::PEOPLE)
        .or(Class::GENERIC)
        .or(Class::EACH)
        .or(Class::DOLLAR)
        .or(Class::PERCENT);
    if words.is(number.end, counted) || words.kinds(number.end).iter().any(|hit| hit.whole) {
        return;
    }
    found.push(Place {
        end: number.end,
        said: PlaceSaid {
            name: words.text(noun, number.end).to_string(),
            known: true,
            rivals: Vec::new(),
            quote: Some(no),
            span: words.span(noun, number.end),
        },
        gain: 3,
    });
}

fn known(words: &Words<'_>, start: usize, gain: i32, found: &mut Vec<Place>) {
    let mut texts = [""; PLACE_WORDS_MAX];
    let count = words.len().saturating_sub(start).min(PLACE_WORDS_MAX);
    for (offset, text) in texts[..count].iter_mut().enumerate() {
        *text = words.lower(start + offset);
    }
    let hits = words.vocabulary.places_spelled(&texts[..count]);
    let Some((count, best, whole)) = hits.first().copied() else {
        return;
    };
    // A bare plant or size word is the plant, unless the place was led in or its whole name stands here.
    let plain = gain < 4 && !whole;
    // "cedar first": of a place of the book, what elsewhere says how mulch looks is the name.
    let name = words.unknown(start) || words.class(start).only(Class::LOOKS);
    if plain && (!words.kinds(start).is_empty() || !name) && count < 2 {
        return;
    }
    if words.get(start).is_some_and(|t| matches!(t.kind, TokenKind::Number(_))) && count < 2 {
        return;
    }
    let rivals: Vec<String> = hits
        .iter()
        .filter(|(n, index, full)| (*n, *full) == (count, whole) && *index != best)
        .map(|(_, index, _)| words.vocabulary.place(*index).to_string())
        .collect();
    let end = start + count;
    // More of a name follows than the known place has: a place of its own (`Alder Way` beside `Alder Ct`).
    let continues = words.is(end, Class::SUFFIX) && !whole;
    if continues {
        return;
    }
    found.push(Place {
        end,
        said: PlaceSaid {
            name: words.vocabulary.place(best).to_string(),
            known: true,
            rivals,
            quote: None,
            span: words.span(start, end),
        },
        gain: gain + 3,
    });
}

/// A name that ends in a street word, with or without a house number: `14 Boxwood Ct`, `holly lane`.
fn named(words: &Words<'_>, start: usize, led: bool, found: &mut Vec<Place>) {
    let numbered = matches!(words.get(start).map(|t| t.kind), Some(TokenKind::Number(n)) if n.is_integer())
        && !words.get(start).is_some_and(|t| t.fraction);
    let spoken = if led && !numbered {
        spoken_number(words, start)
    } else {
        None
    };
    let first = match spoken {
        Some(end) => end,
        None if numbered && !words.get(start).is_some_and(|t| t.ordinal) => start + 1,
        None => start,
    };
    let mut end = first;
    while end < words.len() && end < first + 4 {
        let token = words.get(end).expect("end is within the words");
        let is_name = token.is_word() || (token.ordinal && end == first);
        if !is_name {
            return;
        }
        let strong = words.is(end, Class::SUFFIX);
        let noun = words.one_of(end, &["place", "house", "job"]) && !token.capital && !numbered;
        let weak = words.is(end, Class::WEAKSUFFIX) && (token.capital || led || numbered) && !noun;
        // "Hedge Row Ln" ends at its last street word.
        let title = words.is(end + 1, Class::TITLE) && words.get(end + 2).is_some_and(|name| name.capital);
        let goes_on = words.is(end + 1, Class::SUFFIX) && !title || weak && words.is(end + 1, Class::WEAKSUFFIX);
        if end > first && (strong || weak) && !goes_on {
            // "12 azaleas alder ct": a plural is counted and part of no street's name.
            let counted = |i: usize| numbered && !words.is(i, Class::NAMELIKE) && plural_kind(words, i);
            let blocked = (first..end).any(|i| breaks_name(words, i) || counted(i));
            let sound =
                numbered || led || words.get(first).is_some_and(|t| t.capital) || (strong && words.unknown(first));
            // "at mill creek": two words of that sort are a name.
            let creek = led
                && words.is(first, Class::WEAKSUFFIX)
                && !words.one_of(first, &["drive", "house", "place", "way", "walk", "run", "row"]);
            let doubtful = !strong && !token.capital && !words.unknown(first) && !numbered && !creek;
            if blocked || !sound || doubtful {
                return;
            }
            let mut close = end + 1;
            if words.sign(close, '.') && words.get(close).is_some_and(|t| t.glued) && close + 1 < words.len() {
                close += 1;
            }
            close += usize::from(words.one_of(close, &["n", "s", "e", "w", "north", "south", "east", "west"]));
            // "mill road number forty two".
            if let Some((number, behind)) = number_behind(words, close).filter(|_| !numbered) {
                let house = Some((number, start));
                found.push(place_of(words, (start, behind, end + 1), 5 + i32::from(led), house));
                return;
            }
            let plot = close + usize::from(words.sign(close, ','));
            if words.one_of(plot, &["apt", "apartment", "unit", "suite", "ste", "lot", "bldg"])
                && let Some(count) = number(words, plot + 1).filter(|count| count.value.is_integer())
            {
                close = count.end;
            }
            found.push(place(
                words,
                start,
                close,
                end + 1,
                if numbered { 5 } else { 3 } + i32::from(led),
            ));
            return;
        }
        end += 1;
    }
}

/// One past a house number said in words before a street: `twenty two fern hollow drive`, `one oh five birch lane`.
fn spoken_number(words: &Words<'_>, start: usize) -> Option<usize> {
    let pair = moneys(words, start, For::Whole)
        .into_iter()
        .find(|sum| !sum.explicit && sum.end > start + 1 && street_follows(words, sum.end));
    if let Some(pair) = pair {
        return Some(pair.end);
    }
    let count = number(words, start).filter(|count| count.value.is_integer())?;
    let street = words.unknown(count.end) || street_follows(words, count.end);
    let plant = words.kinds(count.end).iter().any(|hit| hit.whole && hit.words > 1);
    (street && !plant).then_some(count.end)
}

/// Whether a name of a street follows, its street word included: no size, unit or time in it.
fn street_follows(words: &Words<'_>, at: usize) -> bool {
    let counts = Class::SIZE
        .or(Class::UNIT)
        .or(Class::MINUTE)
        .or(Class::HOUR)
        .or(Class::PEOPLE)
        .or(Class::EACH)
        .or(Class::PER)
        .or(Class::DOLLAR)
        .or(Class::PERCENT);
    let end = (at + 1..at + 4).find(|end| words.is(*end, Class::SUFFIX) && !words.is(*end, Class::TITLE));
    end.is_some_and(|end| (at..end).all(|i| words.get(i).is_some_and(Token::is_word) && !words.is(i, counts)))
}

/// A house number said in words (`forty two elm`, `six cedar court`), in figures, and one past its last word. Alone, a
/// number below twenty may be a name (`twelve oaks`).
fn spoken_house(words: &Words<'_>, start: usize, name_end: usize) -> Option<(String, usize)> {
    let spoken = words.get(start).is_some_and(|token| token.is_word() && !token.capital);
    if !spoken {
        return None;
    }
    let (number, end) = house_number(words, start).filter(|(_, end)| *end < name_end)?;
    // "seven pines road" is a name of its own, "six cedar court" a house.
    let named = words.lower(end).ends_with('s') || words.spelled(end, "mile");
    let street = words.is(name_end - 1, Class::SUFFIX.or(Class::WEAKSUFFIX)) && end + 1 < name_end && !named;
    (street || end > start + 1).then_some((number, end))
}

/// A house number said behind its street (`number forty two`), and one past its last word.
fn number_behind(words: &Words<'_>, at: usize) -> Option<(String, usize)> {
    let told = words.one_of(at, &["number", "no", "nr"]);
    let start = at + 1 + usize::from(words.sign(at + 1, '.'));
    told.then(|| house_number(words, start)).flatten()
}

/// A house number in figures or in words (`one oh five`, `fourteen twenty`), in figures, and one past its last word.
fn house_number(words: &Words<'_>, at: usize) -> Option<(String, usize)> {
    let pair = moneys(words, at, For::Whole)
        .into_iter()
        .find(|sum| !sum.explicit && sum.end > at + 1);
    let (value, end) = match pair {
        Some(pair) => (pair.dollars, pair.end),
        None => number(words, at).map(|count| (count.value, count.end))?,
    };
    value.is_integer().then(|| (value.normalize().to_string(), end))
}

fn place(words: &Words<'_>, start: usize, close: usize, name_end: usize, gain: i32) -> Place {
    let house = spoken_house(words, start, name_end);
    place_of(words, (start, close, name_end), gain, house)
}

/// The place of the words from `start` to `name_end`; `house` is its number in figures and where its name begins.
fn place_of(
    words: &Words<'_>,
    (start, close, name_end): (usize, usize, usize),
    gain: i32,
    house: Option<(String, usize)>,
) -> Place {
    let name = match &house {
        Some((number, end)) => format!("{number} {}", tidy(words.text(*end, name_end))),
        None => tidy(words.text(start, name_end.max(start + 1))),
    };
    let (number, rest) = house
        .as_ref()
        .map_or((None, start), |(number, end)| (Some(number.as_str()), *end));
    let texts: Vec<&str> = number
        .into_iter()
        .chain((rest..name_end).map(|i| words.lower(i)))
        .collect();
    let known = words
        .vocabulary
        .places_spelled(&texts)
        .into_iter()
        .find(|(count, _, whole)| *whole && *count == texts.len());
    let (name, known) = match known {
        Some((_, index, _)) => (words.vocabulary.place(index).to_string(), true),
        None => (name, false),
    };
    let said = PlaceSaid {
        name,
        known,
        rivals: Vec::new(),
        quote: None,
        span: words.span(start, name_end),
    };
    Place { end: close, said, gain }
}

/// Dictation writes places in lower case; the book shows them with capitals.
fn tidy(text: &str) -> String {
    if text.chars().any(char::is_uppercase) {
        return text.split_whitespace().collect::<Vec<_>>().join(" ");
    }
    let capital = |word: &str| {
        let mut letters = word.chars();
        letters
            .next()
            .map(|c| c.to_uppercase().collect::<String>() + letters.as_str())
            .unwrap_or_default()
    };
    text.split_whitespace().map(capital).collect::<Vec<_>>().join(" ")
}

/// Words that cannot be part of a street's name unless capitalised.
fn breaks_name(words: &Words<'_>, at: usize) -> bool {
    let token = words.get(at).expect("at is within the words");
    let talk = Class::MINUTE
        .or(Class::HOUR)
        .or(Class::PEOPLE)
        .or(Class::PER)
        .or(Class::EACH)
        .or(Class::UNIT);
    !token.capital && (token.class.any(talk) || words.one_of(at, &["with", "and", "at", "on", "for", "in", "is"]))
}

/// A kind in the plural.
fn plural_kind(words: &Words<'_>, at: usize) -> bool {
    let lower = words.lower(at);
    lower.ends_with('s') && lower != words.stem_singular(at) && words.kinds(at).iter().any(|hit| hit.whole)
}

/// Whether the word is a kind by its spelling; one that only resembles a kind (`hollow`, holly) may be part of a name.
fn named_kind(words: &Words<'_>, at: usize) -> bool {
    let weak = words.is(at, Class::WEAKSUFFIX);
    let near = |likeness| matches!(likeness, Likeness::Same) || (!weak && matches!(likeness, Likeness::Spelling));
    words.kinds(at).iter().any(|hit| hit.whole && near(hit.likeness))
}

/// `forty two elm`, `42 Elm`: a house number without a street word behind the name.
fn bare_house(words: &Words<'_>, at: usize) -> Option<usize> {
    let count = number(words, at).filter(|count| count.value.is_integer())?;
    let name = words.unknown(count.end) && words.kinds(count.end).is_empty();
    let sure = count.end > at + 1 || words.get(count.end).is_some_and(|name| name.capital);
    (name && sure).then_some(count.end)
}

/// A place by somebody's name: `Pell's house`.
fn called(words: &Words<'_>, start: usize, end: usize, gain: i32) -> Place {
    let mut piece = place(words, start, end, end, gain);
    if words.get(end - 1).is_some_and(|t| t.possessive) {
        piece.said.name = bare_name(&tidy(words.text(start, end)));
    }
    piece.end += usize::from(words.one_of(end, &["house", "place", "job", "property"]));
    piece
}

/// After a preposition: words that nothing else knows, or capitalised ones.
fn loose(words: &Words<'_>, start: usize, strong: bool, found: &mut Vec<Place>) {
    let mut end = start;
    let mut names = 0;
    while end < words.len() && end < start + 4 {
        let token = words.get(end).expect("end is within the words");
        // "St. Brendan's": a saint, where a street would have its name in front.
        let dotted = usize::from(words.sign(end + 1, '.'));
        let saint = words.one_of(end, &["st", "saint"])
            && end == start
            && words.get(end + 1 + dotted).is_some_and(|token| token.capital);
        let title = (words.is(end, Class::TITLE) || saint) && end == start;
        let kind = named_kind(words, end);
        let name = token.is_word()
            && ((words.unknown(end) && !kind && !words.is(end, Class::FILLER))
                || (token.capital
                    && !words.is(end, Class::SIZE.or(Class::WEEKDAY).or(Class::MONTH))
                    && (!kind || strong)));
        let pair = words.spelled(end, "and")
            && end > start
            && words.is(end - 1, Class::TITLE)
            && words.is(end + 1, Class::TITLE);
        if let Some(after) = bare_house(words, end).filter(|_| strong && end == start) {
            end = after;
            continue;
        }
        // "Twelve Oaks": a number word with a name behind it.
        let counted = strong
            && end == start
            && words.is(end, Class::UNITS)
            && (words.unknown(end + 1) || words.one_of(end + 1, &["oak", "oaks"]))
            && words.kinds(end + 1).is_empty();

        if counted {
            names += 1;
            end += 2;
        } else if pair {
            end += 2;
        } else if title {
            end += 1;
        } else if name {
            names += 1;
            end += 1;
        } else if words.is(end, Class::WEAKSUFFIX) && end > start && !words.one_of(end, &["drive", "way"]) {
            let only_noun = words.one_of(end, &["place", "house"]) && !words.get(end).is_some_and(|t| t.capital);
            end += usize::from(!only_noun);
            if !only_noun && words.is(end, Class::WEAKSUFFIX.or(Class::SUFFIX)) {
                end += 1;
            }
            break;
        } else if words.sign(end, '.')
            && end > start
            && (words.is(end - 1, Class::TITLE) || words.one_of(end - 1, &["st", "saint"]))
        {
            end += 1;
        } else {
            break;
        }
    }
    if names == 0 {
        return;
    }
    let gain = if strong { 2 } else { 1 };
    found.push(called(words, start, end, gain));
}

/// `mrs pell`, `Dr. Ames`: a person with a title needs no preposition.
fn titled(words: &Words<'_>, at: usize, found: &mut Vec<Place>) {
    if at > 0 && words.one_of(at - 1, &["from", "to", "of", "says", "said", "told", "and", "by"]) {
        return;
    }
    if !words.is(at, Class::TITLE)
        || words.one_of(at, &["miss", "dr", "ms"]) && !words.get(at).is_some_and(|t| t.capital)
    {
        return;
    }
    let mut end = at + 1 + usize::from(words.sign(at + 1, '.'));
    let first = end;
    let name = |end: usize| {
        words
            .get(end)
            .is_some_and(|token| token.is_word() && (token.capital || words.unknown(end)))
            && !words.is(end, Class::SIZE.or(Class::WEEKDAY).or(Class::MONTH))
            && !named_kind(words, end)
    };
    while end < first + 2 && name(end) {
        end += 1;
    }
    if end == first {
        return;
    }
    let mut piece = place(words, at, end, end, 2);
    piece.said.name = bare_name(&piece.said.name);
    if words.sign(end, ':') {
        piece.end = end + 1;
    }
    found.push(piece);
}

/// A name without its possessive ending.
fn bare_name(name: &str) -> String {
    name.trim_end_matches("'s").trim_end_matches("’s").to_string()
}

/// `at lot 7`, `at route 12`: a word for a plot or a road, and its number.
fn numbered_plot(words: &Words<'_>, start: usize, found: &mut Vec<Place>) {
    let plot = words.one_of(
        start,
        &[
            "lot",
            "unit",
            "apt",
            "apartment",
            "suite",
            "route",
            "rt",
            "rte",
            "hwy",
            "highway",
            "building",
            "bldg",
            "hole",
        ],
    );
    let count = number(words, start + 1).filter(|count| plot && count.value.is_integer());
    if let Some(count) = count {
        found.push(place(words, start, count.end, count.end, 4));
    }
}

/// Before a colon or on a line of its own: `Hendersons: 12 small`, `Alder Ct` and a new line.
fn own_line(words: &Words<'_>, at: usize, found: &mut Vec<Place>) {
    let first = at == 0 || words.get(at - 1).is_some_and(|t| t.kind == TokenKind::Break);
    if !first || !words.kinds(at).is_empty() || words.is(at, Class::SIZE) {
        return;
    }
    let mut end = at;
    while end < words.len() && end < at + PLACE_WORDS_MAX {
        let token = words.get(end).expect("end is within the words");
        let house_number = end == at && matches!(token.kind, TokenKind::Number(_));
        if !(token.is_word() || token.ordinal || house_number) {
            break;
        }
        end += 1;
    }
    let closed = words.sign(end, ':')
        || words.get(end).is_some_and(|t| t.kind == TokenKind::Break)
        || (words.sign(end, '-') && words.get(end).is_some_and(|t| !t.glued))
        || (words.sign(end, ',') && (at..end).all(|i| words.get(i).is_some_and(|t| t.capital)));
    let of_a_name = Class::RULE.or(Class::NAMELIKE).or(Class::SUFFIX).or(Class::WEAKSUFFIX);
    let named = (at..end).any(|i| words.unknown(i) || words.is(i, Class::SUFFIX))
        && (at..end).all(|i| words.class(i).only(of_a_name) || words.get(i).is_some_and(|t| t.capital));
    if end > at && closed && named && end < words.len() {
        let close = if words.get(end).is_some_and(|t| t.kind == TokenKind::Break) {
            end
        } else {
            end + 1
        };
        found.push(place(words, at, close, end, 3));
    }
}
