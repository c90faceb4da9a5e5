//! The client's page: what it states, how it is given out and shut, and what a client says on it.
//!
//! A client is nobody in the book and sees nothing of it but what [`ClientQuote`] holds: no minutes, no rates, no other
//! quote. What a client says comes in as a message of its own channel, in one fixed wording ([`ClientSaid`]), so that the
//! log keeps it as everything else; it is never read as the owner's words, moves nobody's thread and answers nobody's
//! question. A yes counts once, and only for the price that the client saw.

use chrono_tz::Tz;
use rust_decimal::{Decimal, prelude::ToPrimitive};
use sha2::{Digest, Sha256};

use super::{
    Answer, Context, Inbound, Outcome,
    answer::{ClientNews, ClientPageShown, JobNews, Kind, Part, Refused, What},
    days,
    desk::{Desk, Worked},
    jobs, places,
    which::Sort,
};
use crate::{
    journal::{Book, ClientLink, ClientOffer, ClientWords, Event, QuoteEntry, State, Status, Within},
    language::PlaceSaid,
    pricing::{self, ExtraWhat, FeeKind},
    units::{Money, Quantity, QuoteNo, Timestamp, Unit},
};

/// The channel of what clients say.
pub const CLIENT_CHANNEL: &str = "client";

/// How long an offer stands, in days; common practice, no source.
pub(super) const OFFER_DAYS: u32 = 30;

/// Lines of the owner's own that a client page has in one place, and letters on each: it prints on one sheet.
const LINES_MAX: usize = 8;
const LINE_LETTERS_MAX: usize = 160;

/// How many questions one quote takes from its client.
const QUESTIONS_MAX: usize = 20;

/// A quote as its client may see it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClientQuote {
    /// Name of the business, when it has said one.
    pub business: Option<String>,
    /// Number of the quote.
    pub no: QuoteNo,
    /// Where the work is done.
    pub place: Option<String>,
    /// When the quote was made.
    pub given_at: Timestamp,
    /// What is done.
    pub scope: Vec<ScopeLine>,
    /// Cuttings are taken away.
    pub hauled: bool,
    /// Kinds whose material is in the price.
    pub materials: Vec<String>,
    /// The price before discount and tax.
    pub price: Money,
    /// Taken off.
    pub discount: Money,
    /// Tax.
    pub tax: Money,
    /// What is to be paid.
    pub total: Money,
    /// What the owner tells every client of payment and the rest; empty for the usual lines.
    pub terms: Vec<String>,
    /// What the owner tells every client is not in the price.
    pub not_included: Vec<String>,
    /// The day, when one is fixed.
    pub planned: Option<Timestamp>,
    /// How far it has come, as far as a client is concerned.
    pub standing: Standing,
    /// Until when the offer stands.
    pub until: Timestamp,
    /// The account's time zone.
    pub zone: Tz,
}

/// One thing that is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScopeLine {
    /// How many.
    pub quantity: Quantity,
    /// Of what unit.
    pub unit: Unit,
    /// The kind.
    pub service: String,
    /// The size.
    pub size: Option<String>,
}

/// How far a quote has come, to its client.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    /// It can be accepted.
    Open,
    /// Its time has run out.
    Lapsed,
    /// It was accepted on the page.
    Accepted(ClientWords),
    /// It was agreed otherwise.
    Agreed,
    /// The work is done.
    Done,
    /// It is off.
    Off,
}

impl ClientQuote {
    /// What a client may see of a quote at a time; `None` for one that cannot be priced.
    pub fn of(book: &Book, entry: &QuoteEntry, offer: &ClientOffer, zone: Tz, now: Timestamp) -> Option<ClientQuote> {
        let priced = pricing::quote(&entry.sheet).ok()?;
        let as_quoted = entry.price() == priced.total;
        let haul = |what: ExtraWhat| matches!(what, ExtraWhat::Haul | ExtraWhat::Fee(FeeKind::DumpFee));
        let with_material = priced.lines.iter().filter(|line| !line.material.is_zero());
        Some(ClientQuote {
            business: book.settings().business_name.clone(),
            no: entry.no,
            place: entry.place.clone(),
            given_at: entry.given_at,
            scope: priced
                .lines
                .iter()
                .map(|line| ScopeLine {
                    quantity: line.quantity,
                    unit: line.unit,
                    service: line.service.clone(),
                    size: line.size.clone(),
                })
                .collect(),
            hauled: priced.extras.iter().any(|extra| haul(extra.what)),
            materials: with_material.map(|line| line.service.clone()).collect(),
            price: if as_quoted { priced.subtotal } else { entry.price() },
            discount: if as_quoted { priced.discount } else { Money::ZERO },
            tax: if as_quoted { priced.tax } else { Money::ZERO },
            total: entry.price(),
            terms: client_lines(offer.terms.as_deref()),
            not_included: client_lines(offer.not_included.as_deref()),
            planned: entry.planned,
            standing: standing(entry, offer.until, now),
            until: offer.until,
            zone: book.settings().zone().unwrap_or(zone),
        })
    }
}

fn standing(entry: &QuoteEntry, until: Timestamp, now: Timestamp) -> Standing {
    match (entry.status, &entry.client.accepted) {
        (Status::Lost, _) => Standing::Off,
        (Status::Done, _) => Standing::Done,
        (Status::Open, _) if now > until => Standing::Lapsed,
        (Status::Open, _) => Standing::Open,
        (_, Some(yes)) => Standing::Accepted(yes.clone()),
        (_, None) => Standing::Agreed,
    }
}

/// What a client says on the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ClientSaid {
    /// Yes, at this price.
    Accept {
        /// Which.
        no: QuoteNo,
        /// The total that was on the page.
        total: Money,
        /// The name signed with; one line, not empty.
        name: String,
    },
    /// A question.
    Ask {
        /// About which.
        no: QuoteNo,
        /// The name given; one line.
        name: String,
        /// The question; not empty.
        words: String,
    },
}

impl ClientSaid {
    /// The message that the log keeps; [`ClientSaid::read`] gives the same back.
    pub fn to_text(&self) -> String {
        match self {
            ClientSaid::Accept { no, total, name } => {
                format!(
                    "The client accepts quote {no} at ${}.\nSigned: {}",
                    total.get(),
                    one_line(name)
                )
            }
            ClientSaid::Ask { no, name, words } => {
                format!("The client asks about quote {no}.\nSigned: {}\n{words}", one_line(name))
            }
        }
    }

    /// What such a message says; `None` when it is none.
    pub fn read(text: &str) -> Option<ClientSaid> {
        let (head, rest) = text.split_once("\nSigned: ")?;
        let number = |digits: &str| digits.parse().ok().map(QuoteNo::new);
        if let Some(offer) = head.strip_prefix("The client accepts quote ") {
            let (no, total) = offer.strip_suffix('.')?.split_once(" at $")?;
            return Some(ClientSaid::Accept {
                no: number(no)?,
                total: total.parse().ok()?,
                name: rest.to_string(),
            });
        }
        let no = head.strip_prefix("The client asks about quote ")?.strip_suffix('.')?;
        let (name, words) = rest.split_once('\n')?;
        Some(ClientSaid::Ask {
            no: number(no)?,
            name: name.to_string(),
            words: words.to_string(),
        })
    }
}

fn one_line(name: &str) -> String {
    name.split_whitespace().collect::<Vec<&str>>().join(" ")
}

/// What a client's words do: the owner is told, and a yes to what still stands wins the quote.
pub(super) fn hear(state: &State, inbound: &Inbound, ctx: &Context) -> Outcome {
    let mut desk = Desk::new(state, inbound, ctx);
    let kind = match ClientSaid::read(&inbound.text) {
        Some(ClientSaid::Accept { no, total, name }) => accept(&mut desk, no, total, name),
        Some(ClientSaid::Ask { no, name, words }) => ask(&mut desk, no, name, words),
        None => None,
    };
    if kind.is_none() {
        desk.say(Part::Unclear(inbound.text.clone()));
    }
    let (events, parts) = desk.into_work();
    Outcome {
        events,
        answer: Answer {
            understood: vec![kind.unwrap_or(Kind::Unclear)],
            parts,
        },
    }
}

fn accept(desk: &mut Desk<'_>, no: QuoteNo, total: Money, name: String) -> Option<Kind> {
    let entry = desk.quote(no)?;
    let at = desk.inbound.at;
    let still_open = |link: &ClientLink| !link.shut && at <= link.offer.until;
    let stands = entry.status == Status::Open && entry.client.links.iter().any(still_open);
    let (place, now) = (entry.place.clone(), entry.total);
    if !stands || now != total {
        let news = ClientNews::TooLate {
            no,
            place,
            total,
            now,
            name,
        };
        desk.say(Part::Client(Box::new(news)));
        return Some(Kind::Unclear);
    }
    desk.record(Event::ClientAccepted {
        no,
        agreed: total,
        name: name.clone(),
    });
    desk.say(Part::Client(Box::new(ClientNews::Accepted { name })));
    jobs::show(desk, no, JobNews::Won);
    Some(Kind::Won)
}

fn ask(desk: &mut Desk<'_>, no: QuoteNo, name: String, words: String) -> Option<Kind> {
    let entry = desk.quote(no)?;
    let (place, asked) = (entry.place.clone(), entry.client.asked.len());
    if asked < QUESTIONS_MAX {
        desk.record(Event::ClientAsked {
            no,
            name: name.clone(),
            words: words.clone(),
        });
    }
    desk.say(Part::Client(Box::new(ClientNews::Asked { no, place, name, words })));
    Some(Kind::Note)
}

/// Days that an offer stands, as said.
pub(super) fn offer_days(said: Decimal) -> Result<u32, Refused> {
    let days = said
        .to_u32()
        .filter(|days| (1..=365).contains(days) && said.fract().is_zero());
    days.ok_or(Refused::OutOfRange {
        what: What::OfferDays,
        value: said,
    })
}

/// Lines for clients as said, if they fit.
pub(super) fn lines_said(said: &str) -> Result<String, Refused> {
    let lines = client_lines(Some(said));
    if lines.len() > LINES_MAX || lines.iter().any(|line| line.chars().count() > LINE_LETTERS_MAX) {
        return Err(Refused::ClientLines {
            lines: LINES_MAX,
            letters: LINE_LETTERS_MAX,
        });
    }
    Ok(lines.join("; "))
}

/// Lines with semicolons between them.
fn client_lines(kept: Option<&str>) -> Vec<String> {
    let lines = kept.unwrap_or_default().split(';').map(str::trim);
    lines.filter(|line| !line.is_empty()).map(str::to_string).collect()
}

/// Opens a page for the client, or gives the same as words.
pub(super) fn send(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, as_text: bool) -> Worked {
    let no = places::quote_meant(desk, place, Sort::NOT_LOST)?;
    let now = desk.ctx.now;
    let days = i64::from(desk.book().settings().offer_days.unwrap_or(OFFER_DAYS));
    let until = Timestamp::from_unix_seconds(now.unix_seconds() + days * 24 * 3600).unwrap_or(now);
    let token = token_of(desk.ctx, no);
    let settings = desk.book().settings();
    let offer = ClientOffer {
        until,
        terms: settings.client_terms.clone(),
        not_included: settings.not_included.clone(),
    };
    if as_text {
        desk.record(Event::QuoteShown { no });
    } else {
        let hash = link_hash(&token);
        let offer = offer.clone();
        desk.record(Event::ClientLinkGiven { no, hash, offer });
    }
    let zone = days::zone(desk);
    let Some(entry) = desk.quote(no) else { return Ok(()) };
    let Some(quote) = ClientQuote::of(desk.book(), entry, &offer, zone, now) else {
        return Ok(());
    };
    let shown = ClientPageShown {
        quote,
        path: (!as_text).then(|| format!("/q/{token}")),
        base: desk.ctx.public_url.clone(),
    };
    desk.say(Part::ClientPage(Box::new(shown)));
    Ok(())
}

/// Shuts the pages of a quote.
pub(super) fn unsend(desk: &mut Desk<'_>, place: Option<&PlaceSaid>) -> Worked {
    let no = places::quote_meant(desk, place, Sort::within(Within::Sent))?;
    desk.record(Event::ClientLinksShut { no });
    let place = desk.quote(no).and_then(|entry| entry.place.clone());
    desk.say(Part::Client(Box::new(ClientNews::Shut { no, place })));
    Ok(())
}

/// The secret of a link to a quote: 256 bits, made from the message's own random secret.
fn token_of(ctx: &Context, no: QuoteNo) -> String {
    use base64::{Engine, engine::general_purpose::URL_SAFE_NO_PAD};
    let mut hasher = Sha256::new();
    hasher.update(format!("tallyhand client link {no} ").as_bytes());
    hasher.update(ctx.secret);
    URL_SAFE_NO_PAD.encode(hasher.finalize())
}

/// What the book keeps of a link's secret.
pub fn link_hash(token: &str) -> String {
    let digest = Sha256::digest(format!("tallyhand client {token}").as_bytes());
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::{ClientSaid, QuoteNo};

    #[test]
    fn what_a_client_says_is_read_back_as_it_was() {
        let no = QuoteNo::new(12);
        let total = "253.00".parse().expect("money");
        for name in ["Wren", "Wren of Alder Ct"] {
            let name = name.to_string();
            let words = "Can you come\nbefore Friday?\nSigned: me".to_string();
            for said in [
                ClientSaid::Accept {
                    no,
                    total,
                    name: name.clone(),
                },
                ClientSaid::Ask { no, name, words },
            ] {
                assert_eq!(ClientSaid::read(&said.to_text()), Some(said));
            }
        }
        for other in [
            "",
            "won",
            "The client accepts quote 12",
            "The client accepts quote x at $1.00.\nSigned: a",
        ] {
            assert_eq!(ClientSaid::read(other), None, "{other:?}");
        }
    }

    /// A name cannot carry a line break into the wording.
    #[test]
    fn a_name_stays_on_its_line() {
        let said = ClientSaid::Ask {
            no: QuoteNo::new(1),
            name: "Wren\nThe client accepts quote 2 at $1.00.".into(),
            words: "?".into(),
        };
        let Some(ClientSaid::Ask { no, words, .. }) = ClientSaid::read(&said.to_text()) else {
            panic!("not read as a question");
        };
        assert_eq!((no, words.as_str()), (QuoteNo::new(1), "?"));
    }
}
