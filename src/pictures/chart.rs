//! What all charts share: text from the top down, ticks, axes and marks.

use super::look::{Color, Look};
use super::sheet::{Across, Down, Point, Sheet, Stroke};
use std::ops::Range;

/// The size of a title, in units of a look's width.
pub(super) const TITLE: f64 = 16.0;
/// The size of all other text.
pub(super) const TEXT: f64 = 13.0;
/// What is left free at every edge.
pub(super) const EDGE: f64 = 10.0;
/// The width of a line that is read.
pub(super) const LINE: f64 = 2.0;
/// The height of one side's place in the key, if its name is one line.
const KEY: f64 = 20.0;
/// Where the lines of the key end.
const SAMPLE: f64 = EDGE + 36.0;
/// Where the names of the key begin.
const NAME: f64 = EDGE + 44.0;
/// The length of a tick.
const TICK: f64 = 4.0;
/// What is left free to the right of a chart.
const RIGHT: f64 = EDGE + 6.0;
/// The height of what stands below a chart: ticks and their numbers.
const BELOW: f64 = 24.0;

/// How far a line of text is below the one before it.
fn line_height(size: f64) -> f64 {
    size + (size / 3.0).floor() + 1.0
}

/// Writes text in lines from `top` on and returns the first free height below it.
pub(super) fn write(sheet: &mut Sheet<'_>, text: &str, size: f64, top: f64) -> f64 {
    let mut y = top;
    for line in lines_from(sheet, text, size, EDGE) {
        let place = (EDGE, y + (size / 4.0).floor());
        sheet.text(&line, size, place, (Across::Left, Down::Top));
        y += line_height(size);
    }
    y + 4.0
}

/// Text in lines that begin at `left` and end at the right edge.
fn lines_from(sheet: &Sheet<'_>, text: &str, size: f64, left: f64) -> Vec<String> {
    sheet.pen.wrap(text, size, sheet.width() - left - EDGE)
}

/// A side's place in the key: how it is drawn, and its name. Returns the first free height below.
pub(super) fn name_side(sheet: &mut Sheet<'_>, side: usize, name: &str, top: f64) -> f64 {
    let middle = top + KEY / 2.0;
    sheet.line(vec![(EDGE, middle), (SAMPLE, middle)], stroke(sheet.look, side));
    mark(sheet, side, (f64::midpoint(EDGE, SAMPLE), middle));
    let lines = lines_from(sheet, name, TEXT, NAME);
    let mut y = middle;
    for line in &lines {
        sheet.text(line, TEXT, (NAME, y), (Across::Left, Down::Middle));
        y += line_height(TEXT);
    }
    y - line_height(TEXT) + KEY / 2.0
}

/// The axes of a chart.
pub(super) struct Axes<'a> {
    /// From where to where, and where ticks stand.
    pub x: (Range<f64>, Vec<f64>),
    /// The same upward.
    pub y: (Range<f64>, Vec<f64>),
    /// What stands at a tick.
    pub x_label: &'a dyn Fn(f64) -> String,
    /// What stands at a tick.
    pub y_label: &'a dyn Fn(f64) -> String,
}

/// Where numbers are on the sheet.
pub(super) struct Chart {
    x: Range<f64>,
    y: Range<f64>,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

impl Chart {
    /// The place of a pair of numbers.
    pub fn at(&self, (x, y): (f64, f64)) -> Point {
        let share = |number: f64, all: &Range<f64>| (number - all.start) / (all.end - all.start);
        (
            self.left + share(x, &self.x) * (self.right - self.left),
            self.bottom - share(y, &self.y) * (self.bottom - self.top),
        )
    }

    /// The places of pairs of numbers.
    pub fn through(&self, points: &[(f64, f64)]) -> Vec<Point> {
        points.iter().map(|point| self.at(*point)).collect()
    }
}

/// Lays out a chart from `top` to `bottom` with its axes and grid.
pub(super) fn chart(sheet: &mut Sheet<'_>, (top, bottom): (f64, f64), axes: &Axes<'_>) -> Chart {
    let labels = axes.y.1.iter().map(|tick| sheet.pen.width(&(axes.y_label)(*tick), TEXT));
    let chart = Chart {
        x: axes.x.0.clone(),
        y: axes.y.0.clone(),
        left: labels.fold(0.0, f64::max).ceil() + 2.0 * TICK + EDGE,
        right: sheet.width() - RIGHT,
        top: top + EDGE,
        bottom: bottom - BELOW,
    };
    draw_axes(sheet, &chart, axes);
    chart
}

/// The grid upward, both axes, and what stands at their ticks.
fn draw_axes(sheet: &mut Sheet<'_>, chart: &Chart, axes: &Axes<'_>) {
    let palette = sheet.look.palette();
    let (ink, grid) = (Stroke::new(palette.ink, 1.0), Stroke::new(palette.grid, 1.0));
    let corner = chart.at((axes.x.0.start, axes.y.0.start));
    let (left, bottom) = (sharp(corner.0), sharp(corner.1));
    for tick in &axes.y.1 {
        let y = sharp(chart.at((axes.x.0.start, *tick)).1);
        sheet.line(vec![(left, y), (chart.right, y)], grid);
        let (label, place) = ((axes.y_label)(*tick), (left - 2.0 * TICK, y));
        sheet.text(&label, TEXT, place, (Across::Right, Down::Middle));
    }
    for tick in &axes.x.1 {
        let x = sharp(chart.at((*tick, axes.y.0.start)).0);
        sheet.line(vec![(x, bottom), (x, bottom + TICK)], ink);
        let (label, place) = ((axes.x_label)(*tick), (x, bottom + 2.0 * TICK));
        sheet.text(&label, TEXT, place, (Across::Middle, Down::Top));
    }
    sheet.line(vec![(left, chart.top), (left, bottom), (chart.right, bottom)], ink);
}

/// Where a line one unit wide fills whole dots instead of halves of two.
pub(super) fn sharp(place: f64) -> f64 {
    place.floor() + 0.5
}

/// Ticks from 0 to `max`, at most `most` steps of 1, 2 or 5 times a power of ten, `least` or more.
pub(super) fn ticks(max: f64, most: u32, least: f64) -> Vec<f64> {
    let mut step = least;
    let mut factors = [2.0, 2.5, 2.0].iter().cycle();
    while max / step > f64::from(most) {
        step *= factors.next().expect("a cycle has no end");
    }
    let mut ticks = Vec::new();
    let mut n = 0.0;
    while n * step <= max + step * 1e-9 {
        ticks.push(n * step);
        n += 1.0;
    }
    ticks
}

/// Draws the mark of a side at a place: a disc, a triangle or a cross.
pub(super) fn mark(sheet: &mut Sheet<'_>, side: usize, (x, y): Point) {
    let color = color(sheet.look, side);
    match side % 3 {
        0 => sheet.disc((x, y), 4.0, color),
        1 => triangle(sheet, (x, y), color),
        _ => {
            let stroke = Stroke::new(color, LINE);
            sheet.line(vec![(x - 4.0, y - 4.0), (x + 4.0, y + 4.0)], stroke);
            sheet.line(vec![(x - 4.0, y + 4.0), (x + 4.0, y - 4.0)], stroke);
        }
    }
}

/// A triangle with its point upward, about a place.
pub(super) fn triangle(sheet: &mut Sheet<'_>, (x, y): Point, color: Color) {
    let (reach, half) = (6.0, 6.0 * 0.75_f64.sqrt());
    let foot = y + reach / 2.0;
    sheet.area(vec![(x, y - reach), (x + half, foot), (x - half, foot)], color, 1.0);
}

/// The line of a side: without gaps, dashed or dotted.
pub(super) fn stroke(look: Look, side: usize) -> Stroke {
    let dashes = [None, Some([8.0, 4.0]), Some([2.0, 4.0])][side % 3];
    Stroke::new(color(look, side), LINE).dashed(dashes)
}

pub(super) fn color(look: Look, side: usize) -> Color {
    look.palette().sides[side % 3]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_numbers() {
        assert_eq!(ticks(7.0, 10, 1.0), [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]);
        assert_eq!(ticks(23.0, 6, 1.0), [0.0, 5.0, 10.0, 15.0, 20.0]);
        assert_eq!(ticks(340.0, 4, 1.0), [0.0, 100.0, 200.0, 300.0]);
        assert_eq!(ticks(0.0, 4, 1.0), [0.0]);
    }

    #[test]
    fn numbers_are_where_the_axes_say() {
        let (x, y) = (0.0..10.0, 0.0..1.0);
        let chart = Chart { x, y, left: 30.0, right: 130.0, top: 10.0, bottom: 60.0 };
        assert_eq!(chart.at((0.0, 0.0)), (30.0, 60.0));
        assert_eq!(chart.at((10.0, 1.0)), (130.0, 10.0));
        assert_eq!(chart.at((2.5, 0.5)), (55.0, 35.0));
    }
}
