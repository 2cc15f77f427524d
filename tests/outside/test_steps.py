"""Sections 3, 5 and 6: matchups, steps and dice."""

import unittest

from .field import SHAKEN, Condition, Leader
from .ranks import Contact, Passage
from .rules import changed, nearest_rung, shipped
from .scripted import duo, vale_and_banner
from .steps import plan

FOOT = "line foot"

# Facts of the trade (common practice, no source), as a rules file with six-sided dice holds them.
TRADE = changed(shipped(), {
    "ladder": {"die": 6, "lowest": -2, "rungs": [[1, 3, 6], [1, 2, 6], [1, 1, 6], [1, 1, 5], [2, 1, 5]]},
    "classes": {
        "heavy foot": {"weight": 2, "presence": 1, "mounted": False, "protection": 1, "pace": 1},
        "light foot": {"weight": 1, "presence": 1, "mounted": False, "protection": 0, "pace": 1},
        "medium horse": {"weight": 4, "presence": 2, "mounted": True, "protection": 1, "pace": 2},
    },
    "cells": {
        "heavy foot": {"heavy foot": [1, 1, 6], "light foot": [1, 1, 5], "medium horse": [1, 3, 6]},
        "light foot": {"heavy foot": [1, 2, 6]},
        "medium horse": {"heavy foot": [2, 1, 5]},
    },
})


class FactsOfTheTrade(unittest.TestCase):
    """Section 3's five matchups, worked out from a rules file that only the tests have."""

    def throws(self, striker, figures, target):
        field, a, b = duo((striker, figures, {}), (target, 10, {}), rules=TRADE)
        first = plan(field, [Contact(a, b)], "Vale")[0]
        return first.dice, first.kills_on

    def test_the_five(self):
        self.assertEqual(self.throws("heavy foot", 10, "heavy foot"), (10, 6))
        self.assertEqual(self.throws("heavy foot", 10, "light foot"), (10, 5))
        self.assertEqual(self.throws("light foot", 10, "heavy foot"), (5, 6))
        self.assertEqual(self.throws("heavy foot", 8, "medium horse"), (2, 6))
        self.assertEqual(self.throws("medium horse", 3, "heavy foot"), (6, 5))

    def test_nobody_without_a_die_but_one_throws(self):
        field = vale_and_banner([("A", "heavy foot", 2, {}), ("B", "heavy foot", 2, {"leader": Leader()})],
                                [("C", "medium horse", 4, {})], rules=TRADE)
        a, b, c = field.units
        throws = plan(field, [Contact(a, c), Contact(b, c)], "Vale")
        # A has the one die, looked for before B's leader adds his.
        self.assertEqual([t.dice for t in throws if t.striker.side == "Vale"], [1, 1])

    def test_steps_move_from_the_nearest_rung(self):
        self.assertEqual(nearest_rung(TRADE, [2, 1, 5]), 2)
        self.assertEqual(nearest_rung(TRADE, [1, 4, 6]), -2)
        # 5/72 lies midway between the rungs of 4/72 and 6/72; of equals the lower counts.
        self.assertEqual(nearest_rung(TRADE, [5, 12, 6]), -2)


class Steps(unittest.TestCase):
    """Each line of section 5's table, as the face that kills of (striker, struck)."""

    def kills_on(self, a=FOOT, b=FOOT, a_has=None, b_has=None, a_shaken=False, b_shaken=False, asked=None,
                 **options):
        field, one, other = duo((a, 8, a_has or {}), (b, 8, b_has or {}))
        for unit, shaken in ((one, a_shaken), (other, b_shaken)):
            unit.state = SHAKEN if shaken else unit.state
        for key in ("higher", "obstacle"):
            if key in options:
                options[key] = {"a": one, "b": other}[options[key]]
        contact = Contact(one, other, **options)
        return tuple(t.kills_on for t in plan(field, [contact], "Vale", asked))

    def test_none(self):
        self.assertEqual(self.kills_on(), (17, 17))

    def test_charge(self):
        self.assertEqual(self.kills_on("riders", "riders", charge=True), (16, 17))
        self.assertEqual(self.kills_on("riders", "riders", countercharge=True), (17, 16))
        self.assertEqual(self.kills_on("riders", "riders", charge=True, rounds=1), (17, 17))

    def test_charge_into_long_spears(self):
        # Riders against foot are +2 and −2; the charge is lost, and −3 and +2 come in.
        self.assertEqual(self.kills_on("riders", FOOT, b_has={"spears": True}, charge=True), (18, 17))
        # Beside the front, or shaken, spears do nothing.
        self.assertEqual(self.kills_on("riders", FOOT, b_has={"spears": True}, charge=True, side="flank"),
                         (11, 20))
        self.assertEqual(self.kills_on("riders", FOOT, b_has={"spears": True}, charge=True, b_shaken=True),
                         (13, 20))
        self.assertEqual(self.kills_on(FOOT, "riders", a_has={"spears": True}, countercharge=True), (17, 18))

    def test_long_spears_do_nothing_against_foot(self):
        self.assertEqual(self.kills_on(FOOT, FOOT, a_has={"spears": True}), (17, 17))

    def test_flank_and_rear(self):
        self.assertEqual(self.kills_on(side="flank"), (16, 18))
        self.assertEqual(self.kills_on(side="rear"), (15, 18))

    def test_ground_and_obstacle(self):
        self.assertEqual(self.kills_on(higher="a"), (16, 17))
        self.assertEqual(self.kills_on(higher="b"), (17, 16))
        self.assertEqual(self.kills_on(obstacle="b"), (18, 17))
        self.assertEqual(self.kills_on(obstacle="a"), (17, 18))

    def test_shaken(self):
        self.assertEqual(self.kills_on(a_shaken=True), (18, 17))

    def test_they_add_up_and_the_ladder_ends(self):
        self.assertEqual(self.kills_on(side="rear", higher="a", a_shaken=True), (15, 18))
        self.assertEqual(self.kills_on("levy", "great beasts", side="rear", higher="a"), (20, 9))

    def test_asked_by_the_referee(self):
        self.assertEqual(self.kills_on(asked={"Vale": 1, "Banner": -1}), (16, 18))
        self.assertEqual(self.kills_on(asked={"Vale": 5}), (13, 17))

    def test_conditions(self):
        field, a, b = duo((FOOT, 8, {}), (FOOT, 8, {}))
        field.give(a.conditions, field.condition("weary"))
        self.assertEqual([t.kills_on for t in plan(field, [Contact(a, b)], "Vale")], [18, 17])


class Dice(unittest.TestCase):
    """Leaders' might and dice of circumstances (sections 6, 13 and 14)."""

    def dice(self, leader, men=8, **options):
        field, a, b = duo((FOOT, men, {"leader": leader}), (FOOT, 8, {}))
        return plan(field, [Contact(a, b, **options)], "Vale")[0].dice

    def test_might(self):
        self.assertEqual(self.dice(Leader()), 9)
        self.assertEqual(self.dice(Leader(might=4)), 12)
        self.assertEqual(self.dice(Leader(might=6), men=2), 4)
        self.assertEqual(self.dice(Leader(might=6), passage=Passage(3)), 6)
        self.assertEqual(self.dice(Leader(holds_back=True)), 8)
        self.assertEqual(self.dice(Leader(fate="fell")), 8)

    def test_might_goes_where_most_fight(self):
        field = vale_and_banner([("A", FOOT, 9, {"leader": Leader(might=2)})],
                                [("B", FOOT, 4, {}), ("C", FOOT, 8, {})])
        a, b, c = field.units
        throws = plan(field, [Contact(a, b), Contact(a, c)], "Vale")
        self.assertEqual([t.dice for t in throws if t.striker is a], [3, 8])

    def test_of_equals_the_oldest(self):
        field = vale_and_banner([("A", FOOT, 8, {"leader": Leader(might=2)})],
                                [("B", FOOT, 4, {}), ("C", FOOT, 4, {})])
        a, b, c = field.units
        throws = plan(field, [Contact(a, b), Contact(a, c)], "Vale")
        self.assertEqual([t.dice for t in throws if t.striker is a], [6, 4])

    def test_with_dice_of_circumstances_never_more_than_fight(self):
        field, a, b = duo((FOOT, 5, {"leader": Leader(might=3)}), (FOOT, 8, {}))
        field.give(a.conditions, Condition("blessed", {"dice": 4}))
        self.assertEqual(plan(field, [Contact(a, b)], "Vale")[0].dice, 10)

    def test_the_asking_side_throws_first(self):
        field, a, b = duo((FOOT, 5, {}), (FOOT, 8, {}))
        self.assertEqual([t.striker for t in plan(field, [Contact(a, b)], "Banner")], [b, a])


if __name__ == "__main__":
    unittest.main()
