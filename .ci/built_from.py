"""Holds what the program is built from to deny.toml, offline: licences, bans and sources.

It reads cargo's own metadata, so that nothing has to be installed for it; hosted CI runs the whole
tool that deny.toml is written for, with its advisories.
"""

import json
import re
import subprocess
import sys
import tomllib

with open("deny.toml", "rb") as file:
    RULES = tomllib.load(file)
ALLOWED = set(RULES["licenses"]["allow"])
CRATES_IO = "registry+https://github.com/rust-lang/crates.io-index"


def allowed(expression):
    """Whether an SPDX expression can be met by the allowed licences alone."""
    terms = []
    exception = False
    for token in re.findall(r"\(|\)|[A-Za-z0-9.+-]+", expression.replace("/", " OR ")):
        if token in "()":
            terms.append(token)
        elif token in ("OR", "AND"):
            terms.append(token.lower())
        elif token == "WITH":
            exception = True
        elif exception:
            exception = False
        else:
            terms.append(str(token in ALLOWED))
    return eval(" ".join(terms))  # nothing but True, False, and, or and brackets


def version(text):
    return tuple(int(part) for part in re.findall(r"\d+", text)[:3])


def banned(package):
    """The reason why a package must not be built, if there is one."""
    for rule in RULES["bans"]["deny"]:
        name, _, below = rule["crate"].partition(":<")
        if package["name"] == name and (not below or version(package["version"]) < version(below)):
            return rule["reason"]
    return None


def main():
    command = ["cargo", "metadata", "--offline", "--locked", "--format-version", "1"]
    packages = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)["packages"]
    wrong = []
    for package in packages:
        name = f"{package['name']} {package['version']}"
        if not package["license"] or not allowed(package["license"]):
            wrong.append(f"{name}: the licence {package['license']} is not in deny.toml")
        if package["source"] not in (None, CRATES_IO):
            wrong.append(f"{name}: comes from {package['source']}")
        reason = banned(package)
        if reason:
            wrong.append(f"{name}: {reason}")
    print(f"{len(packages)} packages held to deny.toml")
    print("\n".join(wrong), end="\n" if wrong else "")
    return 1 if wrong or len(packages) < 100 else 0


sys.exit(main())
