"""Leaders who fight, as docs/rules.md tells them: their records, what becomes of them, single combat."""
import conditions
import open_field

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


def duel(rules, field, ask, roll):
    """Two leaders fight each other."""
    fighters = [field.known(name) for name in ask["leaders"]]
    table, test_dice = rules.raw["duel"], rules.raw["test"]
    left = [wounds_left(leader) for leader, _, _ in fighters]
    rounds = []
    while min(left) > 0 and len(rounds) < 100 and not (ask["to"] == "wound" and rounds and any(rounds[-1]["wounds"])) \
            and not (ask["to"] == "rounds" and len(rounds) >= table["rounds"]):
        faces = [roll.throw(f"{leader['name']} in single combat", test_dice["dice"], test_dice["sides"]) for leader, _, _ in fighters]
        scores = [sum(some) + might(rules, leader) for some, (leader, _, _) in zip(faces, fighters)]
        apart = abs(scores[0] - scores[1])
        taken = 2 if apart >= table["two_wounds"] else 1 if apart >= table["wound"] else 0
        wounds = [taken, 0] if scores[0] < scores[1] else [0, taken]
        rounds.append({"faces": faces, "scores": scores, "wounds": wounds})
        left = [max(0, had - lost) for had, lost in zip(left, wounds)]
    duelists = [{"leader": leader["name"], "side": side, "unit": unit and unit["name"], "might": might(rules, leader),
                 "before": wounds_left(leader), "left": still, "fate": fate(leader, wounds_left(leader) - still)}
                for (leader, side, unit), still in zip(fighters, left)]
    found = {"turn": field.turn, "to": ask["to"], "duelists": duelists, "rounds": rounds}
    return {**found, **after_duel(rules, field, fighters, duelists, roll)}


def after_duel(rules, field, fighters, duelists, roll):
    """What the fall of one brings: conditions, and the test of his unit."""
    if 0 not in (duelist["left"] for duelist in duelists):
        return {}
    loser = 0 if duelists[0]["left"] == 0 else 1
    (leader, side, unit), (_, _, victors) = fighters[loser], fighters[1 - loser]
    given = sets(rules, "heartened", {"unit": victors["name"]}, field.turn) if victors else []
    if leader.get("general") and duelists[loser]["fate"] == "falls":
        given += sets(rules, "dismayed", {"side": side}, field.turn)
    found = {"conditions": given} if given else {}
    if unit and unit["now"]["figures"]:
        terms = [{"cause": "grade", "by": rules.entry("grade", unit["grade"])["modifier"]},
                 *open_field.quarters_lost(rules, unit, unit["now"]["figures"], rules.raw["morale"]["quarter_lost"]),
                 {"cause": "duel", "by": rules.raw["duel"]["nerve"]}]
        found["morale"] = open_field.tested(rules, roll, unit, terms)
    return found
