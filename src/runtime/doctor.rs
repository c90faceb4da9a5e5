//! `tallyhand doctor`: what is wrong here, and what to do about it. Looks and changes nothing.

use std::{
    fs,
    net::{SocketAddr, TcpListener},
    path::Path,
};

use super::{Config, backups, lines};
use crate::{
    store::{self, Signs},
    units::Timestamp,
};

/// Free space under which a disk counts as nearly full, in bytes.
const FREE_BYTES_MIN: u64 = 200 * 1024 * 1024;

/// How far the last message may lie ahead of the clock before the clock counts as wrong, in seconds.
const AHEAD_MAX_S: i64 = 300;

/// How long an answer may wait to be carried before it counts as stuck, in seconds.
const STUCK_S: i64 = 3600;

/// Size of a write-ahead log from which something seems to keep it from being written back, in bytes.
const LOG_BYTES_MAX: u64 = 256 * 1024 * 1024;

/// One thing that was looked at.
enum Finding {
    /// As it should be.
    Well(String),
    /// It works, and could be better: what, and what to do.
    Could(String, String),
    /// It does not work: what, and what to do.
    Wrong(String, String),
}

/// Looks at everything and prints what it finds; gives whether anything is wrong.
pub(super) fn look(config: &Config, now: Timestamp) -> anyhow::Result<bool> {
    let mut findings = vec![folder(config), space(config)];
    if config.db.exists() {
        findings.extend(book(config, now));
        findings.extend(readable(&config.db));
    } else {
        findings.push(Finding::Well(format!(
            "there is no book yet at {}; the first message makes one",
            config.db.display()
        )));
    }
    findings.extend(backed_up(config, now));
    findings.extend(address(config));
    let mut wrong = false;
    for finding in &findings {
        match finding {
            Finding::Well(what) => lines::print(&format!("well   {what}"))?,
            Finding::Could(what, how) => lines::print(&format!("could  {what}: {how}"))?,
            Finding::Wrong(what, how) => {
                wrong = true;
                lines::print(&format!("WRONG  {what}: {how}"))?;
            }
        }
    }
    Ok(wrong)
}

/// The folder that the book lies in, or the nearest one above it that is there.
fn nearest(db: &Path) -> &Path {
    db.ancestors()
        .skip(1)
        .map(|folder| {
            if folder.as_os_str().is_empty() {
                Path::new(".")
            } else {
                folder
            }
        })
        .find(|folder| folder.exists())
        .unwrap_or(Path::new("."))
}

fn folder(config: &Config) -> Finding {
    let folder = nearest(&config.db);
    let trial = folder.join(format!(".tallyhand-doctor-{}", std::process::id()));
    let written = fs::write(&trial, b"x").and_then(|()| fs::remove_file(&trial));
    match written {
        Ok(()) => Finding::Well(format!("the folder {} can be written", folder.display())),
        Err(failure) => Finding::Wrong(
            format!("the folder {} cannot be written ({failure})", folder.display()),
            "make it writable for this user, or name a book elsewhere with --db".into(),
        ),
    }
}

fn space(config: &Config) -> Finding {
    let folder = nearest(&config.db);
    match fs4::available_space(folder) {
        Ok(free) if free < FREE_BYTES_MIN => Finding::Wrong(
            format!("{} MB are free on the disk of the book", free / 1_000_000),
            "make room; a full disk refuses messages".into(),
        ),
        Ok(free) => Finding::Well(format!("{} MB are free on the disk of the book", free / 1_000_000)),
        Err(failure) => Finding::Could(
            format!("how much of the disk is free cannot be told ({failure})"),
            "look for yourself".into(),
        ),
    }
}

fn book(config: &Config, now: Timestamp) -> Vec<Finding> {
    let stuck_before = Timestamp::from_unix_seconds(now.unix_seconds() - STUCK_S).unwrap_or(now);
    let signs = match store::signs(&config.db, stuck_before) {
        Ok(signs) => signs,
        Err(failure) => {
            let what = format!("the book {} cannot be used", config.db.display());
            return vec![Finding::Wrong(what, failure.to_string())];
        }
    };
    let mut findings = vec![checked(&config.db)];
    findings.extend(in_the_book(&signs, now));
    findings
}

fn checked(db: &Path) -> Finding {
    match store::check(db) {
        Ok(faults) => match faults.first() {
            None => Finding::Well(format!("the book {} is sound", db.display())),
            Some(first) => Finding::Wrong(
                format!("the book is not sound: {first} ({} faults in all)", faults.len()),
                "keep a copy of it, then put the newest backup in its place with `tallyhand restore`".into(),
            ),
        },
        Err(failure) => Finding::Wrong("the book cannot be looked over".into(), failure.to_string()),
    }
}

fn in_the_book(signs: &Signs, now: Timestamp) -> Vec<Finding> {
    let mut findings = Vec::new();
    let ahead = signs
        .last_message
        .map_or(0, |last| last.unix_seconds() - now.unix_seconds());
    if ahead > AHEAD_MAX_S {
        findings.push(Finding::Wrong(
            format!(
                "the last message is {} minutes ahead of this machine's clock",
                ahead / 60
            ),
            "set the clock right; days and times are told from it".into(),
        ));
    }
    if signs.failures > 0 {
        findings.push(Finding::Could(
            format!("{} of {} messages could not be handled", signs.failures, signs.messages),
            "they are kept with an apology; the table `failure` says why, and a newer version may know better".into(),
        ));
    }
    if signs.stuck > 0 || signs.given_up > 0 {
        findings.push(Finding::Wrong(
            format!(
                "{} answers have waited over an hour to be carried, {} were given up",
                signs.stuck, signs.given_up
            ),
            "see whether the other side is up and takes our signature; the log says what it answered".into(),
        ));
    }
    if signs.log_bytes > LOG_BYTES_MAX {
        findings.push(Finding::Could(
            format!("the log beside the book has {} MB", signs.log_bytes / 1_000_000),
            "some program keeps the book open for reading; close it".into(),
        ));
    }
    findings
}

#[cfg(unix)]
fn readable(db: &Path) -> Option<Finding> {
    use std::os::unix::fs::PermissionsExt;
    let mode = fs::metadata(db).ok()?.permissions().mode();
    (mode & 0o077 != 0).then(|| {
        Finding::Could(
            "others on this machine can read the book".into(),
            format!("chmod 600 {}", db.display()),
        )
    })
}

#[cfg(not(unix))]
fn readable(_: &Path) -> Option<Finding> {
    None
}

fn backed_up(config: &Config, now: Timestamp) -> Option<Finding> {
    let Some(schedule) = &config.backups else {
        return Some(Finding::Could(
            "no backups are scheduled".into(),
            "set backup_folder to a folder on another disk".into(),
        ));
    };
    let newest = backups::backups_in(&schedule.folder)
        .ok()
        .and_then(|found| found.into_iter().next_back());
    let Some((at, path)) = newest else {
        return Some(Finding::Could(
            format!("there is no backup in {} yet", schedule.folder.display()),
            "`serve` makes one as soon as it runs".into(),
        ));
    };
    let hours = (now.unix_seconds() - at.unix_seconds()) / 3600;
    Some(if hours > 2 * i64::from(schedule.hours) {
        Finding::Wrong(
            format!("the newest backup is {hours} hours old"),
            "see that `serve` runs and the folder can be written; its log says what failed".into(),
        )
    } else {
        Finding::Well(format!("the newest backup is {}", path.display()))
    })
}

fn address(config: &Config) -> Vec<Finding> {
    let mut findings = vec![listening(config.listen)];
    match &config.public_url {
        Some(url) if url.starts_with("http://") => findings.push(Finding::Could(
            format!("public_url {url} is not HTTPS"),
            "put a server that speaks HTTPS before the page; links and cookies travel in clear".into(),
        )),
        None if !config.listen.ip().is_loopback() => findings.push(Finding::Could(
            format!("the page listens on {} without HTTPS", config.listen),
            "listen on 127.0.0.1 behind a server that speaks HTTPS, and set public_url".into(),
        )),
        _ => {}
    }
    findings
}

fn listening(listen: SocketAddr) -> Finding {
    match TcpListener::bind(listen) {
        Ok(_) => Finding::Well(format!("{listen} is free to listen on")),
        Err(failure) if failure.kind() == std::io::ErrorKind::AddrInUse => {
            Finding::Well(format!("something listens on {listen}; that may be `serve`"))
        }
        Err(failure) => Finding::Wrong(
            format!("{listen} cannot be listened on ({failure})"),
            "name another address with --listen".into(),
        ),
    }
}
