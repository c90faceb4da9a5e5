//! The kinds of meaning, by the names that programs see.

use crate::language::{ClockSaid, Meaning};

/// A kind of meaning, by the contract's names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A figure of the account.
    Set,
    /// A price asked for.
    Quote,
    /// A change to a quote.
    Revise,
    /// Worked backwards.
    Solve,
    /// Stopwatch readings.
    Time,
    /// Arrived.
    Here,
    /// A stop for a while.
    Pause,
    /// Going on.
    Resume,
    /// Done.
    Finish,
    /// The client said yes.
    Won,
    /// The client said no.
    Lost,
    /// A day.
    Plan,
    /// Money came in.
    Paid,
    /// Something to look at.
    Look,
    /// The guide.
    Guide,
    /// Take back.
    Undo,
    /// Words to keep.
    Note,
    /// Who may speak and from where.
    House,
    /// What can be said.
    Menu,
    /// Not understood.
    Unclear,
}

impl Kind {
    /// The contract's name.
    pub fn code(self) -> &'static str {
        match self {
            Kind::Set => "set",
            Kind::Quote => "quote",
            Kind::Revise => "revise",
            Kind::Solve => "solve",
            Kind::Time => "time",
            Kind::Here => "here",
            Kind::Pause => "pause",
            Kind::Resume => "resume",
            Kind::Finish => "finish",
            Kind::Won => "won",
            Kind::Lost => "lost",
            Kind::Plan => "plan",
            Kind::Paid => "paid",
            Kind::Look => "look",
            Kind::Guide => "guide",
            Kind::Undo => "undo",
            Kind::Note => "note",
            Kind::House => "house",
            Kind::Menu => "menu",
            Kind::Unclear => "unclear",
        }
    }

    /// The kind of a meaning; an answer to a question that nobody asked is not understood.
    pub(in crate::conversation) fn of(meaning: &Meaning) -> Kind {
        match meaning {
            Meaning::Set(_) => Kind::Set,
            Meaning::Quote { .. } => Kind::Quote,
            Meaning::Revise { .. } => Kind::Revise,
            Meaning::Solve(_) => Kind::Solve,
            Meaning::Time(_) => Kind::Time,
            Meaning::Here { .. } => Kind::Here,
            Meaning::Pause { .. } | Meaning::Clock(ClockSaid::Break { .. }) => Kind::Pause,
            Meaning::Resume { .. } => Kind::Resume,
            Meaning::Clock(ClockSaid::People { .. }) => Kind::Here,
            Meaning::Settled { .. } => Kind::Paid,
            Meaning::Again { .. } => Kind::Quote,
            Meaning::Shift { .. } | Meaning::Order { .. } => Kind::Plan,
            Meaning::Members(_) => Kind::Set,
            Meaning::Finish(_) => Kind::Finish,
            Meaning::Won { .. } => Kind::Won,
            Meaning::Lost { .. } => Kind::Lost,
            Meaning::Plan { .. } => Kind::Plan,
            Meaning::Paid { .. } => Kind::Paid,
            Meaning::Look(_) => Kind::Look,
            Meaning::Guide(_) => Kind::Guide,
            Meaning::Undo { .. } => Kind::Undo,
            Meaning::Note { .. } | Meaning::PlaceCaution { .. } => Kind::Note,
            Meaning::House(_) => Kind::House,
            Meaning::Menu => Kind::Menu,
            Meaning::Answer(_) => Kind::Unclear,
        }
    }
}
