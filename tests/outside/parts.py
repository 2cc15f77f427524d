"""Exact leads of several units against one enemy, each with one contact to it.

It tells whether a side gains by splitting a unit, or by a decoy, without the
noise of samples. There are no leaders, widths or charges in these fights.
"""

from functools import lru_cache
from itertools import product

from .field import Field
from .morale import STANDS, Ordeal, chances, modifiers, must_test
from .odds import binomial
from .ranks import Contact
from .rules import kill_chance
from .steps import plan


class Parts:
    """Units of one side, (class, figures), against one enemy, fought to the finish."""

    def __init__(self, parts, enemy, rules=None, parts_ask=True, least=1e-10, **options):
        self.field = Field(1, rules)
        self.least = least
        self.parts = [self.field.muster(f"part {i}", "Vale", troop, men=n, **options)
                      for i, (troop, n) in enumerate(parts)]
        self.enemy = self.field.muster("enemy", "Banner", enemy[0], men=enemy[1])
        self.contacts = [Contact(p, self.enemy) if parts_ask else Contact(self.enemy, p) for p in self.parts]
        self.asking = "Vale" if parts_ask else "Banner"
        self.worth = [self.field.presence(p) for p in self.parts]
        self.whole = sum(w * p.figures for w, p in zip(self.worth, self.parts))
        self._lead = lru_cache(maxsize=None)(self._lead_from)
        self._stands = lru_cache(maxsize=None)(self._chance_to_stand)

    def lead(self):
        """The parts' expected share of presence still standing, less the enemy's."""
        return self._lead(tuple(p.figures for p in self.parts), self.enemy.figures, False)

    def _lead_from(self, figures, enemy, went):
        """The lead from a state: the figures in contact (0 for a part that is gone), the enemy's."""
        total = stays = 0.0
        for chance, lost, killed, hits in self._losses(figures, enemy):
            left = tuple(f - n for f, n in zip(figures, lost))
            still = enemy - hits
            gone = went or any(f and not l for f, l in zip(figures, left))
            own = sum(w * f for w, f in zip(self.worth, left))
            foes = still * self.field.presence(self.enemy)
            stand = [self._stands(i, f, figures[i], lost[i], killed[i], own, foes, gone) if f else 0.0
                     for i, f in enumerate(left)]
            holds = self._stands(-1, still, enemy, hits, sum(lost), foes, own, False) if still else 0.0
            shares = sum(p * w * f for p, w, f in zip(stand, self.worth, left)) / self.whole
            total += chance * (1 - holds) * shares
            if holds:
                value, same = self._both_go_on(figures, enemy, went, left, still, stand)
                total += chance * holds * value
                stays += chance * holds * same
        return total / (1 - stays)

    def _both_go_on(self, figures, enemy, went, left, still, stand):
        """The enemy stands: the lead over each set of parts that do, and the chance of no change."""
        value = same = 0.0
        for choice in product(*[(True, False) if p else (False,) for p in stand]):
            chance = 1.0
            for chosen, p, f in zip(choice, stand, left):
                if f:
                    chance *= p if chosen else 1 - p
            if not chance:
                continue
            now = tuple(f if chosen else 0 for chosen, f in zip(choice, left))
            fled = any(f and not chosen for chosen, f in zip(choice, left))
            if not any(now):
                value -= chance * still / self.enemy.muster_figures
            elif (now, still, fled) == (figures, enemy, went):
                same += chance
            else:
                value += chance * self._lead(now, still, fled)
        return value, same

    def _losses(self, figures, enemy):
        """Yields (chance, losses of each part, kills of each part, the enemy's losses)."""
        for part, n in zip(self.parts, figures):
            part.figures = n
        self.enemy.figures = enemy
        contacts = [c for c, n in zip(self.contacts, figures) if n]
        throws = plan(self.field, contacts, self.asking)
        at_enemy, at_parts = [(1.0,)] * len(figures), [(1.0,)] * len(figures)
        for throw in throws:
            chance = kill_chance(self.field.rules, throw.kills_on)
            if throw.striker is self.enemy:
                i = self.parts.index(throw.target)
                at_parts[i] = binomial(throw.dice, chance, figures[i])
            else:
                at_enemy[self.parts.index(throw.striker)] = binomial(throw.dice, chance, enemy)
        for chance, kills in self._cases(at_enemy):
            killed, room = [], enemy
            for k in kills:
                killed.append(min(k, room))
                room -= killed[-1]
            for other, lost in self._cases(at_parts):
                if chance * other > self.least:
                    yield chance * other, lost, killed, enemy - room

    def _cases(self, distributions):
        """Every combination of independent counts with its chance, as (chance, counts)."""
        for counts in product(*[range(len(d)) for d in distributions]):
            chance = 1.0
            for d, k in zip(distributions, counts):
                chance *= d[k]
            if chance > self.least:
                yield chance, counts

    def _chance_to_stand(self, which, left, started, lost, killed, own, foes, gone):
        """The chance that a unit with figures left stands."""
        unit = self.enemy if which < 0 else self.parts[which]
        ordeal = Ordeal(started, lost, killed, own, foes, gone, False)
        if not must_test(self.field, ordeal):
            return 1.0
        before, unit.figures = unit.figures, left
        modifier = sum(number for _, number in modifiers(self.field, unit, ordeal))
        unit.figures = before
        return float(chances(self.field.rules, modifier, False)[STANDS])
