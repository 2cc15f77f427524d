"""What stands on the field of a battle, and what rulings do to it."""
import copy

import leaders
from contacts import Standing, together
from open_field import figures

STEADY = {"steady": "steady", "stays_shaken": "shaken", "shaken": "shaken", "leaves": "left"}


class Field:
    """What an undo can take back."""

    def __init__(self, scale, sides):
        self.scale, self.sides, self.turn = scale, list(sides), 1
        self.units, self.free, self.conditions, self.standing, self.pending = [], [], [], Standing(), None

    def unit(self, name):
        """The unit of that name."""
        return next(unit for unit in self.units if unit["name"] == name)

    def strength(self, men, side, troops, before=None):
        """What men come to beside the others of their side and class, but for a unit as it stands."""
        others = [unit for unit in self.units if unit is not before and (unit["side"], unit["class"]) == (side, troops)
                  and not unit.get("single")]
        found = {}
        for of in ("muster", "now"):
            beside = {key: sum(unit[of][key] for unit in others) for key in ("men", "figures")}
            left = max(0, figures(beside["men"] + men, self.scale) - beside["figures"])
            found[of] = {"men": men, "figures": min(figures(men, self.scale), left)}
        return found

    def rescaled(self, scale):
        """The muster figures and the figures now of every unit at a scale."""
        muster = together(self.units, scale, "muster")
        return muster, together(self.units, scale, "now", muster)

    def take_result(self, result):
        """Takes what a round did to one unit."""
        unit = self.unit(result["unit"])
        unit["now"], unit["standing"] = copy.copy(result["after"]), result["standing"]
        if unit["standing"] == "destroyed" and unit["leader"]:
            self.set_free(unit)

    def take(self, kind, ruling):
        """Takes a ruling."""
        if kind == "melee":
            for melee in ruling:
                for test in melee["leaders"]:
                    self.wound(self.unit(test["unit"]), test["fate"], test.get("left", 0))
                for condition in melee.get("conditions", []):
                    self.give(condition)
                for result in melee["units"]:
                    self.take_result(result)
                self.standing.take(melee, self.scale)
        elif kind in ("shooting", "harm"):
            self.take_result(ruling["target"])
            if kind == "shooting" and ruling["morale"]:
                self.unit(ruling["target"]["unit"])["shot_at"] = True
            if ruling["target"]["outcome"] != "stands":
                self.standing.part(ruling["target"]["unit"])
        elif kind == "nerve":
            self.take_nerve(ruling["morale"])
        elif kind == "duel":
            self.take_duel(ruling)
        elif kind == "rally":
            unit = self.unit(ruling["unit"])
            unit["standing"], unit["rallied"] = STEADY[ruling["outcome"]], True


    def take_nerve(self, test):
        """Takes what a test alone did to a unit."""
        if test["outcome"] != "stands":
            self.unit(test["unit"])["standing"] = {"falls_back": "shaken", "routs": "routing"}[test["outcome"]]
            self.standing.part(test["unit"])

    def take_duel(self, ruling):
        """Takes what a single combat did."""
        for one in ruling["duelists"]:
            leader, _, unit = self.fighter(one["leader"])
            leader["fought"] = True
            if unit:
                self.wound(unit, one["fate"], one["left"])
            else:
                self.wound_free(one["leader"], one["fate"], one["left"])
        for condition in ruling.get("conditions", []):
            self.give(condition)
        if "morale" in ruling:
            self.take_nerve(ruling["morale"])

    def fighter(self, name):
        """A leader by his name, his side, and his unit if he has one."""
        led = [(unit["leader"], unit["side"], unit) for unit in self.units if unit["leader"] and unit["leader"]["name"] == name]
        return next(iter(led + [(free["leader"], free["side"], None) for free in self.free if free["leader"]["name"] == name]), None)

    def known(self, name):
        """A leader by his name. What comes after something forged may have lost him; it was refused before."""
        if not self.fighter(name):
            self.free.append({"leader": {"name": name}, "side": self.sides[0], "out": False})
        return self.fighter(name)

    def led(self, name):
        """A unit that is led, likewise."""
        unit = self.unit(name)
        unit["leader"] = unit["leader"] or {"name": "Nobody"}
        return unit

    def set_free(self, unit, out=False):
        """The leader of a unit stands alone, or is out of the fight."""
        self.free.append({"leader": unit["leader"], "side": unit["side"], "out": out})
        unit["leader"] = None

    def wound(self, unit, fate, left):
        """Takes what became of the leader of a unit who can still take so many wounds."""
        unit["leader"] = leaders.spelled({**unit["leader"], "taken": unit["leader"].get("wounds", 1) - left})
        if fate == "out":
            self.set_free(unit, True)
        elif fate == "falls":
            unit["leader"] = None

    def wound_free(self, name, fate, left):
        """The same of a leader who stands alone."""
        free = next(free for free in self.free if free["leader"]["name"] == name)
        free["leader"] = leaders.spelled({**free["leader"], "taken": free["leader"].get("wounds", 1) - left})
        free["out"] = fate == "out"
        if fate == "falls":
            self.free.remove(free)

    def give(self, condition):
        """A condition that a ruling sets; of the same on the same the later end counts."""
        known = [one for one in self.conditions if (one["name"], one["on"]) == (condition["name"], condition["on"])]
        if known:
            self.conditions.remove(known[0])
            until = {"until": max(known[0]["until"], condition["until"])} if "until" in known[0] else {}
            condition = {**known[0], **until}
        self.conditions.append(condition)
