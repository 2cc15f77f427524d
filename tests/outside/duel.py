"""Single combat between two leaders, and its exact odds (section 14)."""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from .morale import SHAKEN, apply_outcome, outcome, standing_modifiers
from .rules import Refused

TO_FIRST_WOUND, THREE_ROUNDS, TO_THE_END = "first wound", "three rounds", "to the end"


def wounds_for(rules, lead):
    """The wounds that a lead of so much brings the lower."""
    for least, wounds in rules["duel"]["wounds"]:
        if lead >= least:
            return wounds
    return 0


def round_chances(rules, might_a, might_b):
    """The chances of (wounds of the first, wounds of the second), over the 1,296 cases of a round."""
    found = {}
    for case in range(6**4):
        a, b, c, d = (case // 6**i % 6 + 1 for i in range(4))
        lead = a + b + might_a - c - d - might_b
        hurt = wounds_for(rules, abs(lead))
        key = (0, hurt) if lead > 0 else (hurt, 0)
        found[key] = found.get(key, 0) + Fraction(1, 6**4)
    return found


@dataclass
class Single:
    """The odds of a single combat until one falls."""

    first: Fraction
    second: Fraction
    rounds: Fraction


def odds(rules, might_a, wounds_a, might_b, wounds_b):
    """The exact odds of a fight until one falls."""
    chances = round_chances(rules, might_a, might_b)
    nothing = chances.pop((0, 0))

    @lru_cache(maxsize=None)
    def from_here(a, b):
        if a <= 0 or b <= 0:
            return Single(Fraction(b <= 0), Fraction(a <= 0), Fraction(0))
        after = [(p, from_here(a - x, b - y)) for (x, y), p in chances.items()]
        goes_on = 1 - nothing
        return Single(sum(p * s.first for p, s in after) / goes_on,
                      sum(p * s.second for p, s in after) / goes_on,
                      (1 + sum(p * s.rounds for p, s in after)) / goes_on)

    return from_here(wounds_a, wounds_b)


class SingleCombat:
    """An agreed combat of the leaders of two units, pressed until its end."""

    def __init__(self, field, first, second, until):
        for unit in (first, second):
            if not unit.has_leader:
                raise Refused(f"{unit.name} has no leader who could fight.")
        self.field, self.units, self.until = field, (first, second), until
        self.pressed = None  # the turn of the last press
        self.over = False

    def press(self, dice):
        """One press, as far as was agreed. Returns what each round did."""
        if self.over:
            raise Refused("This single combat is over.")
        if self.pressed == self.field.turn:
            raise Refused("This single combat has been pressed in this turn.")
        self.pressed = self.field.turn
        done = []
        while not self.over:
            done.append(self._round(dice))
            if self.until == TO_FIRST_WOUND and any(done[-1]):
                break
            if self.until == THREE_ROUNDS and len(done) == self.field.rules["duel"]["press_rounds"]:
                break
        return done

    def _round(self, dice):
        """Both throw; the lower may be hurt. Returns the wounds of each."""
        scores = []
        for unit in self.units:
            thrown = dice(("single combat", unit.leader.name, None, 6), 2)
            scores.append(sum(thrown) + unit.leader.might)
        lead = scores[0] - scores[1]
        hurt = wounds_for(self.field.rules, abs(lead))
        wounds = (0, hurt) if lead > 0 else (hurt, 0)
        for i, unit in enumerate(self.units):
            unit.leader.wounds = max(0, unit.leader.wounds - wounds[i])
            if unit.leader.wounds == 0:
                self._fall(unit, self.units[1 - i], dice)
        return wounds

    def _fall(self, loser, victor, dice):
        """The loser's unit tests at once, and the victor's is heartened."""
        self.over = True
        field = self.field
        field.leader_falls(loser)
        field.give(victor.conditions, field.condition("heartened", field.turn + 1))
        modifier = sum(n for _, n in standing_modifiers(field, loser, False, False, False))
        modifier += field.rules["morale"]["duel"]
        score = sum(dice(("nerve", loser.name, None, 6), 2)) + modifier
        apply_outcome(loser, outcome(field.rules, score, loser.state == SHAKEN))

    def break_off(self, unit):
        """Between presses either may break off: his unit is dismayed until the end of the turn."""
        self.over = True
        self.field.give(unit.conditions, self.field.condition("dismayed", self.field.turn))
