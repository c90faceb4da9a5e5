//! What does a person see in a browser?
//!
//! Plain values in, HTML out: no clock, no disk, no request. Templates lie in `templates/` and are checked when the crate
//! is compiled; everything put into them is escaped unless a template says otherwise, and none does for text that a person
//! wrote. Pages work without script; `assets/` holds what makes them nicer.
//!
//! The look is made of the things of the work: ledger paper, a plant tag for what was said, pencil tallies, twine.

mod assets;
mod chat;
mod client;
mod dates;
mod problem;
mod tally;

pub use assets::{Asset, asset};
pub use chat::{ChatPage, Entry, Notice};
pub use client::{ClientNotice, ClientPage};
pub use problem::ProblemPage;
