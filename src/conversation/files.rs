//! Files for the bookkeeper, asked for in a message or on the command line: jobs, payments, the price list, of any time.

use chrono_tz::Tz;

use super::{
    answer::{Attachment, Part, Refused, Workbook},
    days,
    desk::{Desk, Worked},
    reports, tables,
};
use crate::{
    journal::{Book, Period},
    language::{self, Expecting, FileOf, FileSaid, Look, Meaning, Vocabulary},
    units::Timestamp,
};

/// A file asked for on the command line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FileWanted<'a> {
    /// Of what.
    pub of: FileOf,
    /// As comma-separated values, not as a workbook.
    pub csv: bool,
    /// Of which time, in words; `None`: of all.
    pub period: Option<&'a str>,
    /// Now.
    pub now: Timestamp,
    /// The time zone to use while the account has not said its own.
    pub zone: Tz,
}

/// The file that was asked for on the command line; `None` when its time means nothing.
pub fn file_of(book: &Book, wanted: &FileWanted<'_>) -> Option<Attachment> {
    let zone = book.settings().zone().unwrap_or(wanted.zone);
    let today = wanted.now.utc().with_timezone(&zone).date_naive();
    let period = match wanted.period {
        Some(words) => {
            let (from, to) = reports::dates(period_said(words)?, today)?;
            Some(reports::stretch_in(zone, from, to)?)
        }
        None => None,
    };
    Some(made(book, zone, period, wanted.of, wanted.csv))
}

fn period_said(words: &str) -> Option<language::PeriodSaid> {
    let reading = language::read(&format!("how was {words}"), &Vocabulary::default(), Expecting::Nothing);
    match &reading.meanings.first()?.meaning {
        Meaning::Look(Look::Period(said)) => Some(*said),
        _ => None,
    }
}

fn made(book: &Book, zone: Tz, period: Option<Period>, of: FileOf, csv: bool) -> Attachment {
    let list = tables::price_list(book);
    let mut sheets = match of {
        FileOf::Jobs => vec![tables::jobs(book, zone, period), list],
        FileOf::Payments => vec![tables::payments(book, zone, period)],
        FileOf::PriceList => vec![list],
    };
    if csv {
        return Attachment::Table(sheets.swap_remove(0));
    }
    let name = sheets
        .first()
        .map_or_else(String::new, |sheet| sheet.name.to_lowercase());
    Attachment::Workbook(Workbook { name, sheets })
}

/// Makes the file that was asked for in a message.
pub(super) fn file(desk: &mut Desk<'_>, said: FileSaid) -> Worked {
    let zone = days::zone(desk);
    let today = days::today(desk);
    let period: Option<Period> = match said.period {
        Some(period) => {
            let (from, to) = reports::dates(period, today).ok_or(Refused::NoSuchDay)?;
            Some(reports::stretch_in(zone, from, to).ok_or(Refused::NoSuchDay)?)
        }
        None => None,
    };
    let attachment = made(desk.book(), zone, period, said.of, said.csv);
    let first = match &attachment {
        Attachment::Table(table) => Some(table),
        Attachment::Workbook(book) => book.sheets.first(),
        Attachment::Picture(_) => None,
    };
    let (name, rows) = first.map_or_else(Default::default, |sheet| (sheet.name.to_lowercase(), sheet.rows.len()));
    desk.say(Part::FileMade { name, rows });
    desk.say(Part::Attachment(attachment));
    Ok(())
}
