//! Which status does a problem get? One place for all of them.

use axum::{
    http::{StatusCode, header},
    response::{Html, IntoResponse, Response},
};

use crate::{
    channels::{TextRefused, signed},
    pages, store,
};

/// A problem that a person at the page meets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Problem {
    /// No session, or one that has run out.
    SignedOut,
    /// A sign-in link that is unknown, used or too old.
    LinkSpent,
    /// A form that does not belong to this session.
    ForeignForm,
    /// A form that cannot be read.
    BadForm,
    /// A body over the limit.
    TooLarge,
    /// The book is busy.
    Busy,
    /// Too many messages of one sender in a short time.
    TooFast,
    /// Something failed on our side.
    Failed,
    /// A code that is unknown, used or too old.
    CodeWrong,
    /// Too many wrong tries.
    TooManyTries,
    /// A client's link that shows nothing.
    ClientLinkUnknown,
    /// No such page.
    NotFound,
}

impl Problem {
    fn status(self) -> StatusCode {
        match self {
            Problem::SignedOut => StatusCode::UNAUTHORIZED,
            Problem::LinkSpent | Problem::ForeignForm | Problem::CodeWrong => StatusCode::FORBIDDEN,
            Problem::TooManyTries => StatusCode::TOO_MANY_REQUESTS,
            Problem::BadForm => StatusCode::BAD_REQUEST,
            Problem::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Problem::TooFast => StatusCode::TOO_MANY_REQUESTS,
            Problem::Busy => StatusCode::SERVICE_UNAVAILABLE,
            Problem::Failed => StatusCode::INTERNAL_SERVER_ERROR,
            Problem::NotFound | Problem::ClientLinkUnknown => StatusCode::NOT_FOUND,
        }
    }

    fn page(self) -> pages::ProblemPage {
        match self {
            Problem::SignedOut => pages::ProblemPage::SIGNED_OUT,
            Problem::LinkSpent => pages::ProblemPage::LINK_SPENT,
            Problem::ForeignForm => pages::ProblemPage::FOREIGN_FORM,
            Problem::BadForm => pages::ProblemPage::BAD_FORM,
            Problem::TooLarge => pages::ProblemPage::TOO_LARGE,
            Problem::Busy => pages::ProblemPage::BUSY,
            Problem::TooFast => pages::ProblemPage::TOO_FAST,
            Problem::Failed => pages::ProblemPage::FAILED,
            Problem::CodeWrong => pages::ProblemPage::CODE_WRONG,
            Problem::TooManyTries => pages::ProblemPage::TOO_MANY_TRIES,
            Problem::ClientLinkUnknown => pages::ProblemPage::CLIENT_LINK_UNKNOWN,
            Problem::NotFound => pages::ProblemPage::NOT_FOUND,
        }
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        problem_page(self)
    }
}

/// The page of a problem.
pub(super) fn problem_page(problem: Problem) -> Response {
    let mut response = (problem.status(), Html(problem.page().html())).into_response();
    if problem == Problem::Busy {
        response
            .headers_mut()
            .insert(header::RETRY_AFTER, header::HeaderValue::from_static("2"));
    }
    response
}

/// No such page.
pub(super) async fn nothing_here() -> Response {
    problem_page(Problem::NotFound)
}

/// A failure of the book, for a person. Detail goes to the log once, here.
pub(super) fn store_problem(failure: &store::Error) -> Problem {
    tracing::error!(error = failure as &dyn std::error::Error, "the book failed a page");
    match failure {
        store::Error::Busy | store::Error::QueueFull => Problem::Busy,
        _ => Problem::Failed,
    }
}

/// A refusal of a signed call: one line for the program that made it.
pub(super) fn signed_problem(refused: &signed::Error) -> Response {
    let status = match refused {
        signed::Error::Header(_) | signed::Error::OutOfWindow | signed::Error::Signature => StatusCode::UNAUTHORIZED,
        signed::Error::NotJson => StatusCode::BAD_REQUEST,
        signed::Error::Text(TextRefused::TooLong { .. }) => StatusCode::PAYLOAD_TOO_LARGE,
        signed::Error::NoMessage | signed::Error::OtherType | signed::Error::Text(TextRefused::Empty) => {
            StatusCode::UNPROCESSABLE_ENTITY
        }
    };
    line(status, &refused.to_string())
}

/// A failure of the book, for a program.
pub(super) fn signed_failure(failure: &store::Error) -> Response {
    if matches!(failure, store::Error::UnknownMember { .. }) {
        return line(StatusCode::FORBIDDEN, "that sender is not in this book");
    }
    let problem = store_problem(failure);
    let mut response = line(problem.status(), "the message was not taken; send it again in a moment");
    response
        .headers_mut()
        .insert(header::RETRY_AFTER, header::HeaderValue::from_static("2"));
    response
}

/// A sender's pace is over the limit, for a program.
pub(super) fn too_fast(wait_s: u64) -> Response {
    let words = format!("too many messages from this sender; send it again in {wait_s} s");
    let mut response = line(Problem::TooFast.status(), &words);
    response.headers_mut().insert(header::RETRY_AFTER, wait_s.into());
    response
}

/// One line of plain text.
pub(super) fn line(status: StatusCode, words: &str) -> Response {
    (
        status,
        [(header::CONTENT_TYPE, "text/plain; charset=utf-8")],
        format!("{words}\n"),
    )
        .into_response()
}
