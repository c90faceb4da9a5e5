//! Who writes, and how do many messages share one commit?
//!
//! One thread owns the one connection that writes. It takes a job, then whatever else has queued up meanwhile, and puts
//! all of it into one transaction: while the disk is busy with one commit the next batch collects by itself, so a burst
//! costs few commits and a lone message waits for nobody. Nothing is answered before the commit that holds it.

use std::panic::{AssertUnwindSafe, catch_unwind};

use rusqlite::{Connection, TransactionBehavior};
use tokio::sync::{broadcast, mpsc, oneshot};

use super::{
    Counts, Error, Options,
    chats::Codes,
    facts::Folded,
    step::{self, Answered, Delivery, States},
};
use crate::{journal::State, units::AccountId};

/// Messages that may share a commit.
const BATCH_MESSAGES_MAX: usize = 256;

/// Where an answer is waited for.
pub(super) type AnswerTo = oneshot::Sender<Result<Answered, Error>>;

/// Work for the writer.
pub(super) enum Job {
    /// A message.
    Take(Box<Delivery>, AnswerTo),
    /// Something small that is not a message: a session, a link, an outbox row.
    Run(Box<dyn FnOnce(&mut Connection) + Send>),
    /// The state of an account as it stands, to be looked at elsewhere.
    Look(AccountId, oneshot::Sender<Result<State, Error>>),
    /// A state that was folded elsewhere, for when it is needed.
    Hold(AccountId, Box<Folded>),
    /// Nothing more: what is queued behind it is not taken.
    Stop,
}

/// Works until it is told to stop, or every handle is gone.
pub(super) fn run(
    mut connection: Connection,
    mut jobs: mpsc::Receiver<Job>,
    options: &Options,
    codes: Codes,
    (counts, news): (&Counts, &broadcast::Sender<AccountId>),
) {
    let mut states = States::with(codes);
    while let Some(job) = jobs.blocking_recv() {
        let mut next = Some(job);
        while let Some(job) = next.take() {
            if matches!(job, Job::Stop) {
                return;
            }
            // A panic here is a bug outside of handling, which has its own net. What was open is rolled back as it passes,
            // who waited for it finds nothing, and the thread goes on for the others.
            let done = catch_unwind(AssertUnwindSafe(|| {
                work_on(job, &mut connection, &mut states, &mut jobs, (options, counts, news))
            }));
            next = done.unwrap_or_else(|_| {
                tracing::error!("work on the book ended with a panic");
                states.forget_all();
                None
            });
        }
    }
}

/// Does a job, a message together with those that wait behind it; gives back the first that is something else.
fn work_on(
    job: Job,
    connection: &mut Connection,
    states: &mut States,
    jobs: &mut mpsc::Receiver<Job>,
    (options, counts, news): (&Options, &Counts, &broadcast::Sender<AccountId>),
) -> Option<Job> {
    match job {
        Job::Take(delivery, answer) => {
            let mut batch = vec![(*delivery, answer)];
            let next = collect(jobs, &mut batch);
            commit(connection, states, batch, options, counts, news);
            next
        }
        Job::Look(account, answer) => {
            states.begin();
            let _ = answer.send(states.of(connection, account).map(|folded| folded.state.clone()));
            None
        }
        Job::Run(work) => {
            work(connection);
            None
        }
        Job::Hold(account, folded) => {
            states.hold(account, *folded);
            None
        }
        Job::Stop => None,
    }
}

/// Adds the messages that are waiting already; gives back the first job that is something else.
fn collect(jobs: &mut mpsc::Receiver<Job>, batch: &mut Vec<(Delivery, AnswerTo)>) -> Option<Job> {
    while batch.len() < BATCH_MESSAGES_MAX {
        match jobs.try_recv() {
            Ok(Job::Take(delivery, answer)) => batch.push((*delivery, answer)),
            Ok(other) => return Some(other),
            Err(_) => return None,
        }
    }
    None
}

fn commit(
    connection: &mut Connection,
    states: &mut States,
    batch: Vec<(Delivery, AnswerTo)>,
    options: &Options,
    counts: &Counts,
    news: &broadcast::Sender<AccountId>,
) {
    let (deliveries, waiting): (Vec<_>, Vec<_>) = batch.into_iter().unzip();
    let results = match take_all(connection, states, &deliveries, options) {
        Ok(results) => {
            count(counts, &results);
            results
        }
        Err(failure) => {
            counts.commit_failures().inc();
            states.forget_all();
            tracing::error!(error = &failure as &dyn std::error::Error, "a commit failed");
            waiting.iter().map(|_| Err(failure.shared())).collect()
        }
    };
    let mut told: Vec<AccountId> = deliveries.iter().map(|delivery| delivery.account).collect();
    told.dedup();
    for (answer, result) in waiting.into_iter().zip(results) {
        // A caller that has gone away changes nothing: its message is in the book.
        let _ = answer.send(result);
    }
    for account in told {
        // Fails when nobody listens.
        let _ = news.send(account);
    }
}

fn count(counts: &Counts, results: &[Result<Answered, Error>]) {
    counts.shared().observe(results.len() as f64);
    for answered in results.iter().flatten() {
        match (answered.again, answered.failed) {
            (true, _) => counts.again().inc(),
            (false, false) => counts.taken().inc(),
            (false, true) => {
                counts.taken().inc();
                counts.failed().inc()
            }
        };
    }
}

/// Takes every delivery in one transaction; one that fails is rolled back alone.
pub(super) fn take_all(
    connection: &mut Connection,
    states: &mut States,
    deliveries: &[Delivery],
    options: &Options,
) -> Result<Vec<Result<Answered, Error>>, Error> {
    states.begin();
    let mut transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let mut results = Vec::with_capacity(deliveries.len());
    for delivery in deliveries {
        let savepoint = transaction.savepoint()?;
        match step::take(&savepoint, states, delivery, options) {
            Ok(answered) => {
                savepoint.commit()?;
                results.push(Ok(answered));
            }
            Err(failure) => {
                drop(savepoint);
                states.forget(delivery.account);
                tracing::error!(
                    error = &failure as &dyn std::error::Error,
                    "a message could not be kept"
                );
                results.push(Err(failure));
            }
        }
    }
    transaction.commit()?;
    Ok(results)
}
