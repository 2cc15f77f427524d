//! Pictures of odds and of battles, as PNG for a chat, as SVG for a file and as bars of text for a
//! terminal, each with its text alternative. All of it is pure.
//!
//! A [`Picture`] is data; a [`Look`] says how wide and on which background it is drawn; [`Fonts`]
//! what it is written with. A font ships in the package, and a front may hand in more, for names in
//! other scripts. Letters are drawn from outlines, in SVG too, so that a picture looks the same
//! where no font is installed. Two sides differ by line and mark, not by colour alone.
//!
//! How it is done: `look` holds widths and colours, `font` lays out letters, `sheet` holds shapes
//! and text in their places, `svg` writes it and `raster` draws it, `chart` is what all charts
//! share, `losses`, `course` and `scales` are one chart each, `bars` the bars of text.

mod bars;
mod chart;
mod course;
mod font;
mod look;
mod losses;
mod raster;
mod scales;
mod sheet;
mod svg;

pub use bars::{Bar, bars};
pub use course::{Course, SideCourse, TurnMark};
pub use font::{Font, Fonts};
pub use look::{Background, Look};
pub use losses::{LossesPicture, UnitLosses};
pub use scales::ScalesPicture;

use crate::odds::MeleeOdds;
use crate::words::Shown;
use font::Pen;
use sheet::Sheet;

/// A picture, before it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Picture {
    /// What each unit may lose.
    Losses(LossesPicture),
    /// Men of each side, ruling by ruling.
    Course(Course),
    /// The same armies at several figure scales.
    Scales(ScalesPicture),
}

/// The pictures of what is shown, the most telling one first; none of what has no chances in it.
pub fn of(shown: &Shown) -> Vec<Picture> {
    match shown {
        Shown::Odds(melees) => {
            let of = |melee: &MeleeOdds| {
                let finish = melee.finish.as_ref().ok().map(LossesPicture::finish);
                finish.into_iter().chain([LossesPicture::round(&melee.round)])
            };
            melees.iter().flat_map(of).map(Picture::Losses).collect()
        }
        Shown::Even(even, _) => vec![Picture::Losses(LossesPicture::finish(&even.odds))],
        Shown::Scales(scales) => vec![Picture::Scales(ScalesPicture((**scales).clone()))],
        _ => Vec::new(),
    }
}

impl Picture {
    /// Its title.
    pub fn title(&self) -> &str {
        match self {
            Self::Losses(losses) => &losses.title,
            Self::Course(course) => &course.title,
            Self::Scales(scales) => scales.title(),
        }
    }

    /// What it shows, in a few sentences with the numbers: for those who cannot see it.
    pub fn alt(&self) -> String {
        match self {
            Self::Losses(losses) => losses.alt(),
            Self::Course(course) => course.alt(),
            Self::Scales(scales) => scales.alt(),
        }
    }

    /// The picture as bars of text, at most `width` columns wide, at least 24.
    pub fn text(&self, width: usize) -> String {
        match self {
            Self::Losses(losses) => losses.text(width),
            Self::Course(course) => course.text(width),
            Self::Scales(scales) => scales.text(width),
        }
    }

    /// The picture as a PNG file, with 8 bits a channel and no transparency, written with the font
    /// that ships.
    pub fn png(&self, look: Look) -> Vec<u8> {
        self.png_with(look, &Fonts::shipped())
    }

    /// The same, written with these fonts; a letter that none of them has becomes an empty box.
    pub fn png_with(&self, look: Look, fonts: &Fonts) -> Vec<u8> {
        let pen = Pen::of(fonts);
        raster::png(&self.drawn(look, &pen))
    }

    /// The picture as an SVG file, which loads nothing, written with the font that ships.
    pub fn svg(&self, look: Look) -> String {
        self.svg_with(look, &Fonts::shipped())
    }

    /// The same, written with these fonts. Letters are outlines, so that the file looks the same
    /// where no font is installed; only a line with a letter that none of the fonts has is left to
    /// the reader's own.
    pub fn svg_with(&self, look: Look, fonts: &Fonts) -> String {
        let pen = Pen::of(fonts);
        svg::write(&self.drawn(look, &pen), self.title(), &self.alt())
    }

    fn drawn<'p>(&self, look: Look, pen: &'p Pen<'p>) -> Sheet<'p> {
        let mut sheet = Sheet::new(look, pen);
        let bottom = match self {
            Self::Losses(losses) => losses.draw(&mut sheet),
            Self::Course(course) => course.draw(&mut sheet),
            Self::Scales(scales) => scales.draw(&mut sheet),
        };
        sheet.end(bottom + chart::EDGE);
        sheet
    }
}

#[cfg(test)]
mod tests;
