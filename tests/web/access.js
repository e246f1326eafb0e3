// Checks one page as it stands for what WCAG 2.2 AA asks and a machine can see. Returns what is wrong, a sentence each.
// The numbers in brackets are the success criteria.
const wrong = [];
const say = (what, element) => wrong.push(element ? `${what}: ${brief(element)}` : what);
const brief = (element) => {
  const html = element.outerHTML.replace(/\s+/g, " ");
  return html.length > 140 ? html.slice(0, 140) + "..." : html;
};
for (const details of document.querySelectorAll("details")) details.open = true;

const isShown = (element) => {
  const style = getComputedStyle(element);
  if (style.visibility === "hidden" || style.display === "none") return false;
  if (element.closest(".hidden, .skip:not(:focus)")) return false;
  const box = element.getBoundingClientRect();
  return box.width > 0 && box.height > 0;
};

// --- names -------------------------------------------------------------------------------------------------------------------------
const byIds = (ids) => ids.split(/\s+/).map((id) => document.getElementById(id)?.textContent || "").join(" ").trim();
const nameOf = (element) => {
  if (element.hasAttribute("aria-labelledby")) return byIds(element.getAttribute("aria-labelledby"));
  if (element.hasAttribute("aria-label")) return element.getAttribute("aria-label").trim();
  if (element.labels?.length) return [...element.labels].map((label) => label.textContent).join(" ").trim();
  return "";
};
for (const field of document.querySelectorAll("input:not([type=hidden], [type=submit]), select, textarea"))
  if (!nameOf(field)) say("a field without a label [1.3.1, 4.1.2]", field);
for (const control of document.querySelectorAll("a[href], button, summary"))
  if (!nameOf(control) && !control.textContent.trim()) say("a control without a name [4.1.2]", control);
for (const picture of document.querySelectorAll("img"))
  if (!picture.hasAttribute("alt")) say("an image without a text [1.1.1]", picture);
for (const drawing of document.querySelectorAll("svg")) {
  const hidden = drawing.getAttribute("aria-hidden") === "true";
  const named = drawing.getAttribute("role") === "img" && (nameOf(drawing) || drawing.querySelector("title"));
  if (!hidden && !named) say("a drawing without a text [1.1.1]", drawing);
}

// --- order -------------------------------------------------------------------------------------------------------------------------
if (!document.documentElement.lang) say("no language [3.1.1]");
if (!document.title.trim()) say("no title [2.4.2]");
const ids = new Map();
for (const element of document.querySelectorAll("[id]")) ids.set(element.id, (ids.get(element.id) || 0) + 1);
for (const [id, count] of ids) if (count > 1) say(`the id ${id} is there ${count} times [4.1.2]`);
for (const attribute of ["aria-labelledby", "aria-describedby", "aria-controls", "aria-activedescendant", "for", "form"])
  for (const element of document.querySelectorAll(`[${attribute}]`))
    for (const id of element.getAttribute(attribute).split(/\s+/))
      if (!ids.has(id)) say(`${attribute} names ${id}, which is nowhere [1.3.1]`, element);
let level = 0;
for (const heading of document.querySelectorAll("h1, h2, h3, h4, h5, h6")) {
  const next = Number(heading.tagName[1]);
  if (next > level + 1) say(`a heading of level ${next} after one of level ${level} [1.3.1]`, heading);
  if (!heading.textContent.trim()) say("an empty heading [2.4.6]", heading);
  level = next;
}
const count = (selector) => document.querySelectorAll(selector).length;
if (count("h1") !== 1) say(`${count("h1")} headings of level 1`);
if (count("main") !== 1) say(`${count("main")} main landmarks`);
if (count("body > header") !== 1) say("no banner");
if (count("body > footer") !== 1) say("no content information");
for (const landmark of document.querySelectorAll("nav, [role=region]"))
  if (!nameOf(landmark)) say("a landmark without a name", landmark);
for (const element of document.body.children)
  if (!element.matches("header, main, footer, script, .skip")) say("something outside the landmarks", element);
if (!document.querySelector("a.skip[href='#main']")) say("no way past the navigation [2.4.1]");
for (const table of document.querySelectorAll("table")) {
  if (!table.querySelector("th")) say("a table without headings [1.3.1]", table);
  for (const th of table.querySelectorAll("th")) if (!th.scope) say("a heading of a table without scope [1.3.1]", th);
}
for (const list of document.querySelectorAll("ul, ol"))
  for (const item of list.children) if (item.tagName !== "LI") say("a list that holds something else [1.3.1]", item);
for (const wide of document.querySelectorAll(".scroll"))
  if (wide.tabIndex < 0) say("a part that scrolls and cannot be reached by keyboard [2.1.1]", wide);

// --- contrast: WCAG 2.2, relative luminance and contrast ratio ---------------------------------------------------------------------
const parse = (text) => {
  const found = text.match(/^rgba?\(([\d.]+), ([\d.]+), ([\d.]+)(?:, ([\d.]+))?\)$/);
  return found ? {rgb: found.slice(1, 4).map(Number), alpha: found[4] === undefined ? 1 : Number(found[4])} : null;
};
const over = (top, below) => top.rgb.map((value, i) => value * top.alpha + below[i] * (1 - top.alpha));
const luminance = (rgb) => {
  const [r, g, b] = rgb.map((value) => {
    const share = value / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const ratio = (one, other) => {
  const [dark, light] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (light + 0.05) / (dark + 0.05);
};
const ground = (element) => {
  const layers = [];
  for (let at = element; at; at = at.parentElement) {
    const style = getComputedStyle(at);
    if (style.backgroundImage !== "none") say("text over a picture cannot be judged", at);
    const colour = parse(style.backgroundColor);
    if (colour && colour.alpha > 0) layers.push(colour);
    if (colour && colour.alpha === 1) break;
  }
  return layers.reduceRight((below, top) => over(top, below), [255, 255, 255]);
};
const svgGround = (text) => {
  const box = text.getBoundingClientRect();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const under = [...text.ownerSVGElement.querySelectorAll("rect")].filter((rect) => {
    const area = rect.getBoundingClientRect();
    return area.left <= x && x <= area.right && area.top <= y && y <= area.bottom;
  }).pop();
  return under ? over(parse(getComputedStyle(under).fill), ground(text.ownerSVGElement)) : ground(text.ownerSVGElement);
};
const seen = new Set();
const judge = (element, colour, below, style) => {
  const top = parse(colour);
  if (!top) return say(`a colour that cannot be read, ${colour}`, element);
  const size = parseFloat(style.fontSize);
  const large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);  // 18 pt, or 14 pt bold
  const found = ratio(over(top, below), below);
  const least = large ? 3 : 4.5;
  const key = `${colour} on ${below.map(Math.round)} ${large} ${element.className}`;
  if (found >= least || seen.has(key)) return;
  seen.add(key);
  say(`contrast ${found.toFixed(2)}, at least ${least} is asked [1.4.3], ${colour} on rgb(${below.map(Math.round)})`, element);
};
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walker.nextNode()) {
  const element = walker.currentNode.parentElement;
  if (!walker.currentNode.data.trim() || element.closest("script, style, option") || !isShown(element)) continue;
  const style = getComputedStyle(element);
  if (Number(style.opacity) < 1) say("see-through text cannot be judged", element);
  if (element.closest("svg")) judge(element, style.fill, svgGround(element), style);
  else judge(element, style.color, ground(element), style);
}
for (const field of document.querySelectorAll("input:not([type=hidden], [type=checkbox], [type=file]), select, textarea")) {
  if (!isShown(field)) continue;
  const style = getComputedStyle(field);
  judge(field, style.color, ground(field), style);
  if (field.placeholder) judge(field, getComputedStyle(field, "::placeholder").color, ground(field), style);
  const edge = ratio(parse(style.borderTopColor).rgb, ground(field.parentElement));
  if (edge < 3) say(`the edge of a field has contrast ${edge.toFixed(2)}, at least 3 is asked [1.4.11]`, field);
}

// --- size of what is pressed [2.5.8]: 24 by 24 px, or far enough from the next, or in a line of text -------------------------------
const least = 24;
const targets = [...document.querySelectorAll("a[href], button, summary, select, input:not([type=hidden])")].filter(isShown)
  .map((element) => ({element, box: element.getBoundingClientRect()}));
const inText = (element) => {
  if (element.tagName !== "A" && element.tagName !== "SUMMARY") return false;
  const block = element.closest("p, li, td, th, dd, figcaption, h2, h3");
  if (!block) return false;
  const copy = block.cloneNode(true);
  for (const inner of copy.querySelectorAll("a, button, summary, .count, svg, ul, ol, table")) inner.remove();
  return /\p{L}/u.test(copy.textContent);
};
const small = targets.filter(({element, box}) => {
  const label = element.labels?.[0]?.getBoundingClientRect();  // pressing the label presses the field
  const [width, height] = [Math.max(box.width, label?.width || 0), Math.max(box.height, label?.height || 0)];
  return (width < least - 0.5 || height < least - 0.5) && !inText(element);
});
const middle = (box) => [box.x + box.width / 2, box.y + box.height / 2];
for (const one of small) {
  const [x, y] = middle(one.box);
  const near = targets.find((other) => {
    if (other === one || other.element.contains(one.element) || one.element.contains(other.element)) return false;
    if (small.includes(other)) {
      const [ox, oy] = middle(other.box);
      return Math.hypot(x - ox, y - oy) < least - 0.5;
    }
    const dx = Math.max(other.box.left - x, 0, x - other.box.right);
    const dy = Math.max(other.box.top - y, 0, y - other.box.bottom);
    return Math.hypot(dx, dy) < least / 2 - 0.5;
  });
  if (near) say(`${one.box.width.toFixed(0)} x ${one.box.height.toFixed(0)} px to press, and another beside it [2.5.8]`, one.element);
}

// --- a focus that is seen [2.4.7, 1.4.11] ------------------------------------------------------------------------------------------
// A key was pressed before this script ran, so what is focused from here counts as focused by keyboard.
for (const {element} of targets.concat([...document.querySelectorAll("textarea, .scroll")].map((one) => ({element: one})))) {
  if (element.tabIndex < 0 || element.disabled || !isShown(element)) continue;
  element.focus({preventScroll: true});
  if (document.activeElement !== element) { say("cannot be focused [2.1.1]", element); continue; }
  const style = getComputedStyle(element);
  const line = parse(style.outlineColor);
  if (style.outlineStyle === "none" || parseFloat(style.outlineWidth) < 2) { say("no focus to be seen [2.4.7]", element); continue; }
  const found = ratio(line.rgb, ground(element.parentElement));
  if (found < 3) say(`the focus has contrast ${found.toFixed(2)}, at least 3 is asked [1.4.11]`, element);
}
document.activeElement.blur();
return wrong;
