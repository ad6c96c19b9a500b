"use strict";
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const NEAR = { mouse: 26, touch: 44, pen: 32 }; // screen points to a place that is meant
  const SIGN = 14; // screen points around what is drawn, for its signs
  const SAME = 3; // screen points; places that are no farther apart are told together
  const DEEPEST = 60; // times the whole
  const views = new Map();

  const made = (name, look, parent, words) => {
    const element = document.createElement(name);
    element.className = look;
    if (words) element.textContent = words;
    parent.append(element);
    return element;
  };
  const drawn = (name, attributes, parent) => {
    const element = document.createElementNS(SVG, name);
    for (const key in attributes) element.setAttribute(key, attributes[key]);
    parent.append(element);
    return element;
  };

  // ------------------------------------------------------------------ one drawing to look into

  class View {
    constructor(box) {
      this.box = box;
      this.svg = box.querySelector("svg");
      this.lines = [...this.svg.querySelectorAll("g[id] > path")].map((path) => this.runs(path));
      this.saw = box.closest("article") && /^p\d+$/.test(box.id) ? this.sawn() : []; // words keep clear of these
      this.sides = [...box.querySelectorAll(".side")];
      this.labels = [];
      this.places = [];
      for (const g of this.svg.querySelectorAll(".pt")) this.take(g);
      this.cursor = drawn("g", { class: "cursor off" }, this.svg);
      const inner = drawn("g", { class: "c" }, this.cursor);
      drawn("circle", { r: 15 }, inner);
      drawn("circle", { r: 15 }, inner);
      this.alone = Boolean(box.closest("article"));
      this.kept = -1; // the place that was chosen
      this.fingers = new Map();
      box.classList.add("live");
      box.tabIndex = 0;
      box.setAttribute("role", "group");
      box.setAttribute("aria-label", this.svg.getAttribute("aria-label"));
      this.around();
      this.listen();
      this.size();
    }

    runs(path) { // a path's lines as places, in the view's units
      const scale = path.parentNode.transform.baseVal.consolidate().matrix.a;
      return path.getAttribute("d").split("M").slice(1).map((d) => {
        const at = d.match(/-?\d+/g).map(Number), run = [[at[0] * scale, at[1] * scale]];
        for (let i = 2; i + 1 < at.length; i += 2) {
          const last = run[run.length - 1];
          run.push([last[0] + at[i] * scale, last[1] + at[i + 1] * scale]);
        }
        if (d.endsWith("z")) run.push(run[0]);
        return run;
      });
    }

    sawn() { // the pieces of the broadest full line: what is cut
      const full = [...this.svg.querySelectorAll("g[id] > path:not([stroke-dasharray])")];
      const most = Math.max(...full.map((path) => Number(path.getAttribute("stroke-width"))));
      const found = [];
      for (const path of full) {
        if (Number(path.getAttribute("stroke-width")) < most) continue;
        for (const run of this.runs(path)) for (let i = 0; i + 1 < run.length; i += 1) found.push([...run[i], ...run[i + 1]]);
      }
      return found;
    }

    frame(wide) { // around all lines and places; words keep their size, so the room for them depends on the width
      let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity;
      for (const [x, y] of [...this.lines.flat(2), ...this.places.map((p) => [p.x, p.y])]) {
        x0 = Math.min(x0, x); x1 = Math.max(x1, x); y0 = Math.min(y0, y); y1 = Math.max(y1, y);
      }
      let k = wide / (x1 - x0 + 1), room = [];
      for (let round = 0; round < 4; round += 1) {
        room = [SIGN, SIGN, SIGN, SIGN];
        for (const { x, y, box, fixed } of this.labels) {
          if (!fixed && this.saw.length) continue;
          const own = [-(x - x0) * k - box[0], -(y - y0) * k - box[1], box[2] - (x1 - x) * k, box[3] - (y1 - y) * k];
          room = room.map((v, i) => Math.max(v, own[i] + 3));
        }
        k = Math.max((wide - room[0] - room[2]) / Math.max(x1 - x0, 1e-3), 0.3 * wide / (x1 - x0 + 1));
      }
      this.ox = x0 - room[0] / k;
      this.oy = y0 - room[1] / k;
      this.wide = x1 - x0 + (room[0] + room[2]) / k;
      this.tall = y1 - y0 + (room[1] + room[3]) / k;
    }

    take(g) {
      const [x, y] = g.getAttribute("transform").match(/-?[\d.]+/g).map(Number);
      for (const text of g.querySelectorAll("text")) {
        const anchor = text.getAttribute("text-anchor") || "start";
        const size = g.classList.contains("suspect") ? 17 : 13;
        const long = text.textContent.length * size * 0.6;
        const left = Number(text.getAttribute("x")) - (anchor === "end" ? long : anchor === "middle" ? long / 2 : 0);
        const low = Number(text.getAttribute("y"));
        this.labels.push({ text, x, y, fixed: g.classList.contains("bevel"), box: [left, low - 0.8 * size, left + long, low + 0.2 * size] });
      }
      const title = g.querySelector("title");
      if (!title) return;
      this.places.push({ g, x, y, words: title.textContent, angle: g.dataset.a, near: Number(g.dataset.near || 0),
        half: g.dataset.half && g.dataset.half.split(" ").map(Number) });
      title.remove(); // the words stand below, larger
    }

    around() {
      const tools = document.createElement("div");
      tools.className = "tools";
      this.box.after(tools);
      const button = (sign, name, act) => {
        const element = made("button", "", tools, sign);
        element.type = "button";
        element.setAttribute("aria-label", name);
        element.addEventListener("click", act);
      };
      button("\u2212", "smaller", () => this.zoom(1 / 1.6));
      button("+", "larger", () => this.zoom(1.6));
      button("All", "the whole drawing", () => this.whole());
      if (this.places.length) {
        button("\u2039", "the place before", () => this.step(-1));
        button("\u203a", "the next place", () => this.step(1));
        this.said = document.createElement("div");
        this.said.className = "said";
        this.said.setAttribute("role", "status");
        tools.before(this.said);
        this.say(-1);
      }
      if (!this.box.closest(".quiet")) return;
      const later = [tools, this.said].filter(Boolean); // one of many: its tools come when it is touched
      this.show = (shown) => later.forEach((part) => { part.hidden = !shown; });
      this.show(false);
      this.box.addEventListener("pointerdown", () => this.show(true));
      this.box.addEventListener("focus", () => this.show(true));
    }

    size() {
      const wide = this.box.clientWidth;
      if (!wide || (wide === this.across && window.innerHeight === this.screen)) return;
      const was = this.k && { k: this.k, x: this.x, y: this.y, whole: !this.deep() };
      this.across = wide;
      this.frame(wide);
      this.screen = window.innerHeight;
      this.up = Math.round(Math.min(0.58 * window.innerHeight, Math.max(120, (wide * this.tall) / this.wide)));
      this.box.style.height = `${this.up}px`;
      this.up = this.box.clientHeight;
      this.least = Math.min(wide / this.wide, this.up / this.tall);
      if (was && !was.whole) this.look(was.x, was.y, was.k);
      else this.whole();
    }

    deep() { return this.k > this.least * 1.01; }

    whole() { this.look(this.ox + this.wide / 2, this.oy + this.tall / 2, this.least); }

    look(x, y, k) { // x, y: what is in the middle; k: screen points for a unit
      this.k = Math.min(Math.max(k, this.least), this.least * DEEPEST);
      const half = [this.across / this.k / 2, this.up / this.k / 2];
      const within = (at, reach, size) => {
        if (2 * reach >= size) return size / 2;
        return Math.min(Math.max(at, Math.min(reach, size / 2)), Math.max(size - reach, size / 2));
      };
      this.x = this.ox + within(x - this.ox, half[0], this.wide);
      this.y = this.oy + within(y - this.oy, half[1], this.tall);
      this.left = this.x - half[0];
      this.top = this.y - half[1];
      this.svg.setAttribute("viewBox", [this.left, this.top, 2 * half[0], 2 * half[1]].map((v) => v.toFixed(3)).join(" "));
      this.svg.style.setProperty("--u", 1 / this.k);
      this.box.classList.toggle("near", this.deep());
      this.settle();
    }

    settle() { // words that would lie on others are left out until one looks closer
      const taken = this.sides.map((side) => [side.offsetLeft, side.offsetTop, side.offsetLeft + side.offsetWidth,
        side.offsetTop + side.offsetHeight]);
      if (this.saw.length) {
        for (const p of this.places) {
          const x = (p.x - this.left) * this.k, y = (p.y - this.top) * this.k;
          taken.push([x - 6, y - 6, x + 6, y + 6]);
        }
      }
      for (const label of this.labels) {
        const x = (label.x - this.left) * this.k, y = (label.y - this.top) * this.k;
        const free = this.ways(label).find(([dx, dy]) => {
          const box = [x + label.box[0] + dx, y + label.box[1] + dy, x + label.box[2] + dx, y + label.box[3] + dy];
          if (box[0] < 0 || box[2] > this.across || box[1] < 0 || box[3] > this.up) return false;
          if (taken.some((o) => box[2] > o[0] && box[0] < o[2] && box[3] > o[1] && box[1] < o[3])) return false;
          if (this.saw.some((side) => this.meets(side, box))) return false;
          taken.push(box);
          return true;
        });
        if (this.saw.length && free) label.text.setAttribute("transform", `translate(${free[0]} ${free[1]})`);
        label.text.classList.toggle("off", !free);
      }
    }

    ways({ box }) { // how a word may be moved: beside its sign, then farther off; only in a pattern
      if (!this.saw.length) return [[0, 0]];
      const found = [[0, 0]], wide = box[2] - box[0], high = box[3] - box[1];
      for (const off of [12, 24, 40]) {
        for (const [a, b] of [[1, 0], [-1, 0], [0, -1], [0, 1], [0.7, -0.7], [-0.7, -0.7], [0.7, 0.7], [-0.7, 0.7]]) {
          const middle = [a * (off + wide / 2), b * (off + high / 2)];
          found.push([middle[0] - (box[0] + box[2]) / 2, middle[1] - (box[1] + box[3]) / 2]);
        }
      }
      return found;
    }

    meets([xa, ya, xb, yb], box) { // whether a straight line passes a box on the screen (Liang and Barsky, 1984)
      const a = [(xa - this.left) * this.k, (ya - this.top) * this.k];
      const way = [(xb - xa) * this.k, (yb - ya) * this.k];
      let first = 0, last = 1;
      for (const i of [0, 1]) {
        if (Math.abs(way[i]) < 1e-9) {
          if (a[i] < box[i] || a[i] > box[i + 2]) return false;
          continue;
        }
        const cuts = [(box[i] - a[i]) / way[i], (box[i + 2] - a[i]) / way[i]];
        first = Math.max(first, Math.min(...cuts));
        last = Math.min(last, Math.max(...cuts));
      }
      return first <= last;
    }

    zoom(by, at = [this.across / 2, this.up / 2]) { // what lies under `at` stays there
      const x = this.left + at[0] / this.k, y = this.top + at[1] / this.k;
      const k = Math.min(Math.max(this.k * by, this.least), this.least * DEEPEST);
      this.look(x + (this.across / 2 - at[0]) / k, y + (this.up / 2 - at[1]) / k, k);
    }

    shift(dx, dy) { this.look(this.x - dx / this.k, this.y - dy / this.k, this.k); }

    found(at, reach) {
      const x = this.left + at[0] / this.k, y = this.top + at[1] / this.k;
      let best = -1, least = reach;
      this.places.forEach((place, index) => {
        const off = Math.hypot(place.x - x, place.y - y) * this.k;
        if (!place.half && off < least) { best = index; least = off; }
      });
      if (best >= 0) return best;
      return this.places.findIndex((p) => p.half && Math.abs(p.x - x) <= p.half[0] && Math.abs(p.y - y) <= p.half[1]);
    }

    say(index) {
      if (!this.said || index === this.shown) return;
      this.shown = index;
      const place = this.places[index];
      this.cursor.classList.toggle("off", !place);
      this.said.replaceChildren();
      if (!place) {
        made("span", "", this.said, "Point at a place, or tap it.");
        return;
      }
      this.cursor.setAttribute("transform", `translate(${place.x} ${place.y})`);
      const here = this.places.filter((o) => o !== place && Math.hypot(o.x - place.x, o.y - place.y) * this.k < SAME);
      for (const each of [place, ...here]) { // in a corner two edges meet, each with its own bevel
        const row = made("div", "row", this.said);
        if (each.angle) gauge(Number(each.angle), row);
        made("span", each.words.length > 90 ? "long" : "", row, each.words);
      }
    }

    choose(index, closer) {
      this.kept = index;
      this.say(index);
      const place = this.places[index];
      for (const link of document.querySelectorAll("[aria-current=true]")) link.removeAttribute("aria-current");
      if (!place) return;
      if (this.show) this.show(true);
      if (place.g.id) {
        const link = document.querySelector(`.places a[href="#${place.g.id}"]`);
        if (link) link.setAttribute("aria-current", "true");
      }
      if (closer) {
        const k = place.near ? Math.min(this.across, this.up) / place.near / 2 : Math.max(this.k, this.least * 4);
        this.look(place.x, place.y, k);
      } else if (this.deep()) this.look(place.x, place.y, this.k);
    }

    step(by) {
      const count = this.places.length;
      this.choose(this.kept < 0 ? (by > 0 ? 0 : count - 1) : (this.kept + by + count) % count);
    }

    at(event) {
      const box = this.svg.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top];
    }

    listen() {
      const svg = this.svg, fingers = this.fingers;
      svg.addEventListener("pointerdown", (event) => {
        fingers.set(event.pointerId, this.at(event));
        this.moved = fingers.size > 1 ? Infinity : 0;
        if (this.deep() || fingers.size > 1) svg.setPointerCapture(event.pointerId);
      });
      svg.addEventListener("pointermove", (event) => {
        const now = this.at(event), was = fingers.get(event.pointerId);
        if (!was) {
          if (event.pointerType !== "touch") this.say(this.over(now, event));
          return;
        }
        const before = [...fingers.values()];
        fingers.set(event.pointerId, now);
        const after = [...fingers.values()];
        this.moved += Math.hypot(now[0] - was[0], now[1] - was[1]);
        if (after.length === 1) {
          if (this.moved > 8 && this.deep()) this.shift(now[0] - was[0], now[1] - was[1]);
        } else if (after.length === 2) {
          const middle = (p) => [(p[0][0] + p[1][0]) / 2, (p[0][1] + p[1][1]) / 2];
          const apart = (p) => Math.max(Math.hypot(p[0][0] - p[1][0], p[0][1] - p[1][1]), 1);
          const from = middle(before), to = middle(after);
          this.zoom(apart(after) / apart(before), from);
          this.shift(to[0] - from[0], to[1] - from[1]);
        }
      });
      const lifted = (event) => {
        const was = fingers.get(event.pointerId);
        fingers.delete(event.pointerId);
        if (was && event.type === "pointerup" && this.moved < 10) {
          this.choose(this.found(this.at(event), NEAR[event.pointerType] || 32));
        }
      };
      svg.addEventListener("pointerup", lifted);
      svg.addEventListener("pointercancel", lifted);
      svg.addEventListener("pointerleave", (event) => {
        if (!fingers.size && event.pointerType !== "touch") this.say(this.kept);
      });
      svg.addEventListener("wheel", (event) => {
        if (event.deltaY > 0 && !this.deep()) return; // the page rolls on
        // Of several drawings below each other only the one that was touched last stops the page.
        if (!event.ctrlKey && !this.alone && document.activeElement !== this.box) return;
        event.preventDefault();
        const step = event.deltaMode ? 0.05 : event.ctrlKey ? 0.01 : 0.002; // two fingers on a pad come as ctrl
        this.zoom(Math.exp(-event.deltaY * step), this.at(event));
      }, { passive: false });
      this.box.addEventListener("keydown", (event) => {
        if (event.target !== this.box || event.ctrlKey || event.metaKey || event.altKey) return;
        const step = 60, act = {
          "+": () => this.zoom(1.4), "=": () => this.zoom(1.4), "-": () => this.zoom(1 / 1.4), "0": () => this.whole(),
          ArrowRight: () => this.shift(-step, 0), ArrowLeft: () => this.shift(step, 0),
          ArrowDown: () => this.shift(0, -step), ArrowUp: () => this.shift(0, step),
          n: () => this.step(1), p: () => this.step(-1), Escape: () => this.choose(-1),
        }[event.key];
        if (!act || (event.key.startsWith("Arrow") && !this.deep())) return;
        event.preventDefault();
        act();
      });
    }

    over(at, event) {
      const index = this.found(at, NEAR[event.pointerType] || 32);
      return index < 0 ? this.kept : index;
    }
  }

  // A slice of wood: the shown face above with the gauge's stock on it, the sawn edge at the angle through the wood.
  function gauge(degrees, parent) {
    const svg = drawn("svg", { viewBox: "0 0 96 68", "aria-hidden": "true" }, parent);
    const lean = (degrees * Math.PI) / 180, corner = [38, 20], deep = 36;
    const foot = [corner[0] + deep / Math.tan(lean), corner[1] + deep];
    drawn("path", { class: "wood", d: `M92 20L${corner}L${foot}L92 56` }, svg);
    drawn("path", { class: "stock", d: `M${corner[0] - 34} 14H84` }, svg);
    const r = 16;
    drawn("path", { d: `M${corner[0] + r} 20A${r} ${r} 0 0 1 ${corner[0] + r * Math.cos(lean)} ${20 + r * Math.sin(lean)}` }, svg);
  }

  // ------------------------------------------------------------------ the page

  document.documentElement.classList.add("script");
  const sections = [...document.querySelectorAll("main > section")];
  const waiting = new Set(document.querySelectorAll(".view"));

  function wake() { // a drawing is made ready when it is first seen
    for (const box of waiting) {
      if (!box.clientWidth) continue;
      waiting.delete(box);
      views.set(box, new View(box));
    }
    for (const view of views.values()) view.size();
  }

  function go() {
    let id = "";
    try { id = decodeURIComponent(location.hash.slice(1)); } catch (error) { /* a broken address: the first part */ }
    const target = (id && document.getElementById(id)) || sections[0];
    if (!target) return;
    const section = target.closest("main > section") || sections[0];
    const article = target.closest("article");
    for (const each of sections) each.hidden = each !== section;
    for (const part of section.children) part.hidden = article ? part !== article : part.tagName === "ARTICLE";
    for (const link of document.querySelectorAll("nav a")) {
      if (link.hash === `#${section.id}`) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
    wake();
    const box = target.closest(".view"), view = box && views.get(box);
    if (view && target !== box) {
      view.choose(view.places.findIndex((place) => place.g === target), true);
      bring(view.box);
    } else window.scrollTo(0, target === section || article ? 0 : window.scrollY);
  }

  function bring(element) {
    const under = document.querySelector("nav").offsetHeight + 8;
    window.scrollTo(0, element.getBoundingClientRect().top + window.scrollY - under);
  }

  document.addEventListener("click", (event) => { // bevels one after the other are no way to go back through
    const link = event.target.closest && event.target.closest(".places a");
    if (!link) return;
    event.preventDefault();
    history.replaceState(null, "", link.hash);
    go();
  });
  window.addEventListener("hashchange", go);
  window.addEventListener("resize", wake);
  go();
})();
