//! The season, said and answered: the clock, payments, what is due, reports and files. Every case is a talk with times.

mod clock;
mod coming_back;
mod files;
mod moving;
mod paying;
mod planning;
mod reports;
mod roles;
mod yard;
