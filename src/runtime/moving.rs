//! The account out of the house and into another: data for programs, files for the bookkeeper, everything for a move.

use std::{
    fs,
    path::{Path, PathBuf},
};

use anyhow::{Context, bail};
use serde_json::Value;

use super::{house::House, lines};
use crate::{
    conversation::{self, FileWanted},
    exports,
    language::FileOf,
};

/// What was asked for.
pub(super) struct Wanted {
    pub(super) json: bool,
    pub(super) whole: bool,
    pub(super) csv: Option<PathBuf>,
    pub(super) xlsx: Option<PathBuf>,
    pub(super) of: String,
    pub(super) period: Option<String>,
}

/// Prints the account or writes its files.
pub(super) fn export(house: &House, wanted: &Wanted) -> anyhow::Result<()> {
    let account = house.store.owner().account;
    let store = house.store.handle();
    if wanted.json {
        lines::print(&house.wait(store.export(account, house.config.zone))??.to_string())?;
    }
    if wanted.whole {
        lines::print(&house.wait(store.whole(account))??.to_string())?;
    }
    let of = match wanted.of.as_str() {
        "jobs" => FileOf::Jobs,
        "payments" => FileOf::Payments,
        "prices" => FileOf::PriceList,
        other => bail!("--of is {other:?}; it has to be jobs, payments or prices"),
    };
    let state = house.wait(store.state(account))??;
    for (path, csv) in [(&wanted.csv, true), (&wanted.xlsx, false)] {
        let Some(path) = path else { continue };
        let file = FileWanted {
            of,
            csv,
            period: wanted.period.as_deref(),
            now: house.clock.now(),
            zone: house.config.zone,
        };
        let Some(attachment) = conversation::file_of(state.book(), &file) else {
            bail!("--period is not a time that I know; say it like january, \"last month\" or 2025");
        };
        let made = exports::render(&attachment);
        fs::write(path, made.bytes).with_context(|| format!("{} cannot be written", path.display()))?;
    }
    Ok(())
}

/// Reads an account into a book in which nothing was said yet.
pub(super) fn import(house: &House, path: &Path) -> anyhow::Result<()> {
    let text = fs::read_to_string(path).with_context(|| format!("{} cannot be read", path.display()))?;
    let whole: Value = serde_json::from_str(&text).with_context(|| format!("{} is not JSON", path.display()))?;
    let account = house.store.owner().account;
    house.wait(house.store.handle().read_whole(account, whole))??;
    lines::print(&format!("read in from {}", path.display()))
}
