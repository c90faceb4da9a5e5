//! Jobs and readings teach the minutes, and taking them back unlearns them.

use rust_decimal::Decimal;

use super::{
    meanings::{class, done, line, quote, set_minutes, undo},
    yard::Yard,
};
use crate::{
    conversation::{Answer, Part, Solved},
    journal::{self, Learned},
    language::{Meaning, Setting, Solve, StopwatchSaid},
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
