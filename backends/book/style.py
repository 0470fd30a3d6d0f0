"""How the page of a book looks, and what keeps its ticks."""

STYLE = """\
:root { color-scheme: light dark; --ink: #111; --paper: #fff; --faint: #666; --rule: #bbb; --lit: #fff3c4; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #eee; --paper: #161616; --faint: #aaa; --rule: #555; --lit: #4a4020; }
}
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 62rem; padding: 1rem 1.2rem 4rem; color: var(--ink); background: var(--paper);
  font: 1rem/1.45 system-ui, sans-serif; }
h1 { margin: 0.5rem 0 0; font-size: 1.7rem; overflow-wrap: anywhere; }
h2 { margin: 2.2rem 0 0.6rem; padding-bottom: 0.2rem; font-size: 1.35rem; border-bottom: 2px solid var(--ink); }
h3 { margin: 1.4rem 0 0.4rem; font-size: 1.1rem; }
h4 { margin: 0 0 0.3rem; font-size: 1.05rem; }
header p { margin: 0; color: var(--faint); }
nav ul { display: flex; flex-wrap: wrap; gap: 0.2rem 1.2rem; margin: 0.8rem 0 0; padding: 0; list-style: none; }
a { color: inherit; }
dl { display: grid; grid-template-columns: minmax(6rem, max-content) 1fr; gap: 0.35rem 1rem; }
dt { font-weight: 600; }
dd { margin: 0; overflow-wrap: anywhere; }
.wide { overflow-x: auto; }
table { width: 100%; border-collapse: collapse; font-size: 0.92rem; }
th { text-align: left; border-bottom: 2px solid var(--ink); padding: 0.2rem 0.5rem; }
td { vertical-align: top; border-bottom: 1px solid var(--rule); padding: 0.3rem 0.5rem; overflow-wrap: anywhere; }
td.figure { text-align: right; white-space: nowrap; }
[data-pick] { padding: 0; border: 0; background: none; color: inherit; font: inherit; text-align: left;
  text-decoration: underline dotted; cursor: pointer; overflow-wrap: anywhere; }
input[type="number"] { width: 5rem; font: inherit; }
input[type="checkbox"] { width: 1.1rem; height: 1.1rem; }
.drawn { max-width: 100%; height: auto; fill: none; stroke: currentColor; stroke-linejoin: round; }
.drawn text { fill: currentColor; stroke: none; }
.step { display: flex; flex-wrap: wrap; gap: 1rem; justify-content: space-between; padding: 0.8rem 0;
  border-bottom: 1px solid var(--rule); }
.step > div { flex: 1 1 24rem; min-width: 0; }
.step ul { margin: 0.2rem 0 0.5rem; padding-left: 1.2rem; }
.step p { margin: 0.2rem 0; }
@media print { nav { display: none; } body { max-width: none; } .step, tr { break-inside: avoid; } }
"""

KEEPING = """\
"use strict";
(() => {
  const book = document.body.dataset.book;
  const read = (key) => { try { return localStorage.getItem(key); } catch { return null; } };
  const write = (key, value) => { try { localStorage.setItem(key, value); } catch { /* kept nowhere */ } };
  for (const field of document.querySelectorAll("[data-keep]")) {
    const key = `${book}: ${field.dataset.keep}`;
    const ticks = field.type === "checkbox";
    const kept = read(key);
    if (kept !== null) { if (ticks) field.checked = kept === "yes"; else field.value = kept; }
    field.addEventListener("change", () => write(key, ticks ? (field.checked ? "yes" : "no") : field.value));
  }
  const model = document.querySelector(".viewer");
  for (const button of document.querySelectorAll("[data-pick]")) {
    button.title = "show it in the model";
    button.addEventListener("click", () => {
      model.viewer.pick(button.dataset.pick);
      model.scrollIntoView({ block: "start" });
    });
  }
})();
"""
