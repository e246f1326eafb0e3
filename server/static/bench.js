// The bench while one types: mistakes in their lines before anything is sent, files read into the box. The page works without it.
"use strict";
(() => {
  const editor = document.getElementById("editor");
  if (!editor) return;
  const text = editor.querySelector("textarea");
  const live = document.getElementById("live");
  const kind = document.getElementById("kind");
  const file = document.getElementById("file");
  let asked = 0;
  let timer = 0;
  let known = text.value;

  const line = (tag, words, name) => {
    const element = document.createElement(tag);
    element.textContent = words;
    if (name) element.className = name;
    return element;
  };

  const putRight = (complaint, name) => {
    const lines = text.value.split("\n");
    const row = lines[complaint.line - 1] || "";
    // Columns count bytes.
    const bytes = new TextEncoder().encode(row);
    const start = new TextDecoder().decode(bytes.slice(0, complaint.column - 1)).length;
    const rest = row.slice(start);
    const length = rest.search(/[,;\t]/) < 0 ? rest.length : rest.search(/[,;\t]/);
    lines[complaint.line - 1] = row.slice(0, start) + name + rest.slice(length);
    text.value = lines.join("\n");
    text.focus();
    ask();
  };

  const showComplaints = (error) => {
    const list = document.createElement("ul");
    list.className = "complaints";
    for (const one of error.complaints || [error]) {
      const item = document.createElement("li");
      item.append(line("p", (one.line ? "line " + one.line + ": " : "") + one.what));
      if (one.expected) item.append(line("p", "Expected: " + one.expected, "note"));
      for (const name of one.nearest || []) {
        const button = line("button", name, "plain");
        button.type = "button";
        button.addEventListener("click", () => putRight(one, name));
        if (one.line && one.column) item.append(button, " ");
      }
      list.append(item);
    }
    live.replaceChildren(list);
  };

  const ask = async () => {
    const mine = ++asked;
    const formula = text.value;
    if (!formula.trim() || formula === known) return live.replaceChildren();
    try {
      const address = "/api/v1/check" + (kind.value ? "?kind=" + encodeURIComponent(kind.value) : "");
      const answer = await fetch(address, {method: "POST", headers: {"Content-Type": "text/csv"}, body: formula});
      const document_ = await answer.json();
      if (mine !== asked) return;
      if (document_.error) return showComplaints(document_.error);
      const phases = document_.phases.map((phase) => `${phase.phase} ${phase.total_pct.toFixed(2)} %`).join(", ");
      live.replaceChildren(line("p", `Reads well: ${phases}; ${document_.total_pct.toFixed(2)} % in all.`, "good"));
    } catch {
      live.replaceChildren();  // the form still works
    }
  };

  text.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, 400);
  });
  kind.addEventListener("change", () => {
    known = null;
    ask();
  });

  const take = async (picked) => {
    if (!picked || picked.size > 1 << 20) return;
    text.value = await picked.text();
    known = null;
    ask();
  };
  file.addEventListener("change", async () => {
    await take(file.files[0]);
    file.value = "";  // the text is sent, as it stands in the box
  });
  text.addEventListener("dragover", (event) => event.preventDefault());
  text.addEventListener("drop", (event) => {
    if (!event.dataTransfer.files.length) return;
    event.preventDefault();
    take(event.dataTransfer.files[0]);
  });
})();
