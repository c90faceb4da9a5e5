//! Files for the bookkeeper, asked for in a message: jobs, payments, the price list, of any stretch of time.

use super::{
    answer::{Attachment, Part, Refused, Workbook},
    days,
    desk::{Desk, Worked},
    reports, tables,
};
use crate::{
    journal::Period,
    language::{FileOf, FileSaid},
};

/// Makes the file that was asked for.
pub(super) fn file(desk: &mut Desk<'_>, said: FileSaid) -> Worked {
    let zone = days::zone(desk);
    let today = days::local(desk, desk.ctx.now).date_naive();
    let period: Option<Period> = match said.period {
        Some(period) => {
            let (from, to) = reports::dates(period, today).ok_or(Refused::NoSuchDay)?;
            Some(reports::stretch(desk, from, to).ok_or(Refused::NoSuchDay)?)
        }
        None => None,
    };
    let book = desk.book();
    let list = tables::price_list(book);
    let mut sheets = match said.of {
        FileOf::Jobs => vec![tables::jobs(book, zone, period), list],
        FileOf::Payments => vec![tables::payments(book, zone, period)],
        FileOf::PriceList => vec![list],
    };
    let rows = sheets.first().map_or(0, |sheet| sheet.rows.len());
    let name = sheets
        .first()
        .map_or_else(String::new, |sheet| sheet.name.to_lowercase());
    let attachment = if said.csv {
        Attachment::Table(sheets.swap_remove(0))
    } else {
        Attachment::Workbook(Workbook {
            name: name.clone(),
            sheets,
        })
    };
    desk.say(Part::FileMade { name, rows });
    desk.say(Part::Attachment(attachment));
    Ok(())
}
