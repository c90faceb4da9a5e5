//! `tallyhand read`: what the language layer saw in a text, span by span, with no book in sight.

use std::fmt::Write;

use super::lines;
use crate::{
    journal::State,
    language::{self, Doubt, Expecting, Reading, Span},
};

/// Reads a text against the starter price list and prints what was seen.
pub(super) fn print(text: &str) -> anyhow::Result<()> {
    let reading = language::read(text, State::new().vocabulary(), Expecting::Nothing);
    lines::print(shown(text, &reading).trim_end())
}

/// The reading as text: pieces, meanings, what was left over, doubts.
fn shown(text: &str, reading: &Reading) -> String {
    let mut out = String::new();
    heading(&mut out, "pieces", reading.pieces.is_empty());
    for piece in &reading.pieces {
        line(
            &mut out,
            text,
            piece.span,
            &format!("{}  [{}]", piece.value(), piece.rule),
        );
    }
    heading(&mut out, "meanings", reading.meanings.is_empty());
    for said in &reading.meanings {
        line(&mut out, text, said.span, &format!("{:?}", said.meaning));
    }
    heading(&mut out, "left over", reading.left_over.is_empty());
    for left in &reading.left_over {
        line(&mut out, text, left.span, "");
    }
    heading(&mut out, "doubts", reading.doubts.is_empty());
    for doubt in &reading.doubts {
        match span_of(doubt) {
            Some(span) => line(&mut out, text, span, &format!("{doubt:?}")),
            None => push(&mut out, &format!("  {doubt:?}")),
        }
    }
    out
}

fn heading(out: &mut String, name: &str, empty: bool) {
    push(
        out,
        &if empty {
            format!("{name}: none")
        } else {
            format!("{name}:")
        },
    );
}

fn line(out: &mut String, text: &str, span: Span, what: &str) {
    let words = text.get(span.start..span.end).unwrap_or_default();
    push(
        out,
        format!("  {:>3}..{:<3} {words:?}  {what}", span.start, span.end).trim_end(),
    );
}

fn push(out: &mut String, words: &str) {
    // Infallible: writing to a string.
    let _ = writeln!(out, "{words}");
}

fn span_of(doubt: &Doubt) -> Option<Span> {
    match doubt {
        Doubt::NumberWithoutRole { span, .. }
        | Doubt::Either { span, .. }
        | Doubt::OutOfRange { span, .. }
        | Doubt::DollarsOrMinutes { span, .. } => Some(*span),
        Doubt::CountedTwice { .. } => None,
    }
}
