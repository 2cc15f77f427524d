"""Forged samples of contacts that last, parts, singles, widths and several units that shoot, made of
`stories.lasting` as those of `samples_of_exports` are of `stories.harrow`."""
import stories
from battle import Battle
from samples_of_exports import places, unit_of


def melees(event):
    """The melees of a ruling."""
    return event["body"]["ruled"]["ruling"]["melee"]


def shooting(event):
    """The shooting of a ruling."""
    return event["body"]["ruled"]["ruling"]["shooting"]


# Where rolls are thrown in the battle of `stories.lasting`: the roll of each event.
LASTING = {11: 1, 12: 2, 13: 3, 14: 4, 15: 5, 17: 6, 20: 7, 21: 8, 22: 9, 24: 10}


def make(e):
    """Makes all of them: contacts, melees, singles and shots of `stories.lasting` that are not what the battle shows."""
    def lasting(name, seq, change, field=None):
        # A change gives nothing back: it alters the event.
        e.event(name, seq, lambda event: change(event) and None, field, roll=LASTING.get(seq), story=stories.lasting)

    def later(name, at, field, **how):
        e.forged(name, places(at, roll=LASTING.get(at)), field, stories.lasting, **how)
    e.forged("contact-that-stands-made-anew", places(5, roll=2), "contacts", made_anew)
    e.folder.write("export-good-cast-beyond-the-rounds-of-a-turn", cast_beyond(e.rules).export(), {"ok": True, "rolls": 4})
    e.forged("cast-beyond-the-rounds-of-a-turn-for-a-captain", places(12) + places(13, roll=4), "office",
             lambda rules, forge: cast_beyond(rules, forge, ("person-3", {"captain": "Vale"})))
    make_units_of_lasting(lasting)
    make_melees_of_lasting(lasting, later)
    make_nerve_of_lasting(lasting)
    make_shots_of_lasting(lasting, later)
    make_conditions(e)


def make_units_of_lasting(lasting):
    """Singles, strengths, parts and scales."""
    lasting("single-with-more-hits", 7, lambda event: unit_of(event)["now"].update(figures=4), "figures")
    lasting("single-with-a-frontage", 7, lambda event: event["request"]["muster"].update(frontage=2), "hits")
    lasting("single-unsaid", 7, lambda event: unit_of(event).pop("single"), "single")
    lasting("muster-rounded-up-beside-its-class", 4, lambda event: [unit_of(event)[of].update(figures=3) for of in ("muster", "now")], "figures")
    lasting("frontage-in-figures", 3, lambda event: unit_of(event).update(frontage=4), "frontage")
    lasting("mustered-anew-without-its-figures", 10, lambda event: event["body"]["changed"]["after"]["muster"].update(figures=17), "figures")
    lasting("change-at-another-scale", 10, lambda event: event["body"]["changed"].update(scale=10), "scale")
    lasting("part-of-a-contact-that-stands", 16, lambda event: event["body"]["parted"]["pairs"].append(["Ford Wardens", "Banner Spears"]), "pairs")
    lasting("part-of-no-contact", 16, lambda event: event["request"]["part"].update({"from": "Vale Riders"}), "unit")
    lasting("part-for-another-reason", 16, lambda event: event["body"]["parted"].update(reason="they are tired"), "reason")
    lasting("part-by-a-captain", 16, lambda event: event.update(by="person-2", office={"captain": "Grey Banner"}), "office")
    lasting("rescaled-single", 19, lambda event: next(unit for unit in event["body"]["rescaled"]["units"] if unit[0] == "Harrow Engine").__setitem__(2, 6), "units")


def make_melees_of_lasting(lasting, later):
    """Which contacts are fought, in which melee, and which round it is."""
    lasting("rounds-this-turn", 14, lambda event: melees(event)[0].update(this_turn=2), "this_turn")
    lasting("rounds-this-turn-after-a-turn", 20, lambda event: melees(event)[0].update(this_turn=6), "this_turn")
    lasting("beyond-left-out", 17, lambda event: melees(event)[0].pop("beyond"), "beyond")
    lasting("beyond-another-number", 17, lambda event: melees(event)[0].update(beyond=4), "beyond")
    lasting("beyond-too-early", 13, lambda event: _put(melees(event), 0, "beyond", 2, "this_turn"), "beyond")
    lasting("beyond-for-a-captain", 15, lambda event: event.update(by="person-2", office={"captain": "Grey Banner"}), "office")
    lasting("width-unasked", 12, lambda event: melees(event)[0]["contacts"][0]["contact"].update(width=4), "width")
    lasting("width-lost-when-fought-again", 13, lambda event: melees(event)[0]["contacts"][0]["contact"].pop("width"), "width")
    lasting("width-unlike-the-scale", 20, lambda event: melees(event)[0]["contacts"][0]["contact"].update(width=3), "width")
    lasting("width-rounded-for-good", 24, lambda event: melees(event)[0]["contacts"][0]["contact"].update(width=4), "width")
    lasting("round-of-a-contact", 13, lambda event: melees(event)[0]["contacts"][1].update(round=2), "round")
    lasting("melees-in-one", 12, lambda event: melees(event).pop(), "melee")
    lasting("melees-in-another-order", 17, lambda event: melees(event).reverse())
    lasting("asking-side", 13, lambda event: melees(event)[0]["sides"].reverse(), "sides")
    lasting("throws-in-another-order", 13, lambda event: melees(event)[0]["contacts"][0]["strikes"].reverse(), "by")
    lasting("contact-that-stands-left-out", 13, lambda event: melees(event)[0]["contacts"].pop(0), "contacts")
    later("melee-begun-anew-without-what-stands", 13, "round", quiet={13: lambda field: field.standing.part("Ford Wardens")})
    lasting("contact-that-was-parted", 17, _fought_on, "contacts")
    lasting("figures-that-fight-twice", 13, lambda event: melees(event)[0]["contacts"][1]["strikes"][0].update(fighting=18), "fighting")
    lasting("leader-where-fewer-fight", 13, _led_elsewhere, "leader_dice")


def _put(values, place, key, value, behind):
    """Puts a key behind another."""
    values[place] = {name: one for old in values[place].items() for name, one in ([old, (key, value)] if old[0] == behind else [old])}


def _alone_outnumbered(event):
    """Of a side that is outnumbered, one unit is not."""
    test = melees(event)[0]["morale"][1]
    term = next(term for term in test["terms"] if "outnumbered" in term["cause"])
    test["terms"].remove(term)
    test["score"] -= term["by"]


def _fought_on(event):
    """A contact that was parted is fought all the same."""
    melees(event)[0]["contacts"].append({**melees(event)[0]["contacts"][0], "contact": {"striker": "Banner Spears", "struck": "Vale Foot"}})


def _led_elsewhere(event):
    """A leader's die is thrown where fewer of his unit fight."""
    first, second = melees(event)[0]["contacts"]
    first["strikes"][0]["leader_dice"], second["strikes"][0]["leader_dice"] = 0, 1


def make_nerve_of_lasting(lasting):
    """Who is tested, and for what."""
    def terms(event, melee=0, test=0):
        return melees(event)[melee]["morale"][test]["terms"]
    lasting("test-left-out", 12, lambda event: melees(event)[0]["morale"].pop(), "morale")
    lasting("test-without-a-reason", 12, lambda event: melees(event)[1]["morale"].insert(0, {**melees(event)[1]["morale"][0], "unit": "Vale Riders", "terms": [
        {"cause": "grade", "by": 0}, {"cause": "leader", "by": 0}]}))
    lasting("comrades-that-are-there", 13, lambda event: terms(event).append({"cause": "comrade", "by": 0}), "terms")
    lasting("deep-without-a-frontage", 13, lambda event: terms(event, test=2).append({"cause": "deep", "by": 0}), "terms")
    lasting("terms-in-another-order", 13, lambda event: terms(event).reverse(), "terms")
    lasting("quarters-that-are-not-lost", 12, lambda event: next(term for term in terms(event, 1) if "quarters" in term["cause"]).update(
        cause={"quarters": 3}), "quarters")
    lasting("outnumbered-by-fewer", 13, lambda event: melees(event)[0].update(presence=[8, 17]), "outnumbered")
    lasting("outnumbered-for-one-unit-alone", 13, _alone_outnumbered, "terms")


def make_shots_of_lasting(lasting, later):
    """Several units that shoot at one."""
    lasting("shot-left-out", 11, lambda event: shooting(event)["shots"].pop(), "shots")
    lasting("shot-of-another-unit", 11, lambda event: event["request"]["shoot"].update(shooters=["Harrow Bowmen", "Vale Riders"]))
    lasting("shot-twice", 11, lambda event: (event["request"]["shoot"].update(shooters=["Harrow Bowmen"] * 2), shooting(event)["shot"].update(
        shooters=["Harrow Bowmen"] * 2)))
    lasting("shot-with-another-weapon", 11, lambda event: shooting(event)["shots"][1].update(weapon="bows"), "weapon")
    lasting("moved-that-does-not-count", 11, lambda event: shooting(event)["shots"][0]["strike"]["circumstances"].pop(), "circumstances")
    lasting("moved-unasked", 11, lambda event: shooting(event)["shot"].pop("moved"), "moved")
    later("tested-twice-a-turn", 22, "morale", quiet={22: lambda field: field.unit("Grey Levies").pop("shot_at")})


def make_conditions(e):
    """Conditions and steps by hand of `stories.under_conditions` that count otherwise than they are set."""
    rolls = {10: 1, 11: 2, 14: 3, 17: 4}

    def forged(name, seq, change, field=None):
        e.event(f"condition-{name}", seq, lambda event: change(event) and None, field, roll=rolls.get(seq), story=stories.under_conditions)

    def throw(event, n):
        return melees(event)[0]["contacts"][0]["strikes"][n]

    def set_of(event, n, what):
        return next(one for one in throw(event, n)["circumstances"] if what in str(one["cause"]))
    captain = {"captain": "Grey Banner"}
    forged("set-by-a-captain", 6, lambda event: event.update(by="person-2", office=captain), "office")
    forged("of-another-setter", 6, lambda event: event["body"]["condition_set"]["condition"].update(by="person-2"), "by")
    forged("of-another-end", 7, lambda event: event["body"]["condition_set"]["condition"].update(until=2), "until")
    forged("on-nobody", 6, lambda event: [one.update(on={"unit": "Free Riders"}) for one in (event["request"]["condition"],
                                          event["body"]["condition_set"]["condition"])], "on")
    forged("made-up-with-more-dice", 9, lambda event: event["body"]["condition_set"]["condition"]["effects"].update(dice=6), "dice")
    forged("made-up-without-a-reason", 9, lambda event: (event["request"]["condition"].pop("reason"), event["body"]["condition_set"]["condition"].pop("reason")), "reason")
    forged("left-out-of-a-throw", 10, lambda event: throw(event, 1)["circumstances"].remove(set_of(event, 1, "weary")), "circumstances")
    forged("that-counts-more", 10, lambda event: set_of(event, 1, "weary")["effect"].update(step=-2), "step")
    forged("not-held-to-three", 10, lambda event: throw(event, 0)["circumstances"].remove(set_of(event, 0, "held")), "circumstances")
    forged("whose-dice-are-more", 10, lambda event: throw(event, 0).update(added_dice=4), "added_dice")
    forged("that-a-charge-is-not-forbidden-by", 10, lambda event: set_of(event, 0, "charge").pop("why_not"), "why_not")
    forged("with-steps-by-hand-of-a-captain", 10, lambda event: event.update(by="person-3", office={"captain": "Vale"}), "office")
    forged("with-steps-by-hand-that-count-again", 11, lambda event: melees(event)[0]["contacts"][0]["contact"].update(ours=2), "ours")
    forged("left-out-of-nerve", 10, lambda event: next(test for test in melees(event)[0]["morale"] if test["unit"] == "Banner Spears")["terms"].pop(), "terms")
    forged("left-out-of-shooting", 14, lambda event: shooting(event)["shots"][0]["strike"]["circumstances"].pop(0), "circumstances")
    forged("lifted-that-does-not-stand", 16, lambda event: [one.update(name="fog") for one in (event["request"]["lift"], event["body"]["condition_lifted"])], "name")
    e.forged("condition-that-ended", places(17, roll=4), None, stories.under_conditions,
             quiet={17: lambda field: field.conditions.append({"name": "dismayed", "on": {"side": "Grey Banner"}, "effects": {"strike": -1}, "by": "person-1"})})


@stories.told
def made_anew(rules, forge, take):
    """A contact that stands, and is asked with an obstacle now."""
    battle = Battle(rules, forge=forge, take=take)
    for unit, side in (("Ford Wardens", "Vale"), ("Banner Spears", "Grey Banner")):
        battle.muster(*stories.REFEREE, unit=unit, side=side, **{"class": "line foot"}, men=300, grade="guard")
    battle.throws(*stories.REFEREE, stories.melee(("Ford Wardens", "Banner Spears", {})))
    stories.stand(battle)
    # That this cannot be asked is the point.
    battle.wishing = False
    battle.throws(*stories.REFEREE, stories.melee(("Ford Wardens", "Banner Spears", {"obstacle": "struck"})))
    return battle


def cast_beyond(rules, forge=None, asker=stories.REFEREE):
    """The battle of `four_casts`, the last asked by a referee or somebody else."""
    return stories.told(lambda rules, forge, take: four_casts(rules, forge, take, asker))(rules, forge)


def four_casts(rules, forge, take, asker):
    """A melee that is cast four times in a turn, the last time asked by a referee or somebody else."""
    battle = Battle(rules, casts=True, forge=forge, take=take)
    battle.muster(*stories.REFEREE, unit="Ford Wardens", side="Vale", **{"class": "line foot"}, men=300, grade="guard")
    battle.muster(*stories.REFEREE, unit="Banner Spears", side="Grey Banner", **{"class": "line foot"}, men=300, grade="guard")
    battle.appoint("person-1", "person-2", "Grey Banner")
    battle.appoint("person-1", "person-3", "Vale")                                                      # 5
    battle.announce("person-3", {"captain": "Vale"}, stories.melee(("Ford Wardens", "Banner Spears", {"width": 1})))  # 6
    battle.cast(*stories.ORM, "grey cloth, cast 1")                                                    # 7, roll 1
    for roll in (2, 3, 4):
        asking = asker if roll == 4 else stories.REFEREE
        battle.announce(*asking, stories.again("Ford Wardens"))                                        # 8, 10, 12
        battle.cast(*stories.ORM, f"grey cloth, cast {roll}")                                          # 9, 11, 13
    return battle
