//! The time model against published and independent figures; the sources stand in `fixtures/references/timing/`.

use nalgebra::DVector;
use serde::Deserialize;
use tallyhand::timing::amount::{Chance, ManMinutes, Units};
use tallyhand::timing::class::ClassKey;
use tallyhand::timing::model::{SetupTime, TimeModel};
use tallyhand::timing::student::Student;
use tallyhand::timing::sums::{Observation, Posterior, Prior, Sums};
use tallyhand::timing::trend::{curve_minutes, exponent_of};
use tallyhand::timing::work::{Job, Work};

#[track_caller]
fn check_close(what: &str, found: f64, expected: f64, relative: f64) {
    let off = (found - expected).abs();
    assert!(
        off <= relative * expected.abs().max(0.01),
        "{what}: {found} is not {expected}"
    );
}

fn minutes(value: f64) -> ManMinutes {
    ManMinutes::new(value).expect("a figure in a fixture is valid")
}

#[derive(Deserialize)]
struct Regressions {
    case: Vec<Regression>,
}

#[derive(Deserialize)]
struct Regression {
    name: String,
    response: Vec<f64>,
    predictors: Vec<Vec<f64>>,
    coefficients: Vec<f64>,
    #[serde(default)]
    errors: Vec<f64>,
    residual_sum: Option<f64>,
    residual_deviation: Option<f64>,
    tolerance: f64,
    #[serde(default)]
    at: Vec<f64>,
    mean_at: Option<[f64; 3]>,
    single_at: Option<[f64; 2]>,
    #[serde(default)]
    tolerance_at: f64,
}

/// A fit in centred and scaled predictors, where the sums are well-conditioned (raw, those of Longley have a condition
/// number near 1e19), with the way back to the published coefficients.
struct Fit {
    centre: Vec<f64>,
    spread: Vec<f64>,
    level: f64,
    posterior: Posterior,
}

impl Fit {
    fn of(case: &Regression) -> Self {
        let count = case.response.len() as f64;
        let mean = |column: &[f64]| column.iter().sum::<f64>() / count;
        let centre: Vec<f64> = case.predictors.iter().map(|column| mean(column)).collect();
        let off = |column: &[f64], mean: f64| column.iter().map(|x| (x - mean).powi(2)).sum::<f64>();
        let columns = case.predictors.iter().zip(&centre);
        let spread: Vec<f64> = columns
            .map(|(column, mean)| (off(column, *mean) / count).sqrt())
            .collect();
        let level = mean(&case.response);
        let mut sums = Sums::default();
        for (at, response) in case.response.iter().enumerate() {
            let values: Vec<f64> = case.predictors.iter().map(|column| column[at]).collect();
            let terms = scaled(&values, &centre, &spread).into_iter().enumerate().collect();
            sums.observe(&Observation {
                terms,
                minutes: response - level,
                variance: 1.0,
            });
        }
        let posterior = sums
            .posterior(&Prior::flat(case.coefficients.len()))
            .expect("a full-rank case");
        Fit {
            centre,
            spread,
            level,
            posterior,
        }
    }

    /// The published coefficient as a combination of the fitted ones.
    fn combination(&self, published: usize) -> DVector<f64> {
        let mut weights = DVector::zeros(self.centre.len() + 1);
        if published == 0 {
            weights[0] = 1.0;
            for (at, (mean, spread)) in self.centre.iter().zip(&self.spread).enumerate() {
                weights[at + 1] = -mean / spread;
            }
        } else {
            weights[published] = self.spread[published - 1].recip();
        }
        weights
    }

    fn coefficient(&self, published: usize) -> f64 {
        let level = if published == 0 { self.level } else { 0.0 };
        self.combination(published).dot(self.posterior.mean()) + level
    }

    fn error(&self, published: usize) -> f64 {
        (self.posterior.dispersion() * self.posterior.leverage(&self.combination(published))).sqrt()
    }

    /// The response at given predictors: of the mean (`noise` 0) or of one more observation (1).
    fn at(&self, values: &[f64], noise: f64) -> Student {
        let row = DVector::from_vec(scaled(values, &self.centre, &self.spread));
        let scale = (self.posterior.dispersion() * (self.posterior.leverage(&row) + noise)).sqrt();
        Student::new(
            row.dot(self.posterior.mean()) + self.level,
            scale,
            self.posterior.freedom(),
        )
    }
}

fn scaled(values: &[f64], centre: &[f64], spread: &[f64]) -> Vec<f64> {
    let values = values
        .iter()
        .zip(centre)
        .zip(spread)
        .map(|((x, mean), spread)| (x - mean) / spread);
    std::iter::once(1.0).chain(values).collect()
}

#[track_caller]
fn check_regression(case: &Regression) {
    let fit = Fit::of(case);
    let check = |what: String, found, expected, tolerance| {
        check_close(&format!("{}, {what}", case.name), found, expected, tolerance)
    };
    for (at, expected) in case.coefficients.iter().enumerate() {
        check(
            format!("coefficient {at}"),
            fit.coefficient(at),
            *expected,
            case.tolerance,
        );
    }
    for (at, expected) in case.errors.iter().enumerate() {
        check(format!("error {at}"), fit.error(at), *expected, case.tolerance);
    }
    if let Some(expected) = case.residual_sum {
        let found = fit.posterior.dispersion() * fit.posterior.freedom();
        check("residual sum".to_owned(), found, expected, case.tolerance);
    }
    if let Some(expected) = case.residual_deviation {
        check(
            "residual deviation".to_owned(),
            fit.posterior.dispersion().sqrt(),
            expected,
            case.tolerance,
        );
    }
    let (Some([middle, low, high]), Some(single)) = (case.mean_at, case.single_at) else {
        return;
    };
    check(
        "mean there".to_owned(),
        fit.at(&case.at, 0.0).location(),
        middle,
        case.tolerance_at,
    );
    for (expected, noise) in [([low, high], 0.0), (single, 1.0)] {
        let found = fit.at(&case.at, noise);
        check(
            "low there".to_owned(),
            found.quantile(0.025),
            expected[0],
            case.tolerance_at,
        );
        check(
            "high there".to_owned(),
            found.quantile(0.975),
            expected[1],
            case.tolerance_at,
        );
    }
}

#[test]
fn with_a_flat_prior_the_regression_gives_the_published_figures() {
    let cases: Regressions =
        toml::from_str(include_str!("../../fixtures/references/timing/regression.toml")).expect("a readable fixture");
    assert_eq!(cases.case.len(), 5);
    cases.case.iter().for_each(check_regression);
}

#[derive(Deserialize)]
struct Tables {
    student: StudentTable,
    curve: CurveTable,
}

#[derive(Deserialize)]
struct StudentTable {
    chances: Vec<f64>,
    rows: Vec<StudentRow>,
}

#[derive(Deserialize)]
struct StudentRow {
    freedom: f64,
    quantiles: Vec<f64>,
}

#[derive(Deserialize)]
struct CurveTable {
    per_doubling: Vec<f64>,
    exponents: Vec<f64>,
    rows: Vec<CurveRow>,
    worked: Vec<Worked>,
}

#[derive(Deserialize)]
struct CurveRow {
    unit: f64,
    factors: Vec<f64>,
}

#[derive(Deserialize)]
struct Worked {
    first: f64,
    exponent: f64,
    unit: f64,
    minutes: f64,
}

#[test]
fn tables_of_student_t_and_of_the_learning_curve_are_met_to_the_last_digit_printed() {
    let tables: Tables =
        toml::from_str(include_str!("../../fixtures/references/timing/tables.toml")).expect("a readable fixture");
    for row in &tables.student.rows {
        for (chance, expected) in tables.student.chances.iter().zip(&row.quantiles) {
            let found = Student::new(0.0, 1.0, row.freedom).quantile(*chance);
            assert!(
                (found - expected).abs() <= 0.5001e-4,
                "t, {} df, {chance}: {found}, {expected}",
                row.freedom
            );
        }
    }
    for (at, per_doubling) in tables.curve.per_doubling.iter().enumerate() {
        let exponent = exponent_of(*per_doubling);
        assert!(
            (exponent - tables.curve.exponents[at]).abs() <= 0.5001e-5,
            "{per_doubling}: {exponent}"
        );
        for row in &tables.curve.rows {
            let found = curve_minutes(minutes(100.0), exponent, row.unit).get();
            assert!(
                (found - row.factors[at]).abs() <= 0.5001e-3,
                "{per_doubling}, unit {}: {found}",
                row.unit
            );
        }
    }
    for worked in &tables.curve.worked {
        let found = curve_minutes(minutes(worked.first), worked.exponent, worked.unit).get();
        assert!(
            (found - worked.minutes).abs() <= 0.5001e-6,
            "{} of {}: {found}",
            worked.unit,
            worked.first
        );
    }
}

#[derive(Deserialize)]
struct Independent {
    case: Vec<Case>,
    student: Vec<StudentPoint>,
}

#[derive(Deserialize)]
struct Case {
    name: String,
    setup: Option<f64>,
    jobs: Vec<JobLine>,
    class: Vec<Class>,
    quote: Vec<Quote>,
}

#[derive(Deserialize)]
struct JobLine {
    counts: Vec<f64>,
    extras: f64,
    spent: f64,
}

#[derive(Deserialize)]
struct Class {
    kind: String,
    size: String,
    minutes: f64,
    basis: String,
    mean: f64,
    low: f64,
    high: f64,
}

#[derive(Deserialize)]
struct Quote {
    counts: Vec<f64>,
    extras: f64,
    budget: f64,
    chance: f64,
    mean: f64,
    low: f64,
    high: f64,
    chance_within: f64,
    budget_for: f64,
}

#[derive(Deserialize)]
struct StudentPoint {
    freedom: f64,
    chance: f64,
    quantile: f64,
}

#[track_caller]
fn check_case(case: &Case) {
    const TOLERANCE: f64 = 1e-9;
    let classes: Vec<ClassKey> = case
        .class
        .iter()
        .map(|class| ClassKey::sized(&class.kind, &class.size))
        .collect();
    let work = |counts: &[f64], extras: f64| {
        let units = counts
            .iter()
            .map(|count| Units::new(*count).expect("a count in a fixture is valid"));
        Work::visit(classes.iter().cloned().zip(units))
            .expect("something counted")
            .with_extras(minutes(extras))
    };
    let mut model = TimeModel::new();
    if let Some(setup) = case.setup {
        model.set_setup(SetupTime::Set(minutes(setup)));
    }
    for (class, key) in case.class.iter().zip(&classes) {
        match class.basis.as_str() {
            "set" => model.set_minutes(key, minutes(class.minutes)),
            _ => model.add_starter(key, minutes(class.minutes)),
        }
        .expect("minutes above zero");
    }
    for job in &case.jobs {
        let job = Job::new(work(&job.counts, job.extras), minutes(job.spent)).expect("some minutes");
        model.observe(&job).expect("listed classes");
    }
    let outlook = model.outlook();
    for (class, key) in case.class.iter().zip(&classes) {
        let what = format!("{}, {key}", case.name);
        let found = outlook.estimate(key).expect("a listed class");
        check_close(&what, found.learned.get(), class.mean, TOLERANCE);
        check_close(&what, found.likely.low.get(), class.low.max(0.0), TOLERANCE);
        check_close(&what, found.likely.high.get(), class.high, TOLERANCE);
    }
    for quote in &case.quote {
        let what = format!("{}, quote {:?}", case.name, quote.counts);
        let found = outlook
            .forecast(&work(&quote.counts, quote.extras))
            .expect("listed classes");
        check_close(&what, found.mean().get(), quote.mean, TOLERANCE);
        check_close(&what, found.likely().low.get(), quote.low.max(0.0), TOLERANCE);
        check_close(&what, found.likely().high.get(), quote.high, TOLERANCE);
        check_close(
            &what,
            found.chance_within(minutes(quote.budget)),
            quote.chance_within,
            TOLERANCE,
        );
        let chance = Chance::new(quote.chance).expect("a chance in a fixture is valid");
        check_close(&what, found.budget_for(chance).get(), quote.budget_for, TOLERANCE);
    }
}

#[test]
fn posterior_and_forecast_agree_with_statsmodels_and_scipy() {
    let values: Independent =
        toml::from_str(include_str!("../../fixtures/references/timing/scipy.toml")).expect("a readable fixture");
    assert!(
        values.case.len() >= 6 && values.student.len() >= 90,
        "the fixture is whole"
    );
    values.case.iter().for_each(check_case);
    for point in &values.student {
        let found = Student::new(0.0, 1.0, point.freedom);
        let what = format!("t, {} df, {}", point.freedom, point.chance);
        check_close(&what, found.quantile(point.chance), point.quantile, 1e-9);
        check_close(&what, found.at_most(point.quantile), point.chance, 1e-9);
    }
}
