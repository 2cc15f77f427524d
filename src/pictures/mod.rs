//! Pictures of odds and of battles, as PNG for a chat, as SVG for a file and as bars of text for a
//! terminal, each with its text alternative. All of it is pure.
//!
//! A [`Picture`] is data; a [`Look`] says how wide and on which background it is drawn. The font
//! ships in the package: letters are drawn from its outlines, in SVG too, so that a picture looks
//! the same where no font is installed. Two sides differ by line and mark, not by colour alone.
//!
//! How it is done: `look` holds widths and colours, `font` the letters, `sheet` a `plotters`
//! backend that writes with them, `chart` what all charts share, `losses`, `course` and `scales`
//! one chart each, `bars` the bars of text.

mod bars;
mod chart;
mod course;
mod font;
mod look;
mod losses;
mod scales;
mod sheet;

pub use bars::{Bar, bars};
pub use course::{Course, SideCourse, TurnMark};
pub use look::{Background, Look};
pub use losses::{LossesPicture, UnitLosses};
pub use scales::{LostShare, ScaleBars, ScalesPicture};
pub(crate) use sheet::escape;

use crate::words::Shown;

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
        Shown::Odds(round, finish) => {
            let finish = finish.as_ref().as_ref().ok().map(LossesPicture::finish);
            let round = LossesPicture::round(round);
            finish.into_iter().chain([round]).map(Picture::Losses).collect()
        }
        Shown::Even(even, _) => vec![Picture::Losses(LossesPicture::finish(&even.odds))],
        Shown::Scales(scales) => vec![Picture::Scales(ScalesPicture::of(scales))],
        _ => Vec::new(),
    }
}

impl Picture {
    /// Its title.
    pub fn title(&self) -> &str {
        match self {
            Self::Losses(losses) => &losses.title,
            Self::Course(course) => &course.title,
            Self::Scales(scales) => &scales.title,
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

    /// The picture as a PNG file, with 8 bits a channel and no transparency.
    pub fn png(&self, look: Look) -> Vec<u8> {
        sheet::png(look.pixels(self.height(look)), |area| self.draw(area, look))
    }

    /// The picture as an SVG file, which names no font and loads nothing.
    pub fn svg(&self, look: Look) -> String {
        let size = look.pixels(self.height(look));
        sheet::svg(size, self.title(), &self.alt(), |area| self.draw(area, look))
    }

    /// Its height in units of a look's width.
    fn height(&self, look: Look) -> i32 {
        match self {
            Self::Losses(losses) => losses.height(look),
            Self::Course(course) => course.height(look),
            Self::Scales(scales) => scales.height(look),
        }
    }

    fn draw<B: plotters::prelude::DrawingBackend>(
        &self,
        area: &chart::Area<B>,
        look: Look,
    ) -> chart::Drawn<B> {
        area.fill(&look.palette().background)?;
        match self {
            Self::Losses(losses) => losses.draw(area, look),
            Self::Course(course) => course.draw(area, look),
            Self::Scales(scales) => scales.draw(area, look),
        }
    }
}

#[cfg(test)]
mod tests;
