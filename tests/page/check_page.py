#!/usr/bin/env python3
"""Drives docs/check.html in a real Chromium and holds its verdicts against what is expected.

    python3 tests/page/check_page.py FOLDER ... [--screenshots FOLDER]

Each folder holds pairs of files: NAME.jsonl, what a player puts into the page, and
NAME.expect.json, what the page must find:

    {"ok": true, "rolls": 6, "says": "All 6 rolls hold."}
    {"ok": false, "at": ["roll 7", "event 12"], "field": "faces"}

"rolls", "says", "at" and "field" may be left out.  Any one place of "at" will do: the page names
the roll, the event and the line where it found the flaw.  The last line is "N passed, N failed".

Needs Chromium with its driver (Debian: chromium, chromium-driver) and requirements.txt.
"""
import argparse
import base64
import json
import pathlib
import sys
import tempfile

from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

PAGE = pathlib.Path(__file__).resolve().parents[2] / "docs" / "check.html"
SWITCHES = ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-dev-shm-usage",
            "--disable-background-networking", "--disable-component-update", "--disable-sync"]

# Whatever goes wrong unseen in the page is collected from its first line on.
WATCH = """
  window.seen = [];
  addEventListener("error", (event) => seen.push(event.message));
  addEventListener("unhandledrejection", (event) => seen.push(String(event.reason)));
  document.addEventListener("securitypolicyviolation", (event) => seen.push(event.blockedURI));
"""

# Waits for the verdict of the run that `start` begins, and returns all of it.
# "nothing" waits for a run that was begun in another way, after the last verdict was cleared.
AWAIT = """
  const [start, ...values] = arguments, done = values.pop();
  const verdict = document.getElementById("verdict");
  // A run that something else began may be over by now, and counts.
  const before = start === "nothing" ? undefined : verdict.dataset.run;
  const look = () => {
    if (verdict.dataset.run === undefined || verdict.dataset.run === before) return setTimeout(look, 2);
    done({...verdict.dataset, sentence: verdict.textContent, details: document.getElementById("details").innerText});
  };
  const starts = {
    paste: ([text]) => {
      document.getElementById("text").value = text;
      document.getElementById("check").click();
    },
    drop: ([text]) => {
      const carried = new DataTransfer();
      carried.items.add(new File([text], "dropped.jsonl"));
      document.body.dispatchEvent(new DragEvent("drop", {dataTransfer: carried, bubbles: true, cancelable: true}));
    },
    nothing: () => {},
  };
  starts[start](values);
  look();
"""

# Every visible text must stand out from its ground by 4.5 to 1 (WCAG 2.1, 1.4.3, level AA).
CONTRAST = """
  const parts = (colour) => colour.match(/[0-9.]+/g).map(Number);
  const light = (colour) => {
    const [r, g, b] = parts(colour).map((part) => {
      part /= 255;
      return part <= 0.03928 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (element) => {
    for (let at = element; at; at = at.parentElement) {
      const colour = getComputedStyle(at).backgroundColor;
      if ((parts(colour)[3] ?? 1) > 0) return colour;
    }
    return "rgb(255, 255, 255)";
  };
  let least = 21, where = "", counted = 0;
  for (const element of document.querySelectorAll("body *")) {
    const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.data.trim() !== "");
    if (!own || element.getClientRects().length === 0) continue;
    const pair = [light(getComputedStyle(element).color), light(ground(element))].sort((a, b) => b - a);
    const ratio = (pair[0] + 0.05) / (pair[1] + 0.05);
    counted += 1;
    if (ratio < least) [least, where] = [ratio, element.tagName + " " + element.className];
  }
  return {least, where, counted};
"""

UNFOLD = "for (const one of document.querySelectorAll('details')) one.open = "


class Tally:
    """Counts what passed and tells what failed."""

    def __init__(self):
        self.passed = self.failed = 0

    def take(self, name, problems):
        """Counts one check; `problems` is empty if it passed."""
        if problems:
            self.failed += 1
            print(f"FAILED {name}: {'; '.join(problems)}")
        else:
            self.passed += 1

    def that(self, name, condition, found=""):
        """Counts one check that passes if `condition` holds."""
        self.take(name, [] if condition else [f"found {found!r}"])


class Page:
    """The page in one browser, which serves every check."""

    def __init__(self, chromium, chromedriver, profile):
        options = webdriver.ChromeOptions()
        options.binary_location = chromium
        for switch in [*SWITCHES, f"--user-data-dir={profile}"]:
            options.add_argument(switch)
        service = webdriver.ChromeService(chromedriver)
        self.driver = webdriver.Chrome(options=options, service=service)
        self.driver.set_script_timeout(120)
        self.driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": WATCH})
        self.driver.get(PAGE.as_uri())

    def start(self, how, *values):
        """Begins a check and returns its verdict."""
        return self.driver.execute_async_script(AWAIT, how, *values)

    def choose(self, path):
        """Gives a file to the file field and returns the verdict."""
        self.clear()
        self.driver.find_element(By.ID, "file").send_keys(str(path.resolve()))
        return self.start("nothing")

    def press(self, key):
        """Presses a key, wherever the focus is."""
        webdriver.ActionChains(self.driver).send_keys(key).perform()

    def clear(self):
        """Clears the last verdict."""
        self.script("delete verdict.dataset.run")

    def look(self, width, scheme):
        """Sets the width in CSS pixels and the colour scheme."""
        metrics = {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": width < 600}
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
        features = [{"name": "prefers-color-scheme", "value": scheme}]
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": features})

    def script(self, text):
        """Runs a script in the page."""
        return self.driver.execute_script(text)


def problems(verdict, expect):
    """What in a verdict is not as expected."""
    found = []
    if verdict["ok"] != ("true" if expect["ok"] else "false"):
        found.append(f"ok is {verdict['ok']}")
    if not verdict["sentence"].strip().endswith("."):
        found.append("there is no sentence")
    places = {verdict["place"], *(f"{key} {verdict[key]}" for key in ("roll", "event", "line"))}
    if expect.get("at") and not places & set(expect["at"]):
        found.append(f"it names {sorted(places)} instead of {expect['at']}")
    if "field" in expect and verdict["field"] != expect["field"]:
        found.append(f"it names the field {verdict['field']} instead of {expect['field']}")
    if "rolls" in expect and verdict["rolls"] != str(expect["rolls"]):
        found.append(f"it counts {verdict['rolls']} rolls instead of {expect['rolls']}")
    said = verdict["sentence"] + "\n" + verdict["details"]
    if expect.get("says", "") not in said:
        found.append(f"it does not say {expect['says']!r}")
    return found + ([f"it said: {verdict['sentence']}"] if found else [])


def check_file(page, path, tally, thoroughly):
    """Checks one file: pasted, and also chosen and dropped if `thoroughly`."""
    try:
        expect = json.loads(path.with_name(path.stem + ".expect.json").read_text("utf-8"))
        if not isinstance(expect["ok"], bool):
            raise ValueError("ok is neither true nor false")
    except (OSError, ValueError, KeyError, TypeError) as error:
        return tally.take(path, [f"what is expected cannot be read: {error}"])
    data = path.read_bytes()
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return tally.take(f"{path} (chosen)", problems(page.choose(path), expect))
    # A field for text makes one line break of CR and LF, so what was pasted holds no CR any more.
    if "\r" in text:
        return tally.take(f"{path} (chosen)", problems(page.choose(path), expect))
    tally.take(f"{path} (pasted)", problems(page.start("paste", text), expect))
    if thoroughly:
        tally.take(f"{path} (chosen)", problems(page.choose(path), expect))
        tally.take(f"{path} (dropped)", problems(page.start("drop", text), expect))


def check_values(page, tally):
    """The page's own test of the protocol's values, which also the Rust tests and the text hold."""
    results = page.driver.execute_async_script("selfTest().then(arguments[0])")
    tally.that("all test values are tried", len(results) == 10, len(results))
    for result in results:
        tally.that(f"test value {result['name']}", result["ok"], result["found"])
    page.clear()
    page.driver.find_element(By.ID, "self-test").click()
    said = page.start("nothing")["sentence"]
    tally.that("the button tells of the test values", said.startswith("This page gives all 10"), said)


def check_keyboard(page, text, tally):
    """A check by keyboard alone: from the text on to the button, and Enter."""
    page.clear()
    field = page.driver.find_element(By.ID, "text")
    page.driver.execute_script("arguments[0].value = arguments[1]", field, text)
    page.driver.execute_script("arguments[0].focus()", field)
    for _ in range(3):
        page.press(Keys.TAB)
    at = page.script("return document.activeElement.id")
    tally.that("Tab leads from the text to the button", at == "check", at)
    page.press(Keys.ENTER)
    verdict = page.start("nothing")
    tally.that("Enter on the button checks", verdict["ok"] == "true", verdict)


def check_record_values(page, text, tally):
    """Record values from the chat are looked for in an export."""
    head = page.start("paste", text)["head"]
    posted = page.driver.find_element(By.ID, "posted")
    for value, ok in [(head[:16], "true"), (f"record {head[:16]}", "true"), (head, "true"),
                      ("0123456789abcdef", "false"), ("hello", "false")]:
        posted.clear()
        posted.send_keys(value)
        verdict = page.start("paste", text)
        tally.that(f"record value {value}", verdict["ok"] == ok, verdict["sentence"])
    posted.clear()


def check_names(page, tally):
    """Every field has a name that a screen reader can say, and the verdict announces itself."""
    for element in page.driver.find_elements(By.CSS_SELECTOR, "textarea, input, button"):
        if element.is_displayed():
            tally.that("a field has a name", element.accessible_name != "", element.get_attribute("id"))
    role = page.driver.find_element(By.ID, "verdict").aria_role
    tally.that("the verdict is a status", role == "status", role)


def check_looks(page, kind, text, tally, screenshots):
    """Width and contrast with one input, on a phone and a desk, in both colour schemes."""
    page.start("paste", text)
    for width in (360, 1200):
        for scheme in ("light", "dark"):
            page.look(width, scheme)
            name = f"{kind}-{width}-{scheme}"
            if screenshots:
                shoot(page, width, screenshots / f"{name}.png")
            page.script(UNFOLD + "true")
            wide = page.script("return document.documentElement.scrollWidth")
            tally.that(f"{name} fits its width", wide <= width, wide)
            found = page.script(CONTRAST)
            tally.that(f"{name} has contrast", found["least"] >= 4.5 and found["counted"] > 15, found)
            page.script(UNFOLD + "false")


def shoot(page, width, path):
    """Saves a picture of the whole page."""
    height = min(1600, page.script("return document.documentElement.scrollHeight"))
    clip = {"x": 0, "y": 0, "width": width, "height": height, "scale": 1}
    asked = {"clip": clip, "captureBeyondViewport": True}
    picture = page.driver.execute_cdp_cmd("Page.captureScreenshot", asked)
    path.write_bytes(base64.b64decode(picture["data"]))


def first(files, ok, kind):
    """The first file that holds (or does not), of the kind that begins with that key."""
    for path in files:
        expected = path.with_name(path.stem + ".expect.json")
        data = path.read_bytes()
        if expected.exists() and data.startswith(b'{"%s"' % kind.encode()):
            expect = json.loads(expected.read_text("utf-8"))
            if expect.get("ok") is ok and expect.get("rolls") != 0:
                return path
    return None


def run(page, folders, tally, screenshots):
    """All checks."""
    files = []
    for folder in folders:
        inside = sorted(folder.glob("*.jsonl"))
        tally.that(f"{folder} holds input", inside)
        for place, path in enumerate(inside):
            check_file(page, path, tally, thoroughly=place < 3)
        files += inside
    kinds = {"receipts": "protocol", "export": "drumhead_export"}
    samples = {f"{'good' if ok else 'bad'}-{name}": first(files, ok, kind)
               for name, kind in kinds.items() for ok in (True, False)}
    samples = {name: path for name, path in samples.items() if path}
    tally.that("there is input to look at", samples)
    check_values(page, tally)
    check_names(page, tally)
    for name, path in samples.items():
        check_looks(page, name, path.read_text("utf-8"), tally, screenshots)
        if name.startswith("good"):
            check_keyboard(page, path.read_text("utf-8"), tally)
        if name == "good-export":
            check_record_values(page, path.read_text("utf-8"), tally)
    tally.that("nothing went wrong unseen", page.script("return seen") == [], page.script("return seen"))
    title = page.script("return document.title + document.images.length")
    tally.that("no input became markup", title == "Check the rolls of a battle0", title)


def main():
    """Reads the arguments, runs all checks and tells how many passed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folders", nargs="*", type=pathlib.Path)
    parser.add_argument("--screenshots", type=pathlib.Path, help="save pictures of the page here")
    parser.add_argument("--chromium", default="/usr/bin/chromium")
    parser.add_argument("--chromedriver", default="/usr/bin/chromedriver")
    options = parser.parse_args()
    if options.screenshots:
        options.screenshots.mkdir(parents=True, exist_ok=True)
    tally = Tally()
    tally.that("a folder is given", options.folders)
    if options.folders:
        with tempfile.TemporaryDirectory() as profile:
            page = Page(options.chromium, options.chromedriver, profile)
            try:
                run(page, options.folders, tally, options.screenshots)
            finally:
                page.driver.quit()
    print(f"{tally.passed} passed, {tally.failed} failed")
    sys.exit(1 if tally.failed else 0)


if __name__ == "__main__":
    main()
