//! Help at the table.

use super::line;
use super::width;

const OVERVIEW: &str = "\
A battle in five lines:
  open \"Harrow Ford\" --scale 20
  muster \"Ford Wardens\" --side Vale --class \"heavy foot\" --men 160
  muster \"Banner Spears\" --side \"Grey Banner\" --class \"light foot\" --men 200
  melee \"Ford Wardens\" \"Banner Spears\"
  again
Set up: open, side, muster, change, dismiss, attach, rescale, close, reopen
Fight: melee, again, shoot, rally, turn, undo
Without a battle: ruling, throw
Both in_flight on the dice: word, cast
Look: show, odds, match, scale, battles, log, proof, rules
Names of several words stand in quotation marks. Capitals do not matter.
One thing more closely: help melee
Leave: quit
";

/// Help on one request, or on all.
pub(super) fn help(request: Option<&str>) -> Result<String, String> {
    let Some(request) = request else {
        let lines = OVERVIEW.lines().map(|line| {
            let indent = if line.starts_with(' ') { "      " } else { "  " };
            textwrap::fill(line, textwrap::Options::new(width()).subsequent_indent(indent))
        });
        return Ok(lines.map(|line| line + "\n").collect());
    };
    line::help_on(&request.to_lowercase())
        .ok_or_else(|| format!("“{request}” cannot be asked. See what can: help"))
}
