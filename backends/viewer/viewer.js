// The model in 3-D: turn, zoom, explode, pick a part and see its flat. No network, no other script.
// ringwrightViewer(root, scene) shows a scene (see scene.py) in an element and returns what a page may ask of it.
"use strict";
(() => {
  const VIEWS = { iso: [45, Math.atan(Math.SQRT1_2) * 180 / Math.PI], side: [90, 0], top: [90, 90], front: [0, 0] };
  const MATERIALS = {
    foamboard: [0.93, 0.93, 0.9], foam: [0.72, 0.84, 0.92], card: [0.74, 0.76, 0.78], paper: [0.95, 0.94, 0.88],
    balsa: [0.9, 0.79, 0.58], ply: [0.8, 0.62, 0.4], film: [0.75, 0.85, 0.9], strip: [0.62, 0.5, 0.36],
  };
  const KEY = [
    ["cut", "cut through"], ["far", "to the far paper"], ["score", "bend"], ["peel", "foam off"],
    ["groove", "groove"], ["mark", "mark"],
  ];
  const KEYS = "Arrow keys turn, with Shift they move; + and − zoom; E and W explode and draw together; N and P pick the next and"
    + " the previous part; 1 to 4 are the views; 0 begins anew; Escape lets go.";
  const SVG = "http://www.w3.org/2000/svg";

  const VERTEX = `#version 300 es
    uniform vec3 right, up, eye, shift, middle; uniform vec2 scale, pan; uniform float deep;
    in vec3 at; out vec3 seen;
    void main() {
      vec3 p = at + shift - middle;
      seen = vec3(dot(p, right), dot(p, up), dot(p, eye));
      gl_Position = vec4(seen.xy * scale + pan, -seen.z * deep, 1.0);
    }`;
  const FRAGMENT = `#version 300 es
    precision highp float;
    uniform vec3 paint; uniform int plain; in vec3 seen; out vec4 shown;
    void main() {
      if (plain == 1) { shown = vec4(paint, 1.0); return; }
      vec3 n = normalize(cross(dFdx(seen), dFdy(seen)));
      if (n.z < 0.0) n = -n;
      float light = 0.52 + 0.38 * max(0.0, dot(n, normalize(vec3(-0.45, 0.75, 0.6)))) + 0.14 * n.z;
      shown = vec4(paint * light, 1.0);
    }`;

  function numbers(text, wide) {
    const raw = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
    return wide ? new Uint32Array(raw.buffer) : new Uint16Array(raw.buffer);
  }

  function element(name, given = {}, ...inside) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(given)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  }

  function drawn(name, given, ...inside) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(given)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  }

  function program(gl) {
    const made = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(made, shader);
    }
    gl.linkProgram(made);
    if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made));
    return made;
  }

  function colour(text) {
    const hex = /^#(..)(..)(..)$/.exec(text.trim());
    return hex ? hex.slice(1).map((pair) => parseInt(pair, 16) / 255) : [0.5, 0.5, 0.5];
  }

  function ringwrightViewer(root, first) {
    const still = root.querySelector(".still");
    const canvas = element("canvas", { tabindex: "0", role: "application", "aria-label": "The model in 3-D. " + KEYS });
    const gl = canvas.getContext("webgl2", { antialias: true, preserveDrawingBuffer: true });
    const stage = element("div", { class: "stage" });
    const said = element("p", { class: "said", role: "status", "aria-live": "polite" });
    const explode = element("input", { type: "range", min: "0", max: "100", value: "0", class: "explode" });
    const marked = element("input", { type: "checkbox", class: "marked" });
    const alone = element("input", { type: "checkbox", class: "alone" });
    const choice = element("select", { "aria-label": "Part" });
    const picture = element("div", { class: "flat" });
    marked.checked = true;
    let scene, solids = [], marks = [], picked = -1, waiting = false;
    let [yaw, pitch] = VIEWS.iso, zoom = 1, pan = [0, 0], centre = [0, 0, 0], reach = 1, size = [1, 1, 1], fit = [1, 1], draws = 0;

    // -- what is shown --------------------------------------------------------------------------

    function load(next) {
      const kept = scene ? (picked >= 0 ? scene.parts[picked].id : "") : null;
      scene = next;
      for (const solid of solids) for (const name of ["at", "faces", "edges"]) gl.deleteBuffer(solid[name]);
      solids = [];
      const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
      scene.parts.forEach((part, number) => part.solids.forEach((solid) => {
        const at = Float32Array.from(numbers(solid.at, false), (value, k) => scene.origin[k % 3] + value * scene.step);
        const least = [Infinity, Infinity, Infinity], most = [-Infinity, -Infinity, -Infinity];
        for (let k = 0; k < at.length; k++) {
          least[k % 3] = Math.min(least[k % 3], at[k]);
          most[k % 3] = Math.max(most[k % 3], at[k]);
        }
        for (let k = 0; k < 3; k++) {
          low[k] = Math.min(low[k], least[k]);
          high[k] = Math.max(high[k], most[k]);
        }
        const middle = least.map((value, k) => (value + most[k]) / 2);
        const faces = numbers(solid.faces, solid.wide), edges = numbers(solid.edges, solid.wide);
        solids.push({ part: number, middle, count: faces.length, lines: edges.length, wide: solid.wide,
          ...(gl ? { at: buffer(gl.ARRAY_BUFFER, at), faces: buffer(gl.ELEMENT_ARRAY_BUFFER, faces),
            edges: buffer(gl.ELEMENT_ARRAY_BUFFER, edges) } : {}) });
      }));
      if (solids.length) {
        centre = low.map((value, k) => (value + high[k]) / 2);
        size = low.map((value, k) => high[k] - value);
        reach = Math.hypot(...size) / 2 || 1;
      }
      choice.replaceChildren(element("option", { value: "-1" }, "no part picked"));
      scene.parts.forEach((part, number) => choice.append(element("option", { value: String(number) }, part.label)));
      for (const mark of marks) mark.at.remove();
      marks = [];
      if (scene.balance) mark("balance", scene.balance, "centre of gravity");
      for (const load of scene.loads) mark("load", load.at, load.name);
      if (kept === null) framed();
      pick(scene.parts.findIndex((part) => part.id === kept));
    }

    function buffer(target, data) {
      const made = gl.createBuffer();
      gl.bindBuffer(target, made);
      gl.bufferData(target, data, gl.STATIC_DRAW);
      return made;
    }

    function mark(sort, at, name) {
      const sign = drawn("svg", { width: "16", height: "16", viewBox: "-8 -8 16 16", "aria-hidden": "true" });
      if (sort === "balance") {
        sign.append(
          drawn("circle", { r: "7", fill: "#ffffff", stroke: "#000000" }),
          drawn("path", { d: "M0 0H7A7 7 0 0 1 0 7ZM0 0H-7A7 7 0 0 1 0 -7Z", fill: "#000000" }));
      } else {
        sign.append(drawn("path", { d: "M-5 0H5M0 -5V5", stroke: "var(--key)", "stroke-width": "2" }));
      }
      const made = element("div", { class: "mark " + sort }, sign, element("span", {}, name));
      stage.append(made);
      marks.push({ at: made, place: at, sort });
    }

    // -- drawing --------------------------------------------------------------------------------

    function axes() {
      const y = yaw * Math.PI / 180, p = pitch * Math.PI / 180;
      const eye = [-Math.cos(p) * Math.cos(y), -Math.cos(p) * Math.sin(y), Math.sin(p)];
      const right = [Math.sin(y), -Math.cos(y), 0];
      const up = [eye[1] * right[2] - eye[2] * right[1], eye[2] * right[0] - eye[0] * right[2], eye[0] * right[1] - eye[1] * right[0]];
      return { right, up, eye };
    }

    function scale() {
      const { width, height } = canvas;
      const each = zoom * 0.88 * Math.min(width / fit[0], height / fit[1]) / (1 + 0.8 * apartBy());
      return [2 * each / width, 2 * each / height];
    }

    function apartBy() {
      return explode.value / 100 * 1.1;
    }

    function shift(solid) {
      const by = apartBy();
      return solid.middle.map((value, k) => (value - centre[k]) * by);
    }

    function draw() {
      waiting = false;
      draws += 1;
      const style = getComputedStyle(root);
      const dense = window.devicePixelRatio || 1;
      const width = Math.max(1, Math.round(canvas.clientWidth * dense)), height = Math.max(1, Math.round(canvas.clientHeight * dense));
      if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height });
      if (gl) paint(style);
      const { right, up } = axes(), [sx, sy] = scale();
      for (const one of marks) {
        const p = one.place.map((value, k) => value - centre[k]);
        const x = dot(p, right) * sx + pan[0], y = dot(p, up) * sy + pan[1];
        one.at.hidden = one.sort === "load" && !marked.checked;
        one.at.style.transform = `translate(${(x + 1) / 2 * canvas.clientWidth}px, ${(1 - y) / 2 * canvas.clientHeight}px)`;
      }
    }

    function dot(a, b) {
      return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    }

    function paint(style) {
      const ground = colour(style.getPropertyValue("--ground"));
      gl.clearColor(...ground, 1);
      pass((solid) => {
        const part = scene.parts[solid.part];
        return solid.part === picked ? colour(style.getPropertyValue("--picked")) : MATERIALS[part.kind] || MATERIALS.card;
      }, colour(style.getPropertyValue("--edge")));
    }

    function pass(painted, edge) {
      const at = (name) => gl.getUniformLocation(shader, name);
      gl.viewport(0, 0, canvas.width, canvas.height);
      gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      gl.useProgram(shader);
      for (const [name, value] of Object.entries(axes())) gl.uniform3fv(at(name), value);
      gl.uniform3fv(at("middle"), centre);
      gl.uniform2fv(at("scale"), scale());
      gl.uniform2fv(at("pan"), pan);
      gl.uniform1f(at("deep"), 1 / (reach * 6));
      for (const solid of solids) {
        if (alone.checked && picked >= 0 && solid.part !== picked) continue;
        const kind = solid.wide ? gl.UNSIGNED_INT : gl.UNSIGNED_SHORT;
        gl.uniform3fv(at("shift"), shift(solid));
        gl.bindBuffer(gl.ARRAY_BUFFER, solid.at);
        gl.enableVertexAttribArray(place);
        gl.vertexAttribPointer(place, 3, gl.FLOAT, false, 0, 0);
        gl.uniform3fv(at("paint"), painted(solid));
        gl.uniform1i(at("plain"), edge ? 0 : 1);
        gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, solid.faces);
        gl.drawElements(gl.TRIANGLES, solid.count, kind, 0);
        if (!edge) continue;
        gl.uniform3fv(at("paint"), edge);
        gl.uniform1i(at("plain"), 1);
        gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, solid.edges);
        gl.drawElements(gl.LINES, solid.lines, kind, 0);
      }
    }

    function later() {
      if (!waiting) {
        waiting = true;
        requestAnimationFrame(draw);
      }
    }

    // -- picking --------------------------------------------------------------------------------

    function under(x, y) {
      const box = canvas.getBoundingClientRect();
      const target = gl.createFramebuffer(), seen = gl.createRenderbuffer(), depth = gl.createRenderbuffer();
      gl.bindFramebuffer(gl.FRAMEBUFFER, target);
      for (const [held, format, where] of [[seen, gl.RGBA8, gl.COLOR_ATTACHMENT0], [depth, gl.DEPTH_COMPONENT16, gl.DEPTH_ATTACHMENT]]) {
        gl.bindRenderbuffer(gl.RENDERBUFFER, held);
        gl.renderbufferStorage(gl.RENDERBUFFER, format, canvas.width, canvas.height);
        gl.framebufferRenderbuffer(gl.FRAMEBUFFER, where, gl.RENDERBUFFER, held);
      }
      gl.clearColor(0, 0, 0, 0);
      pass((solid) => [((solid.part + 1) & 255) / 255, ((solid.part + 1) >> 8 & 255) / 255, 0], null);
      const found = new Uint8Array(4), dense = canvas.width / canvas.clientWidth;
      gl.readPixels(Math.floor((x - box.left) * dense), canvas.height - 1 - Math.floor((y - box.top) * dense), 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, found);
      gl.bindFramebuffer(gl.FRAMEBUFFER, null);
      gl.deleteFramebuffer(target);
      gl.deleteRenderbuffer(seen);
      gl.deleteRenderbuffer(depth);
      return found[0] + 256 * found[1] - 1;
    }

    function pick(number) {
      picked = scene.parts[number] ? number : -1;
      choice.value = String(picked);
      const part = scene.parts[picked];
      said.textContent = part ? `${part.label} picked` : "no part picked";
      picture.replaceChildren(...(part ? flat(part) : summary()));
      root.dispatchEvent(new CustomEvent("pick", { detail: part ? part.id : null }));
      later();
    }

    function next(way) {
      const count = scene.parts.length;
      if (count) pick(picked < 0 ? (way > 0 ? 0 : count - 1) : (picked + way + count) % count);
    }

    function summary() {
      const facts = [["parts", String(scene.parts.length)], ...scene.facts];
      return [element("h3", {}, scene.title), list(facts), element("p", {}, "Pick a part to see its flat and its lines.")];
    }

    function list(facts) {
      return element("dl", {}, ...facts.flatMap(([name, value]) => [element("dt", {}, name), element("dd", {}, value)]));
    }

    function flat(part) {
      const [left, top, width, height] = part.flat.box;
      const edge = 0.03 * Math.max(width, height) + 1;
      const sheet = drawn("svg", { class: "sheet", role: "img", "aria-label": `${part.label}, laid flat`,
        viewBox: [left - edge, top - edge, width + 2 * edge, height + 2 * edge].join(" ") });
      for (const [name, data] of Object.entries(part.flat.lines)) sheet.append(drawn("path", { class: "sheet-" + name, d: data }));
      const used = KEY.filter(([name]) => part.flat.lines[name]).map(([name, words]) => element("li", {},
        drawn("svg", { class: "sheet", viewBox: "0 0 18 8", "aria-hidden": "true" }, drawn("path", { class: "sheet-" + name, d: "M1 1H17V7H1Z" })), words));
      return [element("h3", {}, part.label), sheet, element("ul", { class: "key" }, ...used), list(part.facts)];
    }

    // -- hands ----------------------------------------------------------------------------------

    function turn(byYaw, byPitch) {
      yaw = (yaw + byYaw) % 360;
      pitch = Math.max(-90, Math.min(90, pitch + byPitch));
      later();
    }

    function move(x, y) {
      pan = [pan[0] + x, pan[1] + y];
      later();
    }

    function nearer(times) {
      zoom = Math.max(0.2, Math.min(60, zoom * times));
      later();
    }

    function look(name) {
      [yaw, pitch] = VIEWS[name];
      zoom = 1;
      pan = [0, 0];
      framed();
      later();
    }

    // Width and height of the box round the model in this view: what fills the stage.
    function framed() {
      const { right, up } = axes();
      fit = [right, up].map((axis) => dot(axis.map(Math.abs), size) || 1);
    }

    function spread(by) {
      explode.value = String(Number(explode.value) + by);
      later();
    }

    function key(event) {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const arrow = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
      const plain = { "+": () => nearer(1.2), "=": () => nearer(1.2), "-": () => nearer(1 / 1.2), "−": () => nearer(1 / 1.2),
        e: () => spread(10), w: () => spread(-10), n: () => next(1), p: () => next(-1), 1: () => look("iso"), 2: () => look("side"),
        3: () => look("top"), 4: () => look("front"), Escape: () => pick(-1),
        0: () => { explode.value = "0"; alone.checked = false; look("iso"); } }[event.key.length > 1 ? event.key : event.key.toLowerCase()];
      if (arrow) {
        if (event.shiftKey) move(0.06 * arrow[0], 0.06 * arrow[1]);
        else turn(-7.5 * arrow[0], -7.5 * arrow[1]);
      } else if (plain) {
        plain();
      } else {
        return;
      }
      event.preventDefault();
    }

    const held = new Map();
    let far = 0, still_held = false;
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      held.set(event.pointerId, [event.clientX, event.clientY]);
      still_held = held.size === 1;
      far = apart();
    });
    canvas.addEventListener("pointermove", (event) => {
      const before = held.get(event.pointerId);
      if (!before) return;
      const by = [event.clientX - before[0], event.clientY - before[1]];
      if (still_held && Math.hypot(...by) < 3) return;
      still_held = false;
      held.set(event.pointerId, [event.clientX, event.clientY]);
      const across = [2 * by[0] / canvas.clientWidth, -2 * by[1] / canvas.clientHeight];
      if (held.size > 1) {
        const now = apart();
        if (far && now) nearer(now / far);
        far = now;
        move(across[0] / 2, across[1] / 2);
      } else if (event.shiftKey || event.buttons > 1) {
        move(...across);
      } else {
        turn(-0.4 * by[0], 0.4 * by[1]);
      }
    });
    for (const end of ["pointerup", "pointercancel"]) {
      canvas.addEventListener(end, (event) => {
        if (end === "pointerup" && still_held && held.size === 1 && gl) pick(under(event.clientX, event.clientY));
        held.delete(event.pointerId);
        still_held = false;
        far = apart();
      });
    }
    function apart() {
      const [a, b] = held.values();
      return b ? Math.hypot(a[0] - b[0], a[1] - b[1]) : 0;
    }
    canvas.addEventListener("wheel", (event) => {
      event.preventDefault();
      nearer(Math.exp(-event.deltaY * 0.0015));
    }, { passive: false });
    canvas.addEventListener("contextmenu", (event) => event.preventDefault());
    canvas.addEventListener("keydown", key);
    choice.addEventListener("change", () => pick(Number(choice.value)));
    for (const input of [explode, marked, alone]) input.addEventListener("input", later);

    // -- the page -------------------------------------------------------------------------------

    const button = (words, act) => {
      const made = element("button", { type: "button" }, words);
      made.addEventListener("click", act);
      return made;
    };
    const views = element("span", { role: "group", "aria-label": "Views" },
      ...[["iso", "Isometric"], ["side", "Side"], ["top", "Top"], ["front", "Front"]].map(([name, words]) => button(words, () => look(name))));
    const bar = element("div", { class: "bar" }, views, element("label", {}, "Explode", explode),
      element("label", {}, alone, "picked part alone"), element("label", {}, marked, "loads"));
    const side = element("div", { class: "side" },
      element("div", { class: "choose" }, choice, button("Previous", () => next(-1)), button("Next", () => next(1))), picture);
    const help = element("p", { class: "help" }, "Drag to turn, wheel or pinch to zoom, click a part to see its flat. " + KEYS);
    let shader, place;
    if (gl) {
      if (still) still.remove();
      stage.append(canvas);
      shader = program(gl);
      place = gl.getAttribLocation(shader, "at");
      gl.enable(gl.DEPTH_TEST);
      gl.depthFunc(gl.LEQUAL);
      gl.enable(gl.POLYGON_OFFSET_FILL);
      gl.polygonOffset(1, 1);
    } else {
      stage.append(...(still ? [still] : [element("p", {}, "This browser shows no 3-D.")]));
      bar.hidden = help.hidden = true;
    }
    root.append(stage, bar, help, side, said);
    load(first);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", later);
    if (gl) new ResizeObserver(later).observe(canvas);
    return {
      update: load,
      pick: (id) => pick(scene.parts.findIndex((part) => part.id === id)),
      look,
      state: () => ({ yaw, pitch, zoom, pan, exploded: Number(explode.value), picked: picked < 0 ? null : scene.parts[picked].id,
        triangles: solids.reduce((sum, solid) => sum + solid.count / 3, 0), draws, gl: Boolean(gl) }),
    };
  }

  window.ringwrightViewer = ringwrightViewer;
  for (const root of document.querySelectorAll(".viewer")) {
    const data = root.querySelector('script[type="application/json"]');
    if (data) root.viewer = ringwrightViewer(root, JSON.parse(data.textContent));
  }
})();
