"""Sections 6 to 9 and 11: kills, leaders at risk, morale, rally, the order of dice."""

import unittest
from fractions import Fraction

from .field import DESTROYED, LEFT, ROUTING, SHAKEN, STEADY, Leader
from .melee import fight_round
from .morale import Ordeal, chances, modifiers, must_test, outcome, outnumbered, rally
from .ranks import Contact
from .rules import Refused, shipped
from .scripted import Faces, duo, vale_and_banner

FOOT = "line foot"


class Kills(unittest.TestCase):
    """Section 6."""

    def test_throws_are_simultaneous(self):
        field, a, b = duo((FOOT, 2, {}), (FOOT, 2, {}))
        fight_round(field, [Contact(a, b)], "Vale", Faces(melee=[17, 20, 17, 20]))
        self.assertEqual((a.state, b.state), (DESTROYED, DESTROYED))

    def test_excess_counts_for_nothing(self):
        field = vale_and_banner([("A", FOOT, 3, {}), ("B", FOOT, 3, {})], [("C", FOOT, 2, {})])
        a, b, c = field.units
        faces = Faces(melee=[20, 20, 20, 1, 20, 20, 20, 1])
        ruling = fight_round(field, [Contact(a, c), Contact(b, c)], "Vale", faces)
        self.assertEqual([ruling.fates[u].killed for u in (a, b, c)], [2, 0, 0])
        # The first contact's third kill and all of the second's are past its strength.
        self.assertEqual(ruling.excess, {0: 1, 2: 3})

    def test_faces_under_what_kills_do_nothing(self):
        field, a, b = duo((FOOT, 3, {}), (FOOT, 3, {}))
        ruling = fight_round(field, [Contact(a, b)], "Vale", Faces(melee=[16] * 6))
        self.assertEqual([(f.lost, f.tested) for f in ruling.fates.values()], [(0, None), (0, None)])


class LeadersAtRisk(unittest.TestCase):
    """Sections 7 and 14."""

    def after(self, figures, lost, thrown, **leader):
        """The leader after his unit lost so many of so many figures and 2d6 came to `thrown`."""
        field, a, _ = duo((FOOT, figures, {"leader": Leader(**leader), "grade": "guard"}), (FOOT, 12, {}))
        enemy = [20] * lost + [1] * (12 - lost)
        might = a.leader.might if not a.leader.holds_back else 0
        own = [1] * (figures + min(might, figures))
        fight_round(field, [Contact(*field.units)], "Vale",
                    Faces(melee=own + enemy, leader=thrown, nerve=[6, 6, 6, 6]))
        return a.leader

    def test_hit_on_12(self):
        self.assertEqual(self.after(10, 1, [6, 6]).fate, "fell")
        self.assertEqual(self.after(10, 1, [6, 5]).fate, "stands")

    def test_hit_on_11_if_half_was_lost(self):
        self.assertEqual(self.after(10, 5, [6, 5]).fate, "fell")
        self.assertEqual(self.after(10, 4, [6, 5]).fate, "stands")
        self.assertEqual(self.after(10, 5, [5, 5]).fate, "stands")

    def test_not_at_risk_without_a_loss(self):
        self.assertEqual(self.after(10, 0, []).fate, "stands")

    def test_wounds(self):
        leader = self.after(10, 1, [6, 6], wounds=2)
        self.assertEqual((leader.fate, leader.wounds), ("stands", 1))

    def test_for_his_life_when_destroyed(self):
        self.assertEqual(self.after(4, 4, [4, 4], wounds=6).fate, "fell")
        self.assertEqual(self.after(4, 4, [4, 3], wounds=6).fate, "stands")

    def test_who_holds_back(self):
        self.assertEqual(self.after(10, 5, [], holds_back=True).fate, "stands")
        self.assertEqual(self.after(4, 4, [4, 4], holds_back=True).fate, "fell")


class WhoTests(unittest.TestCase):
    """The three reasons to test."""

    def test_reasons(self):
        field, _, _ = duo((FOOT, 10, {}), (FOOT, 10, {}))

        def tests(started, lost, killed, own=10, enemy=10, comrade=False):
            return must_test(field, Ordeal(started, lost, killed, own, enemy, comrade, False))

        self.assertFalse(tests(10, 0, 0))
        self.assertTrue(tests(20, 1, 0))
        self.assertFalse(tests(11, 1, 1))
        self.assertTrue(tests(10, 1, 1))
        self.assertFalse(tests(10, 0, 0, own=10, enemy=14))
        self.assertTrue(tests(10, 0, 0, own=10, enemy=15))
        self.assertTrue(tests(10, 0, 0, comrade=True))

    def test_outnumbered(self):
        rules = shipped()
        for enemy, modifier in ((14, 0), (15, -1), (19, -1), (20, -2), (29, -2), (30, -3), (90, -3)):
            self.assertEqual(outnumbered(rules, 10, enemy), modifier)


class Score(unittest.TestCase):
    """Section 8's modifiers and outcomes."""

    def total(self, men=12, lost_before=0, lost=0, killed=0, own=10, enemy=10, comrade=False, flank=False,
              **options):
        field, a, _ = duo((FOOT, men, options), (FOOT, 10, {}))
        a.figures -= lost_before
        ordeal = Ordeal(a.figures, lost, killed, own, enemy, comrade, flank)
        return sum(n for _, n in modifiers(field, a, ordeal))

    def test_grade_and_leader(self):
        for grade, worth in (("raw", 0), ("trained", 1), ("seasoned", 2), ("guard", 3)):
            self.assertEqual(self.total(grade=grade), worth)
        self.assertEqual(self.total(), 1)
        self.assertEqual(self.total(leader=Leader()), 2)
        self.assertEqual(self.total(leader=Leader(holds_back=True)), 2)
        self.assertEqual(self.total(leader=Leader(fate="fell")), 1)

    def test_quarters(self):
        for lost, worth in ((2, 1), (3, 0), (5, 0), (6, -1), (9, -2), (11, -2)):
            self.assertEqual(self.total(lost_before=lost), worth)

    def test_the_rest(self):
        self.assertEqual(self.total(lost=2, killed=1), 0)
        self.assertEqual(self.total(lost=2, killed=2), 1)
        self.assertEqual(self.total(enemy=30), -2)
        self.assertEqual(self.total(comrade=True), 0)
        self.assertEqual(self.total(flank=True), -1)

    def test_depth(self):
        self.assertEqual(self.total(frontage=4), 2)
        self.assertEqual(self.total(men=11, frontage=4), 1)
        self.assertEqual(self.total(frontage=4, lost_before=1), 1)

    def test_outcomes(self):
        rules = shipped()
        got = [outcome(rules, score, False) for score in (6, 5, 4, 3)]
        self.assertEqual(got, ["stands", "falls back", "falls back", "routs"])
        got = [outcome(rules, score, True) for score in (6, 5, 4, 3)]
        self.assertEqual(got, ["stands", "routs", "routs", "routs"])

    def test_chances(self):
        found = chances(shipped(), 1, False)
        self.assertEqual(found, {"stands": Fraction(30, 36), "falls back": Fraction(5, 36),
                                 "routs": Fraction(1, 36)})
        self.assertEqual(chances(shipped(), 1, True)["routs"], Fraction(6, 36))


class Rounds(unittest.TestCase):
    """A round as a whole."""

    def test_a_side_is_outnumbered_by_presence_after_losses(self):
        field, a, b = duo(("riders", 6, {}), (FOOT, 8, {}))
        # Riders kill nobody, foot kills nobody: 12 to 8 is 3:2.
        ruling = fight_round(field, [Contact(a, b)], "Vale", Faces(melee=[1] * 14, nerve=[2, 3]))
        self.assertEqual(ruling.fates[a].tested, None)
        self.assertEqual(ruling.fates[b].tested, [("grade", 1), ("outnumbered", -1)])
        self.assertEqual((ruling.fates[b].outcome, b.state), ("falls back", SHAKEN))

    def test_a_destroyed_comrade_counts_at_once_and_one_that_fled_in_the_next_round(self):
        field = vale_and_banner([("A", FOOT, 2, {}), ("B", FOOT, 6, {}), ("C", FOOT, 6, {})],
                                [("D", FOOT, 12, {})])
        a, b, c, d = field.units
        contacts = [Contact(u, d) for u in (a, b, c)]
        # D's twelve are shared 2, 5, 5; B loses two: 5 + 1 trained − 1 for a quarter − 1 worse is 4.
        faces = Faces(melee=[1] * 4 + [1] * 6 + [20, 20, 1, 1, 1] + [1] * 11, nerve=[2, 3])
        ruling = fight_round(field, contacts, "Vale", faces)
        self.assertEqual(ruling.fates[b].outcome, "falls back")
        self.assertIsNone(ruling.fates[a].tested)
        # Now they are shared 3 and 9.
        pair = [contacts[0], contacts[2]]
        ruling = fight_round(field, pair, "Vale", Faces(melee=[1] * 20, nerve=[6] * 4))
        self.assertIn(("comrade", -1), ruling.fates[a].tested)
        self.assertIn(("comrade", -1), ruling.fates[c].tested)
        self.assertIsNone(ruling.fates[d].tested)
        ruling = fight_round(field, pair, "Vale", Faces(melee=[1, 1, 20, 20] + [1] * 16, nerve=[6, 6]))
        self.assertEqual(a.state, DESTROYED)
        self.assertIn(("comrade", -1), ruling.fates[c].tested)

    def test_a_flank_counts_in_nerve_every_round(self):
        field, a, b = duo((FOOT, 2, {}), (FOOT, 10, {}))
        contact = Contact(a, b, "flank", rounds=4)
        ruling = fight_round(field, [contact], "Vale", Faces(melee=[20, 1] + [1] * 10, nerve=[6] * 4))
        self.assertIn(("flank or rear", -2), ruling.fates[b].tested)
        self.assertNotIn(("flank or rear", -2), ruling.fates[a].tested)

    def test_the_order_of_dice(self):
        field = vale_and_banner([("A", FOOT, 3, {"leader": Leader("Ann")}), ("B", FOOT, 3, {"leader": Leader("Bo")})],
                                [("C", FOOT, 4, {"leader": Leader("Cy")})])
        a, b, c = field.units
        faces = Faces(melee=[20] + [1] * 3 + [20, 1, 1] + [20] + [1] * 3 + [20, 1], leader=[1] * 6, nerve=[6] * 6)
        fight_round(field, [Contact(b, c), Contact(a, c)], "Vale", faces)
        self.assertEqual(faces.asked, [
            ("melee", "B", "C", 4), ("melee", "C", "B", 3), ("melee", "A", "C", 4), ("melee", "C", "A", 2),
            ("leader", "Ann", None, 2), ("leader", "Bo", None, 2), ("leader", "Cy", None, 2),
            ("nerve", "A", None, 2), ("nerve", "B", None, 2), ("nerve", "C", None, 2)])

    def test_a_general_who_falls_dismays_at_once(self):
        field, a, b = duo((FOOT, 10, {"leader": Leader(general=True)}), (FOOT, 10, {}))
        ruling = fight_round(field, [Contact(a, b)], "Vale",
                             Faces(melee=[1] * 11 + [20] + [1] * 9, leader=[6, 6], nerve=[6, 6]))
        self.assertIn(("circumstances", -1), ruling.fates[a].tested)
        self.assertNotIn("leader", dict(ruling.fates[a].tested))


class Rally(unittest.TestCase):
    """Section 9."""

    def state_after(self, state, thrown, lost=0, enemy_near=False, **options):
        field, a, _ = duo((FOOT, 12, options), (FOOT, 10, {}))
        a.state, a.figures = state, 12 - lost
        rally(field, a, Faces(rally=thrown), enemy_near)
        return a.state

    def test_shaken_on_7_and_routing_on_9(self):
        self.assertEqual(self.state_after(SHAKEN, [3, 3]), STEADY)
        self.assertEqual(self.state_after(SHAKEN, [3, 2]), SHAKEN)
        self.assertEqual(self.state_after(ROUTING, [4, 4]), SHAKEN)
        self.assertEqual(self.state_after(ROUTING, [4, 3]), LEFT)

    def test_modifiers(self):
        self.assertEqual(self.state_after(SHAKEN, [3, 3], enemy_near=True), SHAKEN)
        self.assertEqual(self.state_after(SHAKEN, [3, 3], lost=3), SHAKEN)
        self.assertEqual(self.state_after(SHAKEN, [2, 2], grade="seasoned", leader=Leader()), STEADY)
        # Depth does not count in a rally.
        self.assertEqual(self.state_after(SHAKEN, [3, 2], frontage=4), SHAKEN)

    def test_once_a_turn_and_out_of_contact(self):
        field, a, _ = duo((FOOT, 12, {}), (FOOT, 10, {}))
        a.state = SHAKEN
        with self.assertRaises(Refused):
            rally(field, a, Faces(), in_contact=True)
        rally(field, a, Faces(rally=[1, 1]))
        with self.assertRaises(Refused):
            rally(field, a, Faces(rally=[6, 6]))
        field.end_turn()
        rally(field, a, Faces(rally=[6, 6]))
        self.assertEqual(a.state, STEADY)


if __name__ == "__main__":
    unittest.main()
