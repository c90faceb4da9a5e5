//! Shapes and letters written as SVG: everything that is said in a picture is escaped here.

use std::fmt::Write;

use super::{FONT_NAME, HEIGHT, WIDTH};

/// A colour of the picture: a name by which a page can give it another colour, as in the dark, and the colour without one.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pen {
    name: &'static str,
    colour: &'static str,
}

const fn pen(name: &'static str, colour: &'static str) -> Pen {
    Pen { name, colour }
}

/// The paper.
const PAPER: Pen = pen("paper", "#fbf6e6");
/// Letters and marks.
pub(super) const INK: Pen = pen("ink", "#2c2a25");
/// Lesser letters.
pub(super) const PENCIL: Pen = pen("pencil", "#6a655b");
/// Ruled lines.
pub(super) const RULE: Pen = pen("line", "#d5dfd6");
/// What is believed.
pub(super) const LEAF: Pen = pen("leaf", "#33602f");
/// How sure that is.
pub(super) const BAND: Pen = pen("band", "#c3d3b4");
/// What was set.
pub(super) const MARGIN: Pen = pen("margin", "#a8503f");

impl Pen {
    /// To fill with.
    fn fill(self) -> String {
        format!("class=\"in-{}\" fill=\"{}\"", self.name, self.colour)
    }

    /// To draw a line with.
    fn stroke(self) -> String {
        format!("class=\"by-{}\" stroke=\"{}\"", self.name, self.colour)
    }
}

/// A picture in the making.
pub(super) struct Canvas {
    body: String,
}

/// Where a text stands to its point.
#[derive(Debug, Clone, Copy)]
pub(super) enum Anchor {
    /// To the right of it.
    Start,
    /// Around it.
    Middle,
    /// To the left of it.
    End,
}

impl Canvas {
    /// An empty sheet with a title that is read aloud.
    pub(super) fn new(title: &str) -> Canvas {
        let body = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"{WIDTH}\" height=\"{HEIGHT}\" \
             class=\"minutes\" role=\"img\" font-family=\"{FONT_NAME}, sans-serif\">\n<title>{}</title>\n\
             <rect width=\"{WIDTH}\" height=\"{HEIGHT}\" {}/>\n",
            escaped(title),
            PAPER.fill()
        );
        Canvas { body }
    }

    /// Letters.
    pub(super) fn text(&mut self, (x, y): (f64, f64), size: u32, anchor: Anchor, fill: Pen, words: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        self.put(format_args!(
            "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size}\" text-anchor=\"{anchor}\" {}>{}</text>",
            fill.fill(),
            escaped(words)
        ));
    }

    /// A straight line.
    pub(super) fn line(&mut self, from: (f64, f64), to: (f64, f64), stroke: Pen, width: f64, dashes: &str) {
        let dashes = if dashes.is_empty() {
            String::new()
        } else {
            format!(" stroke-dasharray=\"{dashes}\"")
        };
        self.put(format_args!(
            "<line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" {} stroke-width=\"{width}\"{dashes}/>",
            from.0,
            from.1,
            to.0,
            to.1,
            stroke.stroke()
        ));
    }

    /// A line through points.
    pub(super) fn course(&mut self, points: &[(f64, f64)], stroke: Pen, width: f64) {
        self.put(format_args!(
            "<polyline points=\"{}\" fill=\"none\" {} stroke-width=\"{width}\" stroke-linejoin=\"round\"/>",
            listed(points),
            stroke.stroke()
        ));
    }

    /// A filled shape.
    pub(super) fn shape(&mut self, points: &[(f64, f64)], fill: Pen) {
        self.put(format_args!("<polygon points=\"{}\" {}/>", listed(points), fill.fill()));
    }

    /// A round mark, filled.
    pub(super) fn dot(&mut self, (x, y): (f64, f64), radius: f64, fill: Pen) {
        self.put(format_args!(
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius}\" {} fill-opacity=\"0.75\"/>",
            fill.fill()
        ));
    }

    /// A filled rectangle, from its upper left corner; one without a size is not drawn.
    pub(super) fn bar(&mut self, (x, y): (f64, f64), (width, height): (f64, f64), fill: Pen) {
        if width < 0.1 || height < 0.1 {
            return;
        }
        self.put(format_args!(
            "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" {}/>",
            fill.fill()
        ));
    }

    /// A square mark, filled with paper.
    pub(super) fn square(&mut self, (x, y): (f64, f64), half: f64, stroke: Pen) {
        self.put(format_args!(
            "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"{}\" {} stroke-width=\"3\"/>",
            x - half,
            y - half,
            2.0 * half,
            2.0 * half,
            PAPER.colour,
            stroke.stroke()
        ));
    }

    /// The whole picture.
    pub(super) fn finish(mut self) -> String {
        self.body.push_str("</svg>\n");
        self.body
    }

    fn put(&mut self, element: std::fmt::Arguments<'_>) {
        // Infallible: writing to a string.
        let _ = writeln!(self.body, "{element}");
    }
}

fn listed(points: &[(f64, f64)]) -> String {
    let points: Vec<String> = points.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect();
    points.join(" ")
}

/// Text that means only itself in SVG; what XML cannot hold is left out.
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            _ if letter.is_control() || matches!(letter, '\u{fffe}' | '\u{ffff}') => {}
            _ => safe.push(letter),
        }
    }
    safe
}
