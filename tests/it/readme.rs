//! The README tells the truth: its conversation is what the program says, its settings are those of the program.

use std::path::Path;

use tallyhand::runtime::SETTINGS;

use crate::support::Yard;

const README: &str = include_str!("../../README.md");

/// The conversation: a block of indented lines, `> ` before what is said, the answer below it.
fn conversation() -> Vec<&'static str> {
    README
        .lines()
        .skip_while(|line| !line.starts_with("    > "))
        .take_while(|line| line.starts_with("    ") || line.is_empty())
        .collect()
}

/// The same conversation, held again.
fn held_again(lines: &[&str]) -> String {
    let mut yard = Yard::new();
    let mut held = String::new();
    for said in lines.iter().filter_map(|line| line.strip_prefix("    > ")) {
        yard = yard.says(said);
        let answer = yard.next_answer();
        held.push_str(&format!("    > {said}\n"));
        for line in answer["text"].as_str().unwrap_or_default().lines() {
            held.push_str(format!("    {line}").trim_end());
            held.push('\n');
        }
        held.push('\n');
    }
    held.trim_end().to_string()
}

#[test]
fn the_conversation_in_the_readme_is_real() {
    let lines = conversation();
    let shown = lines.join("\n").trim_end().to_string();
    let held = held_again(&lines);
    if std::env::var_os("UPDATE_EXPECT").is_some() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
        std::fs::write(path, README.replace(&shown, &held)).expect("the README can be written");
        return;
    }
    assert_eq!(shown, held, "UPDATE_EXPECT=1 writes what is said now into the README");
}

#[test]
fn the_readme_lists_every_setting_and_no_other() {
    let rows: Vec<&str> = README
        .lines()
        .skip_while(|line| !line.starts_with("| Setting |"))
        .skip(2)
        .take_while(|line| line.starts_with('|'))
        .collect();
    let wanted: Vec<String> = SETTINGS
        .iter()
        .map(|setting| {
            let flag = setting.flag.map_or(String::new(), |flag| format!("`{flag}`"));
            let (name, variable) = (setting.name, setting.variable());
            format!(
                "| `{name}` | `{variable}` | {flag} | {} | {} |",
                setting.default, setting.what
            )
            .replace("|  |", "| |")
        })
        .collect();
    assert_eq!(
        rows,
        wanted,
        "the table in README.md should read:\n{}",
        wanted.join("\n")
    );
}
