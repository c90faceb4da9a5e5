//! What does a person see in a browser?
//!
//! Plain values in, HTML out: no clock, no disk, no request. Templates lie in `templates/` and are checked when the crate
//! is compiled; everything put into them is escaped unless a template says otherwise, and none does for text that a person
//! wrote. Pages work without script; `assets/` holds what makes them nicer.
//!
//! The look is made of the things of the work: ledger paper, a plant tag for what was said, pencil tallies, twine.

mod assets;
mod book;
mod chat;
mod client;
mod dates;
mod entry;
mod figures;
mod nav;
mod problem;
mod quote_tag;
mod seasons;
mod sees;
mod settings;
mod tally;
mod times;
mod week;

pub use assets::{Asset, asset, fixed_asset};
pub use book::{BookAsked, BookPage, JobPage};
pub use chat::{ChatPage, Notice};
pub use client::{ClientNotice, ClientPage};
pub use dates::day_and_time;
pub use entry::{Entry, FileShown, Speaker};
pub use problem::ProblemPage;
pub use sees::Sees;
pub use settings::{PhoneShown, SettingsPage, StuckShown};
pub use times::TimesPage;
pub use week::WeekPage;
