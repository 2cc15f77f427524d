"""Pursuit, and eager units that must hold themselves back (section 17)."""

from dataclasses import dataclass

from .field import LEFT, ROUTING, SHAKEN
from .melee import Fate, count_kills, risk_leader
from .morale import STANDS
from .ranks import Contact, units_in, whole
from .rules import Refused, matchup
from .steps import Throw


@dataclass(eq=False)
class Chance:
    """A unit that may pursue, or must, and whom."""

    pursuer: object
    fled: list
    must: bool
    melee: list  # the units whose requests wait


class Pursuits:
    """The pursuits that wait to be thrown or waived, in muster order of the pursuers."""

    def __init__(self, field):
        self.field = field
        self.waiting = []
        self.pursued = []

    def after(self, ruling, standing_contacts, dice):
        """Finds who may pursue after a round; the eager throw to hold back."""
        self.pursued = [u for u in self.pursued if u not in ruling.fates]
        found = []
        for unit in ruling.units:
            fled = [e for e in ruling.fled(unit) if can_pursue(self.field, unit, e)]
            stands = ruling.fates[unit].outcome == STANDS
            if not fled or not stands or any(unit in c.units() for c in standing_contacts):
                continue
            eager = self.field.rules["classes"][unit.troop].get("eager", False)
            must = eager and not holds_back(self.field, unit, fled[0], dice)
            found.append(Chance(unit, fled, must, units_in(ruling.contacts)))
        self.waiting += sorted(found, key=lambda chance: chance.pursuer.order)

    def hold_up(self, named):
        """Until a pursuit is thrown or waived no other request of its melee's units is taken."""
        for chance in self.waiting:
            if any(unit in chance.melee for unit in named):
                raise Refused(f"{chance.pursuer.name} may pursue: throw that or waive it first.")

    def waive(self, unit):
        """A unit lets them go."""
        chance = self._next(unit)
        if chance.must and self._left(chance):
            raise Refused(f"{unit.name} could not be held and must pursue.")
        self.waiting.remove(chance)

    def throw(self, unit, target, dice):
        """A unit pursues one that fled. Returns the figures that fell."""
        chance = self._next(unit)
        left = self._left(chance)
        if target not in left:
            raise Refused(f"{unit.name} cannot pursue {target.name}.")
        if chance.must and target is not left[0]:
            raise Refused(f"{unit.name} pursues {left[0].name}, which was named first.")
        self.waiting.remove(chance)
        self.pursued.append(target)
        lost = pursue(self.field, unit, target, dice)
        # Whoever has nobody left to pursue no longer keeps his melee waiting.
        self.waiting = [c for c in self.waiting if self._left(c)]
        return lost

    def _left(self, chance):
        return [u for u in chance.fled if u not in self.pursued and u.figures]

    def _next(self, unit):
        for chance in self.waiting:
            if chance.pursuer is unit:
                return chance
            if any(u in chance.melee for u in (unit,)):
                raise Refused(f"{chance.pursuer.name} comes first in muster order.")
        raise Refused(f"{unit.name} has nobody to pursue.")


def can_pursue(field, pursuer, fled):
    """Foot cannot pursue the mounted."""
    return field.mounted(pursuer) or not field.mounted(fled)


def holds_back(field, unit, first_fled, dice):
    """An eager unit's throw to hold itself back."""
    numbers = field.rules["pursuit"]
    score = sum(dice(("hold back", unit.name, None, 6), 2)) + field.grade(unit)
    score += numbers["leader"] if unit.has_leader else 0
    score += numbers["few"] if numbers["few_share"] * first_fled.figures < unit.figures else 0
    return score >= numbers["holds"]


def throw_at_back(field, striker, target, figures, dice, extra=0, leads=False):
    """One throw at a unit's back, with no reply. Returns the target's fate; losses are taken off."""
    numbers = field.rules["steps"]
    steps = numbers["rear"] + extra
    steps += field.effect(striker, "strike") + field.effect(target, "struck")
    steps += numbers["shaken"] if striker.state == SHAKEN else 0
    rate, per, kills_on = matchup(field.rules, striker.troop, target.troop, steps)
    thrown = figures * rate // per or min(1, figures)
    added = field.effect(striker, "dice")
    if leads and striker.has_leader and not striker.leader.holds_back:
        added += striker.leader.might
    throw = Throw(None, striker, target, figures, steps, thrown + min(added, figures), kills_on)
    fate = Fate(target, target.figures)
    fate.lost = min(count_kills(field, throw, dice), target.figures)
    if fate.lost:
        field.lose_figures(target, fate.lost)
    return fate


def pursue(field, pursuer, target, dice):
    """One throw at a fleeing unit, with the pursuer's leader and without charge."""
    on_foot = field.mounted(pursuer) and not field.mounted(target)
    extra = field.rules["steps"]["pursuing_foot"] if on_foot else 0
    behind = Contact(pursuer, target, "rear")
    figures = whole(field, pursuer, behind)
    routing = target.state == ROUTING
    fate = throw_at_back(field, pursuer, target, figures, dice, extra, leads=True)
    risk_leader(field, target, fate, dice)
    if target.figures and routing and 2 * fate.lost >= fate.started:
        target.state = LEFT
    field.give(pursuer.conditions, field.condition("disordered", field.turn + 1))
    return fate.lost
