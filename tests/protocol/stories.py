"""The battles that the samples are made of."""
from battle import Battle

REFEREE, ORM = ("person-1", "referee"), ("person-2", {"captain": "Grey Banner"})
MANAGER = ("person-3", "manager")


def melee(*contacts, cast=False):
    """A melee; each contact is a striker, a struck unit and how they meet."""
    asks = [{"striker": striker, "struck": struck, **how} for striker, struck, how in contacts]
    return {"melee": {"contacts": asks, **({"cast": True} if cast else {})}}


def shoot(shooter, target):
    """A shot at short range."""
    return {"shoot": {"shooter": shooter, "target": target, "range": "short"}}


def harrow(rules, forge=None):
    """Two chains, every kind of ruling but a quick one, a cast and a roll taken back."""
    battle = Battle(rules, forge=forge)
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
    battle.change(*REFEREE, "Vale Riders", "shaken", True)                                             # 20
    battle.throws(*REFEREE, {"rally": {"unit": "Vale Riders"}})                                        # 21, roll 5
    battle.announce(*REFEREE, melee(("Ford Wardens", "Banner Spears", {}), cast=True))                 # 22
    battle.undo(*REFEREE, "Ida thought better of it")                                                  # 23, roll 6
    battle.throws(*REFEREE, melee(("Ford Wardens", "Banner Spears", {"ground": "striker"})))           # 24, roll 7
    battle.close(*REFEREE)                                                                             # 25
    return battle


def three_chains(rules, forge=None):
    """Ten shots, each taken back: two whole chains and the beginning of the third."""
    battle = Battle(rules, forge=forge)
    battle.muster(*REFEREE, unit="Harrow Bowmen", side="Vale", **{"class": "skirmishers"}, men=200, weapon="bows")
    battle.muster(*REFEREE, unit="Banner Guard", side="Grey Banner", **{"class": "line foot"}, men=300, grade="guard")
    battle.word(*REFEREE, "Ida", "ten shots over the ford")
    for shot in range(1, 11):
        battle.throws(*REFEREE, shoot("Harrow Bowmen", "Banner Guard"))                                # 5, 7 … 23
        battle.undo(*REFEREE, f"shot {shot} was only for practice")                                    # 6, 8 … 24
    battle.close(*REFEREE)                                                                             # 25
    return battle


def with_casts(rules, forge=None):
    """Every roll against a side is cast by that side; the last is taken back to close."""
    battle = Battle(rules, casts=True, forge=forge)
    battle.muster(*REFEREE, unit="Ford Wardens", side="Vale", **{"class": "line foot"}, men=160, leader="Ida")
    battle.muster(*REFEREE, unit="Banner Spears", side="Grey Banner", **{"class": "line foot"}, men=200, spears=True)
    battle.appoint("person-1", "person-2", "Grey Banner")                                              # 4
    battle.announce(*REFEREE, melee(("Ford Wardens", "Banner Spears", {"obstacle": "struck"})))        # 5
    battle.cast(*ORM, "grey cloth, first cast")                                                        # 6, roll 1
    battle.announce(*REFEREE, melee(("Ford Wardens", "Banner Spears", {})))                            # 7
    battle.undo(*REFEREE, "what came next left no room for it")                                        # 8, roll 2
    battle.close(*REFEREE)                                                                             # 9
    return battle


def closed_by_a_manager(rules):
    """Whoever manages the server closes a battle whose referee left a roll waiting."""
    battle = Battle(rules, casts=True)
    battle.muster(*REFEREE, unit="Ford Wardens", side="Vale", **{"class": "line foot"}, men=160)
    battle.muster(*REFEREE, unit="Banner Spears", side="Grey Banner", **{"class": "line foot"}, men=200)
    battle.announce(*REFEREE, melee(("Ford Wardens", "Banner Spears", {})))                            # 4
    battle.undo(*MANAGER, "what came next left no room for it")                                        # 5, roll 1
    battle.close(*MANAGER)                                                                             # 6
    return battle


def quick(rules):
    """Quick rulings and plain dice, which belong to no battle."""
    battle = Battle(rules, name="Quick rulings", scale=1, sides=(), by="table", where="table")
    units = [{"strength": {"figures": 8}, "class": "line foot", "grade": "seasoned", "spears": True, "shaken": False, "led": True},
             {"strength": {"men": 180}, "class": "line foot", "spears": False, "shaken": True, "led": False, "frontage": 5}]
    ask = {"scale": 20, "striker": units[0], "struck": units[1], "how": {"striker": "", "struck": "", "facing": "flank"}}
    battle.throws("table", "referee", {"quick": ask})
    battle.throws("table", "referee", {"throw": {"dice": [{"count": 2, "sides": 6}, {"count": 2, "sides": 6}]}})
    return battle
