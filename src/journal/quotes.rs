//! A quote and the job it becomes: one number, one entry of the book.

use rust_decimal::Decimal;

use super::event::{DoneLine, Event, Recorded};
use crate::{
    pricing::{self, Sheet},
    units::{Crew, FileId, ManMinutes, MemberId, Money, QuoteNo, RateMade, RoundingPolicy, Timestamp},
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
    /// When it is to start.
    pub planned: Option<Timestamp>,
    /// Money that came in for it.
    pub payments: Vec<Payment>,
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
    /// Until when the offer stands.
    pub until: Timestamp,
    /// Whether it was shut.
    pub shut: bool,
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

/// When the crew was at work.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Clock {
    /// People, when said on arriving.
    pub crew: Option<Crew>,
    /// The stretches of work, in order.
    pub stretches: Vec<Stretch>,
}

/// A stretch of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// When it began.
    pub from: Timestamp,
    /// When it ended; `None` while it goes on.
    pub to: Option<Timestamp>,
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
        self.price()
            .checked_sub(self.paid())
            .unwrap_or(Money::ZERO)
            .max(Money::ZERO)
    }

    /// The rate made: (price before tax - materials - fees) x 60 / man-minutes worked. `None` before the finish.
    pub fn rate_made(&self) -> Option<RateMade> {
        let finish = self.finish.as_ref()?;
        let priced = pricing::quote(&self.sheet).ok()?;
        let price = priced.price_before_tax.checked_add(finish.billed).ok()?;
        let passed_on = priced.materials.checked_add(priced.fees).ok()?;
        price
            .checked_sub(passed_on)
            .ok()?
            .checked_per_man_hour(finish.man_minutes)
            .ok()
    }

    /// Man-minutes in the quote.
    pub fn quoted_man_minutes(&self) -> ManMinutes {
        pricing::quote(&self.sheet).map_or(ManMinutes::ZERO, |priced| priced.man_minutes)
    }

    /// People: those who did it, or those that it is priced for.
    pub fn crew(&self) -> Crew {
        let on_site = self.clock.as_ref().and_then(|clock| clock.crew);
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
            Event::ClientLinkGiven { hash, until, .. } => self.client.links.push(ClientLink {
                hash: hash.clone(),
                until: *until,
                shut: false,
            }),
            Event::ClientLinksShut { .. } => self.client.links.iter_mut().for_each(|link| link.shut = true),
            Event::ClientAccepted { agreed, name, .. } => {
                self.win(*agreed);
                self.client.accepted = Some(said(name, ""));
            }
            Event::ClientAsked { name, words, .. } => self.client.asked.push(said(name, words)),
            _ => {}
        }
    }
}

impl Clock {
    /// Minutes on the clock up to a time, half up at the hundredth.
    pub fn minutes(&self, until: Timestamp) -> Decimal {
        let seconds: i64 = self
            .stretches
            .iter()
            .map(|stretch| stretch.to.unwrap_or(until).unix_seconds() - stretch.from.unix_seconds())
            .map(|seconds| seconds.max(0))
            .sum();
        RoundingPolicy::HalfUp.places(Decimal::from(seconds) / Decimal::from(60), 2)
    }

    /// Starts a stretch, unless one goes on.
    pub(super) fn start(&mut self, at: Timestamp) {
        if self.stretches.last().is_none_or(|stretch| stretch.to.is_some()) {
            self.stretches.push(Stretch { from: at, to: None });
        }
    }

    /// Ends the stretch that goes on.
    pub(super) fn stop(&mut self, at: Timestamp) {
        if let Some(stretch) = self.stretches.last_mut() {
            stretch.to.get_or_insert(at);
        }
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
