"""Exact odds of one unit against one (section 12): one round, and to the finish."""

from dataclasses import dataclass, replace
from functools import lru_cache
from math import comb

from .field import DESTROYED, SHAKEN, Field
from .morale import STANDS, Ordeal, at_least, chances, modifiers, must_test
from .ranks import presence
from .rules import kill_chance
from .steps import plan


@dataclass
class Finish:
    """What a fight to the finish comes to."""

    first: object = 0  # the chance that the first alone stands
    second: object = 0
    neither: object = 0
    rounds: object = 0
    first_losses: object = 0
    second_losses: object = 0
    first_share: object = 0  # the expected share of its presence still standing
    second_share: object = 0

    @property
    def lead(self):
        """The first's expected share of presence still standing less the second's."""
        return self.first_share - self.second_share

    @property
    def margin(self):
        """The difference of the chances of standing alone."""
        return self.first - self.second


@lru_cache(maxsize=None)
def binomial(dice, chance, most, number=float):
    """The chances of 0 … most kills, all beyond `most` counted as `most`."""
    chance = number(chance)
    terms = [comb(dice, k) * chance**k * (1 - chance) ** (dice - k) for k in range(dice + 1)]
    if dice <= most:
        return tuple(terms)
    return tuple(terms[:most]) + (sum(terms[most:]),)


class Duo:
    """One contact of two units, whose states are (figures, figures, wounds, wounds)."""

    def __init__(self, field, contact, asked=None, number=float, least=0):
        self.field, self.contact, self.asked = field, contact, asked
        self.number, self.least = number, least
        self.units = contact.units()
        self._after = {}

    def start(self):
        """The state as it stands."""
        a, b = self.units
        return (a.figures, b.figures, self._wounds(a), self._wounds(b))

    @staticmethod
    def _wounds(unit):
        return unit.leader.wounds if unit.has_leader else 0

    def at(self, state, first_round):
        """The field and the contact as they are in a state."""
        made = Field(self.field.scale, self.field.rules)
        made.turn = self.field.turn
        made.side_conditions = self.field.side_conditions
        made.place_conditions = self.field.place_conditions
        made.battle_conditions = self.field.battle_conditions
        for i, unit in enumerate(self.units):
            leader = unit.leader
            copy = replace(unit, figures=state[i], conditions=list(unit.conditions),
                           leader=replace(leader) if leader else None)
            made.units.append(copy)
            if unit.has_leader and state[2 + i] == 0:
                made.leader_falls(copy)
            elif unit.has_leader:
                copy.leader.wounds = state[2 + i]
        a, b = made.units
        twin = {self.units[0]: a, self.units[1]: b, None: None}
        contact = replace(self.contact, maker=a, struck=b, higher=twin[self.contact.higher],
                          obstacle=twin[self.contact.obstacle])
        if not first_round:
            contact.rounds = max(contact.rounds, 1)
        return made, contact

    def round(self, state, first_round):
        """One round: yields (chance, next state, stands, stands); 0 figures is destroyed."""
        for left, chance in self.after_losses(state, first_round).items():
            lost = (state[0] - left[0], state[1] - left[1])
            stand = self._standing(state, left, lost)
            for a_stands, p_a in ((True, stand[0]), (False, 1 - stand[0])):
                for b_stands, p_b in ((True, stand[1]), (False, 1 - stand[1])):
                    if p_a and p_b:
                        yield chance * p_a * p_b, left, a_stands, b_stands

    def after_losses(self, state, first_round):
        """The chances of each state after losses and leaders at risk, before morale."""
        made, contact = self.at(state, first_round)
        by_first, by_second = self._kills(made, contact, state)
        found = {}
        for lost_b, chance_a in enumerate(by_first):
            for lost_a, chance_b in enumerate(by_second):
                if chance_a * chance_b > self.least:
                    for a, risk_a in self._leader(state, 0, lost_a):
                        for b, risk_b in self._leader(state, 1, lost_b):
                            left = (state[0] - lost_a, state[1] - lost_b, a, b)
                            found[left] = found.get(left, 0) + chance_a * chance_b * risk_a * risk_b
        return found

    def _kills(self, made, contact, state):
        """The chances of kills by each unit, capped at the enemy's figures."""
        throws = plan(made, [contact], contact.maker.side, self.asked)
        found = []
        for i, unit in enumerate(made.units):
            throw = next(t for t in throws if t.striker is unit)
            chance = kill_chance(made.rules, throw.kills_on)
            found.append(binomial(throw.dice, chance, state[1 - i], self.number))
        return found

    def _leader(self, state, i, lost):
        """The chances of the wounds that a leader can still take after a round."""
        wounds = state[2 + i]
        unit = self.units[i]
        if wounds == 0 or lost == 0:
            return [(wounds, 1)]
        numbers = self.field.rules["leaders"]
        if lost == state[i]:
            falls = self.number(at_least(numbers["falls_if_destroyed"]))
            return [(0, falls), (wounds, 1 - falls)]
        if unit.leader.holds_back:
            return [(wounds, 1)]
        half = 2 * lost >= state[i]
        hit = self.number(at_least(numbers["hit_if_half_lost" if half else "hit"]))
        return [(wounds - 1, hit), (wounds, 1 - hit)]

    def _standing(self, before, left, lost):
        """The chance that each unit stands after its losses."""
        return [outcomes.get(STANDS, 0) for outcomes in self.outcomes(before, left, lost)]

    def outcomes(self, before, left, lost):
        """The chances of each outcome for each unit after its losses."""
        made, contact, strengths = self._at_rest(left)
        found = []
        for i, unit in enumerate(made.units):
            if unit.figures == 0:
                found.append({DESTROYED: self.number(1)})
                continue
            flank = not contact.own_front(unit)
            ordeal = Ordeal(before[i], lost[i], lost[1 - i], strengths[i], strengths[1 - i], False, flank)
            found.append(self._tested(made, unit, ordeal))
        return found

    def _at_rest(self, left):
        """The field after losses, with both presences; kept, as many cases lead to the same."""
        if left not in self._after:
            made, contact = self.at(left, False)
            strengths = [presence(made, [unit], [contact]) for unit in made.units]
            self._after[left] = (made, contact, strengths)
        return self._after[left]

    def _tested(self, made, unit, ordeal):
        if not must_test(made, ordeal):
            return {STANDS: self.number(1)}
        modifier = sum(number for _, number in modifiers(made, unit, ordeal))
        found = chances(made.rules, modifier, unit.state == SHAKEN)
        return {outcome: self.number(chance) for outcome, chance in found.items()}


def one_round(field, contact, asked=None, number=float):
    """The joint distribution of one round: {((lost, lost), (outcome, outcome)): chance}."""
    duo = Duo(field, contact, asked, number)
    start = duo.start()
    found = {}
    for left, chance in duo.after_losses(start, contact.rounds == 0).items():
        lost = (start[0] - left[0], start[1] - left[1])
        first, second = duo.outcomes(start, left, lost)
        for a, p_a in first.items():
            for b, p_b in second.items():
                key = (lost, (a, b))
                found[key] = found.get(key, 0) + chance * p_a * p_b
    return {key: chance for key, chance in found.items() if chance}


def to_the_finish(field, contact, asked=None, number=float, least=0):
    """The odds of a fight that goes on until a unit does not stand (section 12).

    Cases of a round with a chance under `least` are left out, which large fights need.
    """
    duo = Duo(field, contact, asked, number, least)
    start = duo.start()
    result = Finish()
    waiting = {}
    _fight(duo, start, True, number(1), waiting, result, start)
    while waiting:
        # Nothing ever comes back to a state with more figures or wounds left.
        state = max(waiting, key=lambda s: (s[0] + s[1], s[2] + s[3]))
        chance = waiting.pop(state)
        if chance > least:
            _fight(duo, state, False, chance, waiting, result, start)
    return result


def _fight(duo, state, first_round, chance, waiting, result, start):
    """One round from a state: what ends goes to the result, what goes on waits."""
    cases = list(duo.round(state, first_round))
    if not first_round:
        stays = sum(p for p, left, a, b in cases if a and b and left == state)
        chance = chance / (1 - stays)
    result.rounds += chance
    for p, left, a_stands, b_stands in cases:
        p *= chance
        if a_stands and b_stands:
            if first_round or left != state:
                waiting[left] = waiting.get(left, 0) + p
            continue
        result.first_losses += p * (start[0] - left[0])
        result.second_losses += p * (start[1] - left[1])
        if a_stands:
            result.first += p
            result.first_share += p * left[0] / start[0]
        elif b_stands:
            result.second += p
            result.second_share += p * left[1] / start[1]
        else:
            result.neither += p
