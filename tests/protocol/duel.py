"""Single combat of two leaders, as docs/rules.md tells it."""
import leaders
import open_field


def duel(rules, field, ask, roll):
    """Two leaders fight each other."""
    fighters = [field.known(name) for name in ask["leaders"]]
    table, test_dice = rules.raw["duel"], rules.raw["test"]
    left = [leaders.wounds_left(leader) for leader, _, _ in fighters]
    rounds = []
    while min(left) > 0 and len(rounds) < 100 and not (ask["to"] == "wound" and rounds and any(rounds[-1]["wounds"])) \
            and not (ask["to"] == "rounds" and len(rounds) >= table["rounds"]):
        faces = [roll.throw(f"{leader['name']} in single combat", test_dice["dice"], test_dice["sides"]) for leader, _, _ in fighters]
        scores = [sum(some) + leaders.might(rules, leader) for some, (leader, _, _) in zip(faces, fighters)]
        apart = abs(scores[0] - scores[1])
        taken = 2 if apart >= table["two_wounds"] else 1 if apart >= table["wound"] else 0
        wounds = [taken, 0] if scores[0] < scores[1] else [0, taken]
        rounds.append({"faces": faces, "scores": scores, "wounds": wounds})
        left = [max(0, had - lost) for had, lost in zip(left, wounds)]
    duelists = [{"leader": leader["name"], "side": side, "unit": unit and unit["name"], "might": leaders.might(rules, leader),
                 "before": leaders.wounds_left(leader), "left": still, "fate": leaders.fate(leader, leaders.wounds_left(leader) - still)}
                for (leader, side, unit), still in zip(fighters, left)]
    found = {"turn": field.turn, "to": ask["to"], "duelists": duelists, "rounds": rounds}
    return {**found, **after_duel(rules, field, fighters, duelists, roll)}


def after_duel(rules, field, fighters, duelists, roll):
    """What the fall of one brings: conditions, and the test of his unit."""
    if 0 not in (duelist["left"] for duelist in duelists):
        return {}
    loser = 0 if duelists[0]["left"] == 0 else 1
    (leader, side, unit), (_, _, victors) = fighters[loser], fighters[1 - loser]
    given = leaders.sets(rules, "heartened", {"unit": victors["name"]}, field.turn) if victors else []
    if leader.get("general") and duelists[loser]["fate"] == "falls":
        given += leaders.sets(rules, "dismayed", {"side": side}, field.turn)
    found = {"conditions": given} if given else {}
    if unit and unit["now"]["figures"]:
        terms = [{"cause": "grade", "by": rules.entry("grade", unit["grade"])["modifier"]},
                 *open_field.quarters_lost(rules, unit, unit["now"]["figures"], rules.raw["morale"]["quarter_lost"]),
                 {"cause": "duel", "by": rules.raw["duel"]["nerve"]}]
        found["morale"] = open_field.tested(rules, roll, unit, terms)
    return found
