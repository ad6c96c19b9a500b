// Pieces made in the background, each one to look at; patterns written for the printer, and proved.

const by = (id) => document.getElementById(id);
const made = (name, parent, look = "", words = "") => {
  const element = document.createElement(name);
  if (look) element.className = look;
  if (words) element.textContent = words;
  if (parent) parent.append(element);
  return element;
};
const KINDS = { pieces: "Making the pieces", patterns: "Writing the patterns", prove: "Measuring the file" };

export class Pieces {
  // act: ask(request), say(words), scale(), current(serials)
  constructor(act) {
    this.act = act;
    const box = by("work-tools");
    this.pieces = this.button(box, "Make the pieces", () => this.start({ kind: "pieces" }));
    this.paper = made("select", box);
    this.paper.setAttribute("aria-label", "Paper");
    for (const [value, words] of [["", "the paper usual here"], ["a4", "A4"], ["letter", "Letter"]]) made("option", this.paper, "", words).value = value;
    const label = made("label", box, "tick");
    this.search = made("input", label);
    this.search.type = "checkbox";
    label.append("search for fewer pages (takes longer)");
    this.print = this.button(box, "Write the patterns", () => this.start({ kind: "patterns", paper: this.paper.value, quick: !this.search.checked }));
    this.prove = this.button(box, "Prove the file", () => this.start({ kind: "prove" }));
    this.stop = this.button(box, "Stop", () => this.act.ask({ do: "stop" }));
    this.stop.disabled = true;
    this.prove.disabled = true;
    this.chosen = 0;
  }

  button(box, words, act) {
    const button = made("button", box, "", words);
    button.type = "button";
    button.addEventListener("click", act);
    return button;
  }

  start(request) { this.act.ask({ do: "work", ...request }).catch((error) => this.act.say(error.message)); }

  working(state) {
    const bar = by("done");
    for (const button of [this.pieces, this.print]) button.disabled = state.running;
    this.prove.disabled = state.running || !this.written;
    this.stop.disabled = !state.running;
    bar.hidden = !state.running;
    if (state.total) bar.value = state.done / state.total; else bar.removeAttribute("value");
    const far = state.total ? `: page ${state.done} of ${state.total}` : "";
    by("working").textContent = state.running ? `${KINDS[state.kind]}${far}. You can go on typing.` : state.stopped ? "Stopped." : "Done.";
  }

  old(state, box) {
    if (!this.act.current(state.serials)) made("p", box, "old", "The table or the design was changed since: make this again.");
  }

  patterns(state) {
    this.printed = state;
    this.written = Boolean(state.files);
    this.prove.disabled = !this.written;
    this.show();
  }

  proved(state) { this.proof = state; this.show(); }

  show() {
    const box = by("printed"), state = this.printed;
    box.replaceChildren();
    if (!state) return;
    made("h3", box, "", "Written for the printer");
    this.old(state, box);
    problems(box, state.problems);
    if (!state.files) return;
    made("p", box, "", `${state.pages} pages, in ${state.folder}`);
    const first = state.files.filter((name) => /\.(pdf|html)$/.test(name)), others = state.files.filter((name) => !first.includes(name));
    links(made("ul", box, "results"), first);
    const more = made("details", box);
    made("summary", more, "", `${others.length} more files`);
    links(made("ul", more, "results"), others);
    const words = made("details", box);
    made("summary", words, "", "What to print and to try first");
    for (const line of state.words) made("p", words, "", line);
    if (!this.proof) return;
    problems(box, this.proof.problems);
    if (this.proof.proof) made("p", box, "", `${this.proof.proof}${this.proof.problems.length ? "" : " All as it should be. Now measure the rulers on paper."}`);
  }

  all(state) {
    const box = by("made");
    this.state = state;
    box.replaceChildren();
    made("h3", box, "", "The pieces");
    this.old(state, box);
    problems(box, state.problems);
    const pieces = state.pieces || [];
    if (!state.problems.length) made("p", box, "", state.doubts.length ? `${pieces.length} pieces; look at these before you cut:` : `${pieces.length} pieces can be made, and nothing in them is doubtful.`);
    problems(box, state.doubts);
    if (!pieces.length) return;
    const two = made("div", box, "two"), list = made("div", two, "names"), shown = made("div", two, "piece");
    list.setAttribute("role", "group");
    list.setAttribute("aria-label", "The pieces");
    const choose = (index) => {
      this.chosen = index;
      [...list.children].forEach((button, at) => button.setAttribute("aria-pressed", String(at === index)));
      const piece = pieces[index];
      shown.replaceChildren();
      made("h4", shown, "", piece.name);
      made("div", shown).innerHTML = piece.markup; // made by scrieve: no word of a design is markup in it
      const facts = made("ul", shown);
      for (const fact of piece.facts) made("li", facts, "", fact);
      this.act.scale();
    };
    pieces.forEach((piece, index) => this.button(list, piece.name, () => choose(index)));
    choose(Math.min(this.chosen, pieces.length - 1));
  }
}

function links(list, names) {
  for (const name of names) {
    const link = made("a", made("li", list), "", name);
    link.href = `result/${name.split("/").map(encodeURIComponent).join("/")}`;
    link.target = "_blank";
    link.rel = "noopener";
  }
}

function problems(box, lines) {
  if (!lines || !lines.length) return;
  const list = made("ul", box, "told");
  for (const line of lines) made("li", list, "", line);
}
