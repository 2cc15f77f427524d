"""Sections 10 and 15: shooting, and harm from elsewhere."""

import unittest
from fractions import Fraction

from .field import DESTROYED, ROUTING, SHAKEN, Field
from .harm import by_dice, by_figures, by_men, nerve
from .rules import Refused
from .scripted import Faces, duo
from .shooting import Shot, expected_losses, rung_of, shoot, shooting_figures

FOOT = "line foot"


class Rungs(unittest.TestCase):
    """Power less protection, plus steps."""

    def kills_on(self, weapon, reach, target=FOOT, cover="none", shaken=False, moved=False, asked=None, **options):
        field, a, b = duo((FOOT, 10, {}), (target, 12, options))
        a.state = SHAKEN if shaken else a.state
        return rung_of(field, Shot(a, weapon, reach, moved), b, cover, asked)[2]

    def test_weapons_against_line_foot(self):
        for weapon, short, long in (("slings", 20, None), ("javelins", 19, None), ("bows", 19, 20),
                                    ("crossbows", 18, 19), ("heavy bows", 18, 19), ("engines", 16, 17)):
            self.assertEqual(self.kills_on(weapon, "short"), short)
            if long is None:
                with self.assertRaises(Refused):
                    self.kills_on(weapon, "long")
            else:
                self.assertEqual(self.kills_on(weapon, "long"), long)

    def test_protection(self):
        got = [self.kills_on("engines", "short", target) for target in ("levy", FOOT, "lancers")]
        self.assertEqual(got, [15, 16, 17])

    def test_steps(self):
        self.assertEqual(self.kills_on("engines", "short", cover="light"), 17)
        self.assertEqual(self.kills_on("engines", "short", cover="works"), 18)
        self.assertEqual(self.kills_on("engines", "short", shaken=True), 17)
        self.assertEqual(self.kills_on("engines", "short", moved=True), 17)
        self.assertEqual(self.kills_on("engines", "short", asked={"Vale": 1}), 15)
        self.assertEqual(self.kills_on("slings", "short", cover="works"), 20)

    def test_massed_once_a_third_rank_has_begun(self):
        self.assertEqual(self.kills_on("engines", "short", frontage=5), 15)
        self.assertEqual(self.kills_on("engines", "short", frontage=6), 16)

    def test_weather(self):
        field, a, b = duo((FOOT, 10, {}), (FOOT, 12, {}))
        field.battle_conditions += [field.condition("fog"), field.condition("night")]
        # −2 and −2 are held to −3: engines' 2 − 1 − 3 is −2.
        self.assertEqual(rung_of(field, Shot(a, "engines", "short"), b)[2], 19)


class Shooting(unittest.TestCase):
    """Who shoots, and what comes of it."""

    def test_two_ranks_shoot(self):
        field, a, _ = duo((FOOT, 10, {"frontage": 4}), (FOOT, 12, {}))
        self.assertEqual(shooting_figures(field, a), 8)
        a.frontage = None
        self.assertEqual(shooting_figures(field, a), 10)

    def test_a_tenth_lost_tests_once_a_turn(self):
        field, a, b = duo((FOOT, 5, {}), (FOOT, 20, {}))
        shot = Shot(a, "bows", "short")
        self.assertEqual(shoot(field, [shot], b, Faces(shooting=[19, 1, 1, 1, 1])), (1, None))
        self.assertEqual(shoot(field, [shot], b, Faces(shooting=[19, 20, 1, 1, 18], nerve=[3, 3])), (2, "stands"))
        self.assertEqual(shoot(field, [shot], b, Faces(shooting=[20] * 5)), (5, None))
        field.end_turn()
        # Eight of twenty are lost: 1 trained − 1 for a quarter; a 3 routs.
        self.assertEqual(shoot(field, [shot], b, Faces(shooting=[20] * 2 + [1] * 3, nerve=[1, 2])), (2, "routs"))

    def test_several_shoot_and_one_test(self):
        field, a, b = duo((FOOT, 2, {}), (FOOT, 10, {}))
        faces = Faces(shooting=[20, 20, 20, 20], nerve=[6, 6])
        self.assertEqual(shoot(field, [Shot(a, "bows", "short"), Shot(a, "bows", "long")], b, faces), (4, "stands"))
        self.assertEqual([asked[0] for asked in faces.asked], ["shooting", "shooting", "nerve"])

    def test_depth_helps_the_nerve(self):
        field, a, b = duo((FOOT, 1, {}), (FOOT, 10, {"frontage": 3}))
        # 4 + 1 trained + 1 deep, nine figures being three ranks of three.
        self.assertEqual(shoot(field, [Shot(a, "bows", "short")], b, Faces(shooting=[20], nerve=[2, 2])), (1, "stands"))

    def test_expected_losses(self):
        field, a, b = duo((FOOT, 10, {}), (FOOT, 12, {}))
        self.assertEqual(expected_losses(field, Shot(a, "bows", "short"), b), Fraction(10 * 2, 20))


class Harm(unittest.TestCase):
    """Section 15."""

    def setUp(self):
        self.field = Field(20)
        self.unit = self.field.muster("a", "Vale", FOOT, men=200)

    def test_by_dice(self):
        self.assertEqual(by_dice(self.field, self.unit, 3, 12, Faces(harm=[11, 12, 20], nerve=[3, 3])), (2, "stands"))
        self.assertEqual((self.unit.figures, self.unit.men), (8, 160))
        for count in (0, 201):
            with self.assertRaises(Refused):
                by_dice(self.field, self.unit, count, 12, Faces())

    def test_men_fall_and_figures_follow(self):
        self.assertEqual(by_men(self.field, self.unit, "3d6", Faces(harm=[1, 2, 6])), (0, None))
        self.assertEqual((self.unit.figures, self.unit.men), (10, 191))
        # 189 men are nine figures; one of ten is a tenth, and tested.
        self.assertEqual(by_men(self.field, self.unit, "2", Faces(nerve=[1, 1])), (1, "routs"))
        self.assertEqual((self.unit.figures, self.unit.state), (9, ROUTING))

    def test_a_unit_with_men_left_keeps_one_figure(self):
        by_men(self.field, self.unit, "195", Faces(nerve=[6, 6]))
        self.assertEqual((self.unit.figures, self.unit.men), (1, 5))
        by_men(self.field, self.unit, "9", Faces())
        self.assertEqual(self.unit.state, DESTROYED)

    def test_by_figures_without_dice(self):
        self.assertEqual(by_figures(self.field, self.unit, 1, Faces(nerve=[6, 6])), (1, "stands"))
        self.assertEqual(self.unit.quarters_lost(3), 0)
        by_figures(self.field, self.unit, 2, Faces(nerve=[6, 6]))
        self.assertEqual(self.unit.quarters_lost(3), 1)

    def test_nerve_on_demand(self):
        self.unit.state = SHAKEN
        self.assertEqual(nerve(self.field, self.unit, Faces(nerve=[2, 2])), "routs")


if __name__ == "__main__":
    unittest.main()
