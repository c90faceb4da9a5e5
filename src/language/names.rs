//! Words that nothing knows, as names of places.

use super::meaning::PlaceSaid;
use super::words::Words;

/// Runs of words that nothing knows and no phrase took (`Alder on friday`): a name, when something is said of one.
pub(super) fn unknown_names(left: &[usize], words: &Words<'_>) -> Vec<(usize, PlaceSaid)> {
    let mut names: Vec<(usize, PlaceSaid)> = Vec::new();
    let mut last = usize::MAX;
    for at in left.iter().copied().filter(|at| words.unknown(*at)) {
        let span = words.span(at, at + 1);
        match names.last_mut() {
            Some((_, place)) if last != usize::MAX && last + 1 == at => {
                place.span.end = span.end;
                place.name = words.tokens.text[place.span.start..place.span.end].to_string();
            }
            _ => {
                let name = words.text(at, at + 1).to_string();
                names.push((
                    span.start,
                    PlaceSaid {
                        name,
                        known: false,
                        rivals: Vec::new(),
                        quote: None,
                        span,
                    },
                ));
            }
        }
        last = at;
    }
    names
}
