//! Jobs and readings teach the minutes, and taking them back unlearns them.

use rust_decimal::Decimal;

use super::{
    meanings::{choice, class, done, line, quote, set_minutes, undo},
    yard::Yard,
};
use crate::{
    conversation::{Answer, FinishCause, JobNews, Part, Solved},
    journal::{self, Learned},
    language::{ExtraKind, Meaning, Setting, Solve, StopwatchSaid},
    pricing::Basis,
};

const SMALL: Option<&str> = Some("small");

fn learned(yard: &Yard) -> Option<Learned> {
    yard.state.book().learned("holly", SMALL)
}

fn hollies(count: i64) -> Meaning {
    quote(vec![line(count, Some("holly"), SMALL)])
}

/// A job of small hollies at seven minutes each.
fn job(yard: &mut Yard, count: i64) {
    yard.says(vec![hollies(count)]);
    yard.says(vec![done(7 * count)]);
}

fn basis_of_next_quote(yard: &mut Yard) -> Basis {
    let answer = yard.says(vec![hollies(10)]);
    let quote = answer.parts.iter().find_map(|part| match part {
        Part::Quote(shown) => Some(shown.priced.lines[0].basis),
        _ => None,
    });
    quote.expect("a quote")
}

#[test]
fn jobs_move_the_minutes_and_taking_them_back_unlearns_them() {
    let mut yard = Yard::new();
    yard.says(vec![set_minutes("holly", SMALL, 5)]);
    assert_eq!(learned(&yard), None);
    let mut before = Vec::new();
    for count in [12, 20, 15] {
        before.push(learned(&yard));
        job(&mut yard, count);
    }
    let now = learned(&yard).expect("three jobs");
    assert_eq!(now.basis, Basis::Learned, "three jobs outweigh the owner's word");
    assert!(now.minutes_each.get() > Decimal::from(6) && now.minutes_each.get() < Decimal::from(7));
    assert_eq!(
        learned(&yard),
        journal::replay(&yard.log).book().learned("holly", SMALL),
        "a fold learns the same"
    );
    for was in before.into_iter().rev() {
        yard.says(vec![undo(2)]);
        assert_eq!(learned(&yard), was);
    }
}

#[test]
fn minutes_that_the_owner_keeps_stay_in_the_price() {
    let mut yard = Yard::new();
    yard.says(vec![set_minutes("holly", SMALL, 5)]);
    for count in [12, 20, 15] {
        job(&mut yard, count);
    }
    assert_eq!(basis_of_next_quote(&mut yard), Basis::Learned);
    let keep = |keep| {
        Meaning::Set(Setting::KeepMinutes {
            class: Some(class(Some("holly"), SMALL)),
            keep,
        })
    };
    yard.says(vec![keep(true)]);
    assert_eq!(basis_of_next_quote(&mut yard), Basis::Set);
    yard.says(vec![keep(false)]);
    assert_eq!(basis_of_next_quote(&mut yard), Basis::Learned);
}

#[test]
fn readings_of_single_units_count_as_well() {
    let mut yard = Yard::new();
    let readings = [55, 60, 70, 65].map(|tenths| Decimal::new(tenths, 1)).to_vec();
    yard.says(vec![Meaning::Time(vec![StopwatchSaid {
        class: class(Some("holly"), SMALL),
        readings,
    }])]);
    let now = learned(&yard).expect("four readings");
    assert_eq!((now.readings, now.jobs, now.units), (4, 0, Decimal::from(4)));
}

fn solved(answer: &Answer) -> Option<&Solved> {
    answer.parts.iter().find_map(|part| match part {
        Part::Solved(solved) => Some(solved.as_ref()),
        _ => None,
    })
}

/// The price for a chance is the one at which the quote then shows that chance.
#[test]
fn the_price_for_a_chance_has_that_chance() {
    let mut yard = Yard::new();
    for count in [12, 20, 15] {
        job(&mut yard, count);
    }
    yard.says(vec![hollies(10)]);
    let chance = Decimal::new(8, 1);
    let answer = yard.says(vec![Meaning::Solve(Solve::PriceForChance(chance))]);
    let price = solved(&answer).and_then(|solved| solved.price).expect("a price");
    let answer = yard.says(vec![super::meanings::revise(vec![crate::language::Change::Price(
        price.get(),
    )])]);
    let likely = answer.parts.iter().find_map(|part| match part {
        Part::Quote(shown) => shown.likely,
        _ => None,
    });
    assert_eq!(likely.map(|likely| likely.chance), Some(chance));
}

#[test]
fn a_chance_that_is_none_is_refused() {
    let mut yard = Yard::new();
    yard.says(vec![hollies(10)]);
    for chance in [Decimal::ZERO, Decimal::ONE, Decimal::TEN] {
        let answer = yard.says(vec![Meaning::Solve(Solve::PriceForChance(chance))]);
        assert!(answer.parts.iter().any(|part| matches!(part, Part::Refused(_))));
    }
}

fn timed(minutes: &[i64]) -> Meaning {
    Meaning::Time(vec![StopwatchSaid {
        class: class(Some("holly"), SMALL),
        readings: minutes.iter().map(|minutes| Decimal::from(*minutes)).collect(),
    }])
}

fn asked(answer: &Answer) -> Option<usize> {
    answer.parts.iter().find_map(|part| match part {
        Part::Ask(ask) => Some(ask.choices.len()),
        _ => None,
    })
}

/// A yard in which ten small hollies were timed at about five minutes, and one more at 52.
fn with_an_odd_reading() -> (Yard, Option<Learned>) {
    let mut yard = Yard::new();
    yard.says(vec![set_minutes("holly", SMALL, 5)]);
    yard.says(vec![timed(&[5, 4, 6, 5, 5, 6, 4, 5, 5, 5])]);
    let before = learned(&yard);
    let answer = yard.says(vec![timed(&[52])]);
    assert_eq!(asked(&answer), Some(3), "what was meant, as said, or left out");
    assert_eq!(
        learned(&yard).map(|now| now.readings),
        Some(11),
        "it is kept all the same"
    );
    (yard, before)
}

#[test]
fn an_odd_reading_is_kept_and_its_figure_can_be_put_right() {
    let (mut yard, _) = with_an_odd_reading();
    yard.says(vec![choice(1)]);
    let now = learned(&yard).expect("eleven readings");
    assert_eq!(now.readings, 11);
    assert!(now.minutes_each.get() < Decimal::new(53, 1), "5.2 was meant");
    let last = yard
        .state
        .book()
        .course("holly", SMALL)
        .last()
        .map(|point| point.each.clone());
    assert_eq!(last, Some(vec![Decimal::new(52, 1)]));
}

#[test]
fn an_odd_reading_can_stand_or_go() {
    let (mut yard, _) = with_an_odd_reading();
    let odd = learned(&yard);
    yard.says(vec![choice(2)]);
    assert_eq!(learned(&yard), odd);
    let (mut yard, before) = with_an_odd_reading();
    yard.says(vec![choice(3)]);
    assert_eq!(learned(&yard), before);
}

/// Whatever else is said next, the reading stays and the question is forgotten.
#[test]
fn an_odd_reading_stays_when_the_question_is_passed_over() {
    let (mut yard, _) = with_an_odd_reading();
    let odd = learned(&yard);
    yard.says(vec![hollies(3)]);
    assert_eq!(learned(&yard), odd);
    yard.says(vec![undo(2)]);
    assert_eq!(learned(&yard).map(|now| now.readings), Some(10));
}

#[test]
fn an_odd_finish_is_put_right_in_the_figure_that_was_said() {
    let mut yard = Yard::new();
    yard.says(vec![set_minutes("holly", SMALL, 5)]);
    for count in [12, 20, 15] {
        job(&mut yard, count);
    }
    yard.says(vec![hollies(10)]);
    let answer = yard.says(vec![done(680)]);
    assert_eq!(asked(&answer), Some(2));
    yard.says(vec![choice(1)]);
    let finish = yard
        .state
        .book()
        .quotes_newest_first()
        .next()
        .and_then(|entry| entry.finish.clone());
    assert_eq!(finish.map(|finish| finish.man_minutes.get()), Some(Decimal::from(68)));
    assert_eq!(learned(&yard).map(|now| now.jobs), Some(4), "one job was finished once");
}

#[test]
fn a_job_finished_again_is_asked_about_and_learned_from_once() {
    let mut yard = Yard::new();
    yard.says(vec![set_minutes("holly", SMALL, 5)]);
    job(&mut yard, 12);
    let answer = yard.says(vec![done(70)]);
    assert_eq!(asked(&answer), Some(2));
    yard.says(vec![choice(1)]);
    let entry = yard.state.book().quotes_newest_first().next().cloned().expect("a job");
    assert_eq!(
        entry.finish.map(|finish| finish.man_minutes.get()),
        Some(Decimal::from(70))
    );
    assert_eq!(
        learned(&yard).map(|now| (now.jobs, now.units)),
        Some((1, Decimal::from(12)))
    );
}

/// Jobs of one, four and twelve hollies at five minutes each and twenty beside them: the twenty are the set-up.
#[test]
fn a_set_up_that_nobody_said_is_charged_once_jobs_show_it() {
    let mut yard = Yard::new();
    yard.says(vec![set_minutes("holly", SMALL, 5)]);
    let set_up = |yard: &mut Yard| {
        let answer = yard.says(vec![hollies(10)]);
        answer.parts.iter().find_map(|part| match part {
            Part::Quote(shown) => Some((shown.sheet.set_up, shown.sheet.set_up_learned)),
            _ => None,
        })
    };
    assert_eq!(set_up(&mut yard), Some((None, false)));
    for count in [1, 12, 4, 2, 14, 1, 8, 3, 16, 1, 10, 5, 1, 12, 4, 2] {
        yard.says(vec![hollies(count)]);
        yard.says(vec![done(20 + 5 * count)]);
    }
    let Some((Some(minutes), true)) = set_up(&mut yard) else {
        panic!("no set-up was learned");
    };
    assert!(
        (15..=22).contains(&i64::try_from(minutes.get()).expect("whole minutes")),
        "{minutes:?}"
    );
    yard.says(vec![Meaning::Set(Setting::ExtraMinutes(
        ExtraKind::SetUp,
        Decimal::from(12),
    ))]);
    let said = set_up(&mut yard).and_then(|(minutes, learned)| Some((minutes?.get(), learned)));
    assert_eq!(said, Some((Decimal::from(12), false)), "the owner's word stands");
}

/// A job of small ones as quoted and medium ones a third over: the medium ones are named.
#[test]
fn a_finish_names_the_kind_that_ran_long() {
    let mut yard = Yard::new();
    yard.says(vec![set_minutes("holly", SMALL, 5)]);
    for count in [12, 20, 15, 18] {
        yard.says(vec![hollies(count)]);
        yard.says(vec![done(5 * count)]);
    }
    yard.says(vec![quote(vec![
        line(12, Some("holly"), SMALL),
        line(6, Some("holly"), Some("large")),
    ])]);
    let quoted = yard
        .state
        .book()
        .quotes_newest_first()
        .next()
        .map(|entry| entry.quoted_man_minutes().get());
    let took = quoted.expect("a quote") * Decimal::TWO;
    let answer = yard.says(vec![done(i64::try_from(took.trunc()).expect("minutes"))]);
    let cause = answer.parts.iter().find_map(|part| match part {
        Part::Job(shown) => match &shown.news {
            JobNews::Finished(news) => news.cause.clone(),
            _ => None,
        },
        _ => None,
    });
    let Some(FinishCause::Class {
        counted, each, quoted, ..
    }) = cause
    else {
        panic!("{cause:?}");
    };
    assert_eq!(counted.size.as_deref(), Some("large"));
    assert!(each > quoted);
}
