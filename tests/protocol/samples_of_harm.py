"""Samples of harm from elsewhere, of nerve on demand and of reinforcements: a good battle, and what
was forged in it."""
import json

import stories
from battle import Battle
from samples_of_exports import places

REFEREE, ORM = stories.REFEREE, stories.ORM
# Where rolls are thrown in the battle below: the roll of each event.
ROLLS = {7: 1, 8: 2, 9: 3, 10: 4, 11: 5, 12: 6, 17: 7}


def harm(unit, how, why):
    """Harm to a unit."""
    return {"harm": {"unit": unit, "how": how, "reason": why}}


def dice(count, kills_on):
    """Harm by dice of the rules."""
    return {"dice": {"dice": count, "kills_on": kills_on}}


def nerve(unit, why):
    """A test of a unit's nerve."""
    return {"nerve": {"unit": unit, "reason": why}}


def mustered(rules, forge, take=0, casts=False):
    """A battle with units of both sides and a single."""
    battle = Battle(rules, casts=casts, forge=forge, take=take)
    battle.appoint("person-1", "person-2", "Grey Banner")                                              # 2
    battle.muster(*REFEREE, unit="Ford Wardens", side="Vale", **{"class": "line foot"}, men=160, grade="seasoned",
                  frontage=4, leader="Ida")                                                            # 3
    battle.muster(*ORM, unit="Banner Spears", side="Grey Banner", **{"class": "line foot"}, men=205,
                  grade="seasoned")                                                                    # 4
    battle.muster(*REFEREE, unit="Harrow Engine", side="Vale", **{"class": "levy"}, hits=3, weapon="engines")  # 5
    return battle


@stories.told
def harmed(rules, forge, take):
    """Harm by dice, in men that are thrown for, in plain men and in figures; nerve; reinforcements."""
    battle = mustered(rules, forge, take)
    # 205 men and 199 men are 10 figures each: nobody is missed, and nothing is thrown.
    battle.throws(*REFEREE, harm("Banner Spears", {"men": 6}, "a pit in the reeds"))                   # 6, no roll
    battle.throws(*REFEREE, harm("Ford Wardens", dice(6, 12), "a burning cart"))                       # 7, roll 1
    battle.wish(lambda ruled: ruled["target"]["lost"] in (1, 2, 3) and ruled["target"]["outcome"] == "stands")
    battle.throws(*REFEREE, harm("Banner Spears", {"men_thrown": [{"count": 3, "sides": 6}, {"count": 1, "sides": 8}]},
                                 "a ball of fire"))                                                    # 8, roll 2
    battle.wish(lambda ruled: ruled["target"]["lost"] == 1 and ruled["target"]["outcome"] == "stands")
    battle.throws(*REFEREE, harm("Harrow Engine", {"figures": 1}, "a beam breaks"))                    # 9, roll 3
    battle.throws(*REFEREE, melee())                                                                   # 10, roll 4
    stories.stand(battle)
    battle.throws(*REFEREE, nerve("Banner Spears", "a great beast in the reeds"))                      # 11, roll 5
    battle.wish(lambda ruled: ruled["morale"]["outcome"] == "falls_back")
    # Shaken and out of contact: they meet anew, as it is asked now.
    battle.throws(*REFEREE, melee(obstacle="struck"))                                                  # 12, roll 6
    battle.wish(lambda melees: all(unit["after"]["figures"] for unit in melees[0]["units"]))
    battle.reinforce(*REFEREE, "Banner Spears", 45, "the rear guard comes up")                         # 13
    battle.throws(*REFEREE, harm("Ford Wardens", {"men": 1000}, "the dam breaks"))                     # 14, no roll
    battle.undo(*REFEREE, "the dam holds")                                                             # 15
    battle.throws(*REFEREE, harm("Ford Wardens", {"men": 1000}, "the dam breaks after all"))           # 16, no roll
    battle.throws(*REFEREE, harm("Harrow Engine", dice(10, 1), "the mill burns"))                      # 17, roll 7
    battle.close(*REFEREE)                                                                             # 18
    return battle


def melee(**how):
    """The two units meet."""
    return stories.melee(("Ford Wardens", "Banner Spears", how))


def ruled(event):
    """The ruling of an event."""
    return next(iter(event["body"]["ruled"]["ruling"].values()))


def target(event):
    """What harm did to a unit."""
    return ruled(event)["target"]


def make(e):
    """Makes all of them."""
    def forged(name, seq, change, field=None):
        e.event(name, seq, lambda event: change(event) and None, field, roll=ROLLS.get(seq), story=harmed)
    e.folder.write("export-good-harm-and-nerve", harmed(e.rules).export(), {"ok": True, "rolls": 7})
    e.folder.write("export-good-figures-as-mustered", figures_as_mustered(e.rules).export(), {"ok": True, "rolls": 1})
    e.folder.write("export-good-harm-where-rolls-are-cast", where_rolls_are_cast(e.rules).export(), {"ok": True, "rolls": 2})
    make_harm(forged)
    make_rolls(e, forged)
    make_nerve(forged)
    make_reinforcements(forged)
    for name, what, field in (("harm-in-men-to-a-single", harm("Harrow Engine", {"men": 3}, "a beam breaks"), "how"),
                              ("harm-of-too-many-men", harm("Ford Wardens", {"men": 100001}, "the dam breaks"), "men"),
                              ("harm-of-no-figures", harm("Ford Wardens", {"figures": 0}, "a near miss"), "figures")):
        e.forged(name, places(6), field, lambda rules, forge, what=what: after(rules, forge, what))
    e.forged("harm-by-too-many-dice", places(6, roll=1), "dice", lambda rules, forge: after(
        rules, forge, harm("Ford Wardens", dice(201, 12), "a burning cart")))
    e.forged("harm-to-the-destroyed", places(7), "unit", lambda rules, forge: after(
        rules, forge, *[harm("Ford Wardens", {"men": 1000}, "the dam breaks")] * 2))
    e.forged("nerve-of-the-routing", places(7, roll=1), "unit", nerve_of_the_routing)
    e.forged("reinforced-single", places(6), "unit", reinforced_single)


def make_harm(forged):
    """Harm that does otherwise than its dice and its request say."""
    forged("harm-by-a-captain", 7, lambda event: event.update(by="person-2", office={"captain": "Grey Banner"}), "office")
    forged("harm-by-anyone", 6, lambda event: event.update(by="person-3", office="anyone"), "office")
    forged("harm-without-a-reason", 6, lambda event: (event["request"]["harm"].update(reason=""), ruled(event)["harm"].update(reason="")), "reason")
    forged("harm-for-another-reason", 6, lambda event: ruled(event)["harm"].update(reason="a spell"), "reason")
    forged("harm-that-kills-on-less", 7, lambda event: ruled(event)["harm"]["how"]["dice"].update(kills_on=5), "kills_on")
    forged("harm-unlike-its-statement", 7, lambda event: [one["how"]["dice"].update(kills_on=20) for one in (event["request"]["harm"], ruled(event)["harm"])], "request")
    forged("harm-of-fewer-figures", 7, lambda event: target(event).update(lost=target(event)["lost"] - 1), "lost")
    forged("harm-of-other-faces", 7, _another_miss, "faces")
    forged("harm-of-other-dice", 8, lambda event: ruled(event)["thrown"][0].update(sides=8), "sides")
    forged("harm-of-dice-left-out", 8, lambda event: ruled(event)["thrown"].pop(), "thrown")
    forged("harm-that-more-men-outlive", 8, lambda event: target(event)["after"].update(men=target(event)["after"]["men"] + 5), "men")
    forged("harm-that-more-figures-outlive", 8, lambda event: target(event)["after"].update(figures=10), "figures")
    forged("harm-of-more-men-than-asked", 6, lambda event: target(event)["after"].update(men=150), "men")
    forged("harm-without-dice-that-kills-more", 6, lambda event: target(event).update(lost=1, after={"men": 189, "figures": 9}), "lost")
    forged("harm-past-the-last-figure-unsaid", 17, lambda event: target(event).update(excess=0), "excess")
    forged("harm-that-somebody-outlives", 16, lambda event: target(event).update(outcome="stands", standing="steady"), "outcome")
    forged("harm-in-another-turn", 6, lambda event: ruled(event).update(turn=2), "turn")
    forged("harm-key-unknown", 6, lambda event: ruled(event).update(note=1), "note")


def _another_miss(event):
    """One die of harm that did not kill shows another face that does not."""
    faces = ruled(event)["thrown"][0]["faces"]
    place = next(place for place, face in enumerate(faces) if face < 12)
    faces[place] = faces[place] % 11 + 1


def make_rolls(e, forged):
    """A roll that is not there, or that nothing was thrown for; a test that was left out."""
    roll = json.loads(harmed(e.rules).lines[6])["roll"]
    forged("harm-without-its-roll", 7, lambda event: event.pop("roll"), "roll")
    forged("harm-without-dice-with-a-roll", 6, lambda event: event.update(roll=roll), "roll")
    forged("harm-whose-test-is-left-out", 8, lambda event: ruled(event).update(morale=None), "throws")
    # From which losses on nerve is tried the rules say: without them it shows in the number of the next roll.
    e.event("harm-whose-test-is-left-out-with-its-roll", 9, lambda event: (event.pop("roll"), ruled(event).update(morale=None))[2:],
            at=places(9, roll=3) + places(10, roll=4), story=harmed)
    forged("harm-with-a-test-of-another-score", 9, lambda event: ruled(event)["morale"].update(score=99), "score")
    forged("harm-undone-with-a-roll", 15, lambda event: event["body"]["undone"].update(roll=7), "roll")


def make_nerve(forged):
    """Nerve on demand."""
    def test(event):
        return ruled(event)["morale"]
    forged("nerve-by-a-captain", 11, lambda event: event.update(by="person-2", office={"captain": "Grey Banner"}), "office")
    forged("nerve-for-another-reason", 11, lambda event: ruled(event).update(reason="a small beast"), "reason")
    forged("nerve-of-another-unit", 11, lambda event: test(event).update(unit="Ford Wardens"), "unit")
    forged("nerve-of-another-outcome", 11, lambda event: test(event).update(outcome="stands"), "outcome")
    forged("nerve-with-a-term-of-a-melee", 11, lambda event: test(event)["terms"].append({"cause": "lost_more", "by": 0}), "terms")


def make_reinforcements(forged):
    """Reinforcements that are more, or others, than was said."""
    def of(event, which="after"):
        return event["body"]["reinforced"][which]
    forged("reinforced-with-more-men", 13, lambda event: [of(event)[key].update(men=of(event)[key]["men"] + 20) for key in ("muster", "now")], "men")
    forged("reinforced-with-more-figures", 13, lambda event: of(event)["now"].update(figures=of(event)["now"]["figures"] + 1), "figures")
    forged("reinforced-at-muster-alone", 13, lambda event: of(event).update(now=of(event, "before")["now"]), "men")
    forged("reinforced-and-steadied", 13, lambda event: of(event).update(standing="left"), "standing")
    forged("reinforced-from-another-strength", 13, lambda event: of(event, "before")["now"].update(men=1), "men")
    forged("reinforced-for-another-reason", 13, lambda event: event["body"]["reinforced"].update(reason="rumour"), "reason")
    forged("reinforced-at-another-scale", 13, lambda event: event["body"]["reinforced"].update(scale=10), "scale")
    forged("reinforced-by-a-captain", 13, lambda event: event.update(by="person-2", office={"captain": "Grey Banner"}), "office")


def where_rolls_are_cast(rules):
    """Neither harm nor nerve is thrown by one side against another: no cast is needed."""
    battle = mustered(rules, None, casts=True)
    battle.throws(*REFEREE, harm("Ford Wardens", dice(1, 20), "a spark"))
    battle.throws(*REFEREE, nerve("Banner Spears", "a great beast in the reeds"))
    return battle


def figures_as_mustered(rules):
    """Two units of 50 men muster as 3 figures and 2. When the first is gone the second still has 2, as
    it is counted again and at another scale."""
    battle = Battle(rules)
    for unit in ("Mill Foot", "Ford Foot"):
        battle.muster(*REFEREE, unit=unit, side="Vale", **{"class": "line foot"}, men=50)
    battle.throws(*REFEREE, {"throw": {"dice": [{"count": 1, "sides": 6}]}})
    battle.throws(*REFEREE, harm("Mill Foot", {"men": 50}, "the bank slides"))
    battle.change(*REFEREE, "Ford Foot", men=50, standing="shaken")
    battle.rescale(*REFEREE, 30)
    return battle


def after(rules, forge, *requests):
    """What is asked as soon as units stand on the field."""
    battle = mustered(rules, forge)
    for request in requests:
        battle.throws(*REFEREE, request)
    return battle


def nerve_of_the_routing(rules, forge):
    """Those who run have no nerve to test."""
    battle = mustered(rules, forge)
    battle.change(*REFEREE, "Banner Spears", standing="routing")
    battle.throws(*REFEREE, nerve("Banner Spears", "a great beast in the reeds"))
    return battle


def reinforced_single(rules, forge):
    """A single has no men for others to join."""
    battle = mustered(rules, forge)
    battle.reinforce(*REFEREE, "Harrow Engine", 20, "another crew")
    return battle
