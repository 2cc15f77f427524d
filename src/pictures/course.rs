//! The course of a battle: men of each side, ruling by ruling.

use super::bars::{Bar, bars, fill};
use super::chart::{
    Axes, Chart, EDGE, TEXT, TITLE, chart, mark, name_side, sharp, stroke, ticks, write,
};
use super::sheet::{Across, Down, Sheet, Stroke};
use crate::words::{count, men, number};

/// The height of the chart.
const CHART: f64 = 230.0;
/// Bars of text show at most so many moments besides the last.
const MOMENTS: usize = 12;
/// What stands closer than this is left out, in units of a look's width.
const CLOSE: f64 = 14.0;

/// Men on the field, side by side, from the start through every ruling that counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Course {
    /// Its title.
    pub title: String,
    /// The rolls of the rulings, in order; none for harm that threw nothing.
    pub rolls: Vec<Option<u32>>,
    /// The sides; each has one more number of men than there are rulings.
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
            let rulings = self.rolls.iter().enumerate();
            falls.zip(rulings).map(move |(fall, (n, roll))| (fall, n, *roll, &side.side))
        });
        let (fall, _, roll, side) =
            falls.max_by_key(|(fall, n, ..)| (*fall, std::cmp::Reverse(*n)))?;
        let by = roll.map_or("by harm without dice".to_owned(), |roll| format!("in roll {roll}"));
        (fall > 0).then(|| format!(" The greatest fall: {} of {side} {by}.", men(fall)))
    }

    /// The course as bars of text.
    pub fn text(&self, width: usize) -> String {
        let mut rows = Vec::new();
        let (last, every) = (self.rolls.len(), self.rolls.len().div_ceil(MOMENTS).max(1));
        for n in (0..last).step_by(every).chain([last]) {
            let when = match n.checked_sub(1) {
                None => "start".to_owned(),
                Some(n) => self.rolls[n].map_or("harm".to_owned(), |roll| format!("roll {roll}")),
            };
            for side in &self.sides {
                let men = side.men[n];
                rows.push(Bar::new(format!("{when} {}", side.side), f64::from(men), number(men)));
            }
        }
        fill(&self.title, width) + &bars(&rows, width)
    }

    /// Draws it and returns the first free height below.
    pub(super) fn draw(&self, sheet: &mut Sheet<'_>) -> f64 {
        let mut top = write(sheet, &self.title, TITLE, EDGE);
        for (side, place) in self.sides.iter().zip(0..) {
            top = name_side(sheet, place, &side.side, top);
        }
        self.lines(sheet, top);
        write(sheet, "Across: rolls, in order. Upward: men on the field.", TEXT, top + CHART)
    }

    fn lines(&self, sheet: &mut Sheet<'_>, top: f64) {
        let most = self.sides.iter().flat_map(|side| &side.men).max().copied().unwrap_or(0);
        let high = f64::from(most.max(1)) * 1.12;
        let last = self.rolls.len();
        let room = (sheet.look.width() / 48).clamp(5, 24);
        let axes = Axes {
            x: (-0.2..last as f64 + 0.2, ticks(last as f64, room, 1.0)),
            y: (0.0..high, ticks(f64::from(most), 7, 1.0)),
            x_label: &|tick| self.roll_at(tick),
            y_label: &|tick| number(whole(tick)),
        };
        let chart = chart(sheet, (top, top + CHART), &axes);
        self.mark_turns(sheet, &chart, high);
        for (side, place) in self.sides.iter().zip(0..) {
            sheet.line(chart.through(&side.points()), stroke(sheet.look, place));
            self.mark_points(sheet, &chart, place);
        }
    }

    /// The marks of one side's points, the last one always and the others where there is room.
    fn mark_points(&self, sheet: &mut Sheet<'_>, chart: &Chart, place: usize) {
        let mut free_before = f64::INFINITY;
        for point in self.sides[place].points().iter().rev() {
            let at = chart.at(*point);
            if at.0 < free_before {
                mark(sheet, place, at);
                free_before = at.0 - CLOSE;
            }
        }
    }

    /// A line across the chart where a turn began, with its number, if there is room for both.
    fn mark_turns(&self, sheet: &mut Sheet<'_>, chart: &Chart, high: f64) {
        let grid = Stroke::new(sheet.look.palette().grid, 1.0);
        let size = TEXT - 1.0;
        let mut free_from = f64::NEG_INFINITY;
        for mark in &self.turns {
            let x = f64::from(mark.after) + 0.5;
            let (low, top) = (chart.at((x, 0.0)), chart.at((x, high)));
            let x = sharp(low.0);
            let name = format!("turn {}", mark.turn);
            let right = x + 4.0 + sheet.pen.width(&name, size);
            if x < free_from || right >= sheet.width() {
                continue;
            }
            sheet.line(vec![(x, low.1), (x, top.1)], grid);
            sheet.text(&name, size, (x + 4.0, top.1), (Across::Left, Down::Top));
            free_from = right + 6.0;
        }
    }

    /// What stands at a tick: the roll there.
    fn roll_at(&self, tick: f64) -> String {
        match whole(tick).checked_sub(1) {
            None => "start".to_owned(),
            Some(n) => match self.rolls.get(n as usize) {
                Some(Some(roll)) => roll.to_string(),
                Some(None) => "harm".to_owned(),
                None => String::new(),
            },
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
