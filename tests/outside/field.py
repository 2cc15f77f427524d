"""Units, figures, scale, leaders and conditions (sections 1, 2, 13 and 14)."""

from dataclasses import dataclass, field as made_of

from .rules import Refused, shipped

STEADY, SHAKEN, ROUTING, DESTROYED, LEFT = "steady", "shaken", "routing", "destroyed", "left the field"


def half_up(number, by):
    """`number / by`, rounded half up, in whole numbers."""
    return (2 * number + by) // (2 * by)


@dataclass
class Leader:
    """A figure of his own who goes with a unit; `wounds` is what he can still take."""

    name: str = "a leader"
    might: int = 1
    wounds: int = 1
    holds_back: bool = False
    general: bool = False
    spared: bool = False
    fate: str = "stands"  # or "fell", or "out" for one who was spared

    @property
    def stands(self):
        """Whether he still counts for his unit."""
        return self.fate == "stands"


@dataclass
class Condition:
    """A circumstance that stands until `until`, the last turn in which it counts (None: until lifted)."""

    name: str
    effects: dict
    until: int | None = None
    by: str = "the referee"


@dataclass(eq=False)
class Unit:
    """A body of troops, or a single (`single`), whose hits are its figures."""

    name: str
    side: str
    troop: str
    figures: int
    men: int
    muster_figures: int
    muster_men: int
    grade: str = "trained"
    frontage: int | None = None  # in men abreast
    spears: bool = False
    leader: Leader | None = None
    state: str = STEADY
    single: bool = False
    conditions: list = made_of(default_factory=list)
    place: str | None = None
    order: int = 0
    comrade_went: bool = False  # one of its side in its melee fell back or routed in the last round
    tested_by_shooting: int | None = None  # the turn
    no_melee: int | None = None  # the turn in which it broke off
    moved: bool = False
    rallied: int | None = None

    @property
    def can_fight(self):
        """Shaken units fight; routing and destroyed ones do not (section 4)."""
        return self.figures > 0 and self.state in (STEADY, SHAKEN)

    @property
    def has_leader(self):
        """Whether a leader is attached and standing."""
        return self.leader is not None and self.leader.stands

    def quarters_lost(self, most):
        """Full quarters of the muster strength lost so far, in figures."""
        lost = self.muster_figures - self.figures
        return min(4 * lost // self.muster_figures, most)


class Field:
    """All that stands on a battlefield: the rules, the scale, the units in muster order."""

    def __init__(self, scale=1, rules=None):
        self.rules = rules or shipped()
        self.scale = scale
        self.units = []
        self.turn = 1
        self.side_conditions = {}
        self.place_conditions = {}
        self.battle_conditions = []

    # Mustering and the scale (section 1).

    def muster(self, name, side, troop, men=None, hits=None, **rest):
        """Adds a unit of so many men, or a single of so many hits."""
        if troop not in self.rules["classes"]:
            raise Refused(f"There is no class {troop}.")
        if rest.get("spears") and self.mounted_class(troop):
            raise Refused("Only units on foot can have long spears.")
        if hits is not None:
            unit = self._single(name, side, troop, hits, rest)
        else:
            figures = self._figures_for(side, troop, men, self.units, self.scale)
            self._hold_to_smallest(name, figures, men)
            unit = Unit(name, side, troop, figures, men, figures, men, **rest)
        unit.order = len(self.units)
        self.units.append(unit)
        return unit

    @staticmethod
    def _single(name, side, troop, hits, rest):
        if not 1 <= hits <= 60:
            raise Refused("A single has 1 to 60 hits.")
        if rest.get("frontage") is not None:
            raise Refused("A single has no frontage.")
        return Unit(name, side, troop, hits, 0, hits, 0, single=True, **rest)

    @staticmethod
    def _figures_for(side, troop, men, before, scale, key="men", figures="figures"):
        """Men / N half up, within what the side's men of that class so far allow."""
        same = [u for u in before if u.side == side and u.troop == troop and not u.single]
        cap = half_up(sum(getattr(u, key) for u in same) + men, scale)
        return min(half_up(men, scale), cap - sum(getattr(u, figures) for u in same))

    def _hold_to_smallest(self, name, figures, men):
        least = self.rules["smallest"] if self.scale > 1 else 1
        if figures < least:
            raise Refused(f"{name}: {men} men are {max(figures, 0)} figures at 1:{self.scale}; "
                          f"1:{self.scale_for(men)} would do.")

    def scale_for(self, men):
        """The coarsest scale at which so many men alone are a unit of the smallest size."""
        least = self.rules["smallest"]
        fitting = [n for n in range(2, self.scale) if half_up(men, n) >= least]
        return max(fitting, default=1)

    def stands_for_others(self, unit):
        """Whether the figures stand for men that differ from the unit's by more than a tenth."""
        return abs(unit.figures * self.scale - unit.men) * 10 > unit.men

    def rescale(self, scale):
        """Derives all figures anew at 1:`scale`; refused, changing nothing, where one would have none."""
        now, muster, none = {}, {}, []
        done = []
        for unit in self.units:
            if unit.single:
                continue
            shadow = Unit(unit.name, unit.side, unit.troop, 0, unit.men, 0, unit.muster_men)
            shadow.muster_figures = self._figures_for(
                unit.side, unit.troop, unit.muster_men, done, scale, "muster_men", "muster_figures")
            if unit.men > 0:
                shadow.figures = self._figures_for(unit.side, unit.troop, unit.men, done, scale)
                if shadow.figures < 1:
                    none.append(unit.name)
            done.append(shadow)
            now[unit], muster[unit] = shadow.figures, shadow.muster_figures
        if none:
            raise Refused(f"At 1:{scale} these would have no figure: {', '.join(none)}.")
        self.scale = scale
        for unit, figures in now.items():
            # A comrade's losses loosen the cap, but never beyond what the unit mustered.
            unit.muster_figures = muster[unit]
            unit.figures = min(figures, muster[unit])

    def abreast(self, men):
        """Men abreast as figures abreast."""
        return max(1, half_up(men, self.scale))

    def frontage_of(self, unit):
        """A unit's frontage in figures, or None where none is set."""
        return None if unit.frontage is None else self.abreast(unit.frontage)

    # Losses.

    def lose_figures(self, unit, figures):
        """Takes off figures; each takes N men with it, the last whatever men remain."""
        unit.figures -= figures
        assert unit.figures >= 0
        if unit.figures == 0:
            unit.men = 0
            unit.state = DESTROYED
        elif not unit.single:
            unit.men -= figures * self.scale

    def lose_men(self, unit, men):
        """Takes off men; figures follow, and a unit with men left keeps one. Returns figures lost."""
        before = unit.figures
        unit.men = max(0, unit.men - men)
        if unit.men == 0:
            unit.figures, unit.state = 0, DESTROYED
        else:
            unit.figures = min(before, max(1, half_up(unit.men, self.scale)))
        return before - unit.figures

    def reinforce(self, unit, men):
        """Adds men to a unit, which raises its strength at muster too."""
        figures = half_up(unit.men + men, self.scale) - half_up(unit.men, self.scale)
        unit.men += men
        unit.muster_men += men
        unit.figures += figures
        unit.muster_figures += figures

    # Classes.

    def mounted_class(self, troop):
        """Whether a class is mounted."""
        return self.rules["classes"][troop]["mounted"]

    def mounted(self, unit):
        """Whether a unit is mounted."""
        return self.mounted_class(unit.troop)

    def presence(self, unit):
        """The presence of one figure of a unit."""
        return self.rules["classes"][unit.troop]["presence"]

    def grade(self, unit):
        """What a unit's grade adds to its nerve."""
        return self.rules["grades"][unit.grade]

    # Circumstances (section 13).

    def condition(self, name, until=None, by="the referee"):
        """One of the conditions that the rules name."""
        table = self.rules.get("conditions")
        if table is None:
            raise Refused("The rules have no table of conditions.")
        if name not in table:
            raise Refused(f"There is no condition {name}.")
        effects = {key: value for key, value in table[name].items() if key != "on"}
        return Condition(name, effects, until, by)

    def give(self, standing, condition):
        """Lays a condition on a list of them; given again, the later end counts."""
        for old in standing:
            if old.name == condition.name:
                if condition.until is None or (old.until is not None and old.until < condition.until):
                    old.until = condition.until
                return
        standing.append(condition)

    def conditions_on(self, unit):
        """Every condition that counts for a unit, each name once."""
        found = {}
        for standing in (unit.conditions, self.side_conditions.get(unit.side, []),
                         self.place_conditions.get(unit.place, []), self.battle_conditions):
            for condition in standing:
                found.setdefault(condition.name, condition)
        return list(found.values())

    def effect(self, unit, key, asked=0):
        """The sum of what was asked and of the conditions for one key, held to its range."""
        total = asked + sum(c.effects.get(key, 0) for c in self.conditions_on(unit))
        limits = self.rules["circumstances"]
        if key == "dice":
            return min(max(total, 0), limits["most_dice"])
        return min(max(total, -limits["most"]), limits["most"])

    def may(self, unit, what):
        """Whether no condition forbids a unit to charge, move or shoot."""
        return all(c.effects.get(what, True) is not False for c in self.conditions_on(unit))

    def leader_falls(self, unit):
        """The leader of a unit takes what would fell him: he falls, or is out if he is spared."""
        leader = unit.leader
        leader.wounds = 0
        leader.fate = "out" if leader.spared else "fell"
        if leader.general and leader.fate == "fell":
            for other in self.units:
                if other.side == unit.side:
                    self.give(other.conditions, self.condition("dismayed", self.turn + 1, leader.name))

    def end_turn(self):
        """Ends the turn: conditions that last until now go."""
        lists = [u.conditions for u in self.units] + [self.battle_conditions]
        lists += list(self.side_conditions.values()) + list(self.place_conditions.values())
        for standing in lists:
            standing[:] = [c for c in standing if c.until is None or c.until > self.turn]
        for unit in self.units:
            unit.moved = False
        self.turn += 1
