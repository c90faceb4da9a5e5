//! What the jobs came to: a stretch of time, which work pays, how often quotes are won, which wait for an answer.

use chrono::{Datelike, Days, Months, NaiveDate};
use chrono_tz::Tz;
use rust_decimal::Decimal;

use super::{
    answer::{JobNews, Part, PaysShown, QuoteList, QuoteRow, QuotesShown, Reason, ReportShown, Verdict, WinShown},
    days,
    desk::{Desk, Worked},
    look,
    planning::{self, Jobs},
    which::Sort,
};
use crate::{
    journal::{Period, QuoteEntry, Slice, Status, Sums},
    language::{DaySaid, PeriodSaid},
    units::{Money, QuoteNo, RoundingPolicy},
};

/// Quotes with an answer from which on a share of them says something.
const ENOUGH_ANSWERS: u32 = 10;

/// Jobs from which on a kind of work is called the best or the worst.
const ENOUGH_JOBS: u32 = 2;

/// A difference of fewer percent is none.
const NOTABLE_PERCENT: i64 = 3;

/// How a stretch of time was; what is planned in it when it goes on.
pub(super) fn period(desk: &mut Desk<'_>, said: PeriodSaid) -> Worked {
    let today = days::today(desk);
    let Some((from, to)) = dates(said, today) else {
        return Err(super::answer::Refused::NoSuchDay.into());
    };
    let week = matches!(said, PeriodSaid::Week(_) | PeriodSaid::Day(_));
    if from <= today
        && let Some(stretch) = stretch(desk, from, to)
    {
        let report = desk.book().report(stretch);
        let rate = desk.book().rate().get();
        desk.say(Part::Report(Box::new(ReportShown { from, to, report, rate })));
    }
    if (week || from > today) && to >= today {
        planning::show_days(desk, from.max(today), to, Jobs::All);
    }
    Ok(())
}

/// What of a day's jobs is not done.
pub(super) fn left(desk: &mut Desk<'_>, day: DaySaid) -> Worked {
    let Some(day) = days::date(day, days::today(desk)) else {
        return Err(super::answer::Refused::NoSuchDay.into());
    };
    planning::show_days(desk, day, day, Jobs::Left);
    Ok(())
}

/// Which work pays, over the last twelve months.
pub(super) fn what_pays(desk: &mut Desk<'_>) -> Worked {
    let to = days::today(desk);
    let from = to.checked_sub_months(Months::new(12)).unwrap_or(to);
    let Some(stretch) = stretch(desk, from, to) else {
        return Ok(());
    };
    let report = desk.book().report(stretch);
    let enough =
        |slice: &&Slice<(String, Option<String>)>| slice.sums.jobs >= ENOUGH_JOBS && slice.sums.rate().is_some();
    let judged: Vec<&Slice<(String, Option<String>)>> = report.by_class.iter().filter(enough).collect();
    let (best, worst) = match judged.as_slice() {
        [best, .., worst] => (Some(verdict(best)), Some(verdict(worst))),
        _ => (None, None),
    };
    let rate = desk.book().rate().get();
    desk.say(Part::Pays(Box::new(PaysShown {
        from,
        to,
        report,
        rate,
        best,
        worst,
    })));
    Ok(())
}

fn verdict(slice: &Slice<(String, Option<String>)>) -> Verdict {
    let (service, size) = slice.key.clone();
    Verdict {
        service,
        size,
        sums: slice.sums,
        reason: reason(&slice.sums),
    }
}

/// What made most of the difference: the time that it took against the quote, or the price against the rate.
fn reason(sums: &Sums) -> Reason {
    let percent = |part: Decimal, whole: Decimal| {
        let share = part.checked_mul(Decimal::ONE_HUNDRED)?.checked_div(whole)?;
        Some(RoundingPolicy::HalfUp.places(share - Decimal::ONE_HUNDRED, 0))
    };
    let time = percent(sums.man_minutes, sums.quoted_man_minutes).unwrap_or_default();
    let price = percent(sums.earned * Decimal::from(60), sums.at_rate).unwrap_or_default();
    let notable = Decimal::from(NOTABLE_PERCENT);
    match () {
        () if time.abs() < notable && price.abs() < notable => Reason::AsQuoted,
        () if time.abs() >= price.abs() && time.is_sign_positive() => Reason::TookLonger(time),
        () if time.abs() >= price.abs() => Reason::TookLess(time.abs()),
        () if price.is_sign_positive() => Reason::PricedAbove(price),
        () => Reason::PricedBelow(price.abs()),
    }
}

/// How many quotes are won, by price level.
pub(super) fn win_share(desk: &mut Desk<'_>) {
    let share = desk.book().win_share();
    desk.say(Part::WinShare(Box::new(WinShown {
        share,
        enough: ENOUGH_ANSWERS,
    })));
}

/// Open quotes, those that wait longest first; only those older than so many days when days were said.
pub(super) fn open_quotes(desk: &mut Desk<'_>, older_than: Option<u32>) {
    let today = days::today(desk);
    let day = |entry: &QuoteEntry| days::local(desk, entry.priced_at).date_naive();
    let waits = |entry: &QuoteEntry| (today - day(entry)).num_days();
    let old = |entry: &&QuoteEntry| older_than.is_none_or(|days| waits(entry) >= i64::from(days));
    let mut all: Vec<&QuoteEntry> = Sort::OPEN.find(desk, None).filter(old).collect();
    all.sort_by_key(|entry| (entry.priced_at, entry.no));
    let sum = Money::checked_sum(all.iter().map(|entry| entry.total)).unwrap_or(Money::ZERO);
    let row = |entry: &&QuoteEntry| QuoteRow {
        no: entry.no,
        place: entry.place.clone(),
        amount: entry.total,
        since: Some(day(entry)),
        days: Some(waits(entry)),
    };
    let shown = QuotesShown {
        list: older_than.map_or(QuoteList::Open, QuoteList::Unanswered),
        rows: all.iter().take(look::ROWS_MAX).map(row).collect(),
        count: all.len(),
        sum,
    };
    let list = shown.list;
    let numbers: Vec<QuoteNo> = all.iter().map(|entry| entry.no).collect();
    desk.say(Part::Quotes(shown));
    look::attach_whole_list(desk, list, &numbers, |entry| entry.total);
}

/// The first and last day of what was said. A month without a year is the last one that has begun; a season is a
/// calendar year, from January on.
pub(super) fn dates(said: PeriodSaid, today: NaiveDate) -> Option<(NaiveDate, NaiveDate)> {
    let first_of_month = today.with_day(1)?;
    match said {
        PeriodSaid::Month(month, year) => {
            let this_year = today.year() - i32::from(u32::from(month) > today.month());
            month_from(NaiveDate::from_ymd_opt(year.unwrap_or(this_year), u32::from(month), 1)?)
        }
        PeriodSaid::Year(year) => year_of(year),
        PeriodSaid::Season(ahead) => year_of(today.year() + i32::from(ahead)),
        PeriodSaid::Week(ahead) => {
            let monday = today.checked_sub_days(Days::new(u64::from(today.weekday().num_days_from_monday())))?;
            let shift = Days::new(7 * u64::from(ahead.unsigned_abs()));
            let monday = if ahead < 0 {
                monday.checked_sub_days(shift)?
            } else {
                monday.checked_add_days(shift)?
            };
            Some((monday, monday.checked_add_days(Days::new(6))?))
        }
        PeriodSaid::MonthsAgo(months) => {
            let by = Months::new(u32::from(months.unsigned_abs()));
            month_from(if months < 0 {
                first_of_month.checked_add_months(by)?
            } else {
                first_of_month.checked_sub_months(by)?
            })
        }
        PeriodSaid::Day(day) => days::date(day, today).map(|day| (day, day)),
    }
}

fn month_from(first: NaiveDate) -> Option<(NaiveDate, NaiveDate)> {
    let last = first.checked_add_months(Months::new(1))?.pred_opt()?;
    Some((first, last))
}

fn year_of(year: i32) -> Option<(NaiveDate, NaiveDate)> {
    Some((
        NaiveDate::from_ymd_opt(year, 1, 1)?,
        NaiveDate::from_ymd_opt(year, 12, 31)?,
    ))
}

/// The stretch of time from the first to the last day in the account's own zone.
pub(super) fn stretch(desk: &Desk<'_>, from: NaiveDate, to: NaiveDate) -> Option<Period> {
    stretch_in(days::zone(desk), from, to)
}

/// The stretch of time from the first to the last day in a zone.
pub(super) fn stretch_in(zone: Tz, from: NaiveDate, to: NaiveDate) -> Option<Period> {
    Some(Period {
        from: days::start_of(zone, from)?,
        until: days::start_of(zone, to.succ_opt()?)?,
    })
}

/// A job by its number, shown as it stands.
pub(super) fn show_numbered(desk: &mut Desk<'_>, no: u32) -> Worked {
    let no = super::which::numbered(desk, no)?;
    desk.record(crate::journal::Event::QuoteShown { no });
    look::show_stored(desk, no);
    if desk.quote(no).is_some_and(|entry| entry.status == Status::Open) {
        return Ok(());
    }
    super::jobs::show(desk, no, JobNews::Shown);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::{NaiveDate, PeriodSaid, dates};

    fn check(today: &str, said: PeriodSaid, from: &str, to: &str) {
        let day = |text: &str| text.parse::<NaiveDate>().expect("a date");
        assert_eq!(
            dates(said, day(today)),
            Some((day(from), day(to))),
            "{said:?} on {today}"
        );
    }

    /// 2026-01-12 is a Monday (ISO 8601 calendar: 2026-W03-1); 2028 is a leap year.
    #[test]
    fn stretches_of_the_calendar() {
        check("2026-01-12", PeriodSaid::Month(1, None), "2026-01-01", "2026-01-31");
        check("2026-01-12", PeriodSaid::Month(12, None), "2025-12-01", "2025-12-31");
        check("2028-03-01", PeriodSaid::MonthsAgo(1), "2028-02-01", "2028-02-29");
        check("2026-01-12", PeriodSaid::Week(0), "2026-01-12", "2026-01-18");
        check("2026-01-18", PeriodSaid::Week(-1), "2026-01-05", "2026-01-11");
        check("2026-06-30", PeriodSaid::Season(0), "2026-01-01", "2026-12-31");
        check(
            "2026-06-30",
            PeriodSaid::Month(2, Some(2024)),
            "2024-02-01",
            "2024-02-29",
        );
    }
}
