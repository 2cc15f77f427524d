//! Fights to the finish against the table of the rules, section 12, whose values were computed
//! independently of this program.

use super::{ask, field, near, pair, rules, worth};
use crate::odds::{Kind, finish};

/// The fights of the table with their values in the order of its columns, one fight a line.
const TABLE: &str = "\
heavy foot    3 | heavy foot    3 | 0.474592229 0.474592229 0.050815543 2.168023414 0.989273096 0.989273096
heavy foot   12 | heavy foot   12 | 0.433255251 0.433255251 0.133489498 1.983675720 3.530829906 3.530829906
heavy foot   10 | light foot   10 | 0.835637754 0.080606690 0.083755556 1.600596904 1.152347639 5.115573880
heavy foot    8 | medium horse  3 | 0.167513202 0.753755265 0.078731533 1.836031816 3.491568572 0.553548035
light foot    8 | light foot    8 | 0.444119036 0.444119036 0.111761928 2.026549993 2.416263435 2.416263435
heavy horse   4 | heavy foot   12 | 0.771135643 0.124605004 0.104259353 1.613950458 0.658711962 6.177778715
levy         24 | heavy foot    8 | 0.468401897 0.267988714 0.263609389 1.401192639 7.152810246 1.694286920
great beasts  2 | heavy foot   12 | 0.456903098 0.388980827 0.154116076 1.743114849 0.724353267 3.364700437";

/// A class and its figures, as a cell of the table has them.
fn unit(cell: &str) -> (&str, u32) {
    let (class, figures) = cell.trim().rsplit_once(' ').unwrap();
    (class.trim(), figures.parse().unwrap())
}

#[test]
fn every_row_of_the_table_holds() {
    let rules = rules();
    for line in TABLE.lines() {
        let cells: Vec<&str> = line.split('|').collect();
        let [first, second, row] = cells.try_into().unwrap();
        let row: Vec<f64> = row.split_whitespace().map(|value| value.parse().unwrap()).collect();
        let fight = field(pair(unit(first), unit(second)));
        let odds = finish(&rules, &fight, &[ask()], 1).unwrap();
        assert_eq!(row.len(), 6, "{line}");
        assert_eq!(odds.kind, Kind::Exact);
        for (found, expected) in worth(&odds).into_iter().zip(row) {
            near(found, expected, 1e-8);
        }
        near(odds.standing.both, 0.0, 0.0);
    }
}
