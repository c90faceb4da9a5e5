//! What a message can mean: the typed result of reading, and nothing about prices or books.
//!
//! Every value that came out of the text keeps its unit in its type or its field name, and every part keeps the span of
//! text that it came from, so that an answer can echo it and a question can point at it. A [`Meaning`] says what was
//! *said*; what it does to the book is decided by the conversation. Two things said that could differ in money are not
//! settled here: they travel as [`QuantitySaid::Vague`], as a missing size, or as a [`Doubt`].

use rust_decimal::Decimal;

use super::asked::GuideSaid;
use super::phrases::Phrase;
pub use crate::units::Unit;

/// Byte range of the message text, half open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

/// Minutes as said: a single figure, or a range whose middle is used and whose ends are kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MinutesSaid {
    /// The figure used, in minutes.
    pub minutes: Decimal,
    /// The ends, when a range was said (`5 or 6 min`), in minutes.
    pub range: Option<(Decimal, Decimal)>,
}

/// How many were counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum QuantitySaid {
    /// A number, in the line's unit.
    Exact(Decimal),
    /// `a few`, `some`, `several`: no number to price on. The word as said.
    Vague(String),
    /// `two or three`: the two ends.
    Between(Decimal, Decimal),
    /// No number was said (`mow at Alder`, `drop the big one`).
    Unsaid,
}

/// A kind and size as said, matched against the account's own price list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ClassSaid {
    /// The price list's name of the kind, when one was named.
    pub service: Option<String>,
    /// Other kinds of the list that would fit the words as well (a slip, a short name); empty when sure.
    pub rivals: Vec<String>,
    /// Words taken for a kind that is not on the list (`photinia`), lower case, singular.
    pub unknown: Option<String>,
    /// The size in the account's own word, when one was said.
    pub size: Option<String>,
    /// Where it was said.
    pub span: Span,
}

/// One counted thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineSaid {
    /// How many.
    pub quantity: QuantitySaid,
    /// Of what.
    pub class: ClassSaid,
    /// The unit, when said (`40 ft hedge`, `6 yards mulch`).
    pub unit: Option<Unit>,
    /// Man-minutes for each unit, when said with the count.
    pub minutes_each: Option<MinutesSaid>,
    /// A fixed price for each unit in dollars (`at $15.50 each`).
    pub price_each: Option<Decimal>,
    /// This quote's material price for each unit in dollars (`6 yards mulch at 45 a yard`).
    pub material_each: Option<Decimal>,
    /// `another` or `more` was said: it adds to what was counted before.
    pub more: bool,
    /// Where it was said.
    pub span: Span,
}

/// A place as said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceSaid {
    /// The name of a known place, when the words fit exactly one; else the words as written.
    pub name: String,
    /// Whether it is a place of this account already.
    pub known: bool,
    /// Other known places that fit as well.
    pub rivals: Vec<String>,
    /// A quote named by its number (`quote 3`) instead of its place; `name` is then those words.
    pub quote: Option<u32>,
    /// Where it was said.
    pub span: Span,
}

/// The parts of a price that are not counted lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ExtraKind {
    /// Set-up time.
    SetUp,
    /// Hauling time.
    Haul,
    /// Driving time.
    Drive,
    /// Dump fee, money.
    DumpFee,
    /// The minimum charge, money.
    Minimum,
    /// Rounding to a step.
    Rounding,
    /// Discount.
    Discount,
    /// Tax.
    Tax,
    /// Material on lines.
    Material,
    /// What is put on top of material.
    Markup,
}

/// What tax is charged on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TaxOn {
    /// The whole price.
    Everything,
    /// Material only.
    Materials,
}

/// A figure of the account, or of the price list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Setting {
    /// `rate 120`: dollars per man-hour; with a service, that service's own rate.
    Rate {
        /// Dollars per man-hour.
        rate: Decimal,
        /// The service whose own rate it is; `None` is the account's.
        class: Option<ClassSaid>,
    },
    /// `crape myrtle small 6 min`, `hedge 1.5 min a foot`, `new service gutter clean 45 min`, `mulch 38 a yard 25 min each`.
    Service {
        /// The kind and size; `class.unknown` names a new kind.
        class: ClassSaid,
        /// `new service` was said.
        new: bool,
        /// The unit, when said.
        unit: Option<Unit>,
        /// Man-minutes for each unit.
        minutes_each: Option<MinutesSaid>,
        /// Material, dollars for each unit.
        material_each: Option<Decimal>,
        /// Fixed price, dollars for each unit.
        price_each: Option<Decimal>,
    },
    /// `set-up 15`, `haul 20`, `drive 30`: man-minutes on every quote. Zero switches it off.
    ExtraMinutes(ExtraKind, Decimal),
    /// `dump fee 25`, `minimum 95`: dollars on every quote. Zero switches it off.
    ExtraMoney(ExtraKind, Decimal),
    /// `round to 5` (nearest), `round up to 5`; dollars. Zero switches it off.
    Round {
        /// The step in dollars.
        step: Decimal,
        /// Always up.
        up: bool,
    },
    /// `tax 7%`, `tax materials 7%`.
    Tax {
        /// Percent.
        percent: Decimal,
        /// On what.
        on: TaxOn,
    },
    /// `crew 2`.
    Crew(u32),
    /// `markup 15%` on materials.
    Markup(Decimal),
    /// `wage 22`: dollars an hour.
    Wage(Decimal),
    /// `burden 18%`.
    Burden(Decimal),
    /// `overhead 1400 a month`: dollars a month (a yearly figure is divided by 12 when used).
    Overhead {
        /// Dollars.
        money: Decimal,
        /// True when the figure is for a year.
        yearly: bool,
    },
    /// `110 billable hours`: man-hours a month (or year).
    BillableHours {
        /// Man-hours.
        hours: Decimal,
        /// True when the figure is for a year.
        yearly: bool,
    },
    /// `sold the mower`, `drop the mower from costs`: equipment that is not counted any more, as named.
    EquipmentGone(String),
    /// `mower 3600 over 4 years`: equipment price and life.
    Equipment {
        /// What it is, as said.
        name: String,
        /// Dollars.
        price: Decimal,
        /// Years of use.
        years: Decimal,
    },
    /// `margin 20%`.
    Margin(Decimal),
    /// `keep my minutes`: pins the set figure of a class (`None`: of all), or lets it go.
    KeepMinutes {
        /// Which class.
        class: Option<ClassSaid>,
        /// False for `use learned minutes`.
        keep: bool,
    },
    /// `time zone America/Chicago`: the zone as said.
    TimeZone(String),
    /// `business name Briar & Twine`.
    BusinessName(String),
    /// `quotes good for 30 days`: how long an offer stands, in days.
    OfferDays(Decimal),
    /// `terms: half down; the rest when we are done`: what clients are told; `None` for `no terms`.
    ClientTerms(Option<String>),
    /// `not included: stump grinding`: what clients are told is not in the price; `None` for `not included: nothing`.
    NotIncluded(Option<String>),
    /// `zone 8a`: USDA hardiness zone, as said.
    HardinessZone(String),
    /// `texas`: state or province, two letters.
    State(&'static str),
    /// `last frost march 15`: month 1 to 12, day 1 to 31.
    LastFrost(u8, u8),
    /// `keep recordings 60 days`: days that voice recordings are kept.
    RecordingDays(Decimal),
}

/// A change to the quote being talked about, or a part of a new quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// `make that 14 small`: the line's quantity becomes this.
    Quantity(LineSaid),
    /// `add 2 large`.
    Add(LineSaid),
    /// `drop the big one`: a line, or some of it when a quantity is said (`drop 2 small`).
    Drop(LineSaid),
    /// `the big ones are mediums`, `swap 2 small for 2 large`: a line, or some of it when a quantity is said, is of
    /// another kind or size.
    Recount {
        /// What it was taken for.
        from: LineSaid,
        /// What it is; what is left away stays as it was.
        to: ClassSaid,
    },
    /// `double the smalls`: a line's quantity times this.
    Times(ClassSaid, Decimal),
    /// `knock 10% off`.
    DiscountPercent(Decimal),
    /// `take 20 off`, dollars.
    DiscountMoney(Decimal),
    /// `another 5% off`: percent on top of what is off already.
    MoreOffPercent(Decimal),
    /// `take another 10 off`: dollars on top of what is off already.
    MoreOffMoney(Decimal),
    /// `call it 250`: the price before tax, dollars.
    Price(Decimal),
    /// `at 110 an hour`: this quote's rate, dollars per man-hour.
    Rate(Decimal),
    /// `what if mediums take 7`, `six minutes each on the little ones`: man-minutes each of a class (`service` and
    /// `size` both `None`: of the only line, else asked).
    Minutes(ClassSaid, MinutesSaid),
    /// `smalls at 15 each` as a change: fixed price, dollars each.
    PriceEach(ClassSaid, Decimal),
    /// `what if mulch is 45 a yard`: this quote's material price, dollars each.
    MaterialEach(ClassSaid, Decimal),
    /// `mow, 2 guys 40 min`: one elapsed time for the whole work, minutes; multiplied by the crew said with it.
    WorkElapsed {
        /// Elapsed minutes for the work.
        minutes: MinutesSaid,
        /// People.
        crew: u32,
    },
    /// `80 man-minutes`: the whole work in man-minutes.
    WorkManMinutes(MinutesSaid),
    /// `no haul`, `skip the set-up`.
    No(ExtraKind),
    /// `plus dump fee`, `add tax`: charged, at the account's own figure.
    With(ExtraKind),
    /// `haul 30`, `set-up 20` on this quote only: man-minutes.
    ExtraMinutes(ExtraKind, Decimal),
    /// `dump fee 40` on this quote only: dollars.
    ExtraMoney(ExtraKind, Decimal),
    /// `markup 10 on this one`: percent on this quote's material.
    Markup(Decimal),
    /// `2 guys`.
    Crew(u32),
    /// `it's for Alder Ct`: names the place.
    Place(PlaceSaid),
    /// `use that`: the last `what if` becomes the quote.
    UseThat,
    /// `bill the extra`: the extra work of a finish is added to the agreed price.
    BillExtra,
}

/// A question worked backwards.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Solve {
    /// `what do I make an hour at 250`: rate made at a price in dollars (each unit when `each`).
    RateAtPrice {
        /// Dollars.
        price: Decimal,
        /// The price is for each unit.
        each: bool,
        /// Of what, when said.
        class: Option<ClassSaid>,
    },
    /// `how fast for 15 each`: minutes that make the rate at a price.
    MinutesForPrice {
        /// Dollars.
        price: Decimal,
        /// The price is for each unit.
        each: bool,
        /// Of what, when said.
        class: Option<ClassSaid>,
    },
    /// `what rate if it takes 3 hours`: rate made at the quote's price when the work takes this long.
    RateIfTime {
        /// Minutes as said.
        minutes: MinutesSaid,
        /// Minutes for each unit (`if smalls take 8 each`).
        each: bool,
        /// The figure is man-minutes, not elapsed.
        man_minutes: bool,
        /// People said with it.
        crew: Option<u32>,
        /// Of what, when said.
        class: Option<ClassSaid>,
    },
    /// `what should I charge at 140 an hour`, `price at 140`: the price for a rate.
    PriceForRate {
        /// Dollars per man-hour.
        rate: Decimal,
    },
    /// `price so I make rate 8 times in 10`: the chance wanted, 0 to 1.
    PriceForChance(Decimal),
    /// `rate 100 120 140`: one table.
    CompareRates(Vec<Decimal>),
    /// `what's my break-even`.
    BreakEven,
    /// `what if smalls take 7` with the price held: rate made.
    RateIfMinutes(ClassSaid, MinutesSaid),
}

/// One stopwatch series.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StopwatchSaid {
    /// Of what.
    pub class: ClassSaid,
    /// Man-minutes of single units.
    pub readings: Vec<Decimal>,
}

/// A time worked, as said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WorkedSaid {
    /// Elapsed minutes (multiplied by the crew).
    Elapsed(MinutesSaid),
    /// Minutes for each person (multiplied by the crew).
    EachPerson(MinutesSaid),
    /// Man-minutes: taken as they are.
    ManMinutes(MinutesSaid),
}

/// A finish.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FinishSaid {
    /// Where.
    pub place: Option<PlaceSaid>,
    /// How long, when said.
    pub worked: Option<WorkedSaid>,
    /// People, when said.
    pub crew: Option<u32>,
    /// What was really done, when said.
    pub done: Vec<LineSaid>,
    /// When it ended, when said.
    pub at: Option<WhenSaid>,
}

/// A day and a time of day, as said; resolved against the message's own clock and zone by the conversation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct WhenSaid {
    /// The day.
    pub day: Option<DaySaid>,
    /// Minutes after local midnight; a time without am or pm from 7 to 11 is morning, else afternoon.
    pub minute_of_day: Option<u16>,
}

/// A day, as said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DaySaid {
    /// Days from today (`today`, `tomorrow`, `yesterday`, `in 3 days`).
    InDays(i32),
    /// `thursday`: the coming one; with `next`, that of next week; with `last`, the one gone.
    Weekday {
        /// Monday is 0.
        weekday: u8,
        /// -1 last, 0 coming, 1 of next week.
        week: i8,
    },
    /// `a week from friday`: seven days after the coming one; Monday is 0.
    WeekAfter(u8),
    /// `back a day`: so many days after the day that was planned before.
    Later(i32),
    /// `the 20th`: the coming 20th.
    DayOfMonth(u8),
    /// `march 3`, `3/14`, with a year when said.
    Date {
        /// 1 to 12.
        month: u8,
        /// 1 to 31.
        day: u8,
        /// Full year.
        year: Option<i32>,
    },
}

/// A stretch of the calendar asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PeriodSaid {
    /// 1 to 12, with the year when said.
    Month(u8, Option<i32>),
    /// A calendar year.
    Year(i32),
    /// `this week`, `last week`: weeks from now.
    Week(i8),
    /// `this month`, `last month`: months gone by; below zero, months ahead.
    MonthsAgo(i8),
    /// `this season`, `last season`: seasons from now.
    Season(i8),
    /// A single day.
    Day(DaySaid),
}

/// Something to look at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Look {
    /// `times`, `times crape`.
    Times(Option<ClassSaid>),
    /// `last time at Alder`.
    LastTime(Option<PlaceSaid>),
    /// `photos at Alder`: the photos and files kept there.
    Photos(Option<PlaceSaid>),
    /// `how was january`.
    Period(PeriodSaid),
    /// `picture of january`: the same, drawn.
    Picture(PeriodSaid),
    /// `which work pays`.
    WhatPays,
    /// `who is due`; in a stretch of time, when one was said.
    Due(Option<PeriodSaid>),
    /// `owed`.
    Owed,
    /// `text for Alder about the money`: polite words about an open amount.
    Reminder(Option<PlaceSaid>),
    /// `open quotes`.
    OpenQuotes,
    /// `no answer for 10 days`: open quotes older than so many days.
    Unanswered(u32),
    /// `win rate`: how many quotes are won, by price level.
    WinShare,
    /// `jobs file for january`.
    File(FileSaid),
    /// `plot small crapes`.
    Plot(ClassSaid),
    /// `why`: the whole sum of the last quote.
    Why,
    /// `price list`, `settings`.
    PriceList,
    /// `prices of crapes`: what one of a kind, or of a size of it, costs.
    PricesOf(ClassSaid),
    /// `tuesday`, `what's on friday`: a day's list.
    Day(DaySaid),
    /// `what's left today`: what of a day's list is not done.
    Left(DaySaid),
    /// `the quote`, `show me the quote`, `quote for Alder`.
    ShowQuote(Option<PlaceSaid>),
    /// `costs`, `break-even build-up`: the cost build-up.
    Costs,
    /// `send it`: a page for the client; `send it as text`: the same as words to forward.
    Send {
        /// Which quote, by its place.
        place: Option<PlaceSaid>,
        /// As words.
        as_text: bool,
    },
    /// `take the link back`: the client's page is shut.
    Unsend(Option<PlaceSaid>),
    /// `what are my terms`: what every client page says.
    Terms,
    /// `sign-in code`: a way in for another phone.
    SignIn,
}

/// A file asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FileSaid {
    /// Of what.
    pub of: FileOf,
    /// Of which time; `None`: of all.
    pub period: Option<PeriodSaid>,
    /// As comma separated text, not as a workbook.
    pub csv: bool,
}

/// What a file holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FileOf {
    /// Jobs, a row for each line of work.
    Jobs,
    /// The price list.
    PriceList,
    /// Payments.
    Payments,
}

/// Something said of the clock of a job, other than that work begins, stops or goes on now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ClockSaid {
    /// `Sam left at 2`, `just me now`: other people than before.
    People {
        /// Where.
        place: Option<PlaceSaid>,
        /// How.
        change: PeopleSaid,
        /// When; `None`: now.
        at: Option<WhenSaid>,
    },
    /// `lunch 12 to 12:30`, `took a 30 minute lunch`.
    Break {
        /// From when.
        from: Option<WhenSaid>,
        /// Until when.
        to: Option<WhenSaid>,
        /// Minutes, when only that was said.
        minutes: Option<Decimal>,
    },
}

/// How the number of people changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PeopleSaid {
    /// So many left.
    Left(u32),
    /// So many came.
    Came(u32),
    /// So many are there.
    Now(u32),
}

/// Something said of who may speak and see what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MembersSaid {
    /// `crew can see prices`: all of them, or the one named.
    Prices {
        /// Who; `None`: the whole crew.
        name: Option<String>,
        /// False: not any more.
        show: bool,
    },
    /// `Sam can quote`: all of them, or the one named, may make and change quotes.
    Quoting {
        /// Who; `None`: the whole crew.
        name: Option<String>,
        /// False: not any more.
        allow: bool,
    },
    /// `calendar`: a private address for a calendar to subscribe to; an earlier one ends.
    Calendar,
    /// `stop the calendar`: the private address ends.
    NoCalendar,
}

/// Where places come in the order of a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// Before all others.
    First,
    /// After all others.
    Last,
    /// The first of them right before the next.
    Before,
}

/// Something about who may speak and from where, or about letters that did not arrive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HouseSaid {
    /// `connect telegram`: a code that ties a messenger to the one who speaks.
    Connect {
        /// The messenger, by its name in settings; any when unsaid.
        channel: Option<String>,
    },
    /// `disconnect telegram`.
    Disconnect {
        /// The messenger, by its name in settings.
        channel: String,
    },
    /// `invite crew Sam`: a code for somebody else, who is added when new.
    Invite {
        /// Their name.
        name: String,
        /// The messenger, by its name in settings; any when unsaid.
        channel: Option<String>,
    },
    /// `put out Sam`: nothing is heard of them any more.
    PutOut {
        /// Their name.
        name: String,
    },
    /// `who is connected`.
    Members,
    /// `what did not arrive`.
    Undelivered,
    /// `send again`, `resend 2`.
    Resend {
        /// Which of the list; all when unsaid.
        number: Option<u32>,
    },
}

/// The meaning of a stretch of a message. Names follow the contract's table of kinds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meaning {
    /// A figure of the account.
    Set(Setting),
    /// A price asked for.
    Quote {
        /// Where.
        place: Option<PlaceSaid>,
        /// The counted things, in order.
        lines: Vec<LineSaid>,
        /// What else was said of this quote.
        changes: Vec<Change>,
    },
    /// Changes to the quote being talked about.
    Revise {
        /// The changes, in order.
        changes: Vec<Change>,
        /// `what if`: shown, not stored.
        what_if: bool,
        /// The quote meant, when a place was named.
        place: Option<PlaceSaid>,
    },
    /// Worked backwards.
    Solve(Solve),
    /// Stopwatch readings of single units.
    Time(Vec<StopwatchSaid>),
    /// Arrived.
    Here {
        /// Where.
        place: Option<PlaceSaid>,
        /// People.
        crew: Option<u32>,
        /// When, if said.
        at: Option<WhenSaid>,
    },
    /// The clock stops for a while.
    Pause {
        /// When, if said.
        at: Option<WhenSaid>,
    },
    /// The clock goes on.
    Resume {
        /// When, if said.
        at: Option<WhenSaid>,
    },
    /// Something else of the clock: other people, a break that was.
    Clock(ClockSaid),
    /// Done.
    Finish(FinishSaid),
    /// The client said yes.
    Won {
        /// Which.
        place: Option<PlaceSaid>,
        /// At another price than quoted, dollars.
        price: Option<Decimal>,
    },
    /// The client said no.
    Lost {
        /// Which.
        place: Option<PlaceSaid>,
        /// Why, as said.
        reason: Option<String>,
        /// The price that it was lost at or to, dollars.
        price: Option<Decimal>,
    },
    /// The day it happens.
    Plan {
        /// Which.
        place: Option<PlaceSaid>,
        /// When.
        when: WhenSaid,
        /// `push`, `move`: it was planned before.
        moved: bool,
    },
    /// Money came in.
    Paid {
        /// Which.
        place: Option<PlaceSaid>,
        /// Dollars; `None`: all that is open.
        amount: Option<Decimal>,
        /// `check`, `cash`, `card` and the like, as said.
        method: Option<String>,
    },
    /// `that settles it`: what is still to come is let go.
    Settled {
        /// Which.
        place: Option<PlaceSaid>,
    },
    /// `quote Alder again`: the counts of last time at today's figures.
    Again {
        /// Where.
        place: Option<PlaceSaid>,
    },
    /// `push tuesday to wednesday`: every job of a day goes to another.
    Shift {
        /// The day left.
        from: DaySaid,
        /// The day they go to.
        to: DaySaid,
    },
    /// `Alder first`, `Alder then Birch`: the order in which the places of a day are driven to.
    Order {
        /// The places, in order.
        places: Vec<PlaceSaid>,
        /// Where they come.
        turn: Turn,
        /// On which day; the one that they are planned for when nothing was said.
        day: Option<DaySaid>,
    },
    /// Who may speak and see what.
    Members(MembersSaid),
    /// Something to look at.
    Look(Look),
    /// A question for the guide, or a remark that it should hear.
    Guide(GuideSaid),
    /// Take back.
    Undo {
        /// How many steps.
        steps: u32,
    },
    /// Keep these words.
    Note {
        /// Where.
        place: Option<PlaceSaid>,
        /// The words.
        text: String,
    },
    /// Who may speak and from where, and letters that did not arrive.
    House(HouseSaid),
    /// `heads up at Alder: dog`: words that whoever comes there is to read.
    PlaceCaution {
        /// Where.
        place: Option<PlaceSaid>,
        /// The words.
        text: String,
    },
    /// What can be said here.
    Menu,
    /// The answer to a question with choices, or to a question for a number or a word.
    Answer(AnswerSaid),
}

/// An answer to an open question, as far as the words alone tell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AnswerSaid {
    /// `2`, `the second`, `second one`: a choice by position, from 1; also a bare number when a number was asked.
    Number(Decimal),
    /// `yes`, `yep`, `ok`.
    Yes,
    /// `no`, `nope`.
    No,
    /// `large`, `the small ones`, `hollies`: a kind or size alone.
    Class(ClassSaid),
    /// A place alone.
    Place(PlaceSaid),
    /// `6 min`.
    Minutes(MinutesSaid),
    /// `$120`.
    Money(Decimal),
    /// `4:30`, `at 2`: minutes after local midnight.
    Time(u16),
    /// `both`, `all`, `none`, `neither`.
    Word(String),
}

/// Something in the message that could be read two ways, or not at all; the conversation asks about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Doubt {
    /// A number with no role.
    NumberWithoutRole {
        /// The number as written.
        text: String,
        /// Its value.
        value: Decimal,
        /// Where.
        span: Span,
    },
    /// A slip of dictation that could be either (`tree small`, a bare `for small`): the readings in words, best first,
    /// each as a message that would be read without doubt.
    Either {
        /// The words in question.
        words: String,
        /// Messages that say it plainly.
        choices: Vec<String>,
        /// Where.
        span: Span,
    },
    /// The same thing counted twice without `another` or `more`: the line of the message, from 0, and its twin.
    CountedTwice {
        /// First line.
        first: usize,
        /// Second line.
        second: usize,
    },
    /// A figure that cannot be: zero, negative, above 100,000 of anything, a rate above 10,000.
    OutOfRange {
        /// What it was taken for.
        what: &'static str,
        /// As written.
        text: String,
        /// Where.
        span: Span,
    },
    /// `15 each` in a price: dollars or minutes?
    DollarsOrMinutes {
        /// The figure.
        value: Decimal,
        /// The class it was said of.
        class: ClassSaid,
        /// Where.
        span: Span,
    },
}

/// A meaning with the text that it came from and the rules that made it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// The meaning.
    pub meaning: Meaning,
    /// From where to where.
    pub span: Span,
}

/// Words that no rule used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOver {
    /// As written.
    pub text: String,
    /// Where.
    pub span: Span,
}

/// A typed piece of the best cover: what `tallyhand read` prints.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// Where.
    pub span: Span,
    /// The rule that made it.
    pub rule: &'static str,
    /// What it is; [`Piece::value`] is its canonical text.
    pub(super) phrase: Phrase,
}

/// All that was read of a message. Reading never fails.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Reading {
    /// The meanings, in the order said. Empty: nothing was understood.
    pub meanings: Vec<Said>,
    /// The pieces of the best cover, in order.
    pub pieces: Vec<Piece>,
    /// Words that no rule used, fillers not among them.
    pub left_over: Vec<LeftOver>,
    /// What must be asked before anything is priced or stored.
    pub doubts: Vec<Doubt>,
}

impl Setting {
    /// Short code of the setting, for canonical text.
    pub fn code(&self) -> &'static str {
        match self {
            Setting::Rate { .. } => "rate",
            Setting::Service { .. } => "service",
            Setting::ExtraMinutes(..) | Setting::ExtraMoney(..) => "extra",
            Setting::Round { .. } => "round",
            Setting::Tax { .. } => "tax",
            Setting::Crew(_) => "crew",
            Setting::Markup(_) => "markup",
            Setting::Wage(_) => "wage",
            Setting::Burden(_) => "burden",
            Setting::Overhead { .. } => "overhead",
            Setting::BillableHours { .. } => "billable hours",
            Setting::Equipment { .. } | Setting::EquipmentGone(_) => "equipment",
            Setting::Margin(_) => "margin",
            Setting::KeepMinutes { .. } => "keep minutes",
            Setting::TimeZone(_) => "time zone",
            Setting::BusinessName(_) => "business name",
            Setting::OfferDays(_) => "offer days",
            Setting::ClientTerms(_) => "terms",
            Setting::NotIncluded(_) => "not included",
            Setting::HardinessZone(_) => "zone",
            Setting::State(_) => "state",
            Setting::LastFrost(..) => "last frost",
            Setting::RecordingDays(_) => "recordings",
        }
    }
}
