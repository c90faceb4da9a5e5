//! A picture of what a stretch of time came to: the same sums as its report, and how they came in over it.

use chrono::{Datelike, Days, Months, NaiveDate};

use super::{
    answer::{Attachment, Part, Picture, ReportPicture, ReportShown, Step},
    days,
    desk::{Desk, Worked},
    reports,
};
use crate::{language::PeriodSaid, units::Timestamp};

/// Days of a stretch that is drawn day by day at most.
const BY_DAYS_MAX: i64 = 16;

/// Days of a stretch that is drawn week by week at most.
const BY_WEEKS_MAX: i64 = 92;

/// Says what a stretch of time came to, and draws it.
pub(super) fn picture(desk: &mut Desk<'_>, said: PeriodSaid) -> Worked {
    let today = days::today(desk);
    let Some((from, to)) = reports::dates(said, today) else {
        return Err(super::answer::Refused::NoSuchDay.into());
    };
    let Some(stretch) = reports::stretch(desk, from, to) else {
        return Ok(());
    };
    let report = desk.book().report(stretch);
    let rate = desk.book().rate().get();
    // What has not come yet would only be empty.
    let last = to.min(today).max(from);
    let (step, starts) = parts(from, last);
    let zone = days::zone(desk);
    let times: Option<Vec<Timestamp>> = starts
        .iter()
        .copied()
        .chain(last.succ_opt())
        .map(|day| days::start_of(zone, day))
        .collect();
    let Some(times) = times else { return Ok(()) };
    let course = starts.into_iter().zip(desk.book().course_of_jobs(&times)).collect();
    let nothing = report.all.jobs == 0;
    desk.say(Part::Report(Box::new(ReportShown {
        from,
        to,
        report: report.clone(),
        rate,
    })));
    if nothing {
        return Ok(());
    }
    desk.say(Part::Attachment(Attachment::Picture(Picture::Report(Box::new(
        ReportPicture {
            from,
            to,
            report,
            rate,
            step,
            course,
        },
    )))));
    Ok(())
}

/// The first days of the parts that a stretch is drawn in: days, weeks counted from its first day, or months.
fn parts(from: NaiveDate, last: NaiveDate) -> (Step, Vec<NaiveDate>) {
    let days = (last - from).num_days() + 1;
    let step = match () {
        () if days <= BY_DAYS_MAX => Step::Day,
        () if days <= BY_WEEKS_MAX => Step::Week,
        () => Step::Month,
    };
    let next = |day: &NaiveDate| match step {
        Step::Day => day.succ_opt(),
        Step::Week => day.checked_add_days(Days::new(7)),
        Step::Month => day.with_day(1)?.checked_add_months(Months::new(1)),
    };
    let starts = std::iter::successors(Some(from), next).take_while(|day| *day <= last);
    (step, starts.collect())
}

#[cfg(test)]
mod tests {
    use super::{NaiveDate, Step, parts};

    #[test]
    fn a_stretch_is_cut_into_days_weeks_or_months() {
        let day = |text: &str| text.parse::<NaiveDate>().expect("a day");
        for (from, last, step, count) in [
            ("2026-01-05", "2026-01-11", Step::Day, 7),
            ("2026-01-01", "2026-01-31", Step::Week, 5),
            ("2026-01-01", "2026-12-31", Step::Month, 12),
            ("2026-01-12", "2026-01-12", Step::Day, 1),
        ] {
            let (found, starts) = parts(day(from), day(last));
            assert_eq!((found, starts.len(), starts[0]), (step, count, day(from)), "{from}");
        }
    }
}
