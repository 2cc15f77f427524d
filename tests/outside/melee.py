"""One round of one melee: throws, kills, leaders at risk, morale (sections 4 to 8 and 11).

Every function that throws takes a supplier of faces, `dice(kind, count)`.
A kind is (what is thrown, who throws, at whom or None, the die's sides).
"""

from dataclasses import dataclass, field as made_of

from .field import DESTROYED, SHAKEN
from .morale import FALLS_BACK, ROUTS, STANDS, Ordeal, apply_outcome, modifiers, must_test, outcome
from .ranks import presence, units_in
from .steps import plan


@dataclass
class Fate:
    """What a round brought one unit."""

    unit: object
    started: int
    lost: int = 0
    killed: int = 0
    tested: list | None = None  # the modifiers of its test, named
    score: int | None = None
    outcome: str | None = None
    leader: str | None = None  # "hit" or "fell", where he was at risk and not missed


@dataclass
class Ruling:
    """What one round of one melee came to."""

    contacts: list
    asking_side: str
    throws: list
    fates: dict
    excess: dict = made_of(default_factory=dict)  # by throw, the kills that count for nothing

    @property
    def units(self):
        """The units of the melee, asking side's first, in muster order."""
        return sorted(self.fates, key=lambda u: (u.side != self.asking_side, u.order))

    def fled(self, unit):
        """The enemies in contact with a unit that fell back or routed, in the order of the contacts."""
        enemies = [c.enemy(unit) for c in self.contacts if unit in c.units()]
        return [e for e in enemies if self.fates[e].outcome in (FALLS_BACK, ROUTS)]


def fight_round(field, contacts, asking_side, dice, asked=None):
    """Fights one round of one melee and changes the field accordingly."""
    units = units_in(contacts)
    throws = plan(field, contacts, asking_side, asked)
    ruling = Ruling(contacts, asking_side, throws, {u: Fate(u, u.figures) for u in units})
    _kill(field, ruling, dice)
    for unit in ruling.units:
        risk_leader(field, unit, ruling.fates[unit], dice)
    _morale(field, ruling, dice)
    for contact in contacts:
        contact.rounds += 1
        contact.fought[field.turn] = contact.fought.get(field.turn, 0) + 1
    return ruling


def count_kills(field, throw, dice):
    """Throws the dice of one throw and counts those that reach what kills."""
    if throw.dice == 0:
        return 0
    kind = ("melee", throw.striker.name, throw.target.name, field.rules["ladder"]["die"])
    return sum(face >= throw.kills_on for face in dice(kind, throw.dice))


def _kill(field, ruling, dice):
    """All throws are simultaneous; kills beyond a unit's strength are excess."""
    for number, throw in enumerate(ruling.throws):
        kills = count_kills(field, throw, dice)
        target = ruling.fates[throw.target]
        counted = min(kills, target.started - target.lost)
        target.lost += counted
        ruling.fates[throw.striker].killed += counted
        if kills > counted:
            ruling.excess[number] = kills - counted
    for fate in ruling.fates.values():
        if fate.lost:
            field.lose_figures(fate.unit, fate.lost)
        if fate.unit.state == DESTROYED:
            fate.outcome = DESTROYED


def risk_leader(field, unit, fate, dice):
    """A leader whose unit lost a figure is tested with 2d6 (sections 7 and 14)."""
    destroyed = unit.figures == 0
    if not unit.has_leader or fate.lost == 0 or (unit.leader.holds_back and not destroyed):
        return
    numbers = field.rules["leaders"]
    score = sum(dice(("leader", unit.leader.name, None, 6), 2))
    if destroyed:
        if score >= numbers["falls_if_destroyed"]:
            field.leader_falls(unit)
            fate.leader = "fell"
        return
    half = 2 * fate.lost >= fate.started
    if score >= numbers["hit_if_half_lost" if half else "hit"]:
        unit.leader.wounds -= 1
        fate.leader = "hit"
        if unit.leader.wounds == 0:
            field.leader_falls(unit)
            fate.leader = "fell"


def _ordeals(field, ruling):
    """What morale looks at for each unit with a figure left."""
    strengths, gone = {}, {}
    for side in {u.side for u in ruling.fates}:
        own = [u for u in ruling.fates if u.side == side]
        strengths[side] = presence(field, [u for u in own if u.figures], ruling.contacts)
        gone[side] = any(u.figures == 0 or u.comrade_went for u in own)
    found = {}
    for unit, fate in ruling.fates.items():
        if unit.figures:
            enemy = sum(strength for side, strength in strengths.items() if side != unit.side)
            taken = any(unit is c.struck and c.side != "front" for c in ruling.contacts)
            found[unit] = Ordeal(fate.started, fate.lost, fate.killed, strengths[unit.side], enemy,
                                 gone[unit.side], taken)
    return found


def _morale(field, ruling, dice):
    """Each unit that must test does so; all see the field as it was after the losses."""
    ordeals = _ordeals(field, ruling)
    for unit in ruling.units:
        if unit not in ordeals:
            continue
        fate = ruling.fates[unit]
        fate.outcome = STANDS
        if must_test(field, ordeals[unit]):
            fate.tested = modifiers(field, unit, ordeals[unit])
            thrown = sum(dice(("nerve", unit.name, None, 6), 2))
            fate.score = thrown + sum(number for _, number in fate.tested)
            fate.outcome = outcome(field.rules, fate.score, unit.state == SHAKEN)
    for unit, fate in ruling.fates.items():
        apply_outcome(unit, fate.outcome)
    for unit in ruling.fates:
        unit.comrade_went = any(
            fate.outcome in (FALLS_BACK, ROUTS) for other, fate in ruling.fates.items()
            if other.side == unit.side and other is not unit)
