//! The course of a battle: men of each side, ruling by ruling.

use super::bars::{Bar, bars, fill};
use super::chart::{
    Area, Axes, Chart, Drawn, EDGE, TEXT, TITLE, chart, color, dashes, key_height, mark, name_side,
    text_height, ticks, write,
};
use super::look::Look;
use crate::words::{count, men, number};
use plotters::prelude::{DashedLineSeries, DrawingBackend, LineSeries, PathElement, Text};
use plotters::style::Color as _;
use plotters_backend::text_anchor::{HPos, Pos, VPos};

/// The height of the chart.
const CHART: i32 = 230;
/// Bars of text show at most so many moments besides the last.
const MOMENTS: usize = 12;
/// What stands closer than this is left out, in units of a look's width.
const CLOSE: i32 = 14;

/// Men on the field, side by side, from the start through every ruling that counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Course {
    /// Its title.
    pub title: String,
    /// The rolls of the rulings, in order.
    pub rolls: Vec<u32>,
    /// The sides; each has one more number of men than there are rolls.
    pub sides: Vec<SideCourse>,
    /// Where turns began.
    pub turns: Vec<TurnMark>,
}

/// The course of one side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SideCourse {
    /// The side.
    pub side: String,
    /// Men on the field: before the first ruling, then after each.
    pub men: Vec<u32>,
}

/// Where a turn began.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TurnMark {
    /// The turn.
    pub turn: u32,
    /// Rulings before it.
    pub after: u32,
}

impl Course {
    /// What it shows, in a few sentences.
    pub fn alt(&self) -> String {
        let rulings =
            count(u32::try_from(self.rolls.len()).expect("few rolls"), "ruling", "rulings");
        let sides = self.sides.iter().map(|side| {
            let (first, last) = side.ends();
            format!(" {}: {} at the start, {} at the end.", side.side, men(first), number(last))
        });
        let sides = sides.collect::<Vec<_>>().concat();
        format!("{}, over {rulings}.{sides}{}", self.title, self.worst().unwrap_or_default())
    }

    /// The ruling that cost the most men.
    fn worst(&self) -> Option<String> {
        let falls = self.sides.iter().flat_map(|side| {
            let falls = side.men.windows(2).map(|pair| pair[0].saturating_sub(pair[1]));
            falls.zip(&self.rolls).map(move |(fall, roll)| (fall, *roll, &side.side))
        });
        let (fall, roll, side) = falls.max_by_key(|(fall, roll, _)| (*fall, u32::MAX - roll))?;
        (fall > 0).then(|| format!(" The greatest fall: {} of {side} in roll {roll}.", men(fall)))
    }

    /// The course as bars of text.
    pub fn text(&self, width: usize) -> String {
        let mut rows = Vec::new();
        let (last, every) = (self.rolls.len(), self.rolls.len().div_ceil(MOMENTS).max(1));
        for n in (0..last).step_by(every).chain([last]) {
            let when = match n.checked_sub(1) {
                None => "start".to_owned(),
                Some(n) => format!("roll {}", self.rolls[n]),
            };
            for side in &self.sides {
                let men = side.men[n];
                rows.push(Bar::new(format!("{when} {}", side.side), f64::from(men), number(men)));
            }
        }
        fill(&self.title, width) + &bars(&rows, width)
    }

    pub(super) fn height(&self, look: Look) -> i32 {
        let key: i32 = self.sides.iter().map(|side| key_height(look, &side.side)).sum();
        let below = text_height(look, Self::key(), TEXT);
        2 * EDGE + text_height(look, &self.title, TITLE) + key + CHART + below
    }

    const fn key() -> &'static str {
        "Across: rolls, in order. Upward: men on the field."
    }

    pub(super) fn draw<B: DrawingBackend>(&self, area: &Area<B>, look: Look) -> Drawn<B> {
        let mut top = write(area, look, &self.title, TITLE, EDGE)?;
        for (side, place) in self.sides.iter().zip(0..) {
            top = name_side(area, look, place, &side.side, top)?;
        }
        self.lines(area, look, top)?;
        write(area, look, Self::key(), TEXT, top + CHART)?;
        Ok(())
    }

    fn lines<B: DrawingBackend>(&self, area: &Area<B>, look: Look, top: i32) -> Drawn<B> {
        let most = self.sides.iter().flat_map(|side| &side.men).max().copied().unwrap_or(0);
        let high = f64::from(most.max(1)) * 1.12;
        let last = self.rolls.len();
        let room = (look.width() / 48).clamp(5, 24);
        let axes = Axes {
            x: (-0.2..last as f64 + 0.2, ticks(last as f64, room, 1.0)),
            y: (0.0..high, ticks(f64::from(most), 7, 1.0)),
            x_label: &|tick| self.roll_at(tick),
            y_label: &|tick| number(whole(tick)),
        };
        let mut chart = chart(area, look, (top, top + CHART), &axes)?;
        self.mark_turns(area, look, &chart, high)?;
        for (side, place) in self.sides.iter().zip(0..) {
            let points = side.points();
            let style = color(look, place).stroke_width(look.stroke(2));
            match dashes(look, place) {
                None => {
                    chart.draw_series(LineSeries::new(points, style))?;
                }
                Some((drawn, free)) => {
                    let line = DashedLineSeries::new(points, drawn, free, style);
                    chart.draw_series(line)?;
                }
            }
            self.mark_points(area, look, &chart, place)?;
        }
        Ok(())
    }

    /// The marks of one side's points, the last one always and the others where there is room.
    fn mark_points<B: DrawingBackend>(
        &self,
        area: &Area<B>,
        look: Look,
        chart: &Chart<'_, B>,
        place: usize,
    ) -> Drawn<B> {
        let mut free_before = i32::MAX;
        for point in self.sides[place].points().iter().rev() {
            let at = chart.backend_coord(point);
            if at.0 < free_before {
                mark(area, look, place, at)?;
                free_before = at.0 - look.px(CLOSE);
            }
        }
        Ok(())
    }

    /// A line across the chart where a turn began, with its number, if there is room for both.
    fn mark_turns<B: DrawingBackend>(
        &self,
        area: &Area<B>,
        look: Look,
        chart: &Chart<'_, B>,
        high: f64,
    ) -> Drawn<B> {
        let palette = look.palette();
        let text = look.text(TEXT - 1).pos(Pos::new(HPos::Left, VPos::Top));
        let mut free_from = i32::MIN;
        for mark in &self.turns {
            let x = f64::from(mark.after) + 0.5;
            let (low, top) = (chart.backend_coord(&(x, 0.0)), chart.backend_coord(&(x, high)));
            let name = format!("turn {}", mark.turn);
            let (wide, _) = area.estimate_text_size(&name, &text)?;
            let left = top.0 + look.px(4);
            let right = left + wide.cast_signed();
            if top.0 < free_from || right >= look.wide() {
                continue;
            }
            let style = palette.grid.stroke_width(look.stroke(1));
            area.draw(&PathElement::new(vec![low, top], style))?;
            area.draw(&Text::new(name, (left, top.1), text.clone()))?;
            free_from = right + look.px(6);
        }
        Ok(())
    }

    /// What stands at a tick: the roll there.
    fn roll_at(&self, tick: f64) -> String {
        match whole(tick).checked_sub(1) {
            None => "start".to_owned(),
            Some(n) => self.rolls.get(n as usize).map_or(String::new(), u32::to_string),
        }
    }
}

impl SideCourse {
    fn points(&self) -> Vec<(f64, f64)> {
        (0..).zip(&self.men).map(|(n, men)| (f64::from(n), f64::from(*men))).collect()
    }

    fn ends(&self) -> (u32, u32) {
        let end = |men: Option<&u32>| men.copied().unwrap_or(0);
        (end(self.men.first()), end(self.men.last()))
    }
}

/// The whole number at a tick.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "ticks are not below 0")]
fn whole(tick: f64) -> u32 {
    tick.round().max(0.0) as u32
}
