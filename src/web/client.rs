//! The page of a client: what is offered, a yes, a question. Whoever has the link is the client; nobody signs in.
//!
//! A link that was never given out, one that was shut and one that a client mistyped look alike. Opening the page changes
//! nothing, so a preview by a messenger accepts nothing. A yes carries the total that was on the page, and is one message
//! however often it is sent.

use axum::{
    Router,
    extract::{FromRequestParts, Path, Query, Request, State},
    http::{HeaderName, HeaderValue, header, request::Parts},
    response::{Html, IntoResponse, Redirect, Response},
    routing::{get, post},
};
use serde::Deserialize;

use super::{
    Deps, body,
    guess::Caller,
    status::{Problem, problem_page, store_problem},
    token,
};
use crate::{
    conversation::{CLIENT_CHANNEL, ClientQuote, ClientSaid, Standing, link_hash},
    pages::{ClientNotice, ClientPage},
    replies,
    store::Delivery,
    units::{AccountId, Timestamp},
};

/// Largest form of a client, in bytes.
const FORM_BYTES_MAX: usize = 16 * 1024;

/// Longest name, in letters.
const NAME_CHARS_MAX: usize = 80;

/// Longest question, in letters.
const WORDS_CHARS_MAX: usize = 1000;

pub(super) fn router() -> Router<Deps> {
    Router::new()
        .route("/q/{token}", get(show))
        .route("/q/{token}/text", get(text))
        .route("/q/{token}/yes", post(accept))
        .route("/q/{token}/ask", post(ask))
}

/// A client with a link that is good.
struct Client {
    token: String,
    account: AccountId,
    quote: ClientQuote,
    now: Timestamp,
}

impl FromRequestParts<Deps> for Client {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, deps: &Deps) -> Result<Self, Response> {
        let Ok(caller) = Caller::from_request_parts(parts, deps).await;
        let now = deps.clock.now();
        let token = Path::<String>::from_request_parts(parts, deps).await;
        let found = match token {
            Ok(Path(token)) => look_up(deps, token, now).await,
            Err(_) => Ok(None),
        };
        match found.map_err(|failure| store_problem(&failure).into_response())? {
            Some(client) => Ok(client),
            None if deps.guesses.allows(caller, now) => {
                deps.guesses.miss(caller, now);
                Err(problem_page(Problem::ClientLinkUnknown))
            }
            None => Err(problem_page(Problem::TooManyTries)),
        }
    }
}

async fn look_up(deps: &Deps, token: String, now: Timestamp) -> Result<Option<Client>, crate::store::Error> {
    let hash = link_hash(&token);
    let Some(account) = deps.store.of_client_link(hash.clone()).await? else {
        return Ok(None);
    };
    let state = deps.store.state(account).await?;
    let book = state.book();
    let quote = book
        .quote_of_client_link(&hash)
        .and_then(|(entry, link)| ClientQuote::of(book, entry, &link.offer, deps.zone, now));
    Ok(quote.map(|quote| Client {
        token,
        account,
        quote,
        now,
    }))
}

#[derive(Deserialize)]
struct Came {
    n: Option<String>,
}

async fn show(client: Client, Query(came): Query<Came>) -> Response {
    let notice = match came.n.as_deref() {
        Some("late") if client.quote.standing == Standing::Open => Some(ClientNotice::Changed),
        Some("asked") => Some(ClientNotice::Asked),
        Some("name") => Some(ClientNotice::NoName),
        _ => None,
    };
    let words = replies::client_words(&client.quote);
    let page = ClientPage {
        base: format!("/q/{}", client.token),
        business: words.business,
        title: words.title,
        scope: words.scope,
        included: words.included,
        not_included: words.not_included,
        sums: words.sums,
        total: words.total,
        terms: words.terms,
        standing: words.standing,
        open: client.quote.standing == Standing::Open,
        accepted: matches!(client.quote.standing, Standing::Accepted(_)),
        seen: client.quote.total.get().to_string(),
        notice,
    };
    private(Html(page.html()).into_response())
}

async fn text(client: Client) -> Response {
    let words = format!("{}\n", replies::client_text(&client.quote));
    private(([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], words).into_response())
}

/// Kept out of search engines, and the address out of what other sites are told.
fn private(mut response: Response) -> Response {
    let headers = response.headers_mut();
    headers.insert(
        HeaderName::from_static("x-robots-tag"),
        HeaderValue::from_static("noindex, nofollow"),
    );
    headers.insert(header::REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    response
}

#[derive(Deserialize)]
struct YesForm {
    name: String,
    total: String,
}

#[derive(Deserialize)]
struct AskForm {
    name: String,
    words: String,
}

/// Reads a small form.
async fn form<T: serde::de::DeserializeOwned>(request: Request) -> Result<T, Response> {
    let (parts, raw) = request.into_parts();
    let body = body::read(raw, FORM_BYTES_MAX).await.map_err(|refused| match refused {
        body::Refused::TooLarge => problem_page(Problem::TooLarge),
        body::Refused::Broken => problem_page(Problem::BadForm),
    })?;
    let request = Request::from_parts(parts, axum::body::Body::from(body));
    let read = <axum::Form<T> as axum::extract::FromRequest<()>>::from_request(request, &()).await;
    read.map(|axum::Form(form)| form)
        .map_err(|_| problem_page(Problem::BadForm))
}

async fn accept(State(deps): State<Deps>, client: Client, request: Request) -> Response {
    let form: YesForm = match form(request).await {
        Ok(form) => form,
        Err(refusal) => return refusal,
    };
    let Some(name) = named(&form.name) else {
        return back(&client.token, "name");
    };
    let Ok(total) = form.total.parse() else {
        return problem_page(Problem::BadForm);
    };
    if client.quote.standing != Standing::Open {
        return back(&client.token, "late");
    }
    let no = client.quote.no;
    let said = ClientSaid::Accept { no, total, name };
    // Who signs does not matter: the same offer is accepted once.
    let key = token::message_key(&client.token, &format!("yes {no} {}", form.total));
    let was_late = client.quote.total != total;
    match tell(&deps, &client, &said, key).await {
        Ok(()) if was_late => back(&client.token, "late"),
        Ok(()) => back(&client.token, "yes"),
        Err(refusal) => refusal,
    }
}

async fn ask(State(deps): State<Deps>, client: Client, request: Request) -> Response {
    let form: AskForm = match form(request).await {
        Ok(form) => form,
        Err(refusal) => return refusal,
    };
    let words: String = form.words.trim().chars().take(WORDS_CHARS_MAX).collect();
    let Some(name) = named(&form.name).filter(|_| !words.is_empty()) else {
        return back(&client.token, "name");
    };
    let key = token::message_key(&client.token, &format!("ask {words}"));
    let said = ClientSaid::Ask {
        no: client.quote.no,
        name,
        words,
    };
    match tell(&deps, &client, &said, key).await {
        Ok(()) => back(&client.token, "asked"),
        Err(refusal) => refusal,
    }
}

fn named(name: &str) -> Option<String> {
    let name: String = name
        .trim()
        .chars()
        .filter(|letter| !letter.is_control())
        .take(NAME_CHARS_MAX)
        .collect();
    (!name.is_empty()).then_some(name)
}

/// Back to the page; what was said is told there.
fn back(token: &str, news: &str) -> Response {
    Redirect::to(&format!("/q/{token}?n={news}#news")).into_response()
}

/// Puts what the client said into the book, as a message to the owner.
async fn tell(deps: &Deps, client: &Client, said: &ClientSaid, key: String) -> Result<(), Response> {
    let failed = |failure: crate::store::Error| store_problem(&failure).into_response();
    let owner = deps.store.owner(client.account).await.map_err(failed)?;
    let delivery = Delivery {
        account: client.account,
        member: owner.id,
        id: deps.ids.inbound(),
        channel: CLIENT_CHANNEL.to_string(),
        external_id: key,
        text: said.to_text(),
        heard: None,
        answer_to: None,
        sent_at: None,
        media: Vec::new(),
        at: client.now,
    };
    deps.store.take(delivery).await.map_err(failed)?;
    Ok(())
}
