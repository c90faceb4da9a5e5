//! The sufficient statistics of one weighted linear regression, and its normal-inverse-gamma posterior.
//!
//! An observation is `y = x'b + noise`, the noise normal with variance `dispersion x v`, `v` known. All that a
//! posterior needs of any number of observations are four sums: `X'WX`, `X'Wy`, `y'Wy` and how many there were, with `W
//! = 1/v`. So an observation costs the same at job 10 and job 100,000, older ones fade by scaling the sums, and two
//! books are merged by adding them. With prior `b | s ~ N(m0, s / L0)`, `s ~ InverseGamma(a0, b0)` the posterior is
//!
//! ```text
//! L = L0 + X'WX            m = m0 + L^-1 g          g = X'Wy - X'WX m0
//! a = a0 + n/2             B = b0 + (q - g'L^-1 g)/2     q = y'Wy - 2 m0'X'Wy + m0'X'WX m0
//! ```
//!
//! (Gelman et al., *Bayesian Data Analysis*, 3rd ed., sections 14.2 and 14.8, from memory; checked against independent
//! packages in `tests/it/timing_reference.rs`.) Written in deviations from the prior mean, where the cancellation in
//! `B` is mild. The matrix grows with the columns met so far, never with the observations.
//!
//! Invariant: `X'WX` is symmetric bit for bit, because both halves get the same products in the same order.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

use super::error::Error;

/// Information left on a column after it was profiled out that is only rounding, as a share of what was there.
const ROUNDING_SHARE: f64 = 1e-12;

/// One observation: `minutes = sum of count x minutes of that column + noise`, noise variance `dispersion x variance`.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// Column and count, ascending by column, no column twice.
    pub terms: Vec<(usize, f64)>,
    /// What was measured.
    pub minutes: f64,
    /// Variance of the noise per unit of dispersion, above zero.
    pub variance: f64,
}

/// The sums over all observations, each scaled by how far it has faded.
#[derive(Debug, Clone, PartialEq)]
pub struct Sums {
    columns: Vec<usize>,
    information: DMatrix<f64>,
    moment: DVector<f64>,
    square: f64,
    weight: f64,
    units: Vec<f64>,
    jobs: Vec<f64>,
}

impl Default for Sums {
    fn default() -> Self {
        Sums {
            columns: Vec::new(),
            information: DMatrix::zeros(0, 0),
            moment: DVector::zeros(0),
            square: 0.0,
            weight: 0.0,
            units: Vec::new(),
            jobs: Vec::new(),
        }
    }
}

impl Sums {
    /// Adds one observation.
    pub fn observe(&mut self, observation: &Observation) {
        assert!(observation.variance > 0.0, "the noise of an observation has a variance");
        assert!(
            observation.terms.is_sorted_by(|a, b| a.0 < b.0),
            "terms ascend by column, none twice"
        );
        let places: Vec<(usize, f64)> = observation
            .terms
            .iter()
            .map(|(column, count)| (self.place(*column), *count))
            .collect();
        let per_variance = observation.variance.recip();
        for (row, count) in &places {
            for (column, other) in &places {
                self.information[(*row, *column)] += count * other * per_variance;
            }
            self.moment[*row] += count * (observation.minutes * per_variance);
            self.units[*row] += count;
            self.jobs[*row] += 1.0;
        }
        self.square += observation.minutes * observation.minutes * per_variance;
        self.weight += 1.0;
    }

    /// Lets all that was observed so far count for the given share (0 to 1) of what it did.
    pub fn fade(&mut self, share: f64) {
        assert!((0.0..=1.0).contains(&share), "share {share} lies between 0 and 1");
        self.information *= share;
        self.moment *= share;
        self.square *= share;
        self.weight *= share;
        self.units
            .iter_mut()
            .chain(self.jobs.iter_mut())
            .for_each(|sum| *sum *= share);
    }

    /// Adds the observations of another book.
    pub fn merge(&mut self, other: &Sums) {
        // Places move as columns are added, so all are added first.
        for column in &other.columns {
            self.place(*column);
        }
        let places: Vec<usize> = other.columns.iter().map(|column| self.place(*column)).collect();
        for (from, to) in places.iter().enumerate() {
            for (other_from, other_to) in places.iter().enumerate() {
                self.information[(*to, *other_to)] += other.information[(from, other_from)];
            }
            self.moment[*to] += other.moment[from];
            self.units[*to] += other.units[from];
            self.jobs[*to] += other.jobs[from];
        }
        self.square += other.square;
        self.weight += other.weight;
    }

    /// Takes a column's coefficient as having been another, unknown one in all observations so far: what they say of
    /// the other columns stays, what they say of this one is gone. (The flat-prior marginal: a Schur complement, which
    /// costs one observation's worth of the dispersion.)
    pub fn profile_out(&mut self, column: usize) {
        let Some(place) = self.columns.iter().position(|known| *known == column) else {
            return;
        };
        let pivot = self.information[(place, place)];
        if pivot > 0.0 {
            let cross = self.information.column(place).clone_owned();
            let moment = self.moment[place];
            let before: Vec<f64> = self.information.diagonal().iter().copied().collect();
            for row in 0..self.columns.len() {
                for other in 0..self.columns.len() {
                    self.information[(row, other)] -= cross[row] * cross[other] / pivot;
                }
                self.moment[row] -= cross[row] * moment / pivot;
            }
            self.square = (self.square - moment * moment / pivot).max(0.0);
            self.weight = (self.weight - 1.0).max(0.0);
            for (row, information) in before.into_iter().enumerate() {
                if row == place || self.information[(row, row)] <= ROUNDING_SHARE * information {
                    self.silence(row);
                }
            }
        }
        self.units[place] = 0.0;
        self.jobs[place] = 0.0;
    }

    /// The sums that remain when a column's coefficient is known: its part is taken off every observation.
    pub fn given(&self, column: usize, value: f64) -> Sums {
        let Some(place) = self.columns.iter().position(|known| *known == column) else {
            return self.clone();
        };
        let mut rest = self.clone();
        let cross = self.information.column(place).clone_owned();
        rest.square += value * (value * cross[place] - 2.0 * self.moment[place]);
        rest.moment -= &cross * value;
        rest.columns.remove(place);
        rest.information = rest.information.remove_row(place).remove_column(place);
        rest.moment = rest.moment.remove_row(place);
        rest.units.remove(place);
        rest.jobs.remove(place);
        rest
    }

    /// Columns met so far, ascending.
    pub fn columns(&self) -> &[usize] {
        &self.columns
    }

    /// How many observations these sums are worth after fading.
    pub fn weight(&self) -> f64 {
        self.weight
    }

    /// Units of a column and observations with that column, both after fading.
    pub fn behind(&self, column: usize) -> (f64, f64) {
        match self.columns.binary_search(&column) {
            Ok(place) => (self.units[place], self.jobs[place]),
            Err(_) => (0.0, 0.0),
        }
    }

    /// All sums by name, in a fixed order.
    pub(super) fn figures(&self) -> Vec<(&'static str, Vec<f64>)> {
        vec![
            ("columns", self.columns.iter().map(|column| *column as f64).collect()),
            ("information", self.information.iter().copied().collect()),
            ("moment", self.moment.iter().copied().collect()),
            ("square", vec![self.square]),
            ("weight", vec![self.weight]),
            ("units_behind", self.units.clone()),
            ("jobs_behind", self.jobs.clone()),
        ]
    }

    /// `X'WX` in the order of [`Sums::columns`].
    pub(super) fn information(&self) -> &DMatrix<f64> {
        &self.information
    }

    /// `X'W(y - Xm)`: what the observations say beyond coefficients `m`, in the order of [`Sums::columns`].
    pub(super) fn surprise(&self, mean: &DVector<f64>) -> DVector<f64> {
        &self.moment - &self.information * mean
    }

    /// The posterior; the prior is given in the order of [`Sums::columns`]. [`Error::Undetermined`] when the prior is
    /// too flat for what the observations leave open.
    pub fn posterior(&self, prior: &Prior) -> Result<Posterior, Error> {
        let unknowns = self.columns.len();
        assert!(
            prior.mean.len() == unknowns && prior.precision.len() == unknowns,
            "the prior covers every column"
        );
        let surprise = self.surprise(&prior.mean);
        let precision = DMatrix::from_diagonal(&prior.precision) + &self.information;
        let cholesky = Cholesky::new(precision).ok_or(Error::Undetermined { unknowns })?;
        let shift = cholesky.solve(&surprise);
        // y'Wy - 2 m0'X'Wy + m0'X'WX m0, of which the last two are -m0'(surprise + X'Wy).
        let spread = self.square - prior.mean.dot(&self.moment) - prior.mean.dot(&surprise);
        let shape = prior.shape + self.weight / 2.0;
        let rate = prior.rate + (spread - surprise.dot(&shift)).max(0.0) / 2.0;
        if shape <= 0.0 {
            return Err(Error::Undetermined { unknowns });
        }
        Ok(Posterior {
            mean: &prior.mean + shift,
            cholesky,
            shape,
            rate,
        })
    }

    /// Where a column stands in the sums, made room for if it is new.
    fn place(&mut self, column: usize) -> usize {
        match self.columns.binary_search(&column) {
            Ok(place) => place,
            Err(place) => {
                self.columns.insert(place, column);
                let information = std::mem::replace(&mut self.information, DMatrix::zeros(0, 0));
                self.information = information.insert_row(place, 0.0).insert_column(place, 0.0);
                let moment = std::mem::replace(&mut self.moment, DVector::zeros(0));
                self.moment = moment.insert_row(place, 0.0);
                self.units.insert(place, 0.0);
                self.jobs.insert(place, 0.0);
                place
            }
        }
    }

    fn silence(&mut self, place: usize) {
        self.information.row_mut(place).fill(0.0);
        self.information.column_mut(place).fill(0.0);
        self.moment[place] = 0.0;
    }
}

/// A normal-inverse-gamma prior over the columns of a [`Sums`].
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    /// Mean of each coefficient.
    pub mean: DVector<f64>,
    /// Precision of each coefficient per unit of dispersion.
    pub precision: DVector<f64>,
    /// Shape of the inverse gamma of the dispersion: half its degrees of freedom.
    pub shape: f64,
    /// Rate of the inverse gamma of the dispersion.
    pub rate: f64,
}

impl Prior {
    /// No opinion at all (density proportional to 1/dispersion): the posterior is the classical least-squares answer.
    pub fn flat(unknowns: usize) -> Self {
        Prior {
            mean: DVector::zeros(unknowns),
            precision: DVector::zeros(unknowns),
            shape: -(unknowns as f64) / 2.0,
            rate: 0.0,
        }
    }
}

/// A normal-inverse-gamma posterior.
#[derive(Debug, Clone)]
pub struct Posterior {
    mean: DVector<f64>,
    cholesky: Cholesky<f64, Dyn>,
    shape: f64,
    rate: f64,
}

impl Posterior {
    /// Means of the coefficients.
    pub fn mean(&self) -> &DVector<f64> {
        &self.mean
    }

    /// Degrees of freedom of every t distribution that follows from it.
    pub fn freedom(&self) -> f64 {
        2.0 * self.shape
    }

    /// The dispersion: noise variance per unit of an observation's `variance`. With a flat prior it is the residual
    /// mean square.
    pub fn dispersion(&self) -> f64 {
        self.rate / self.shape
    }

    /// Variance of `x'b` per unit of dispersion.
    pub fn leverage(&self, terms: &DVector<f64>) -> f64 {
        terms.dot(&self.cholesky.solve(terms))
    }
}
