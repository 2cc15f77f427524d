//! What all charts share: text from the top down, ticks, axes and marks.

use super::font;
use super::look::Look;
use plotters::coord::Shift;
use plotters::coord::types::RangedCoordf64;
use plotters::drawing::DrawingAreaErrorKind;
use plotters::prelude::{
    Cartesian2d, ChartBuilder, ChartContext, Circle, Cross, DrawingArea, DrawingBackend,
    PathElement, Text, TriangleMarker,
};
use plotters::style::{Color as _, RGBColor};
use plotters_backend::text_anchor::{HPos, Pos, VPos};
use std::ops::Range;

/// A part of a sheet.
pub(super) type Area<B> = DrawingArea<B, Shift>;
/// What drawing comes to.
pub(super) type Drawn<B> = Result<(), DrawingAreaErrorKind<<B as DrawingBackend>::ErrorType>>;
/// A chart on two axes of numbers.
pub(super) type Chart<'a, B> = ChartContext<'a, B, Cartesian2d<RangedCoordf64, RangedCoordf64>>;

/// The size of a title, in units of a look's width.
pub(super) const TITLE: i32 = 16;
/// The size of all other text.
pub(super) const TEXT: i32 = 13;
/// What is left free at every edge.
pub(super) const EDGE: i32 = 10;
/// The height of one side's place in the key, if its name is one line.
const KEY: i32 = 20;
/// Where the names of the key begin.
const NAME: i32 = EDGE + 44;
/// The length of a tick.
const TICK: i32 = 4;

/// The height of text in lines of `size`, wrapped to what the edges leave.
pub(super) fn text_height(look: Look, text: &str, size: i32) -> i32 {
    let lines = i32::try_from(lines(look, text, size).len()).expect("few lines");
    lines * line_height(size) + 4
}

const fn line_height(size: i32) -> i32 {
    size + size / 3 + 1
}

fn lines(look: Look, text: &str, size: i32) -> Vec<String> {
    lines_from(look, text, size, EDGE)
}

/// Text in lines that begin at `left` and end at the right edge.
fn lines_from(look: Look, text: &str, size: i32, left: i32) -> Vec<String> {
    let most = look.wide() - look.px(left + EDGE);
    font::wrap(text, look.px(size) as f32, most as f32)
}

/// Writes text in lines from `top` on and returns the first free height below it.
pub(super) fn write<B: DrawingBackend>(
    area: &Area<B>,
    look: Look,
    text: &str,
    size: i32,
    top: i32,
) -> Result<i32, DrawingAreaErrorKind<B::ErrorType>> {
    let style = look.text(size);
    for (line, n) in lines(look, text, size).iter().zip(0..) {
        let y = top + n * line_height(size) + size / 4;
        area.draw_text(line, &style, (look.px(EDGE), look.px(y)))?;
    }
    Ok(top + text_height(look, text, size))
}

/// The height of a side's place in the key.
pub(super) fn key_height(look: Look, name: &str) -> i32 {
    let lines = i32::try_from(lines_from(look, name, TEXT, NAME).len()).expect("few lines");
    KEY + (lines - 1) * line_height(TEXT)
}

/// A side's place in the key: how it is drawn, and its name. Returns the first free height below.
pub(super) fn name_side<B: DrawingBackend>(
    area: &Area<B>,
    look: Look,
    side: usize,
    name: &str,
    top: i32,
) -> Result<i32, DrawingAreaErrorKind<B::ErrorType>> {
    let y = look.px(top + KEY / 2);
    let (left, right) = (look.px(EDGE), look.px(EDGE + 36));
    let style = color(look, side).stroke_width(look.stroke(2));
    let (drawn, free) = dashes(look, side).unwrap_or((right.abs_diff(left), 1));
    let mut at = left;
    while at < right {
        let end = (at + drawn.cast_signed()).min(right);
        area.draw(&PathElement::new(vec![(at, y), (end, y)], style))?;
        at = end + free.cast_signed();
    }
    mark(area, look, side, (i32::midpoint(left, right), y))?;
    let text = look.text(TEXT).pos(Pos::new(HPos::Left, VPos::Center));
    for (line, n) in lines_from(look, name, TEXT, NAME).into_iter().zip(0..) {
        let y = y + look.px(n * line_height(TEXT));
        area.draw(&Text::new(line, (look.px(NAME), y), text.clone()))?;
    }
    Ok(top + key_height(look, name))
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

/// Lays out a chart from `top` to `bottom` with its axes and grid.
pub(super) fn chart<'a, B: DrawingBackend + 'a>(
    area: &Area<B>,
    look: Look,
    (top, bottom): (i32, i32),
    axes: &Axes<'_>,
) -> Result<Chart<'a, B>, DrawingAreaErrorKind<B::ErrorType>> {
    let part = area.clone().shrink((0, look.px(top)), (look.wide(), look.px(bottom - top)));
    let labels = axes.y.1.iter().map(|tick| font::width(&(axes.y_label)(*tick), TEXT as f32));
    let widest = labels.fold(0.0, f32::max);
    #[allow(clippy::cast_possible_truncation, reason = "a label is a few letters")]
    let left = widest.ceil() as i32 + 2 * TICK + EDGE;
    let (x, y) = (axes.x.0.clone(), axes.y.0.clone());
    let chart = ChartBuilder::on(&part)
        .margin_right(look.px(EDGE + 6))
        .margin_top(look.px(EDGE))
        .x_label_area_size(look.px(24))
        .y_label_area_size(look.px(left))
        .build_cartesian_2d(x, y)?;
    draw_axes(area, look, &chart, axes)?;
    Ok(chart)
}

/// The grid upward, both axes, and what stands at their ticks.
fn draw_axes<B: DrawingBackend>(
    area: &Area<B>,
    look: Look,
    chart: &Chart<'_, B>,
    axes: &Axes<'_>,
) -> Drawn<B> {
    let palette = look.palette();
    let (ink, grid) = (palette.ink, palette.grid);
    let line = |from, to, color: RGBColor| {
        PathElement::new(vec![from, to], color.stroke_width(look.stroke(1)))
    };
    let corner = chart.backend_coord(&(axes.x.0.start, axes.y.0.start));
    let right = chart.backend_coord(&(axes.x.0.end, axes.y.0.start)).0;
    let top = chart.backend_coord(&(axes.x.0.start, axes.y.0.end)).1;
    let tick = look.px(TICK);
    let text = look.text(TEXT).pos(Pos::new(HPos::Right, VPos::Center));
    for at in &axes.y.1 {
        let y = chart.backend_coord(&(axes.x.0.start, *at)).1;
        area.draw(&line((corner.0, y), (right, y), grid))?;
        area.draw(&Text::new((axes.y_label)(*at), (corner.0 - 2 * tick, y), text.clone()))?;
    }
    let text = look.text(TEXT).pos(Pos::new(HPos::Center, VPos::Top));
    for at in &axes.x.1 {
        let x = chart.backend_coord(&(*at, axes.y.0.start)).0;
        area.draw(&line((x, corner.1), (x, corner.1 + tick), ink))?;
        area.draw(&Text::new((axes.x_label)(*at), (x, corner.1 + 2 * tick), text.clone()))?;
    }
    area.draw(&line(corner, (right, corner.1), ink))?;
    area.draw(&line(corner, (corner.0, top), ink))
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

/// Draws the mark of a side at a place in pixels: a disc, a triangle or a cross.
pub(super) fn mark<B: DrawingBackend>(
    area: &Area<B>,
    look: Look,
    side: usize,
    place: (i32, i32),
) -> Drawn<B> {
    let color = color(look, side);
    match side % 3 {
        0 => area.draw(&Circle::new(place, look.stroke(4), color.filled())),
        1 => area.draw(&TriangleMarker::new(place, look.stroke(6), color.filled())),
        _ => area.draw(&Cross::new(place, look.stroke(4), color.stroke_width(look.stroke(2)))),
    }
}

/// The dashes of a side's line: pixels drawn and pixels left free; none for a line without gaps.
pub(super) fn dashes(look: Look, side: usize) -> Option<(u32, u32)> {
    [None, Some((8, 4)), Some((2, 4))][side % 3]
        .map(|(drawn, free)| (look.stroke(drawn), look.stroke(free)))
}

pub(super) fn color(look: Look, side: usize) -> RGBColor {
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
}
