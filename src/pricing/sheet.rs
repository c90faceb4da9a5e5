//! Everything that a price depends on: what was counted, the figures of the account, and what was said of this quote.

use crate::units::{Crew, Error, ManMinutes, Money, Percent, Quantity, RatePerManHour, Unit, UnitPrice, Unrounded};

/// The input of a quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    /// What was counted, in order.
    pub lines: Vec<SheetLine>,
    /// The account's rate.
    pub rate: RatePerManHour,
    /// A rate said for this quote only: it stands over the account's and over every line's own.
    pub rate_said: Option<RatePerManHour>,
    /// People who will work.
    pub crew: Crew,
    /// Set-up, at the quote's rate.
    pub set_up: Option<ManMinutes>,
    /// The set-up is what the crew's jobs have shown, since nobody said one.
    pub set_up_learned: bool,
    /// Hauling, at the quote's rate.
    pub haul: Option<ManMinutes>,
    /// Driving, at the quote's rate.
    pub drive: Option<ManMinutes>,
    /// Fees that are passed on.
    pub fees: Vec<(FeeKind, Money)>,
    /// The least that a job is done for, before tax.
    pub minimum: Option<Money>,
    /// The step that prices are rounded to.
    pub step: Step,
    /// What is taken off. Beside a price said, it comes off that.
    pub discount: Discount,
    /// What is taken off beside that; a percentage is of the whole subtotal.
    pub more_off: Vec<Discount>,
    /// A price before tax that stands in place of the sum; it may lie below the minimum.
    pub price_said: Option<Money>,
    /// Tax.
    pub tax: Tax,
    /// What is put on top of material, 0 to 1,000 percent.
    pub markup: Percent,
}

/// One counted thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetLine {
    /// The kind of work.
    pub service: String,
    /// Its size, for a kind that has sizes.
    pub size: Option<String>,
    /// What one unit is.
    pub unit: Unit,
    /// How many units.
    pub quantity: Quantity,
    /// How long it takes.
    pub effort: Effort,
    /// The service's own rate, where it has one.
    pub rate: Option<RatePerManHour>,
    /// What the material of one unit costs, before the markup.
    pub material_each: Option<UnitPrice>,
    /// A fixed price for one unit, material included; the effort is then only for the book.
    pub price_each: Option<UnitPrice>,
    /// Where the effort came from.
    pub basis: Basis,
}

/// How long a line takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Effort {
    /// This much for each unit.
    Each(ManMinutes),
    /// This much for all units together, as when one time was said for the whole of it.
    Whole(ManMinutes),
}

/// Where the minutes of a line came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// The owner set them.
    Set,
    /// They were learned from finished jobs.
    Learned,
    /// They are a starter guess.
    Starter,
    /// They were said with this quote.
    Said,
}

/// What the price is rounded to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Step {
    /// Nothing: whole cents.
    #[default]
    None,
    /// The nearest multiple, a half upwards; up where that would be nothing or below the minimum.
    Nearest(Money),
    /// The next higher multiple.
    Up(Money),
}

/// What is taken off the subtotal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Discount {
    /// Nothing.
    #[default]
    None,
    /// A share of it, 0 to 100 percent.
    Percent(Percent),
    /// Dollars, at most the subtotal.
    Money(Money),
}

/// What is put on top for the state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tax {
    /// Nothing.
    #[default]
    None,
    /// A share of the price, 0 to 100 percent.
    All(Percent),
    /// A share of the material, 0 to 100 percent.
    Materials(Percent),
}

/// A fee that is passed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FeeKind {
    /// For dumping what was hauled away.
    DumpFee,
}

/// The material of one unit, with what is put on top of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Material {
    /// What it costs.
    pub each: UnitPrice,
    /// What is put on top.
    pub markup: Percent,
}

impl Sheet {
    /// A sheet with nothing counted and no figure but the rate and the crew.
    pub fn blank(rate: RatePerManHour, crew: Crew) -> Sheet {
        Sheet {
            lines: Vec::new(),
            rate,
            rate_said: None,
            crew,
            set_up: None,
            set_up_learned: false,
            haul: None,
            drive: None,
            fees: Vec::new(),
            minimum: None,
            step: Step::None,
            discount: Discount::None,
            more_off: Vec::new(),
            price_said: None,
            tax: Tax::None,
            markup: Percent::ZERO,
        }
    }

    /// Takes something off in place of whatever was taken off before.
    pub fn take_off(&mut self, discount: Discount) {
        self.discount = discount;
        self.more_off.clear();
    }

    /// Takes something off beside what is taken off already.
    pub fn take_off_more(&mut self, discount: Discount) {
        if self.discount == Discount::None {
            self.discount = discount;
        } else {
            self.more_off.push(discount);
        }
    }

    /// All that is taken off, in order.
    pub fn discounts(&self) -> impl Iterator<Item = Discount> {
        std::iter::once(self.discount)
            .chain(self.more_off.iter().copied())
            .filter(|discount| *discount != Discount::None)
    }

    /// The rate of the quote: the one said for it, else the account's.
    pub fn quote_rate(&self) -> RatePerManHour {
        self.rate_said.unwrap_or(self.rate)
    }

    /// The rate of a line: the one said for this quote, else the service's own, else the account's.
    pub fn line_rate(&self, line: &SheetLine) -> RatePerManHour {
        self.rate_said.or(line.rate).unwrap_or(self.rate)
    }

    /// The material of one unit of a line.
    pub fn material(&self, line: &SheetLine) -> Material {
        Material {
            each: line.material_each.unwrap_or_default(),
            markup: self.markup,
        }
    }
}

impl SheetLine {
    /// Man-minutes for one unit: as said, or the whole shared out, half up at the hundredth (then only to be shown).
    ///
    /// # Errors
    /// When the share is out of range.
    pub fn minutes_each(&self) -> Result<ManMinutes, Error> {
        match self.effort {
            Effort::Each(each) => Ok(each),
            Effort::Whole(whole) => whole.checked_each(self.quantity),
        }
    }

    /// Man-minutes for the line, exact.
    ///
    /// # Errors
    /// When they are out of range.
    pub fn man_minutes(&self) -> Result<ManMinutes, Error> {
        match self.effort {
            Effort::Each(each) => each.checked_mul(self.quantity),
            Effort::Whole(whole) => Ok(whole),
        }
    }
}

impl Material {
    /// No material.
    pub const NONE: Material = Material {
        each: UnitPrice::ZERO,
        markup: Percent::ZERO,
    };

    /// The price of the material of this many units, markup included, not rounded.
    ///
    /// # Errors
    /// When the price does not fit.
    pub fn checked_mul(self, quantity: Quantity) -> Result<Unrounded, Error> {
        if self.each.is_zero() {
            return Ok(Unrounded::ZERO);
        }
        self.each.checked_mul(quantity)?.checked_mark_up(self.markup)
    }
}
