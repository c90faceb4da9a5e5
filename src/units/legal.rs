//! What may be done with values, and what does not compile: nothing but examples, run with the tests.
//!
//! An example that has to fail could fail for any reason, so each has its legal twin here: the same values, made in the
//! same way, in a sum that does make sense.
//!
//! ```
//! use tallyhand::units::{Crew, HourlyCost, ManMinutes, Minutes, Money};
//! use tallyhand::units::{Percent, Quantity, RateMade, RatePerManHour, RoundingPolicy, UnitPrice};
//! let money: Money = Money::from_cents(10_00);
//! let price: UnitPrice = "0.085".parse()?;
//! let count: Quantity = "12".parse()?;
//! let work: ManMinutes = "7".parse()?;
//! let clock: Minutes = "40".parse()?;
//! let rate: RatePerManHour = "95".parse()?;
//! let made: RateMade = "94.97".parse()?;
//! let cost: HourlyCost = "38.69".parse()?;
//! let tax: Percent = "7".parse()?;
//!
//! let sum: Money = money.checked_add(money)?;
//! let whole: ManMinutes = work.checked_mul(count)?;
//! let crew_work: ManMinutes = work.checked_add(clock.checked_by(Crew::ONE)?)?;
//! let labour = rate.checked_mul(whole)?;
//! let payable: Money = labour.checked_add(price.checked_mul(count)?)?.round(RoundingPolicy::HalfUp)?;
//! let on_top = tax.checked_of(payable)?;
//! let at_cost = cost.to_charge()?.checked_mul(work)?;
//! let as_made = made.to_charge()?.checked_mul(work)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//!
//! Money is not multiplied by money, and minutes are not added to it.
//! ```compile_fail
//! # use tallyhand::units::{ManMinutes, Money};
//! # let money: Money = Money::from_cents(10_00);
//! # let work: ManMinutes = "7".parse()?;
//! let _ = money * money;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//! ```compile_fail
//! # use tallyhand::units::{ManMinutes, Money};
//! # let money: Money = Money::from_cents(10_00);
//! # let work: ManMinutes = "7".parse()?;
//! let _ = money.checked_add(work)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//!
//! A price for each unit is no money until there is a count.
//! ```compile_fail
//! # use tallyhand::units::{Money, UnitPrice};
//! # let money: Money = Money::from_cents(10_00);
//! # let price: UnitPrice = "0.085".parse()?;
//! let _ = money.checked_add(price)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//!
//! Work is not time on the clock, and a rate is for work.
//! ```compile_fail
//! # use tallyhand::units::{ManMinutes, Minutes, RatePerManHour};
//! # let work: ManMinutes = "7".parse()?;
//! # let clock: Minutes = "40".parse()?;
//! # let rate: RatePerManHour = "95".parse()?;
//! let _ = work.checked_add(clock)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//! ```compile_fail
//! # use tallyhand::units::{ManMinutes, Minutes, RatePerManHour};
//! # let work: ManMinutes = "7".parse()?;
//! # let clock: Minutes = "40".parse()?;
//! # let rate: RatePerManHour = "95".parse()?;
//! let _ = rate.checked_mul(clock)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//!
//! Rates are not multiplied, and work is multiplied by a count only.
//! ```compile_fail
//! # use tallyhand::units::{ManMinutes, RatePerManHour};
//! # let rate: RatePerManHour = "95".parse()?;
//! # let work: ManMinutes = "7".parse()?;
//! let _ = rate.checked_mul(rate)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//! ```compile_fail
//! # use tallyhand::units::{ManMinutes, RatePerManHour};
//! # let rate: RatePerManHour = "95".parse()?;
//! # let work: ManMinutes = "7".parse()?;
//! let _ = work.checked_mul(work)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//!
//! Nothing is charged at a rate that was made, or at cost, unless that is said.
//! ```compile_fail
//! # use tallyhand::units::{HourlyCost, ManMinutes, RateMade};
//! # let made: RateMade = "94.97".parse()?;
//! # let cost: HourlyCost = "38.69".parse()?;
//! # let work: ManMinutes = "7".parse()?;
//! let _ = made.checked_mul(work)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//! ```compile_fail
//! # use tallyhand::units::{HourlyCost, ManMinutes, RateMade};
//! # let made: RateMade = "94.97".parse()?;
//! # let cost: HourlyCost = "38.69".parse()?;
//! # let work: ManMinutes = "7".parse()?;
//! let _ = cost.checked_mul(work)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//!
//! A percentage is of money, not of a percentage.
//! ```compile_fail
//! # use tallyhand::units::Percent;
//! # let tax: Percent = "7".parse()?;
//! let _ = tax.checked_of(tax)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//!
//! What is not rounded cannot be paid, and a float is no money.
//! ```compile_fail
//! # use tallyhand::units::{ManMinutes, Money, RatePerManHour};
//! # let money: Money = Money::from_cents(10_00);
//! # let rate: RatePerManHour = "95".parse()?;
//! # let work: ManMinutes = "7".parse()?;
//! let _: Money = rate.checked_mul(work)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
//! ```compile_fail
//! # use tallyhand::units::{ManMinutes, Money, RatePerManHour};
//! # let money: Money = Money::from_cents(10_00);
//! # let rate: RatePerManHour = "95".parse()?;
//! # let work: ManMinutes = "7".parse()?;
//! let _: Money = Money::new(0.1)?;
//! # Ok::<(), tallyhand::units::Error>(())
//! ```
