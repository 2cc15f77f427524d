"""Holds the list of what the program is built from, as CycloneDX, to what cargo says: every crate is
there in its version, and each has a licence and a place where it comes from.

    python3 .ci/listed.py FILE.cdx.json CRATES      CRATES has lines such as “serde v1.0.229”.
"""
import json
import sys

with open(sys.argv[1], encoding="utf-8") as file:
    LIST = json.load(file)
with open(sys.argv[2], encoding="utf-8") as file:
    CRATES = {line.strip() for line in file if line.strip()}

ITSELF = LIST["metadata"]["component"]
PARTS = LIST["components"]
listed = {f"{part['name']} v{part['version']}" for part in [ITSELF, *PARTS]}
wrong = [f"{crate} is not listed" for crate in sorted(CRATES - listed)]
wrong += [f"{part['name']} has no licence" for part in PARTS if not part.get("licenses")]
wrong += [f"{part['name']} has no purl" for part in PARTS if not part.get("purl")]
if LIST["bomFormat"] != "CycloneDX" or ITSELF["name"] != "drumhead":
    wrong.append("it is no CycloneDX list of drumhead")
print(f"{len(PARTS)} parts listed, {len(CRATES)} crates built")
print("\n".join(wrong), end="\n" if wrong else "")
sys.exit(1 if wrong or len(CRATES) < 100 else 0)
