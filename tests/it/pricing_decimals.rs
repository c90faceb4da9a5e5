//! What the decimal library does, pinned: an upgrade that changes one of these would move a price without a word.
//!
//! Observed on rust_decimal 1.43.0. None of the four is used by a price; each is a reason for a rule of `units`.

use rust_decimal::{Decimal, RoundingStrategy};
use tallyhand::units::{Money, RoundingPolicy};

fn decimal(text: &str) -> Decimal {
    text.parse().expect("a decimal")
}

/// So a sum never divides before its one rounding.
#[test]
fn a_third_times_three_is_not_one() {
    let third = Decimal::ONE / decimal("3");
    assert_eq!((third * decimal("3")).to_string(), "0.9999999999999999999999999999");
}

/// So decimals are counted before multiplying, and what would be cut is refused.
#[test]
fn a_product_too_small_for_its_scale_is_zero_without_a_word() {
    let small = decimal("0.000000000000001");
    assert_eq!(small.checked_mul(small), Some(Decimal::ZERO));
}

/// So the strategy is always named.
#[test]
fn rounding_without_a_strategy_is_bankers() {
    assert_eq!(decimal("2.345").round_dp(2), decimal("2.34"));
    let named = decimal("2.345").round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero);
    assert_eq!(named, decimal("2.35"));
    assert_eq!(RoundingPolicy::HalfUp.places(decimal("2.345"), 2), decimal("2.35"));
    assert_eq!(RoundingPolicy::HalfUp.places(decimal("-2.345"), 2), decimal("-2.35"));
    assert_eq!(RoundingPolicy::Up.places(decimal("2.341"), 2), decimal("2.35"));
    assert_eq!(RoundingPolicy::Up.places(decimal("-2.349"), 2), decimal("-2.34"));
}

/// So money is shown as it is, and is never formatted with a precision.
#[test]
fn formatting_with_a_precision_cuts() {
    assert_eq!(format!("{:.2}", decimal("2.359")), "2.35");
    assert_eq!("2.50".parse::<Money>().expect("money").to_string(), "2.50");
    assert_eq!("2.5".parse::<Money>().expect("money").to_string(), "2.50");
    assert_eq!("2.500".parse::<Money>().expect("money").to_string(), "2.50");
    assert!("2.359".parse::<Money>().is_err());
}

/// A whole-number rounding against the library's own, where both can do it.
#[test]
fn steps_and_halves_agree_with_the_library() {
    for cents in -1_000..=1_000 {
        let amount = Money::from_cents(cents);
        let expected = amount
            .get()
            .round_dp_with_strategy(1, RoundingStrategy::MidpointAwayFromZero);
        let rounded = RoundingPolicy::HalfUp
            .to_step(amount, Money::from_cents(10))
            .expect("a step");
        assert_eq!(rounded.get(), expected, "{amount}");
        let expected = amount
            .get()
            .round_dp_with_strategy(1, RoundingStrategy::ToPositiveInfinity);
        let rounded = RoundingPolicy::Up
            .to_step(amount, Money::from_cents(10))
            .expect("a step");
        assert_eq!(rounded.get(), expected, "{amount}");
    }
}
