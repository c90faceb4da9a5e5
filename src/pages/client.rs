//! What a client sees of a quote: one card that says what is done, what is not, and what it comes to.
//!
//! It holds words only, made elsewhere; no minutes, no rates. It works without script and prints on one sheet.

use askama::Template;

use super::assets::{Links, links};

/// The page of a client.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClientPage {
    /// Path of the page; the forms post below it.
    pub base: String,
    /// Who offers.
    pub business: String,
    /// What it is, and where.
    pub title: String,
    /// What is done.
    pub scope: Vec<String>,
    /// What goes with it.
    pub included: Vec<String>,
    /// What does not.
    pub not_included: Vec<String>,
    /// What the total is made of, when that needs saying.
    pub sums: Vec<(String, String)>,
    /// What is to be paid.
    pub total: String,
    /// Days, payment and what else is agreed.
    pub terms: Vec<String>,
    /// Until when it stands, or what became of it.
    pub standing: String,
    /// Whether it can be accepted.
    pub open: bool,
    /// Whether it was accepted here.
    pub accepted: bool,
    /// The total as a figure, which a yes carries back.
    pub seen: String,
    /// News.
    pub notice: Option<ClientNotice>,
}

/// News for a client.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClientNotice {
    /// The price is another than the one that was accepted.
    Changed,
    /// A question is on its way.
    Asked,
    /// A name, or the words, were missing.
    NoName,
}

#[derive(Template)]
#[template(path = "client.html", config = "src/pages/askama.toml")]
struct View<'a> {
    links: Links,
    page: &'a ClientPage,
    notice: Option<&'static str>,
}

impl ClientPage {
    /// The page.
    pub fn html(&self) -> String {
        View {
            links: links(),
            page: self,
            notice: self.notice.map(words),
        }
        .render()
        .expect("writing to a string does not fail")
    }
}

fn words(notice: ClientNotice) -> &'static str {
    match notice {
        ClientNotice::Changed => "The price has changed since you opened this page. Please look at it once more.",
        ClientNotice::Asked => "Your question is on its way.",
        ClientNotice::NoName => "Please write your name, and your question if you have one.",
    }
}
