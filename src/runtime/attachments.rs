//! Files that go with an answer in the terminal: written beside the book, where their path can be opened.
//!
//! The book has them already; what is written here is a copy, made after the commit, and may be thrown away at any time.

use std::path::{Path, PathBuf};

use anyhow::Context;
use serde_json::Value;

use crate::{
    store::{Answered, StoreHandle},
    units::{AccountId, FileId},
};

/// Writes the files of an answer beside the book. Gives the answer with their paths, in words and as data.
pub(super) async fn write_out(
    store: &StoreHandle,
    account: AccountId,
    book: &Path,
    answered: Answered,
) -> anyhow::Result<Answered> {
    // Looked for as text first: nearly all answers have none.
    if !answered.json.contains("\"attachments\"") {
        return Ok(answered);
    }
    let mut answer: Value = serde_json::from_str(&answered.json).context("an answer in the book is not JSON")?;
    let mut words = answered.text.clone();
    let attachments = answer.get_mut("attachments").and_then(Value::as_array_mut);
    for attachment in attachments.into_iter().flatten() {
        let Some(id) = attachment["path"]
            .as_str()
            .and_then(|path| path.strip_prefix("/files/"))
        else {
            continue;
        };
        let Some(file) = store.file(account, FileId::new(id)).await? else {
            continue;
        };
        let path = write(&folder(book)?, &file.id, &file.name, &file.bytes)?;
        let path = path.display().to_string();
        words.push('\n');
        words.push_str(&path);
        attachment["path"] = Value::String(path);
    }
    Ok(Answered {
        json: answer.to_string(),
        text: words,
        ..answered
    })
}

/// `book.sqlite-files` beside `book.sqlite`, as an absolute path.
fn folder(book: &Path) -> anyhow::Result<PathBuf> {
    let book = std::path::absolute(book).with_context(|| format!("no path to {}", book.display()))?;
    let mut name = book.file_name().unwrap_or_default().to_os_string();
    name.push("-files");
    Ok(book.with_file_name(name))
}

fn write(folder: &Path, id: &FileId, name: &str, bytes: &[u8]) -> anyhow::Result<PathBuf> {
    std::fs::create_dir_all(folder).with_context(|| format!("the folder {} cannot be made", folder.display()))?;
    let path = folder.join(format!("{} {}", plain(id.as_str()), plain(name)));
    std::fs::write(&path, bytes).with_context(|| format!("{} cannot be written", path.display()))?;
    Ok(path)
}

/// Letters that no file system takes for anything else.
fn plain(name: &str) -> String {
    name.chars()
        .map(|c| {
            if c.is_alphanumeric() || " .-_".contains(c) {
                c
            } else {
                '_'
            }
        })
        .collect()
}
