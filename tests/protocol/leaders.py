"""Leaders who fight, as docs/rules.md tells them: their records, and what becomes of them."""
import conditions

FLAGS = ("back", "placed", "fought", "spared", "general")


def spelled(leader):
    """A leader as records spell him: what is as usual is left out."""
    usual = {"wounds": 1, "taken": 0}
    found = {"name": leader["name"]}
    for key in ("might", "wounds", "taken", *FLAGS):
        if leader.get(key, usual.get(key)) not in (None, False, usual.get(key)):
            found[key] = leader[key]
    return found


def mustered(ask):
    """The leader of a muster, if it names one."""
    if "leader" not in ask:
        return None
    return spelled({"name": ask["leader"], "might": ask.get("might"), "wounds": ask.get("wounds", 1),
                    "general": ask.get("general"), "spared": ask.get("spare")})


def wounds_left(leader):
    """The wounds that he can still take."""
    return leader.get("wounds", 1) - leader.get("taken", 0)


def fate(leader, wounds):
    """What comes of so many wounds."""
    if wounds == 0:
        return "unhurt"
    if wounds < wounds_left(leader):
        return "wounded"
    return "out" if leader.get("spared") else "falls"


def might(rules, leader):
    """What he adds to his dice."""
    return leader.get("might", rules.raw["dice"]["leader"])


def adds(rules, unit):
    """The dice that the leader of a unit adds."""
    leader = unit["leader"]
    return 0 if leader is None or leader.get("back") else might(rules, leader)


def test(rules, roll, unit, lost):
    """A leader whose unit lost figures; none if he is not at risk."""
    leader, table, before = unit["leader"], rules.raw["leader"], unit["now"]["figures"]
    if leader is None or not lost or (leader.get("back") and lost < before):
        return None
    falls_on = table["destroyed"] if lost >= before else table["half_lost"] if lost * 2 >= before else table["falls_on"]
    thrown = roll.throw(f"{leader['name']} at risk", rules.raw["test"]["dice"], rules.raw["test"]["sides"])
    wounds = 0 if sum(thrown) < falls_on else wounds_left(leader) if lost >= before else 1
    left = wounds_left(leader) - wounds
    return {"leader": leader["name"], "unit": unit["name"], "falls_on": falls_on, "faces": thrown, "score": sum(thrown),
            "fate": fate(leader, wounds), **({"left": left} if left else {})}


def sets(rules, name, on, turn):
    """The condition that a ruling sets until the end of the next turn, if the rules know it."""
    if not any(entry["name"] == name for entry in rules.raw.get("condition", [])):
        return []
    return [{"name": name, "on": on, "effects": conditions.effects_of(rules, name), "until": turn + 1, "by": "referee"}]


def dismayed(rules, field, units, tests, sides):
    """What stands on the sides whose general fell."""
    fallen = {test["unit"] for test in tests if test["fate"] == "falls"}
    lost = [unit["side"] for unit in units if unit["name"] in fallen and unit["leader"].get("general")]
    return [condition for side in sides if side in lost for condition in sets(rules, "dismayed", {"side": side}, field.turn)]
