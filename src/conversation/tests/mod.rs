//! Conversations with meanings given instead of read, so that what is decided is tested apart from how words are read.

mod asking;
mod clock;
mod learning;
mod meanings;
mod members;
mod promises;
mod yard;
