//! What each unit may lose: one distribution a unit, under each other.

use super::bars::{Bar, fill, groups};
use super::chart::{Axes, EDGE, LINE, TEXT, TITLE, chart, color, ticks, triangle, write};
use super::font::isolated;
use super::sheet::{Sheet, Stroke};
use crate::odds::{FinishOdds, Kind, RoundOdds, UnitOdds};
use crate::words::{figures, kind, percent};

/// Losses less likely than this at either end are not drawn.
const SHOWN: f64 = 0.0005;
/// The height of one unit's chart.
const CHART: f64 = 132.0;
/// The most units that are drawn: more would not be read on a phone.
const DRAWN: usize = 8;
/// The most bars of text for one unit.
const ROWS: u32 = 10;
/// A range of losses holds at least this share of cases, half of the rest on each side.
const USUAL: f64 = 0.9;

/// The losses that units may have.
#[derive(Debug, Clone, PartialEq)]
pub struct LossesPicture {
    /// Its title.
    pub title: String,
    /// How the numbers were found.
    pub kind: Kind,
    /// The units, the asking side's first.
    pub units: Vec<UnitLosses>,
}

/// The losses that one unit may have.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitLosses {
    /// The unit.
    pub unit: String,
    /// Its side: 0 for the asking side, 1 for the other.
    pub side: usize,
    /// Its figures at the start.
    pub figures: u32,
    /// The chance of losing exactly 0, 1, … figures, up to all of them.
    pub chances: Vec<f64>,
    /// Expected losses in figures.
    pub expected: f64,
    /// Figures it lost, once it was thrown.
    pub lost: Option<u32>,
}

impl LossesPicture {
    /// The losses of one round.
    pub fn round(odds: &RoundOdds) -> Self {
        let title = format!("Losses in round {}", odds.round);
        Self { title, kind: odds.kind, units: units(&odds.sides, &odds.units) }
    }

    /// The losses of a fight to the finish.
    pub fn finish(odds: &FinishOdds) -> Self {
        let title = "Losses in a fight to the finish".to_owned();
        Self { title, kind: odds.kind, units: units(&odds.sides, &odds.units) }
    }

    /// What it shows, in a few sentences.
    pub fn alt(&self) -> String {
        let mut alt = format!("{}.", self.title);
        for unit in self.drawn() {
            alt.push(' ');
            alt.push_str(&unit.sentence());
        }
        alt + &self.not_drawn() + " " + &self.found()
    }

    /// The units that are drawn.
    fn drawn(&self) -> &[UnitLosses] {
        &self.units[..self.units.len().min(DRAWN)]
    }

    /// That there are more, with a space before it; empty if there are none.
    fn not_drawn(&self) -> String {
        match self.units.len() - self.drawn().len() {
            0 => String::new(),
            1 => " 1 more unit is not drawn.".to_owned(),
            more => format!(" {more} more units are not drawn."),
        }
    }

    fn found(&self) -> String {
        format!("The chances are {}.", kind(self.kind))
    }

    /// What a star beside a bar means, if one stands there.
    fn starred(&self) -> &'static str {
        if self.drawn().iter().any(|unit| unit.lost.is_some()) { "* What it lost." } else { "" }
    }

    /// The losses as bars of text.
    pub fn text(&self, width: usize) -> String {
        let unit = |unit: &UnitLosses| (format!("{}, figures lost", unit.unit), unit.rows());
        let units: Vec<_> = self.drawn().iter().map(unit).collect();
        fill(&self.title, width)
            + &groups(&units, width)
            + &fill([self.starred(), &self.found(), &self.not_drawn()].join(" ").trim(), width)
    }

    /// What the marks mean.
    fn key(&self) -> String {
        let thrown = self.drawn().iter().any(|unit| unit.lost.is_some());
        let thrown = if thrown { " Triangle: what was lost." } else { "" };
        let more = self.not_drawn();
        format!(
            "Across: figures lost. Upward: chance. Dashed: expected.{thrown} {}{more}",
            self.found()
        )
    }

    fn most(&self) -> u32 {
        self.drawn().iter().map(UnitLosses::most).max().unwrap_or(0).max(1)
    }

    /// Draws it and returns the first free height below.
    pub(super) fn draw(&self, sheet: &mut Sheet<'_>) -> f64 {
        let mut top = write(sheet, &self.title, TITLE, EDGE);
        for unit in self.drawn() {
            top = write(sheet, &unit.caption(), TEXT, top);
            unit.draw(sheet, top, self.most());
            top += CHART;
        }
        write(sheet, &self.key(), TEXT, top)
    }
}

fn units(sides: &[String; 2], units: &[UnitOdds]) -> Vec<UnitLosses> {
    let one = |unit: &UnitOdds| UnitLosses {
        unit: unit.unit.clone(),
        side: usize::from(unit.side != sides[0]),
        figures: unit.before.figures,
        chances: unit.losses.chances.clone(),
        expected: unit.losses.expected,
        lost: None,
    };
    units.iter().map(one).collect()
}

impl UnitLosses {
    /// The most figures that it may lose with a chance worth drawing, or did lose.
    fn most(&self) -> u32 {
        let likely = (0..).zip(&self.chances).filter(|(_, chance)| **chance >= SHOWN);
        likely.map(|(lost, _)| lost).max().max(self.lost).unwrap_or(0)
    }

    /// Its bars of text: one for each number of figures, or for as many numbers as make few bars.
    fn rows(&self) -> Vec<Bar> {
        let most = self.most();
        let step = (most + 1).div_ceil(ROWS);
        let label = |first: u32, last: u32| {
            if first == last { first.to_string() } else { format!("{first}–{last}") }
        };
        let digits = label(most + 1 - step.min(most + 1), most).chars().count().max(3);
        let row = |first: u32| {
            let last = (first + step - 1).min(most);
            let chance: f64 = (first..=last).map(|lost| self.chance(lost)).sum();
            let here = self.lost.is_some_and(|lost| (first..=last).contains(&lost));
            let here = if here { "*" } else { " " };
            Bar::new(format!("{:>digits$}{here}", label(first, last)), chance, percent(chance))
        };
        (0..=most).step_by(step as usize).map(row).collect()
    }

    fn chance(&self, lost: u32) -> f64 {
        self.chances.get(lost as usize).copied().unwrap_or(0.0)
    }

    fn caption(&self) -> String {
        let thrown = self.lost.map_or(String::new(), |lost| format!(", {lost} lost"));
        let unit = isolated(&self.unit);
        format!("{unit}, {}: {:.1} expected{thrown}", figures(self.figures), self.expected)
    }

    fn sentence(&self) -> String {
        let (least, most) = self.usual();
        let (likeliest, chance) = self.likeliest();
        let thrown = self.lost.map_or(String::new(), |lost| format!(" It lost {lost}."));
        format!(
            "{} may lose {:.1} of {} on average, most often {likeliest} ({}), \
             {least} to {most} in at least 9 cases of 10.{thrown}",
            self.unit,
            self.expected,
            figures(self.figures),
            percent(chance)
        )
    }

    /// The loss that is likelier than any other, and its chance.
    fn likeliest(&self) -> (u32, f64) {
        (0..).zip(&self.chances).fold((0, 0.0), |(best, most), (lost, chance)| {
            if *chance > most { (lost, *chance) } else { (best, most) }
        })
    }

    /// The range that holds at least [`USUAL`] of all cases, with at most half the rest on each
    /// side.
    fn usual(&self) -> (u32, u32) {
        let tail = (1.0 - USUAL) / 2.0;
        let reach = |share: f64| {
            let mut below = 0.0;
            let reached = self.chances.iter().position(|chance| {
                below += chance;
                below > share
            });
            u32::try_from(reached.unwrap_or(self.chances.len().saturating_sub(1)))
                .expect("few figures")
        };
        (reach(tail), reach(1.0 - tail - 1e-12))
    }

    fn draw(&self, sheet: &mut Sheet<'_>, top: f64, most: u32) {
        let highest = self.likeliest().1.max(0.01);
        let room = (sheet.look.width() / 36).clamp(6, 20);
        let axes = Axes {
            x: (-0.5..f64::from(most) + 0.5, ticks(f64::from(most), room, 1.0)),
            y: (0.0..highest * 1.15, ticks(highest, 3, 0.01)),
            x_label: &|tick| format!("{tick:.0}"),
            y_label: &|tick| format!("{:.0} %", tick * 100.0),
        };
        let chart = chart(sheet, (top, top + CHART), &axes);
        let color = color(sheet.look, self.side);
        let shown = (0..=most).zip(&self.chances).filter(|(_, chance)| **chance > 0.0);
        for (lost, chance) in shown {
            let (left, right) = (f64::from(lost) - 0.38, f64::from(lost) + 0.38);
            let bar = [(left, 0.0), (left, *chance), (right, *chance), (right, 0.0)];
            let bar = chart.through(&bar);
            // The other side's bars are hollow, so that no colour is needed to tell them apart.
            if self.side == 0 {
                sheet.area(bar, color, 1.0);
            } else {
                sheet.area(bar.clone(), color, 0.18);
                sheet.line(bar, Stroke::new(color, LINE));
            }
        }
        let ink = sheet.look.palette().ink;
        let expected = [(self.expected, 0.0), (self.expected, highest * 1.15)];
        let dashed = Stroke::new(ink, LINE).dashed(Some([5.0, 4.0]));
        sheet.line(chart.through(&expected), dashed);
        if let Some(lost) = self.lost {
            let height = self.chance(lost) + highest * 0.09;
            triangle(sheet, chart.at((f64::from(lost), height)), ink);
        }
    }
}
