//! What a recogniser is told beforehand: a few sentences in the account's own words, as if they had been said before.
//!
//! It holds no digits: a recogniser puts those it was told into what it hears. Number words that are easily taken for
//! others (`two guys`, `a foot`, `done in`) are there, because they are the trade's own and gain more than they cost.

use super::Hints;

/// Letters of all names together; the rest of the list is left out.
const NAMES_LETTERS_MAX: usize = 320;

/// Places that are named, the latest first.
const PLACES_MAX: usize = 12;

/// What is said beforehand for an account.
pub fn prompt(hints: &Hints) -> String {
    let sizes = hints.sizes.join(", ");
    let kinds = within(&hints.kinds, NAMES_LETTERS_MAX).join(", ");
    let places = within(&hints.places, NAMES_LETTERS_MAX)
        .into_iter()
        .take(PLACES_MAX)
        .collect::<Vec<_>>()
        .join(", ");
    let mut said = String::from("Yard work.");
    if !kinds.is_empty() {
        said.push_str(&format!(" {sizes} {kinds}"));
        said.push_str(if places.is_empty() { "." } else { "," });
    }
    if !places.is_empty() {
        said.push_str(&format!(" at {places}."));
    }
    said.push_str(
        " Two minutes a foot, forty a yard, six minutes each. Done in an hour with two guys. Rate per man-hour.",
    );
    said
}

/// Names from the start of a list, as many as fit into so many letters.
fn within(names: &[String], letters_max: usize) -> Vec<&str> {
    let mut letters = 0;
    let fits = |name: &&String| {
        letters += name.len() + 2;
        letters <= letters_max
    };
    names.iter().take_while(fits).map(String::as_str).collect()
}

#[cfg(test)]
mod tests {
    use super::prompt;
    use crate::speech::Hints;

    #[test]
    fn an_accounts_own_words_are_said_and_no_figures_but_a_long_list_is_cut() {
        let hints = Hints {
            kinds: vec!["crapes".into(), "hollies".into()],
            sizes: vec!["small".into(), "large".into()],
            places: (0..1_000).map(|at| format!("Alder Court {at}")).collect(),
        };
        let said = prompt(&hints);
        assert!(
            said.contains("small, large crapes, hollies, at Alder Court 0, Alder Court 1,"),
            "{said}"
        );
        assert!(said.len() < 900, "{said}");
    }
}
