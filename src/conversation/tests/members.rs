//! Several members of one account: each has a thread of their own.

use super::{
    meanings::{choice, line, quote, quote_at, undo, won},
    yard::{Yard, reading},
};
use crate::{
    conversation::{Answer, Kind, Part},
    journal::Status,
};

fn asks(answer: &Answer) -> bool {
    answer.parts.iter().any(|part| matches!(part, Part::Ask(_)))
}

#[test]
fn a_number_answers_the_question_of_the_member_who_was_asked() {
    let mut yard = Yard::new();
    let hollies = || reading(vec![quote(vec![line(5, Some("holly"), None)])]);
    assert!(asks(&yard.member_says(1, hollies())));
    let other = yard.member_says(2, reading(vec![choice(1)]));
    assert_eq!(other.understood, [Kind::Unclear], "member 2 was not asked anything");
    let answered = yard.member_says(1, reading(vec![choice(1)]));
    assert_eq!(answered.understood, [Kind::Quote]);
}

#[test]
fn a_member_takes_back_only_what_he_said_himself() {
    let mut yard = Yard::new();
    let azaleas = |place: &str| reading(vec![quote_at(place, vec![line(5, Some("azalea"), Some("small"))])]);
    yard.member_says(1, azaleas("Alder Ct"));
    yard.member_says(2, azaleas("Birch Rd"));
    yard.member_says(1, reading(vec![undo(1)]));
    let left: Vec<Option<String>> = yard
        .state
        .book()
        .quotes_newest_first()
        .map(|entry| entry.place.clone())
        .collect();
    assert_eq!(left, [Some("Birch Rd".to_string())]);
    let none = yard.member_says(1, reading(vec![undo(1)]));
    assert!(matches!(&none.parts[..], [Part::Undone(shown)] if shown.taken.is_empty()));
}

#[test]
fn what_another_member_did_to_a_quote_goes_with_it_when_it_is_taken_back() {
    let mut yard = Yard::new();
    yard.member_says(
        1,
        reading(vec![quote_at("Alder Ct", vec![line(5, Some("azalea"), Some("small"))])]),
    );
    yard.member_says(2, reading(vec![won()]));
    assert_eq!(
        yard.state.book().quotes_newest_first().next().map(|entry| entry.status),
        Some(Status::Won)
    );
    yard.member_says(1, reading(vec![undo(1)]));
    assert_eq!(yard.state.book().quotes_newest_first().count(), 0);
}
