//! Source files, and what is code in them.

use std::path::Path;

/// A source file as the rules see it.
#[derive(Debug)]
pub(super) struct SourceFile {
    /// Path from the top level, with forward slashes.
    pub(super) path: String,
    /// Its text.
    pub(super) text: String,
    /// Its text with comments and literals blanked out; same lines, same length.
    pub(super) code: String,
}

impl SourceFile {
    pub(super) fn new(path: &str, text: &str) -> SourceFile {
        SourceFile {
            path: path.to_string(),
            text: text.to_string(),
            code: code_only(text),
        }
    }

    /// The part of the program that the file belongs to: its folder in `src`.
    pub(super) fn part(&self) -> Option<&str> {
        let mut steps = self.path.strip_prefix("src/")?.split('/');
        let first = steps.next()?;
        steps.next().map(|_| first)
    }
}

/// The top level of the project.
pub(super) fn top() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file with an extension below a folder of the top level.
pub(super) fn read_all(folder: &str, extension: &str) -> Vec<SourceFile> {
    let mut paths = paths_below(folder);
    paths.retain(|path| Path::new(path).extension().is_some_and(|found| found == extension));
    paths
        .iter()
        .map(|path| {
            SourceFile::new(
                path,
                &std::fs::read_to_string(top().join(path)).expect("sources are UTF-8"),
            )
        })
        .collect()
}

/// Paths of every file below a folder, from the top level, sorted; none when there is no such folder.
pub(super) fn paths_below(folder: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut waiting = vec![folder.to_string()];
    while let Some(folder) = waiting.pop() {
        let Ok(entries) = std::fs::read_dir(top().join(&folder)) else {
            continue;
        };
        for entry in entries {
            let entry = entry.expect("a folder can be read");
            let path = format!("{folder}/{}", entry.file_name().to_string_lossy());
            if entry.path().is_dir() {
                waiting.push(path)
            } else {
                found.push(path)
            }
        }
    }
    found.sort();
    found
}

/// The text with comments, strings and characters replaced by spaces, line breaks kept.
pub(super) fn code_only(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut code = bytes.to_vec();
    let mut at = 0;
    while at < bytes.len() {
        let end = literal_end(bytes, at);
        match end {
            Some(end) => {
                for byte in &mut code[at..end] {
                    if *byte != b'\n' {
                        *byte = b' ';
                    }
                }
                at = end;
            }
            None => at += 1,
        }
    }
    String::from_utf8_lossy(&code).into_owned()
}

/// Where the comment, string or character that starts here ends; `None` when none starts here.
fn literal_end(bytes: &[u8], at: usize) -> Option<usize> {
    let rest = &bytes[at..];
    let starts_word = at == 0 || !(bytes[at - 1].is_ascii_alphanumeric() || bytes[at - 1] == b'_');
    match rest {
        [b'/', b'/', ..] => Some(at + rest.iter().position(|byte| *byte == b'\n').unwrap_or(rest.len())),
        [b'/', b'*', ..] => Some(at + find(rest, b"*/").map_or(rest.len(), |end| end + 2)),
        [b'"', ..] => Some(at + quoted_end(rest)),
        [b'r', b'"' | b'#', ..] if starts_word => raw_end(rest, 1).map(|end| at + end),
        [b'b', b'r', b'"' | b'#', ..] if starts_word => raw_end(rest, 2).map(|end| at + end),
        [b'\'', b'\\', ..] => Some(
            at + 2
                + rest[2..]
                    .iter()
                    .skip(1)
                    .position(|byte| *byte == b'\'')
                    .map_or(0, |end| end + 2),
        ),
        // A character, not a lifetime: the closing quote follows one character.
        [b'\'', ..] => {
            let width = utf8_width(*rest.get(1)?);
            (rest.get(1 + width) == Some(&b'\'')).then_some(at + width + 2)
        }
        _ => None,
    }
}

fn utf8_width(first: u8) -> usize {
    match first {
        0..=0x7f => 1,
        0x80..=0xdf => 2,
        0xe0..=0xef => 3,
        _ => 4,
    }
}

fn quoted_end(rest: &[u8]) -> usize {
    let mut at = 1;
    while at < rest.len() {
        match rest[at] {
            b'\\' => at += 2,
            b'"' => return at + 1,
            _ => at += 1,
        }
    }
    rest.len()
}

fn raw_end(rest: &[u8], skip: usize) -> Option<usize> {
    let hashes = rest[skip..].iter().take_while(|byte| **byte == b'#').count();
    if rest.get(skip + hashes) != Some(&b'"') {
        return None;
    }
    let close = [b"\"".as_slice(), &vec![b'#'; hashes]].concat();
    let body = skip + hashes + 1;
    Some(find(&rest[body..], &close).map_or(rest.len(), |end| body + end + close.len()))
}

fn find(text: &[u8], wanted: &[u8]) -> Option<usize> {
    text.windows(wanted.len()).position(|piece| piece == wanted)
}

#[test]
fn comments_and_literals_are_blanked_and_code_is_not() {
    let text =
        "a // b\nc /* d\n e */ f \"g \\\" h\" i r#\"j \" k\"# l 'm' n '\\'' o &'static p b\"q\" '\\u{1f}' é 'é' z";
    let words: Vec<String> = code_only(text).split_whitespace().map(ToString::to_string).collect();
    assert_eq!(
        words,
        ["a", "c", "f", "i", "l", "n", "o", "&'static", "p", "b", "é", "z"]
    );
}
