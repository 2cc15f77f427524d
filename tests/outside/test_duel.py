"""Section 14's check values, and single combat as it is thrown."""

import unittest
from fractions import Fraction

from .duel import THREE_ROUNDS, TO_FIRST_WOUND, TO_THE_END, SingleCombat, odds, round_chances
from .field import ROUTING, STEADY, Field, Leader
from .rules import Refused, shipped

# Section 14: might, wounds against might, wounds; first wins, second wins, rounds.
TABLE = [
    ((1, 1, 1, 1), (0.500000000, 0.500000000, 2.090322581)),
    ((1, 2, 1, 1), (0.693548387, 0.306451613, 2.899479709)),
    ((2, 1, 1, 1), (0.678627145, 0.321372855, 2.021840874)),
    ((3, 2, 2, 2), (0.750686840, 0.249313160, 4.055870434)),
]


class CheckValues(unittest.TestCase):
    """The odds of section 14, by enumeration."""

    def test_every_row(self):
        for who, wanted in TABLE:
            with self.subTest(who):
                got = odds(shipped(), *who)
                self.assertEqual(got.first + got.second, 1)
                for value, want in zip((got.first, got.second, got.rounds), wanted):
                    self.assertAlmostEqual(float(value), want, delta=1e-8)

    def test_a_round_that_does_nothing(self):
        self.assertEqual(round_chances(shipped(), 1, 1)[0, 0], Fraction(169, 324))


def faces(*thrown):
    """A supplier that hands out the given faces in order."""
    left = list(thrown)

    def supply(kind, count):
        return [left.pop(0) for _ in range(count)]

    return supply


def combat(until, **leader):
    """A single combat of two like leaders, each before ten line foot."""
    field = Field(1)
    a = field.muster("A", "Vale", "line foot", men=10, leader=Leader("Ann", **leader))
    b = field.muster("B", "Banner", "line foot", men=10, leader=Leader("Bo", **leader))
    return field, a, b, SingleCombat(field, a, b, until)


class Thrown(unittest.TestCase):
    """Single combat with faces that are given."""

    def test_less_than_three_apart_is_nothing_and_three_is_a_wound(self):
        _, a, b, fight = combat(TO_FIRST_WOUND, wounds=2)
        self.assertEqual(fight.press(faces(4, 4, 3, 3, 4, 4, 4, 1)), [(0, 0), (0, 1)])
        self.assertEqual((a.leader.wounds, b.leader.wounds), (2, 1))

    def test_six_apart_is_two_wounds(self):
        _, a, _, fight = combat(TO_FIRST_WOUND, wounds=3)
        self.assertEqual(fight.press(faces(1, 1, 4, 4)), [(2, 0)])
        self.assertEqual(a.leader.wounds, 1)

    def test_three_rounds_end_a_press_and_one_press_a_turn(self):
        field, _, _, fight = combat(THREE_ROUNDS)
        self.assertEqual(len(fight.press(faces(*[3] * 12))), 3)
        with self.assertRaises(Refused):
            fight.press(faces())
        field.end_turn()
        self.assertEqual(len(fight.press(faces(*[3] * 12))), 3)

    def test_when_one_falls(self):
        field, a, b, fight = combat(TO_THE_END)
        # Bo loses by five; his men's 2d6 of 3 with +1 trained −1 is 3, a rout.
        fight.press(faces(6, 3, 2, 2, 1, 2))
        self.assertFalse(b.has_leader)
        self.assertEqual(b.state, ROUTING)
        self.assertEqual(field.effect(a, "nerve"), 1)
        field.end_turn()
        self.assertEqual(field.effect(a, "nerve"), 1)
        field.end_turn()
        self.assertEqual(field.effect(a, "nerve"), 0)

    def test_a_falling_generals_dismay_does_not_enter_his_units_own_test(self):
        field, _, b, fight = combat(TO_THE_END, general=True)
        fight.press(faces(6, 3, 2, 2, 3, 3))
        self.assertEqual(b.state, STEADY)
        self.assertEqual(field.effect(b, "nerve"), -1)

    def test_breaking_off_dismays_until_the_turn_ends(self):
        field, a, _, fight = combat(TO_FIRST_WOUND)
        fight.break_off(a)
        self.assertEqual(field.effect(a, "nerve"), -1)
        field.end_turn()
        self.assertEqual(field.effect(a, "nerve"), 0)


if __name__ == "__main__":
    unittest.main()
