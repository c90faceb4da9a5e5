//! Backups: made when asked for, put back when asked for, and made by the clock while the house is open.
//!
//! Scheduled backups have names of their own with their time in it, and only files with such names are ever removed.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
    time::Duration,
};

use anyhow::Context;
use chrono::NaiveDateTime;
use tokio::{sync::watch, task::JoinHandle};

use super::{house::House, lines};
use crate::{
    store::{self, Key, Packing, Recipients, Seal},
    units::Timestamp,
    web::{Clock, Watch},
};

/// How scheduled backups are named, before and after their time.
const NAME: (&str, &str) = ("book-", ".sqlite.zst");

/// What the name of a sealed one has behind that.
const SEALED: &str = ".age";

/// The time in a name.
const STAMP: &str = "%Y-%m-%dT%H%M%SZ";

/// How often it is looked whether a backup is due.
const LOOK_EVERY: Duration = Duration::from_secs(60);

/// When, where and how many.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Schedule {
    /// Where they go.
    pub folder: PathBuf,
    /// Hours from one to the next.
    pub hours: u32,
    /// How many are kept.
    pub keep: u32,
    /// Whom they are sealed for; packed only when it is nobody.
    pub recipients: Option<Recipients>,
}

/// How a backup is to be written, from what was asked for.
pub(super) fn packing(
    to: &Path,
    pack: bool,
    recipients: &[String],
    passphrase_file: Option<&Path>,
) -> anyhow::Result<Packing> {
    let ends_in = |wanted| to.extension().is_some_and(|ending| ending == wanted);
    if !recipients.is_empty() {
        return Ok(Packing::Sealed(Seal::Recipients(Recipients::parse(
            &recipients.join(" "),
        )?)));
    }
    if let Some(path) = passphrase_file {
        return Ok(Packing::Sealed(Seal::with_passphrase_file(path)?));
    }
    // A name that promises what was not asked for would be found out on the worst of days.
    anyhow::ensure!(
        !ends_in("age"),
        "a name that ends in .age is for an encrypted backup: add --recipient or --passphrase-file"
    );
    Ok(if pack || ends_in("zst") {
        Packing::Zstd
    } else {
        Packing::Plain
    })
}

/// What opens a sealed backup, from what was given.
pub(super) fn key(identity_file: Option<&Path>, passphrase_file: Option<&Path>) -> anyhow::Result<Option<Key>> {
    Ok(match (identity_file, passphrase_file) {
        (Some(path), _) => Some(Key::from_identity_file(path)?),
        (None, Some(path)) => Some(Key::from_passphrase_file(path)?),
        (None, None) => None,
    })
}

/// Backs a book up into a file.
pub(super) fn backup(book: &Path, to: &Path, packing: &Packing) -> anyhow::Result<()> {
    let made = store::backup(book, to, packing)?;
    lines::print(&format!(
        "{} ({} bytes), looked over and sound",
        made.path.display(),
        made.bytes
    ))
}

/// Puts a backup in the place of a book.
pub(super) fn restore(
    from: &Path,
    key: Option<&Key>,
    book: &Path,
    replace: bool,
    now: Timestamp,
) -> anyhow::Result<()> {
    if let Some(folder) = book.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).with_context(|| format!("the folder {} cannot be made", folder.display()))?;
    }
    let restored = store::restore(from, key, book, replace, now)?;
    if let Some(aside) = restored.moved_aside {
        lines::print(&format!("The book that was there is now {}", aside.display()))?;
    }
    lines::print(&format!("Restored {}, looked over and sound", book.display()))
}

/// Starts the worker, if there is a schedule.
pub(super) fn start(house: &House, watch: Watch, stopping: watch::Receiver<bool>) -> Option<JoinHandle<()>> {
    let schedule = house.config.backups.clone()?;
    let (book, clock) = (house.config.db.clone(), Arc::clone(&house.clock));
    Some(tokio::spawn(work(book, schedule, clock, watch, stopping)))
}

async fn work(
    book: PathBuf,
    schedule: Schedule,
    clock: Arc<dyn Clock>,
    watch: Watch,
    mut stopping: watch::Receiver<bool>,
) {
    loop {
        let (book, schedule, now) = (book.clone(), schedule.clone(), clock.now());
        let made = tokio::task::spawn_blocking(move || when_due(&book, &schedule, now)).await;
        match made {
            Ok(Ok(Some(at))) => watch.backed_up(at.unix_seconds()),
            Ok(Ok(None)) => {}
            Ok(Err(failure)) => {
                watch.backup_failed();
                tracing::error!(
                    error = &*failure as &dyn std::error::Error,
                    "the scheduled backup failed"
                );
            }
            Err(_) => watch.backup_failed(),
        }
        tokio::select! {
            () = tokio::time::sleep(LOOK_EVERY) => {}
            _ = stopping.wait_for(|stop| *stop) => return,
        }
    }
}

/// Makes a backup if one is due and removes what is too old; gives the time of the newest.
pub fn when_due(book: &Path, schedule: &Schedule, now: Timestamp) -> anyhow::Result<Option<Timestamp>> {
    std::fs::create_dir_all(&schedule.folder)
        .with_context(|| format!("the folder {} cannot be made", schedule.folder.display()))?;
    let mut kept = backups_in(&schedule.folder)?;
    // One from the future is of a clock that was wrong; it is kept, and does not hold up the next.
    let newest = kept.iter().map(|(at, _)| *at).filter(|at| *at <= now).max();
    let next = newest.map(|at| at.unix_seconds() + i64::from(schedule.hours) * 3600);
    if next.is_some_and(|next| now.unix_seconds() < next) {
        return Ok(newest);
    }
    let (name, packing) = match &schedule.recipients {
        Some(recipients) => (
            format!("{}{SEALED}", name_at(now)),
            Packing::Sealed(Seal::Recipients(recipients.clone())),
        ),
        None => (name_at(now), Packing::Zstd),
    };
    let path = schedule.folder.join(name);
    store::backup(book, &path, &packing)?;
    kept.push((now, path));
    kept.sort();
    let too_many = kept.len().saturating_sub(schedule.keep.max(1) as usize);
    for (_, path) in kept.iter().filter(|(at, _)| *at != now).take(too_many) {
        std::fs::remove_file(path).with_context(|| format!("{} cannot be removed", path.display()))?;
    }
    Ok(Some(now))
}

/// The scheduled backups in a folder, oldest first.
pub(super) fn backups_in(folder: &Path) -> anyhow::Result<Vec<(Timestamp, PathBuf)>> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).with_context(|| format!("{} cannot be read", folder.display()))? {
        let path = entry?.path();
        let name = path.file_name().and_then(|name| name.to_str());
        if let Some(at) = name.and_then(time_of) {
            found.push((at, path));
        }
    }
    found.sort();
    Ok(found)
}

fn name_at(now: Timestamp) -> String {
    format!("{}{}{}", NAME.0, now.to_string().replace(':', ""), NAME.1)
}

fn time_of(name: &str) -> Option<Timestamp> {
    let name = name.strip_suffix(SEALED).unwrap_or(name);
    let stamp = name.strip_prefix(NAME.0)?.strip_suffix(NAME.1)?;
    let at = NaiveDateTime::parse_from_str(stamp, STAMP).ok()?;
    Timestamp::from_unix_seconds(at.and_utc().timestamp())
}

#[cfg(test)]
mod tests {
    use super::{name_at, time_of};

    #[test]
    fn a_name_holds_its_time() {
        let at = "2026-01-12T15:04:05Z".parse().expect("a time");
        assert_eq!(name_at(at), "book-2026-01-12T150405Z.sqlite.zst");
        assert_eq!(time_of(&name_at(at)), Some(at));
        assert_eq!(time_of(&format!("{}.age", name_at(at))), Some(at));
        for other in [
            "book.sqlite",
            "book-x.sqlite.zst",
            "book-2026-01-12T150405Z.sqlite",
            "holiday.zst",
        ] {
            assert_eq!(time_of(other), None, "{other}");
        }
    }
}
