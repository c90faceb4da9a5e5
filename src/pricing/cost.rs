//! What rate does this business need?
//!
//! loaded wage = wage x (1 + burden); break-even = loaded wage + yearly overhead / yearly billable man-hours, where the
//! overhead takes in each piece of equipment at price / years of use; target rate = break-even / (1 - margin).
//!
//! Margin is a share of the price, markup a share of the cost; both are here by their own names, and one is made into
//! the other only by [`markup_for_margin`] and [`margin_for_markup`]. All is computed in whole-number fractions and
//! each figure is rounded once, when it is asked for, so a target is never built on a rounded break-even.

use num_rational::Ratio;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub};
use rust_decimal::Decimal;

use super::quote::Quote;
use super::refusal::{AmountOf, CostPart, PercentOf, Refusal, check_not_below_zero, check_percent};
use crate::units::{
    Error, Figure, HourlyCost, ManHours, Measure, Money, Operation, Percent, RateMade, RatePerManHour, RoundingPolicy,
    Years,
};

type Fraction = Ratio<i128>;

/// Decimals of a percentage worked out here.
const PERCENT_PLACES: u32 = 2;

/// A month or a year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Period {
    /// A month: a twelfth of a year.
    Month,
    /// A year.
    Year,
}

/// A figure for a stretch of time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PerPeriod<T> {
    /// How much.
    pub amount: T,
    /// In which stretch.
    pub period: Period,
}

/// Something bought that wears out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Equipment {
    /// What it cost.
    pub price: Money,
    /// How long it is used.
    pub years: Years,
}

/// What the owner pays, as far as he said it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Costs {
    /// Wage for an hour.
    pub wage: Option<HourlyCost>,
    /// What an employer pays on top of the wage, in percent of it, 0 to 1,000; nothing when unsaid.
    pub burden: Option<Percent>,
    /// Overhead; nothing when unsaid.
    pub overhead: Option<PerPeriod<Money>>,
    /// Man-hours that can be billed; needed as soon as there is overhead or equipment.
    pub billable_hours: Option<PerPeriod<ManHours>>,
    /// Equipment.
    pub equipment: Vec<Equipment>,
    /// The margin wanted, in percent of the price, 0 to under 100.
    pub margin: Option<Percent>,
}

/// The build-up, exact; each figure is rounded when it is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BuildUp {
    loaded_wage: Fraction,
    overhead_per_hour: Fraction,
    equipment_per_hour: Fraction,
    break_even: Fraction,
    target: Option<Fraction>,
}

/// Builds up the cost of a man-hour.
///
/// # Errors
/// When the wage is missing, or the billable hours where overhead has to be shared over them; when a figure is below
/// zero, or the margin is 100 percent or more.
pub fn build_up(costs: &Costs) -> Result<BuildUp, Refusal> {
    let wage = costs.wage.ok_or(Refusal::CostMissing(CostPart::Wage))?;
    let burden = costs.burden.unwrap_or(Percent::ZERO);
    check_percent(PercentOf::Burden, burden, 0, 1_000)?;
    let sum = Sum {
        measure: Measure::HourlyCost,
    };
    let loaded_wage = sum.times(fraction(wage.get()), sum.plus(whole(1), share(burden))?)?;

    let overhead = match costs.overhead {
        Some(overhead) => yearly(AmountOf::Overhead, overhead)?,
        None => whole(0),
    };
    let equipment = costs.equipment.iter().try_fold(whole(0), |total, thing| {
        check_not_below_zero(AmountOf::Equipment, thing.price)?;
        sum.plus(
            total,
            sum.over(fraction(thing.price.get()), fraction(thing.years.get()))?,
        )
    })?;
    let (overhead_per_hour, equipment_per_hour) = match costs.billable_hours {
        Some(hours) => {
            let hours = sum.times(fraction(hours.amount.get()), whole(per_year(hours.period)))?;
            (sum.over(overhead, hours)?, sum.over(equipment, hours)?)
        }
        None if overhead == whole(0) && equipment == whole(0) => (whole(0), whole(0)),
        None => return Err(Refusal::CostMissing(CostPart::BillableHours)),
    };
    let break_even = sum.plus(loaded_wage, sum.plus(overhead_per_hour, equipment_per_hour)?)?;
    let target = match costs.margin {
        Some(margin) => Some(sum.over(break_even, left_after_margin(margin)?)?),
        None => None,
    };
    Ok(BuildUp {
        loaded_wage,
        overhead_per_hour,
        equipment_per_hour,
        break_even,
        target,
    })
}

impl BuildUp {
    /// Wage and burden for an hour, half up at the cent.
    ///
    /// # Errors
    /// When it is beyond what [`HourlyCost`] holds.
    pub fn loaded_wage(&self) -> Result<HourlyCost, Refusal> {
        cents(self.loaded_wage)
    }

    /// Overhead without equipment for each billable man-hour, half up at the cent.
    ///
    /// # Errors
    /// When it is beyond what [`HourlyCost`] holds.
    pub fn overhead_per_hour(&self) -> Result<HourlyCost, Refusal> {
        cents(self.overhead_per_hour)
    }

    /// Equipment for each billable man-hour, half up at the cent.
    ///
    /// # Errors
    /// When it is beyond what [`HourlyCost`] holds.
    pub fn equipment_per_hour(&self) -> Result<HourlyCost, Refusal> {
        cents(self.equipment_per_hour)
    }

    /// What a billed man-hour costs, half up at the cent.
    ///
    /// # Errors
    /// When it is beyond what [`HourlyCost`] holds.
    pub fn break_even(&self) -> Result<HourlyCost, Refusal> {
        cents(self.break_even)
    }

    /// The rate that leaves the margin wanted, half up at the cent; `None` when no margin was said.
    ///
    /// # Errors
    /// When it is no rate that can be charged.
    pub fn target(&self) -> Result<Option<RatePerManHour>, Refusal> {
        self.target
            .map(|target| Ok(RatePerManHour::new(rounded(target, 2)?)?))
            .transpose()
    }

    /// Whether a rate made pays for the cost; compared exactly, not with the break-even as shown.
    pub fn is_covered_by(&self, rate: RateMade) -> bool {
        fraction(rate.get()) >= self.break_even
    }

    /// Whether a quote's work pays for the cost. A half of a cent for each of its lines is forgiven, since that is what
    /// rounding may have taken from it, and the break-even counts as it is shown where that is the lower figure: a quote at
    /// just the rate shown is covered.
    ///
    /// # Errors
    /// When a figure on the way is out of range.
    pub fn is_covered_by_quote(&self, quote: &Quote) -> Result<bool, Refusal> {
        let sum = Sum {
            measure: Measure::Money,
        };
        let rate = fraction(self.break_even()?.get()).min(self.break_even);
        let needed = sum.over(sum.times(fraction(quote.man_minutes.get()), rate)?, whole(60))?;
        let for_work = quote
            .price_before_tax
            .checked_sub(quote.materials)?
            .checked_sub(quote.fees)?;
        let work = quote.extras.iter().filter(|extra| extra.man_minutes.is_some());
        let rows = quote.lines.len() + work.count();
        let forgiven = Fraction::new(i128::try_from(rows).unwrap_or(i128::MAX / 200), 200);
        Ok(sum.plus(fraction(for_work.get()), forgiven)? >= needed)
    }

    /// The margin left at a rate: (rate - break-even) / rate, in percent, half up at the hundredth; below zero it is a
    /// loss.
    ///
    /// # Errors
    /// When the percentage is out of range.
    pub fn margin_at(&self, rate: RatePerManHour) -> Result<Percent, Refusal> {
        let sum = Sum {
            measure: Measure::Percent,
        };
        let rate = fraction(rate.get());
        percent(sum.over(sum.minus(rate, self.break_even)?, rate)?)
    }

    /// The markup on cost at a rate: (rate - break-even) / break-even, in percent, half up at the hundredth.
    ///
    /// # Errors
    /// When nothing is paid, so that no markup can be told, or the percentage is out of range.
    pub fn markup_at(&self, rate: RatePerManHour) -> Result<Percent, Refusal> {
        let sum = Sum {
            measure: Measure::Percent,
        };
        percent(sum.over(sum.minus(fraction(rate.get()), self.break_even)?, self.break_even)?)
    }
}

/// The markup on cost that leaves a margin on the price: m / (1 - m), half up at the hundredth of a percent.
///
/// # Errors
/// When the margin is below zero, or 100 percent or more.
pub fn markup_for_margin(margin: Percent) -> Result<Percent, Refusal> {
    let sum = Sum {
        measure: Measure::Percent,
    };
    percent(sum.over(share(margin), left_after_margin(margin)?)?)
}

/// The margin on the price that a markup on cost leaves: k / (1 + k), half up at the hundredth of a percent.
///
/// # Errors
/// When the markup is below zero.
pub fn margin_for_markup(markup: Percent) -> Result<Percent, Refusal> {
    check_percent(PercentOf::Markup, markup, 0, 1_000_000)?;
    let sum = Sum {
        measure: Measure::Percent,
    };
    percent(sum.over(share(markup), sum.plus(whole(1), share(markup))?)?)
}

/// 1 - margin: the part of the price that is left for the cost.
fn left_after_margin(margin: Percent) -> Result<Fraction, Refusal> {
    if margin.get() >= Decimal::ONE_HUNDRED {
        return Err(Refusal::MarginWithoutPrice(margin));
    }
    check_percent(PercentOf::Margin, margin, 0, 100)?;
    Sum {
        measure: Measure::Percent,
    }
    .minus(whole(1), share(margin))
}

fn yearly(of: AmountOf, figure: PerPeriod<Money>) -> Result<Fraction, Refusal> {
    check_not_below_zero(of, figure.amount)?;
    Sum {
        measure: Measure::Money,
    }
    .times(fraction(figure.amount.get()), whole(per_year(figure.period)))
}

fn per_year(period: Period) -> i128 {
    match period {
        Period::Month => 12,
        Period::Year => 1,
    }
}

fn whole(number: i128) -> Fraction {
    Fraction::from_integer(number)
}

/// A decimal as a fraction: its digits over a power of ten.
fn fraction(value: Decimal) -> Fraction {
    Fraction::new(value.mantissa(), 10_i128.pow(value.scale()))
}

/// A percentage as a part of one.
fn share(percent: Percent) -> Fraction {
    Fraction::new(percent.get().mantissa(), 10_i128.pow(percent.get().scale() + 2))
}

fn rounded(value: Fraction, places: u32) -> Result<Decimal, Refusal> {
    let sum = Sum {
        measure: Measure::HourlyCost,
    };
    let scaled = sum.times(value, whole(10_i128.pow(places)))?;
    RoundingPolicy::HalfUp
        .whole(*scaled.numer(), *scaled.denom())
        .and_then(|number| Decimal::try_from_i128_with_scale(number, places).ok())
        .ok_or_else(|| sum.refusal(value, Operation::Times, whole(1)))
}

fn cents(value: Fraction) -> Result<HourlyCost, Refusal> {
    Ok(HourlyCost::new(rounded(value, 2)?)?)
}

fn percent(share: Fraction) -> Result<Percent, Refusal> {
    let hundredfold = Sum {
        measure: Measure::Percent,
    }
    .times(share, whole(100))?;
    Ok(Percent::new(rounded(hundredfold, PERCENT_PLACES)?)?)
}

/// Arithmetic of fractions that refuses what does not fit, naming both operands.
#[derive(Clone, Copy)]
struct Sum {
    measure: Measure,
}

impl Sum {
    fn plus(self, left: Fraction, right: Fraction) -> Result<Fraction, Refusal> {
        left.checked_add(&right)
            .ok_or_else(|| self.refusal(left, Operation::Plus, right))
    }

    fn minus(self, left: Fraction, right: Fraction) -> Result<Fraction, Refusal> {
        left.checked_sub(&right)
            .ok_or_else(|| self.refusal(left, Operation::Minus, right))
    }

    fn times(self, left: Fraction, right: Fraction) -> Result<Fraction, Refusal> {
        left.checked_mul(&right)
            .ok_or_else(|| self.refusal(left, Operation::Times, right))
    }

    fn over(self, left: Fraction, right: Fraction) -> Result<Fraction, Refusal> {
        if right == whole(0) {
            return Err(Refusal::Value(Error::DividedByZero {
                left: self.figure(left),
                measure: self.measure,
            }));
        }
        left.checked_div(&right)
            .ok_or_else(|| self.refusal(left, Operation::Over, right))
    }

    fn refusal(self, left: Fraction, operation: Operation, right: Fraction) -> Refusal {
        Refusal::Value(Error::DoesNotFit {
            left: self.figure(left),
            operation,
            right: self.figure(right),
        })
    }

    /// The nearest decimal to the cent, only for naming it.
    fn figure(self, value: Fraction) -> Figure {
        let hundredths = value
            .numer()
            .checked_mul(&100)
            .map_or(i128::MAX, |numerator| numerator / value.denom());
        let value = Decimal::try_from_i128_with_scale(hundredths, 2).unwrap_or(Decimal::MAX);
        Figure {
            measure: self.measure,
            value,
        }
    }
}
