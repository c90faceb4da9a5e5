//! What does a message do to the book, and what is answered?
//!
//! [`handle`] is the one place where parts meet: it reads the message, resolves what was said against the book (what
//! "it" refers to, which size, which line), prices, and gives back the facts to record and the answer to put into words.
//! It is pure: the same state, message and context give the same outcome.
//!
//! Whatever two readings would price differently becomes a question, and nothing of the asking part is stored until it
//! is settled. A message may hold several meanings; they are carried out in order on a copy of the state (which costs
//! next to nothing), so that later ones see what earlier ones did.

mod answer;
mod ask;
mod calendar;
mod client;
mod clock;
mod coming_back;
mod costs;
mod days;
mod desk;
mod doubts;
mod drawing;
mod figures;
mod files;
mod finish;
mod guide;
mod heard;
mod hearing;
mod house;
mod jobs;
mod kept;
mod lines;
mod look;
mod media;
mod minutes;
mod ordering;
mod paying;
mod places;
mod planning;
mod plotting;
mod quoting;
mod recount;
mod reports;
mod revising;
mod roles;
mod setting;
mod solving;
pub mod tables;
mod taking_back;
mod turn;
mod which;

pub use answer::{
    Answer, Attachment, Caution, Cell, ClientNews, ClientPageShown, CostsShown, DatesShown, DaysShown, DueRow,
    DueShown, FiguresShown, FinishCause, FinishNews, ForgottenShown, GuideSays, GuideShown, HouseShown, HowShown,
    JobNews, JobShown, KeptShown, Kind, LastShown, MinutesPicture, Part, PaysShown, Picture, PricedShown, QuoteList,
    QuotePrice, QuoteRow, QuoteShown, QuotesShown, Reason, Refused, Remark, ReminderShown, ReportPicture, ReportShown,
    SetShown, ShiftShown, SolveSum, Solved, Step, Supposed, Table, TakenBack, TimedShown, TimesShown, ToolShown,
    TrendShown, UndoneShown, Verdict, What, WhenShown, WhyShown, WinShown, Workbook,
};
pub use ask::{Ask, Choice, CostFigure, Counted, Label, Question, TimeQuestion};
pub use calendar::calendar_hash;
pub use client::{CLIENT_CHANNEL, ClientQuote, ClientSaid, ScopeLine, Standing, link_hash};
pub use clock::{ForgottenClock, forgotten_clocks};
pub use files::{FileWanted, file_of};
pub use heard::{Heard, Unheard, Words};
pub use hearing::{same_money, settles};
pub use house::{CODE_PLACE, Effect, House, LetterSeen, MemberSeen, SIGN_IN_CODE_PLACE};
pub use media::{Media, MediaKind};
pub use minutes::times_of;
pub use plotting::{measured_last, minutes_picture};
pub use turn::handle;

use crate::{
    journal::Event,
    units::{InboundId, MemberId, Timestamp},
};

/// A message that came in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inbound {
    /// Our id of it.
    pub id: InboundId,
    /// The channel it came by.
    pub channel: String,
    /// Who sent it.
    pub member: MemberId,
    /// Its words; of a voice note, what was heard. Empty for a photo without words.
    pub text: String,
    /// What was heard, when it was spoken.
    pub heard: Option<Heard>,
    /// What came with it.
    pub media: Vec<Media>,
    /// When it was said, which is before now when it came late.
    pub at: Timestamp,
}

/// What the conversation is told of the world outside the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Context {
    /// Now.
    pub now: Timestamp,
    /// The time zone to use while the account has not said its own.
    pub zone: chrono_tz::Tz,
    /// Where the pages can be opened, when they can.
    pub public_url: Option<String>,
    /// 256 random bits, new for each message: what links and codes that it asks for are made of.
    pub secret: [u8; 32],
    /// How the house around the book stands.
    pub house: House,
}

/// What a message came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The facts to record, in order, all with this message as their cause.
    pub events: Vec<Event>,
    /// The answer.
    pub answer: Answer,
}

#[cfg(test)]
mod tests;
