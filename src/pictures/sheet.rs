//! A sheet: shapes and lines of text in their places, in units of a look's width. It is one drawing,
//! that `svg` writes and `raster` draws.

use super::font::{Pen, Written};
use super::look::{Color, Look};

/// A place: units from the left edge, and downward from the top.
pub(super) type Point = (f64, f64);

/// What a sheet holds; what comes later lies on top.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Shape {
    /// A filled area with straight edges, of which `opaque` covers what lies below: 0 to 1.
    Area { corners: Vec<Point>, color: Color, opaque: f64 },
    /// A filled circle.
    Disc { centre: Point, radius: f64, color: Color },
    /// A line through points.
    Line { points: Vec<Point>, stroke: Stroke },
    /// A line of text that begins at a place, with its letters standing on that height.
    Text { written: Written, start: Point, color: Color },
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stroke {
    pub color: Color,
    pub width: f64,
    /// The lengths of a dash and of the gap behind it; none for a line without gaps.
    pub dashes: Option<[f64; 2]>,
}

impl Stroke {
    pub const fn new(color: Color, width: f64) -> Self {
        Self { color, width, dashes: None }
    }

    pub const fn dashed(self, dashes: Option<[f64; 2]>) -> Self {
        Self { dashes, ..self }
    }
}

/// What of a text stands at its place, from left to right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Across {
    Left,
    Middle,
    Right,
}

/// What of a text stands at its place, from top to bottom. A text is as high as its capitals, so
/// that it looks centred.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Down {
    Top,
    Middle,
}

/// A sheet on which is drawn from the top down.
pub(super) struct Sheet<'p> {
    pub look: Look,
    pub pen: &'p Pen<'p>,
    pub shapes: Vec<Shape>,
    /// Its height in whole units, once all is drawn.
    pub height: u32,
}

impl<'p> Sheet<'p> {
    pub const fn new(look: Look, pen: &'p Pen<'p>) -> Self {
        Self { look, pen, shapes: Vec::new(), height: 0 }
    }

    /// Its width in units.
    pub fn width(&self) -> f64 {
        f64::from(self.look.width())
    }

    /// Its width and height in pixels.
    pub const fn pixels(&self) -> (u32, u32) {
        (self.look.width() * self.look.zoom(), self.height * self.look.zoom())
    }

    /// Ends the sheet at a height, at the next whole unit.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a sheet is some hundred units high"
    )]
    pub fn end(&mut self, height: f64) {
        self.height = height.ceil().max(1.0) as u32;
    }

    pub fn area(&mut self, corners: Vec<Point>, color: Color, opaque: f64) {
        self.shapes.push(Shape::Area { corners, color, opaque });
    }

    pub fn disc(&mut self, centre: Point, radius: f64, color: Color) {
        self.shapes.push(Shape::Disc { centre, radius, color });
    }

    pub fn line(&mut self, points: Vec<Point>, stroke: Stroke) {
        self.shapes.push(Shape::Line { points, stroke });
    }

    /// A line of text whose letters are `size` high, in the look's ink.
    pub fn text(&mut self, text: &str, size: f64, (x, y): Point, anchor: (Across, Down)) {
        let written = self.pen.write(text, size);
        let left = match anchor.0 {
            Across::Left => 0.0,
            Across::Middle => written.width / 2.0,
            Across::Right => written.width,
        };
        let below = self.pen.cap_height(size)
            * match anchor.1 {
                Down::Top => 1.0,
                Down::Middle => 0.5,
            };
        let (start, color) = ((x - left, y + below), self.look.palette().ink);
        self.shapes.push(Shape::Text { written, start, color });
    }
}
