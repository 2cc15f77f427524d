//! The letters of pictures: fonts, and lines of text laid out with them.

use rustybuzz::ttf_parser::{GlyphId, OutlineBuilder};
use rustybuzz::{Direction, Face, UnicodeBuffer};
use std::fmt;
use std::sync::Arc;
use unicode_bidi::{BidiInfo, Level};

/// The font that ships: Latin, Greek, Cyrillic and common signs.
const SHIPPED: &[u8] = include_bytes!("../../assets/fonts/OpenSans-Regular.ttf");

/// The fonts that pictures are written with: the one that ships, then others, for letters that it
/// lacks.
///
/// ```
/// use drumhead::pictures::Fonts;
/// assert!(Fonts::shipped().have("Ford Wardens, Φρουρά, Застава"));
/// assert!(!Fonts::shipped().have("משמר"));
/// ```
#[derive(Clone, Default)]
pub struct Fonts {
    others: Vec<Font>,
}

/// One font: a file's bytes, TrueType or OpenType, and which font of the file it is, mostly 0.
pub type Font = (Arc<[u8]>, u32);

impl Fonts {
    /// The font that ships, alone.
    pub const fn shipped() -> Self {
        Self { others: Vec::new() }
    }

    /// The font that ships, and behind it others in their order; what cannot be read is left out.
    pub fn with(others: impl IntoIterator<Item = Font>) -> Self {
        let readable = |(bytes, index): &Font| Face::from_slice(bytes, *index).is_some();
        Self { others: others.into_iter().filter(readable).collect() }
    }

    /// Whether they have every letter of a text.
    pub fn have(&self, text: &str) -> bool {
        Pen::of(self).write(text, 1.0).whole
    }
}

impl fmt::Debug for Fonts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the font that ships and {} others", self.others.len())
    }
}

/// Fonts in hand.
pub(super) struct Pen<'f> {
    faces: Vec<Face<'f>>,
}

/// A line of text, laid out.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Written {
    pub text: String,
    /// The size of an em.
    pub size: f64,
    pub width: f64,
    /// Whether a font had every letter.
    pub whole: bool,
    /// From left to right, as they are seen.
    pub parts: Vec<Part>,
}

/// A part of a line in one font.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Part {
    /// Which font.
    pub face: usize,
    /// How far from the left end of the line it begins.
    pub left: f64,
    /// The size of a unit of its font.
    pub scale: f64,
    pub glyphs: Vec<Glyph>,
}

/// A drawn letter: its number in the font, and its place in the part, in the font's units, upward.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Glyph {
    pub id: u16,
    pub x: i32,
    pub y: i32,
}

impl<'f> Pen<'f> {
    pub fn of(fonts: &'f Fonts) -> Self {
        let others = fonts.others.iter().map(|(bytes, index)| (bytes.as_ref(), *index));
        let faces = std::iter::once((SHIPPED, 0)).chain(others);
        Self { faces: faces.filter_map(|(bytes, index)| Face::from_slice(bytes, index)).collect() }
    }

    /// Lays out a line of text from left to right; names in it may run from right to left.
    pub fn write(&self, text: &str, size: f64) -> Written {
        let mut written =
            Written { text: text.to_owned(), size, width: 0.0, whole: true, parts: Vec::new() };
        let bidi = BidiInfo::new(text, Some(Level::ltr()));
        for paragraph in &bidi.paragraphs {
            let (levels, runs) = bidi.visual_runs(paragraph, paragraph.range.clone());
            for run in runs {
                let backward = levels[run.start].is_rtl();
                let mut parts = self.parts(&text[run]);
                if backward {
                    parts.reverse();
                }
                for (face, part) in parts {
                    self.shape(&mut written, face, &part, backward);
                }
            }
        }
        written
    }

    /// A text of one direction, cut where its font changes.
    fn parts(&self, text: &str) -> Vec<(usize, String)> {
        let mut parts: Vec<(usize, String)> = Vec::new();
        for c in text.chars().filter(|c| !steers(*c)) {
            let last = parts.last().map(|(face, _)| *face);
            let face = self.face_for(c, last);
            match parts.last_mut() {
                Some((same, part)) if *same == face => part.push(c),
                _ => parts.push((face, c.to_string())),
            }
        }
        parts
    }

    /// The font of a letter: the one that ships, or that of the letter before it, so that words
    /// are not torn, or the first that has it.
    fn face_for(&self, c: char, last: Option<usize>) -> usize {
        let has = |face: &usize| self.faces[*face].glyph_index(c).is_some();
        let mut faces = [0].into_iter().chain(last).chain(1..self.faces.len());
        faces.find(has).or(last).unwrap_or(0)
    }

    /// Puts the letters of a text of one font and one direction behind what is written.
    fn shape(&self, written: &mut Written, face: usize, text: &str, backward: bool) {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.set_direction(if backward {
            Direction::RightToLeft
        } else {
            Direction::LeftToRight
        });
        buffer.guess_segment_properties();
        let shaped = rustybuzz::shape(&self.faces[face], &[], buffer);
        let scale = written.size / self.units_per_em(face);
        let (mut x, mut glyphs) = (0, Vec::new());
        for (info, place) in shaped.glyph_infos().iter().zip(shaped.glyph_positions()) {
            let id = u16::try_from(info.glyph_id).expect("a font has at most 65,536 glyphs");
            glyphs.push(Glyph { id, x: x + place.x_offset, y: place.y_offset });
            x += place.x_advance;
            written.whole &= id != 0;
        }
        written.parts.push(Part { face, left: written.width, scale, glyphs });
        written.width += f64::from(x) * scale;
    }

    pub fn width(&self, text: &str, size: f64) -> f64 {
        self.write(text, size).width
    }

    /// How high capital letters stand over the line, for an em of `size`: as the font that ships
    /// says.
    pub fn cap_height(&self, size: f64) -> f64 {
        let height = self.faces[0].capital_height().unwrap_or_default();
        f64::from(height) * size / self.units_per_em(0)
    }

    fn units_per_em(&self, face: usize) -> f64 {
        f64::from(self.faces[face].units_per_em())
    }

    /// Draws a glyph in its font's units, upward; nothing for a space.
    pub fn outline(&self, face: usize, glyph: u16, into: &mut dyn OutlineBuilder) {
        self.faces[face].outline_glyph(GlyphId(glyph), into);
    }

    /// A text in lines of at most `most`, broken between words; a longer word is broken too.
    pub fn wrap(&self, text: &str, size: f64, most: f64) -> Vec<String> {
        let mut lines = Vec::new();
        let mut line = String::new();
        for word in text.split_whitespace() {
            let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if self.width(&longer, size) <= most {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for c in word.chars() {
                line.push(c);
                if self.width(&line, size) > most && line.chars().count() > 1 {
                    line.pop();
                    lines.push(std::mem::replace(&mut line, c.to_string()));
                }
            }
        }
        lines.push(line);
        lines
    }
}

/// Whether a character only steers the direction of text; it has done so before letters are drawn.
const fn steers(c: char) -> bool {
    matches!(c, '\u{200e}' | '\u{200f}' | '\u{61c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// A name that keeps its direction to itself: what stands behind it is not drawn before it, even if
/// the name runs from right to left (the isolates of Unicode's bidirectional algorithm, UAX 9).
pub(super) fn isolated(name: &str) -> String {
    format!("\u{2068}{name}\u{2069}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shipped<T>(of: impl FnOnce(&Pen<'_>) -> T) -> T {
        of(&Pen::of(&Fonts::shipped()))
    }

    #[test]
    fn the_font_that_ships_has_what_the_program_writes() {
        let fonts = Fonts::shipped();
        assert!(fonts.have("Harrow, Ærøskøbing, Ωmega, Ђурђевдан “1,000” · 12 % − ± ≥ é ß"));
        assert!(!fonts.have("川"));
        assert!(fonts.have(&isolated("Vale")), "what steers is not drawn");
    }

    /// Open Sans gives its digits one width, 1,171 of 2,048 units (hmtx table, read with
    /// fontTools).
    #[test]
    fn widths_are_those_of_the_font() {
        shipped(|pen| {
            for digit in ["0", "1", "8"] {
                assert!((pen.width(digit, 2048.0) - 1171.0).abs() < 0.5, "{digit}");
            }
            let both = pen.write("08", 2048.0);
            assert_eq!(both.parts[0].glyphs[1].x, 1171);
            let caps = pen.cap_height(2048.0);
            assert!((caps - 1462.0).abs() < 0.5, "its OS/2 table says 1,462, not {caps}");
        });
    }

    #[test]
    fn lines_are_broken_to_fit_and_lose_nothing() {
        shipped(|pen| {
            let text = "Ford Wardens of the near bank andonewordthatiswiderthanaline";
            let lines = pen.wrap(text, 12.0, 90.0);
            assert!(lines.iter().all(|line| pen.width(line, 12.0) <= 90.0), "{lines:?}");
            let bare = |text: &str| text.split_whitespace().collect::<String>();
            assert_eq!(bare(&lines.concat()), bare(text));
        });
    }

    /// The order in which numbers and names are seen, by UAX 9: a number behind a name that runs
    /// from right to left would stand before it, were the name not isolated.
    #[test]
    fn a_number_stays_behind_a_name_that_runs_backward() {
        shipped(|pen| {
            let first = |text: &str| pen.write(text, 12.0).parts[0].glyphs[0].id;
            let three = first("3");
            assert_eq!(first("משמר 3"), three);
            let isolated = pen.write(&format!("{} 3", isolated("משמר")), 12.0);
            let last = isolated.parts.last().unwrap().glyphs.last().unwrap();
            assert_eq!(last.id, three);
        });
    }

    /// Hebrew runs from right to left (UAX 9), so the first letter seen is the last one spoken.
    /// An Arabic letter has another form before another than alone (The Unicode Standard,
    /// section 9.2).
    #[test]
    fn words_in_other_scripts_run_and_join_as_they_should() {
        let bytes: Arc<[u8]> = Arc::from(&include_bytes!("../../tests/fonts/HebrewArabic.ttf")[..]);
        let fonts = Fonts::with([(bytes, 0)]);
        let pen = Pen::of(&fonts);
        let seen = |text: &str| -> Vec<(usize, u16)> {
            let parts = pen.write(text, 12.0).parts;
            parts
                .iter()
                .flat_map(|part| part.glyphs.iter().map(|one| (part.face, one.id)))
                .collect()
        };
        let (alef, bet) = (seen("א")[0], seen("ב")[0]);
        assert_eq!(seen("אב"), [bet, alef]);
        let alone = seen("ب")[0];
        let joined = seen("بب");
        assert_eq!(joined.len(), 2);
        assert!(!joined.contains(&alone) && joined[0] != joined[1], "{joined:?}");
        assert_eq!((seen("V")[0].0, alef.0), (0, 1), "each letter comes from the font that has it");
        assert!(fonts.have("Vale משמר Φρουρά Застава حرس") && !fonts.have("川"));
    }

    #[test]
    fn what_is_no_font_is_left_out() {
        let nothing: Arc<[u8]> = Arc::from(&b"no font"[..]);
        let fonts = Fonts::with([(nothing, 0), (Arc::from(SHIPPED), 0)]);
        assert_eq!(format!("{fonts:?}"), "the font that ships and 1 others");
    }
}
