//! The answer as a value: what was understood, and what is to be said, in order. Words are made of it elsewhere.

mod attachment;
mod guided;
mod kind;
mod picture;
mod refused;
mod season;
mod solved;

pub use attachment::{Attachment, Cell, Table, Workbook};
pub use guided::{DatesShown, GuideSays, GuideShown, HowShown, ToolShown, WhenShown};
pub use kind::Kind;
pub use picture::{MinutesPicture, Picture, ReportPicture, Step};
pub use refused::{Refused, What};
pub use season::{
    DaysShown, DueRow, DueShown, ForgottenShown, KeptShown, LastShown, PaysShown, Reason, ReminderShown, ReportShown,
    ShiftShown, Verdict, WinShown,
};
pub use solved::{QuotePrice, SolveSum, Solved, Supposed};

use chrono::NaiveDate;
use chrono_tz::Tz;
use rust_decimal::Decimal;

use super::{
    Unheard,
    ask::{Ask, Counted},
    client::ClientQuote,
    house::{LetterSeen, MemberSeen},
};
use crate::{
    journal::{Event, LearningTrend, Likely, QuoteEntry, SettingSet, Settings, Status},
    language::ExtraKind,
    pricing::{self, cost::PerPeriod},
    units::{
        Crew, HourlyCost, ManHours, ManMinutes, MemberId, Money, Percent, QuoteNo, RateMade, RatePerManHour, Timestamp,
        Unit, UnitPrice,
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
    /// Single units were timed.
    Timed(Box<TimedShown>),
    /// A figure far out was meant.
    OddKept,
    /// A figure far out was taken out, since what it should have been came too many messages later.
    OddTakenOut {
        /// Another figure was said, which has to be said again.
        say_again: bool,
    },
    /// Set minutes are kept, or learned ones take over again.
    MinutesKept {
        /// Of which classes.
        named: Vec<(String, Option<String>)>,
        /// False: let go.
        keep: bool,
    },
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
    /// The last job at a place.
    LastTime(Box<LastShown>),
    /// Places that are due again.
    Due(Box<DueShown>),
    /// What is planned.
    Days(Box<DaysShown>),
    /// A day's jobs went to another day.
    Shifted(Box<ShiftShown>),
    /// What a stretch of time came to.
    Report(Box<ReportShown>),
    /// Which work pays.
    Pays(Box<PaysShown>),
    /// How often quotes are won.
    WinShare(Box<WinShown>),
    /// A polite text about an open amount.
    Reminder(Box<ReminderShown>),
    /// A private address of the calendar; `None`: it ended.
    Calendar {
        /// Its path on this server.
        path: Option<String>,
        /// Where the pages can be opened, when they can.
        base: Option<String>,
    },
    /// Only the owner may do or see that.
    OwnersOnly,
    /// Who of the crew may see prices now.
    PricesShown {
        /// Who; `None`: the whole crew.
        name: Option<String>,
        /// False: not any more.
        show: bool,
    },
    /// Who of the crew may make quotes now.
    QuotingAllowed {
        /// Who; `None`: the whole crew.
        name: Option<String>,
        /// False: not any more.
        allow: bool,
    },
    /// Nobody in the book is called that.
    NobodyOfThatName {
        /// The name.
        name: String,
        /// Who there is.
        known: Vec<String>,
    },
    /// A file was made.
    FileMade {
        /// Its name.
        name: String,
        /// Rows of its first sheet.
        rows: usize,
    },
    /// A clock that has run for too long.
    Forgotten(ForgottenShown),
    /// What was taken back.
    Undone(UndoneShown),
    /// A question.
    Ask(Box<Ask>),
    /// What was heard in a voice note.
    Heard(String),
    /// A voice note gave no words, and why.
    Unheard(Unheard),
    /// A voice note may have been several things, while a question is open.
    HeardSeveral(Vec<String>),
    /// What was heard was not it; it is to be said again.
    SayAgain,
    /// An answer did not fit the question that is open.
    Misfit,
    /// A question was let go because something else was said; the message that it was about.
    LetGo(String),
    /// A figure that cannot be.
    Refused(Refused),
    /// Words that were not used.
    NotUsed(Vec<String>),
    /// Who may speak and from where, and letters that did not arrive.
    House(HouseShown),
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
    /// Photos and other files of the message were kept.
    FilesKept {
        /// How many photos.
        photos: usize,
        /// How many other files.
        files: usize,
        /// Where.
        place: Option<String>,
        /// With which quote.
        no: Option<QuoteNo>,
    },
    /// A page for the client.
    ClientPage(Box<ClientPageShown>),
    /// News of a client.
    Client(Box<ClientNews>),
    /// A code that lets another phone in, once; its place is taken by [`super::SIGN_IN_CODE_PLACE`].
    SignInCode {
        /// How long it is good, in minutes.
        minutes: u32,
        /// Where the pages can be opened, when they can.
        base: Option<String>,
    },
    /// The guide answers.
    Guide(Box<GuideShown>),
    /// A plant is priced or planned out of its season.
    OutOfSeason {
        /// Short code.
        code: &'static str,
        /// When it is cut.
        shown: Box<WhenShown>,
        /// Where it comes from.
        source: String,
    },
    /// A caution that matters for the work.
    Caution(Caution),
    /// Photos and files kept with a place; they go with the answer.
    Kept(KeptShown),
    /// Something that goes with the answer.
    Attachment(Attachment),
}

/// A page that was opened for the client, or the same as words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClientPageShown {
    /// What the client may see.
    pub quote: ClientQuote,
    /// The page's path on this server; `None`: words only.
    pub path: Option<String>,
    /// The address of this server as clients reach it, when there is one.
    pub base: Option<String>,
}

/// News of a client.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ClientNews {
    /// The client said yes; the job follows.
    Accepted {
        /// Signed with.
        name: String,
    },
    /// The client said yes to something that does not stand any more; nothing was changed.
    TooLate {
        /// Which.
        no: QuoteNo,
        /// Where.
        place: Option<String>,
        /// What the client saw.
        total: Money,
        /// What it comes to now.
        now: Money,
        /// Signed with.
        name: String,
    },
    /// The client asked something.
    Asked {
        /// About which.
        no: QuoteNo,
        /// Where.
        place: Option<String>,
        /// The name given.
        name: String,
        /// The question.
        words: String,
    },
    /// The page was shut.
    Shut {
        /// Of which.
        no: QuoteNo,
        /// Where.
        place: Option<String>,
    },
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
    /// Wage for an hour, as said.
    pub wage: Option<HourlyCost>,
    /// Burden on it, as said.
    pub burden: Option<Percent>,
    /// Overhead, as said.
    pub overhead_said: Option<PerPeriod<Money>>,
    /// Billable hours, as said.
    pub hours_said: Option<PerPeriod<ManHours>>,
    /// The margin wanted, with the markup on cost that leaves it.
    pub margin: Option<(Percent, Percent)>,
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
    /// What it is priced from.
    pub sheet: pricing::Sheet,
    /// It is not stored so.
    pub what_if: bool,
    /// How long the work is likely to take, when the model knows all of it.
    pub likely: Option<Likely>,
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
    /// Counts of the same thing put together.
    PutTogether {
        /// What was counted before.
        before: Decimal,
        /// What came to it.
        more: Decimal,
        /// All of it.
        all: Counted,
    },
    /// Added to the quote.
    Added(Counted),
    /// Dropped from the quote; of how many, when some of them stay.
    Dropped(Counted, Option<Decimal>),
    /// Left out of this quote.
    LeftOut(ExtraKind),
    /// Percent on top of what was off already.
    MoreOffPercent(Decimal),
    /// Dollars on top of what was off already.
    MoreOffMoney(Decimal),
    /// A kind, or a size of it, was put on the price list.
    NewOnList(String, Option<String>),
    /// A minimum was said for this quote.
    Minimum(Money),
    /// What is taken off stands in place of what was taken off before.
    InPlaceOf(Vec<pricing::Discount>),
    /// The price is below the minimum.
    BelowMinimum {
        /// The minimum.
        minimum: Money,
        /// By how much.
        short: Money,
    },
    /// Time is the lever: what the old price would make with the minutes supposed.
    HeldPrice {
        /// The price before the change, before tax.
        price: Money,
        /// The rate that it would make.
        made: RateMade,
    },
    /// The price makes less than break-even.
    BelowBreakEven {
        /// The rate that it makes.
        made: RateMade,
        /// The rate at which nothing is left.
        break_even: HourlyCost,
    },
}

/// A job as shown.
#[derive(Debug, Clone, PartialEq)]
pub struct JobShown {
    /// The quote with what became of it.
    pub entry: QuoteEntry,
    /// The account's time zone.
    pub zone: Tz,
    /// What is said of it.
    pub news: JobNews,
    /// The reader may see prices.
    pub prices: bool,
}

/// What is new of a job.
#[derive(Debug, Clone, PartialEq)]
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
        /// So many days later than it was planned, or earlier below zero, when it was said so.
        later: Option<i32>,
    },
    /// Money came in.
    Paid {
        /// How much.
        amount: Money,
        /// How.
        method: Option<String>,
    },
    /// What was still to come was let go.
    Settled(Money),
    /// Other people are on it since then; how many there were before.
    Crew {
        /// Since when.
        at: Timestamp,
        /// How many before.
        before: Crew,
    },
    /// Its clock still runs while the crew is elsewhere.
    StillRunning,
    /// The crew came: its clock runs since then.
    Started(Timestamp),
    /// The clock stands; minutes on it so far.
    Paused(Decimal),
    /// The clock runs again; minutes on it so far.
    Resumed(Decimal),
    /// It was finished.
    Finished(Box<FinishNews>),
    /// Extra work was added to the price.
    ExtraBilled(Money),
    /// It is only shown.
    Shown,
}

/// What is said of a finish.
#[derive(Debug, Clone, PartialEq)]
pub struct FinishNews {
    /// When it ended, when that was said.
    pub ended: Option<Timestamp>,
    /// Minutes on the clock, when the time was said so.
    pub elapsed: Option<Decimal>,
    /// The time is that of the job's clock.
    pub by_clock: bool,
    /// The people changed while the clock ran: its stretches.
    pub stretches: Vec<(Decimal, u32)>,
    /// The ends of the minutes, when a range was said.
    pub range: Option<Remark>,
    /// The crew was not said and is the job's.
    pub crew_of_job: bool,
    /// Nobody had said yes before: it counts as won at its total.
    pub counted_as_won: bool,
    /// What was said to be done.
    pub did: Vec<Counted>,
    /// What was done beyond the quote.
    pub more: Vec<Counted>,
    /// What was quoted and not done.
    pub fewer: Vec<Counted>,
    /// What the extra work is worth, before tax.
    pub extra: Money,
    /// What the work not done was worth, before tax.
    pub short: Money,
    /// The classes of the job whose minutes are learned ones since this job, or of which it shows a trend.
    pub learned: Vec<TimesShown>,
    /// Why it took what it took.
    pub cause: Option<FinishCause>,
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
    /// The owner asked to keep the set minutes.
    pub kept: bool,
    /// How the crew got faster or slower at it, when that is beyond doubt.
    pub trend: Option<TrendShown>,
}

/// A learning curve with what it is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TrendShown {
    /// The curve.
    pub curve: LearningTrend,
    /// What a man-hour makes more (or, below zero, less) than at first, when the price of one stays what it was then.
    pub more: Decimal,
}

/// Why a job took what it took, against what was quoted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FinishCause {
    /// It took about what was quoted.
    AsQuoted,
    /// It took another time, within what such jobs vary.
    Usual,
    /// One kind and size took most of the difference.
    Class {
        /// Which.
        counted: Counted,
        /// Whether it is the only kind of the job, so that its size names it.
        one_kind: bool,
        /// Man-minutes for one, of the time laid to it.
        each: Decimal,
        /// Man-minutes for one, as quoted.
        quoted: Decimal,
    },
}

/// Single units that were timed.
#[derive(Debug, Clone, PartialEq)]
pub struct TimedShown {
    /// The kind.
    pub service: String,
    /// The size.
    pub size: Option<String>,
    /// Man-minutes of each.
    pub readings: Vec<ManMinutes>,
    /// The minutes of the class now, when it is on the list.
    pub now: Option<TimesShown>,
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
    /// Open ones that are so many days old.
    Unanswered(u32),
    /// Done, and not paid in full.
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
    /// The day that it was priced, or done.
    pub since: Option<NaiveDate>,
    /// How many days ago that was.
    pub days: Option<i64>,
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
    /// A message, by its words, with what it had done.
    Said(String, Vec<Event>),
    /// A message that was only asked about, by its words.
    Question(String),
    /// What came before in the same message.
    ThisMessage,
}

/// Something about who may speak and from where, or about letters that did not arrive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HouseShown {
    /// A code, whose place is taken by [`super::CODE_PLACE`].
    Code {
        /// Whose; the speaker's own when none.
        name: Option<String>,
        /// For which messenger; any when none.
        channel: Option<String>,
        /// The messengers that are switched on.
        on: Vec<String>,
    },
    /// That messenger is not switched on, or none is.
    NotOn {
        /// The messenger meant.
        channel: Option<String>,
        /// Those that are switched on.
        on: Vec<String>,
    },
    /// As many people as a book takes.
    TooMany(usize),
    /// Somebody was put out.
    PutOut {
        /// Who.
        member: MemberId,
        /// Their name.
        name: String,
        /// The messengers that they wrote by.
        chats: Vec<String>,
    },
    /// The speaker left a messenger, if they had it.
    Disconnected {
        /// Who.
        member: MemberId,
        /// Which.
        channel: String,
        /// They had it.
        had: bool,
    },
    /// Nobody is called that.
    NobodyCalled {
        /// The name.
        name: String,
        /// Who there is.
        known: Vec<String>,
    },
    /// The owner cannot be put out.
    OwnerStays,
    /// Only the owner may do that.
    OwnerOnly,
    /// Who may speak.
    Members(Vec<MemberSeen>),
    /// Letters that did not arrive.
    Undelivered(Vec<LetterSeen>),
    /// Letters are sent again.
    Resent {
        /// How many.
        count: usize,
        /// Which; all of them when none.
        letter: Option<i64>,
    },
    /// There is no such letter in the list.
    NoSuchLetter {
        /// The number said.
        number: u32,
        /// How many there are.
        count: usize,
    },
}

/// A caution with its source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// Short code.
    pub code: String,
    /// The words.
    pub text: String,
    /// Where it comes from.
    pub source: String,
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
            kept: false,
            trend: None,
        })
    }
}
