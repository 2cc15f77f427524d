//! The letters of pictures, from the font that ships in the package.

use ab_glyph::{Font as _, FontRef, GlyphId, OutlineCurve, PxScale, ScaleFont as _, point};
use std::fmt::Write as _;
use std::sync::LazyLock;

static FONT: LazyLock<FontRef<'static>> = LazyLock::new(|| {
    FontRef::try_from_slice(include_bytes!("../../assets/fonts/OpenSans-Regular.ttf"))
        .expect("a test reads the font that ships")
});

/// A line of text in its place, in pixels.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Run {
    pub text: String,
    /// The left end.
    pub x: f32,
    /// The line that letters stand on.
    pub baseline: f32,
    /// The size of an em.
    pub size: f32,
    pub color: (u8, u8, u8),
}

/// The scale at which an em is `size` pixels.
fn scale(size: f32) -> PxScale {
    PxScale::from(size * FONT.height_unscaled() / units_per_em())
}

/// Font units in an em.
pub(super) fn units_per_em() -> f32 {
    FONT.units_per_em().unwrap_or(2048.0)
}

/// How high capital letters stand over the line, for an em of `size` pixels: the height of an H.
pub(super) fn cap_height(size: f32) -> f32 {
    let bounds = FONT.outline(FONT.glyph_id('H')).map(|outline| outline.bounds);
    bounds.map_or(0.0, |bounds| bounds.height().abs()) * size / units_per_em()
}

/// The width of a line of text in pixels.
pub(super) fn width(text: &str, size: f32) -> f32 {
    let font = FONT.as_scaled(scale(size));
    text.chars().map(|c| font.h_advance(font.glyph_id(c))).sum()
}

/// Whether the font has every request of a text.
pub(super) fn covers(text: &str) -> bool {
    text.chars().all(|c| FONT.glyph_id(c) != GlyphId(0))
}

/// A text in lines of at most `most` pixels, broken between words; a longer word is broken too.
pub(super) fn wrap(text: &str, size: f32, most: f32) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if width(&longer, size) <= most {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            line.push(c);
            if width(&line, size) > most && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::replace(&mut line, c.to_string()));
            }
        }
    }
    lines.push(line);
    lines
}

/// Draws a line of text pixel by pixel, each with how much of it is covered, from 0 to 1.
pub(super) fn raster<E>(
    run: &Run,
    mut dot: impl FnMut((i32, i32), f64) -> Result<(), E>,
) -> Result<(), E> {
    let font = FONT.as_scaled(scale(run.size));
    let mut x = run.x;
    for c in run.text.chars() {
        let id = font.glyph_id(c);
        let glyph = id.with_scale_and_position(font.scale(), point(x, run.baseline));
        x += font.h_advance(id);
        let Some(outline) = FONT.outline_glyph(glyph) else { continue };
        let corner = outline.px_bounds().min;
        let mut dots = Vec::new();
        outline.draw(|x, y, cover| dots.push((x, y, cover)));
        for (dx, dy, cover) in dots {
            let place = (whole(corner.x) + dx.cast_signed(), whole(corner.y) + dy.cast_signed());
            if cover > 0.0 {
                dot(place, f64::from(cover.min(1.0)))?;
            }
        }
    }
    Ok(())
}

/// The glyphs of a line of text, each with the place where it begins, in font units.
pub(super) fn glyphs(text: &str) -> Vec<(u16, i32)> {
    let mut x = 0.0;
    text.chars()
        .map(|c| {
            let id = FONT.glyph_id(c);
            let place = whole(x);
            x += FONT.h_advance_unscaled(id);
            (id.0, place)
        })
        .collect()
}

/// The outline of a glyph as the data of an SVG path, in font units with y upward; empty for a
/// space.
pub(super) fn path(glyph: u16) -> String {
    let mut path = String::new();
    let Some(outline) = FONT.outline(GlyphId(glyph)) else { return path };
    let mut at = None;
    for curve in outline.curves {
        let (from, rest) = match curve {
            OutlineCurve::Line(from, to) => (from, ('L', vec![to])),
            OutlineCurve::Quad(from, by, to) => (from, ('Q', vec![by, to])),
            OutlineCurve::Cubic(from, by, then, to) => (from, ('C', vec![by, then, to])),
        };
        if at != Some(from) {
            write!(path, "M{} {}", whole(from.x), whole(from.y)).expect("a String takes all");
        }
        let (request, points) = rest;
        path.push(request);
        let places: Vec<String> =
            points.iter().map(|to| format!("{} {}", whole(to.x), whole(to.y))).collect();
        path.push_str(&places.join(" "));
        at = points.last().copied();
    }
    path
}

/// A number that is whole already, or that is rounded to one.
#[allow(clippy::cast_possible_truncation, reason = "places in a picture are small")]
fn whole(number: f32) -> i32 {
    number.round() as i32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_font_that_ships_has_what_the_program_writes() {
        assert!(covers("Harrow, Ærøskøbing, Ωmega, Ђурђевдан “1,000” · 12 % − ± ≥ é ß"));
        assert!(!covers("川"));
    }

    /// Open Sans gives its digits one width, 1,171 of 2,048 units (hmtx table, read with
    /// fontTools).
    #[test]
    fn widths_are_those_of_the_font() {
        for digit in ["0", "1", "8"] {
            assert!((width(digit, 2048.0) - 1171.0).abs() < 0.5, "{}", width(digit, 2048.0));
        }
        assert_eq!(glyphs("08")[1].1, 1171);
        assert!((cap_height(2048.0) - 1462.0).abs() < 0.5, "its OS/2 table says 1,462");
    }

    #[test]
    fn lines_are_broken_to_fit_and_lose_nothing() {
        let text = "Ford Wardens of the near bank andonewordthatiswiderthanaline";
        let lines = wrap(text, 12.0, 90.0);
        assert!(lines.iter().all(|line| width(line, 12.0) <= 90.0), "{lines:?}");
        let bare = |text: &str| text.split_whitespace().collect::<String>();
        assert_eq!(bare(&lines.concat()), bare(text));
    }

    #[test]
    fn an_outline_is_closed_and_a_space_has_none() {
        assert_eq!(path(FONT.glyph_id(' ').0), "");
        let bar = path(FONT.glyph_id('|').0);
        let places: Vec<&str> = bar.split(['M', 'L']).filter(|part| !part.is_empty()).collect();
        assert_eq!(places.first(), places.last(), "{bar}");
    }
}
