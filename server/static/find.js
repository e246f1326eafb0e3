// As-you-type under the search box: a list of links, moved through with the arrow keys. The page works without it.
"use strict";
(() => {
  const box = document.getElementById("q");
  if (!box) return;
  const list = document.createElement("ul");
  list.id = "typed";
  list.className = "typed";
  list.hidden = true;
  list.setAttribute("role", "listbox");
  list.setAttribute("aria-label", "Suggestions");
  box.closest(".row").after(list);
  box.setAttribute("role", "combobox");
  box.setAttribute("aria-controls", "typed");
  box.setAttribute("aria-expanded", "false");
  box.setAttribute("aria-autocomplete", "list");

  let asked = 0;
  let chosen = -1;
  let timer = 0;

  const hide = () => {
    list.hidden = true;
    chosen = -1;
    box.setAttribute("aria-expanded", "false");
    box.removeAttribute("aria-activedescendant");
  };

  const mark = (next) => {
    const items = list.children;
    if (!items.length) return;
    if (chosen >= 0) items[chosen].setAttribute("aria-selected", "false");
    chosen = (next + items.length + 1) % (items.length + 1);
    if (chosen === items.length) chosen = -1;
    if (chosen < 0) return box.removeAttribute("aria-activedescendant");
    items[chosen].setAttribute("aria-selected", "true");
    items[chosen].scrollIntoView({block: "nearest"});
    box.setAttribute("aria-activedescendant", items[chosen].id);
  };

  const show = (results) => {
    list.replaceChildren(...results.filter((one) => one.id).map((one, index) => {
      const item = document.createElement("li");
      item.id = "typed-" + index;
      item.setAttribute("role", "option");
      item.setAttribute("aria-selected", "false");
      const link = document.createElement("a");
      link.href = "/" + (one.type === "function" ? "function" : "ingredient") + "/" + encodeURIComponent(one.id);
      link.tabIndex = -1;
      link.textContent = one.name;
      const small = document.createElement("span");
      small.textContent = one.type === "function" ? "function" : one.inci;
      link.append(small);
      item.append(link);
      return item;
    }));
    chosen = -1;
    list.hidden = list.children.length === 0;
    box.setAttribute("aria-expanded", String(!list.hidden));
  };

  const ask = async () => {
    const words = box.value.trim();
    const mine = ++asked;
    if (words.length < 2) return hide();
    const results = async (how) => {
      const answer = await fetch("/api/v1/find?" + how + "&q=" + encodeURIComponent(words));
      return (await answer.json()).results || [];
    };
    try {
      let found = await results("typing=true&limit=8");
      // No name begins like that: perhaps a letter slipped, which only the full search looks into.
      if (!found.length && words.length > 3 && mine === asked) found = await results("limit=5");
      if (mine === asked && document.activeElement === box) show(found);
    } catch {
      hide();  // the form still works
    }
  };

  box.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, 80);
  });
  box.addEventListener("keydown", (event) => {
    if (list.hidden) return;
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      mark(event.key === "ArrowDown" ? chosen + 1 : chosen < 0 ? list.children.length - 1 : chosen - 1);
    } else if (event.key === "Enter" && chosen >= 0) {
      event.preventDefault();
      list.children[chosen].firstChild.click();
    } else if (event.key === "Escape") {
      hide();
    }
  });
  box.addEventListener("blur", () => setTimeout(hide, 150));
})();
