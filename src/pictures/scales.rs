//! The same armies at several figure scales, side by side.

use super::bars::{Bar, bars, fill, groups};
use super::chart::{
    Axes, Chart, EDGE, LINE, TEXT, TITLE, chart, color, mark, name_side, stroke, ticks, write,
};
use super::font::isolated;
use super::sheet::{Sheet, Stroke};
use crate::odds::{Kind, ScaleRow, Scales, ShareLost};
use crate::words::{kind, percent};

/// The height of one of the two charts.
const CHART: f64 = 150.0;
/// How far the sides' bars stand from their scale, to each side, as a share of a step.
const APART: f64 = 0.1;

/// A comparison of figure scales.
#[derive(Debug, Clone, PartialEq)]
pub struct ScalesPicture(pub Scales);

/// Its title.
const ABOUT: &str = "The same armies at several figure scales";

impl ScalesPicture {
    /// Its title.
    pub const fn title(&self) -> &'static str {
        ABOUT
    }

    /// The scales, finest first; there is at least one.
    fn rows(&self) -> &[ScaleRow] {
        &self.0.rows
    }

    /// The two sides, in the order of what they lose.
    fn sides(&self) -> [&str; 2] {
        self.rows().first().map_or([""; 2], |row| row.losses.each_ref().map(|lost| &*lost.side))
    }

    /// What it shows, in a few sentences.
    pub fn alt(&self) -> String {
        let rows = self.rows().iter().enumerate().map(|(n, row)| {
            let who = if n == 0 { self.0.favourite.as_str() } else { "it" };
            let (scale, wins) = (row.scale, percent(row.favourite_wins));
            let [ours, theirs] = row.losses.each_ref().map(words);
            let [one, other] = self.sides();
            format!(
                " At {scale}, {who} wins with a chance of {wins}; {one} loses {ours}, {other} \
                 {theirs}."
            )
        });
        let rows = rows.collect::<Vec<_>>().concat();
        format!("{ABOUT}.{rows} {}", self.found())
    }

    /// How the numbers were found, scale by scale where it is not the same for all.
    fn found(&self) -> String {
        let simulated: Vec<String> = self
            .rows()
            .iter()
            .filter(|row| row.kind != Kind::Exact)
            .map(|row| format!("At {} they are {}.", row.scale, kind(row.kind)))
            .collect();
        match simulated.len() {
            0 => format!("The chances are {}.", kind(Kind::Exact)),
            n if n == self.rows().len() => simulated.join(" "),
            _ => format!("The chances are {}. {}", kind(Kind::Exact), simulated.join(" ")),
        }
    }

    /// The comparison as bars of text.
    pub fn text(&self, width: usize) -> String {
        let wins = self.rows().iter().map(|row| {
            Bar::new(row.scale.to_string(), row.favourite_wins, percent(row.favourite_wins))
        });
        let mut text = fill(ABOUT, width)
            + &fill(&self.wins(), width)
            + &bars(&wins.collect::<Vec<_>>(), width);
        let lost = |(side, place): (&str, usize)| {
            let bar = |row: &ScaleRow| {
                let lost = &row.losses[place];
                Bar::new(row.scale.to_string(), lost.expected, words(lost))
            };
            (format!("{LOSSES}: {side}"), self.rows().iter().map(bar).collect())
        };
        let sides: Vec<_> = self.sides().into_iter().zip(0..).map(lost).collect();
        text.push_str(&groups(&sides, width));
        text + &fill(&self.found(), width)
    }

    fn wins(&self) -> String {
        format!("Chance that {} wins", self.0.favourite)
    }

    fn key(&self) -> String {
        format!("{KEY} {}", self.found())
    }

    /// Draws it and returns the first free height below.
    pub(super) fn draw(&self, sheet: &mut Sheet<'_>) -> f64 {
        let top = write(sheet, ABOUT, TITLE, EDGE);
        let wins = format!("Chance that {} wins", isolated(&self.0.favourite));
        let top = write(sheet, &wins, TEXT, top);
        self.draw_wins(sheet, top);
        let mut top = write(sheet, LOSSES, TEXT, top + CHART);
        for (side, place) in self.sides().into_iter().zip(0..) {
            top = name_side(sheet, place, side, top);
        }
        self.draw_losses(sheet, top);
        write(sheet, &self.key(), TEXT, top + CHART)
    }

    fn draw_wins(&self, sheet: &mut Sheet<'_>, top: f64) {
        let label = |tick| self.label_at(tick);
        let axes = self.axes((1.05, vec![0.0, 0.25, 0.5, 0.75, 1.0]), &label);
        let chart = chart(sheet, (top, top + CHART), &axes);
        // The favourite keeps the line and the mark that it has below.
        let side = usize::from(self.0.favourite != self.sides()[0]);
        let points = chart.through(&self.points(0.0, |row| row.favourite_wins));
        sheet.line(points.clone(), stroke(sheet.look, side));
        for point in points {
            mark(sheet, side, point);
        }
    }

    fn draw_losses(&self, sheet: &mut Sheet<'_>, top: f64) {
        let reach = |lost: &ShareLost| (lost.expected + lost.deviation).min(1.0);
        let high = self.rows().iter().flat_map(|row| &row.losses).map(reach).fold(0.01, f64::max);
        let label = |tick| self.label_at(tick);
        let axes = self.axes((high * 1.1, ticks(high, 4, 0.01)), &label);
        let chart = chart(sheet, (top, top + CHART), &axes);
        for (side, aside) in [(0, -APART), (1, APART)] {
            let points = self.points(aside, |row| row.losses[side].expected);
            sheet.line(chart.through(&points), stroke(sheet.look, side));
            for (point, row) in points.into_iter().zip(self.rows()) {
                spread(sheet, &chart, side, point, row.losses[side].deviation);
            }
        }
    }

    fn points(&self, aside: f64, of: impl Fn(&ScaleRow) -> f64) -> Vec<(f64, f64)> {
        (0..).zip(self.rows()).map(|(n, row)| (f64::from(n) + aside, of(row))).collect()
    }

    fn axes<'a>(
        &self,
        (high, ticks): (f64, Vec<f64>),
        label: &'a dyn Fn(f64) -> String,
    ) -> Axes<'a> {
        let last = self.rows().len().saturating_sub(1) as f64;
        Axes {
            x: (-0.4..last + 0.4, (0..).take(self.rows().len()).map(f64::from).collect()),
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
        self.rows()
            .get(tick.round().max(0.0) as usize)
            .map_or(String::new(), |row| row.scale.to_string())
    }
}

const LOSSES: &str = "Share of its men that a side loses";
const KEY: &str = "Across: figure scale. Bars: one standard deviation up and down.";

/// A side's mark at a point, with a bar as far up and down as losses spread.
fn spread(
    sheet: &mut Sheet<'_>,
    chart: &Chart,
    side: usize,
    (x, expected): (f64, f64),
    deviation: f64,
) {
    let at = |share: f64| chart.at((x, share));
    let (x, low) = at((expected - deviation).max(0.0));
    let (_, high) = at((expected + deviation).min(1.0));
    let stroke = Stroke::new(color(sheet.look, side), LINE);
    sheet.line(vec![(x, low), (x, high)], stroke);
    for end in [low, high] {
        sheet.line(vec![(x - 4.0, end), (x + 4.0, end)], stroke);
    }
    mark(sheet, side, at(expected));
}

/// The share that a side loses: `12 % ± 3.4`.
fn words(lost: &ShareLost) -> String {
    format!("{} ± {:.1}", percent(lost.expected), lost.deviation * 100.0)
}
