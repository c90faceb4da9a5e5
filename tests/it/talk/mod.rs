//! Conversations from words to answer and book, without a store in between: the corpora, and the promises.

mod by_chance;
mod corpus;
mod costs;
mod events;
mod forms;
mod late;
mod numbers;
mod promises;
mod trend;
mod words;
mod yard;

use std::{fs, path::Path};

/// The cases of all corpora of conversations: where each stands, its turns, and what is expected of the last.
fn cases() -> Vec<(String, Vec<String>, String)> {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let mut cases = Vec::new();
    for folder in ["conversation", "language/messages"] {
        let Ok(entries) = fs::read_dir(fixtures.join(folder)) else {
            continue;
        };
        for entry in entries {
            let path = entry.expect("a readable folder").path();
            if path.extension().is_none_or(|extension| extension != "txt") {
                continue;
            }
            let text = fs::read_to_string(&path).expect("a corpus is text");
            for (index, line) in text.lines().enumerate() {
                let line = line.trim();
                if line.is_empty() || line.starts_with('#') {
                    continue;
                }
                let Some((turns, expected)) = line.rsplit_once("=>") else {
                    continue;
                };
                let turns = turns
                    .split(" // ")
                    .map(|turn| turn.trim().replace("\\n", "\n"))
                    .collect();
                let name = path.file_name().unwrap_or_default().to_string_lossy();
                cases.push((
                    format!("{folder}/{name}:{}", index + 1),
                    turns,
                    expected.trim().to_string(),
                ));
            }
        }
    }
    cases
}
