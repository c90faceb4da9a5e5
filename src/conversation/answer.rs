//! The answer as a value: what was understood, and what is to be said, in order. Words are made of it elsewhere.

use chrono_tz::Tz;
use rust_decimal::Decimal;

use super::ask::{Ask, Counted};
use crate::{
    journal::{QuoteEntry, SettingSet, Settings, Status},
    language::{ExtraKind, Meaning},
    pricing,
    units::{
        Crew, HourlyCost, ManMinutes, Minutes, Money, Percent, QuoteNo, RateMade, RatePerManHour, Unit, UnitPrice,
    },
};

/// The answer to a message.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What kinds of meaning the message had, neighbours of one kind folded.
    pub understood: Vec<Kind>,
    /// What is said, in order.
    pub parts: Vec<Part>,
}

/// A kind of meaning, by the contract's names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A figure of the account.
    Set,
    /// A price asked for.
    Quote,
    /// A change to a quote.
    Revise,
    /// Worked backwards.
    Solve,
    /// Stopwatch readings.
    Time,
    /// Arrived.
    Here,
    /// A stop for a while.
    Pause,
    /// Going on.
    Resume,
    /// Done.
    Finish,
    /// The client said yes.
    Won,
    /// The client said no.
    Lost,
    /// A day.
    Plan,
    /// Money came in.
    Paid,
    /// Something to look at.
    Look,
    /// The guide.
    Guide,
    /// Take back.
    Undo,
    /// Words to keep.
    Note,
    /// What can be said.
    Menu,
    /// Not understood.
    Unclear,
}

/// One part of an answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    /// A figure of the account was set.
    Set(SetShown),
    /// A kind or size of the price list got a figure.
    ServicePriced(Box<PricedShown>),
    /// A kind got its own rate.
    ServiceRate {
        /// The kind.
        service: String,
        /// Its rate.
        rate: RatePerManHour,
    },
    /// A quote, as it stands or as it would be.
    Quote(Box<QuoteShown>),
    /// Something worked backwards.
    Solved(Box<Solved>),
    /// A job.
    Job(Box<JobShown>),
    /// Minutes of the price list.
    Times(Vec<TimesShown>),
    /// The price list with the prices that it makes.
    PriceList(Vec<PricedShown>),
    /// The figures of the account.
    Figures(Box<FiguresShown>),
    /// The cost build-up.
    Costs(CostsShown),
    /// The whole sum of a quote.
    Why(Box<WhyShown>),
    /// A short list of quotes.
    Quotes(QuotesShown),
    /// What was taken back.
    Undone(UndoneShown),
    /// A question.
    Ask(Box<Ask>),
    /// An answer did not fit the question that is open.
    Misfit,
    /// A question was let go because something else was said; the message that it was about.
    LetGo(String),
    /// A figure that cannot be.
    Refused(Refused),
    /// Words that were not used.
    NotUsed(Vec<String>),
    /// What can be said here.
    Menu,
    /// Something that is understood and not done.
    NotYet(Kind),
    /// Nothing was understood; the message.
    Unclear(String),
    /// A note was kept.
    Noted {
        /// Where.
        place: Option<String>,
        /// With which quote.
        no: Option<QuoteNo>,
        /// The words.
        text: String,
    },
    /// A caution that matters for the work.
    Caution(Caution),
    /// Something that goes with the answer.
    Attachment(Attachment),
}

/// A figure that was set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetShown {
    /// The figure.
    pub figure: SettingSet,
    /// The cost build-up that it makes, when all of it is known.
    pub costs: Option<CostsShown>,
}

/// The cost build-up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CostsShown {
    /// Wage with burden, for an hour.
    pub loaded_wage: HourlyCost,
    /// Overhead for a billable hour.
    pub overhead: HourlyCost,
    /// Equipment for a billable hour.
    pub equipment: HourlyCost,
    /// The rate at which nothing is left.
    pub break_even: HourlyCost,
    /// The rate that leaves the margin, when a margin was said.
    pub target: Option<RatePerManHour>,
    /// The account's rate with the margin it leaves, when the owner gave one.
    pub rate: Option<(RatePerManHour, Percent)>,
}

/// One unit of a kind and size with the price that it makes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PricedShown {
    /// The kind.
    pub service: String,
    /// The size.
    pub size: Option<String>,
    /// What is counted.
    pub unit: Unit,
    /// Man-minutes for one.
    pub minutes_each: Option<ManMinutes>,
    /// Where the minutes came from.
    pub basis: pricing::Basis,
    /// Material for one.
    pub material_each: Option<UnitPrice>,
    /// Fixed price for one.
    pub price_each: Option<UnitPrice>,
    /// The price of one.
    pub unit_price: Money,
    /// The rate it is priced at.
    pub rate: RatePerManHour,
    /// The rate that a fixed price makes.
    pub rate_made: Option<RateMade>,
    /// It was not on the list before.
    pub new: bool,
    /// Starter sizes that the owner's word replaced.
    pub sizes_gone: Vec<String>,
    /// The ends of the minutes, when a range was said.
    pub range: Option<Remark>,
    /// The rate is the starter rate.
    pub starter_rate: bool,
}

/// A quote as shown.
#[derive(Debug, Clone, PartialEq)]
pub struct QuoteShown {
    /// Its number.
    pub no: QuoteNo,
    /// Where.
    pub place: Option<String>,
    /// How far it has come.
    pub status: Status,
    /// The price with everything that it is made of.
    pub priced: pricing::Quote,
    /// What is taken off, as it was said.
    pub discount: pricing::Discount,
    /// The tax, as it was said.
    pub tax: pricing::Tax,
    /// It is not stored so.
    pub what_if: bool,
    /// The rate is the starter rate.
    pub starter_rate: bool,
    /// What should be said with it.
    pub remarks: Vec<Remark>,
}

/// Something to be said with a quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Remark {
    /// A range of minutes was said.
    MinutesRange {
        /// Low end.
        low: Decimal,
        /// High end.
        high: Decimal,
        /// What is used.
        used: Decimal,
    },
    /// Added to the quote.
    Added(Counted),
    /// Dropped from the quote.
    Dropped(Counted),
    /// Left out of this quote.
    LeftOut(ExtraKind),
    /// A kind was put on the price list.
    NewOnList(String),
    /// The price is below the minimum.
    BelowMinimum {
        /// The minimum.
        minimum: Money,
        /// By how much.
        short: Money,
    },
    /// The price makes less than break-even.
    BelowBreakEven {
        /// The rate that it makes.
        made: RateMade,
        /// The rate at which nothing is left.
        break_even: HourlyCost,
    },
}

/// Something worked backwards: the figures that answer it, and the sum behind them.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// Dollars made for each man-hour.
    pub rate: Option<RateMade>,
    /// Man-minutes for one unit.
    pub minutes_each: Option<ManMinutes>,
    /// Man-minutes for the whole.
    pub man_minutes: Option<ManMinutes>,
    /// Dollars.
    pub price: Option<Money>,
    /// The sum.
    pub sum: SolveSum,
}

/// The sum behind something worked backwards.
#[derive(Debug, Clone, PartialEq)]
pub enum SolveSum {
    /// The rate that a quote's work makes at a price: (price - materials - fees) x 60 / man-minutes.
    QuoteRate {
        /// The quote.
        of: QuotePrice,
        /// Man-minutes now, or as supposed.
        man_minutes: ManMinutes,
        /// What was supposed of the time.
        supposed: Supposed,
        /// The rate aimed at.
        aim: RatePerManHour,
    },
    /// The rate that one unit makes at a price: (price - material) x 60 / minutes.
    UnitRate {
        /// Of what, when known.
        unit: Option<Counted>,
        /// The price of one.
        price_each: UnitPrice,
        /// The material in one, markup included.
        material: Money,
        /// The minutes of one.
        minutes_each: ManMinutes,
        /// What was supposed of the time.
        supposed: Supposed,
        /// The rate aimed at.
        aim: RatePerManHour,
    },
    /// The man-minutes that a price leaves for a quote's work: (price - materials - fees) x 60 / rate.
    QuoteMinutes {
        /// The quote.
        of: QuotePrice,
        /// The rate.
        rate: RatePerManHour,
        /// The time.
        time: pricing::solve::TimeForPrice,
        /// People.
        crew: Crew,
    },
    /// The minutes that a price leaves for one unit: (price - material) x 60 / rate.
    UnitMinutes {
        /// Of what, when known.
        unit: Option<Counted>,
        /// The price of one.
        price_each: UnitPrice,
        /// The material in one, markup included.
        material: Money,
        /// The rate.
        rate: RatePerManHour,
        /// The minutes of one on the list or the quote, when known.
        now: Option<ManMinutes>,
    },
    /// A quote at other rates, each with its total and what the work makes.
    Rates {
        /// The quote.
        no: QuoteNo,
        /// What is counted on it.
        lines: Vec<Counted>,
        /// Rate and total.
        rows: Vec<(RatePerManHour, Money)>,
    },
    /// The cost build-up.
    BreakEven(CostsShown),
}

/// A quote with a price to work backwards from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuotePrice {
    /// Which.
    pub no: QuoteNo,
    /// Where.
    pub place: Option<String>,
    /// The price before tax.
    pub price: Money,
    /// Material in it, markup included.
    pub materials: Money,
    /// Fees in it.
    pub fees: Money,
}

/// What was supposed of the time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Supposed {
    /// Nothing: it is the book's.
    Nothing,
    /// This long on the clock, for so many people.
    Elapsed {
        /// Minutes on the clock.
        minutes: Minutes,
        /// People.
        crew: Crew,
        /// The ends, when a range was said.
        range: Option<Remark>,
    },
    /// So many man-minutes in all.
    ManMinutes {
        /// The ends, when a range was said.
        range: Option<Remark>,
    },
    /// So many minutes for each unit.
    Each {
        /// Of what.
        unit: Counted,
        /// Minutes.
        minutes: ManMinutes,
        /// The ends, when a range was said.
        range: Option<Remark>,
    },
}

/// A job as shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobShown {
    /// The quote with what became of it.
    pub entry: QuoteEntry,
    /// The account's time zone.
    pub zone: Tz,
    /// What is said of it.
    pub news: JobNews,
}

/// What is new of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum JobNews {
    /// It was won.
    Won,
    /// It was lost.
    Lost {
        /// Why, as said.
        reason: Option<String>,
        /// The price that it was lost at or to.
        price: Option<Money>,
    },
    /// A day was fixed.
    Planned {
        /// The time of day was said, now or before.
        time_said: bool,
    },
    /// Money came in.
    Paid {
        /// How much.
        amount: Money,
        /// How.
        method: Option<String>,
    },
    /// It was finished.
    Finished(Box<FinishNews>),
    /// Extra work was added to the price.
    ExtraBilled(Money),
    /// It is only shown.
    Shown,
}

/// What is said of a finish.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FinishNews {
    /// Minutes on the clock, when the time was said so.
    pub elapsed: Option<Decimal>,
    /// The ends of the minutes, when a range was said.
    pub range: Option<Remark>,
    /// The crew was not said and is the job's.
    pub crew_of_job: bool,
    /// Nobody had said yes before: it counts as won at its total.
    pub counted_as_won: bool,
    /// What was done beyond the quote.
    pub more: Vec<Counted>,
    /// What was quoted and not done.
    pub fewer: Vec<Counted>,
    /// What the extra work is worth, before tax.
    pub extra: Money,
    /// What the work not done was worth, before tax.
    pub short: Money,
}

/// Minutes of a kind and size.
#[derive(Debug, Clone, PartialEq)]
pub struct TimesShown {
    /// The kind.
    pub service: String,
    /// The size.
    pub size: Option<String>,
    /// What is counted.
    pub unit: Unit,
    /// Man-minutes for one.
    pub minutes_each: ManMinutes,
    /// The ends of the 80% interval, when learned.
    pub between: Option<(Decimal, Decimal)>,
    /// Units that it was learned from.
    pub units: Decimal,
    /// Jobs that it was learned from.
    pub jobs: u32,
    /// Where it came from.
    pub basis: pricing::Basis,
}

/// The figures of the account.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FiguresShown {
    /// What was set.
    pub settings: Settings,
    /// The starter rate, when no rate was set.
    pub starter_rate: Option<RatePerManHour>,
}

/// The whole sum of a quote.
#[derive(Debug, Clone, PartialEq)]
pub struct WhyShown {
    /// Which.
    pub no: QuoteNo,
    /// It is the last `what if`.
    pub what_if: bool,
    /// The price; its own steps are the sum.
    pub priced: pricing::Quote,
}

/// A list of quotes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuotesShown {
    /// Which.
    pub list: QuoteList,
    /// The first of them.
    pub rows: Vec<QuoteRow>,
    /// How many there are.
    pub count: usize,
    /// What they come to.
    pub sum: Money,
}

/// Which quotes are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum QuoteList {
    /// Open ones.
    Open,
    /// Done or won, and not paid in full.
    Owed,
}

/// A quote in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteRow {
    /// Its number.
    pub no: QuoteNo,
    /// Where.
    pub place: Option<String>,
    /// The price, or what is still to come.
    pub amount: Money,
}

/// What was taken back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UndoneShown {
    /// What, newest first.
    pub taken: Vec<TakenBack>,
    /// How many steps were asked for.
    pub asked: u32,
}

/// One thing taken back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TakenBack {
    /// A message, by its words.
    Said(String),
    /// A message that was only asked about, by its words.
    Question(String),
    /// What came before in the same message.
    ThisMessage,
}

/// What a figure was taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum What {
    /// How many.
    Count,
    /// Minutes.
    Minutes,
    /// Dollars for an hour.
    Rate,
    /// Dollars.
    Price,
    /// Dollars for material.
    Material,
    /// Dollars of a fee.
    Fee,
    /// The minimum.
    Minimum,
    /// What is taken off.
    Discount,
    /// Tax.
    Tax,
    /// A step of rounding.
    Step,
    /// Markup.
    Markup,
    /// People.
    Crew,
    /// A wage.
    Wage,
    /// Burden.
    Burden,
    /// Overhead.
    Overhead,
    /// Billable hours.
    Hours,
    /// Margin.
    Margin,
    /// Years of use.
    Years,
    /// Money that came in.
    Payment,
}

/// Why something cannot be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// A figure out of range.
    OutOfRange {
        /// What it was taken for.
        what: What,
        /// The figure.
        value: Decimal,
    },
    /// Minutes for something that is money.
    NotMinutes(ExtraKind),
    /// Money for something that is minutes.
    NotMoney(ExtraKind),
    /// A time zone that is not on the public list.
    NoSuchZone(String),
    /// A price that cannot be worked out.
    Pricing(pricing::Refusal),
    /// A day that is not in the calendar.
    NoSuchDay,
}

/// A caution with its source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// Short code.
    pub code: &'static str,
    /// The words.
    pub text: String,
    /// Where it comes from.
    pub source: String,
}

/// Something that goes with the answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    /// Media type.
    pub kind: String,
    /// File name.
    pub name: String,
    /// Where it can be fetched.
    pub path: String,
}

impl From<pricing::Refusal> for super::desk::Stop {
    fn from(refusal: pricing::Refusal) -> Self {
        super::desk::Stop::Refused(Refused::Pricing(refusal))
    }
}

impl PricedShown {
    /// Its minutes as a row of the times, when they are known.
    pub fn times(&self) -> Option<TimesShown> {
        Some(TimesShown {
            service: self.service.clone(),
            size: self.size.clone(),
            unit: self.unit,
            minutes_each: self.minutes_each?,
            between: None,
            units: Decimal::ZERO,
            jobs: 0,
            basis: self.basis,
        })
    }
}

impl Kind {
    /// The contract's name.
    pub fn code(self) -> &'static str {
        match self {
            Kind::Set => "set",
            Kind::Quote => "quote",
            Kind::Revise => "revise",
            Kind::Solve => "solve",
            Kind::Time => "time",
            Kind::Here => "here",
            Kind::Pause => "pause",
            Kind::Resume => "resume",
            Kind::Finish => "finish",
            Kind::Won => "won",
            Kind::Lost => "lost",
            Kind::Plan => "plan",
            Kind::Paid => "paid",
            Kind::Look => "look",
            Kind::Guide => "guide",
            Kind::Undo => "undo",
            Kind::Note => "note",
            Kind::Menu => "menu",
            Kind::Unclear => "unclear",
        }
    }

    /// The kind of a meaning; an answer to a question that nobody asked is not understood.
    pub(super) fn of(meaning: &Meaning) -> Kind {
        match meaning {
            Meaning::Set(_) => Kind::Set,
            Meaning::Quote { .. } => Kind::Quote,
            Meaning::Revise { .. } => Kind::Revise,
            Meaning::Solve(_) => Kind::Solve,
            Meaning::Time(_) => Kind::Time,
            Meaning::Here { .. } => Kind::Here,
            Meaning::Pause => Kind::Pause,
            Meaning::Resume => Kind::Resume,
            Meaning::Finish(_) => Kind::Finish,
            Meaning::Won { .. } => Kind::Won,
            Meaning::Lost { .. } => Kind::Lost,
            Meaning::Plan { .. } => Kind::Plan,
            Meaning::Paid { .. } => Kind::Paid,
            Meaning::Look(_) => Kind::Look,
            Meaning::Guide(_) => Kind::Guide,
            Meaning::Undo { .. } => Kind::Undo,
            Meaning::Note { .. } => Kind::Note,
            Meaning::Menu => Kind::Menu,
            Meaning::Answer(_) => Kind::Unclear,
        }
    }
}
