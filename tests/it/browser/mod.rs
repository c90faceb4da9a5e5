//! The pages in a real browser: headless Chromium, driven over WebDriver, at the size of a phone and of a desk.
//!
//! Runs where `chromium` and `chromedriver` are installed (`.ci/run` sees to that) and says so where they are not. The
//! network between browser and house is a relay of the test's own, which can be cut, also in the middle of an answer.
//! Accessibility is judged by axe-core (Deque Systems, MPL-2.0, its rules tagged WCAG 2.x A and AA and best practice),
//! when `.ci/run` has put it into `target/axe`.

mod chrome;
mod house;
mod keys;
mod looks;
mod others;
mod season;
mod story;

use std::io::Write;

/// A word about what was not tested. Written past the capture of the test runner: a test that did nothing has to say so.
fn skipped(what: &str, why: &str) {
    // Without a terminal there is nobody to tell.
    let _ = writeln!(std::io::stderr(), "SKIPPED {what}: {why}");
}

#[test]
fn a_day_on_a_phone() {
    story::tell(&chrome::PHONE);
}

#[test]
fn a_day_at_a_desk() {
    story::tell(&chrome::DESK);
}

#[test]
fn a_day_without_a_mouse() {
    keys::tell(&chrome::DESK);
}

#[test]
fn a_season_on_a_phone() {
    season::look_through(&chrome::PHONE);
}

#[test]
fn a_season_at_a_desk() {
    season::look_through(&chrome::DESK);
}

#[test]
fn others_on_a_phone() {
    others::tell(&chrome::PHONE);
}

#[test]
fn others_at_a_desk() {
    others::tell(&chrome::DESK);
}
