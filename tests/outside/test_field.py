"""Sections 1, 2 and 13: figures at scale, losses, singles, conditions."""

import tempfile
import unittest

from .field import DESTROYED, Condition, Field, Leader
from .rules import Refused, load, matchup, shipped


def mustered(scale, *men, troop="line foot"):
    """The figures of units mustered one after the other."""
    field = Field(scale)
    return [field.muster(str(i), "Vale", troop, men=n).figures for i, n in enumerate(men)]


class Scale(unittest.TestCase):
    """Section 1's rules and its examples."""

    def test_check_values(self):
        for men, figures in ((60, 3), (80, 4), (120, 6), (160, 8), (240, 12)):
            self.assertEqual(mustered(20, men), [figures])
        self.assertEqual(mustered(1, 17), [17])

    def test_a_side_gains_nothing_by_rounding(self):
        self.assertEqual(mustered(20, 50, 50), [3, 2])
        self.assertEqual(mustered(20, 50, 50, 50), [3, 2, 3])

    def test_the_cap_is_by_side_and_class(self):
        field = Field(20)
        units = [field.muster("a", "Vale", "line foot", men=50),
                 field.muster("b", "Vale", "levy", men=50),
                 field.muster("c", "Banner", "line foot", men=50),
                 field.muster("d", "Vale", "line foot", men=50)]
        self.assertEqual([u.figures for u in units], [3, 3, 3, 2])

    def test_the_smallest_unit(self):
        with self.assertRaisesRegex(Refused, "20 men are 1 figures at 1:20; 1:13 would do"):
            mustered(20, 20)
        with self.assertRaises(Refused):
            mustered(20, 9)
        self.assertEqual(mustered(13, 20), [2])
        self.assertEqual(mustered(1, 1), [1])
        with self.assertRaises(Refused):
            mustered(20, 30, 30)  # Together 60 men are 3 figures, so the second would be 1.

    def test_figures_that_stand_for_others(self):
        field = Field(20)
        far = field.muster("a", "Vale", "levy", men=50)
        near = field.muster("b", "Vale", "line foot", men=65)
        at_a_tenth = field.muster("c", "Vale", "shock foot", men=200)
        self.assertTrue(field.stands_for_others(far))
        self.assertFalse(field.stands_for_others(near))
        self.assertFalse(field.stands_for_others(at_a_tenth))

    def test_losses(self):
        for men, after in ((65, [45, 25, 0]), (70, [50, 30, 10, 0])):
            field = Field(20)
            unit = field.muster("a", "Vale", "line foot", men=men)
            seen = []
            while unit.figures:
                field.lose_figures(unit, 1)
                seen.append(unit.men)
            self.assertEqual(seen, after)
            self.assertEqual(unit.state, DESTROYED)

    def test_scaling_there_and_back(self):
        field = Field(20)
        a = field.muster("a", "Vale", "line foot", men=50, frontage=30)
        b = field.muster("b", "Vale", "line foot", men=50)
        field.lose_figures(a, 1)
        self.assertEqual(field.frontage_of(a), 2)
        field.rescale(5)
        self.assertEqual((a.figures, a.muster_figures, b.figures), (6, 10, 10))
        self.assertEqual(field.frontage_of(a), 6)
        field.rescale(20)
        self.assertEqual((a.figures, a.muster_figures, b.figures), (2, 3, 2))
        self.assertEqual(field.frontage_of(a), 2)

    def test_rescaling_is_refused_where_a_unit_would_have_none(self):
        field = Field(5)
        unit = field.muster("Ford Wardens", "Vale", "line foot", men=20)
        field.muster("b", "Vale", "levy", men=100)
        with self.assertRaisesRegex(Refused, "Ford Wardens"):
            field.rescale(50)
        self.assertEqual((field.scale, unit.figures), (5, 4))

    def test_a_frontage_is_never_under_one_figure(self):
        field = Field(20)
        self.assertEqual(field.frontage_of(field.muster("a", "Vale", "levy", men=100, frontage=5)), 1)

    def test_reinforcement_raises_the_muster(self):
        field = Field(20)
        unit = field.muster("a", "Vale", "levy", men=80)
        field.lose_figures(unit, 2)
        field.reinforce(unit, 40)
        self.assertEqual((unit.men, unit.figures, unit.muster_figures), (80, 4, 6))

    def test_a_single(self):
        field = Field(20)
        beast = field.muster("a", "Vale", "great beasts", hits=6)
        self.assertEqual(beast.figures, 6)
        field.rescale(5)
        self.assertEqual(beast.figures, 6)
        field.lose_figures(beast, 6)
        self.assertEqual(beast.state, DESTROYED)
        for wrong in ({"hits": 61}, {"hits": 0}, {"hits": 3, "frontage": 2}):
            with self.assertRaises(Refused):
                field.muster("b", "Vale", "great beasts", **wrong)

    def test_spears_are_for_foot(self):
        with self.assertRaises(Refused):
            Field(1).muster("a", "Vale", "riders", men=10, spears=True)


class Conditions(unittest.TestCase):
    """Section 13."""

    def setUp(self):
        self.field = Field(1)
        self.unit = self.field.muster("a", "Vale", "riders", men=10)

    def test_the_same_counts_once_and_the_later_end_counts(self):
        field, unit = self.field, self.unit
        field.give(unit.conditions, field.condition("dismayed", until=1))
        field.give(unit.conditions, field.condition("dismayed", until=2))
        field.give(unit.conditions, field.condition("dismayed", until=1))
        field.side_conditions["Vale"] = [field.condition("dismayed", until=1)]
        self.assertEqual(field.effect(unit, "nerve"), -1)
        field.end_turn()
        self.assertEqual(field.effect(unit, "nerve"), -1)
        field.end_turn()
        self.assertEqual(field.effect(unit, "nerve"), 0)

    def test_sums_are_held_to_three(self):
        field, unit = self.field, self.unit
        field.give(unit.conditions, field.condition("weary"))
        field.give(unit.conditions, Condition("cursed", {"strike": -2, "nerve": 1}))
        self.assertEqual(field.effect(unit, "strike"), -3)
        self.assertEqual(field.effect(unit, "strike", asked=-2), -3)
        self.assertEqual(field.effect(unit, "strike", asked=2), -1)
        self.assertEqual(field.effect(unit, "nerve"), 0)

    def test_what_may_not_be_done(self):
        field, unit = self.field, self.unit
        self.assertTrue(field.may(unit, "charge"))
        field.battle_conditions.append(field.condition("soft ground"))
        self.assertFalse(field.may(unit, "charge"))

    def test_a_place_counts_for_who_stands_there(self):
        field, unit = self.field, self.unit
        field.place_conditions["the ford"] = [field.condition("soft ground")]
        self.assertTrue(field.may(unit, "charge"))
        unit.place = "the ford"
        self.assertFalse(field.may(unit, "charge"))

    def test_a_general_falls(self):
        field = self.field
        self.unit.leader = Leader(general=True)
        other = field.muster("b", "Vale", "levy", men=5)
        enemy = field.muster("c", "Banner", "levy", men=5)
        field.leader_falls(self.unit)
        self.assertEqual([field.effect(u, "nerve") for u in (self.unit, other, enemy)], [-1, -1, 0])

    def test_a_spared_leader_is_out(self):
        self.unit.leader = Leader(spared=True)
        self.field.leader_falls(self.unit)
        self.assertEqual(self.unit.leader.fate, "out")
        self.assertFalse(self.unit.has_leader)


class Rules(unittest.TestCase):
    """The ladder, and a rules file of one's own (section 3)."""

    def test_the_ladder_is_held_at_its_ends(self):
        rules = shipped()
        self.assertEqual(matchup(rules, "line foot", "line foot", 0), (1, 1, 17))
        self.assertEqual(matchup(rules, "great beasts", "levy", 3), (1, 1, 9))
        self.assertEqual(matchup(rules, "levy", "great beasts", 0), (1, 1, 20))
        # The ends hold the sum, not the weights before the steps.
        self.assertEqual(matchup(rules, "great beasts", "levy", -2), (1, 1, 11))

    def test_a_file_lays_its_keys_over(self):
        with tempfile.NamedTemporaryFile("w", suffix=".toml") as file:
            file.write("rounds = 5\n[classes.levy]\nweight = 1\n")
            file.flush()
            rules = load(file.name)
        self.assertEqual(rules["rounds"], 5)
        self.assertEqual(rules["classes"]["levy"]["weight"], 1)
        self.assertEqual(rules["classes"]["levy"]["presence"], 1)


if __name__ == "__main__":
    unittest.main()
