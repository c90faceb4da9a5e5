//! How long does work take, how sure is that, and what does the next quote risk?
//!
//! Finished jobs (counts by class, only the total known) and stopwatch readings feed one Bayesian weighted linear
//! regression in closed form: the total is the sum of count times minutes each, plus the set-up, plus noise whose
//! variance is proportional to the expected minutes. A class (kind and size) starts from the owner's minutes, worth
//! five timed units, or from a starter guess, worth two; jobs move it from there. Every answer is a Student t
//! distribution.
//!
//! # Decisions
//!
//! - **A job that mixes classes or kinds** enters whole, as one row over all its classes. Sharing its total out by what
//!   was expected would teach each class the others' surprises, and would soon claim to know classes that were only
//!   ever timed together. The joint posterior knows the sum well and each part badly, and says so ([`outlook`]).
//! - **Fading.** A job counts half after twenty later jobs of its kind, where its kind is the class that most of its
//!   expected minutes go to ([`evidence`]): large ones are not forgotten over small ones, nor a winter's pruning over a
//!   summer's mowing. The owner's word or the guess does not fade; at most 29 jobs' worth of evidence stands against
//!   it.
//! - **Noise** has one dispersion for each kind, since mowing is steadier than pruning, guessed at first from the
//!   crew's other kinds. With a single kind in the book the posterior is exactly normal-inverse-gamma; with several,
//!   each dispersion stands at its own posterior estimate.
//! - **A sitting with the stopwatch is one job** of as many units. For the mean it says exactly what as many jobs of
//!   one unit say. It is one job for fading and for the noise, because readings minutes apart share the day, the hand
//!   and the plant's neighbours: taken as twenty jobs, they would promise that whole jobs come out as even as that.
//! - **The set-up**, when nobody set it, is the intercept, believed to be none give or take ten minutes. Then a quote
//!   has to charge [`outlook::Outlook::setup_minutes`] beside the counts.
//! - **Minutes set anew** that contradict the jobs start the class afresh; minutes that fit leave the evidence
//!   standing.
//!
//! # When learned minutes are the better ones
//!
//! Learned minutes replace a starter guess, or the owner's minutes, when both are true:
//!
//! 1. the jobs have cut the variance of the class's minutes to half of what the prior alone leaves, which makes the
//!    range at most 0.71 times as wide: the figure then rests on the crew's own work at least as much as on what was
//!    said. A class done alone gets there with five units against the owner's word and two against a guess; one that
//!    was only timed together with others takes longer, or never does, because its own minutes are not known;
//! 2. at least three jobs or readings (for a guess: one) with that class were finished since the minutes were set. One
//!    total may hold more than five units and still be one odd day, and the owner's fresh word must price the next
//!    quote.
//!
//! Minutes that the owner keeps ([`model::TimeModel::keep_minutes`]) never give way; their range still follows the
//! jobs.
//!
//! # Invariants
//!
//! - A model is a fold over what it was told: the same calls give the same bits. Asking changes nothing.
//! - A finish costs the same however long the book is.
//! - No money, no clock, no names but those of the price list.

pub mod amount;
pub mod class;
pub mod error;
pub mod estimate;
pub mod evidence;
pub mod forecast;
pub mod model;
pub mod outlook;
pub mod reason;
pub mod student;
pub mod sums;
pub mod surprise;
pub mod trend;
pub mod work;
