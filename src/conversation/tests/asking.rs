//! What is asked before anything is priced, and that nothing is decided meanwhile.

use rust_decimal::Decimal;

use super::{
    meanings::{at, choice, class, done, line, quote, quote_at, rate, revise, set_minutes, undo, what_if},
    yard::{Yard, reading},
};
use crate::{
    conversation::{Answer, Ask, Kind, Label, Part, Question},
    language::{AnswerSaid, Change, Doubt, LineSaid, Look, Meaning, PlaceSaid, QuantitySaid, Reading, Span},
};

fn asked(answer: &Answer) -> Option<&Ask> {
    let mut asks = answer.parts.iter().filter_map(|part| match part {
        Part::Ask(ask) => Some(ask.as_ref()),
        _ => None,
    });
    let first = asks.next();
    assert!(asks.next().is_none(), "one question at a time");
    first
}

fn total(answer: &Answer) -> Option<String> {
    answer.parts.iter().find_map(|part| match part {
        Part::Quote(shown) => Some(shown.priced.total.to_string()),
        _ => None,
    })
}

/// Asserts that something was asked and nothing was decided.
#[track_caller]
fn check_asks(yard: &mut Yard, meanings: Vec<Meaning>) -> Ask {
    let before = yard.book_rows();
    let answer = yard.says(meanings);
    let ask = asked(&answer).cloned().expect("a question");
    assert_eq!(total(&answer), None, "no price while a question is open");
    assert_eq!(yard.book_rows(), before, "nothing is stored as decided");
    ask
}

fn vague(words: &str) -> LineSaid {
    LineSaid {
        quantity: QuantitySaid::Vague(words.to_string()),
        ..line(1, Some("azalea"), Some("small"))
    }
}

fn labels(ask: &Ask) -> Vec<Label> {
    ask.choices.iter().map(|choice| choice.label.clone()).collect()
}

fn words(words: &[&str]) -> Vec<Label> {
    words.iter().map(|word| Label::Words((*word).to_string())).collect()
}

#[test]
fn a_missing_size_is_asked_among_the_owners_own_sizes() {
    let mut yard = Yard::new();
    let all = check_asks(&mut yard, vec![quote(vec![line(5, Some("holly"), None)])]);
    assert_eq!(
        labels(&all),
        words(&["small", "medium", "large"]),
        "none of his own: all are offered"
    );
    yard.says(vec![set_minutes("holly", Some("small"), 5)]);
    let one = check_asks(&mut yard, vec![quote(vec![line(5, Some("holly"), None)])]);
    assert_eq!(
        labels(&one),
        words(&["small", "medium", "large"]),
        "one of his own: all are offered"
    );
    yard.says(vec![set_minutes("holly", Some("large"), 12)]);
    let two = check_asks(&mut yard, vec![quote(vec![line(5, Some("holly"), None)])]);
    assert_eq!(labels(&two), words(&["small", "large"]), "two of his own: those");
    let answer = yard.says(vec![choice(2)]);
    assert_eq!(total(&answer).as_deref(), Some("120.00"), "5 x 12 min at $2 a minute");
}

#[test]
fn the_owners_word_for_a_kind_as_a_whole_replaces_its_starter_sizes() {
    let mut yard = Yard::new();
    yard.says(vec![set_minutes("azalea", None, 4)]);
    let answer = yard.says(vec![quote(vec![line(5, Some("azalea"), None)])]);
    assert_eq!(total(&answer).as_deref(), Some("40.00"));
    // A size that is gone is asked about, never priced as if it were the whole.
    check_asks(&mut yard, vec![quote(vec![line(5, Some("azalea"), Some("large"))])]);
}

#[test]
fn minutes_for_a_kind_with_own_sizes_ask_which() {
    let mut yard = Yard::new();
    yard.says(vec![set_minutes("holly", Some("small"), 5)]);
    let ask = check_asks(&mut yard, vec![set_minutes("holly", None, 7)]);
    assert!(matches!(ask.question, Question::SetWhichSize(_)));
    yard.says(vec![choice(1)]);
    let answer = yard.says(vec![quote(vec![line(1, Some("holly"), Some("small"))])]);
    assert_eq!(total(&answer).as_deref(), Some("14.00"));
}

#[test]
fn a_vague_count_is_asked_and_the_rest_is_kept() {
    let mut yard = Yard::new();
    let lines = vec![line(2, Some("holly"), Some("small")), vague("a few")];
    check_asks(&mut yard, vec![quote_at("Alder Ct", lines)]);
    let answer = yard.says(vec![choice(4)]);
    assert_eq!(total(&answer).as_deref(), Some("52.00"), "2 x 5 + 4 x 4 minutes at $2");
    let place = yard
        .state
        .book()
        .quotes_newest_first()
        .next()
        .and_then(|entry| entry.place.clone());
    assert_eq!(place.as_deref(), Some("Alder Ct"));
}

#[test]
fn an_answer_that_cannot_be_leaves_the_question_open() {
    let mut yard = Yard::new();
    check_asks(&mut yard, vec![quote(vec![vague("some")])]);
    let before = yard.all_rows();
    let answer = yard.says(vec![choice(0)]);
    assert!(answer.parts.iter().any(|part| matches!(part, Part::Refused(_))));
    assert!(asked(&answer).is_some(), "it is asked again");
    assert_eq!(yard.all_rows(), before);
    assert_eq!(total(&yard.says(vec![choice(3)])).as_deref(), Some("24.00"));
}

#[test]
fn a_choice_beyond_those_offered_asks_again() {
    let mut yard = Yard::new();
    check_asks(&mut yard, vec![quote(vec![line(5, Some("holly"), None)])]);
    let before = yard.all_rows();
    let answer = yard.says(vec![choice(9)]);
    assert_eq!(answer.understood, [Kind::Unclear]);
    assert!(asked(&answer).is_some());
    assert_eq!(yard.all_rows(), before);
}

#[test]
fn something_new_and_clear_drops_the_question_and_a_look_does_not() {
    let mut yard = Yard::new();
    check_asks(&mut yard, vec![quote(vec![line(5, Some("holly"), None)])]);
    let looked = yard.says(vec![Meaning::Look(Look::PriceList)]);
    assert!(asked(&looked).is_some(), "the question is repeated after the look");
    let answer = yard.says(vec![quote(vec![line(5, Some("azalea"), Some("small"))])]);
    assert!(answer.parts.iter().any(|part| matches!(part, Part::LetGo(_))));
    assert_eq!(total(&answer).as_deref(), Some("40.00"));
    assert_eq!(yard.says(vec![choice(1)]).understood, [Kind::Unclear]);
}

#[test]
fn the_count_said_again_with_its_size_is_the_answer() {
    let mut yard = Yard::new();
    let lines = vec![line(2, Some("azalea"), Some("small")), line(5, Some("holly"), None)];
    check_asks(&mut yard, vec![quote(lines)]);
    let answer = yard.says(vec![quote(vec![line(5, Some("holly"), Some("large"))])]);
    assert_eq!(
        total(&answer).as_deref(),
        Some("216.00"),
        "2 x 4 + 5 x 20 minutes at $2"
    );
    // Another count is something new.
    check_asks(&mut yard, vec![quote(vec![line(5, Some("holly"), None)])]);
    let other = yard.says(vec![quote(vec![line(6, Some("holly"), Some("large"))])]);
    assert!(other.parts.iter().any(|part| matches!(part, Part::LetGo(_))));
}

#[test]
fn a_kind_is_taken_from_what_is_talked_about_when_one_fits() {
    let mut yard = Yard::new();
    yard.says(vec![set_minutes("holly", Some("small"), 5)]);
    let answer = yard.says(vec![quote(vec![line(12, None, Some("small"))])]);
    assert_eq!(total(&answer).as_deref(), Some("120.00"));
    // Two kinds are talked about: asked among them.
    yard.says(vec![quote(vec![
        line(1, Some("holly"), Some("small")),
        line(1, Some("azalea"), Some("small")),
    ])]);
    let ask = check_asks(&mut yard, vec![quote(vec![line(3, None, Some("small"))])]);
    assert_eq!(labels(&ask), words(&["holly", "azalea"]));
}

#[test]
fn a_list_shares_the_kind_named_in_it() {
    let mut yard = Yard::new();
    let lines = vec![
        line(12, None, Some("small")),
        line(3, Some("crape myrtle"), Some("medium")),
    ];
    let answer = yard.says(vec![quote(lines)]);
    assert_eq!(
        total(&answer).as_deref(),
        Some("216.00"),
        "12 x 6 + 3 x 12 minutes at $2"
    );
    // Between two kinds it could be either.
    let lines = vec![
        line(5, Some("holly"), Some("small")),
        line(3, None, Some("medium")),
        line(4, Some("azalea"), Some("large")),
    ];
    check_asks(&mut yard, vec![quote(lines)]);
}

#[test]
fn words_that_could_be_several_kinds_or_places_are_asked() {
    let mut yard = Yard::new();
    let mut said = line(5, Some("holly"), Some("small"));
    said.class.rivals = vec!["boxwood".to_string()];
    let ask = check_asks(&mut yard, vec![quote(vec![said])]);
    assert_eq!(labels(&ask), words(&["holly", "boxwood"]));
    let answer = yard.says(vec![choice(2)]);
    assert_eq!(total(&answer).as_deref(), Some("30.00"), "5 x 3 minutes at $2");
    let place = PlaceSaid {
        rivals: vec!["Alder Rd".to_string()],
        known: true,
        ..at("Alder Ct")
    };
    let meaning = Meaning::Quote {
        place: Some(place),
        lines: vec![line(1, Some("holly"), Some("small"))],
        changes: Vec::new(),
    };
    check_asks(&mut yard, vec![meaning]);
    yard.says(vec![choice(2)]);
    let place = yard
        .state
        .book()
        .quotes_newest_first()
        .next()
        .and_then(|entry| entry.place.clone());
    assert_eq!(place.as_deref(), Some("Alder Rd"));
}

#[test]
fn a_kind_that_is_not_listed_asks_for_its_minutes_and_is_listed_then() {
    let mut yard = Yard::new();
    let mut said = line(5, None, None);
    said.class.unknown = Some("photinia".to_string());
    check_asks(&mut yard, vec![quote(vec![said])]);
    let answer = yard.says(vec![choice(6)]);
    assert_eq!(total(&answer).as_deref(), Some("60.00"));
    assert!(yard.state.book().service("photinia").is_some());
    assert!(
        yard.state
            .vocabulary()
            .services()
            .iter()
            .any(|service| service.name == "photinia")
    );
}

#[test]
fn a_doubt_about_the_words_comes_first_and_its_choice_is_read_instead() {
    let mut yard = Yard::new();
    yard.reads(
        "three small hollies",
        vec![quote(vec![line(3, Some("holly"), Some("small"))])],
    );
    let doubtful = Reading {
        doubts: vec![Doubt::Either {
            words: "tree small".to_string(),
            choices: vec!["three small hollies".to_string(), "small trees".to_string()],
            span: Span::default(),
        }],
        ..reading(vec![rate(90), quote(vec![line(1, Some("tree"), Some("small"))])])
    };
    let before = yard.book_rows();
    let answer = yard.member_says(1, doubtful);
    assert!(asked(&answer).is_some());
    assert_eq!(
        yard.book_rows(),
        before,
        "nothing of a doubtful message is done, not even its clear part"
    );
    assert_eq!(total(&yard.says(vec![choice(1)])).as_deref(), Some("30.00"));
}

#[test]
fn meanings_before_the_one_that_asks_are_carried_out_once() {
    let mut yard = Yard::new();
    let answer = yard.says(vec![
        rate(60),
        quote(vec![line(5, Some("holly"), None)]),
        Meaning::Note {
            place: None,
            text: "gate code 4411".to_string(),
        },
    ]);
    assert_eq!(answer.understood, [Kind::Set, Kind::Quote]);
    assert!(asked(&answer).is_some());
    let answer = yard.says(vec![choice(1)]);
    assert_eq!(answer.understood, [Kind::Quote, Kind::Note]);
    assert_eq!(total(&answer).as_deref(), Some("25.00"), "5 x 5 minutes at $1");
    let entry = yard
        .state
        .book()
        .quotes_newest_first()
        .next()
        .cloned()
        .expect("a quote");
    assert_eq!(entry.notes, ["gate code 4411"]);
}

#[test]
fn an_answer_goes_on_to_the_rest_of_its_own_message() {
    let mut yard = Yard::new();
    check_asks(&mut yard, vec![quote(vec![line(5, Some("holly"), None)])]);
    let answer = yard.says(vec![choice(1), revise(vec![Change::DiscountPercent(Decimal::TEN)])]);
    assert_eq!(answer.understood, [Kind::Quote, Kind::Revise]);
    let entry = yard
        .state
        .book()
        .quotes_newest_first()
        .next()
        .cloned()
        .expect("a quote");
    assert_eq!(entry.total.to_string(), "45.00", "5 x 5 minutes at $2, less 10%");
}

#[test]
fn a_figure_for_one_of_several_lines_is_asked() {
    let mut yard = Yard::new();
    yard.says(vec![quote(vec![
        line(12, Some("holly"), Some("small")),
        line(3, Some("holly"), Some("medium")),
    ])]);
    let ask = check_asks(&mut yard, vec![revise(vec![Change::Quantity(line(14, None, None))])]);
    assert_eq!(ask.choices.len(), 2);
    let answer = yard.says(vec![choice(2)]);
    assert_eq!(
        total(&answer).as_deref(),
        Some("400.00"),
        "12 x 5 + 14 x 10 minutes at $2"
    );
    let minutes = Change::Minutes(class(Some("holly"), None), super::meanings::minutes(7));
    let ask = check_asks(&mut yard, vec![revise(vec![minutes.clone()])]);
    assert_eq!(ask.choices.last().map(|choice| choice.label.clone()), Some(Label::All));
    let answer = yard.says(vec![Meaning::Answer(AnswerSaid::Word("all".to_string()))]);
    assert_eq!(total(&answer).as_deref(), Some("364.00"), "26 x 7 minutes at $2");
    check_asks(&mut yard, vec![what_if(vec![minutes])]);
}

#[test]
fn with_nothing_to_apply_to_it_asks_and_keeps_no_question() {
    let mut yard = Yard::new();
    for meaning in [
        revise(vec![Change::DiscountPercent(Decimal::TEN)]),
        revise(vec![Change::UseThat]),
        revise(vec![Change::BillExtra]),
        done(85),
        super::meanings::won(),
    ] {
        check_asks(&mut yard, vec![meaning]);
        assert!(yard.log.is_empty(), "there is nothing to record");
    }
    let none = yard.says(vec![undo(1)]);
    assert!(matches!(&none.parts[..], [Part::Undone(shown)] if shown.taken.is_empty()));
}

#[test]
fn an_open_question_survives_a_restart() {
    let mut yard = Yard::new();
    check_asks(&mut yard, vec![quote(vec![line(5, Some("holly"), None)])]);
    yard.state = crate::journal::replay(&yard.log);
    assert_eq!(total(&yard.says(vec![choice(1)])).as_deref(), Some("50.00"));
}
