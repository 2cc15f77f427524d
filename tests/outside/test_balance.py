"""The promises of "How good these rules are", over exact odds and seeded samples."""

import unittest

from . import balance
from .samples import sample, seeded
from .field import Field
from .parts import Parts
from .ranks import Contact

FEW = list(balance.matchups((4,), (0.75,), 8))


class Tools(unittest.TestCase):
    """The two ways to many units agree with the exact odds of one against one, and with each other."""

    def test_one_part_is_one_against_one(self):
        whole = balance.duel_of(("line foot", 10, {}), ("skirmishers", 10, {})).lead
        self.assertAlmostEqual(Parts([("line foot", 10)], ("skirmishers", 10)).lead(), whole, delta=1e-7)

    def test_samples_of_a_split_unit_agree_with_its_exact_lead(self):
        def build():
            field = Field(1)
            parts = [field.muster(f"part {i}", "Vale", "line foot", men=5) for i in range(2)]
            enemy = field.muster("enemy", "Banner", "skirmishers", men=8)
            return field, [Contact(part, enemy) for part in parts]

        exact = Parts([("line foot", 5)] * 2, ("skirmishers", 8)).lead()
        thrown = sample(build, 3000, seed=11)
        self.assertLess(abs(thrown.lead - exact), 4 * thrown.error)

    def test_a_seed_gives_the_same_faces(self):
        kind = ("melee", "A", "B", 20)
        self.assertEqual(seeded(5)(kind, 9), seeded(5)(kind, 9))


class Promises(unittest.TestCase):
    """What must hold of the rules that ship."""

    def test_one_step_of_weight_is_an_edge_and_no_verdict(self):
        for a, b in balance.ONE_STEP:
            for n in (2, 3, 5, 8, 10, 12, 16):
                with self.subTest(f"{n} {a} against {n} {b}"):
                    edge = balance.margin(a, n, b, n)
                    self.assertGreaterEqual(edge, 0.25)
                    self.assertLessEqual(edge, 0.55)

    def test_equal_presence_is_even(self):
        for a, p, b, q in balance.EQUAL_PRESENCE:
            for n in (8, 12, 16):
                with self.subTest(f"{a} {b} {n}"):
                    self.assertLess(abs(balance.margin(a, n // p, b, n // q)), 0.15)

    def test_steady_long_spears_stop_charging_riders(self):
        for troop in ("line foot", "shock foot"):
            odds = balance.duel_of(("riders", 5, {}), (troop, 8, {"spears": True}), charge=True)
            self.assertGreaterEqual(odds.second, 2 / 3)

    def test_nothing_that_a_unit_may_have_is_worse_than_nothing(self):
        for advantage in balance.advantages():
            with self.subTest(advantage[0]):
                gains = balance.worth(advantage, FEW)
                self.assertGreater(gains[0][0], -1e-7, gains[0])
                self.assertGreater(gains[-1][0], 0.005, gains[-1])

    def test_the_scale_does_not_turn_a_fight_round(self):
        self.assertEqual(balance.turned_by_scale(10, most_men=80), [])

    def test_ten_levies_gain_little(self):
        gain, error = balance.gain_of_ten_levies(times=1000)
        self.assertLess(gain + 3 * error, 0.20)

    def test_splitting_gains_little(self):
        self.assertLessEqual(balance.greatest(balance.gain_by_splitting, (6,), (0.5, 1), most=6)[0], 0.05)

    # These two are the text's promise, and the numbers that ship break it.  A unit of ten
    # tests for every figure that it loses, as its halves do, but loses all when it fails.
    @unittest.expectedFailure
    def test_splitting_ten_gains_little(self):
        self.assertLessEqual(balance.gain_by_splitting("riders", 10, "great beasts", 3), 0.05)

    @unittest.expectedFailure
    def test_a_decoy_gains_little(self):
        self.assertLessEqual(balance.gain_by_decoy("levy", 8, "riders", 2), 0.05)


if __name__ == "__main__":
    unittest.main()
