//! What holds for every price, tried on generated sheets.

use proptest::{
    prelude::{Just, Strategy, any, prop_assert, prop_assert_eq, prop_oneof, proptest},
    sample::select,
};
use rust_decimal::Decimal;
use tallyhand::{
    pricing::{
        Basis, Discount, Effort, FeeKind, Quote, Refusal, Sheet, SheetLine, Step, SumStep, Tax, quote, solve, spread,
    },
    units::{Crew, ManMinutes, Money, Percent, Quantity, RatePerManHour, RoundingPolicy, Unit, UnitPrice},
};

use crate::pricing_notation::check_adds_up;

fn decimal(number: i64, places: u32) -> Decimal {
    Decimal::new(number, places)
}

/// 1 to 10,000 units, to four decimals.
fn quantity() -> impl Strategy<Value = Quantity> {
    prop_oneof![
        (1..=10_000i64).prop_map(|whole| decimal(whole, 0)),
        (10_000..=100_000_000i64).prop_map(|n| decimal(n, 4))
    ]
    .prop_map(|value| Quantity::new(value).expect("in range"))
}

/// 0.25 to 600 minutes, to four decimals.
fn minutes() -> impl Strategy<Value = ManMinutes> {
    prop_oneof![
        (1..=2_400i64).prop_map(|quarters| decimal(25 * quarters, 2)),
        (2_500..=6_000_000i64).prop_map(|n| decimal(n, 4))
    ]
    .prop_map(|value| ManMinutes::new(value).expect("in range"))
}

/// Rates up to 10,000, to the cent or finer.
fn rate() -> impl Strategy<Value = RatePerManHour> {
    prop_oneof![
        (1..=1_000_000i64).prop_map(|cents| decimal(cents, 2)),
        (1..=1_000_000_000_000i64).prop_map(|n| decimal(n, 8))
    ]
    .prop_map(|value| RatePerManHour::new(value).expect("in range"))
}

fn money(most_cents: i32) -> impl Strategy<Value = Money> {
    (0..=most_cents).prop_map(Money::from_cents)
}

fn percent(most: i64) -> impl Strategy<Value = Percent> {
    (0..=most * 100).prop_map(|n| Percent::new(decimal(n, 2)).expect("in range"))
}

fn maybe<T: Clone + std::fmt::Debug>(value: impl Strategy<Value = T>) -> impl Strategy<Value = Option<T>> {
    proptest::option::weighted(0.3, value)
}

fn unit_price() -> impl Strategy<Value = UnitPrice> {
    (0..=2_000_000i64).prop_map(|n| UnitPrice::new(decimal(n, 4)).expect("in range"))
}

fn sheet_line() -> impl Strategy<Value = SheetLine> {
    let effort = prop_oneof![4 => minutes().prop_map(Effort::Each), 1 => minutes().prop_map(Effort::Whole)];
    (
        quantity(),
        effort,
        maybe(rate()),
        maybe(unit_price()),
        maybe(unit_price()),
        select(Unit::ALL.to_vec()),
    )
        .prop_map(|(quantity, effort, rate, material_each, price_each, unit)| SheetLine {
            service: "holly".to_owned(),
            size: None,
            unit,
            quantity,
            effort,
            rate,
            material_each,
            price_each,
            basis: Basis::Starter,
        })
}

fn step() -> impl Strategy<Value = Step> {
    let dollars = (1..=5_000).prop_map(Money::from_cents);
    prop_oneof![
        Just(Step::None),
        dollars.clone().prop_map(Step::Nearest),
        dollars.prop_map(Step::Up)
    ]
}

fn sheet() -> impl Strategy<Value = Sheet> {
    let figures = (
        rate(),
        maybe(rate()),
        1..=20u32,
        maybe(minutes()),
        maybe(minutes()),
        maybe(minutes()),
    );
    let money = (
        maybe(money(10_000)),
        maybe(money(50_000)),
        step(),
        maybe(money(100_000)),
    );
    let shares = (
        prop_oneof![Just(Discount::None), percent(80).prop_map(Discount::Percent)],
        proptest::collection::vec(percent(10).prop_map(Discount::Percent), 0..3),
        prop_oneof![
            Just(Tax::None),
            percent(100).prop_map(Tax::All),
            percent(100).prop_map(Tax::Materials)
        ],
        percent(1_000),
    );
    let lines = proptest::collection::vec(sheet_line(), 1..8);
    (figures, money, shares, lines).prop_map(|(figures, money, shares, lines)| {
        let (rate, rate_said, crew, set_up, haul, drive) = figures;
        let (fee, minimum, step, price_said) = money;
        let (discount, more_off, tax, markup) = shares;
        Sheet {
            lines,
            rate,
            rate_said,
            crew: Crew::new(crew).expect("a crew"),
            set_up,
            set_up_learned: false,
            haul,
            drive,
            fees: fee.map(|fee| (FeeKind::DumpFee, fee)).into_iter().collect(),
            minimum,
            step,
            discount,
            more_off,
            price_said,
            tax,
            markup,
        }
    })
}

/// Anything from a hundred-millionth to 10^19, of either sign, all sizes alike.
fn any_figure() -> impl Strategy<Value = Decimal> {
    (any::<i64>(), 0..63u32, 0..=9u32).prop_map(|(number, shift, places)| decimal(number >> shift, places))
}

/// A sheet of one line of work and nothing else.
fn one_line(quantity: Quantity, effort: Effort, rate: RatePerManHour) -> Sheet {
    let line = SheetLine {
        service: "holly".to_owned(),
        size: None,
        unit: Unit::Each,
        quantity,
        effort,
        rate: None,
        material_each: None,
        price_each: None,
        basis: Basis::Said,
    };
    Sheet {
        lines: vec![line],
        ..Sheet::blank(rate, Crew::ONE)
    }
}

/// The sum as the steps tell it.
fn check_steps(quote: &Quote) {
    let (mut sum, mut subtotal, mut discount, mut tax, mut total) = (Vec::new(), None, Money::ZERO, Money::ZERO, None);
    for step in quote.explain() {
        match *step {
            SumStep::LinePrice { line, price, .. } | SumStep::LineFixed { line, price, .. } => {
                assert_eq!(price, quote.lines[line].price);
                sum.push(price);
            }
            SumStep::LineWork { line, man_minutes, .. } => assert_eq!(man_minutes, quote.lines[line].man_minutes),
            SumStep::ExtraWork { price, .. } | SumStep::Fee { price, .. } => sum.push(price),
            SumStep::Minimum { lift, .. } => sum.push(lift),
            SumStep::Rounding { change, .. } | SumStep::PriceSaid { change, .. } => sum.push(change),
            SumStep::Subtotal(told) => subtotal = Some(told),
            SumStep::Discount { discount: told, .. } => {
                discount = discount.checked_add(told).expect("a discount within the price");
            }
            SumStep::Tax { tax: told, .. } => tax = told,
            SumStep::Total { total: told, .. } => total = Some(told),
            SumStep::Elapsed { elapsed, .. } => assert_eq!(elapsed, quote.elapsed_minutes),
            SumStep::RateMade { rate, .. } => assert_eq!(Some(rate), quote.rate_made),
        }
    }
    assert_eq!(Money::checked_sum(sum).ok(), subtotal);
    assert_eq!(
        (subtotal, discount, tax, total),
        (Some(quote.subtotal), quote.discount, quote.tax, Some(quote.total))
    );
}

/// Half up at the cent, by whole numbers of 10^-18 parts of which 3600 are a dollar: a quantity has at most four
/// decimals, a rate has eight, and minutes are kept to the microsecond. `None` where that does not fit 128 bits.
fn expected_cents(quantity: Quantity, minutes: ManMinutes, rate: RatePerManHour) -> Option<i128> {
    let whole = |value: Decimal, places: u32| value.mantissa() * 10_i128.pow(places - value.scale());
    let microseconds = (whole(minutes.get(), 8) * 60 + 50) / 100;
    let product = whole(quantity.get(), 4)
        .checked_mul(microseconds)?
        .checked_mul(whole(rate.get(), 8))?;
    let cent = 3_600 * 10_i128.pow(18) / 100;
    Some((product.checked_mul(2)? + cent) / (2 * cent))
}

fn cents(money: Money) -> i128 {
    (money.get() * Decimal::ONE_HUNDRED).trunc().mantissa()
}

proptest! {
    #[test]
    fn what_is_shown_adds_up(sheet in sheet()) {
        let quote = quote(&sheet).expect("figures in range make a price");
        check_adds_up(&quote);
        check_steps(&quote);
        let lines = quote.lines.iter().map(|line| line.man_minutes);
        let extras = quote.extras.iter().filter_map(|extra| extra.man_minutes);
        prop_assert_eq!(ManMinutes::checked_sum(lines.chain(extras)), Ok(quote.man_minutes));
        prop_assert!(!quote.total.is_negative());
        prop_assert_eq!(quote.lines.len(), sheet.lines.len());
    }

    #[test]
    fn a_price_keeps_the_minimum_and_the_step_unless_the_owner_says_otherwise(sheet in sheet()) {
        let quote = quote(&sheet).expect("a price");
        if let Some(said) = sheet.price_said {
            prop_assert_eq!(quote.subtotal, said);
        } else {
            prop_assert!(sheet.minimum.is_none_or(|minimum| quote.subtotal >= minimum));
            if let Step::Nearest(step) | Step::Up(step) = sheet.step {
                prop_assert!((quote.subtotal.get() % step.get()).is_zero());
            }
        }
        let short = sheet.minimum.filter(|minimum| quote.price_before_tax < *minimum);
        prop_assert_eq!(quote.short_of_minimum.is_some(), short.is_some());
    }

    #[test]
    fn the_order_of_lines_never_changes_a_total(sheet in sheet(), turn in 0..8usize, flip in any::<bool>()) {
        let mut other = sheet.clone();
        let turn = turn % other.lines.len();
        other.lines.rotate_left(turn);
        if flip {
            other.lines.reverse();
        }
        let (one, other) = (quote(&sheet).expect("a price"), quote(&other).expect("a price"));
        prop_assert_eq!((one.subtotal, one.tax, one.total), (other.subtotal, other.tax, other.total));
        prop_assert_eq!((one.man_minutes, one.rate_made), (other.man_minutes, other.rate_made));
    }

    #[test]
    fn more_minutes_never_cost_less(sheet in sheet(), line in 0..8usize, more in minutes()) {
        let mut longer = sheet.clone();
        let line = line % longer.lines.len();
        longer.lines[line].effort = match longer.lines[line].effort {
            Effort::Each(each) => Effort::Each(each.checked_add(more).expect("in range")),
            Effort::Whole(whole) => Effort::Whole(whole.checked_add(more).expect("in range")),
        };
        let (one, other) = (quote(&sheet).expect("a price"), quote(&longer).expect("a price"));
        prop_assert!(other.total >= one.total);
        prop_assert!(other.elapsed_minutes >= one.elapsed_minutes);
    }

    #[test]
    fn more_set_up_or_a_higher_rate_never_costs_less(sheet in sheet(), more in minutes(), higher in rate()) {
        let one = quote(&sheet).expect("a price");
        let mut longer = sheet.clone();
        longer.set_up = Some(sheet.set_up.unwrap_or_default().checked_add(more).expect("in range"));
        prop_assert!(quote(&longer).expect("a price").total >= one.total);
        let lower = solve::price_for_rate(&sheet, sheet.quote_rate().min(higher)).expect("a price");
        let higher = solve::price_for_rate(&sheet, sheet.quote_rate().max(higher)).expect("a price");
        prop_assert!(higher.total >= lower.total);
    }

    #[test]
    fn no_cent_is_lost_in_the_whole_range(quantity in quantity(), minutes in minutes(), rate in rate()) {
        let quote = quote(&one_line(quantity, Effort::Each(minutes), rate)).expect("it is in range");
        prop_assert_eq!(Some(cents(quote.total)), expected_cents(quantity, minutes, rate));
        let product = quantity.get() * minutes.get();
        prop_assert_eq!(quote.man_minutes.get(), product);
    }

    #[test]
    fn a_rate_worked_backwards_gives_the_price_back(
        quantity in quantity(),
        minutes in minutes(),
        price in money(1_000_000),
    ) {
        let start = one_line(quantity, Effort::Each(minutes), RatePerManHour::new(Decimal::ONE).expect("a rate"));
        let made = solve::rate_at_price(&quote(&start).expect("a price"), price).expect("a rate");
        if let Ok(rate) = made.to_charge() {
            let again = quote(&one_line(quantity, Effort::Each(minutes), rate)).expect("a price");
            prop_assert_eq!(again.total, price);
            prop_assert_eq!(solve::price_for_rate(&start, rate).expect("a price").total, price);
        }
    }

    #[test]
    fn a_time_worked_backwards_gives_the_price_back(
        quantity in quantity(),
        minutes in minutes(),
        rate in rate(),
        price in money(1_000_000),
    ) {
        let start = quote(&one_line(quantity, Effort::Each(minutes), rate)).expect("a price");
        match solve::man_minutes_for_price(&start, price, rate) {
            Ok(time) => {
                let again = quote(&one_line(quantity, Effort::Whole(time.man_minutes), rate)).expect("a price");
                prop_assert_eq!(again.total, price);
                let again = solve::price_for_man_minutes(&start, time.man_minutes, rate).expect("a price");
                prop_assert_eq!(again, price);
            }
            Err(refusal) => prop_assert!(price.is_zero() || matches!(refusal, Refusal::Value(_)), "{}", refusal),
        }
    }

    #[test]
    fn minutes_each_worked_backwards_give_the_price_back(
        count in 1..=1_000u32,
        cents in 1..=100_000i32,
        dollars in 1..=1_000i64,
    ) {
        let rate = RatePerManHour::new(decimal(dollars, 0)).expect("a rate");
        let each = UnitPrice::try_from(Money::from_cents(cents)).expect("a price");
        let quantity = Quantity::new(count.into()).expect("a count");
        let minutes = solve::minutes_each_for_price(each, tallyhand::pricing::Material::NONE, rate).expect("minutes");
        let again = quote(&one_line(quantity, Effort::Each(minutes), rate)).expect("a price");
        prop_assert_eq!(again.total.get(), each.get() * quantity.get());
    }

    #[test]
    fn a_quote_makes_the_rate_that_is_asked_of_its_own_price(sheet in sheet()) {
        let quote = quote(&sheet).expect("a price");
        prop_assert_eq!(solve::rate_at_price(&quote, quote.price_before_tax).ok(), quote.rate_made);
        let same = solve::rate_if_man_minutes(&quote, quote.man_minutes).expect("a rate");
        prop_assert_eq!(Some(same.rate), quote.rate_made);
        prop_assert_eq!(solve::rate_if_minutes_each(&quote, &[]).ok(), Some(same));
    }

    #[test]
    fn a_time_shared_out_adds_up_to_itself(sheet in sheet(), whole in minutes()) {
        let shared = spread(&sheet, whole).expect("there is work");
        let parts = shared.lines.iter().map(|line| line.man_minutes().expect("in range"));
        prop_assert_eq!(ManMinutes::checked_sum(parts), Ok(whole));
        check_adds_up(&quote(&shared).expect("a price"));
    }

    #[test]
    fn what_is_printed_is_read_back(sheet in sheet()) {
        let quote = quote(&sheet).expect("a price");
        prop_assert_eq!(quote.total.to_string().parse(), Ok(quote.total));
        prop_assert_eq!(sheet.rate.to_string().parse(), Ok(sheet.rate));
        prop_assert_eq!(sheet.lines[0].quantity.to_string().parse(), Ok(sheet.lines[0].quantity));
        prop_assert_eq!(sheet.markup.to_string().parse(), Ok(sheet.markup));
        let dollars_and_cents = quote.total.to_string();
        prop_assert_eq!(dollars_and_cents.split_once('.').map(|(_, cents)| cents.len()), Some(2));
    }

    #[test]
    fn minutes_are_read_back_to_the_microsecond(microseconds in 0..=600_000_000_000i64) {
        // As it comes out of a division by sixty: to 28 digits.
        let minutes = decimal(microseconds, 6) / decimal(60, 0);
        let time = ManMinutes::new(minutes).expect("in range");
        prop_assert_eq!(time.to_string().parse(), Ok(time));
        prop_assert_eq!(ManMinutes::new(minutes.round_dp(10)), Ok(time));
        let sixty = Quantity::new(decimal(60, 0)).expect("in range");
        prop_assert_eq!(time.checked_mul(sixty).map(|whole| whole.get() ), Ok(decimal(microseconds, 6).normalize()));
    }

    #[test]
    fn work_multiplied_again_is_exact_or_refused(work in minutes(), one in quantity(), other in quantity()) {
        let Ok(once) = work.checked_mul(one) else { return Ok(()) };
        let rate = RatePerManHour::new(decimal(1, 8)).expect("the least rate");
        if let Ok(twice) = once.checked_mul(other) {
            let product = work.get() * one.get() * other.get();
            prop_assert_eq!(twice.get(), RoundingPolicy::HalfUp.places(product, 8).normalize());
            prop_assert!(rate.checked_mul(twice).is_ok());
            prop_assert!(Money::from_cents(1).checked_per_man_hour(twice).is_ok());
        }
    }

    /// Any figures at all: a price that is right to the cent, or a refusal; never a panic.
    #[test]
    fn figures_of_any_size_are_priced_or_refused(
        number in any_figure(),
        minutes in any_figure(),
        dollars in any_figure(),
    ) {
        let (Ok(quantity), Ok(each)) = (Quantity::new(number), ManMinutes::new(minutes)) else { return Ok(()) };
        let Ok(rate) = RatePerManHour::new(dollars) else { return Ok(()) };
        if let Ok(quote) = quote(&one_line(quantity, Effort::Each(each), rate)) {
            check_adds_up(&quote);
            let expected = expected_cents(quantity, each, rate);
            prop_assert!(expected.is_none_or(|expected| expected == cents(quote.total)));
        }
    }
}

/// The largest figures that are promised: 500 lines of 10,000 units at 600 minutes and $10,000.
#[test]
fn the_largest_promised_quote_fits() {
    let number = |whole| decimal(whole, 0);
    let line = one_line(
        Quantity::new(number(10_000)).expect("a quantity"),
        Effort::Each(ManMinutes::new(number(600)).expect("minutes")),
        RatePerManHour::new(number(10_000)).expect("a rate"),
    );
    let sheet = Sheet {
        lines: vec![line.lines[0].clone(); 500],
        ..line
    };
    let quote = quote(&sheet).expect("it fits");
    assert_eq!(quote.total.to_string(), "500000000000.00");
    assert_eq!(quote.man_minutes.to_string(), "3000000000");
}
