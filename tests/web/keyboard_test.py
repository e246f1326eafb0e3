"""The whole way with the keyboard alone; where one is can be seen at every step."""

import unittest

from stillroom_web import ActionChains, By, Keys, PageTest, stock

MOST_TABS = 150


class Keyboard(PageTest):
    def press(self, *keys):
        ActionChains(self.browser).send_keys(*keys).perform()

    def active(self):
        return self.browser.switch_to.active_element

    def assert_focus_is_seen(self):
        style = self.browser.execute_script("""
            const one = document.activeElement;
            const style = getComputedStyle(one);
            const box = one.getBoundingClientRect();
            return [style.outlineStyle, parseFloat(style.outlineWidth), box.width > 0 && box.height > 0 &&
                box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth, one.outerHTML.slice(0, 120)];""")
        self.assertNotEqual(style[0], "none", style[3])
        self.assertGreaterEqual(style[1], 2, style[3])
        self.assertTrue(style[2], "the focus is out of sight: " + style[3])

    def tab_to(self, selector):
        """Presses Tab until the element is reached, looking at the focus on the way."""
        for _ in range(MOST_TABS):
            self.press(Keys.TAB)
            here = self.browser.execute_script("return document.activeElement.matches(arguments[0])", selector)
            if here or self.browser.execute_script("return document.activeElement !== document.body"):
                self.assert_focus_is_seen()
            if here:
                return self.active()
        self.fail(f"{MOST_TABS} times Tab do not lead to {selector} on {self.browser.current_url}")

    def enter(self):
        """Enter on what leads to another page."""
        before = self.one("html")
        self.press(Keys.ENTER)
        self.wait_for_new_page(before)

    def test_from_the_box_to_the_stand_in_taken(self):
        self.go("/")
        self.press(Keys.TAB)
        self.assertEqual(self.active().text, "To the content")
        self.assert_focus_is_seen()
        self.press(Keys.ENTER)
        self.assertEqual(self.active().get_attribute("id"), "main")
        self.tab_to("#q")
        self.press("cetyl alc")
        self.wait(lambda: self.all("#typed:not([hidden]) li"), "names are offered")
        self.press(Keys.ARROW_DOWN)
        self.assertEqual(self.one("#q").get_attribute("aria-activedescendant"), "typed-0")
        name = self.one("#typed-0 a").text.split("\n")[0]
        self.enter()
        self.assertEqual(self.one("h1").text, name)

        self.tab_to("nav a[href='/bench']")
        self.enter()
        self.tab_to("a[href$='demo=hand-cream']")
        self.enter()
        self.tab_to("#m-6")
        self.press(Keys.SPACE)
        self.assertTrue(self.one("#m-6").is_selected())
        self.tab_to("#work button[type=submit]")
        self.enter()
        self.tab_to("#why_not")
        self.tab_to(".stand-ins > li:nth-child(2) > details > summary")
        self.press(Keys.ENTER)
        self.assertTrue(self.one(".stand-ins > li:nth-child(2) .bars").is_displayed())
        self.tab_to(".stand-ins > li:nth-child(2) form button")
        self.enter()
        self.assertIn("stands in", self.one(".said").text)

    def test_opens_a_source(self):
        self.go("/ingredient/cetyl-alcohol")
        summary = self.tab_to(".facts summary")
        self.press(Keys.ENTER)
        cite = summary.find_element(By.XPATH, "./following-sibling::*[contains(@class, 'cite')]")
        self.assertTrue(cite.is_displayed())

    def test_never_traps(self):
        """Tab leads through every page and out of it again."""
        stock(self.server)
        for path in ("/bench", "/place", "/shelf", "/compare"):
            with self.subTest(path=path):
                self.go(path)
                places = self.browser.execute_script("""
                    return [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary")]
                        .filter((one) => one.tabIndex >= 0 && one.checkVisibility && one.checkVisibility()).length;""")
                seen = set()
                for _ in range(places + 20):  # a date has three parts and a button of its own
                    self.press(Keys.TAB)
                    if self.browser.execute_script("return document.activeElement === document.body"):
                        break
                    self.assert_focus_is_seen()
                    seen.add(self.active().id)
                self.assertGreaterEqual(len(seen), places)

    def test_scrolls_a_wide_table(self):
        self.look((320, 640))
        self.go("/compare?name=cetyl-alcohol&name=cetearyl-alcohol&name=stearic-acid&name=glycerin")
        table = self.tab_to(".scroll")
        self.press(Keys.ARROW_RIGHT, Keys.ARROW_RIGHT)
        self.wait(lambda: table.get_property("scrollLeft") > 0, "the table has moved")


if __name__ == "__main__":
    unittest.main()
