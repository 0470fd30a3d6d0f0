// The live page: shows what `state` says, and again when `events` tells of another build. View, zoom, sheet, step and what
// is picked stay as they are. Words are set as text; the only markup that comes in is SVG of our own, read as XML.
"use strict";
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const at = (id) => document.getElementById(id);
  const views = new Map();
  let state = null, sheet = null, picked = null, viewer = null, drawing = null, step = null;

  const element = (name, given, ...inside) => {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(given)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  };
  const shape = (name, given) => {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(given)) made.setAttribute(key, value);
    return made;
  };

  // -- the sheet --------------------------------------------------------------------------------

  const current = () => state.sheets.find((each) => each.key === sheet) || state.sheets[0];
  const whole = (of) => ({ x: -8, y: -8, w: of.width + 16, h: of.height + 16 });
  const view = () => {
    const of = current();
    if (!views.has(of.key)) views.set(of.key, whole(of));
    return views.get(of.key);
  };
  const aim = () => {
    if (!drawing) return;
    const { x, y, w, h } = view();
    drawing.setAttribute("viewBox", `${x} ${y} ${w} ${h}`);
  };
  const zoom = (by, place) => {
    if (!drawing) return;
    const now = view(), of = current();
    const w = Math.min(Math.max(now.w * by, 10), (of.width + 16) * 4), share = w / now.w;
    const [x, y] = place || [now.x + now.w / 2, now.y + now.h / 2];
    views.set(of.key, { x: x - (x - now.x) * share, y: y - (y - now.y) * share, w, h: now.h * share });
    aim();
  };
  const shift = (across, down) => {
    const now = view();
    views.set(current().key, { ...now, x: now.x + across * now.w, y: now.y + down * now.h });
    aim();
  };
  const inside = (event) => {
    const place = new DOMPoint(event.clientX, event.clientY).matrixTransform(drawing.getScreenCTM().inverse());
    return [place.x, place.y];
  };

  const draw = () => {
    const of = current();
    sheet = of.key;
    const made = shape("svg", { class: "sheet", role: "img", "aria-label": of.key });
    made.append(shape("rect", { class: "ground", x: 0, y: 0, width: of.width, height: of.height }));
    const read = new DOMParser().parseFromString(of.svg, "image/svg+xml").documentElement;
    if (read.localName === "svg") {
      const own = document.importNode(read, true);
      own.setAttribute("width", of.width);
      own.setAttribute("height", of.height);
      for (const named of own.querySelectorAll("[id]")) named.removeAttribute("id");
      own.removeAttribute("id");
      made.append(own);
    }
    if (at("was").checked) for (const place of of.was) made.append(shape("path", { class: "was", d: place.d }));
    for (const place of of.places) {
      const hit = shape("path", { class: "hit", d: place.d });
      hit.dataset.part = place.part;
      hit.classList.toggle("changed", state.changed.includes(place.part));
      hit.classList.toggle("picked", place.part === picked);
      const title = shape("title", {});
      title.textContent = place.part;
      hit.append(title);
      made.append(hit);
    }
    drawing = made;
    aim();
    at("stage").replaceChildren(made);
    at("stage").style.setProperty("--print-width", `${of.width}mm`);
    at("stage").style.setProperty("--print-height", `${of.height}mm`);
    const file = at("file");
    file.hidden = !of.file;
    if (of.file) file.href = `build/${of.file.split("/").map(encodeURIComponent).join("/")}`;
    at("tabs").replaceChildren(...state.sheets.map((each) => {
      const tab = element("button", { type: "button", "aria-pressed": String(each.key === sheet) }, each.key);
      tab.addEventListener("click", () => { sheet = each.key; draw(); });
      return tab;
    }));
  };

  // -- what is picked ---------------------------------------------------------------------------

  const pick = (id, told = false) => {
    if (!state) return;
    picked = id !== null && state.scene.parts.some((part) => part.id === id) ? id : null;
    if (picked !== null) {
      const on = state.sheets.find((each) => each.places.some((place) => place.part === picked));
      if (on && !current().places.some((place) => place.part === picked)) sheet = on.key;
    }
    draw();
    const about = picked === null ? null : state.texts[picked];
    at("picked").textContent = picked === null ? "No part is picked" : picked;
    at("lines").replaceChildren(...(about || []).map(([number, words, of]) => {
      const place = element("span", { class: "place" }, of ? "" : String(number));
      return element("li", of ? { class: "of" } : {}, place, words);
    }));
    if (viewer && !told && viewer.state().picked !== picked) viewer.pick(picked);
  };
  const next = (by) => {
    if (!state || !state.scene.parts.length) return;
    const ids = state.scene.parts.map((part) => part.id), here = ids.indexOf(picked);
    pick(ids[here < 0 ? (by > 0 ? 0 : ids.length - 1) : (here + by + ids.length) % ids.length]);
  };

  // -- the model, step by step ------------------------------------------------------------------

  const stepped = () => {
    if (step === null) return state.scene;
    const there = new Set(state.order.slice(0, step + 1).flatMap(([, ids]) => ids));
    return { ...state.scene, parts: state.scene.parts.map((part) => there.has(part.id) ? part : { ...part, solids: [] }) };
  };
  const build = (to) => {
    if (!state) return;
    step = to === null ? null : Math.min(Math.max(to, 0), state.order.length - 1);
    if (step !== null && step < 0) step = null;
    at("step").textContent = step === null ? "all of it" : `${step + 1} of ${state.order.length}: ${state.order[step][0]}`;
    if (viewer) viewer.update(stepped());
  };

  // -- all of it --------------------------------------------------------------------------------

  const listed = (rows) => rows.flatMap(([head, words]) => [element("dt", {}, head), element("dd", {}, words)]);
  const render = (found) => {
    const first = state === null;
    at("status").textContent = found.status;
    at("status").classList.toggle("broken", found.broken);
    at("findings").replaceChildren(...found.findings.map((each) => element("li", {},
      element("span", { class: each.severity }, each.message), " ", element("span", { class: "where" }, each.where),
      ...(each.help ? [element("div", { class: "where" }, each.help)] : []))));
    if (!found.sheets) return;
    const same = state && state.number === found.number;
    state = found;
    if (same) return;
    document.title = found.title;
    at("title").textContent = found.title;
    at("said").textContent = found.said;
    at("weight").replaceChildren(...listed(found.weight));
    if (step !== null && step >= state.order.length) step = state.order.length - 1;
    if (first) {
      const root = at("model");
      root.addEventListener("pick", (event) => pick(event.detail, true));
      viewer = window.ringwrightViewer(root, stepped());
    } else {
      viewer.update(stepped());
    }
    pick(picked);
  };

  let asking = false, again = false;
  const ask = async () => {
    if (asking) { again = true; return; }
    asking = true;
    try {
      const answer = await fetch("state", { cache: "no-store" });
      if (answer.ok) render(await answer.json());
    } catch {
      lost();
    }
    asking = false;
    if (again) { again = false; ask(); }
  };
  const lost = () => {
    at("status").textContent = "`ringwright watch` has ended; what is shown is its last good build";
    at("status").classList.add("broken");
  };

  // -- the hands --------------------------------------------------------------------------------

  const stage = at("stage");
  let from = null, far = false;
  stage.addEventListener("wheel", (event) => {
    if (!drawing) return;
    event.preventDefault();
    zoom(Math.exp(event.deltaY / 500), inside(event));
  }, { passive: false });
  stage.addEventListener("pointerdown", (event) => {
    if (!drawing || event.button) return;
    from = { x: event.clientX, y: event.clientY, hit: event.target.closest(".hit") };
    far = false;
  });
  window.addEventListener("pointermove", (event) => {
    if (!from) return;
    const across = event.clientX - from.x, down = event.clientY - from.y;
    if (!far && Math.hypot(across, down) < 4) return;
    far = true;
    const scale = drawing.getScreenCTM(), now = view();
    views.set(current().key, { ...now, x: now.x - across / scale.a, y: now.y - down / scale.d });
    from.x = event.clientX;
    from.y = event.clientY;
    aim();
  });
  window.addEventListener("pointerup", () => {
    if (from && !far) pick(from.hit ? from.hit.dataset.part : null);
    from = null;
  });
  const keys = {
    ArrowLeft: () => shift(-0.1, 0), ArrowRight: () => shift(0.1, 0), ArrowUp: () => shift(0, -0.1), ArrowDown: () => shift(0, 0.1),
    "+": () => zoom(1 / 1.25), "=": () => zoom(1 / 1.25), "-": () => zoom(1.25),
    "0": () => { views.delete(current().key); aim(); },
    n: () => next(1), p: () => next(-1), Escape: () => pick(null),
  };
  stage.addEventListener("keydown", (event) => {
    const act = keys[event.key];
    if (!act || !drawing || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    act();
  });
  const click = (id, act) => at(id).addEventListener("click", () => { if (state) act(); });
  click("closer", keys["+"]);
  click("farther", keys["-"]);
  click("whole", keys["0"]);
  click("back", () => build(step === null ? state.order.length - 2 : step - 1));
  click("on", () => build(step === null ? 0 : step + 1));
  click("all", () => build(null));
  at("was").addEventListener("change", () => { if (state) draw(); });

  // A page as large as the sheet, at true size; the view comes back afterwards.
  const page = new CSSStyleSheet();
  document.adoptedStyleSheets = [page];
  window.addEventListener("beforeprint", () => {
    if (!drawing) return;
    const of = current();
    page.replaceSync(`@page { size: ${of.width}mm ${of.height}mm; margin: 0; }`);
    drawing.setAttribute("viewBox", `0 0 ${of.width} ${of.height}`);
  });
  window.addEventListener("afterprint", aim);
  click("print", () => window.print());

  const events = new EventSource("events");
  events.addEventListener("message", ask);
  events.addEventListener("error", lost);
  events.addEventListener("open", ask);
})();
