"""Samples of leaders who fight: might and wounds, who holds back, who is spared, the fall of a general,
single combat; good battles, and what was forged in them."""
import stories
from battle import Battle
from samples_of_exports import places

REFEREE, ORM = stories.REFEREE, stories.ORM
GREY = {"captain": "Grey Banner"}
LINE = {"class": "line foot"}
# Where rolls are thrown in the battles below: the roll of each event.
LED, PRESSED = {9: 1, 16: 2, 17: 3}, {6: 1, 7: 2, 9: 3, 11: 4}


def duel(first, second, to="end", **how):
    """Two leaders fight each other."""
    return {"duel": {"leaders": [first, second], "to": to, **how}}


def melee(*contact):
    """A melee of one contact."""
    return stories.melee((*contact, {}))


@stories.told
def led(rules, forge, take):
    """A leader who is wounded and one who holds back; one who goes from unit to unit; a general who falls."""
    battle = Battle(rules, forge=forge, take=take)
    battle.appoint("person-1", "person-2", "Grey Banner")                                              # 2
    battle.muster(*REFEREE, unit="Ford Wardens", side="Vale", **LINE, men=300, grade="guard", leader="Ida", might=3, wounds=3)  # 3
    battle.muster(*REFEREE, unit="Vale Riders", side="Vale", **{"class": "riders"}, men=160, leader="Bram", general=True)  # 4
    battle.muster(*ORM, unit="Banner Spears", side="Grey Banner", **LINE, men=300, grade="guard", leader="Orm", general=True)  # 5
    battle.muster(*ORM, unit="Grey Levies", side="Grey Banner", **{"class": "levy"}, men=200)          # 6
    battle.change(*REFEREE, "Vale Riders", wounds=2, spare=True)                                       # 7
    battle.lead(*ORM, "Banner Spears", True)                                                           # 8
    battle.throws(*REFEREE, melee("Ford Wardens", "Banner Spears"))                                    # 9, roll 1
    battle.wish(lambda melees: [test["fate"] for test in melees[0]["leaders"]] == ["wounded"])
    stories.stand(battle)
    battle.lead(*REFEREE, "Banner Spears", False)                                                      # 10
    battle.turn(*REFEREE)                                                                              # 11
    battle.detach(*REFEREE, "Vale Riders")                                                             # 12
    battle.attach(*REFEREE, "Bram", "Vale Riders")                                                     # 13
    battle.part(*REFEREE, "Ford Wardens", "the reeds burn")                                            # 14
    battle.attach(*ORM, "Orm", "Grey Levies")                                                          # 15
    battle.throws(*REFEREE, melee("Ford Wardens", "Grey Levies"))                                      # 16, roll 2
    battle.wish(lambda melees: melees[0].get("conditions") and any(test["unit"] == "Grey Levies" for test in melees[0]["morale"]))
    battle.throws(*REFEREE, {"nerve": {"unit": "Banner Spears", "reason": "Orm is gone"}})             # 17, roll 3
    battle.close(*REFEREE)                                                                             # 18
    return battle


@stories.told
def pressed(rules, forge, take):
    """Single combats: in contact to the end, of one who stands alone, of one who is spared, and to the first wound."""
    battle = Battle(rules, forge=forge, take=take)
    battle.muster(*REFEREE, unit="Ford Wardens", side="Vale", **LINE, men=300, grade="guard", leader="Ida", might=2, wounds=2)  # 2
    battle.muster(*REFEREE, unit="Vale Riders", side="Vale", **{"class": "riders"}, men=160, leader="Bram", wounds=2, spare=True)  # 3
    battle.muster(*REFEREE, unit="Banner Spears", side="Grey Banner", **LINE, men=300, grade="guard", leader="Orm", general=True)  # 4
    battle.muster(*REFEREE, unit="Grey Levies", side="Grey Banner", **{"class": "levy"}, men=200, leader="Sela", wounds=6)  # 5
    battle.throws(*REFEREE, melee("Ford Wardens", "Banner Spears"))                                    # 6, roll 1
    stories.stand(battle)
    battle.wish(lambda melees: all(test["fate"] == "unhurt" for test in melees[0]["leaders"]))
    battle.throws(*REFEREE, duel("Ida", "Orm"))                                                        # 7, roll 2
    battle.wish(lambda ruled: len(ruled["rounds"]) > 1 and ruled["duelists"][1]["fate"] == "falls" and ruled["morale"]["outcome"] == "falls_back")
    battle.detach(*REFEREE, "Grey Levies")                                                             # 8
    battle.throws(*REFEREE, duel("Bram", "Sela", meet=True))                                           # 9, roll 3
    battle.wish(lambda ruled: ruled["duelists"][0]["fate"] == "out" and ruled["duelists"][1]["left"] < 6)
    battle.turn(*REFEREE)                                                                              # 10
    battle.throws(*REFEREE, duel("Sela", "Ida", "wound", meet=True))                                   # 11, roll 4
    battle.wish(lambda ruled: ruled["duelists"][0]["fate"] == "wounded" and len(ruled["rounds"]) > 1)
    battle.attach(*REFEREE, "Sela", "Banner Spears")                                                   # 12
    battle.close(*REFEREE)                                                                             # 13
    return battle


def ruled(event):
    """The ruling of an event, or the first melee of it."""
    found = next(iter(event["body"]["ruled"]["ruling"].values()))
    return found[0] if isinstance(found, list) else found


def unit_of(event, what="mustered", which="unit"):
    """A unit of an event."""
    return event["body"][what][which]


def make(e):
    """Makes all of them."""
    e.folder.write("export-good-leaders-who-fight", led(e.rules).export(), {"ok": True, "rolls": 3})
    e.folder.write("export-good-single-combat", pressed(e.rules).export(), {"ok": True, "rolls": 4})
    e.folder.write("export-good-single-combat-that-is-cast", cast(e.rules).export(), {"ok": True, "rolls": 1})

    def forged(name, seq, change, field=None):
        e.event(f"leader-{name}", seq, lambda event: change(event) and None, field, roll=LED.get(seq), story=led)

    def in_duel(name, seq, change, field=None):
        e.event(f"duel-{name}", seq, lambda event: change(event) and None, field, roll=PRESSED.get(seq), story=pressed)
    make_leaders(forged)
    make_fates(forged)
    make_duels(in_duel)
    make_what_comes_of_duels(in_duel)
    make_others(e)


def make_leaders(forged):
    """Leaders as they are mustered, changed, and go from place to place."""
    forged("with-more-might", 3, lambda event: unit_of(event)["leader"].update(might=6), "might")
    forged("with-too-much-might", 3, lambda event: (event["request"]["muster"].update(might=7), unit_of(event)["leader"].update(might=7)), "might")
    forged("with-more-wounds", 3, lambda event: unit_of(event)["leader"].update(wounds=4), "wounds")
    forged("general-unasked", 3, lambda event: unit_of(event)["leader"].update(general=True), "general")
    forged("general-beside-another", 6, lambda event: (event["request"]["muster"].update(leader="Sela", general=True),
                                                       unit_of(event).update(leader={"name": "Sela", "general": True})), "general")
    forged("spared-unasked", 5, lambda event: unit_of(event)["leader"].update(spared=True), "spared")
    forged("spared-by-a-captain", 5, lambda event: (event["request"]["muster"].update(spare=True), unit_of(event)["leader"].update(spared=True)), "office")
    forged("spared-by-a-change-of-a-captain", 7, lambda event: event.update(by="person-2", office=GREY), "office")
    forged("changed-to-no-wounds", 7, lambda event: (event["request"]["change"].update(wounds=0), unit_of(event, "changed", "after")["leader"].update(wounds=0)), "wounds")
    forged("placed-elsewhere", 8, lambda event: event["body"]["placed"].update(back=False), "back")
    forged("placed-by-another-side", 10, lambda event: event.update(by="person-2", office={"captain": "Vale"}), "office")
    forged("placed-twice-by-a-captain", 10, lambda event: event.update(by="person-2", office=GREY), "unit")
    forged("placed-where-he-stands", 10, lambda event: (event["request"]["lead"].update(back=True), event["body"]["placed"].update(back=True)), "back")
    forged("detached-that-leads-elsewhere", 12, lambda event: event["body"]["detached"].update(leader="Ida"), "leader")
    forged("detached-in-contact", 12, lambda event: (event["request"]["detach"].update(unit="Ford Wardens"),
                                                     event["body"]["detached"].update(leader="Ida", unit="Ford Wardens")), "unit")
    forged("attached-to-the-other-side", 13, lambda event: [one.update(unit="Grey Levies") for one in (event["request"]["attach"], event["body"]["attached"])], "leader")
    forged("attached-from-nowhere", 15, lambda event: event["body"]["attached"].pop("from"), "from")
    forged("attached-in-contact", 13, lambda event: ([one.update(leader="Orm", unit="Grey Levies") for one in (event["request"]["attach"], event["body"]["attached"])],
                                                     event["body"]["attached"].update({"from": "Banner Spears"})), "unit")


def make_fates(forged):
    """Leaders at risk, and what comes of a general's fall."""
    def risk(event):
        return ruled(event)["leaders"][0]

    def strike(event, n=0):
        return ruled(event)["contacts"][0]["strikes"][n]
    forged("with-fewer-dice-than-his-might", 9, lambda event: strike(event).update(leader_dice=1), "leader_dice")
    forged("with-dice-though-he-holds-back", 9, lambda event: strike(event, 1).update(leader_dice=1), "leader_dice")
    forged("at-risk-though-he-holds-back", 9, lambda event: ruled(event)["leaders"].append({**risk(event), "leader": "Orm", "unit": "Banner Spears"}), "leaders")
    forged("who-falls-with-wounds-left", 9, lambda event: risk(event).update(fate="falls"), "fate")
    forged("with-another-wound-left", 9, lambda event: risk(event).update(left=3), "left")
    forged("who-outlives-his-last-wound", 16, lambda event: next(test for test in ruled(event)["leaders"] if test["leader"] == "Orm").update(fate="wounded"), "fate")
    forged("whose-fall-dismays-nobody", 16, lambda event: ruled(event).pop("conditions"))
    forged("whose-fall-dismays-the-others", 16, lambda event: ruled(event)["conditions"][0].update(on={"side": "Vale"}), "conditions")
    forged("whose-fall-dismays-for-longer", 16, lambda event: ruled(event)["conditions"][0].update(until=9), "until")
    forged("whose-fall-counts-for-less", 16, lambda event: next(test for test in ruled(event)["morale"] if test["unit"] == "Grey Levies")["terms"].pop(), "terms")
    forged("who-does-not-fall-and-dismays", 9, lambda event: _put(ruled(event), "conditions", [
        {"name": "dismayed", "on": {"side": "Vale"}, "effects": {"strike": -1}, "until": 2, "by": "referee"}], "presence"), "conditions")
    forged("whose-fall-is-forgotten", 17, lambda event: ruled(event)["morale"]["terms"].pop(), "terms")


def _put(value, key, one, behind):
    """Puts a key behind another."""
    old = list(value.items())
    value.clear()
    for name, what in old:
        value[name] = what
        if name == behind:
            value[key] = one


def make_duels(in_duel):
    """Single combats whose rounds are not those that were thrown, or not those agreed to."""
    in_duel("by-a-captain", 7, lambda event: event.update(by="person-2", office=GREY), "office")
    in_duel("of-a-longer-press", 11, lambda event: ruled(event).update(to="end"), "to")
    in_duel("unlike-its-statement", 11, lambda event: event["request"]["duel"].update(to="end"), "request")
    in_duel("without-a-round", 7, lambda event: ruled(event)["rounds"].pop(0))
    in_duel("that-ends-early", 7, lambda event: ruled(event)["rounds"].pop(), "rounds")
    in_duel("that-goes-on", 11, lambda event: ruled(event)["rounds"].append(ruled(event)["rounds"][-1]), "rounds")
    in_duel("of-other-faces", 7, lambda event: (ruled(event)["rounds"][0]["faces"][0].reverse(), ruled(event)["rounds"][0]["faces"][0].__setitem__(0, 7)), "scores")
    in_duel("of-another-score", 7, lambda event: ruled(event)["rounds"][0]["scores"].__setitem__(0, 14), "scores")
    in_duel("of-more-might", 7, lambda event: ruled(event)["duelists"][0].update(might=3), "might")
    in_duel("of-another-might-as-usual", 9, lambda event: ruled(event)["duelists"][1].update(might=2), "might")
    in_duel("that-wounds-the-higher", 11, lambda event: ruled(event)["rounds"][-1]["wounds"].reverse(), "wounds")


def make_what_comes_of_duels(in_duel):
    """What single combats leave of leaders and their units."""
    def duelist(event, n):
        return ruled(event)["duelists"][n]
    in_duel("that-somebody-outlives", 7, lambda event: duelist(event, 1).update(fate="wounded", left=1), "left")
    in_duel("of-other-wounds-before", 9, lambda event: duelist(event, 1).update(before=5), "before")
    in_duel("of-a-spared-leader-who-falls", 9, lambda event: duelist(event, 0).update(fate="falls"), "fate")
    in_duel("of-a-leader-with-a-unit-he-left", 9, lambda event: duelist(event, 1).update(unit="Grey Levies"), "unit")
    in_duel("without-the-test-of-his-unit", 7, lambda event: ruled(event).pop("morale"), "morale")
    in_duel("with-another-test-of-his-unit", 7, lambda event: ruled(event)["morale"]["terms"].append({"cause": "deep", "by": 0}), "terms")
    in_duel("whose-test-forgets-it", 7, lambda event: ruled(event)["morale"]["terms"].pop(), "terms")
    in_duel("that-heartens-another-unit", 7, lambda event: ruled(event)["conditions"][0].update(on={"unit": "Vale Riders"}), "conditions")
    in_duel("wounds-that-heal", 11, lambda event: duelist(event, 0).update(before=6), "before")


def make_others(e):
    """Single combats that cannot be."""
    ready = (("duel-of-leaders-who-do-not-meet", duel("Ida", "Orm"), "meet"), ("duel-of-one-side", duel("Ida", "Bram", meet=True), "leaders"))
    for name, ask, field in ready:
        e.forged(name, places(5, roll=1), field, lambda rules, forge, ask=ask: asked(rules, forge, ask))
    e.forged("duel-twice-a-turn", places(6, roll=2), "leaders", lambda rules, forge: asked(rules, forge, *[duel("Ida", "Orm", "wound", meet=True)] * 2))


def asked(rules, forge, *requests, casts=False):
    """Single combats as soon as leaders stand on the field."""
    battle = Battle(rules, casts=casts, forge=forge)
    for unit, side, leader in (("Ford Wardens", "Vale", "Ida"), ("Vale Foot", "Vale", "Bram"), ("Banner Spears", "Grey Banner", "Orm")):
        battle.muster(*REFEREE, unit=unit, side=side, **LINE, men=200, leader=leader, wounds=6)
    for request in requests:
        if casts:
            battle.announce(*REFEREE, request)
            battle.cast("person-9", "anyone", "cold water, high reeds")
        else:
            battle.throws(*REFEREE, request)
    return battle


def cast(rules):
    """A single combat that the other side casts."""
    return asked(rules, None, duel("Ida", "Orm", "rounds", meet=True), casts=True)
