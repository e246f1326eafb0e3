"""A server of its own and a browser for each test of the pages.

Environment: STILLROOM_SERVER and STILLROOM_INDEX, the two programs; STILLROOM_DATA, the folder of the data;
STILLROOM_WEB_BASE, where the base is built (kept between runs: the indexer leaves a base that is current alone).
"""

import atexit
import json
import os
import shutil
import socket
import subprocess
import tempfile
import time
import unittest
import urllib.request

try:
    from selenium import webdriver
    from selenium.webdriver.chrome.options import Options
    from selenium.webdriver.chrome.service import Service
    from selenium.webdriver.common.action_chains import ActionChains  # noqa: F401 (for the tests)
    from selenium.webdriver.common.by import By
    from selenium.webdriver.common.keys import Keys  # noqa: F401 (for the tests)
    from selenium.webdriver.support.ui import WebDriverWait
except ImportError:
    raise unittest.SkipTest("web tests skipped: python3-selenium is not installed")

CHROMIUM = shutil.which("chromium")
CHROMEDRIVER = shutil.which("chromedriver")
if not CHROMIUM or not CHROMEDRIVER:
    raise unittest.SkipTest("web tests skipped: chromium or chromium-driver is not installed")

PATIENCE = 15  # s, until a page has to be there
WIDE = (1280, 900)
NARROW = (320, 640)


def _needed(name):
    value = os.environ.get(name)
    if not value:
        raise RuntimeError(f"{name} is not set: run these tests with ctest -L web")
    return value


_base = None


def base():
    """The folder of the base, built once."""
    global _base
    if _base is None:
        folder = os.environ.get("STILLROOM_WEB_BASE")
        if not folder:
            folder = tempfile.mkdtemp(prefix="stillroom-web-base-")
            atexit.register(shutil.rmtree, folder, ignore_errors=True)
        built = subprocess.run([_needed("STILLROOM_INDEX"), "--data", _needed("STILLROOM_DATA"), "--base", folder],
                               capture_output=True, text=True)
        if built.returncode != 0:
            raise RuntimeError("the base was not built:\n" + built.stdout + built.stderr)
        _base = folder
    return _base


class Server:
    """stillroom-server on a free port, with an empty shelf."""

    def __init__(self):
        self.folder = tempfile.mkdtemp(prefix="stillroom-web-")
        self.log = open(os.path.join(self.folder, "log"), "w+")
        for _ in range(5):  # another program may take the port between our asking and our using it
            with socket.socket() as probe:
                probe.bind(("127.0.0.1", 0))
                self.port = probe.getsockname()[1]
            self.process = subprocess.Popen(
                [_needed("STILLROOM_SERVER"), "--port", str(self.port), "--base", base(), "--shelf",
                 os.path.join(self.folder, "shelf.db")], stdout=self.log, stderr=self.log)
            if self._answers():
                self.address = f"http://localhost:{self.port}"
                return
        said = self.said()
        self.stop()
        raise RuntimeError("stillroom-server did not start:\n" + said)

    def _answers(self):
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until and self.process.poll() is None:
            try:
                urllib.request.urlopen(f"http://localhost:{self.port}/api/v1/health", timeout=2).read()
                return True
            except OSError:
                time.sleep(0.05)
        return False

    def said(self):
        self.log.flush()
        self.log.seek(0)
        return self.log.read()

    def stop(self):
        if self.process.poll() is None:
            self.process.terminate()
            try:
                self.process.wait(10)
            except subprocess.TimeoutExpired:
                self.process.kill()
        code = self.process.wait()
        self.log.close()
        shutil.rmtree(self.folder, ignore_errors=True)
        return code

    def json(self, path):
        with urllib.request.urlopen(self.address + path, timeout=PATIENCE) as answer:
            return json.load(answer)


def new_browser(scripts=True):
    options = Options()
    options.binary_location = CHROMIUM
    for flag in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu", "--no-first-run",
                 "--disable-background-networking", "--disable-component-update", "--disable-sync",
                 "--disable-smooth-scrolling", "--hide-scrollbars", "--disable-default-apps", "--disable-extensions", "--window-size=1280,900"):
        options.add_argument(flag)
    if not scripts:
        options.add_experimental_option("prefs", {"profile.managed_default_content_settings.javascript": 2})
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    browser = webdriver.Chrome(service=Service(CHROMEDRIVER), options=options)
    browser.set_page_load_timeout(PATIENCE)
    browser.set_script_timeout(PATIENCE)
    return browser


_browsers = {}


def shared_browser(scripts=True):
    """One browser for all tests: starting it takes longer than most of them."""
    if scripts not in _browsers:
        _browsers[scripts] = new_browser(scripts)
        atexit.register(_browsers[scripts].quit)
    return _browsers[scripts]


class PageTest(unittest.TestCase):
    """A test with a server of its own."""

    scripts = True

    def setUp(self):
        self.server = Server()
        self.addCleanup(self._stop)
        self.browser = shared_browser(self.scripts)
        self.look()

    def _stop(self):
        self.browser.get("about:blank")
        code = self.server.stop()
        self.assertEqual(code, 0, "stillroom-server did not end well when asked to stop")

    def look(self, size=WIDE, dark=False, media=""):
        """How the next pages are seen."""
        self.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride",
                                     {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": False})
        self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {
            "media": media, "features": [{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}]})

    def go(self, path):
        self.browser.get(self.server.address + path)

    def one(self, selector):
        found = self.browser.find_elements(By.CSS_SELECTOR, selector)
        self.assertTrue(found, f"no {selector} on {self.browser.current_url}\n{self.words()[:600]}")
        return found[0]

    def all(self, selector):
        return self.browser.find_elements(By.CSS_SELECTOR, selector)

    def link(self, words):
        found = self.browser.find_elements(By.LINK_TEXT, words)
        self.assertTrue(found, f"no link '{words}' on {self.browser.current_url}\n{self.words()[:600]}")
        return found[0]

    def words(self):
        return self.browser.find_element(By.TAG_NAME, "body").text

    def wait(self, condition, what):
        WebDriverWait(self.browser, PATIENCE, 0.05).until(
            lambda _: condition(), f"waited in vain until {what}; {self.browser.current_url}")

    def follow(self, element):
        """Clicks what leads to another page, and waits for that page."""
        before = self.browser.find_element(By.TAG_NAME, "html")
        element.click()
        self.wait_for_new_page(before)

    def wait_for_new_page(self, before):
        def gone():
            try:
                before.is_enabled()
                return False
            except Exception:  # whatever chromedriver calls a node of a page that has gone
                return self.browser.execute_script("return document.readyState") == "complete"
        self.wait(gone, "the next page is there")

    def console(self):
        """Mistakes that the browser reports, other than answers of status 4xx."""
        return [entry["message"] for entry in self.browser.get_log("browser")
                if entry["level"] == "SEVERE" and "the server responded with a status of 4" not in entry["message"]]

    def addresses_asked(self):
        """Every address that the browser has asked for since the last call."""
        asked = []
        for entry in self.browser.get_log("performance"):
            message = json.loads(entry["message"])["message"]
            if message["method"] == "Network.requestWillBeSent":
                asked.append(message["params"]["request"]["url"])
        return asked


HAND_CREAM = "/bench?demo=hand-cream"


def pages(server):
    """Every page, in the states that differ."""
    taken = server.json("/bench.json?demo=hand-cream&missing=cetyl-alcohol")["swap"]["stand_ins"][0]["formula"]
    quoted = urllib.request.quote
    wrong = quoted("# kind: leave-on emulsion o/w\nphase,ingredient,percent\nA,Watre,60\nA,Glycerin,x\n")
    return {
        "front": "/",
        "find": "/find?q=humectant",
        "find corrected": "/find?q=ceytl+alcohol",
        "find filtered": "/find?q=emulsifier&keep=vegan",
        "find nothing": "/find?q=zzzzqqqq",
        "ingredient": "/ingredient/cetyl-alcohol",
        "ingredient with limits": "/ingredient/phenoxyethanol",
        "function": "/function/humectant",
        "bench empty": "/bench",
        "bench": HAND_CREAM,
        "bench, one missing": HAND_CREAM + "&missing=cetyl-alcohol",
        "bench, why not": HAND_CREAM + "&missing=cetyl-alcohol&why_not=glycerin",
        "bench, two missing": HAND_CREAM + "&missing=cetyl-alcohol&missing=glycerin",
        "bench, taken": f"/bench?formula={quoted(taken)}&took=cetearyl+alcohol&instead=cetyl+alcohol",
        "bench, mistakes": "/bench?formula=" + wrong,
        "place": "/place",
        "place answered": "/place?name=ferulic+acid&kind=leave-on/water&level=0.5",
        "place, a stranger": "/place?form=powder&water_g_per_l=5",
        "place, no such": "/place?name=unobtainium+dust",
        "compare": "/compare?name=cetyl-alcohol&name=cetearyl-alcohol&name=stearic-acid",
        "shelf": "/shelf",
        "sheet": "/bench/sheet?demo=hand-cream",
        "weigh sheet": "/bench/weigh?demo=hand-cream&batch=500g&scale=0.1g",
        "no such place": "/nowhere",
    }


def stock(server):
    """Three jars, one of them nearly empty."""
    body = ("ingredient,amount_g,cost_per_kg,lot,opened,best_before,low_below_g,note\n"
            "cetearyl alcohol,400,9.5,A12,2026-05-01,2031-05-01,50,\n"
            "glycerin,30,4.2,G7,2026-02-01,,50,vegetable\n"
            "squalane,120,38,S1,,,,\n").encode()
    request = urllib.request.Request(server.address + "/api/v1/shelf", body, {"Content-Type": "text/csv"})
    urllib.request.urlopen(request, timeout=PATIENCE).read()
