"""How the pages look: narrow, dark, printed, and with scripts switched off."""

import base64
import re
import unittest

from stillroom_web import HAND_CREAM, NARROW, WIDE, By, Keys, PageTest, pages, stock

A4 = (595.28, 841.89)  # points: 210 by 297 mm, ISO 216


class Narrow(PageTest):
    def test_no_page_scrolls_sideways_at_320_px(self):
        stock(self.server)
        for name, path in pages(self.server).items():
            with self.subTest(page=name):
                self.look(NARROW)
                self.go(path)
                wide = self.browser.execute_script("""
                    for (const details of document.querySelectorAll("details")) details.open = true;
                    const room = document.documentElement.clientWidth;
                    const out = [...document.querySelectorAll("main *, header *, footer *")].filter((one) =>
                        !one.closest(".scroll") && one.getBoundingClientRect().right > room + 0.5);
                    return [document.documentElement.scrollWidth, room,
                            out.slice(0, 5).map((one) => one.outerHTML.slice(0, 100))];""")
                self.assertLessEqual(wide[0], wide[1], f"{path} is {wide[0]} px wide: {wide[2]}")
                self.assertEqual(wide[1], NARROW[0])


class Dark(PageTest):
    def luminance(self, path):
        self.go(path)
        colour = self.browser.execute_script("return getComputedStyle(document.documentElement).backgroundColor")
        return sum(int(part) for part in re.findall(r"\d+", colour)[:3]) / 3

    def test_follows_the_wish_for_dark(self):
        self.look(WIDE, dark=False)
        light = self.luminance(HAND_CREAM)
        self.look(WIDE, dark=True)
        dark = self.luminance(HAND_CREAM)
        self.assertGreater(light, 200)
        self.assertLess(dark, 60)


class Printed(PageTest):
    def printed(self, path):
        """Sizes of the sheets of paper, in points."""
        self.go(path)
        answer = self.browser.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})
        pdf = base64.b64decode(answer["data"]).decode("latin-1")
        boxes = re.findall(r"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]", pdf)
        return [(float(width), float(height)) for width, height in boxes]

    def test_sheets_are_a4(self):
        for path, most in (("/bench/sheet?demo=hand-cream", 3), ("/bench/weigh?demo=hand-cream&batch=500g", 3),
                           ("/ingredient/glycerin", 6), (HAND_CREAM + "&missing=cetyl-alcohol", 4)):
            with self.subTest(path=path):
                sheets = self.printed(path)
                self.assertGreaterEqual(len(sheets), 1)
                self.assertLessEqual(len(sheets), most)
                for width, height in sheets:
                    self.assertAlmostEqual(width, A4[0], delta=1)  # whole points
                    self.assertAlmostEqual(height, A4[1], delta=1)

    def test_paper_shows_the_answer_and_not_the_controls(self):
        self.look(WIDE, media="print")
        self.go(HAND_CREAM + "&missing=cetyl-alcohol")
        self.assertTrue(self.one(".stand-ins").is_displayed())
        self.assertTrue(self.one(".formula").is_displayed())
        self.assertIn("challenge-tested", self.words())
        for control in self.all("nav, .editor, form.inline, .actions, .search, .why-not"):
            self.assertFalse(control.is_displayed(), control.get_attribute("outerHTML")[:100])
        ground = self.browser.execute_script("return getComputedStyle(document.documentElement).backgroundColor")
        self.assertEqual(ground, "rgb(255, 255, 255)")

    def test_dark_is_not_printed(self):
        self.look(WIDE, dark=True, media="print")
        self.go("/bench/weigh?demo=hand-cream&batch=500g")
        colours = self.browser.execute_script(
            "const one = getComputedStyle(document.querySelector('main')); "
            "return [getComputedStyle(document.documentElement).backgroundColor, one.color];")
        self.assertEqual(colours, ["rgb(255, 255, 255)", "rgb(0, 0, 0)"])


class WithoutScripts(PageTest):
    scripts = False

    def test_scripts_are_off(self):
        self.go("/")
        self.assertEqual(self.all("#typed"), [], "scripts run: this test tests nothing")

    def test_finds_and_reads_cards(self):
        self.go("/")
        self.one("#q").send_keys("ceytl alcohol", Keys.ENTER)
        self.wait(lambda: self.all(".hits"), "results are there")
        self.follow(self.one(".hits h3 a"))
        self.assertEqual(self.one("h1").text, "cetyl alcohol")
        self.one(".facts summary").click()
        self.assertTrue(self.one(".facts .cite").is_displayed())
        self.follow(self.link("bodying agent"))
        self.assertIn("What it does", self.words())
        self.follow(self.link("Narrow them down"))
        claims = [link for link in self.all("aside a[href*='keep=']") if link.is_displayed()]
        self.follow(claims[0])
        self.assertIn("keep=", self.browser.current_url)

    def test_works_at_the_bench_too(self):
        self.go(HAND_CREAM)
        self.one("#m-6").click()
        self.follow(self.one("#work button[type=submit]"))
        self.assertTrue(self.all(".stand-ins > li"))
        self.follow(self.browser.find_element(By.XPATH, "//button[text()='Take this one']"))
        self.assertIn("stands in", self.one(".said").text)


if __name__ == "__main__":
    unittest.main()
