//! Fights to the finish against the table of the rules, section 12, whose values were computed
//! independently of this program.

use super::{ask, field, near, pair, rules};
use crate::odds::{Kind, finish};

/// A fight, and its values in the order of the table's columns.
type Row = ((&'static str, u32), (&'static str, u32), [f64; 6]);

const TABLE: [Row; 8] = [
    (
        ("heavy foot", 3),
        ("heavy foot", 3),
        [0.474_592_229, 0.474_592_229, 0.050_815_543, 2.168_023_414, 0.989_273_096, 0.989_273_096],
    ),
    (
        ("heavy foot", 12),
        ("heavy foot", 12),
        [0.433_255_251, 0.433_255_251, 0.133_489_498, 1.983_675_720, 3.530_829_906, 3.530_829_906],
    ),
    (
        ("heavy foot", 10),
        ("light foot", 10),
        [0.835_637_754, 0.080_606_690, 0.083_755_556, 1.600_596_904, 1.152_347_639, 5.115_573_880],
    ),
    (
        ("heavy foot", 8),
        ("medium horse", 3),
        [0.167_513_202, 0.753_755_265, 0.078_731_533, 1.836_031_816, 3.491_568_572, 0.553_548_035],
    ),
    (
        ("light foot", 8),
        ("light foot", 8),
        [0.444_119_036, 0.444_119_036, 0.111_761_928, 2.026_549_993, 2.416_263_435, 2.416_263_435],
    ),
    (
        ("heavy horse", 4),
        ("heavy foot", 12),
        [0.771_135_643, 0.124_605_004, 0.104_259_353, 1.613_950_458, 0.658_711_962, 6.177_778_715],
    ),
    (
        ("levy", 24),
        ("heavy foot", 8),
        [0.468_401_897, 0.267_988_714, 0.263_609_389, 1.401_192_639, 7.152_810_246, 1.694_286_920],
    ),
    (
        ("great beasts", 2),
        ("heavy foot", 12),
        [0.456_903_098, 0.388_980_827, 0.154_116_076, 1.743_114_849, 0.724_353_267, 3.364_700_437],
    ),
];

#[test]
fn every_row_of_the_table_holds() {
    let rules = rules();
    for (first, second, row) in TABLE {
        let odds = finish(&rules, &field(pair(first, second)), &[ask()], 1).unwrap();
        assert_eq!(odds.kind, Kind::Exact);
        let found = [
            odds.standing.first_alone,
            odds.standing.second_alone,
            odds.standing.neither,
            odds.rounds.expected,
            odds.units[0].losses.expected,
            odds.units[1].losses.expected,
        ];
        for (found, expected) in found.into_iter().zip(row) {
            near(found, expected, 1e-8);
        }
        near(odds.standing.both, 0.0, 0.0);
    }
}
