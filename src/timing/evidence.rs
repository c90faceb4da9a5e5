//! What all jobs so far say, filed so that old ones can fade by kind.
//!
//! A job is filed under the class that most of its expected minutes go to, and every job filed there later fades it: a
//! winter of crape myrtles is not forgotten over a summer of mowing, nor are the few large ones over the many small
//! ones. Within a file each job has one weight, a power of the fading step, so the sums are exactly those of a weighted
//! regression over the jobs themselves, however mixed; nothing is approximated by fading single columns of a job.

use std::sync::Arc;

use super::sums::{Observation, Sums};

/// After this many later jobs of its kind, a job counts half.
pub const HALF_LIFE_JOBS: f64 = 20.0;

/// Sums over jobs, one file for each class. Copies share the files that do not change.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Evidence {
    files: Vec<Arc<File>>,
}

#[derive(Debug, Clone, Default, PartialEq)]
struct File {
    sums: Sums,
    jobs: u32,
}

impl Evidence {
    /// Adds a job to a file; the jobs in the file before it fade by one step.
    pub fn observe(&mut self, file: usize, observation: &Observation) {
        self.forget(file, 1);
        let file = Arc::make_mut(&mut self.files[file]);
        file.sums.observe(observation);
        file.jobs = file.jobs.saturating_add(1);
    }

    /// Fades a file as that many later jobs of its kind would.
    pub fn forget(&mut self, file: usize, jobs: u32) {
        if self.files.len() <= file {
            self.files.resize_with(file + 1, Arc::default);
        }
        Arc::make_mut(&mut self.files[file])
            .sums
            .fade((-f64::from(jobs) / HALF_LIFE_JOBS).exp2());
    }

    /// Adds the evidence of a later book of the same price list: the same as observing its jobs one by one.
    pub fn merge(&mut self, later: &Evidence) {
        for (file, other) in later.files.iter().enumerate() {
            self.forget(file, other.jobs);
            let file = Arc::make_mut(&mut self.files[file]);
            file.sums.merge(&other.sums);
            file.jobs = file.jobs.saturating_add(other.jobs);
        }
    }

    /// Starts a column afresh: what the jobs so far say of it is dropped, what they say of the others stays.
    pub fn restart(&mut self, column: usize) {
        for file in &mut self.files {
            if file.sums.columns().contains(&column) {
                Arc::make_mut(file).sums.profile_out(column);
            }
        }
    }

    /// The sums filed under a class.
    pub fn file(&self, file: usize) -> Option<&Sums> {
        self.files.get(file).map(|file| &file.sums)
    }

    /// Whether both hold one and the same file.
    pub(super) fn shares(&self, other: &Evidence, file: usize) -> bool {
        match (self.files.get(file), other.files.get(file)) {
            (Some(own), Some(other)) => Arc::ptr_eq(own, other),
            (None, None) => true,
            _ => false,
        }
    }

    /// Units of a column and jobs with that column, over all files, after fading.
    pub fn behind(&self, column: usize) -> (f64, f64) {
        self.files.iter().fold((0.0, 0.0), |(units, jobs), file| {
            let (more_units, more_jobs) = file.sums.behind(column);
            (units + more_units, jobs + more_jobs)
        })
    }
}
