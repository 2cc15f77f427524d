//! Help at the table.

use super::{trouble, width};
use crate::requests::{self, Group, in_group};
use std::fmt::Write as _;

const FIRST_STEPS: &str = "\
A battle in five lines:
  open \"Harrow Ford\" --scale 20
  muster \"Ford Wardens\" --side Vale --class \"line foot\" --men 160
  muster \"Banner Spears\" --side \"Grey Banner\" --class \"skirmishers\" --men 200
  melee \"Ford Wardens\" \"Banner Spears\"
  again
";

const CLOSING: &str = "\
Names of several words stand in quotation marks. Capitals do not matter.
More about one of them: help melee
";

/// Help on one request, or on all.
pub(super) fn help(request: Option<&str>) -> Result<String, String> {
    let Some(request) = request else { return Ok(wrapped(&overview())) };
    let words = [request.trim_start_matches('/').to_owned()];
    match requests::named(&words) {
        Some(named) => Ok(requests::help(named.spec, width())),
        None => Err(trouble::unknown(request).to_string()),
    }
}

/// First steps, and every request by its group.
fn overview() -> String {
    let mut text = FIRST_STEPS.to_owned();
    for group in Group::ALL {
        let at_table = in_group(group).filter(|spec| spec.fronts.table());
        let names: Vec<&str> = at_table.map(|spec| spec.name).collect();
        if !names.is_empty() {
            writeln!(text, "{}: {}", group.heading(), names.join(", "))
                .expect("a String takes all");
        }
    }
    text + CLOSING
}

fn wrapped(text: &str) -> String {
    let lines = text.lines().map(|line| {
        let indent = if line.starts_with(' ') { "      " } else { "  " };
        textwrap::fill(line, textwrap::Options::new(width()).subsequent_indent(indent))
    });
    lines.map(|line| line + "\n").collect()
}
