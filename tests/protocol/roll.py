"""The public roll by docs/checking.md: chains, statements, faces, receipts.

Written from that text alone, with the standard library; it shares no code with drumhead.
"""
import hashlib
import hmac

SECRETS = 32  # The secret of chain k is the bytes 32k, 32k + 1 … 32k + 31.


def sha256(data):
    """The SHA-256 of bytes, or of a text in UTF-8, in hexadecimal."""
    return hashlib.sha256(data.encode() if isinstance(data, str) else data).hexdigest()


class Chain:
    """A chain of `length` links; `number` 0 is the one of the protocol's test values."""

    def __init__(self, number, length):
        link = bytes((SECRETS * number + place) % 256 for place in range(SECRETS))
        self.links = [link]
        for _ in range(length):
            self.links.insert(0, hashlib.sha256(self.links[0]).digest())

    def link(self, number):
        """Link `number` in hexadecimal; link 0 is the anchor."""
        return self.links[number].hex()

    @property
    def anchor(self):
        """Link 0."""
        return self.link(0)


def words(key, message):
    """The endless stream of 32-bit words of one throw."""
    for counter in range(2**32):
        block = hmac.digest(key, message + counter.to_bytes(4, "big"), "sha256")
        for place in range(0, 32, 4):
            yield int.from_bytes(block[place:place + 4], "big")


def faces(link, statement, label, dice, sides):
    """The faces of `dice` dice of `sides` sides that are thrown under `label`."""
    stream = words(bytes.fromhex(link), statement.encode() + label.encode() + b"\n")
    even = 2**32 - 2**32 % sides
    found = []
    while len(found) < dice:
        word = next(stream)
        if word < even:
            found.append(word % sides + 1)
    return found


def statement_lines(battle, asked, request, cast, taken_back):
    """The lines of the statement of a battle's next roll, as pairs of a start and what follows."""
    chain, position = battle.chain_in_use()
    lines = [("drumhead", "roll 1"), ("battle", battle.id), ("anchor", chain.anchor), ("roll", str(battle.rolls + 1)),
             ("asked", asked)]
    lines += [("word", f"{name}: {text}") for _, name, text in battle.words]
    if position == battle.length:
        lines.append(("next", battle.anchors[0]))
    lines += [("rules", f"{battle.rules.name} {battle.rules.sha256}"), ("record", battle.head)]
    if cast is not None:
        lines.append(("cast", cast))
    lines.append(("request", request))
    if taken_back:
        lines.append(("taken", "back"))
    return lines


class Roll:
    """One roll as it is thrown: it gives faces and becomes a receipt."""

    def __init__(self, number, anchor, link, statement, relabel=None):
        self.relabel = relabel or (lambda purpose: purpose)
        self.receipt = {"protocol": 1, "anchor": anchor, "roll": number, "link": link, "statement": statement,
                        "throws": []}

    def throw(self, purpose, dice, sides):
        """Throws `dice` dice of `sides` sides for a purpose; a throw of none leaves no trace."""
        if dice == 0:
            return []
        taken = {one["for"] for one in self.receipt["throws"]}
        purpose = self.relabel(purpose)
        label, count = purpose, 1
        while label in taken:
            count += 1
            label = f"{purpose} ({count})"
        thrown = faces(self.receipt["link"], self.receipt["statement"], label, dice, sides)
        self.receipt["throws"].append({"for": label, "sides": sides, "faces": thrown})
        return thrown
