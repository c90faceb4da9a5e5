//! Taking messages back: at any depth, the last one first, one's own only.

use super::{
    answer::{Part, TakenBack, UndoneShown},
    desk::{Desk, Worked},
    look,
};
use crate::{
    journal::{Event, QuoteEntry, State},
    units::InboundId,
};

/// Takes back the last steps of the member who speaks. A question that is still open counts as the last of them.
pub(super) fn undo(desk: &mut Desk<'_>, before: &State, steps: u32) -> Worked {
    let mut left = steps.max(1);
    let shown_before = desk.current_quote().cloned();
    let mut taken = Vec::new();
    if desk.has_changed_book() {
        desk.start_over(before);
        taken.push(TakenBack::ThisMessage);
        left -= 1;
    }
    let (causes, mut earlier) = last_steps(desk, left);
    taken.append(&mut earlier);
    if !causes.is_empty() {
        let state = desk.state().without(&causes);
        let shown = state.is_some();
        desk.take_back(Event::Undone { causes }, state);
        if !shown {
            desk.say(Part::Undone(UndoneShown { taken, asked: steps }));
            return Ok(());
        }
    }
    desk.say(Part::Undone(UndoneShown { taken, asked: steps }));
    keep_talking_of(desk, shown_before.as_ref());
    look::show_current_if_changed(desk, shown_before.as_ref());
    Ok(())
}

/// The job that was talked about stays the one in hand, if it is still there: after `done`, `undo`, the next `done` is of
/// the same job.
fn keep_talking_of(desk: &mut Desk<'_>, before: Option<&QuoteEntry>) {
    let Some(before) = before.filter(|before| desk.quote(before.no).is_some()) else {
        return;
    };
    if desk.current_quote().is_none_or(|now| now.no != before.no) {
        desk.record(Event::QuoteShown { no: before.no });
    }
}

/// The last messages of the member that can be taken back, newest first.
fn last_steps(desk: &Desk<'_>, wanted: u32) -> (Vec<InboundId>, Vec<TakenBack>) {
    let member = desk.inbound.member;
    let mut causes = Vec::new();
    let mut taken = Vec::new();
    if let Some(open) = desk.talk().pending.filter(|_| wanted > 0) {
        let changed_book = desk.state().steps().any(|step| step.cause == open.cause);
        if !changed_book {
            taken.push(TakenBack::Question(open.question.text.clone()));
            causes.push(open.cause);
        }
    }
    for step in desk.state().steps().rev().filter(|step| step.member == member) {
        if causes.len() >= usize::try_from(wanted).unwrap_or(usize::MAX) {
            break;
        }
        taken.push(TakenBack::Said(step.text.clone(), desk.state().facts_of(&step.cause)));
        causes.push(step.cause.clone());
    }
    (causes, taken)
}
