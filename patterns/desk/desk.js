// The desk: asks for news, shows lines, table and findings, and writes what is typed.

import { Forms } from "./design.js";
import { Pieces } from "./pieces.js";
import { Sheet } from "./sheet.js";

const by = (id) => document.getElementById(id);
const made = (name, parent, look = "", words = "") => {
  const element = document.createElement(name);
  if (look) element.className = look;
  if (words) element.textContent = words;
  if (parent) parent.append(element);
  return element;
};
const SORTS = { suspect: "Suspect", error: "Error", missing: "Missing", doubt: "Doubt", hint: "Hint" };

const seen = {};
const files = new Map(); // by name, as they were written or read last
let look = { views: [], findings: [] };
let file = ""; // the table that is shown
let row = 0, column = 0; // the cell that is chosen

async function ask(request) {
  const answer = await fetch("do", {
    method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(request),
  });
  const data = await answer.json().catch(() => ({}));
  if (answer.ok) return data;
  throw Object.assign(new Error(data.refused || "The desk did not understand this."), { refused: true });
}

function say(words, lasting = false) {
  const notice = by("notice");
  notice.textContent = words;
  notice.hidden = !words;
  clearTimeout(say.timer);
  if (words && !lasting) say.timer = setTimeout(() => { notice.hidden = true; }, 12000);
}

// ------------------------------------------------------------------ edits, one after the other

let last = Promise.resolve();

// Whether it was written; each edit waits for the one before it, and is made to what that one has left.
function edit(request) {
  const name = request.file;
  document.body.classList.add("drawing");
  const done = last.then(async () => {
    if (!files.has(name)) return false;
    try {
      const { digest, serial } = await ask({ ...request, base: files.get(name).digest });
      const known = files.get(name); // news may have come meanwhile
      if (known && serial >= known.serial) Object.assign(known, { digest, serial });
      return true;
    } catch (error) {
      say(error.refused ? error.message : "Nothing was written: the desk is closed.", true);
      return false;
    }
  });
  last = done;
  return done;
}

const sheet = new Sheet(by("cells"), {
  write: (cells, typing) => edit({ do: "cells", file, cells, typing }),
  undo: () => edit({ do: "undo", file }),
  redo: () => edit({ do: "redo", file }),
  chosen: (...place) => { [row, column] = place; speak(); },
  say: (words) => { by("speaks").replaceChildren(words); },
  out: () => by("files").querySelector("[aria-pressed=true]").focus(),
});

const current = (serials) => Object.entries(serials || {}).every(([name, serial]) => files.get(name)?.serial === serial);
const pieces = new Pieces({ ask, say, scale: () => scale(), current });
const forms = new Forms(by("forms"), { edit });

// ------------------------------------------------------------------ the parts of the desk

const ROOMS = { loft: "Table and lines", design: "Design", pieces: "Pieces and print" };

function enter() {
  const name = location.hash.slice(1) in ROOMS ? location.hash.slice(1) : "loft";
  for (const each of Object.keys(ROOMS)) by(each).hidden = each !== name;
  for (const link of by("rooms").children) {
    if (link.hash === `#${name}`) link.setAttribute("aria-current", "page"); else link.removeAttribute("aria-current");
  }
  scale();
}

function open(name) {
  if (by(name).hidden) { history.pushState(null, "", `#${name}`); enter(); }
}

for (const [name, words] of Object.entries(ROOMS)) made("a", by("rooms"), "", words).href = `#${name}`;
addEventListener("hashchange", enter);
document.querySelector(".skip").addEventListener("click", (event) => {
  event.preventDefault(); // the address keeps naming the part that is shown
  open("loft");
  by("cells").focus();
});

// ------------------------------------------------------------------ what is said of the chosen cell

function speak() {
  const place = `${row} ${column} ${file}`, box = by("speaks");
  box.replaceChildren();
  for (const mark of document.querySelectorAll(".pt.here")) mark.classList.remove("here");
  for (const mark of document.querySelectorAll(".pt[data-cell]")) {
    if (mark.dataset.cell !== place) continue;
    mark.classList.add("here");
    mark.parentNode.append(mark); // over the others
  }
  const input = sheet.inputs.get(`${row} ${column}`);
  if (input) made("p", box, "where", input.getAttribute("aria-label"));
  for (const finding of sheet.found(row, column)) {
    const line = made("p", box, finding.sort);
    made("b", line, "", `${SORTS[finding.sort]}: `);
    line.append(finding.what);
    if (finding.remedy) made("span", line, "", `; ${finding.remedy}`);
  }
  const point = document.querySelector(".views .pt.here title");
  if (point && box.childNodes.length < 2) made("p", box, "", point.textContent);
}

// ------------------------------------------------------------------ lines

function draw() {
  const views = look.views.filter((view) => view.key !== "curvature"), bend = look.views.find((view) => view.key === "curvature");
  const chosen = by("views").dataset.chosen || "profile";
  by("views").replaceChildren();
  by("choose").replaceChildren();
  for (const view of views) {
    const figure = made("figure", by("views"), view.key === chosen ? "chosen" : "");
    figure.classList.toggle("wide", !["profile", "plan", "body"].includes(view.key));
    figure.id = `view-${view.key}`;
    made("figcaption", figure, "", view.title);
    made("div", figure).innerHTML = view.markup; // made by scrieve: no word of a design is markup in it
    const button = made("button", by("choose"), "", view.title);
    button.type = "button";
    button.setAttribute("aria-pressed", String(view.key === chosen));
    button.addEventListener("click", () => {
      by("views").dataset.chosen = view.key;
      for (const each of by("views").children) each.classList.toggle("chosen", each === figure);
      for (const each of by("choose").children) each.setAttribute("aria-pressed", String(each === button));
      scale();
    });
  }
  if (!views.length) made("p", by("views"), "empty", look.failure || "No line can be drawn yet. Type the stations' positions and four offsets of one line.");
  by("bends").hidden = !bend;
  by("bends-drawn").innerHTML = bend ? bend.markup : "";
  scale();
}

function scale() { // signs and words keep their size, and words that would lie on others are left out
  for (const svg of document.querySelectorAll(".view > svg")) {
    const shape = svg.clientWidth && svg.getScreenCTM();
    if (!shape) continue;
    svg.style.setProperty("--u", 1 / shape.a);
    const taken = [], around = svg.closest("figure, .piece, details").getBoundingClientRect();
    for (const text of svg.querySelectorAll(".pt text")) {
      text.classList.remove("off");
      const box = text.getBoundingClientRect();
      const inside = box.left >= around.left && box.right <= around.right;
      const free = inside && taken.every((o) => box.right <= o.left || box.left >= o.right || box.bottom <= o.top || box.top >= o.bottom);
      if (free) taken.push(box);
      text.classList.toggle("off", !free);
    }
  }
}

by("bends").addEventListener("toggle", scale);
addEventListener("resize", scale);

document.addEventListener("click", (event) => { // a point of the lines leads to its cell
  const point = event.target.closest && event.target.closest(".pt[data-cell]");
  if (!point) return;
  const [toRow, toColumn, ...name] = point.dataset.cell.split(" ");
  goTo(name.join(" "), Number(toRow), Number(toColumn));
});

function goTo(name, toRow, toColumn) {
  open("loft");
  if (name !== file) choose(name);
  sheet.go(toRow, toColumn ?? 1);
}

// ------------------------------------------------------------------ findings

function list() {
  const box = by("found");
  box.replaceChildren();
  look.findings.forEach((finding, index) => {
    finding.id = `found-${index}`;
    const item = made("li", box, finding.sort);
    item.id = finding.id;
    made("b", item, "sort", SORTS[finding.sort]);
    if (finding.spot) {
      const button = made("button", item, "place", finding.place);
      button.type = "button";
      button.addEventListener("click", () => goTo(...finding.spot));
    } else if (forms.knows(finding.place)) {
      const button = made("button", item, "place", finding.place);
      button.type = "button";
      button.addEventListener("click", () => { open("design"); forms.go(finding.place); });
    } else made("span", item, "place", finding.place);
    made("span", item, "what", finding.what);
    if (finding.remedy) made("span", item, "remedy", finding.remedy);
    made("code", item, "", finding.code);
  });
  if (!look.findings.length) made("li", box, "none", "Nothing.");
  forms.mark(look.findings);
  const ofDesign = look.findings.filter((finding) => !finding.spot && finding.sort !== "hint").length;
  by("rooms").children[1].textContent = ofDesign ? `${ROOMS.design} (${ofDesign})` : ROOMS.design;
  sheet.mark(look.findings.filter((finding) => finding.spot && finding.spot[0] === file));
  if (by("cells").contains(document.activeElement)) speak();
}

// ------------------------------------------------------------------ tables

function choose(name) {
  file = name;
  [row, column] = [0, 0];
  show();
  list();
}

function show() {
  const tables = [...files.values()].filter((each) => each.rows || /\.csv$/i.test(each.name));
  if (!tables.some((each) => each.name === file)) file = (tables.find((each) => each.table) || tables[0] || { name: "" }).name;
  const box = by("files"), held = box.contains(document.activeElement);
  box.replaceChildren();
  for (const each of tables) {
    const button = made("button", box, "", each.name);
    button.type = "button";
    button.setAttribute("aria-pressed", String(each.name === file));
    button.addEventListener("click", () => choose(each.name));
    if (held && each.name === file) button.focus();
  }
  const known = files.get(file);
  by("notes").replaceChildren();
  const design = files.get("design.toml");
  if (design) buttons(by("design-tools"), [
    ["Undo", design.undo, () => edit({ do: "undo", file: "design.toml" })],
    ["Redo", design.redo, () => edit({ do: "redo", file: "design.toml" })],
  ]);
  if (!known) { by("cells").textContent = "There is no table in this folder."; return; }
  if (!known.rows) {
    sheet.shape = "";
    by("cells").textContent = `${known.name} cannot be shown as a table: ${known.unreadable}.`;
    return;
  }
  for (const words of known.notes) made("li", by("notes"), "", words);
  sheet.show(known.name, known.rows);
  tools(known);
}

function tools(known) {
  const headings = known.rows.length ? known.rows[0][1] : [];
  const at = () => (column > 1 ? column : headings.length - 1);
  const every = [
    ["Undo", known.undo, () => edit({ do: "undo", file })],
    ["Redo", known.redo, () => edit({ do: "redo", file })],
    ["Add a column", headings.length > 2, () => edit({ do: "add column", file, at: at(), heading: fresh(headings) })],
    ["Remove column", column > 1, () => edit({ do: "drop column", file, at: column })],
    ["Add a row", true, () => edit({ do: "add row", file, at: (row || known.rows.at(-1)[0]) + 1, cells: blank(known) })],
    ["Remove row", row > known.rows[0]?.[0], () => edit({ do: "drop row", file, at: row })],
  ];
  buttons(by("tools"), every);
}

function buttons(box, every) {
  every.forEach(([words, can, act], index) => {
    const button = box.children[index] || made("button", box);
    button.type = "button";
    button.textContent = words;
    button.disabled = !can;
    button.onclick = act;
  });
}

function fresh(headings) { // the next station's name
  const numbers = headings.map(Number).filter((number) => Number.isInteger(number));
  return numbers.length ? String(Math.max(...numbers) + 1) : "new";
}

function blank(known) {
  const before = known.rows.find(([number]) => number === row) || known.rows.at(-1);
  return known.rows[0][1].map((_, at) => (at ? "" : before[1][0] || ""));
}

by("cells").addEventListener("focusin", () => { const known = files.get(file); if (known && known.rows) tools(known); });

// ------------------------------------------------------------------ news

const shown = {
  files(data) {
    const names = new Set(data.map((each) => each.name));
    for (const name of files.keys()) if (!names.has(name)) files.delete(name);
    for (const each of data) {
      const known = files.get(each.name);
      if (known && each.name === file && each.outside > known.outside) sheet.forget();
      if (!known || each.serial >= known.serial) files.set(each.name, each);
    }
    show();
    list();
    if (pieces.state) pieces.all(pieces.state);
    pieces.show();
  },
  look(data) {
    look = { views: [], findings: [], settled: true, ...data };
    const current = Object.entries(look.serials || {}).every(([name, serial]) => (files.get(name)?.serial ?? serial) <= serial);
    document.body.classList.toggle("drawing", !current);
    by("title").textContent = look.title || "The desk";
    document.title = `${look.title || "The desk"}: the desk`;
    by("verdict").textContent = look.failure || (look.settled ? look.verdict : look.findings.length ? look.verdict : "Judging.");
    draw();
    list();
    document.body.dataset.drawn = JSON.stringify(look.serials); // for who waits for the lines
    document.body.dataset.settled = String(look.settled);
  },
  form(data) { forms.show(data); list(); },
  notice(data) { say(data.words, true); },
  work(data) { pieces.working(data); },
  pieces(data) { pieces.all(data); },
  patterns(data) { pieces.patterns(data); },
  prove(data) { pieces.proved(data); },
};

async function news() {
  for (;;) {
    try {
      const fresh = await ask({ do: "news", seen });
      if (document.body.classList.contains("closed")) { document.body.classList.remove("closed"); say(""); }
      for (const name of Object.keys(shown)) {
        if (!fresh[name]) continue;
        seen[name] = fresh[name].number;
        shown[name](fresh[name].data);
      }
    } catch (error) {
      document.body.classList.add("closed");
      say("The desk is closed. Everything that was written is in the folder; start scrieve desk again to go on.", true);
      await new Promise((done) => { setTimeout(done, 2000); });
    }
  }
}

enter();
news();
