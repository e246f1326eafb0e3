"""Every page against what WCAG 2.2 AA asks and a machine can see: access.js, in light and in dark, wide and narrow."""

import os
import unittest

from stillroom_web import NARROW, WIDE, By, Keys, PageTest, pages, stock

with open(os.path.join(os.path.dirname(__file__), "access.js"), encoding="utf-8") as script:
    ACCESS = script.read()


class Access(PageTest):
    def check(self, size, dark):
        stock(self.server)
        for name, path in pages(self.server).items():
            with self.subTest(page=name):
                self.look(size, dark)
                self.go(path)
                self.browser.find_element(By.TAG_NAME, "body").send_keys(Keys.TAB)
                wrong = self.browser.execute_script(ACCESS)
                if wrong:
                    self.fail(f"{path}\n" + "\n".join(wrong))

    def test_light(self):
        self.check(WIDE, False)

    def test_dark(self):
        self.check(WIDE, True)

    def test_narrow(self):
        self.check(NARROW, False)

    def test_the_check_sees_what_is_wrong(self):
        """A check that finds nothing must be able to find something."""
        self.go("/shelf")
        self.browser.find_element(By.TAG_NAME, "body").send_keys(Keys.TAB)
        self.browser.execute_script("""
            const main = document.querySelector("main");
            const add = (tag, set) => main.append(Object.assign(document.createElement(tag), set));
            add("input", {id: "main"});
            add("h5", {textContent: "deep"});
            add("img", {src: "data:,"});
            add("p", {textContent: "pale", className: "pale"});
            const pale = main.querySelector(".pale");
            pale.style.color = "rgb(200, 200, 200)";
            const bare = document.createElement("button");
            bare.textContent = "x";
            bare.style.outline = "none";
            main.append(bare);
            main.append(document.createElementNS("http://www.w3.org/2000/svg", "svg"));
            for (let i = 0; i < 2; ++i) {
                const tiny = document.createElement("button");
                tiny.textContent = ".";
                tiny.style.cssText = "width: 8px; height: 8px; min-height: 0; padding: 0; border: 0";
                main.append(tiny);
            }
            document.documentElement.lang = "";""")
        wrong = "\n".join(self.browser.execute_script(ACCESS))
        for part in ("without a label", "the id main is there 2 times", "level 5 after", "an image without", "contrast 1.",
                     "no focus to be seen", "a drawing without", "px to press", "no language"):
            self.assertIn(part, wrong)


if __name__ == "__main__":
    unittest.main()
