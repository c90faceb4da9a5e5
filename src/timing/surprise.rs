//! Is a figure plausible, and if not, what slip of speech or typing would explain it?
//!
//! The tail is measured with the predictive t distribution: above the middle in minutes, below it in the logarithm,
//! because time has a floor. A tenth of the expected time is as odd as ten times as much, yet on a plain scale it may
//! lie within the spread of a first guess.

use super::amount::ManMinutes;
use super::student::Student;

/// A figure with a smaller chance than this is asked about.
pub const DOUBTFUL: f64 = 0.001;
/// A slip is proposed only if the figure it gives is at least this likely.
const PLAUSIBLE: f64 = 0.05;

/// How a figure may have gone wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SlipKind {
    /// The decimal point was missed: 84 for 8.4.
    PointMissed,
    /// A decimal point too many, or a nought too few: 8.4 for 84.
    PointAdded,
    /// Hours were taken for minutes: 1.5 for 90.
    HoursTakenForMinutes,
    /// Seconds were taken for minutes: 330 for 5.5.
    SecondsTakenForMinutes,
}

impl SlipKind {
    const ALL: [SlipKind; 4] = [
        SlipKind::PointMissed,
        SlipKind::PointAdded,
        SlipKind::HoursTakenForMinutes,
        SlipKind::SecondsTakenForMinutes,
    ];

    fn undone(self, minutes: f64) -> f64 {
        match self {
            SlipKind::PointMissed => minutes / 10.0,
            SlipKind::PointAdded => minutes * 10.0,
            SlipKind::HoursTakenForMinutes => minutes * 60.0,
            SlipKind::SecondsTakenForMinutes => minutes / 60.0,
        }
    }
}

/// A slip, and the figure without it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slip {
    /// How the figure may have gone wrong.
    pub kind: SlipKind,
    /// What may have been meant.
    pub meant: ManMinutes,
}

/// How a figure compares with what was expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surprise {
    /// The chance (0 to 1) of a figure at least as far out, to either side.
    pub chance: f64,
    /// What was expected.
    pub expected: ManMinutes,
    /// The slip that explains a doubtful figure best, if one does.
    pub slip: Option<Slip>,
}

impl Surprise {
    pub(super) fn of(total: &Student, minutes: ManMinutes) -> Self {
        let chance = tail(total, minutes.get());
        let slip = if chance < DOUBTFUL {
            likeliest_slip(total, minutes.get())
        } else {
            None
        };
        Surprise {
            chance,
            expected: ManMinutes::clamped(total.location()),
            slip,
        }
    }

    /// Whether to ask before believing it: less than 1 in 1,000.
    pub fn is_doubtful(&self) -> bool {
        self.chance < DOUBTFUL
    }
}

fn tail(total: &Student, minutes: f64) -> f64 {
    let middle = total.location();
    let distance = if minutes >= middle {
        total.standardised(minutes)
    } else if minutes > 0.0 {
        (middle / minutes).ln() * middle / total.scale()
    } else {
        f64::INFINITY
    };
    2.0 * Student::new(0.0, 1.0, total.freedom()).at_most(-distance)
}

fn likeliest_slip(total: &Student, minutes: f64) -> Option<Slip> {
    SlipKind::ALL
        .into_iter()
        .map(|kind| (kind, tail(total, kind.undone(minutes))))
        .filter(|(_, chance)| *chance >= PLAUSIBLE)
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(kind, _)| Slip {
            kind,
            meant: ManMinutes::clamped(kind.undone(minutes)),
        })
}

#[cfg(test)]
mod tests {
    use super::{ManMinutes, Slip, SlipKind, Student, Surprise};

    fn surprise(expected: f64, scale: f64, minutes: f64) -> Surprise {
        Surprise::of(
            &Student::new(expected, scale, 12.0),
            ManMinutes::new(minutes).expect("a valid figure"),
        )
    }

    #[track_caller]
    fn check_slip(expected: f64, scale: f64, minutes: f64, slip: Option<(SlipKind, f64)>) {
        let slip = slip.map(|(kind, meant)| Slip {
            kind,
            meant: ManMinutes::new(meant).expect("a valid figure"),
        });
        let found = surprise(expected, scale, minutes);
        assert_eq!((found.is_doubtful(), found.slip), (true, slip), "{found:?}");
    }

    #[test]
    fn a_slip_is_found_by_what_would_fit() {
        check_slip(8.0, 2.0, 84.0, Some((SlipKind::PointMissed, 8.4)));
        check_slip(80.0, 14.0, 8.4, Some((SlipKind::PointAdded, 84.0)));
        check_slip(85.0, 14.0, 1.5, Some((SlipKind::HoursTakenForMinutes, 90.0)));
        check_slip(6.0, 1.0, 330.0, Some((SlipKind::SecondsTakenForMinutes, 5.5)));
        check_slip(80.0, 10.0, 250.0, None);
    }

    #[test]
    fn what_fits_is_not_doubted_and_nothing_is_proposed_for_it() {
        for minutes in [40.0, 60.0, 80.0, 100.0, 120.0] {
            let found = surprise(80.0, 20.0, minutes);
            assert!(!found.is_doubtful() && found.slip.is_none(), "{minutes}: {found:?}");
        }
    }

    #[test]
    fn a_tenth_is_doubted_even_where_zero_is_within_reach() {
        assert!(surprise(72.0, 26.0, 7.2).is_doubtful());
    }
}
