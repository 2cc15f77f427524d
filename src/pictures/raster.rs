//! Draws a sheet as a PNG file.

use super::font::Written;
use super::look::Color;
use super::sheet::{Point, Shape, Sheet, Stroke};
use rustybuzz::ttf_parser::OutlineBuilder;
use tiny_skia::{FillRule, Paint, Path, PathBuilder, Pixmap, StrokeDash, Transform};

/// The sheet as a file, with 8 bits a channel and no transparency.
pub(super) fn png(sheet: &Sheet<'_>) -> Vec<u8> {
    let (wide, high) = sheet.pixels();
    let mut dots = Pixmap::new(wide, high).expect("a sheet is neither empty nor huge");
    dots.fill(opaque(sheet.look.palette().background));
    let zoom = single(f64::from(sheet.look.zoom()));
    let mut canvas = Canvas { dots, zoom: Transform::from_scale(zoom, zoom) };
    for shape in &sheet.shapes {
        canvas.draw(shape, sheet);
    }
    // The ground covers every dot, so that what is left of transparency is dropped and not lost.
    let dots: Vec<u8> =
        canvas.dots.data().chunks_exact(4).flat_map(|dot| &dot[..3]).copied().collect();
    file((wide, high), &dots)
}

/// Dots, three bytes each, as a PNG file.
fn file((wide, high): (u32, u32), dots: &[u8]) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, wide, high);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header().expect("a Vec takes all");
    writer.write_image_data(dots).expect("there are as many dots as the header says");
    writer.finish().expect("a Vec takes all");
    file
}

struct Canvas {
    dots: Pixmap,
    zoom: Transform,
}

impl Canvas {
    fn draw(&mut self, shape: &Shape, sheet: &Sheet<'_>) {
        match shape {
            Shape::Area { corners, color, opaque } => {
                self.fill(through(corners, true), &paint(*color, *opaque), self.zoom);
            }
            Shape::Disc { centre: (x, y), radius, color } => {
                let disc = PathBuilder::from_circle(single(*x), single(*y), single(*radius));
                self.fill(disc, &paint(*color, 1.0), self.zoom);
            }
            Shape::Line { points, stroke } => self.line(points, *stroke),
            Shape::Text { written, start, color } => self.text(sheet, written, *start, *color),
        }
    }

    fn fill(&mut self, path: Option<Path>, paint: &Paint<'_>, place: Transform) {
        if let Some(path) = path {
            self.dots.fill_path(&path, paint, FillRule::Winding, place, None);
        }
    }

    fn line(&mut self, points: &[Point], stroke: Stroke) {
        let dash =
            stroke.dashes.and_then(|dashes| StrokeDash::new(dashes.map(single).to_vec(), 0.0));
        let how = tiny_skia::Stroke { width: single(stroke.width), dash, ..Default::default() };
        if let Some(path) = through(points, false) {
            self.dots.stroke_path(&path, &paint(stroke.color, 1.0), &how, self.zoom, None);
        }
    }

    fn text(&mut self, sheet: &Sheet<'_>, written: &Written, (x, y): Point, color: Color) {
        for part in &written.parts {
            let scale = single(part.scale);
            for glyph in &part.glyphs {
                let mut outline = Outline(PathBuilder::new());
                sheet.pen.outline(part.face, glyph.id, &mut outline);
                let left = x + part.left + f64::from(glyph.x) * part.scale;
                let base = y - f64::from(glyph.y) * part.scale;
                let place =
                    Transform::from_row(scale, 0.0, 0.0, -scale, single(left), single(base));
                self.fill(outline.0.finish(), &paint(color, 1.0), place.post_concat(self.zoom));
            }
        }
    }
}

/// The path through points.
fn through(points: &[Point], closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    for (n, (x, y)) in points.iter().enumerate() {
        let (x, y) = (single(*x), single(*y));
        if n == 0 { path.move_to(x, y) } else { path.line_to(x, y) }
    }
    if closed {
        path.close();
    }
    path.finish()
}

fn paint(Color(r, g, b): Color, opaque: f64) -> Paint<'static> {
    let mut paint = Paint::default();
    let [r, g, b] = [r, g, b].map(|channel| f32::from(channel) / 255.0);
    let color = tiny_skia::Color::from_rgba(r, g, b, single(opaque.clamp(0.0, 1.0)));
    paint.set_color(color.expect("every part is from 0 to 1"));
    paint
}

fn opaque(Color(r, g, b): Color) -> tiny_skia::Color {
    tiny_skia::Color::from_rgba8(r, g, b, 255)
}

/// A length in the precision of the drawing library.
#[allow(clippy::cast_possible_truncation, reason = "lengths are a few thousand pixels at most")]
const fn single(length: f64) -> f32 {
    length as f32
}

/// An outline as a path.
struct Outline(PathBuilder);

impl OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to(x, y);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.0.quad_to(x1, y1, x, y);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.0.cubic_to(x1, y1, x2, y2, x, y);
    }

    fn close(&mut self) {
        self.0.close();
    }
}
