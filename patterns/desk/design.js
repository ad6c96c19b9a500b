// The design file as forms: a table is opened, a key is typed, and the file is written; what a key means stands below it.

const made = (name, parent, look = "", words = "") => {
  const element = document.createElement(name);
  if (look) element.className = look;
  if (words) element.textContent = words;
  if (parent) parent.append(element);
  return element;
};
const FILE = "design.toml";

export class Forms {
  // act: edit(request)
  constructor(box, act) {
    this.box = box;
    this.act = act;
    this.open = new Set();
    this.fields = new Map(); // a key's place in words to its control
    this.heads = new Map(); // a table's place to its summary
  }

  show(form) {
    const held = this.box.contains(document.activeElement) ? document.activeElement.id : "";
    const typing = held && document.activeElement.value;
    this.box.replaceChildren();
    this.fields.clear();
    this.heads.clear();
    if (form.unreadable) { made("p", this.box, "", form.unreadable); return; }
    this.counts = new Map();
    for (const entry of form.entries) {
      this.counts.set(entry.table, entry.number + 1);
      this.entry(entry, form.kinds[entry.kind]);
    }
    this.adding(form.more);
    const fresh = this.fresh && this.box.querySelector(`[id^="key-${this.fresh}-"]`);
    if (fresh) {
      this.fresh = "";
      fresh.focus();
      fresh.scrollIntoView({ block: "center" });
      return;
    }
    const again = held && document.getElementById(held);
    if (!again) return;
    if (again.closest("details:not([open])")) again.closest("details:not([open])").open = true;
    again.focus();
    if (again.value !== undefined && typing !== undefined && again.type === "text") again.value = typing;
  }

  entry(entry, kind) {
    const key = `${entry.table}-${entry.number}`, box = made("details", this.box, "entry");
    box.open = this.open.has(key);
    box.addEventListener("toggle", () => { if (box.open) this.open.add(key); else this.open.delete(key); });
    const head = made("summary", box);
    made("b", head, "", entry.label);
    made("span", head, "gist", gist(entry, kind));
    this.heads.set(entry.place, head);
    if (kind) made("p", box, "means", kind.meaning);
    const known = kind ? kind.keys : [], names = new Set(known.map((each) => each.key));
    const own = Object.keys(entry.values).filter((name) => !names.has(name)).map((name) => ({ key: name, options: [], shape: "text", need: "", meaning: "" }));
    const set = [...known.filter((each) => each.key in entry.values || each.required), ...own];
    const rest = known.filter((each) => !set.includes(each));
    const fields = made("div", box, "fields");
    for (const each of set) this.field(fields, entry, each, key);
    if (!rest.length) return;
    const more = made("details", box, "more"), moreKey = `${key} more`;
    more.open = this.open.has(moreKey);
    more.addEventListener("toggle", (event) => { event.stopPropagation(); if (more.open) this.open.add(moreKey); else this.open.delete(moreKey); });
    made("summary", more, "", `${rest.length} more ${rest.length > 1 ? "keys" : "key"}`);
    const others = made("div", more, "fields");
    for (const each of rest) this.field(others, entry, each, key);
  }

  field(parent, entry, key, prefix) {
    const box = made("div", parent, "field"), id = `key-${prefix}-${key.key}`, value = entry.values[key.key];
    const label = made("label", box, "", key.key);
    label.htmlFor = id;
    const control = this.control(box, key, value);
    control.id = id;
    control.dataset.was = shownOf(value);
    const means = made("p", box, "means", [key.meaning, key.need && `(${key.need})`].filter(Boolean).join(" "));
    means.id = `${id}-means`;
    control.setAttribute("aria-describedby", means.id);
    if (key.required) control.setAttribute("aria-required", "true");
    made("div", box, "said").id = `${id}-said`;
    this.fields.set(`${entry.place}, key ${key.key}`, control);
    if (control.tagName === "OUTPUT") return;
    control.addEventListener("change", () => {
      const typed = control.value.trim();
      const empty = key.required ? "" : null;
      this.act.edit({
        do: "set key", file: FILE, table: entry.table, number: entry.number, key: key.key,
        value: typed === "" ? empty : control.tagName === "TEXTAREA" ? control.value.split("\n") : control.value,
      });
    });
    control.addEventListener("keydown", (event) => {
      if (event.key === "Escape") { control.value = control.dataset.was; event.stopPropagation(); }
    });
  }

  control(box, key, value) {
    const words = shownOf(value);
    if (value && value.shut !== undefined) return made("output", box, "", `${value.shut} (change it in a text editor)`);
    const choices = key.shape === "yes or no" ? ["true", "false"] : key.options;
    if (choices.length > 1 && !Array.isArray(value)) {
      const select = made("select", box);
      made("option", select, "", key.need.startsWith("default") ? key.need : "").value = "";
      for (const choice of words && !choices.includes(words) ? [words, ...choices] : choices) made("option", select, "", choice);
      select.value = words;
      return select;
    }
    if (Array.isArray(value) || (key.shape === "list" && value === undefined)) {
      const area = made("textarea", box);
      area.rows = Math.max(2, words.split("\n").length);
      area.value = words;
      return area;
    }
    const input = made("input", box);
    Object.assign(input, { type: "text", value: words, autocomplete: "off", spellcheck: false });
    if (key.need.startsWith("default")) input.placeholder = key.need;
    return input;
  }

  adding(more) {
    const box = made("form", this.box, "adding");
    const label = made("label", box, "", "Add a table");
    const select = made("select", box);
    label.htmlFor = select.id = "add-table";
    for (const each of more) {
      const option = made("option", select, "", each.kind ? `${each.table}: ${each.kind}` : each.table);
      option.value = JSON.stringify([each.table, each.kind]);
    }
    made("button", box, "", "Add").type = "submit";
    const means = made("p", box, "means");
    const tell = () => { means.textContent = (more[select.selectedIndex] || { meaning: "" }).meaning; };
    select.addEventListener("change", tell);
    tell();
    box.addEventListener("submit", (event) => {
      event.preventDefault();
      const [table, kind] = JSON.parse(select.value);
      this.fresh = `${table}-${this.counts.get(table) || 0}`; // is opened when it is there
      this.open.add(this.fresh);
      this.act.edit({ do: "add table", file: FILE, table, kind });
    });
  }

  // What is found in the design file, beside the key that it speaks of.
  mark(findings) {
    for (const said of this.box.querySelectorAll(".said")) said.replaceChildren();
    for (const control of this.fields.values()) control.removeAttribute("aria-invalid");
    for (const head of this.heads.values()) head.querySelectorAll(".count").forEach((each) => each.remove());
    for (const [place, head] of this.heads) {
      const count = findings.filter((each) => each.place === place || each.place.startsWith(`${place}, `)).length;
      if (count) made("span", head, "count", `${count} to look at`);
    }
    for (const finding of findings) {
      const control = this.fields.get(finding.place);
      if (!control) continue;
      if (finding.sort !== "missing" && finding.sort !== "hint") control.setAttribute("aria-invalid", "true");
      made("p", document.getElementById(`${control.id}-said`), finding.sort, [finding.what, finding.remedy].filter(Boolean).join("; "));
      control.setAttribute("aria-describedby", `${control.id}-means ${control.id}-said`);
    }
  }

  knows(place) { return this.fields.has(place) || this.heads.has(place); }

  go(place) {
    const control = this.fields.get(place), target = control || this.heads.get(place);
    if (!target) return;
    for (let box = target.closest("details"); box; box = box.parentElement.closest("details")) box.open = true;
    target.focus();
    target.scrollIntoView({ block: "center" });
  }
}

function shownOf(value) {
  if (value === undefined) return "";
  return Array.isArray(value) ? value.join("\n") : value.shut ?? value;
}

function gist(entry, kind) { // the first few values, to tell entries apart while they are closed
  const order = kind ? kind.keys.map((each) => each.key) : [];
  const names = Object.keys(entry.values).sort((a, b) => order.indexOf(a) - order.indexOf(b));
  const words = names.map((name) => entry.values[name]).filter((value) => typeof value === "string" && value && !entry.label.includes(value));
  return words.slice(0, 4).join(" · ");
}
