//! A quote and the job it becomes: one number, one entry of the book.

use std::sync::Arc;

use rust_decimal::Decimal;

use super::{
    clock::Clock,
    event::{DoneLine, Event, Recorded},
    shares::Share,
};
use crate::{
    pricing::{self, Sheet},
    units::{Crew, FileId, ManMinutes, MemberId, Money, QuoteNo, RateMade, Timestamp},
};

/// How far a quote has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Status {
    /// Priced; nobody has said yes or no.
    Open,
    /// The client said yes.
    Won,
    /// The crew is there.
    Here,
    /// The crew is there and has stopped for a while.
    Paused,
    /// Done.
    Done,
    /// The client said no.
    Lost,
}

/// A quote and what became of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteEntry {
    /// Its number.
    pub no: QuoteNo,
    /// Where.
    pub place: Option<String>,
    /// When it was made.
    pub given_at: Timestamp,
    /// Who made it.
    pub given_by: MemberId,
    /// What it is priced from.
    pub sheet: Sheet,
    /// The total that was last sent.
    pub total: Money,
    /// How far it has come.
    pub status: Status,
    /// The price agreed, with tax, once there is one.
    pub agreed: Option<Money>,
    /// When it was last priced.
    pub priced_at: Timestamp,
    /// When the client's yes or no was told.
    pub decided_at: Option<Timestamp>,
    /// When it is to start.
    pub planned: Option<Timestamp>,
    /// Its place among the jobs planned: that of the fact that fixed its day.
    pub planned_order: u64,
    /// When its day was fixed last.
    pub planned_at: Option<Timestamp>,
    /// How often its day was fixed.
    pub planned_times: u32,
    /// Who said last that the crew was there.
    pub clocked_by: Option<MemberId>,
    /// Money that came in for it.
    pub payments: Vec<Payment>,
    /// What was let go of the price, with tax.
    pub let_go: Money,
    /// Its clock, once the crew was there.
    pub clock: Option<Clock>,
    /// How it went.
    pub finish: Option<Finish>,
    /// Why it was lost.
    pub lost: Option<Loss>,
    /// Words kept with it.
    pub notes: Vec<String>,
    /// Photos and other files kept with it.
    pub files: Vec<FileId>,
    /// What went between us and the client about it.
    pub client: Client,
    /// What the price is made of, worked out when it was given; `None` when it cannot be.
    pub(super) worth: Option<Arc<Worth>>,
    /// What each line of a finished job earned and took.
    pub(super) shares: Arc<[Share]>,
}

/// What went between us and the client about a quote.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Client {
    /// The links that were given out, oldest first.
    pub links: Vec<ClientLink>,
    /// The client's yes.
    pub accepted: Option<ClientWords>,
    /// What the client asked, oldest first.
    pub asked: Vec<ClientWords>,
}

/// A link under which the client sees the quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClientLink {
    /// Hash of its secret.
    pub hash: String,
    /// What was offered under it.
    pub offer: ClientOffer,
    /// Whether it was shut.
    pub shut: bool,
}

/// What a client is told beside the quote itself; it stays as it was when the link was given out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClientOffer {
    /// Until when it stands.
    pub until: Timestamp,
    /// Terms of the owner's own, with semicolons between lines; `None` for the usual ones.
    pub terms: Option<String>,
    /// What is not in the price beside the usual, with semicolons between lines.
    pub not_included: Option<String>,
}

/// What a client said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClientWords {
    /// The name given.
    pub name: String,
    /// When.
    pub at: Timestamp,
    /// The words; none for a plain yes.
    pub words: String,
}

/// What a price is made of, before tax.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Worth {
    /// The price.
    pub before_tax: Money,
    /// Material in it.
    pub materials: Money,
    /// Fees in it.
    pub fees: Money,
    /// Man-minutes in it.
    pub man_minutes: ManMinutes,
    /// Each line's part, in the order of the sheet.
    pub lines: Vec<LineWorth>,
}

/// What a line brings to a price.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LineWorth {
    /// Its price less the material in it.
    pub price: Money,
    /// Its man-minutes.
    pub man_minutes: ManMinutes,
}

/// Money that came in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Payment {
    /// How much.
    pub amount: Money,
    /// How, as said.
    pub method: Option<String>,
    /// When it was told.
    pub at: Timestamp,
}

/// How a job went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finish {
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
    /// What was done beyond the quote and is not billed, before tax.
    pub extra: Money,
    /// What was added to the price for extra work, before tax.
    pub billed: Money,
}

/// Why a quote was lost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loss {
    /// As said.
    pub reason: Option<String>,
    /// The price that it was lost at or to.
    pub price: Option<Money>,
}

impl QuoteEntry {
    /// What it comes to now, with tax: the price agreed, or the total sent.
    pub fn price(&self) -> Money {
        self.agreed.unwrap_or(self.total)
    }

    /// What was paid.
    pub fn paid(&self) -> Money {
        Money::checked_sum(self.payments.iter().map(|payment| payment.amount)).unwrap_or(Money::ZERO)
    }

    /// What is still to come; nothing when more was paid than asked.
    pub fn owed(&self) -> Money {
        let asked = self.price().checked_sub(self.let_go).unwrap_or(Money::ZERO);
        asked.checked_sub(self.paid()).unwrap_or(Money::ZERO).max(Money::ZERO)
    }

    /// What its price is made of; `None` when it cannot be worked out.
    pub fn worth(&self) -> Option<&Worth> {
        self.worth.as_deref()
    }

    /// Man-minutes worked and dollars earned of each line of a finished job, in the order of the sheet.
    pub fn line_parts(&self) -> Vec<(Decimal, Decimal)> {
        self.shares.iter().map(Share::figures).collect()
    }

    /// What each line of a finished job earned and took.
    pub(super) fn shares(&self) -> &[Share] {
        &self.shares
    }

    /// The price before tax, with extra work that was billed.
    pub fn revenue(&self) -> Option<Money> {
        let billed = self.finish.as_ref().map_or(Money::ZERO, |finish| finish.billed);
        self.worth()?.before_tax.checked_add(billed).ok()
    }

    /// What the work itself brings: the price before tax less material and fees.
    pub fn earned(&self) -> Option<Money> {
        let worth = self.worth()?;
        let passed_on = worth.materials.checked_add(worth.fees).ok()?;
        self.revenue()?.checked_sub(passed_on).ok()
    }

    /// The rate made: (price before tax - materials - fees) x 60 / man-minutes worked. `None` before the finish.
    pub fn rate_made(&self) -> Option<RateMade> {
        let finish = self.finish.as_ref()?;
        self.earned()?.checked_per_man_hour(finish.man_minutes).ok()
    }

    /// The rate that the price makes if the work takes as long as quoted.
    pub fn rate_quoted(&self) -> Option<RateMade> {
        let worth = self.worth()?;
        let passed_on = worth.materials.checked_add(worth.fees).ok()?;
        let earned = worth.before_tax.checked_sub(passed_on).ok()?;
        earned.checked_per_man_hour(worth.man_minutes).ok()
    }

    /// When the work ended, or else when it is meant to start, or else when the quote was made.
    pub fn day(&self) -> Timestamp {
        let ended = self.finish.as_ref().map(|finish| finish.ended);
        ended.or(self.planned).unwrap_or(self.given_at)
    }

    /// Man-minutes in the quote.
    pub fn quoted_man_minutes(&self) -> ManMinutes {
        self.worth().map_or(ManMinutes::ZERO, |worth| worth.man_minutes)
    }

    /// People: those who did it, or those that it is priced for.
    pub fn crew(&self) -> Crew {
        let on_site = self.clock.as_ref().and_then(Clock::crew);
        let done = self.finish.as_ref().map(|finish| finish.crew);
        done.or(on_site).unwrap_or(self.sheet.crew)
    }
}

impl QuoteEntry {
    /// What goes between us and the client.
    pub(super) fn hear_client(&mut self, recorded: &Recorded) {
        let said = |name: &str, words: &str| ClientWords {
            name: name.to_string(),
            at: recorded.at,
            words: words.to_string(),
        };
        match &recorded.event {
            Event::ClientLinkGiven { hash, offer, .. } => self.client.links.push(ClientLink {
                hash: hash.clone(),
                offer: offer.clone(),
                shut: false,
            }),
            Event::ClientLinksShut { .. } => self.client.links.iter_mut().for_each(|link| link.shut = true),
            Event::ClientAccepted { agreed, name, .. } => {
                self.win(*agreed);
                self.decided_at = Some(recorded.at);
                self.client.accepted = Some(said(name, ""));
            }
            Event::ClientAsked { name, words, .. } => self.client.asked.push(said(name, words)),
            _ => {}
        }
    }
}

impl Worth {
    /// What a sheet's price is made of; `None` when it cannot be priced.
    pub(super) fn of(sheet: &Sheet) -> Option<Arc<Worth>> {
        let priced = pricing::quote(sheet).ok()?;
        let line = |line: &pricing::QuoteLine| LineWorth {
            price: line.price.checked_sub(line.material).unwrap_or(Money::ZERO),
            man_minutes: line.man_minutes,
        };
        Some(Arc::new(Worth {
            before_tax: priced.price_before_tax,
            materials: priced.materials,
            fees: priced.fees,
            man_minutes: priced.man_minutes,
            lines: priced.lines.iter().map(line).collect(),
        }))
    }
}

impl Status {
    /// The word for it in data.
    pub fn code(self) -> &'static str {
        match self {
            Status::Open => "open",
            Status::Won => "won",
            Status::Here => "here",
            Status::Paused => "paused",
            Status::Done => "done",
            Status::Lost => "lost",
        }
    }

    /// Whether the crew is at it.
    pub fn is_running(self) -> bool {
        matches!(self, Status::Here | Status::Paused)
    }

    /// Whether work can still be done on it.
    pub fn is_active(self) -> bool {
        !matches!(self, Status::Done | Status::Lost)
    }
}
