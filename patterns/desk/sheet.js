// A table as a grid of cells: each is an input, so that every keyboard, screen reader and telephone knows it.

const LETTERS = (column) => {
  let name = "";
  for (let rest = column + 1; rest > 0; rest = Math.floor((rest - 1) / 26)) {
    name = String.fromCharCode(65 + ((rest - 1) % 26)) + name;
  }
  return name;
};

const made = (name, parent, look = "", words = "") => {
  const element = document.createElement(name);
  if (look) element.className = look;
  if (words) element.textContent = words;
  if (parent) parent.append(element);
  return element;
};

// What a spreadsheet puts on the clipboard: cells parted by tabs, rows by line ends, quotes doubled within quotes.
export function blockOf(text) {
  const rows = [[]];
  let cell = "", quoted = false;
  const plain = text.replace(/\r\n?/g, "\n").replace(/\n$/, "");
  for (let at = 0; at < plain.length; at += 1) {
    const sign = plain[at];
    if (quoted) {
      if (sign === '"' && plain[at + 1] === '"') { cell += '"'; at += 1; }
      else if (sign === '"') quoted = false;
      else cell += sign === "\n" ? " " : sign;
    } else if (sign === '"' && cell === "" && closes(plain, at)) quoted = true;
    else if (sign === "\t") { rows.at(-1).push(cell); cell = ""; }
    else if (sign === "\n") { rows.at(-1).push(cell); rows.push([]); cell = ""; }
    else cell += sign;
  }
  rows.at(-1).push(cell);
  return rows;
}

// Whether a quote at the start of a cell is closed at the end of one: else it is an inch mark.
function closes(text, start) {
  for (let at = start + 1; at < text.length; at += 1) {
    if (text[at] !== '"') continue;
    if (text[at + 1] === '"') { at += 1; continue; }
    return at + 1 === text.length || text[at + 1] === "\t" || text[at + 1] === "\n";
  }
  return false;
}

export class Sheet {
  // act: write(cells, typing), undo(), redo(), chosen(row, column), say(words)
  constructor(box, act) {
    this.box = box;
    this.act = act;
    this.inputs = new Map(); // "row column" to the input
    this.marks = new Map(); // "row column" to what is found there
    this.waiting = new Map(); // inputs whose words are on their way, and how often
    this.rows = [];
    this.shape = "";
    this.typing = 0; // one number for all that is typed into a cell before it is left
    this.here = null; // [row, column] that is chosen
    this.other = null; // the far corner of a marked block
    box.addEventListener("keydown", (event) => this.key(event));
    box.addEventListener("input", (event) => this.typed(event.target));
    box.addEventListener("focusin", (event) => this.enter(event.target));
    box.addEventListener("focusout", (event) => this.leave(event.target));
    box.addEventListener("paste", (event) => this.paste(event));
    box.addEventListener("copy", (event) => this.copy(event));
    box.addEventListener("dblclick", () => { this.within = true; });
    box.addEventListener("pointerdown", (event) => this.press(event));
  }

  get width() { return Math.max(...this.rows.map(([, cells]) => cells.length), 0); }

  // rows: [number, [texts]] in the order of the file; the first holds the headings.
  show(name, rows) {
    const changed = name !== this.name;
    this.rows = rows;
    const shape = `${name} ${this.width} ${rows.map(([number]) => number)}`;
    if (shape !== this.shape) this.build(name, shape);
    for (const [number, cells] of rows) {
      for (let column = 0; column < this.width; column += 1) {
        const input = this.inputs.get(`${number} ${column}`), text = cells[column] || "";
        const kept = input.value !== input.dataset.typed; // typed and not written yet, or not at all
        if (this.waiting.has(input)) continue;
        input.dataset.typed = text;
        if (!kept && input.value !== text) input.value = text;
        if (input.value === text) input.classList.remove("unwritten");
      }
    }
    this.name_cells();
    if (changed) { this.here = null; this.other = null; }
  }

  // Another program has written the file: what was being typed was meant for what it held before.
  forget() {
    clearTimeout(this.pause);
    for (const input of this.inputs.values()) {
      if (!this.waiting.has(input)) input.value = input.dataset.typed;
    }
  }

  build(name, shape) {
    const held = this.name === name && this.here && this.box.contains(document.activeElement);
    this.name = name;
    this.shape = shape;
    this.inputs.clear();
    this.box.replaceChildren();
    const table = made("table", this.box);
    table.setAttribute("aria-label", name);
    const head = made("thead", table), letters = made("tr", head, "letters");
    made("td", letters);
    for (let column = 0; column < this.width; column += 1) made("td", letters, "", LETTERS(column));
    for (const cell of letters.children) cell.setAttribute("aria-hidden", "true");
    const body = made("tbody", table);
    this.rows.forEach(([number], index) => {
      const row = made("tr", index ? body : head, index ? "" : "headings");
      const count = made("td", row, "count", String(number));
      count.setAttribute("aria-hidden", "true");
      for (let column = 0; column < this.width; column += 1) {
        const cell = made("td", row, column < 2 ? `name name${column}` : "");
        const input = made("input", cell);
        Object.assign(input, { type: "text", autocomplete: "off", spellcheck: false });
        input.setAttribute("autocapitalize", "off");
        input.dataset.row = number;
        input.dataset.column = column;
        input.dataset.typed = "";
        this.inputs.set(`${number} ${column}`, input);
      }
    });
    if (held) this.go(...this.here);
  }

  name_cells() {
    const headings = this.rows.length ? this.rows[0][1] : [];
    let before = "";
    this.rows.forEach(([number, cells], index) => {
      const what = [cells[0], cells[1]].filter(Boolean).join(" of ") || `row ${number}`;
      for (let column = 0; column < this.width; column += 1) {
        const input = this.inputs.get(`${number} ${column}`), heading = headings[column] || LETTERS(column);
        const words = !index ? `heading of column ${LETTERS(column)}`
          : column < 2 ? `${heading} of row ${number}` : `${what}, ${heading}, row ${number}`;
        input.setAttribute("aria-label", words);
      }
      const row = this.inputs.get(`${number} 0`).closest("tr");
      row.classList.toggle("begins", index > 0 && cells[0] !== before);
      before = cells[0];
    });
  }

  // found: [{sort, spot: [file, row, column], id, words}] of this table, the gravest first
  mark(found) {
    for (const cell of this.box.querySelectorAll(".suspect, .error, .missing, .doubt, .hint")) {
      cell.classList.remove("suspect", "error", "missing", "doubt", "hint");
    }
    for (const input of this.inputs.values()) {
      input.removeAttribute("aria-invalid");
      input.removeAttribute("aria-describedby");
    }
    this.marks.clear();
    for (const finding of found) {
      const [, row, column] = finding.spot;
      const inputs = column === null ? [this.inputs.get(`${row} 1`)] : [this.inputs.get(`${row} ${column}`)];
      for (const input of inputs.filter(Boolean)) {
        const key = `${input.dataset.row} ${input.dataset.column}`;
        if (!this.marks.has(key)) {
          input.parentElement.classList.add(finding.sort);
          if (finding.sort === "suspect" || finding.sort === "error") input.setAttribute("aria-invalid", "true");
        }
        this.marks.set(key, [...(this.marks.get(key) || []), finding]);
        input.setAttribute("aria-describedby", this.marks.get(key).map((each) => each.id).join(" "));
      }
    }
  }

  found(row, column) { return this.marks.get(`${row} ${column}`) || []; }

  go(row, column) {
    const input = this.inputs.get(`${row} ${column}`);
    if (!input) return false;
    input.focus();
    input.select();
    input.scrollIntoView({ block: "nearest", inline: "nearest" });
    return true;
  }

  enter(input) {
    if (!input.dataset.row) return;
    const place = [Number(input.dataset.row), Number(input.dataset.column)];
    this.here = place;
    this.within = false;
    this.typing += 1;
    if (!this.keeping) this.block(null);
    input.select();
    this.act.chosen(...place);
  }

  leave(input) {
    if (!input.dataset.row) return;
    this.commit(input);
  }

  typed(input) {
    this.within = true;
    input.classList.remove("unwritten");
    clearTimeout(this.pause);
    this.pause = setTimeout(() => this.commit(input), 150); // the lines follow a pause in typing
  }

  commit(input) {
    clearTimeout(this.pause);
    if (!this.inputs.has(`${input.dataset.row} ${input.dataset.column}`) || input.value === input.dataset.typed) return;
    if (input.classList.contains("unwritten")) return; // refused: it is typed again, or let go with Escape
    this.send([[Number(input.dataset.row), Number(input.dataset.column), input.value]], this.typing);
  }

  step(down, across) {
    const numbers = this.rows.map(([number]) => number);
    const row = numbers[numbers.indexOf(this.here[0]) + down];
    return row !== undefined && this.go(row, this.here[1] + across);
  }

  key(event) {
    const input = event.target;
    if (!input.dataset.row || event.isComposing) return;
    const command = event.ctrlKey || event.metaKey, name = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    const stop = () => event.preventDefault();
    if (command && !event.altKey && (name === "z" || name === "y")) {
      stop();
      this.commit(input);
      if (name === "y" || event.shiftKey) this.act.redo(); else this.act.undo();
      return;
    }
    if (command || event.altKey) return;
    if (name === "F2") { stop(); this.within = true; input.setSelectionRange(input.value.length, input.value.length); return; }
    if (name === "Escape") {
      stop();
      clearTimeout(this.pause);
      if (input.value !== input.dataset.typed) { this.drop(input); }
      else this.act.out();
      return;
    }
    if (name === "Enter") { stop(); if (!this.step(event.shiftKey ? -1 : 1, 0)) this.commit(input); return; }
    const way = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] }[name];
    if (way) {
      if (way[1] && this.within) return; // within the words of the cell
      stop();
      if (event.shiftKey) this.stretch(...way); else this.step(...way);
      return;
    }
    if ((name === "Delete" || name === "Backspace") && this.other) { stop(); this.clear(); }
  }

  drop(input) {
    input.value = input.dataset.typed;
    input.classList.remove("unwritten");
    this.within = false;
    input.select();
  }

  // ------------------------------------------------------------------ blocks

  corners() {
    const numbers = this.rows.map(([number]) => number);
    const [a, b] = [this.here, this.other || this.here];
    const at = [numbers.indexOf(a[0]), numbers.indexOf(b[0])].sort((x, y) => x - y);
    const columns = [a[1], b[1]].sort((x, y) => x - y);
    return { rows: numbers.slice(at[0], at[1] + 1), columns };
  }

  block(other) {
    this.other = other;
    for (const cell of this.box.querySelectorAll(".marked")) cell.classList.remove("marked");
    if (!other) return;
    const { rows, columns } = this.corners();
    for (const row of rows) {
      for (let column = columns[0]; column <= columns[1]; column += 1) {
        this.inputs.get(`${row} ${column}`).parentElement.classList.add("marked");
      }
    }
    this.act.say(`${rows.length} by ${columns[1] - columns[0] + 1} cells marked.`);
  }

  stretch(down, across) {
    const numbers = this.rows.map(([number]) => number), from = this.other || this.here;
    const row = numbers[numbers.indexOf(from[0]) + down], column = from[1] + across;
    if (row !== undefined && column >= 0 && column < this.width) this.block([row, column]);
  }

  press(event) {
    const input = event.target;
    if (!event.shiftKey || !input.dataset.row || !this.here) return;
    event.preventDefault();
    this.block([Number(input.dataset.row), Number(input.dataset.column)]);
  }

  copy(event) {
    if (!this.other) return;
    const { rows, columns } = this.corners();
    const text = rows.map((row) => {
      const cells = [];
      for (let column = columns[0]; column <= columns[1]; column += 1) cells.push(this.inputs.get(`${row} ${column}`).value);
      return cells.join("\t");
    }).join("\n");
    event.clipboardData.setData("text/plain", text);
    event.preventDefault();
  }

  clear() {
    const { rows, columns } = this.corners(), cells = [];
    for (const row of rows) for (let column = columns[0]; column <= columns[1]; column += 1) cells.push([row, column, ""]);
    this.put(cells);
  }

  paste(event) {
    const text = event.clipboardData.getData("text/plain");
    if (!this.here || !/[\t\n\r]/.test(text.replace(/\r?\n$/, ""))) return; // words for one cell
    event.preventDefault();
    const numbers = this.rows.map(([number]) => number), first = numbers.indexOf(this.here[0]);
    const cells = [];
    blockOf(text).forEach((row, down) => row.forEach((words, across) => {
      const number = numbers[first + down] ?? numbers.at(-1) + (first + down - numbers.length + 1);
      cells.push([number, this.here[1] + across, words]);
    }));
    this.put(cells);
    this.act.say(`${cells.length} cells pasted.`);
  }

  put(cells) {
    for (const [row, column, words] of cells) {
      const input = this.inputs.get(`${row} ${column}`);
      if (input) input.value = words;
    }
    this.typing += 1;
    this.send(cells, this.typing);
    this.typing += 1;
  }

  async send(cells, typing) {
    const sent = cells.map(([row, column, words]) => [this.inputs.get(`${row} ${column}`), words]).filter(([input]) => input);
    for (const [input] of sent) this.waiting.set(input, (this.waiting.get(input) || 0) + 1);
    const written = await this.act.write(cells, typing);
    for (const [input, words] of sent) {
      const left = this.waiting.get(input) - 1;
      if (left) this.waiting.set(input, left); else this.waiting.delete(input);
      if (written) input.dataset.typed = words;
      input.classList.toggle("unwritten", !written && input.value !== input.dataset.typed); // it stays to be seen
    }
  }
}
