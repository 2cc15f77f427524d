//! A sheet to draw on: a `plotters` backend whose letters come from the font that ships.

use super::chart::{Area, Drawn};
use super::font::{self, Run};
use plotters::prelude::{BitMapBackend, DrawingBackend, IntoDrawingArea as _, SVGBackend};
use plotters_backend::text_anchor::{HPos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingErrorKind,
};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::sync::{Arc, Mutex, PoisonError};

/// Draws a PNG of so many pixels.
pub(super) fn png<D>(size: (u32, u32), draw: D) -> Vec<u8>
where
    D: for<'a> FnOnce(&Area<Sheet<BitMapBackend<'a>>>) -> Drawn<Sheet<BitMapBackend<'a>>>,
{
    let (wide, high) = size;
    let mut dots = vec![0; wide as usize * high as usize * 3];
    {
        let inner = BitMapBackend::with_buffer(&mut dots, size);
        let area = Sheet { inner, letters: Letters::Dots }.into_drawing_area();
        draw(&area).expect("a bitmap in memory takes all");
        area.present().expect("a bitmap in memory takes all");
    }
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, wide, high);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header().expect("a Vec takes all");
    writer.write_image_data(&dots).expect("there are as many dots as the header says");
    writer.finish().expect("a Vec takes all");
    file
}

/// Draws an SVG of so many pixels, with its title and its text alternative.
pub(super) fn svg<D>(size: (u32, u32), title: &str, alt: &str, draw: D) -> String
where
    D: for<'a> FnOnce(&Area<Sheet<SVGBackend<'a>>>) -> Drawn<Sheet<SVGBackend<'a>>>,
{
    let mut file = String::new();
    let runs = Runs::default();
    {
        let inner = SVGBackend::with_string(&mut file, size);
        let letters = Letters::Outlines(Arc::clone(&runs));
        let area = Sheet { inner, letters }.into_drawing_area();
        draw(&area).expect("a String takes all");
        area.present().expect("a String takes all");
    }
    let runs = std::mem::take(&mut *runs.lock().unwrap_or_else(PoisonError::into_inner));
    let (title, alt) = (escape(title), escape(alt));
    let head = format!(" role=\"img\">\n<title>{title}</title>\n<desc>{alt}</desc>\n");
    let file = file.replacen(">\n", &head, 1);
    let drawing = file.trim_end().strip_suffix("</svg>").unwrap_or(&file);
    format!("{drawing}{}</svg>\n", written(&runs))
}

/// Text of which nothing is taken for markup, in XML or HTML, in an element or in an attribute.
pub(crate) fn escape(text: &str) -> String {
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

/// Lines of text as outlines; one that the font cannot write is left to the reader's own fonts.
fn written(runs: &[Run]) -> String {
    let mut used = BTreeSet::new();
    let mut lines = String::new();
    for run in runs {
        let (r, g, b) = run.color;
        let color = format!("#{r:02x}{g:02x}{b:02x}");
        let Run { text, x, baseline, size, .. } = run;
        let line = if font::covers(text) {
            let glyphs = font::glyphs(text);
            used.extend(glyphs.iter().map(|(glyph, _)| *glyph));
            let scale = size / font::units_per_em();
            let letters = glyphs
                .iter()
                .map(|(glyph, place)| format!("<use href=\"#g{glyph}\" x=\"{place}\"/>"))
                .collect::<Vec<_>>()
                .concat();
            format!(
                "<g fill=\"{color}\" transform=\"translate({x:.1} {baseline:.1}) \
                 scale({scale:.5} -{scale:.5})\">{letters}</g>\n"
            )
        } else {
            let text = escape(text);
            format!(
                "<text x=\"{x:.1}\" y=\"{baseline:.1}\" font-size=\"{size:.1}\" \
                 font-family=\"sans-serif\" fill=\"{color}\">{text}</text>\n"
            )
        };
        lines.push_str(&line);
    }
    let mut all = String::from("<defs>\n");
    for glyph in used {
        writeln!(all, "<path id=\"g{glyph}\" d=\"{}\"/>", font::path(glyph))
            .expect("a String takes all");
    }
    all + "</defs>\n" + &lines
}

type Runs = Arc<Mutex<Vec<Run>>>;

/// How letters get onto the sheet.
enum Letters {
    /// Pixel by pixel.
    Dots,
    /// As outlines, once all else is drawn.
    Outlines(Runs),
}

/// A backend that draws all but letters with another.
pub(super) struct Sheet<B> {
    inner: B,
    letters: Letters,
}

type Done<B> = Result<(), DrawingErrorKind<<B as DrawingBackend>::ErrorType>>;

impl<B: DrawingBackend> DrawingBackend for Sheet<B> {
    type ErrorType = B::ErrorType;

    fn get_size(&self) -> (u32, u32) {
        self.inner.get_size()
    }

    fn ensure_prepared(&mut self) -> Done<B> {
        self.inner.ensure_prepared()
    }

    fn present(&mut self) -> Done<B> {
        self.inner.present()
    }

    fn draw_pixel(&mut self, point: BackendCoord, color: BackendColor) -> Done<B> {
        self.inner.draw_pixel(point, color)
    }

    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
    ) -> Done<B> {
        self.inner.draw_line(from, to, style)
    }

    fn draw_rect<S: BackendStyle>(
        &mut self,
        upper_left: BackendCoord,
        bottom_right: BackendCoord,
        style: &S,
        fill: bool,
    ) -> Done<B> {
        self.inner.draw_rect(upper_left, bottom_right, style, fill)
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Done<B> {
        self.inner.draw_path(path, style)
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        center: BackendCoord,
        radius: u32,
        style: &S,
        fill: bool,
    ) -> Done<B> {
        self.inner.draw_circle(center, radius, style, fill)
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        corners: I,
        style: &S,
    ) -> Done<B> {
        self.inner.fill_polygon(corners, style)
    }

    fn draw_text<S: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &S,
        place: BackendCoord,
    ) -> Done<B> {
        let run = run(text, style, place);
        match &self.letters {
            Letters::Outlines(runs) => {
                runs.lock().unwrap_or_else(PoisonError::into_inner).push(run);
                Ok(())
            }
            Letters::Dots => font::raster(&run, |place, cover| {
                let (wide, high) = self.inner.get_size();
                let inside = (0..wide.cast_signed()).contains(&place.0)
                    && (0..high.cast_signed()).contains(&place.1);
                if !inside {
                    return Ok(());
                }
                self.inner.draw_pixel(place, BackendColor { alpha: cover, rgb: run.color })
            }),
        }
    }

    fn estimate_text_size<S: BackendTextStyle>(
        &self,
        text: &str,
        style: &S,
    ) -> Result<(u32, u32), DrawingErrorKind<B::ErrorType>> {
        let size = em(style);
        Ok((pixels(font::width(text, size)), pixels(font::cap_height(size))))
    }
}

/// The size of an em in pixels.
#[allow(clippy::cast_possible_truncation, reason = "letters are a few pixels high")]
fn em(style: &impl BackendTextStyle) -> f32 {
    style.size() as f32
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "texts are at most a few thousand pixels wide"
)]
fn pixels(length: f32) -> u32 {
    length.ceil().max(0.0) as u32
}

/// Where a text goes; its height is that of its capitals, so that it looks centred on its place.
fn run(text: &str, style: &impl BackendTextStyle, (x, y): BackendCoord) -> Run {
    let size = em(style);
    let (width, caps) = (font::width(text, size), font::cap_height(size));
    let anchor = style.anchor();
    let left = match anchor.h_pos {
        HPos::Left => 0.0,
        HPos::Center => width / 2.0,
        HPos::Right => width,
    };
    let below = match anchor.v_pos {
        VPos::Top => caps,
        VPos::Center => caps / 2.0,
        VPos::Bottom => 0.0,
    };
    let (x, baseline) = (x as f32 - left, y as f32 + below);
    Run { text: text.to_owned(), x, baseline, size, color: style.color().rgb }
}
