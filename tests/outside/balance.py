"""How good the rules are: the properties that are promised of them, measured.

    cd tests && python3 -m outside.balance

prints each with its figures; it takes a few minutes.
A side's lead is its expected share of presence still standing less the other's.
"""

import random

from .field import Field, Leader, half_up
from .odds import to_the_finish
from .parts import Parts
from .ranks import Contact
from .rules import shipped
from .samples import sample


def duel_of(first, second, rules=None, least=1e-11, state=(None, None), asked=None, **options):
    """The odds of one unit against one, each (class, figures, options)."""
    field = Field(1, rules)
    made = [field.muster(side, side, troop, men=figures, **rest)
            for side, (troop, figures, rest) in (("Vale", first), ("Banner", second))]
    for unit, its in zip(made, state):
        unit.state = its or unit.state
    return to_the_finish(field, Contact(*made, **options), asked, least=least)


def margin(first, figures, second, others, rules=None, **options):
    """The difference of the chances of standing alone of two plain units."""
    return duel_of((first, figures, {}), (second, others, {}), rules, **options).margin


# Splitting and decoys.

def gain_by_splitting(troop, figures, enemy, others, rules=None):
    """What a side's lead gains when a unit fights as two of half its size."""
    whole = Parts([(troop, figures)], (enemy, others), rules, least=1e-8).lead()
    return Parts([(troop, figures // 2)] * 2, (enemy, others), rules, least=1e-8).lead() - whole


def gain_by_decoy(troop, figures, enemy, others, rules=None):
    """What a decoy of the smallest size is worth over the same figures in the main unit."""
    small = (rules or shipped())["smallest"]
    whole = Parts([(troop, figures)], (enemy, others), rules, least=1e-8).lead()
    return Parts([(troop, figures - small), (troop, small)], (enemy, others), rules, least=1e-8).lead() - whole


def matchups(sizes, ratios, most=24):
    """Class against class, one of each difference of weight and pair of presences, at some sizes."""
    classes = shipped()["classes"]
    seen = set()
    for a, one in classes.items():
        for b, other in classes.items():
            for n in sizes:
                for ratio in ratios:
                    m = round(n * one["presence"] * ratio / other["presence"])
                    key = (one["weight"] - other["weight"], one["presence"], other["presence"], n, m)
                    if 2 <= m <= most and key not in seen:
                        seen.add(key)
                        yield a, n, b, m


def greatest(gain, sizes, ratios, rules=None, most=24):
    """The greatest gain over some matchups, as (gain, class, figures, enemy, figures)."""
    return max((gain(*fight, rules), *fight) for fight in matchups(sizes, ratios, most))


def gain_of_ten_levies(times=4000, seed=7, rules=None):
    """What ten levies of the smallest size gain over one unit of the same men, against five lancers."""
    def build():
        field = Field(1, rules)
        levies = [field.muster(f"levy {i}", "Vale", "levy", men=2) for i in range(10)]
        lancers = field.muster("lancers", "Banner", "lancers", men=5)
        return field, [Contact(levy, lancers) for levy in levies]

    thrown = sample(build, times, seed)
    whole = duel_of(("levy", 20, {}), ("lancers", 5, {}), rules).lead
    return thrown.lead - whole, thrown.error


# The scale.

def turned_by_scale(count, seed=1, most_men=160, rules=None):
    """Pairs whose favourite at 1:20 is not the favourite at 1:5, of `count` pairs that are drawn."""
    rules = rules or shipped()
    draw = random.Random(seed)
    turned, compared = [], 0
    while compared < count:
        a, b = draw.choice(list(rules["classes"])), draw.choice(list(rules["classes"]))
        men = [draw.randrange(40, most_men + 1) for _ in range(2)]
        errors = [half_up(n, 20) * 20 / n for n in men]
        if abs(errors[0] - errors[1]) >= 0.1:
            continue
        fine = _lead_at(5, a, b, men, rules)
        if abs(fine) >= 0.6:
            continue
        compared += 1
        coarse = _lead_at(20, a, b, men, rules)
        if min(abs(fine), abs(coarse)) >= 0.15 and fine * coarse < 0:
            turned.append((a, men[0], b, men[1], fine, coarse))
    return turned


def _lead_at(scale, a, b, men, rules):
    return duel_of((a, half_up(men[0], scale), {}), (b, half_up(men[1], scale), {}), rules, least=1e-8).lead


# What a unit may have.

def advantages():
    """What should never make a unit's lead smaller: (name, with it, without it, whom it is for)."""
    plain = {"options": {}, "contact": {}}

    def has(**options):
        return {"options": options, "contact": {}}

    def by(**contact):
        return {"options": {}, "contact": contact}

    led = has(leader=Leader())
    return [
        ("trained over raw", has(grade="trained"), has(grade="raw"), None),
        ("seasoned over trained", has(grade="seasoned"), plain, None),
        ("guard over seasoned", has(grade="guard"), has(grade="seasoned"), None),
        ("a leader in front", led, plain, None),
        ("a leader who holds back", has(leader=Leader(holds_back=True)), plain, None),
        ("a general", has(leader=Leader(general=True)), plain, None),
        ("might 2 over 1", has(leader=Leader(might=2)), led, None),
        ("wounds 2 over 1", has(leader=Leader(wounds=2)), led, None),
        ("long spears", has(spears=True), plain, False),
        ("a charge", by(charge=True), plain, True),
        ("the flank", by(side="flank"), plain, None),
        ("the rear", by(side="rear"), by(side="flank"), None),
        ("a step that was asked", by(asked={"Vale": 1}), plain, None),
        ("being steady over shaken", plain, by(state=("shaken", None)), None),
    ]


def worth(advantage, fights, rules=None):
    """The leads that an advantage gains over some fights, as (gain, fight), least first."""
    _, having, lacking, mounted = advantage
    classes = (rules or shipped())["classes"]
    found = []
    for troop, figures, enemy, others in fights:
        if mounted is None or classes[troop]["mounted"] == mounted:
            leads = [duel_of((troop, figures, what["options"]), (enemy, others, {}), rules, 1e-9,
                             **what["contact"]).lead for what in (having, lacking)]
            found.append((leads[0] - leads[1], (troop, figures, enemy, others)))
    return sorted(found)


EQUAL_PRESENCE = (("line foot", 1, "riders", 2), ("levy", 1, "outriders", 2), ("great beasts", 4, "line foot", 1))
ONE_STEP = (("skirmishers", "levy"), ("line foot", "skirmishers"), ("shock foot", "line foot"),
            ("lancers", "riders"))


def main():
    """Prints every property with its figures."""
    for a, b in ONE_STEP:
        print("one step:", a, b, *(f"{n}: {margin(a, n, b, n):+.3f}" for n in (2, 3, 4, 5, 6, 8, 10, 12, 16, 20)))
    for a, p, b, q in EQUAL_PRESENCE:
        got = (f"{n}: {margin(a, n // p, b, n // q):+.3f}" for n in (8, 12, 16, 20, 24))
        print("equal presence:", a, b, *got)
    spears = duel_of(("riders", 5, {}), ("line foot", 8, {"spears": True}), charge=True)
    print(f"8 long spears against 5 charging riders stand alone: {spears.second:.4f}")
    for advantage in advantages():
        gains = worth(advantage, list(matchups((4, 8, 12), (0.5, 1, 2), 12)))
        print(f"{advantage[0]}: least {gains[0][0]:+.4f} {gains[0][1]}, median {gains[len(gains) // 2][0]:+.4f}, "
              f"most {gains[-1][0]:+.4f}")
    for n in (4, 6, 8, 10, 12):
        print(n, "greatest gain by splitting:", greatest(gain_by_splitting, (n,), (0.4, 0.5, 0.75, 1, 1.5), most=20))
        print(n, "greatest gain by a decoy:", greatest(gain_by_decoy, (n,), (0.4, 0.5, 0.75, 1, 1.5), most=20))
    gain, error = gain_of_ten_levies()
    print(f"ten levies against five lancers gain {gain:+.3f} (standard error {error:.3f})")
    print("favourites turned by the scale, of 100 pairs:", turned_by_scale(100))


if __name__ == "__main__":
    main()
