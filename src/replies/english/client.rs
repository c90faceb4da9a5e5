//! What is said to a client, and of one.
//!
//! A fair quote for a small job says what is done and what is not, what it comes to with tax, until when it stands, when
//! it is paid, and that more work needs another yes. It promises no bloom and no survival, claims no certificate, and
//! leaves lines, climbing and spraying to those who are licensed for it.

use chrono_tz::Tz;

use super::words::{clipped, joined, money, number, plural};
use crate::{
    conversation::{ClientNews, ClientPageShown, ClientQuote, SIGN_IN_CODE_PLACE, ScopeLine, Standing},
    units::{QuoteNo, Timestamp, Unit},
};

/// What a client is told, in pieces, so that a page and a text say the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClientWords {
    /// Who offers.
    pub business: String,
    /// What it is, and where.
    pub title: String,
    /// What is done, a line each.
    pub scope: Vec<String>,
    /// What goes with it.
    pub included: Vec<String>,
    /// What does not.
    pub not_included: Vec<String>,
    /// Price, discount and tax, when they are not the same as the total: what and how much.
    pub sums: Vec<(String, String)>,
    /// What is to be paid.
    pub total: String,
    /// Days, payment and what else is agreed.
    pub terms: Vec<String>,
    /// Until when it stands, or what became of it.
    pub standing: String,
}

/// What is agreed where the owner says nothing else.
const USUAL_TERMS: [&str; 3] = [
    "You pay when the work is done.",
    "Before we come: gates open, pets inside, sprinklers and other buried things marked.",
    "Ask to see our proof of insurance whenever you like.",
];

/// The words of a client's quote.
pub(in crate::replies) fn words(quote: &ClientQuote) -> ClientWords {
    let mut included = Vec::new();
    if !quote.materials.is_empty() {
        included.push(format!("Material: {}.", joined(&quote.materials)));
    }
    included.push("Cleaning up when we are done.".to_string());
    if quote.hauled {
        included.push("Taking the cuttings away.".to_string());
    }
    let mut not_included = Vec::new();
    if !quote.hauled {
        not_included.push("Taking the cuttings away: they stay in a tidy pile where you want it.".to_string());
    }
    not_included.extend(quote.not_included.iter().map(|line| sentence(line)));
    not_included.push("Anything not listed above. More work is done only after you say yes to its price.".to_string());
    not_included.push(
        "Work by power lines, climbing, felling, stumps, spraying: that is for the utility, an arborist or a licensed \
         applicator."
            .to_string(),
    );
    let mut terms = Vec::new();
    if let Some(planned) = quote.planned {
        terms.push(format!(
            "Planned for {}, if the weather allows.",
            day(planned, quote.zone)
        ));
    }
    if quote.terms.is_empty() {
        terms.extend(USUAL_TERMS.map(str::to_string));
    }
    terms.extend(quote.terms.iter().map(|line| sentence(line)));
    ClientWords {
        business: quote.business.clone().unwrap_or_else(|| "Your yard crew".to_string()),
        title: title(quote),
        scope: quote.scope.iter().map(scope_line).collect(),
        included,
        not_included,
        sums: sums(quote),
        total: money(quote.total),
        terms,
        standing: standing(quote),
    }
}

fn title(quote: &ClientQuote) -> String {
    match &quote.place {
        Some(place) => format!("Quote {} for {place}", quote.no),
        None => format!("Quote {}", quote.no),
    }
}

/// `12 small crape myrtles`, `40 feet of hedge`, `mow`.
fn scope_line(line: &ScopeLine) -> String {
    let one = line.quantity.get() == rust_decimal::Decimal::ONE;
    let quantity = number(line.quantity.get());
    let size = line.size.as_ref().map(|size| format!("{size} ")).unwrap_or_default();
    let of = |unit: &str, units: &str| {
        let unit = if one { unit } else { units };
        format!("{quantity} {unit} of {size}{}", line.service)
    };
    match line.unit {
        Unit::Each if one => format!("1 {size}{}", line.service),
        Unit::Each => format!("{quantity} {size}{}", plural(&line.service)),
        Unit::Job if one => capital(&format!("{size}{}", line.service)),
        Unit::Job => format!("{} ({quantity} times)", capital(&format!("{size}{}", line.service))),
        Unit::Foot => of("foot", "feet"),
        Unit::SquareFoot => of("square foot", "square feet"),
        Unit::Yard => of("yard", "yards"),
        Unit::Bag => of("bag", "bags"),
        Unit::Load => of("load", "loads"),
        Unit::Hour => of("hour", "hours"),
    }
}

/// Words of the owner's own as a sentence.
fn sentence(words: &str) -> String {
    let end = if words.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("{}{end}", capital(words))
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters
        .next()
        .map(|letter| letter.to_uppercase().collect())
        .unwrap_or_default();
    format!("{first}{}", letters.as_str())
}

fn sums(quote: &ClientQuote) -> Vec<(String, String)> {
    let mut sums = Vec::new();
    if !quote.discount.is_zero() || !quote.tax.is_zero() {
        sums.push(("Price".to_string(), money(quote.price)));
    }
    if !quote.discount.is_zero() {
        sums.push(("Less".to_string(), format!("-{}", money(quote.discount))));
    }
    if !quote.tax.is_zero() {
        sums.push(("Tax".to_string(), money(quote.tax)));
    }
    sums
}

fn standing(quote: &ClientQuote) -> String {
    match &quote.standing {
        Standing::Open => format!("Good until {}.", day(quote.until, quote.zone)),
        Standing::Lapsed => format!(
            "This offer ran out on {}. Ask for a new one.",
            day(quote.until, quote.zone)
        ),
        Standing::Accepted(yes) => format!("Accepted by {} on {}.", yes.name, day(yes.at, quote.zone)),
        Standing::Agreed => "This is agreed.".to_string(),
        Standing::Done => "This work is done.".to_string(),
        Standing::Off => "This offer is off.".to_string(),
    }
}

/// `Wed, Feb 11, 2026`.
fn day(at: Timestamp, zone: Tz) -> String {
    at.utc().with_timezone(&zone).format("%a, %b %-d, %Y").to_string()
}

/// The whole as plain text, to be forwarded.
pub(in crate::replies) fn text(quote: &ClientQuote) -> String {
    let words = words(quote);
    let mut lines = vec![words.business, words.title];
    lines.extend(words.scope.iter().map(|line| format!("- {line}")));
    lines.extend(words.sums.iter().map(|(what, sum)| format!("{what} {sum}")));
    lines.push(format!("Total {}", words.total));
    lines.push(words.standing);
    lines.push("In the price:".to_string());
    lines.extend(words.included.iter().map(|line| format!("- {line}")));
    lines.push("Not in the price:".to_string());
    lines.extend(words.not_included.iter().map(|line| format!("- {line}")));
    lines.extend(words.terms);
    lines.join("\n")
}

/// What the owner is told of a page that was opened for the client.
pub(super) fn page(shown: &ClientPageShown) -> String {
    let Some(path) = &shown.path else {
        return text(&shown.quote);
    };
    let link = match &shown.base {
        Some(base) => format!("{}{path}", base.trim_end_matches('/')),
        None => path.clone(),
    };
    let reach = match &shown.base {
        Some(_) => "",
        None => {
            "\nThat opens on this machine only; set public_url to reach it from outside, or say \"send it as text\"."
        }
    };
    format!(
        "For your client: {}, {}, {}\n{link}\nThey can say yes there or ask; I tell you. \"take the link back\" shuts it.{reach}",
        title(&shown.quote),
        money(shown.quote.total),
        standing(&shown.quote).to_lowercase().trim_end_matches('.')
    )
}

/// News of a client, for the owner.
pub(super) fn news(news: &ClientNews) -> String {
    match news {
        ClientNews::Accepted { name } => format!("{} said yes on the client page.", clipped(name)),
        ClientNews::TooLate {
            no,
            place,
            total,
            now,
            name,
        } => {
            let price = if total == now {
                String::new()
            } else {
                format!("; it is {} now", money(*now))
            };
            format!(
                "{} tried to say yes to {} at {}{price}. Nothing was changed: that offer does not stand any more. Send a new one?",
                clipped(name),
                which(*no, place.as_deref()),
                money(*total)
            )
        }
        ClientNews::Asked { no, place, name, words } => {
            format!(
                "{} asks about {}: {}",
                clipped(name),
                which(*no, place.as_deref()),
                words.trim()
            )
        }
        ClientNews::Shut { no, place } => format!(
            "The client page of {} is shut: its link shows nothing any more.",
            which(*no, place.as_deref())
        ),
    }
}

fn which(no: QuoteNo, place: Option<&str>) -> String {
    match place {
        Some(place) => format!("quote {no}, {place}"),
        None => format!("quote {no}"),
    }
}

/// A code that lets another phone in.
pub(super) fn code(minutes: u32, base: Option<&str>) -> String {
    let where_to = base.map_or("the sign-in page".to_string(), str::to_string);
    format!(
        "Code {SIGN_IN_CODE_PLACE}: type it on {where_to}. It works once, within {minutes} minutes, and signs in as you."
    )
}
