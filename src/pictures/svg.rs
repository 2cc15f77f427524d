//! Writes a sheet as an SVG file that looks the same everywhere: letters are outlines.

use super::font::Written;
use super::look::Color;
use super::sheet::{Point, Shape, Sheet, Stroke};
use rustybuzz::ttf_parser::OutlineBuilder;
use std::collections::BTreeSet;
use std::fmt::{Display, Write as _};

/// The sheet as a file, with its title and its text alternative.
pub(super) fn write(sheet: &Sheet<'_>, title: &str, alt: &str) -> String {
    let (wide, high) = sheet.pixels();
    let (width, height) = (sheet.look.width(), sheet.height);
    let view = format!("0 0 {width} {height}");
    let mut file = Writer::default();
    file.begin(
        "svg",
        &[
            ("xmlns", &"http://www.w3.org/2000/svg"),
            ("width", &wide),
            ("height", &high),
            ("viewBox", &view),
            ("role", &"img"),
        ],
    );
    file.holding("title", &[], title);
    file.holding("desc", &[], alt);
    glyphs(&mut file, sheet);
    let ground = hex(sheet.look.palette().background);
    file.empty("rect", &[("width", &width), ("height", &height), ("fill", &ground)]);
    for shape in &sheet.shapes {
        self::shape(&mut file, shape);
    }
    file.end("svg");
    file.text
}

/// The outline of every glyph that is used, once.
fn glyphs(file: &mut Writer, sheet: &Sheet<'_>) {
    let lines = sheet.shapes.iter().filter_map(|shape| match shape {
        Shape::Text { written, .. } if written.whole => Some(written),
        _ => None,
    });
    let parts = lines.flat_map(|written| &written.parts);
    let used: BTreeSet<(usize, u16)> =
        parts.flat_map(|part| part.glyphs.iter().map(|glyph| (part.face, glyph.id))).collect();
    file.begin("defs", &[]);
    for (face, glyph) in used {
        let mut outline = Outline::default();
        sheet.pen.outline(face, glyph, &mut outline);
        file.empty("path", &[("id", &name(face, glyph)), ("d", &outline.0)]);
    }
    file.end("defs");
}

/// What a glyph is called in the file.
fn name(face: usize, glyph: u16) -> String {
    format!("f{face}g{glyph}")
}

fn shape(file: &mut Writer, shape: &Shape) {
    match shape {
        Shape::Area { corners, color, opaque } => {
            let (corners, color, opaque) = (points(corners), hex(*color), short(*opaque));
            file.empty(
                "polygon",
                &[("points", &corners), ("fill", &color), ("fill-opacity", &opaque)],
            );
        }
        Shape::Disc { centre: (x, y), radius, color } => {
            let [x, y, radius] = [x, y, radius].map(|number| short(*number));
            file.empty("circle", &[("cx", &x), ("cy", &y), ("r", &radius), ("fill", &hex(*color))]);
        }
        Shape::Line { points, stroke } => line(file, points, *stroke),
        Shape::Text { written, start, color } => text(file, written, *start, *color),
    }
}

fn line(file: &mut Writer, through: &[Point], stroke: Stroke) {
    let (points, color, width) = (points(through), hex(stroke.color), short(stroke.width));
    let dashes = stroke.dashes.map(|dashes| dashes.map(short).join(" "));
    let dashes = dashes.unwrap_or_else(|| "none".to_owned());
    file.empty(
        "polyline",
        &[
            ("points", &points),
            ("fill", &"none"),
            ("stroke", &color),
            ("stroke-width", &width),
            ("stroke-dasharray", &dashes),
        ],
    );
}

/// A line of text as outlines; one that no font can write is left to the reader's own fonts.
fn text(file: &mut Writer, written: &Written, (x, y): Point, color: Color) {
    let color = hex(color);
    if !written.whole {
        let attributes: [(&str, &dyn Display); 5] = [
            ("x", &short(x)),
            ("y", &short(y)),
            ("font-size", &short(written.size)),
            ("font-family", &"sans-serif"),
            ("fill", &color),
        ];
        return file.holding("text", &attributes, &written.text);
    }
    for part in &written.parts {
        let (left, scale) = (short(x + part.left), format!("{:.5}", part.scale));
        let place = format!("translate({left} {}) scale({scale} -{scale})", short(y));
        file.begin("g", &[("fill", &color), ("transform", &place)]);
        for glyph in &part.glyphs {
            let name = format!("#{}", name(part.face, glyph.id));
            let mut attributes: Vec<(&str, &dyn Display)> = vec![("href", &name), ("x", &glyph.x)];
            if glyph.y != 0 {
                attributes.push(("y", &glyph.y));
            }
            file.empty("use", &attributes);
        }
        file.end("g");
    }
}

fn points(through: &[Point]) -> String {
    let point = |(x, y): &Point| format!("{},{}", short(*x), short(*y));
    through.iter().map(point).collect::<Vec<_>>().join(" ")
}

fn hex(Color(r, g, b): Color) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// A number with two digits behind the point at most.
fn short(number: f64) -> String {
    let number = format!("{number:.2}");
    let number = number.trim_end_matches('0').trim_end_matches('.');
    if number == "-0" { "0".to_owned() } else { number.to_owned() }
}

/// Writes elements; whatever stands in an attribute or between tags is escaped here, and only here.
#[derive(Default)]
struct Writer {
    text: String,
}

impl Writer {
    fn open(&mut self, name: &str, attributes: &[(&str, &dyn Display)], end: &str) {
        write!(self.text, "<{name}").expect("a String takes all");
        for (attribute, value) in attributes {
            let value = escape(&value.to_string());
            write!(self.text, " {attribute}=\"{value}\"").expect("a String takes all");
        }
        self.text.push_str(end);
    }

    fn begin(&mut self, name: &str, attributes: &[(&str, &dyn Display)]) {
        self.open(name, attributes, ">\n");
    }

    fn empty(&mut self, name: &str, attributes: &[(&str, &dyn Display)]) {
        self.open(name, attributes, "/>\n");
    }

    fn holding(&mut self, name: &str, attributes: &[(&str, &dyn Display)], text: &str) {
        self.open(name, attributes, ">");
        self.text.push_str(&escape(text));
        self.end(name);
    }

    fn end(&mut self, name: &str) {
        writeln!(self.text, "</{name}>").expect("a String takes all");
    }
}

/// Text of which nothing is taken for markup, in an element or in an attribute.
fn escape(text: &str) -> String {
    let mut escaped = String::new();
    for c in text.chars() {
        match c {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            // XML has no place for these two, nor for most control characters.
            '\u{fffe}' | '\u{ffff}' => escaped.push(' '),
            c if c.is_control() => escaped.push(' '),
            c => escaped.push(c),
        }
    }
    escaped
}

/// An outline as the data of an SVG path, in whole units of the font.
#[derive(Default)]
struct Outline(String);

impl Outline {
    fn draw(&mut self, letter: char, points: &[(f32, f32)]) {
        self.0.push(letter);
        let points = points.iter().map(|(x, y)| format!("{x:.0} {y:.0}"));
        self.0.push_str(&points.collect::<Vec<_>>().join(" "));
    }
}

impl OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        self.draw('M', &[(x, y)]);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.draw('L', &[(x, y)]);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.draw('Q', &[(x1, y1), (x, y)]);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.draw('C', &[(x1, y1), (x2, y2), (x, y)]);
    }

    fn close(&mut self) {
        self.0.push('Z');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        let numbers = [0.0, -0.001, 12.0, 12.345, -7.5, 100.0].map(short);
        assert_eq!(numbers, ["0", "0", "12", "12.35", "-7.5", "100"]);
    }

    #[test]
    fn nothing_written_is_taken_for_markup() {
        let mut file = Writer::default();
        file.holding("text", &[("name", &"a\"><b c='")], "</text>&\u{1}");
        assert_eq!(
            file.text,
            "<text name=\"a&quot;&gt;&lt;b c=&#39;\">&lt;/text&gt;&amp; </text>\n"
        );
    }
}
