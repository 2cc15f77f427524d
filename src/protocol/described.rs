//! A unit described in one line, for a quick ruling with nothing registered.

use serde::{Deserialize, Serialize};
use std::fmt;

/// A described unit, such as `8 figures of line foot, seasoned, long spears`.
///
/// First comes the strength, in figures unless men are named, and the troop class; then, after
/// commas and in any order, a grade, `long spears`, `shaken`, `led`, `frontage N`.
///
/// ```
/// use drumhead::protocol::Described;
/// let unit: Described = "60 men of riders, led".parse().unwrap();
/// assert_eq!(unit.to_string(), "60 men of riders, led");
/// assert_eq!("8 line foot".parse::<Described>().unwrap().to_string(), "8 figures of line foot");
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Described {
    /// Its strength.
    pub strength: Amount,
    /// Its troop class.
    pub class: String,
    /// Its grade; none for the rules' usual one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
    /// Whether it has long spears.
    #[serde(default)]
    pub spears: bool,
    /// Whether it is shaken.
    #[serde(default)]
    pub shaken: bool,
    /// Whether a leader is with it.
    #[serde(default)]
    pub led: bool,
    /// Its front rank in figures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frontage: Option<u32>,
}

/// A strength in men or in figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Amount {
    /// So many figures.
    Figures(u32),
    /// So many men.
    Men(u32),
}

impl fmt::Display for Described {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (count, one, many) = match self.strength {
            Amount::Figures(figures) => (figures, "figure", "figures"),
            Amount::Men(men) => (men, "man", "men"),
        };
        write!(f, "{count} {} of {}", if count == 1 { one } else { many }, self.class)?;
        for (there, name) in
            [(self.spears, "long spears"), (self.shaken, "shaken"), (self.led, "led")]
        {
            if there {
                write!(f, ", {name}")?;
            }
        }
        if let Some(frontage) = self.frontage {
            write!(f, ", frontage {frontage}")?;
        }
        match &self.grade {
            Some(grade) => write!(f, ", {grade}"),
            None => Ok(()),
        }
    }
}
