//! What the time model promises to whoever prices with it: whose minutes are used when, what is asked about, what is
//! told.

use proptest::collection::vec;
use proptest::prelude::{Strategy, any, prop_assert, prop_assert_eq, proptest};
use tallyhand::timing::amount::{Chance, ManMinutes, Units};
use tallyhand::timing::class::{Basis, ClassKey};
use tallyhand::timing::error::Error;
use tallyhand::timing::estimate::Estimate;
use tallyhand::timing::evidence::Evidence;
use tallyhand::timing::model::{SetupTime, TimeModel};
use tallyhand::timing::reason::Pace;
use tallyhand::timing::sums::Observation;
use tallyhand::timing::surprise::SlipKind;
use tallyhand::timing::work::{Job, Readings, Work};

fn small() -> ClassKey {
    ClassKey::sized("crape myrtle", "small")
}

fn large() -> ClassKey {
    ClassKey::sized("crape myrtle", "large")
}

fn hedge() -> ClassKey {
    ClassKey::plain("hedge")
}

fn minutes(value: f64) -> ManMinutes {
    ManMinutes::new(value).expect("a valid figure")
}

fn work(lines: &[(ClassKey, f64)]) -> Work {
    Work::visit(
        lines
            .iter()
            .map(|(class, count)| (class.clone(), Units::new(*count).expect("a valid count"))),
    )
    .expect("something counted")
}

fn job(lines: &[(ClassKey, f64)], spent: f64) -> Job {
    Job::new(work(lines), minutes(spent)).expect("some minutes")
}

/// Small 6 and large 15 set by the owner, hedges a starter guess, set-up set to none.
fn model() -> TimeModel {
    let mut model = TimeModel::new();
    model.set_setup(SetupTime::Set(ManMinutes::ZERO));
    model.set_minutes(&small(), minutes(6.0)).expect("above zero");
    model.set_minutes(&large(), minutes(15.0)).expect("above zero");
    model.add_starter(&hedge(), minutes(1.5)).expect("above zero");
    model
}

fn estimate(model: &TimeModel, class: &ClassKey) -> Estimate {
    model.outlook().estimate(class).expect("a listed class")
}

fn learn(model: &mut TimeModel, lines: &[(ClassKey, f64)], spent: f64) {
    model.observe(&job(lines, spent)).expect("listed classes");
}

#[test]
fn before_any_job_the_price_list_stands() {
    let model = model();
    for (class, each, basis) in [
        (small(), 6.0, Basis::Set),
        (large(), 15.0, Basis::Set),
        (hedge(), 1.5, Basis::Starter),
    ] {
        let found = estimate(&model, &class);
        assert_eq!(
            (found.minutes, found.basis, found.learned),
            (minutes(each), basis, minutes(each))
        );
        assert_eq!((found.jobs, found.readings, found.units.get()), (0, 0, 0.0));
        assert!(found.likely.low < found.minutes && found.minutes < found.likely.high);
    }
    assert_eq!(
        model.outlook().estimate(&ClassKey::plain("mulch")),
        Err(Error::UnknownClass {
            class: ClassKey::plain("mulch")
        })
    );
}

#[test]
fn jobs_and_prior_are_averaged_by_units() {
    let mut model = model();
    learn(&mut model, &[(small(), 10.0)], 80.0);
    // Five units at 6 and ten at 8.
    assert!((estimate(&model, &small()).learned.get() - (5.0 * 6.0 + 80.0) / 15.0).abs() < 1e-12);
    learn(&mut model, &[(small(), 10.0)], 80.0);
    let faded = 10.0 * 0.5f64.powf(1.0 / 20.0);
    let expected = (5.0 * 6.0 + 8.0 * (10.0 + faded)) / (15.0 + faded);
    assert!((estimate(&model, &small()).learned.get() - expected).abs() < 1e-12);
    assert!((estimate(&model, &small()).units_counted.get() - (10.0 + faded)).abs() < 1e-12);
    assert_eq!(estimate(&model, &small()).units.get(), 20.0);
}

#[test]
fn a_sitting_of_readings_says_what_as_many_jobs_of_one_unit_say() {
    let mut sitting = model();
    let readings = [5.5, 6.0, 7.0, 6.5].map(minutes).to_vec();
    sitting
        .observe_readings(&Readings::new(small(), readings).expect("four readings"))
        .expect("a listed class");
    let found = estimate(&sitting, &small());
    assert!((found.learned.get() - (5.0 * 6.0 + 25.0) / 9.0).abs() < 1e-12);
    assert_eq!((found.readings, found.jobs, found.units.get()), (4, 0, 4.0));
}

#[test]
fn the_owners_minutes_give_way_after_three_jobs_that_weigh_more_and_a_guess_after_one() {
    let mut model = model();
    for jobs in 1..=3 {
        learn(&mut model, &[(small(), 4.0)], 30.0);
        let expected = if jobs < 3 {
            (minutes(6.0), Basis::Set)
        } else {
            (estimate(&model, &small()).learned, Basis::Learned)
        };
        assert_eq!(
            (estimate(&model, &small()).minutes, estimate(&model, &small()).basis),
            expected,
            "after {jobs}"
        );
    }
    learn(&mut model, &[(hedge(), 40.0)], 80.0);
    assert_eq!(estimate(&model, &hedge()).basis, Basis::Learned);
    assert!(estimate(&model, &hedge()).minutes > minutes(1.8));
}

#[test]
fn totals_over_a_constant_mix_do_not_pretend_to_know_each_size() {
    let mut model = model();
    for _ in 0..30 {
        learn(&mut model, &[(small(), 5.0), (large(), 2.0)], 80.0);
    }
    let outlook = model.outlook();
    let together = outlook
        .forecast(&work(&[(small(), 5.0), (large(), 2.0)]))
        .expect("listed")
        .likely();
    let apart = outlook.forecast(&work(&[(large(), 4.0)])).expect("listed").likely();
    assert!(
        apart.high.get() - apart.low.get() > 1.2 * (together.high.get() - together.low.get()),
        "{apart:?} {together:?}"
    );
    assert!(outlook.estimate(&large()).expect("listed").likely.high.get() > 18.5);
}

#[test]
fn kept_minutes_never_move_and_the_range_still_learns() {
    let mut model = model();
    model.keep_minutes(&small()).expect("listed");
    for _ in 0..50 {
        learn(&mut model, &[(small(), 12.0)], 120.0);
    }
    let found = estimate(&model, &small());
    assert_eq!(
        (found.minutes, found.basis, found.kept),
        (minutes(6.0), Basis::Set, true)
    );
    assert!((found.learned.get() - 10.0).abs() < 0.1, "{found:?}");
    model.release_minutes(&small()).expect("listed");
    assert_eq!(estimate(&model, &small()).basis, Basis::Learned);
}

#[test]
fn minutes_set_against_the_evidence_start_afresh_and_minutes_that_fit_do_not() {
    let mut model = model();
    for _ in 0..10 {
        learn(&mut model, &[(small(), 10.0), (large(), 1.0)], 95.0);
    }
    let before = estimate(&model, &small());
    let mut fits = model.clone();
    fits.set_minutes(&small(), before.learned).expect("above zero");
    assert_eq!(estimate(&fits, &small()).basis, Basis::Set);
    assert!(estimate(&fits, &small()).units_counted.get() > 50.0);
    model.set_minutes(&small(), minutes(3.0)).expect("above zero");
    let after = estimate(&model, &small());
    assert_eq!(
        (after.minutes, after.basis, after.learned),
        (minutes(3.0), Basis::Set, minutes(3.0))
    );
    assert_eq!((after.units_counted.get(), after.units.get()), (0.0, 100.0));
    for _ in 0..3 {
        learn(&mut model, &[(small(), 10.0)], 31.0);
    }
    assert!((estimate(&model, &small()).minutes.get() - 3.1).abs() < 0.1);
}

#[test]
fn the_set_up_shows_as_the_intercept_when_nobody_set_it() {
    let mut model = model();
    model.set_setup(SetupTime::Learned);
    for jobs in 0..40 {
        let count = f64::from(2 + 7 * (jobs % 4));
        learn(&mut model, &[(small(), count)], 18.0 + 6.0 * count);
    }
    let outlook = model.outlook();
    assert!(
        (outlook.setup_minutes().get() - 18.0).abs() < 2.0,
        "{:?}",
        outlook.setup_minutes()
    );
    assert!(outlook.setup().low < minutes(18.0) && minutes(14.0) < outlook.setup().low);
    assert!((estimate(&model, &small()).learned.get() - 6.0).abs() < 0.2);
    let total = outlook.forecast(&work(&[(small(), 10.0)])).expect("listed").mean();
    assert!((total.get() - 78.0).abs() < 1.5, "{total:?}");
    model.set_setup(SetupTime::Set(minutes(18.0)));
    assert!((estimate(&model, &small()).learned.get() - 6.0).abs() < 0.05);
}

#[test]
fn a_slip_is_asked_about_before_it_is_learned() {
    let mut model = model();
    let reading = model
        .outlook()
        .surprise_of_reading(&small(), minutes(84.0))
        .expect("listed");
    assert!(reading.is_doubtful(), "{reading:?}");
    let slip = reading.slip.expect("a slip would explain it");
    assert_eq!((slip.kind, slip.meant), (SlipKind::PointMissed, minutes(8.4)));
    assert!(
        !model
            .outlook()
            .surprise_of_reading(&small(), minutes(8.4))
            .expect("listed")
            .is_doubtful()
    );
    for spent in [70.0, 78.0, 74.0, 69.0] {
        let next = job(&[(small(), 12.0)], spent);
        assert!(!model.outlook().surprise(&next).expect("listed").is_doubtful());
        model.observe(&next).expect("listed");
    }
    let short = model.outlook().surprise(&job(&[(small(), 12.0)], 7.5)).expect("listed");
    assert_eq!(
        short.slip.map(|slip| (slip.kind, slip.meant)),
        Some((SlipKind::PointAdded, minutes(75.0)))
    );
    let hours = model
        .outlook()
        .surprise(&job(&[(small(), 12.0)], 1.25))
        .expect("listed");
    assert_eq!(
        hours.slip.map(|slip| (slip.kind, slip.meant)),
        Some((SlipKind::HoursTakenForMinutes, minutes(75.0)))
    );
}

#[test]
fn a_long_job_is_laid_to_the_class_that_is_known_least() {
    let mut model = model();
    for _ in 0..12 {
        learn(&mut model, &[(small(), 12.0)], 72.0);
    }
    let reason = model
        .observe(&job(&[(small(), 12.0), (large(), 4.0)], 190.0))
        .expect("listed");
    assert_eq!(reason.pace, Pace::Long);
    let main = reason.main().expect("a long job has a main reason");
    assert_eq!(main.class, large());
    assert!(
        main.attributed.get() > 90.0 && main.expected == minutes(60.0),
        "{main:?}"
    );
    let usual = model.observe(&job(&[(small(), 12.0)], 73.0)).expect("listed");
    assert_eq!((usual.pace, usual.main()), (Pace::AsExpected, None));
    let short = model.observe(&job(&[(small(), 12.0)], 30.0)).expect("listed");
    assert_eq!(short.pace, Pace::Short);
}

#[test]
fn a_trend_is_told_when_it_is_there() {
    let mut model = model();
    let mut done = 0.0f64;
    for jobs in 0..30u32 {
        // The ninety-per-cent curve of unit times, with an uneven hand of up to 8%.
        let each = 9.0 * (done + 5.5).powf(0.9f64.log2());
        let uneven = 1.0 + 0.02 * (f64::from(jobs * 7 % 9) - 4.0);
        learn(&mut model, &[(small(), 10.0)], 10.0 * each * uneven);
        done += 10.0;
    }
    let trend = model.trend(&small()).expect("listed").expect("thirty jobs show it");
    assert!((trend.per_doubling() - 0.9).abs() < 0.02, "{trend:?}");
    assert!(trend.exponent_low < trend.exponent && trend.exponent_high < 0.0);
    assert!(
        (trend.first.get() - 7.0).abs() < 0.4 && (trend.current.get() - 3.8).abs() < 0.2,
        "{trend:?}"
    );
    assert_eq!((trend.observations, trend.units.get()), (30, 300.0));
    assert_eq!(model.trend(&large()), Ok(None));
}

#[test]
fn a_steady_crew_shows_no_trend() {
    let mut model = model();
    for jobs in 0..60u32 {
        let spent = 72.0 * (1.0 + 0.05 * (f64::from(jobs * 5 % 7) - 3.0));
        learn(&mut model, &[(small(), 12.0)], spent);
    }
    assert_eq!(model.trend(&small()), Ok(None));
}

#[test]
fn refused_work_leaves_the_model_as_it_was() {
    let mut changed = model();
    assert!(
        changed
            .observe(&job(&[(small(), 2.0), (ClassKey::plain("mulch"), 1.0)], 60.0))
            .is_err()
    );
    assert!(changed.set_minutes(&small(), ManMinutes::ZERO).is_err());
    assert!(changed.keep_minutes(&ClassKey::plain("mulch")).is_err());
    assert_eq!(changed, model());
}

#[test]
fn a_hundred_thousand_jobs_leave_the_sums_of_the_last_thousand() {
    let spent = |at: u32| {
        (
            vec![(0, f64::from(3 + at % 7)), (1, f64::from(at % 3))],
            40.0 + f64::from(at * 31 % 29),
        )
    };
    let mut all = Evidence::default();
    let mut last = Evidence::default();
    for at in 0..100_000 {
        let (terms, minutes) = spent(at);
        let observation = Observation {
            terms,
            minutes,
            variance: 50.0,
        };
        all.observe(0, &observation);
        if at >= 99_000 {
            last.observe(0, &observation);
        }
    }
    let (units, jobs) = all.behind(0);
    let (last_units, last_jobs) = last.behind(0);
    assert!((units - last_units).abs() < 1e-9 * units && (jobs - last_jobs).abs() < 1e-9 * jobs);
    // A half-life of twenty jobs is worth 1/(1 - 2^(-1/20)) jobs for ever.
    assert!((jobs - 29.356).abs() < 1e-3, "{jobs}");
}

fn any_jobs() -> impl Strategy<Value = Vec<([u8; 3], u16)>> {
    vec(([0u8..20, 0u8..6, 0u8..60], 5u16..600), 1..40)
}

fn lines(counts: [u8; 3]) -> Vec<(ClassKey, f64)> {
    [small(), large(), hedge()]
        .into_iter()
        .zip(counts.map(f64::from))
        .collect()
}

fn jobs_of(drawn: &[([u8; 3], u16)]) -> Vec<Job> {
    drawn
        .iter()
        .filter(|(counts, _)| counts.iter().any(|count| *count > 0))
        .map(|(counts, spent)| job(&lines(*counts), f64::from(*spent)))
        .collect()
}

proptest! {
    #[test]
    fn the_same_jobs_give_the_same_model_bit_for_bit(drawn in any_jobs(), flip in any::<bool>()) {
        let mut first = model();
        let mut again = model();
        for (counts, spent) in &drawn {
            let mut lines = lines(*counts);
            if !lines.iter().any(|(_, count)| *count > 0.0) {
                continue;
            }
            first.observe(&job(&lines, f64::from(*spent))).expect("listed");
            // Asking in between, and another order of the lines, change nothing.
            if flip {
                lines.reverse();
                again.outlook().estimates();
            }
            again.observe(&job(&lines, f64::from(*spent))).expect("listed");
        }
        prop_assert_eq!(&first, &again);
        prop_assert_eq!(first.outlook().estimates(), again.outlook().estimates());
    }

    #[test]
    fn a_job_is_shared_out_whole(drawn in any_jobs(), learns in any::<bool>()) {
        let mut model = model();
        model.set_setup(if learns { SetupTime::Learned } else { SetupTime::Set(minutes(4.0)) });
        for job in jobs_of(&drawn) {
            let reason = model.observe(&job).expect("listed");
            let shared: f64 = reason.lines.iter().map(|line| line.attributed.get()).sum();
            let all = shared + reason.setup.get() + reason.extras.get();
            prop_assert!((all - job.spent().get()).abs() < 1e-9 * job.spent().get(), "{:?}", reason);
        }
    }

    #[test]
    fn more_units_take_longer_and_more_minutes_are_safer(drawn in any_jobs(), counts in [1u8..30, 0u8..9, 0u8..90]) {
        let mut model = model();
        for job in jobs_of(&drawn) {
            model.observe(&job).expect("listed");
        }
        let outlook = model.outlook();
        let forecast = outlook.forecast(&work(&lines(counts))).expect("listed");
        for at in 0..3 {
            let mut more = counts;
            more[at] += 1;
            prop_assert!(outlook.forecast(&work(&lines(more))).expect("listed").mean() > forecast.mean());
        }
        let budget = |chance: f64| forecast.budget_for(Chance::new(chance).expect("a chance"));
        prop_assert!(budget(0.5) <= budget(0.8) && budget(0.8) < budget(0.95));
        let kept = forecast.chance_within(budget(0.8));
        prop_assert!((kept - 0.8).abs() < 1e-9, "{}", kept);
        prop_assert!(forecast.chance_within(minutes(10.0)) < forecast.chance_within(minutes(500.0)));
    }

    #[test]
    fn a_new_class_starts_from_its_prior_whatever_was_learned(drawn in any_jobs(), each in 1u8..60) {
        let mut model = model();
        for job in jobs_of(&drawn) {
            model.observe(&job).expect("listed");
        }
        let before = model.outlook().estimates();
        let class = ClassKey::plain("gutters");
        model.set_minutes(&class, minutes(f64::from(each))).expect("above zero");
        let found = estimate(&model, &class);
        let each = minutes(f64::from(each));
        prop_assert_eq!((found.minutes, found.basis, found.learned), (each, Basis::Set, each));
        prop_assert_eq!(&model.outlook().estimates()[..3], &before[..]);
    }

    #[test]
    fn absurd_figures_are_borne(
        drawn in vec(([-6f64..6.0, -3f64..9.0, -3f64..9.0], -3f64..9.0), 1..20),
        learns in any::<bool>(),
    ) {
        let mut model = TimeModel::new();
        if !learns {
            model.set_setup(SetupTime::Set(minutes(1e6)));
        }
        let classes: Vec<ClassKey> = (0..3).map(|size| ClassKey::sized("holly", &size.to_string())).collect();
        for (logarithms, spent) in drawn {
            let [each, one, other] = logarithms.map(|logarithm| 10f64.powf(logarithm));
            let at = (each.to_bits() % 3) as usize;
            model.set_minutes(&classes[at], minutes(each)).expect("above zero");
            model.add_starter(&classes[(at + 1) % 3], minutes(each)).expect("above zero");
            let lines = [(classes[at].clone(), one), (classes[(at + 1) % 3].clone(), other)];
            let reason = model.observe(&job(&lines, 10f64.powf(spent))).expect("listed");
            prop_assert!(reason.lines.iter().all(|line| line.attributed.get().is_finite()));
        }
        for found in model.outlook().estimates() {
            prop_assert!(found.minutes.get() > 0.0 && found.learned.get() > 0.0, "{:?}", found);
            prop_assert!(found.likely.low <= found.learned && found.learned <= found.likely.high, "{:?}", found);
        }
    }

    #[test]
    fn evidence_merged_in_two_pieces_is_the_evidence_observed_in_one(drawn in any_jobs(), cut in 0usize..40) {
        let observations: Vec<(usize, Observation)> = drawn
            .iter()
            .map(|(counts, spent)| {
                let counted = counts.iter().enumerate().filter(|(_, count)| **count > 0);
                let terms = counted.map(|(at, count)| (at, f64::from(*count))).collect();
                let variance = 1.0 + f64::from(counts[0]);
                (usize::from(counts[1] % 3), Observation { terms, minutes: f64::from(*spent), variance })
            })
            .collect();
        let fold = |part: &[(usize, Observation)]| {
            let mut evidence = Evidence::default();
            part.iter().for_each(|(file, observation)| evidence.observe(*file, observation));
            evidence
        };
        let cut = cut.min(observations.len());
        let whole = fold(&observations);
        let mut merged = fold(&observations[..cut]);
        merged.merge(&fold(&observations[cut..]));
        for file in 0..3 {
            let (Some(whole), Some(merged)) = (whole.file(file), merged.file(file)) else {
                prop_assert_eq!(whole.file(file).is_some(), merged.file(file).is_some());
                continue;
            };
            prop_assert_eq!(whole.columns(), merged.columns());
            prop_assert!((whole.weight() - merged.weight()).abs() < 1e-9);
            for column in 0..3 {
                let (a, b) = (whole.behind(column), merged.behind(column));
                prop_assert!((a.0 - b.0).abs() < 1e-9 * (1.0 + a.0) && (a.1 - b.1).abs() < 1e-9);
            }
            let (whole, merged) = (posterior(whole), posterior(merged));
            prop_assert!((whole.0 - merged.0).norm() < 1e-8);
            prop_assert!((whole.1 - merged.1).abs() < 1e-8 * whole.1);
        }
    }
}

/// Mean and dispersion under a prior of one unit at ten minutes for every column.
fn posterior(sums: &tallyhand::timing::sums::Sums) -> (nalgebra::DVector<f64>, f64) {
    let size = sums.columns().len();
    let prior = tallyhand::timing::sums::Prior {
        mean: nalgebra::DVector::from_element(size, 10.0),
        precision: nalgebra::DVector::from_element(size, 0.1),
        shape: 4.0,
        rate: 8.0,
    };
    let posterior = sums.posterior(&prior).expect("a proper prior");
    (posterior.mean().clone(), posterior.dispersion())
}
