//! The same armies at several figure scales, side by side.

use super::bars::{Bar, bars, fill};
use super::chart::{Area, Axes, Drawn, EDGE, TEXT, TITLE, chart, color, mark, text_height, write};
use super::look::Look;
use crate::words::percent;
use plotters::prelude::{DashedLineSeries, DrawingBackend, LineSeries, PathElement};
use plotters::style::Color as _;

/// The height of one of the two charts.
const CHART: i32 = 150;

/// A comparison of figure scales.
#[derive(Debug, Clone, PartialEq)]
pub struct Scales {
    /// Its title.
    pub title: String,
    /// The side that is likelier to win.
    pub favourite: String,
    /// The scales, finest first.
    pub rows: Vec<ScaleRow>,
}

/// What one scale does.
#[derive(Debug, Clone, PartialEq)]
pub struct ScaleRow {
    /// The scale as it is written, such as `1:20`.
    pub label: String,
    /// The chance that the favourite wins, 0 to 1.
    pub favourite_wins: f64,
    /// The expected share of all men that is lost, 0 to 1.
    pub losses: f64,
    /// The standard deviation of that share.
    pub spread: f64,
}

impl Scales {
    /// What it shows, in a few sentences.
    pub fn alt(&self) -> String {
        let rows = self.rows.iter().enumerate().map(|(n, row)| {
            let who = if n == 0 { self.favourite.as_str() } else { "it" };
            let (label, wins, lost) = (&row.label, percent(row.favourite_wins), row.lost());
            format!(" At {label}, {who} wins with a chance of {wins} and losses are {lost}.")
        });
        format!("{}.{}", self.title, rows.collect::<Vec<_>>().concat())
    }

    /// The comparison as bars of text.
    pub fn text(&self, width: usize) -> String {
        let wins = self.rows.iter().map(|row| {
            Bar::new(row.label.clone(), row.favourite_wins, percent(row.favourite_wins))
        });
        let losses =
            self.rows.iter().map(|row| Bar::new(row.label.clone(), row.losses, row.lost()));
        fill(&self.title, width)
            + &fill(&self.wins(), width)
            + &bars(&wins.collect::<Vec<_>>(), width)
            + &fill(LOSSES, width)
            + &bars(&losses.collect::<Vec<_>>(), width)
    }

    fn wins(&self) -> String {
        format!("Chance that {} wins", self.favourite)
    }

    pub(super) fn height(&self, look: Look) -> i32 {
        2 * EDGE
            + text_height(look, &self.title, TITLE)
            + text_height(look, &self.wins(), TEXT)
            + text_height(look, LOSSES, TEXT)
            + text_height(look, KEY, TEXT)
            + 2 * CHART
    }

    pub(super) fn draw<B: DrawingBackend>(&self, area: &Area<B>, look: Look) -> Drawn<B> {
        let top = write(area, look, &self.title, TITLE, EDGE)?;
        let top = write(area, look, &self.wins(), TEXT, top)?;
        self.draw_wins(area, look, top)?;
        let top = write(area, look, LOSSES, TEXT, top + CHART)?;
        self.draw_losses(area, look, top)?;
        write(area, look, KEY, TEXT, top + CHART)?;
        Ok(())
    }

    fn draw_wins<B: DrawingBackend>(&self, area: &Area<B>, look: Look, top: i32) -> Drawn<B> {
        let label = |tick| self.label_at(tick);
        let axes = self.axes((1.05, vec![0.0, 0.25, 0.5, 0.75, 1.0]), &label);
        let mut chart = chart(area, look, (top, top + CHART), &axes)?;
        let points = self.points(|row| row.favourite_wins);
        let style = color(look, 0).stroke_width(look.stroke(2));
        chart.draw_series(LineSeries::new(points.clone(), style))?;
        for point in points {
            mark(area, look, 0, chart.backend_coord(&point))?;
        }
        Ok(())
    }

    fn draw_losses<B: DrawingBackend>(&self, area: &Area<B>, look: Look, top: i32) -> Drawn<B> {
        let high = self.rows.iter().map(|row| row.losses + row.spread).fold(0.01, f64::max);
        let label = |tick| self.label_at(tick);
        let ticks = super::chart::ticks(high, 4, 0.01);
        let axes = self.axes((high * 1.1, ticks), &label);
        let mut chart = chart(area, look, (top, top + CHART), &axes)?;
        let points = self.points(|row| row.losses);
        let style = color(look, 1).stroke_width(look.stroke(2));
        let (drawn, free) = super::chart::dashes(look, 1).unwrap_or((1, 0));
        chart.draw_series(DashedLineSeries::new(points.clone(), drawn, free, style))?;
        let bar = look.px(5);
        for (point, row) in points.into_iter().zip(&self.rows) {
            let at = |losses: f64| chart.backend_coord(&(point.0, losses));
            let (x, low) = at((row.losses - row.spread).max(0.0));
            let (_, high) = at(row.losses + row.spread);
            for line in [
                vec![(x, low), (x, high)],
                vec![(x - bar, low), (x + bar, low)],
                vec![(x - bar, high), (x + bar, high)],
            ] {
                area.draw(&PathElement::new(line, style))?;
            }
            mark(area, look, 1, at(row.losses))?;
        }
        Ok(())
    }

    fn points(&self, of: impl Fn(&ScaleRow) -> f64) -> Vec<(f64, f64)> {
        (0..).zip(&self.rows).map(|(n, row)| (f64::from(n), of(row))).collect()
    }

    fn axes<'a>(
        &self,
        (high, ticks): (f64, Vec<f64>),
        label: &'a dyn Fn(f64) -> String,
    ) -> Axes<'a> {
        let last = self.rows.len().saturating_sub(1) as f64;
        Axes {
            x: (-0.4..last + 0.4, (0..).take(self.rows.len()).map(f64::from).collect()),
            y: (0.0..high, ticks),
            x_label: label,
            y_label: &|tick| format!("{:.0} %", tick * 100.0),
        }
    }

    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "ticks stand at the rows"
    )]
    fn label_at(&self, tick: f64) -> String {
        self.rows.get(tick.round().max(0.0) as usize).map_or(String::new(), |row| row.label.clone())
    }
}

const LOSSES: &str = "Share of all men lost";
const KEY: &str = "Across: figure scale. Bars: one standard deviation up and down.";

impl ScaleRow {
    fn lost(&self) -> String {
        format!("{} ± {:.0}", percent(self.losses), self.spread * 100.0)
    }
}
