//! The rules themselves: files in, complaints out.

use std::collections::BTreeSet;

use super::source::{SourceFile, paths_below, read_all, top};

/// The floor of every part. A part may use only parts on floors below its own.
const FLOORS: [(&str, u8); 15] = [
    ("units", 0),
    ("guide", 1),
    ("language", 1),
    ("pricing", 1),
    ("timing", 1),
    ("journal", 2),
    ("conversation", 3),
    ("replies", 4),
    ("exports", 4),
    ("pages", 4),
    ("channels", 4),
    ("store", 5),
    ("speech", 5),
    ("web", 6),
    ("runtime", 7),
];

/// Names that a pure part never uses.
const IMPURE: [&str; 14] = [
    "tokio",
    "axum",
    "rusqlite",
    "reqwest",
    "tracing",
    "std::fs",
    "std::net",
    "std::env",
    "std::thread",
    "std::process",
    "Utc::now",
    "Instant::now",
    "rand",
    "async",
];

/// Crates that one part alone may name.
const BORDER_CRATES: [(&str, &str); 3] = [("rusqlite", "store"), ("axum", "web"), ("askama", "pages")];

/// Longest function, in lines.
const FUNCTION_LINES_MAX: usize = 70;

/// Longest file, in lines that hold code, unless its header says why.
const FILE_LINES_MAX: usize = 600;

/// What a longer file says in its header.
const LONG_BECAUSE: &str = "This file is long because";

/// All that may lie at the top level, besides files whose name starts with a dot.
const TOP_LEVEL: [&str; 10] = [
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "src",
    "migrations",
    "tests",
    "fixtures",
    "target",
];

fn floor(part: &str) -> Option<u8> {
    FLOORS.iter().find(|(name, _)| *name == part).map(|(_, floor)| *floor)
}

pub(super) fn floors(files: &[SourceFile]) -> Vec<String> {
    let mut complaints = Vec::new();
    for file in files {
        let Some(part) = file.part() else { continue };
        let Some(own) = floor(part) else {
            complaints.push(format!("{}: the part {part} has no floor", file.path));
            continue;
        };
        for used in crate_names(&file.code) {
            if floor(&used).is_some_and(|below| used != part && below >= own) {
                complaints.push(format!("{}: {part} may not use {used}", file.path));
            }
        }
    }
    complaints
}

/// Parts named after `crate::`, also inside braces.
fn crate_names(code: &str) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    for (start, mark) in code.match_indices("crate::") {
        let rest = code[start + mark.len()..].trim_start();
        match rest.strip_prefix('{') {
            Some(list) => names.extend(listed(list)),
            None => names.extend(first_word(rest)),
        }
    }
    names
}

/// First words of the entries of a `use` list, at its own depth.
fn listed(list: &str) -> Vec<String> {
    let mut depth = 0_i32;
    let mut entries = vec![String::new()];
    for letter in list.chars() {
        match letter {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => entries.push(String::new()),
            _ if depth == 0 => entries.last_mut().expect("there is one").push(letter),
            _ => {}
        }
    }
    entries.iter().filter_map(|entry| first_word(entry.trim())).collect()
}

fn first_word(text: &str) -> Option<String> {
    let word: String = text
        .chars()
        .take_while(|letter| letter.is_alphanumeric() || *letter == '_')
        .collect();
    (!word.is_empty()).then_some(word)
}

/// Whether code names something, as whole words; `std::fs` is also found in `std::{fmt, fs}`.
fn names(code: &str, wanted: &str) -> bool {
    if let Some(module) = wanted.strip_prefix("std::") {
        let in_list = code
            .match_indices("std::{")
            .any(|(at, mark)| listed(&code[at + mark.len()..]).iter().any(|name| name == module));
        if in_list {
            return true;
        }
    }
    let boundary = |letter: Option<char>| letter.is_none_or(|letter| !(letter.is_alphanumeric() || letter == '_'));
    code.match_indices(wanted)
        .any(|(at, _)| boundary(code[..at].chars().next_back()) && boundary(code[at + wanted.len()..].chars().next()))
}

pub(super) fn absences(files: &[SourceFile]) -> Vec<String> {
    let pure = |file: &&SourceFile| file.part().and_then(floor).is_some_and(|floor| floor <= 4);
    let mut complaints = Vec::new();
    for file in files.iter().filter(pure) {
        for word in IMPURE.iter().filter(|word| names(&file.code, word)) {
            complaints.push(format!("{}: a pure part names {word}", file.path));
        }
    }
    complaints
}

pub(super) fn border_crates(files: &[SourceFile]) -> Vec<String> {
    let mut complaints = Vec::new();
    for (name, owner) in BORDER_CRATES {
        for file in files
            .iter()
            .filter(|file| file.part() != Some(owner) && names(&file.code, name))
        {
            complaints.push(format!("{}: only {owner} may name {name}", file.path));
        }
    }
    complaints
}

pub(super) fn floats(files: &[SourceFile]) -> Vec<String> {
    files
        .iter()
        .filter(|file| matches!(file.part(), Some("units" | "pricing")))
        .filter(|file| names(&file.code, "f64") || names(&file.code, "f32"))
        .map(|file| format!("{}: a float where money passes", file.path))
        .collect()
}

pub(super) fn headers(files: &[SourceFile]) -> Vec<String> {
    let too_short = |file: &&SourceFile| {
        !file.text.starts_with("//! ") || file.text.lines().next().is_none_or(|line| line.len() < 20)
    };
    files
        .iter()
        .filter(too_short)
        .map(|file| format!("{}: does not open with what it is for", file.path))
        .collect()
}

pub(super) fn lengths(files: &[SourceFile]) -> Vec<String> {
    let mut complaints = Vec::new();
    for file in files {
        let lines = file.code.lines().filter(|line| !line.trim().is_empty()).count();
        if lines > FILE_LINES_MAX && !file.text.contains(LONG_BECAUSE) {
            complaints.push(format!("{}: {lines} lines, and its header does not say why", file.path));
        }
        for (name, lines) in functions(&file.code)
            .into_iter()
            .filter(|(_, lines)| *lines > FUNCTION_LINES_MAX)
        {
            complaints.push(format!("{}: the function {name} has {lines} lines", file.path));
        }
    }
    complaints
}

/// Functions with a body: name and number of lines from `fn` to the closing brace.
fn functions(code: &str) -> Vec<(String, usize)> {
    let mut found = Vec::new();
    for (at, _) in code.match_indices("fn ") {
        if code[..at]
            .chars()
            .next_back()
            .is_some_and(|letter| letter.is_alphanumeric() || letter == '_')
        {
            continue;
        }
        let Some(name) = first_word(code[at + 3..].trim_start()) else {
            continue;
        };
        if let Some(end) = body_end(&code[at..]) {
            found.push((name, code[at..at + end].lines().count()));
        }
    }
    found
}

/// Where the body that follows ends; `None` when a semicolon comes first.
fn body_end(code: &str) -> Option<usize> {
    let mut depth = 0_i32;
    let mut round = 0_i32;
    for (at, letter) in code.char_indices() {
        match letter {
            '(' | '[' => round += 1,
            ')' | ']' => round -= 1,
            ';' if depth == 0 && round == 0 => return None,
            '{' => depth += 1,
            '}' => {
                depth -= 1;
                if depth == 0 {
                    return Some(at + 1);
                }
            }
            _ => {}
        }
    }
    None
}

pub(super) fn leftovers(files: &[SourceFile]) -> Vec<String> {
    let mut complaints = Vec::new();
    for file in files {
        // Spelt apart, so that this file does not find itself.
        for macro_name in ["todo", "unimplemented", "dbg"] {
            if file.code.contains(&format!("{macro_name}!")) {
                complaints.push(format!("{}: holds {macro_name}!", file.path));
            }
        }
        for mark in [["FIX", "ME"].concat(), ["XX", "X"].concat()] {
            if file.text.contains(&mark) {
                complaints.push(format!("{}: holds {mark}", file.path));
            }
        }
        if file.code.contains("#[ignore") {
            complaints.push(format!("{}: a test is switched off", file.path));
        }
        if file.code.contains("Box<dyn Error") || file.code.contains("Box<dyn std::error::Error") {
            complaints.push(format!("{}: an error without a type", file.path));
        }
        for attribute in ["#[allow(", "#[expect("] {
            for (at, _) in file.code.match_indices(attribute) {
                let end = file.text[at..].find(']').unwrap_or_default();
                if !file.text[at..at + end].contains("reason") {
                    complaints.push(format!("{}: {attribute} without a reason", file.path));
                }
            }
        }
    }
    complaints
}

pub(super) fn imports(files: &[SourceFile]) -> Vec<String> {
    let globs =
        |file: &&SourceFile| file.code.contains("::*;") || file.code.contains("::*,") || file.code.contains("::*}");
    files
        .iter()
        .filter(globs)
        .map(|file| format!("{}: imports everything of a module", file.path))
        .collect()
}

pub(super) fn sql(files: &[SourceFile]) -> Vec<String> {
    let mut complaints = Vec::new();
    for file in files {
        for start in [
            "\"SELECT ",
            "\"INSERT ",
            "\"UPDATE ",
            "\"DELETE ",
            "\"CREATE ",
            "\"BEGIN",
            "\"PRAGMA ",
        ] {
            if file.text.contains(start) {
                complaints.push(format!("{}: SQL in a string of Rust", file.path));
            }
        }
    }
    for file in read_all("src/store/sql", "sql")
        .iter()
        .chain(&read_all("migrations", "sql"))
    {
        if !file.text.starts_with("-- ") {
            complaints.push(format!("{}: does not open with what it answers", file.path));
        }
    }
    complaints
}

/// Rust files that no module declares, and other files of the program that no source names.
pub(super) fn dead_files(files: &[SourceFile]) -> Vec<String> {
    let mut complaints = Vec::new();
    for file in files {
        let roots = ["src/lib.rs", "src/main.rs", "tests/it/main.rs"];
        if roots.contains(&file.path.as_str()) || file.path.starts_with("tests/bench/") {
            continue;
        }
        if !files.iter().any(|parent| declares(parent, &file.path)) {
            complaints.push(format!("{}: no module declares it", file.path));
        }
    }
    let sources: String = files.iter().map(|file| file.text.as_str()).collect();
    let templates: String = read_all("src/pages/templates", "html")
        .iter()
        .map(|file| file.text.clone())
        .collect();
    let others = paths_below("src").into_iter().chain(paths_below("migrations"));
    for path in others.filter(|path| !path.ends_with(".rs")) {
        let name = path.rsplit('/').next().unwrap_or_default();
        if !sources.contains(name) && !templates.contains(name) {
            complaints.push(format!("{path}: no source names it"));
        }
    }
    complaints
}

/// Whether a file declares another one as its module.
fn declares(parent: &SourceFile, child: &str) -> bool {
    let (folder, name) = child.rsplit_once('/').unwrap_or(("", child));
    let (home, module) = match name {
        "mod.rs" => folder.rsplit_once('/').unwrap_or(("", folder)),
        _ => (folder, name.trim_end_matches(".rs")),
    };
    let (parent_folder, parent_name) = parent.path.rsplit_once('/').unwrap_or(("", &parent.path));
    let is_home = match parent_name {
        "mod.rs" | "lib.rs" | "main.rs" => parent_folder == home,
        other => format!("{parent_folder}/{}", other.trim_end_matches(".rs")) == home,
    };
    is_home && names(&parent.code, &format!("mod {module}"))
}

/// Guide data without a source or a day of reading.
pub(super) fn sourced_rows() -> Vec<String> {
    let mut complaints = Vec::new();
    for file in read_all("src/guide", "tsv") {
        let mut lines = file
            .text
            .lines()
            .filter(|line| !line.starts_with('#') && !line.is_empty());
        let columns: Vec<&str> = lines.next().unwrap_or_default().split('\t').collect();
        for wanted in ["source", "read_on"] {
            let Some(index) = columns.iter().position(|column| *column == wanted) else {
                complaints.push(format!("{}: has no column {wanted}", file.path));
                continue;
            };
            let empty = |row: &&str| row.split('\t').nth(index).is_none_or(|cell| cell.trim().is_empty());
            complaints.extend(
                lines
                    .clone()
                    .filter(empty)
                    .map(|row| format!("{}: no {wanted} in {row:?}", file.path)),
            );
        }
    }
    complaints
}

pub(super) fn named_parts(files: &[SourceFile]) -> Vec<String> {
    let page = std::fs::read_to_string(top().join("DEVELOPERS.md")).expect("DEVELOPERS.md is there");
    let parts: BTreeSet<&str> = files.iter().filter_map(SourceFile::part).collect();
    let mut complaints: Vec<String> = parts
        .into_iter()
        .filter(|part| !page.contains(&format!("`{part}/`")))
        .map(|part| format!("DEVELOPERS.md: does not name `{part}/`"))
        .collect();
    let lines = page.lines().count();
    if lines >= 350 {
        complaints.push(format!("DEVELOPERS.md: {lines} lines; under 350 were meant"));
    }
    complaints
}

pub(super) fn top_level() -> Vec<String> {
    std::fs::read_dir(top())
        .expect("the top level can be read")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|name| !name.starts_with('.') && !TOP_LEVEL.contains(&name.as_str()))
        .map(|name| format!("{name}: does not belong at the top level"))
        .collect()
}
