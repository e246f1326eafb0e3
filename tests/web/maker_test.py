"""What a maker does: looks something up, puts a formula on the bench, finds a stand-in, takes it, prints."""

import csv
import os
import unittest
from decimal import Decimal

from stillroom_web import HAND_CREAM, By, Keys, PageTest, pages, stock


def phase_totals(text):
    """What each phase adds up to, by the lines of a formula: the balance line (q.s.) takes what is left of 100 %."""
    totals, rest = {}, None
    rows = csv.reader(line for line in text.splitlines() if line and not line.startswith("#"))
    for phase, _, percent in list(rows)[1:]:
        totals.setdefault(phase, Decimal(0))
        if percent == "q.s.":
            rest = phase
        else:
            totals[phase] += Decimal(percent)
    if rest:
        totals[rest] += 100 - sum(totals.values())
    return {phase: f"{total:.2f} %" for phase, total in totals.items()}


def demo(name):
    path = os.path.join(os.environ["STILLROOM_DATA"], "formulas", "demo", name + ".csv")
    with open(path, encoding="utf-8") as file:
        return file.read()


class Maker(PageTest):
    def bars(self, figure):
        """The table beside a pair of bars: phase -> (before, after)."""
        rows = {}
        for row in figure.find_elements(By.CSS_SELECTOR, "tbody tr"):
            cells = [cell.text for cell in row.find_elements(By.CSS_SELECTOR, "th, td")]
            rows[cells[0].split()[0]] = (cells[1], cells[2])
        return rows

    def drawn(self, drawing):
        """The widths of a bar's parts as drawn, in % of the whole."""
        widths = [float(part.get_attribute("width")) for part in drawing.find_elements(By.TAG_NAME, "rect")]
        return [100 * width / 400 for width in widths]

    def test_finds_with_a_typo_and_opens_the_card(self):
        self.go("/")
        box = self.one("#q")
        box.send_keys("ceytl alcohol", Keys.ENTER)
        self.wait(lambda: self.all(".hits"), "results are there")
        self.assertIn("cetyl alcohol", self.one(".said").text.lower())
        first = self.one(".hits h3 a")
        self.assertEqual(first.text, "cetyl alcohol")
        self.follow(first)
        self.assertEqual(self.one("h1").text, "cetyl alcohol")
        words = self.words()
        self.assertIn("CETYL ALCOHOL", words)
        self.assertIn("36653-82-4", words)  # its CAS number
        levels = self.all("section[aria-labelledby=level] svg[role=img]")
        self.assertTrue(levels, "no usage range is drawn")
        self.assertIn("%", levels[0].get_attribute("aria-label"))
        for part in ("Where it goes", "What stands in for it", "All that is known"):
            self.assertIn(part, words)

    def test_a_fact_says_how_far_to_trust_it_and_tells_its_source(self):
        self.go("/ingredient/phenoxyethanol")
        facts = self.all(".facts tr")
        self.assertGreater(len(facts), 10)
        for row in facts:
            standing = row.find_element(By.CSS_SELECTOR, "summary")
            self.assertIn(standing.text, ("published", "common practice", "estimate", "memory", "own"))
            self.assertTrue(standing.get_attribute("title"), row.text)
        source = facts[0].find_element(By.CSS_SELECTOR, ".cite")
        self.assertFalse(source.is_displayed())
        facts[0].find_element(By.CSS_SELECTOR, "summary").click()
        self.assertTrue(source.is_displayed())
        windows = self.all("section[aria-labelledby=window] svg[role=img]")
        self.assertTrue(windows, "no pH window is drawn")
        self.assertIn("pH", windows[0].get_attribute("aria-label"))

    def test_types_and_is_offered_names(self):
        self.go("/")
        self.one("#q").send_keys("glyc")
        self.wait(lambda: self.all("#typed:not([hidden]) li"), "names are offered")
        self.assertIn("glycerin", [item.text.split("\n")[0] for item in self.all("#typed a")])
        self.one("#q").send_keys(Keys.ESCAPE)
        self.wait(lambda: not self.all("#typed:not([hidden])"), "the list is gone")
        self.one("#q").clear()
        self.one("#q").send_keys("ceytl alc")
        self.wait(lambda: self.all("#typed:not([hidden]) li"), "a misspelt name is offered put right")
        self.assertEqual(self.all("#typed a")[0].text.split("\n")[0], "cetyl alcohol")

    def test_narrows_a_search_and_widens_it_again(self):
        self.go("/find?q=emulsifier")
        everything = int(self.one("#count").text.split()[0])
        self.follow(self.one("aside").find_element(By.LINK_TEXT, "vegan"))
        kept = int(self.one("#count").text.split()[0])
        self.assertLess(kept, everything)
        self.assertIn("keep=vegan", self.browser.current_url)
        self.follow(self.one(".chips a"))
        self.assertEqual(int(self.one("#count").text.split()[0]), everything)

    def test_swaps_cetyl_alcohol_in_the_hand_cream(self):
        self.go("/")
        self.follow(self.link("Allotment hand cream"))
        before = phase_totals(demo("hand-cream"))
        words = self.one("section[aria-labelledby=check] figcaption").text
        for total in before.values():
            self.assertIn(total, words)

        self.one("label[for=m-6]").click()  # the sixth line
        self.assertTrue(self.one("#m-6").is_selected())
        self.follow(self.one("#work button[type=submit]"))
        self.assertIn("cetyl alcohol", self.one("#stand-ins").text)
        best = self.one(".stand-ins > li details[open]")
        self.assertIn("% alike", best.text)
        rows = self.bars(best.find_element(By.CSS_SELECTOR, "figure.bars"))
        self.assertEqual({phase: pair[0] for phase, pair in rows.items()}, before)
        for drawing in best.find_elements(By.CSS_SELECTOR, "figure.bars svg"):
            self.assertTrue(drawing.get_attribute("aria-label").startswith("Phases "))
        name = best.find_element(By.CSS_SELECTOR, ".what").text.rsplit(" ", 2)[0]

        self.follow(best.find_element(By.XPATH, ".//button[text()='Take this one']"))
        self.assertIn("stands in", self.one(".said").text)
        lines = [label.text for label in self.all(".formula label")]
        self.assertIn(name, lines)
        self.assertNotIn("cetyl alcohol", lines)
        after = phase_totals(self.one("textarea").get_property("value"))
        self.assertEqual(after, {phase: pair[1] for phase, pair in rows.items()})
        words = self.one("section[aria-labelledby=check] figcaption").text
        for total in after.values():
            self.assertIn(total, words)

    def test_sees_the_bars_of_the_phases_change(self):
        self.go(HAND_CREAM + "&missing=cetyl-alcohol&missing=glycerin")
        figure = self.one("#stand-ins-section > figure.bars")
        rows = self.bars(figure)
        self.assertEqual({phase: pair[0] for phase, pair in rows.items()}, phase_totals(demo("hand-cream")))
        before, after = [self.drawn(one) for one in figure.find_elements(By.TAG_NAME, "svg")]
        printed = 0.005 + 0.005  # % of the whole: the table's rounding and the drawing's, two places each (400 units wide)
        for i, pair in enumerate(rows.values()):
            self.assertAlmostEqual(before[i], float(pair[0].rstrip(" %")), delta=printed)
            self.assertAlmostEqual(after[i], float(pair[1].rstrip(" %")), delta=printed)
        self.follow(self.browser.find_element(By.XPATH, "//button[text()='Take these']"))
        taken = phase_totals(self.one("textarea").get_property("value"))
        for phase, pair in rows.items():
            self.assertEqual(taken.get(phase, "0.00 %"), pair[1])

    def test_changes_stand_worst_first(self):
        order = {"stop": 0, "warn": 1, "note": 2}
        judged = 0
        for missing in ("cetyl-alcohol", "glycerin", "phenoxyethanol-ethylhexylglycerin"):
            self.go(HAND_CREAM + "&missing=" + missing)
            for changes in self.all(".stand-ins details > .changes"):
                marks = [order[item.get_attribute("class")]
                         for item in changes.find_elements(By.CSS_SELECTOR, ":scope > li")]
                self.assertEqual(marks, sorted(marks))
                judged += len(marks)
        self.assertGreater(judged, 5)

    def test_asks_why_not(self):
        self.go(HAND_CREAM + "&missing=cetyl-alcohol")
        box = self.one("#why_not")
        self.assertTrue(box.is_displayed())
        box.send_keys("glycerin")
        self.follow(self.one(".why-not button"))
        answer = self.browser.find_element(By.XPATH, "//p[@role='status'][contains(., 'Why not glycerin')]")
        self.assertGreater(len(answer.text), len("Why not glycerin?"))
        self.assertEqual(self.one("#why_not").get_attribute("value"), "glycerin")

    def test_keeps_a_claim(self):
        self.go(HAND_CREAM + "&missing=glycerin")
        self.one("details.options summary").click()
        self.one("input[name=keep][value=vegan]").click()
        self.follow(self.one("#work button[type=submit]"))
        self.assertIn("keep=vegan", self.browser.current_url)
        names = [item.text for item in self.all(".stand-ins .what")]
        self.assertTrue(names)
        self.assertFalse([name for name in names if "honey" in name], "honey is made by bees")

    def test_is_shown_mistakes_in_their_line_and_puts_one_right(self):
        self.go("/bench")
        box = self.one("textarea")
        box.send_keys("# kind: leave-on emulsion o/w\nphase,ingredient,percent\nA,Watre,q.s.\nB,Cetyl alcohol,2\n")
        self.wait(lambda: self.all("#live .complaints"), "the mistake is shown while typing")
        self.assertIn("line 3", self.one("#live").text)
        self.follow(self.one("#editor button[type=submit]"))
        self.assertIn("line 3", self.one(".complaints").text)
        self.follow(self.link("water"))
        self.assertEqual([label.text for label in self.all(".formula label")], ["water", "cetyl alcohol"])

    def test_downloads_the_formula(self):
        self.go(HAND_CREAM)
        address = self.link("Download CSV").get_attribute("href")
        text = self.browser.execute_async_script(
            "const done = arguments[1]; fetch(arguments[0]).then((answer) => answer.text()).then(done);", address)
        self.assertEqual(text, demo("hand-cream"))

    def test_makes_the_sheets_for_the_wall(self):
        self.go(HAND_CREAM)
        self.follow(self.browser.find_element(By.XPATH, "//button[text()='Sheet of stand-ins']"))
        self.assertEqual(len(self.all(".sheet tbody tr")), 13)  # the lines of the demo
        self.go(HAND_CREAM)
        self.follow(self.browser.find_element(By.XPATH, "//button[text()='Weigh sheet']"))
        grams = [Decimal(cell.text) for cell in self.all(".grams")]
        self.assertEqual(len(grams), 13)
        self.assertEqual(sum(grams), Decimal("500.0"))  # the batch asked for, to the scale's tenth of a gram

    def test_asks_where_a_stranger_goes(self):
        self.go("/place")
        self.one("#form option[value=powder]").click()
        self.one("#water_g_per_l").send_keys("5")
        self.follow(self.one("form.place button[type=submit]"))
        first = self.one("section.answer").text
        self.assertIn("find out", first)
        self.follow(self.one(".choices a"))
        self.assertIn("described=", self.browser.current_url)
        self.assertNotEqual(self.one("section.answer").text, first)

    def test_keeps_a_shelf(self):
        self.go("/shelf")
        for field, value in (("ingredient", "Glycerol"), ("amount_g", "412,5"), ("cost_per_kg", "9.80"), ("lot", "L7"),
                             ("low_below_g", "500")):
            self.one("#" + field).send_keys(value)
        self.follow(self.one("button[value=save]"))
        row = self.one(".stock tbody tr").text
        for part in ("glycerin", "412.5", "L7", "below 500 g"):
            self.assertIn(part, row)
        self.follow(self.link("change"))
        amount = self.one("#amount_g")
        amount.clear()
        amount.send_keys("800")
        self.follow(self.one("button[value=save]"))
        self.assertIn("800", self.one(".stock tbody tr").text)
        self.go("/find?q=humectant&on_shelf=1")
        self.assertEqual([link.text for link in self.all(".hits h3 a")], ["glycerin"])
        self.go("/shelf")
        self.follow(self.one("button[value=remove]"))
        self.assertIn("Nothing is on the shelf", self.words())

    def test_no_page_asks_elsewhere_or_breaks(self):
        stock(self.server)
        self.console()
        self.addresses_asked()
        for name, path in pages(self.server).items():
            with self.subTest(page=name):
                self.go(path)
                self.assertEqual(self.console(), [])
        away = [one for one in self.addresses_asked()
                if not one.startswith(self.server.address + "/") and not one.startswith(("data:", "about:"))]
        self.assertEqual(away, [])


if __name__ == "__main__":
    unittest.main()
