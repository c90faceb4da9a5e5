//! The habits of the house, read out of its sources: floors, absences, headers, lengths, nothing dead.
//!
//! Each rule gives a list of complaints, `path: what is wrong`; a rule passes when its list is empty. The rules that need
//! to know what is code and what is comment or text work on [`source::code_only`].

mod rules;
mod source;

use source::{SourceFile, read_all};

/// Rust files of the program.
fn program() -> Vec<SourceFile> {
    read_all("src", "rs")
}

/// Rust files of the program and its tests.
fn everything() -> Vec<SourceFile> {
    let mut files = program();
    files.extend(read_all("tests", "rs"));
    files
}

#[track_caller]
fn check(complaints: &[String]) {
    assert!(complaints.is_empty(), "\n{}", complaints.join("\n"));
}

#[test]
fn parts_use_only_the_floors_below() {
    check(&rules::floors(&program()));
}

#[test]
fn pure_parts_name_nothing_impure() {
    check(&rules::absences(&program()));
}

#[test]
fn only_one_part_names_each_border_crate() {
    check(&rules::border_crates(&program()));
}

#[test]
fn money_never_meets_a_float() {
    check(&rules::floats(&program()));
}

#[test]
fn every_file_opens_with_what_it_is_for() {
    check(&rules::headers(&everything()));
}

#[test]
fn functions_fit_on_a_screen_and_files_hold_one_idea() {
    check(&rules::lengths(&everything()));
}

#[test]
fn nothing_is_left_undone() {
    check(&rules::leftovers(&everything()));
}

#[test]
fn imports_are_explicit() {
    check(&rules::imports(&everything()));
}

#[test]
fn sql_lives_in_files_that_say_what_they_answer() {
    check(&rules::sql(&program()));
}

#[test]
fn no_file_is_dead() {
    check(&rules::dead_files(&everything()));
}

#[test]
fn every_row_of_the_guide_has_its_source() {
    check(&rules::sourced_rows());
}

#[test]
fn the_developers_page_names_every_part() {
    check(&rules::named_parts(&program()));
}

#[test]
fn the_top_level_holds_only_what_it_should() {
    check(&rules::top_level());
}

/// A rule that finds nothing anywhere proves nothing: each is shown something that it has to find.
#[test]
fn every_rule_can_complain() {
    let file = |path: &str, text: &str| vec![SourceFile::new(path, text)];
    let header = "//! A header that says something.\n";
    let bad = |path: &str, text: &str| file(path, &format!("{header}{text}"));
    assert!(!rules::floors(&bad("src/pricing/x.rs", "use crate::{units::Money, store::Store};")).is_empty());
    assert!(!rules::floors(&bad("src/pricing/x.rs", "fn f() { crate::timing::go(); }")).is_empty());
    assert!(rules::floors(&bad("src/pricing/x.rs", "// crate::store\nuse crate::units::Money;")).is_empty());
    assert!(!rules::absences(&bad("src/language/x.rs", "use std::{fmt, fs};")).is_empty());
    assert!(!rules::absences(&bad("src/pages/x.rs", "async fn f() {}")).is_empty());
    assert!(rules::absences(&bad("src/pages/x.rs", "const A: &str = \"async\";")).is_empty());
    assert!(!rules::border_crates(&bad("src/runtime/x.rs", "use axum::Router;")).is_empty());
    assert!(!rules::floats(&bad("src/units/x.rs", "fn f(x: f64) {}")).is_empty());
    assert!(!rules::headers(&file("src/units/x.rs", "fn f() {}")).is_empty());
    let long = format!("fn f() {{\n{}}}\n", "    g();\n".repeat(70));
    assert!(!rules::lengths(&bad("src/units/x.rs", &long)).is_empty());
    assert!(!rules::lengths(&bad("src/units/x.rs", &"const A: u8 = 1;\n".repeat(601))).is_empty());
    assert!(!rules::leftovers(&bad("src/units/x.rs", "fn f() { todo!() }")).is_empty());
    assert!(!rules::imports(&bad("src/units/x.rs", "use super::*;")).is_empty());
    assert!(!rules::sql(&bad("src/store/x.rs", "const A: &str = \"SELECT 1\";")).is_empty());
    assert!(!rules::dead_files(&bad("src/units/nobody.rs", "fn f() {}")).is_empty());
}
