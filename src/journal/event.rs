//! The facts of the book, in the past tense.
//!
//! An event says what was said, decided or shown, never what can be worked out from it: a quote is kept with the whole
//! sheet it was priced from, and its total only as "the total that we sent". Events are never changed; a mistake is
//! corrected by a later one. An event of a kind that this program does not know yet is carried along untouched.

use super::{price_list::ServiceSet, question::OpenQuestion, quotes::ClientOffer, settings::SettingSet};
use crate::{
    pricing::{Sheet, SheetLine},
    units::{Crew, FileId, InboundId, ManMinutes, MemberId, Money, Quantity, QuoteNo, Timestamp},
};

/// One fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    /// A message was understood far enough to leave something behind.
    MessageHeard {
        /// Its words.
        text: String,
    },
    /// The owner gave a figure of the account.
    SettingGiven(SettingSet),
    /// The owner gave a figure of the price list.
    ServicePriced(ServiceSet),
    /// A place was named for the first time.
    PlaceNamed {
        /// As written.
        name: String,
    },
    /// A quote was made and shown.
    QuoteGiven {
        /// Its number.
        no: QuoteNo,
        /// Where.
        place: Option<String>,
        /// What it was priced from.
        sheet: Sheet,
        /// The total that we sent.
        total: Money,
    },
    /// A quote was changed and shown again.
    QuoteRevised {
        /// Its number.
        no: QuoteNo,
        /// Where.
        place: Option<String>,
        /// What it is priced from now.
        sheet: Sheet,
        /// The total that we sent.
        total: Money,
    },
    /// A change was shown and not made.
    WhatIfShown {
        /// The quote it was about.
        no: QuoteNo,
        /// What it was priced from.
        sheet: Sheet,
    },
    /// The client said yes.
    QuoteWon {
        /// Which.
        no: QuoteNo,
        /// The price agreed, with tax.
        agreed: Money,
    },
    /// The client said no.
    QuoteLost {
        /// Which.
        no: QuoteNo,
        /// Why, as said.
        reason: Option<String>,
        /// The price that it was lost at or to.
        price: Option<Money>,
    },
    /// A day was fixed.
    JobPlanned {
        /// Which.
        no: QuoteNo,
        /// When it starts.
        start: Timestamp,
    },
    /// Money came in.
    PaymentTaken {
        /// For which job.
        no: QuoteNo,
        /// How much.
        amount: Money,
        /// `check`, `cash` and the like, as said.
        method: Option<String>,
    },
    /// What was still to come is not asked for any more.
    RestLetGo {
        /// For which job.
        no: QuoteNo,
        /// How much, with tax.
        amount: Money,
    },
    /// The crew came to the job: its clock runs.
    WorkStarted {
        /// Which.
        no: QuoteNo,
        /// When.
        at: Timestamp,
        /// People, when said.
        crew: Option<Crew>,
    },
    /// The clock stands for a while.
    WorkPaused {
        /// Which.
        no: QuoteNo,
        /// When.
        at: Timestamp,
    },
    /// The clock runs again.
    WorkResumed {
        /// Which.
        no: QuoteNo,
        /// When.
        at: Timestamp,
    },
    /// From then on so many people were on the job.
    CrewChanged {
        /// Which.
        no: QuoteNo,
        /// When.
        at: Timestamp,
        /// People.
        crew: Crew,
    },
    /// What was told of the clock for one time was so at another.
    ClockCorrected {
        /// Which.
        no: QuoteNo,
        /// The time told before.
        was: Timestamp,
        /// The time that it was.
        is: Timestamp,
    },
    /// Work was finished.
    JobFinished(JobFinished),
    /// Work beyond what was quoted was added to the agreed price.
    ExtraBilled {
        /// For which job.
        no: QuoteNo,
        /// What it is worth, before tax.
        amount: Money,
        /// The price agreed now, with tax.
        agreed: Money,
    },
    /// Words to keep.
    NoteKept {
        /// The quote it belongs to.
        no: Option<QuoteNo>,
        /// The place it belongs to.
        place: Option<String>,
        /// The words.
        text: String,
    },
    /// A photo, or another file that came with a message, to keep.
    FileKept {
        /// The quote it belongs to.
        no: Option<QuoteNo>,
        /// The place it belongs to.
        place: Option<String>,
        /// Which file.
        file: FileId,
        /// Its media type, such as `image/jpeg`.
        media_type: String,
    },
    /// The owner wants his set minutes kept whatever the jobs say, or learned ones to take over again.
    MinutesKept {
        /// The kind.
        service: String,
        /// The size.
        size: Option<String>,
        /// False: let go.
        keep: bool,
    },
    /// Single units were timed with a stopwatch.
    UnitsTimed {
        /// The kind.
        service: String,
        /// The size.
        size: Option<String>,
        /// Man-minutes of each.
        readings: Vec<ManMinutes>,
    },
    /// A page for the client was opened under a link; only the link's hash is kept.
    ClientLinkGiven {
        /// Of which quote.
        no: QuoteNo,
        /// Hash of the link's secret.
        hash: String,
        /// What is offered beside the quote itself.
        offer: ClientOffer,
    },
    /// The pages of a quote were shut: its links show nothing any more.
    ClientLinksShut {
        /// Of which quote.
        no: QuoteNo,
    },
    /// The client said yes on that page.
    ClientAccepted {
        /// Which.
        no: QuoteNo,
        /// The price that the client saw, with tax.
        agreed: Money,
        /// The name that the client signed with.
        name: String,
    },
    /// The client asked something on that page.
    ClientAsked {
        /// About which quote.
        no: QuoteNo,
        /// The name given.
        name: String,
        /// The question.
        words: String,
    },
    /// A question was asked.
    QuestionAsked(OpenQuestion),
    /// An open question was answered, or let go because something else was said.
    QuestionClosed,
    /// A kind was talked about without a quote of it.
    ServiceMentioned {
        /// The kind.
        service: String,
    },
    /// A quote was shown again, and is the one being talked about.
    QuoteShown {
        /// Which.
        no: QuoteNo,
    },
    /// A member was given a private address of the calendar; the one before ends.
    CalendarOpened {
        /// Hash of its secret.
        hash: String,
    },
    /// A member's private address of the calendar ended.
    CalendarShut {
        /// Whose; `None`: that of whoever said so.
        member: Option<MemberId>,
    },
    /// The owner said whether the crew, or one of them, may see prices.
    PricesShown {
        /// Who; `None`: the whole crew.
        name: Option<String>,
        /// False: not any more.
        show: bool,
    },
    /// The owner said whether the crew, or one of them, may make and change quotes.
    QuotingAllowed {
        /// Who; `None`: the whole crew.
        name: Option<String>,
        /// False: not any more.
        allow: bool,
    },
    /// Words that whoever comes to a place is to be told.
    PlaceCautionKept {
        /// The place.
        place: String,
        /// The words.
        text: String,
    },
    /// A caution was given.
    CautionGiven {
        /// For which job; none when no job was talked about.
        no: Option<QuoteNo>,
        /// Which caution.
        code: String,
        /// Where it comes from, by the guide's name of the source.
        source: String,
    },
    /// The guide answered.
    GuideShown {
        /// About which plant.
        plant: Option<String>,
        /// Where the answer comes from, by the guide's names of the sources.
        sources: Vec<String>,
    },
    /// Messages were taken back: everything that they led to counts as never said.
    Undone {
        /// The messages.
        causes: Vec<InboundId>,
    },
    /// A fact of a kind or form that this program does not know; kept as it is.
    Unknown {
        /// Its kind.
        kind: String,
        /// Its form.
        version: u32,
        /// Its stored words.
        payload: String,
    },
}

/// How a job went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobFinished {
    /// Which.
    pub no: QuoteNo,
    /// When it ended.
    pub ended: Timestamp,
    /// People.
    pub crew: Crew,
    /// The whole work.
    pub man_minutes: ManMinutes,
    /// The ends, when a range was said.
    pub range: Option<(ManMinutes, ManMinutes)>,
    /// What was really done.
    pub done: Vec<DoneLine>,
    /// The price that counts: agreed before, or else the quote's total.
    pub agreed: Money,
    /// What was done beyond the quote, at the quote's own figures, before tax.
    pub extra: Money,
}

/// Something that was done on a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DoneLine {
    /// The kind.
    pub service: String,
    /// The size.
    pub size: Option<String>,
    /// How many.
    pub quantity: Quantity,
}

/// An event with its place in the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recorded {
    /// Position in the account's log, from 1 without gaps.
    pub sequence: u64,
    /// When the message was said that led to it; of one that came late that is before what was recorded ahead of it.
    pub at: Timestamp,
    /// The message that led to it.
    pub cause: InboundId,
    /// Who sent that message.
    pub member: MemberId,
    /// The fact.
    pub event: Event,
}

impl From<&SheetLine> for DoneLine {
    /// Done as it was counted.
    fn from(line: &SheetLine) -> Self {
        DoneLine {
            service: line.service.clone(),
            size: line.size.clone(),
            quantity: line.quantity,
        }
    }
}

impl Event {
    /// Whether it changed the book, so that the message behind it can be taken back. Questions, things shown and things
    /// mentioned leave the book as it was; what a client said is not the crew's to take back.
    pub fn changes_book(&self) -> bool {
        match self {
            Event::SettingGiven(_)
            | Event::ServicePriced(_)
            | Event::PlaceNamed { .. }
            | Event::QuoteGiven { .. }
            | Event::QuoteRevised { .. }
            | Event::QuoteWon { .. }
            | Event::QuoteLost { .. }
            | Event::JobPlanned { .. }
            | Event::PaymentTaken { .. }
            | Event::RestLetGo { .. }
            | Event::CrewChanged { .. }
            | Event::ClockCorrected { .. }
            | Event::WorkStarted { .. }
            | Event::WorkPaused { .. }
            | Event::WorkResumed { .. }
            | Event::JobFinished(_)
            | Event::ExtraBilled { .. }
            | Event::NoteKept { .. }
            | Event::FileKept { .. }
            | Event::CalendarOpened { .. }
            | Event::CalendarShut { .. }
            | Event::PricesShown { .. }
            | Event::QuotingAllowed { .. }
            | Event::MinutesKept { .. }
            | Event::PlaceCautionKept { .. }
            | Event::UnitsTimed { .. }
            | Event::ClientLinkGiven { .. }
            | Event::ClientLinksShut { .. } => true,
            Event::MessageHeard { .. }
            | Event::WhatIfShown { .. }
            | Event::QuestionAsked(_)
            | Event::QuestionClosed
            | Event::ServiceMentioned { .. }
            | Event::QuoteShown { .. }
            | Event::ClientAccepted { .. }
            | Event::ClientAsked { .. }
            | Event::CautionGiven { .. }
            | Event::GuideShown { .. }
            | Event::Undone { .. }
            | Event::Unknown { .. } => false,
        }
    }
}
