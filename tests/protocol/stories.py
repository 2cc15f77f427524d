"""The battles that the samples are made of."""
import functools
import itertools

from battle import Battle, OtherwiseTold

REFEREE, ORM = ("person-1", "referee"), ("person-2", {"captain": "Grey Banner"})
MANAGER = ("person-3", "manager")


def told(story):
    """A story that is told in the first take whose dice are as it needs them, whatever the rules that ship."""
    takes = {}

    @functools.wraps(story)
    def tell(rules, forge=None):
        if rules.sha256 not in takes:
            takes[rules.sha256] = next(take for take in itertools.count() if tells(story, rules, take))
        return story(rules, forge, takes[rules.sha256])
    return tell


def tells(story, rules, take):
    """Whether the dice of a take are as a story needs them."""
    try:
        story(rules, None, take)
    except OtherwiseTold:
        return False
    return True


def melee(*contacts, cast=False):
    """A melee; each contact is a striker, a struck unit and how they meet."""
    asks = [{"striker": striker, "struck": struck, **how} for striker, struck, how in contacts]
    return {"melee": {"contacts": asks, **({"cast": True} if cast else {})}}


def shoot(shooters, target, **how):
    """A shot at short range, of one unit or of several."""
    shooters = [shooters] if isinstance(shooters, str) else shooters
    return {"shoot": {"shooters": shooters, "target": target, "range": "short", **how}}


def again(unit=None):
    """Another round of the melee of a unit, or of the latest."""
    return {"again": {"unit": unit}}


@told
def harrow(rules, forge, take):
    """Two chains, every kind of ruling but a quick one, a cast and a roll taken back."""
    battle = Battle(rules, forge=forge, take=take)
    battle.appoint("person-1", "person-2", "Grey Banner")                                              # 2
    battle.word(*REFEREE, "Ida", "the river runs cold")                                                # 3
    battle.muster(*REFEREE, unit="Ford Wardens", side="Vale", **{"class": "line foot"}, men=250, grade="seasoned",
                  frontage=8, leader="Ida")                                                            # 4
    battle.muster(*REFEREE, unit="Vale Riders", side="Vale", **{"class": "riders"}, men=160,
                  weapon="javelins")                                                                   # 5
    battle.muster(*ORM, unit="Banner Spears", side="Grey Banner", **{"class": "line foot"}, men=240,
                  grade="seasoned", spears=True, frontage=6, leader="Orm")                             # 6
    battle.muster(*ORM, unit="Grey Levies", side="Grey Banner", **{"class": "levy"}, men=330, grade="raw",
                  weapon="bows")                                                                       # 7
    battle.throws(*REFEREE, melee(("Ford Wardens", "Banner Spears", {})))                              # 8, roll 1
    battle.word(*ORM, "Orm", "grey: as ever – 1 > 0")                                                  # 9
    battle.throws(*ORM, shoot("Grey Levies", "Vale Riders"))                                           # 10, roll 2
    battle.undo(*REFEREE, "Orm named the wrong target")                                                # 11
    battle.rescale(*REFEREE, 10)                                                                       # 12
    battle.undo(*REFEREE, "the table stays at 1:20")                                                   # 13
    battle.announce(*REFEREE, melee(("Ford Wardens", "Grey Levies", {}),
                                    ("Vale Riders", "Grey Levies", {"charge": True, "facing": "flank"}),
                                    ("Vale Riders", "Banner Spears", {"charge": True, "ground": "both"}), cast=True))  # 14
    battle.cast(*ORM, "red reeds, cold hands")                                                         # 15, roll 3
    battle.word(*REFEREE, "Ida", "the river runs high")                                                # 16
    battle.throws(*REFEREE, {"throw": {"dice": [{"count": 3, "sides": 6}, {"count": 2, "sides": 20}],
                                       "purpose": "the weather"}})                                     # 17, roll 4
    battle.rescale(*REFEREE, 5)                                                                        # 18
    battle.turn(*REFEREE)                                                                              # 19
    battle.part(*REFEREE, "Vale Riders", "dusk falls on the ford")                                     # 20
    battle.change(*REFEREE, "Vale Riders", standing="shaken")                                          # 21
    battle.throws(*REFEREE, {"rally": {"unit": "Vale Riders"}})                                        # 22, roll 5
    battle.wish(lambda rally: rally["outcome"] == "steady")
    battle.announce(*REFEREE, melee(("Ford Wardens", "Banner Spears", {}), cast=True))                 # 23
    battle.undo(*REFEREE, "Ida thought better of it")                                                  # 24, roll 6
    battle.throws(*REFEREE, melee(("Ford Wardens", "Banner Spears", {"ground": "striker"})))           # 25, roll 7
    battle.close(*REFEREE)                                                                             # 26
    return battle


@told
def three_chains(rules, forge, take):
    """Ten shots, each taken back: two whole chains and the beginning of the third."""
    battle = Battle(rules, forge=forge, take=take)
    battle.muster(*REFEREE, unit="Harrow Bowmen", side="Vale", **{"class": "skirmishers"}, men=200, weapon="bows")
    battle.muster(*REFEREE, unit="Banner Guard", side="Grey Banner", **{"class": "line foot"}, men=300, grade="guard")
    battle.word(*REFEREE, "Ida", "ten shots over the ford")
    for shot in range(1, 11):
        battle.throws(*REFEREE, shoot("Harrow Bowmen", "Banner Guard"))                                # 5, 7 … 23
        battle.undo(*REFEREE, f"shot {shot} was only for practice")                                    # 6, 8 … 24
    battle.close(*REFEREE)                                                                             # 25
    return battle


@told
def with_casts(rules, forge, take):
    """Every roll against a side is cast by that side; the last is taken back to close."""
    battle = Battle(rules, casts=True, forge=forge, take=take)
    battle.muster(*REFEREE, unit="Ford Wardens", side="Vale", **{"class": "line foot"}, men=160, leader="Ida")
    battle.muster(*REFEREE, unit="Banner Spears", side="Grey Banner", **{"class": "line foot"}, men=200, spears=True)
    battle.appoint("person-1", "person-2", "Grey Banner")                                              # 4
    battle.announce(*REFEREE, melee(("Ford Wardens", "Banner Spears", {"obstacle": "struck"})))        # 5
    battle.cast(*ORM, "grey cloth, first cast")                                                        # 6, roll 1
    battle.announce(*REFEREE, melee(("Ford Wardens", "Banner Spears", {})))                            # 7
    battle.undo(*REFEREE, "what came next left no room for it")                                        # 8, roll 2
    battle.close(*REFEREE)                                                                             # 9
    return battle


@told
def closed_by_a_manager(rules, forge, take):
    """Whoever manages the server closes a battle whose referee left a roll waiting."""
    battle = Battle(rules, casts=True, forge=forge, take=take)
    battle.muster(*REFEREE, unit="Ford Wardens", side="Vale", **{"class": "line foot"}, men=160)
    battle.muster(*REFEREE, unit="Banner Spears", side="Grey Banner", **{"class": "line foot"}, men=200)
    battle.announce(*REFEREE, melee(("Ford Wardens", "Banner Spears", {})))                            # 4
    battle.undo(*MANAGER, "what came next left no room for it")                                        # 5, roll 1
    battle.close(*MANAGER)                                                                             # 6
    return battle


@told
def quick(rules, forge, take):
    """Quick rulings and plain dice, which belong to no battle."""
    battle = Battle(rules, name="Quick rulings", scale=1, sides=(), by="table", where="table", forge=forge, take=take)
    units = [{"strength": {"figures": 8}, "class": "line foot", "grade": "seasoned", "spears": True, "shaken": False, "led": True},
             {"strength": {"men": 180}, "class": "line foot", "spears": False, "shaken": True, "led": False, "frontage": 5}]
    ask = {"scale": 20, "striker": units[0], "struck": units[1], "how": {"striker": "", "struck": "", "facing": "flank"}}
    battle.throws("table", "referee", {"quick": ask})
    battle.throws("table", "referee", {"throw": {"dice": [{"count": 2, "sides": 6}, {"count": 2, "sides": 6}]}})
    return battle


def stand(battle):
    """Wishes that every contact of the latest ruling stands."""
    battle.wish(lambda melees: all(contact["stands"] for one in melees for contact in one["contacts"]))


@told
def lasting(rules, forge, take):
    """Contacts that last: separate melees in one roll, a width, a melee that the other side adds to, one
    that is fought beyond the rounds of a turn, a part; singles, and several units that shoot at one."""
    battle = Battle(rules, forge=forge, take=take)
    battle.appoint("person-1", "person-2", "Grey Banner")                                              # 2
    battle.muster(*REFEREE, unit="Ford Wardens", side="Vale", **{"class": "line foot"}, men=330, grade="guard",
                  frontage=4, leader="Ida")                                                            # 3
    battle.muster(*REFEREE, unit="Vale Foot", side="Vale", **{"class": "line foot"}, men=50,
                  grade="guard")                                                                       # 4
    battle.muster(*REFEREE, unit="Vale Riders", side="Vale", **{"class": "riders"}, men=160, grade="guard",
                  leader="Bram")                                                                       # 5
    battle.muster(*REFEREE, unit="Harrow Bowmen", side="Vale", **{"class": "skirmishers"}, men=600,
                  weapon="bows")                                                                       # 6
    battle.muster(*REFEREE, unit="Harrow Engine", side="Vale", **{"class": "levy"}, hits=3,
                  weapon="engines")                                                                    # 7
    battle.muster(*ORM, unit="Banner Spears", side="Grey Banner", **{"class": "line foot"}, men=400,
                  grade="guard", spears=True, frontage=6, leader="Orm")                                # 8
    battle.muster(*ORM, unit="Grey Levies", side="Grey Banner", **{"class": "levy"}, men=330, grade="guard")  # 9
    battle.change(*ORM, "Grey Levies", men=470)                                                        # 10
    battle.throws(*REFEREE, shoot(["Harrow Bowmen", "Harrow Engine"], "Grey Levies", moved=True))      # 11, roll 1
    battle.throws(*REFEREE, melee(("Ford Wardens", "Banner Spears", {"width": 3}),
                                  ("Vale Riders", "Grey Levies", {"charge": True, "facing": "flank"})))  # 12, roll 2
    stand(battle)
    battle.wish(lambda melees: [[test["unit"] for test in one["morale"]] for one in melees] == [["Banner Spears"], ["Grey Levies"]])
    battle.wish(lambda melees: "quarters" in str(melees[1]["morale"]))
    battle.throws(*ORM, melee(("Banner Spears", "Vale Foot", {})))                                     # 13, roll 3
    stand(battle)
    battle.wish(lambda melees: [test["unit"] for test in melees[0]["morale"]] == ["Banner Spears", "Ford Wardens", "Vale Foot"])
    battle.wish(lambda melees: str(melees).count("outnumbered") == 2)
    battle.wish(lambda melees: all(unit["lost"] for unit in melees[0]["units"] if unit["unit"] == "Ford Wardens"))
    battle.throws(*ORM, again("Banner Spears"))                                                        # 14, roll 4
    stand(battle)
    battle.throws(*REFEREE, again())                                                                   # 15, roll 5
    stand(battle)
    battle.part(*REFEREE, "Banner Spears", "the causeway gives way", "Vale Foot")                      # 16
    battle.throws(*REFEREE, melee(("Ford Wardens", "Banner Spears", {}), ("Vale Riders", "Grey Levies", {})))  # 17, roll 6
    stand(battle)
    battle.turn(*REFEREE)                                                                              # 18
    battle.rescale(*REFEREE, 40)                                                                       # 19
    battle.throws(*REFEREE, again("Ford Wardens"))                                                     # 20, roll 7
    stand(battle)
    battle.throws(*REFEREE, shoot(["Harrow Engine", "Harrow Bowmen"], "Grey Levies"))                  # 21, roll 8
    battle.wish(lambda shooting: shooting["morale"] and shooting["target"]["outcome"] == "stands")
    battle.throws(*REFEREE, shoot("Harrow Bowmen", "Grey Levies", range="long", cover="light"))        # 22, roll 9
    battle.wish(lambda shooting: shooting["target"]["lost"] * 10 >= shooting["target"]["before"]["figures"] > shooting["target"]["lost"])
    battle.rescale(*REFEREE, 20)                                                                       # 23
    # It is as wide as it was, though it was rounded while it was fought at 1:40.
    battle.throws(*REFEREE, again("Ford Wardens"))                                                     # 24, roll 10
    battle.close(*REFEREE)                                                                             # 25
    return battle


@told
def under_conditions(rules, forge, take):
    """Conditions of the rules and made up, steps by hand, and what they forbid or hold to three."""
    battle = Battle(rules, forge=forge, take=take)
    battle.appoint("person-1", "person-2", "Grey Banner")                                              # 2
    battle.muster(*REFEREE, unit="Vale Riders", side="Vale", **{"class": "riders"}, men=160, grade="guard",
                  leader="Ida")                                                                        # 3
    battle.muster(*REFEREE, unit="Harrow Bowmen", side="Vale", **{"class": "skirmishers"}, men=600,
                  weapon="bows")                                                                       # 4
    battle.muster(*ORM, unit="Banner Spears", side="Grey Banner", **{"class": "line foot"}, men=400,
                  grade="guard")                                                                       # 5
    battle.condition(*REFEREE, "weary", {"unit": "Banner Spears"})                                     # 6
    battle.condition(*REFEREE, "dismayed", {"side": "Grey Banner"}, turns=1)                           # 7
    battle.condition(*REFEREE, "soft ground", "battle")                                                # 8
    battle.condition(*REFEREE, "blessed by the mill", {"unit": "Vale Riders"}, effects={"strike": 2, "dice": 3},
                     reason="the miller keeps his word")                                               # 9
    battle.throws(*REFEREE, melee(("Vale Riders", "Banner Spears", {"charge": True, "ours": 2, "theirs": -1, "why": "downhill, through reeds"})))  # 10, roll 1
    stand(battle)
    battle.wish(lambda melees: "dismayed" in str(melees[0]["morale"]))
    battle.throws(*REFEREE, again())                                                                   # 11, roll 2
    stand(battle)
    battle.condition(*REFEREE, "rain", "battle")                                                       # 12
    battle.condition(*REFEREE, "dazzled", {"unit": "Banner Spears"}, effects={"shot": 1}, reason="the sun is low")  # 13
    battle.throws(*REFEREE, shoot("Harrow Bowmen", "Banner Spears"))                                   # 14, roll 3
    battle.turn(*REFEREE)                                                                              # 15
    battle.lift(*REFEREE, "soft ground", "battle")                                                     # 16
    battle.throws(*REFEREE, again("Vale Riders"))                                                      # 17, roll 4
    battle.close(*REFEREE)                                                                             # 18
    return battle
