//! A count drawn as pencil strokes: four uprights and one across, as on the back of a plant tag.

use std::fmt::Write;

/// More than this is not drawn: nobody counts the strokes any more.
const STROKES_MAX: usize = 40;

/// SVG of a tally.
pub(super) fn svg(count: usize) -> String {
    let count = count.min(STROKES_MAX);
    let groups = count.div_ceil(5);
    let width = groups * 30;
    let mut path = String::new();
    for stroke in 0..count {
        let left = stroke / 5 * 30;
        // Infallible: writing to a string.
        let _ = match stroke % 5 {
            4 => write!(path, "M{} 17L{} 4", left + 1, left + 25),
            upright => {
                // A hand does not draw straight: each stroke leans a little, always the same way for the same stroke.
                let lean = (stroke * 7) % 3;
                write!(
                    path,
                    "M{} 3L{} 18",
                    left + 4 + upright * 6 + lean,
                    left + 4 + upright * 6
                )
            }
        };
    }
    format!(
        "<svg class=\"tally\" viewBox=\"0 0 {width} 21\" width=\"{width}\" height=\"21\" role=\"img\" \
         aria-label=\"{count}\"><path d=\"{path}\"/></svg>"
    )
}

#[cfg(test)]
mod tests {
    use super::svg;

    #[test]
    fn every_stroke_is_drawn_up_to_the_limit() {
        for count in 0..60 {
            assert_eq!(svg(count).matches('M').count(), count.min(40), "{count}");
        }
    }
}
