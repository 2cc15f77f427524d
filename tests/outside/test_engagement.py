"""Sections 16 and 17: contacts that last, separate melees, breaking off, pursuit."""

import unittest

from .breaking import break_off
from .engagement import Engagement, finish, melees_of
from .field import DESTROYED, LEFT, ROUTING, SHAKEN, STEADY, Leader
from .leaders import attach, detach
from .ranks import Contact
from .rules import Refused
from .scripted import Faces, duo, vale_and_banner

FOOT = "line foot"


class Misses:
    """A supplier whose dice in melee all miss and whose 2d6 all come to twelve."""

    def __call__(self, kind, count):
        return [1 if kind[0] == "melee" else 6] * count


class ContactsLast(unittest.TestCase):
    """Section 16."""

    def setUp(self):
        self.field = vale_and_banner([("A", FOOT, 6, {}), ("B", "riders", 6, {})],
                                     [("C", FOOT, 9, {}), ("D", FOOT, 6, {})])
        self.a, self.b, self.c, self.d = self.field.units
        self.fights = Engagement(self.field)

    def test_not_having_to_test_is_standing(self):
        self.fights.melee("Vale", [Contact(self.a, self.d)], Misses())
        self.assertEqual(len(self.fights.contacts), 1)

    def test_a_melee_adds_to_the_one_that_stands(self):
        first = Contact(self.a, self.d)
        self.fights.melee("Vale", [first], Misses())
        rulings = self.fights.melee("Banner", [Contact(self.c, self.a)], Misses())
        self.assertEqual(len(rulings), 1)
        self.assertIs(rulings[0].contacts[0], first)
        self.assertEqual((first.rounds, rulings[0].contacts[1].rounds), (2, 1))
        self.assertEqual(rulings[0].asking_side, "Banner")

    def test_options_are_not_asked_anew(self):
        self.fights.melee("Vale", [Contact(self.a, self.d)], Misses())
        with self.assertRaisesRegex(Refused, "cannot be asked anew"):
            self.fights.melee("Vale", [Contact(self.a, self.d, "rear")], Misses())

    def test_separate_melees_in_the_order_of_their_oldest_contact(self):
        ac, bd = Contact(self.a, self.c), Contact(self.b, self.d)
        self.assertEqual(melees_of([ac, bd]), [[ac], [bd]])
        ad = Contact(self.a, self.d)
        self.assertEqual(melees_of([ac, bd, ad]), [[ac, bd, ad]])
        self.assertEqual(len(self.fights.melee("Vale", [ac, bd], Misses())), 2)

    def test_only_the_named_melees_are_fought(self):
        ac, bd = Contact(self.a, self.c), Contact(self.b, self.d)
        self.fights.melee("Vale", [ac, bd], Misses())
        self.fights.melee("Vale", [], Misses(), again=[self.a])
        self.assertEqual((ac.rounds, bd.rounds), (2, 1))

    def test_three_rounds_a_turn_and_more_is_a_remark_for_the_referee(self):
        self.fights.melee("Vale", [Contact(self.a, self.d)], Misses())
        for _ in range(2):
            self.fights.melee("Vale", [], Misses(), again=[self.a])
        with self.assertRaises(Refused):
            self.fights.melee("Vale", [], Misses(), again=[self.a])
        self.fights.melee("Vale", [], Misses(), again=[self.a], referee=True)
        self.assertEqual(len(self.fights.remarks), 1)
        self.field.end_turn()
        self.fights.melee("Vale", [], Misses(), again=[self.a])

    def test_foot_cannot_charge_nor_who_is_forbidden(self):
        with self.assertRaises(Refused):
            self.fights.melee("Vale", [Contact(self.a, self.c, charge=True)], Misses())
        self.field.give(self.b.conditions, self.field.condition("disordered"))
        with self.assertRaises(Refused):
            self.fights.melee("Vale", [Contact(self.b, self.c, charge=True)], Misses())

    def test_a_routing_unit_is_not_struck(self):
        self.c.state = ROUTING
        with self.assertRaisesRegex(Refused, "pursued"):
            self.fights.melee("Vale", [Contact(self.a, self.c)], Misses())

    def test_a_unit_that_falls_leaves_all_its_contacts(self):
        ac, ad = Contact(self.a, self.c), Contact(self.a, self.d)
        self.fights.melee("Vale", [ad, ac], Misses())
        faces = Faces(melee=[20, 20] + [1] * 6 + [1] * 4 + [1] * 9, nerve=[6, 6, 1, 1, 6, 6])
        # A's six are shared 2 and 4; D loses two, tests at 1 − 1 (a quarter) − 1 (worse): a rout.
        self.fights.melee("Vale", [], faces, again=[self.a])
        self.assertEqual(self.d.state, ROUTING)
        self.assertEqual(self.fights.contacts, [ac])

    def test_to_the_finish(self):
        field, a, b = duo((FOOT, 3, {}), (FOOT, 3, {}))
        standing, rounds = finish(field, [Contact(a, b)], "Vale",
                                  Faces(melee=[1] * 6 + [20] * 3 + [1] * 3))
        self.assertEqual((standing, rounds, b.state), ([a], 2, DESTROYED))


class BreakingOff(unittest.TestCase):
    """Section 16."""

    def begin(self, vale, banner):
        field, a, b = duo(vale, banner)
        fights = Engagement(field)
        fights.contacts = [Contact(a, b, rounds=1)]
        return field, fights, a, b

    def test_a_throw_at_its_back_then_nerve(self):
        field, fights, a, b = self.begin((FOOT, 8, {}), (FOOT, 4, {}))
        # Rear +2 kills on 15; 2d6 of 6, +1 trained −1 for breaking off, is 6.
        faces = Faces(melee=[15, 14, 14, 14], nerve=[3, 3])
        self.assertEqual(break_off(fights, a, faces), "stands")
        self.assertEqual((a.figures, a.state, fights.contacts), (7, STEADY, []))
        with self.assertRaisesRegex(Refused, "broke off"):
            fights.melee("Vale", [Contact(a, b)], faces)
        field.end_turn()
        fights.melee("Vale", [Contact(a, b)], Misses())

    def test_a_shaken_unit_keeps_its_standing(self):
        _, fights, a, _ = self.begin((FOOT, 8, {}), (FOOT, 4, {}))
        a.state = SHAKEN
        break_off(fights, a, Faces(melee=[1] * 4, nerve=[3, 3]))
        self.assertEqual(a.state, SHAKEN)

    def test_who_does_not_stand_flees(self):
        _, fights, a, _ = self.begin((FOOT, 8, {}), (FOOT, 4, {}))
        self.assertEqual(break_off(fights, a, Faces(melee=[1] * 4, nerve=[3, 2])), "falls back")
        self.assertEqual((a.state, fights.contacts), (SHAKEN, []))

    def test_the_mounted_leave_foot_without_the_throw(self):
        _, fights, a, _ = self.begin(("riders", 8, {}), (FOOT, 4, {}))
        faces = Faces(nerve=[3, 3])
        break_off(fights, a, faces)
        self.assertEqual(faces.asked, [("nerve", "A", None, 2)])


class Pursuing(unittest.TestCase):
    """Section 17."""

    def begin(self, pursuer, fled, thrown, lost=1, **rest):
        """A round in which the second unit, hit `lost` times, throws `thrown` for its nerve."""
        field, a, b = duo(pursuer, fled)
        fights = Engagement(field)
        dice, reply = (u.figures + (u.leader.might if u.leader else 0) for u in (a, b))
        faces = Faces(melee=[20] * lost + [1] * (dice - lost) + [1] * reply, nerve=thrown, **rest)
        fights.melee("Vale", [Contact(a, b)], faces)
        return field, fights, a, b

    def test_foot_may_pursue_or_let_them_go(self):
        field, fights, a, b = self.begin((FOOT, 8, {}), (FOOT, 8, {}), [1, 1])
        self.assertEqual(b.state, ROUTING)
        with self.assertRaisesRegex(Refused, "waive"):
            fights.melee("Vale", [], Misses(), again=[a])
        faces = Faces(melee=[15, 14] + [1] * 6)
        self.assertEqual(fights.pursuits.throw(a, b, faces), 1)
        self.assertEqual(b.state, ROUTING)
        self.assertEqual(field.effect(a, "strike"), -1)
        self.assertFalse(field.may(a, "charge"))
        self.assertEqual(fights.pursuits.waiting, [])
        field.end_turn()
        self.assertEqual(field.effect(a, "strike"), -1)
        field.end_turn()
        self.assertEqual(field.effect(a, "strike"), 0)

    def test_waived(self):
        field, fights, a, b = self.begin((FOOT, 8, {}), (FOOT, 8, {}), [1, 1])
        fights.pursuits.waive(a)
        self.assertEqual(field.effect(a, "strike"), 0)
        with self.assertRaises(Refused):
            fights.pursuits.throw(a, b, Misses())

    def test_foot_cannot_pursue_the_mounted(self):
        _, fights, _, b = self.begin((FOOT, 8, {}), ("outriders", 4, {}), [1, 1])
        self.assertEqual(b.state, ROUTING)
        self.assertEqual(fights.pursuits.waiting, [])

    def test_the_mounted_pursue_foot_with_a_step_more_and_the_leader(self):
        # Outriders against foot of their weight: rear +2 and +1 is +3, 13 or more.
        pursuer = ("outriders", 4, {"leader": Leader()})
        _, fights, a, b = self.begin(pursuer, (FOOT, 8, {}), [1, 1], hold_back=[6, 6])
        self.assertEqual(fights.pursuits.throw(a, b, Faces(melee=[13, 12, 12, 12, 13])), 2)

    def test_half_of_a_routing_unit_and_it_has_left(self):
        _, fights, a, b = self.begin((FOOT, 8, {}), (FOOT, 9, {}), [1, 1])
        fights.pursuits.throw(a, b, Faces(melee=[20] * 4 + [1] * 4))
        self.assertEqual((b.state, b.figures), (LEFT, 4))

    def test_a_unit_that_fell_back_does_not_leave_for_half(self):
        _, fights, a, b = self.begin((FOOT, 8, {}), (FOOT, 9, {}), [2, 2])
        self.assertEqual(b.state, SHAKEN)
        fights.pursuits.throw(a, b, Faces(melee=[20] * 4 + [1] * 4))
        self.assertEqual((b.state, b.figures), (SHAKEN, 4))

    def test_a_fleeing_leader_is_at_risk(self):
        _, fights, a, b = self.begin((FOOT, 8, {}), (FOOT, 9, {"leader": Leader()}), [1, 1],
                                     leader=[1, 1])
        fights.pursuits.throw(a, b, Faces(melee=[20] * 4 + [1] * 4, leader=[6, 5]))
        self.assertFalse(b.has_leader)

    def test_eager_units_hold_themselves_back_on_7(self):
        for thrown, must in (([3, 3], False), ([3, 2], True)):
            _, fights, a, _ = self.begin(("riders", 4, {}), (FOOT, 8, {}), [1, 1], hold_back=thrown)
            self.assertEqual(fights.pursuits.waiting[0].must, must)
            if must:
                with self.assertRaisesRegex(Refused, "could not be held"):
                    fights.pursuits.waive(a)

    def test_few_are_easily_let_go(self):
        field, a, b = duo(("riders", 9, {"leader": Leader()}), (FOOT, 3, {}))
        fights = Engagement(field)
        faces = Faces(melee=[20] + [1] * 9 + [1] * 3, nerve=[1, 1], hold_back=[2, 1])
        fights.melee("Vale", [Contact(a, b)], faces)
        # 3 + 1 trained + 1 leader + 2, as two are under a quarter of nine: 7.
        self.assertFalse(fights.pursuits.waiting[0].must)

    def test_each_is_pursued_once_in_muster_order(self):
        field = vale_and_banner([("A", FOOT, 6, {}), ("B", FOOT, 6, {})], [("C", FOOT, 8, {})])
        a, b, c = field.units
        fights = Engagement(field)
        faces = Faces(melee=[20] + [1] * 5 + [1] * 4 + [1] * 6 + [1] * 4, nerve=[1, 1])
        fights.melee("Vale", [Contact(b, c), Contact(a, c)], faces)
        with self.assertRaisesRegex(Refused, "A comes first"):
            fights.pursuits.throw(b, c, Misses())
        fights.pursuits.throw(a, c, Misses())
        self.assertEqual(fights.pursuits.waiting, [])


class LeadersComeAndGo(unittest.TestCase):
    """Section 14: a leader joins and leaves out of contact."""

    def test_attach_and_detach(self):
        field = vale_and_banner([("A", FOOT, 6, {"leader": Leader("Ann")}), ("B", FOOT, 6, {})],
                                [("C", FOOT, 6, {})])
        a, b, c = field.units
        fights = Engagement(field)
        with self.assertRaisesRegex(Refused, "A has a leader"):
            attach(fights, Leader("Bo"), a)
        attach(fights, a.leader, b, leaving=a)
        self.assertEqual((a.leader, b.leader.name), (None, "Ann"))
        fights.melee("Banner", [Contact(c, b)], Misses())
        with self.assertRaisesRegex(Refused, "B is in contact"):
            detach(fights, b)
        with self.assertRaisesRegex(Refused, "B is in contact"):
            attach(fights, b.leader, a, leaving=b)


if __name__ == "__main__":
    unittest.main()
