//! Lines in and out of the terminal, each with a limit.

use std::io::{BufRead, Write};

/// A line as it came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Line {
    /// Its text, without the line end; bytes that are no UTF-8 are replaced.
    Text(String),
    /// It was longer than the limit; this many bytes were read and thrown away.
    TooLong(usize),
}

/// The next line; `None` at the end. Never holds more than the limit in memory.
pub(super) fn next(input: &mut impl BufRead, bytes_max: usize) -> std::io::Result<Option<Line>> {
    let mut kept = Vec::new();
    let mut seen = 0_usize;
    loop {
        let chunk = input.fill_buf()?;
        if chunk.is_empty() {
            return Ok((seen > 0).then(|| finish(kept, seen, bytes_max)));
        }
        let (taken, ended) = match chunk.iter().position(|byte| *byte == b'\n') {
            Some(end) => (end + 1, true),
            None => (chunk.len(), false),
        };
        let text = if ended { &chunk[..taken - 1] } else { chunk };
        if seen + text.len() <= bytes_max {
            kept.extend_from_slice(text);
        }
        seen += text.len();
        input.consume(taken);
        if ended {
            return Ok(Some(finish(kept, seen, bytes_max)));
        }
    }
}

fn finish(kept: Vec<u8>, seen: usize, bytes_max: usize) -> Line {
    if seen > bytes_max {
        Line::TooLong(seen)
    } else {
        Line::Text(String::from_utf8_lossy(&kept).into_owned())
    }
}

/// Prints a line and hands it on at once: whoever reads it may be waiting.
pub(super) fn print(text: &str) -> anyhow::Result<()> {
    let mut output = std::io::stdout().lock();
    writeln!(output, "{text}")?;
    Ok(output.flush()?)
}

#[cfg(test)]
mod tests {
    use std::io::BufReader;

    use super::{Line, next};

    #[test]
    fn long_lines_are_passed_over_whole_and_the_next_one_is_read() {
        let text = format!("12 small\n{}\n\ndone", "a".repeat(50));
        for buffer in 1..20 {
            let mut input = BufReader::with_capacity(buffer, text.as_bytes());
            let mut read = || next(&mut input, 10).expect("a line");
            assert_eq!(read(), Some(Line::Text("12 small".into())));
            assert_eq!(read(), Some(Line::TooLong(50)));
            assert_eq!(read(), Some(Line::Text(String::new())));
            assert_eq!(read(), Some(Line::Text("done".into())));
            assert_eq!(read(), None);
        }
    }
}
