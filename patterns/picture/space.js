// The boat in space: every pixel knows how near its wood is and whose it is, so nothing is drawn in a wrong order.
(() => {
  const box = document.getElementById("boat-view"), from = document.getElementById("boat-data");
  if (!box || !from) return;
  const data = JSON.parse(from.textContent);
  const FAR = -1e9, BIAS = 4, RIM = 26, MOST = 3e6; // mm a line lies before wood; points; dots of a fine drawing
  const WAYS = [["Side", -90, 0], ["Above", -90, 89.9], ["Ahead", 0, 0], ["Below", -52, -30], ["All round", -52, 24]];
  const TONES = [[222, 184, 128], [206, 156, 102], [232, 205, 160], [190, 138, 98], [214, 192, 140], [178, 150, 112]];
  const groups = [...new Set(data.pieces.map((piece) => piece.group))];

  const add = (name, look, parent, words) => {
    const element = document.createElement(name);
    if (look) element.className = look;
    if (words) element.textContent = words;
    parent.append(element);
    return element;
  };

  // ------------------------------------------------------------------ what there is: points and faces

  const points = [], faces = [], middles = data.pieces.map(() => [0, 0, 0, 0]);

  const put = (at, side, id) => {
    points.push([at[0], side * at[1], at[2]]);
    const sum = middles[id];
    if (side > 0) { sum[0] += at[0]; sum[1] += at[1]; sum[2] += at[2]; sum[3] += 1; }
    return points.length - 1;
  };

  const across = (ring) => { // twice its area as a vector square to it (Newell)
    const n = [0, 0, 0];
    ring.forEach((index, i) => {
      const a = points[index], b = points[ring[(i + 1) % ring.length]];
      n[0] += (a[1] - b[1]) * (a[2] + b[2]);
      n[1] += (a[2] - b[2]) * (a[0] + b[0]);
      n[2] += (a[0] - b[0]) * (a[1] + b[1]);
    });
    return n;
  };

  const face = (rings, id) => {
    let n = [0, 0, 0], c = 0, count = 0;
    rings.forEach((ring, i) => { const own = across(ring); if (!i || Math.hypot(...own) > Math.hypot(...n)) n = own; });
    const size = Math.hypot(...n);
    if (size < 1) return;
    n = n.map((v) => v / size);
    for (const ring of rings) for (const i of ring) { c += n[0] * points[i][0] + n[1] * points[i][1] + n[2] * points[i][2]; count += 1; }
    faces.push({ rings, id, n, c: c / count });
  };

  const quad = (a, b, c, d, id) => { // two triangles: its corners need not lie in one plane
    face([[a, b, c]], id);
    face([[a, c, d]], id);
  };

  const threes = (flat) => {
    const found = [];
    for (let i = 0; i < flat.length; i += 3) found.push(flat.slice(i, i + 3));
    return found;
  };

  function build(shape, side, id) {
    if (shape.rings) {
      const rings = shape.rings.map((pair) => pair.map((flat) => threes(flat).map((at) => put(at, side, id))));
      for (const which of [0, 1]) face(rings.map((pair) => pair[which]), id);
      for (const [one, other] of rings) {
        one.forEach((a, i) => { const j = (i + 1) % one.length; quad(a, one[j], other[j], other[i], id); });
      }
      return;
    }
    const k = shape.round, all = threes(shape.bar || shape.skin).map((at) => put(at, side, id));
    const rows = all.length / k, last = shape.bar ? k : k - 1;
    for (let i = 0; i + 1 < rows; i += 1) {
      for (let j = 0; j < last; j += 1) {
        const m = (j + 1) % k;
        quad(all[i * k + j], all[i * k + m], all[(i + 1) * k + m], all[(i + 1) * k + j], id);
      }
    }
    if (shape.bar) { face([all.slice(0, k)], id); face([all.slice(-k)], id); }
  }

  data.pieces.forEach((piece, id) => {
    for (const shape of piece.shapes) for (const side of shape.pair ? [1, -1] : [1]) build(shape, side, id);
  });
  const lines = [];
  for (const line of data.lines) {
    const at = threes(line.at);
    lines.push({ at, fine: line.what !== "line" });
    lines.push({ at: at.map(([x, y, z]) => [x, -y, z]), fine: line.what !== "line" });
  }
  const outer = [...lines.flatMap((line) => line.at), ...points];
  const low = [1e9, 1e9, 1e9], high = [-1e9, -1e9, -1e9];
  for (const at of outer) {
    at.forEach((v, i) => { low[i] = Math.min(low[i], v); high[i] = Math.max(high[i], v); });
  }
  const centre = low.map((v, i) => (v + high[i]) / 2);

  // ------------------------------------------------------------------ the view

  box.querySelector("svg").remove();
  box.classList.add("live");
  const canvas = add("canvas", "", box), pen = canvas.getContext("2d"), store = document.createElement("canvas");
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "application");
  canvas.setAttribute("aria-label", "The boat. Arrow keys turn her, plus and minus change her size, n and p go from piece to piece.");
  const links = [...document.querySelectorAll(".members a")];
  const tools = document.createElement("div"), said = document.createElement("div");
  tools.className = "tools";
  said.className = "said card";
  said.setAttribute("role", "status");
  box.after(tools);
  tools.after(said);

  let ahead = data.first[0], above = data.first[1], zoom = 1, shift = [0, 0];
  const KEPT = `way ${location.pathname}`; // a page that is loaded anew is looked at as before
  try { if (sessionStorage[KEPT]) [ahead, above] = JSON.parse(sessionStorage[KEPT]); } catch { /* it begins anew */ }
  let chosen = -1, under = -1, planks = false, way, k = 1, wide = 0, tall = 0, middle = [0, 0], waiting = 0, still = 0;
  let ids = new Uint16Array(0), depth = new Float32Array(0), light = new Uint8Array(0), across0 = 0, factor = 1;

  function look() { // right, up and towards the eye
    const ca = Math.cos(ahead), sa = Math.sin(ahead), cb = Math.cos(above), sb = Math.sin(above);
    way = [[-sa, -ca, 0], [-ca * sb, sa * sb, cb], [-ca * cb, sa * cb, sb]];
    way[1] = [way[2][1] * way[0][2] - way[2][2] * way[0][1], way[2][2] * way[0][0] - way[2][0] * way[0][2],
      way[2][0] * way[0][1] - way[2][1] * way[0][0]];
    const [across, up] = [0, 1].map((i) => { // she fills her box however she is turned
      let least = 1e9, most = -1e9;
      for (const p of outer) { const v = seen(p, i); least = Math.min(least, v); most = Math.max(most, v); }
      return [least, most];
    });
    k = zoom * Math.min((wide - 2 * RIM) / Math.max(across[1] - across[0], 1), (tall - 2 * RIM) / Math.max(up[1] - up[0], 1));
    middle = [wide / 2 + shift[0] - (k * (across[0] + across[1])) / 2, tall / 2 + shift[1] + (k * (up[0] + up[1])) / 2];
  }

  const seen = (p, i) => (p[0] - centre[0]) * way[i][0] + (p[1] - centre[1]) * way[i][1] + (p[2] - centre[2]) * way[i][2];
  const place = (p) => [middle[0] + k * seen(p, 0), middle[1] - k * seen(p, 1)];

  function fill(W, H, one, x, y, rows, mask) { // a mask takes what is seen or hidden
    const d = one.n[0] * way[2][0] + one.n[1] * way[2][1] + one.n[2] * way[2][2];
    if (Math.abs(d) < 0.01) return;
    const f = k * factor, right = one.n[0] * way[0][0] + one.n[1] * way[0][1] + one.n[2] * way[0][2];
    const up = one.n[0] * way[1][0] + one.n[1] * way[1][1] + one.n[2] * way[1][2];
    const c = one.c - one.n[0] * centre[0] - one.n[1] * centre[1] - one.n[2] * centre[2];
    const x0 = middle[0] * factor, y0 = middle[1] * factor;
    let top = H, foot = -1, near = FAR, deep = 1e9;
    for (const ring of one.rings) {
      for (let i = 0; i < ring.length; i += 1) {
        const a = ring[i], b = ring[i + 1 < ring.length ? i + 1 : 0];
        near = Math.max(near, zs[a]); deep = Math.min(deep, zs[a]);
        let ya = y[a], yb = y[b], xa = x[a], xb = x[b];
        if (ya === yb) continue;
        if (ya > yb) { [ya, yb] = [yb, ya]; [xa, xb] = [xb, xa]; }
        const first = Math.max(0, Math.ceil(ya - 0.5)), last = Math.min(H - 1, Math.ceil(yb - 0.5) - 1);
        if (first < top) top = first;
        if (last > foot) foot = last;
        const slope = (xb - xa) / (yb - ya);
        for (let row = first; row <= last; row += 1) rows[row].push(xa + slope * (row + 0.5 - ya));
      }
    }
    const sign = d < 0 ? -1 : 1; // the light comes over the left shoulder of who looks
    const shade = Math.round(255 * (0.6 + 0.4 * Math.max(0, sign * (-0.35 * right + 0.55 * up + 0.76 * d))));
    const dx = -right / d / f, id = one.id + 1;
    for (let row = top; row <= foot; row += 1) {
      const cuts = rows[row];
      if (!cuts.length) continue;
      if (cuts.length > 2) cuts.sort((p, q) => p - q);
      else if (cuts[0] > cuts[1]) cuts.reverse();
      const base = (c - ((y0 - row - 0.5) / f) * up) / d;
      for (let i = 0; i + 1 < cuts.length; i += 2) {
        const start = Math.max(0, Math.ceil(cuts[i] - 0.5)), end = Math.min(W - 1, Math.ceil(cuts[i + 1] - 0.5) - 1);
        for (let column = start; column <= end; column += 1) {
          const z = Math.min(near, Math.max(deep, base + dx * (column + 0.5 - x0)));
          const at = row * W + column;
          if (mask) mask[at] = 1;
          else if (z > depth[at]) { depth[at] = z; ids[at] = id; light[at] = shade; }
        }
      }
      cuts.length = 0;
    }
  }

  const colours = () => {
    const style = getComputedStyle(document.documentElement);
    const rgb = (name) => {
      const hex = style.getPropertyValue(name).trim();
      return [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16));
    };
    return { ink: rgb("--ink6"), paper: rgb("--paper6"), chosen: rgb("--pencil"), red: style.getPropertyValue("--red").trim(),
      words: style.getPropertyValue("--ink").trim(), ground: style.getPropertyValue("--paper").trim() };
  };

  let zs = new Float32Array(0);

  function draw(fine) {
    wide = box.clientWidth;
    if (!wide) return;
    tall = Math.round(Math.min(0.62 * window.innerHeight, Math.max(240, 0.56 * wide)));
    look();
    const dots = window.devicePixelRatio || 1;
    factor = fine ? Math.min(2 * dots, Math.sqrt(MOST / (wide * tall))) : Math.min(dots, Math.sqrt(6e5 / (wide * tall)));
    const W = Math.max(1, Math.round(wide * factor)), H = Math.max(1, Math.round(tall * factor));
    if (depth.length !== W * H) { depth = new Float32Array(W * H); ids = new Uint16Array(W * H); light = new Uint8Array(W * H); }
    depth.fill(FAR);
    ids.fill(0);
    across0 = W;
    const x = new Float32Array(points.length), y = new Float32Array(points.length);
    zs = new Float32Array(points.length);
    points.forEach((p, i) => { const at = place(p); x[i] = at[0] * factor; y[i] = at[1] * factor; zs[i] = seen(p, 2); });
    const rows = Array.from({ length: H }, () => []);
    for (const one of faces) if (planks || !data.pieces[one.id].skin || one.id === chosen) fill(W, H, one, x, y, rows);
    const mask = chosen >= 0 ? new Uint8Array(W * H) : null;
    if (mask) for (const one of faces) if (one.id === chosen) fill(W, H, one, x, y, rows, mask);
    const tone = colours(), image = new ImageData(W, H), out = image.data;
    const jump = 10 + 2 / (k * factor), thick = Math.max(1, Math.round(factor));
    for (let row = 0, at = 0; row < H; row += 1) {
      for (let column = 0; column < W; column += 1, at += 1) {
        const id = ids[at];
        let edge = 0;
        for (const step of column + 1 < W && row + 1 < H ? [1, W] : []) {
          const other = ids[at + step];
          if (other !== id) edge = 1;
          else if (id && Math.abs(depth[at + step] - depth[at]) > jump * 2) edge = 1;
          else if (id && Math.abs(light[at + step] - light[at]) > 14) edge = Math.max(edge, 0.6);
        }
        const through = mask && mask[at] && id - 1 !== chosen ? 0.55 : 0; // the chosen piece shines through
        if (!id && !edge) continue;
        const own = id - 1 === chosen ? tone.chosen : id ? TONES[groups.indexOf(data.pieces[id - 1].group) % TONES.length] : tone.paper;
        const lit = id ? (light[at] / 255) * (id - 1 === under && under !== chosen ? 1.12 : 1) : 1;
        const to = 4 * at;
        for (let i = 0; i < 3; i += 1) {
          const wood = (1 - through) * own[i] * lit + through * tone.chosen[i];
          out[to + i] = (1 - edge) * wood + edge * (id ? 30 : tone.ink[i]);
        }
        out[to + 3] = 255;
      }
    }
    for (const line of lines) strike(out, W, H, line, tone.ink, thick);
    canvas.width = Math.round(wide * dots);
    canvas.height = Math.round(tall * dots);
    canvas.style.height = `${tall}px`;
    store.width = W;
    store.height = H;
    store.getContext("2d").putImageData(image, 0, 0);
    pen.imageSmoothingQuality = "high";
    pen.drawImage(store, 0, 0, canvas.width, canvas.height);
    pen.setTransform(dots, 0, 0, dots, 0, 0);
    over(tone);
  }

  function strike(out, W, H, line, ink, thick) { // a line of the hull, where no wood lies before it
    const force = line.fine ? 0.45 : 0.85, reach = line.fine ? 1 : thick;
    for (let i = 0; i + 1 < line.at.length; i += 1) {
      const a = place(line.at[i]), b = place(line.at[i + 1]), za = seen(line.at[i], 2), zb = seen(line.at[i + 1], 2);
      const steps = Math.ceil(Math.max(Math.abs(b[0] - a[0]), Math.abs(b[1] - a[1])) * factor) || 1;
      for (let s = 0; s <= steps; s += 1) {
        const part = s / steps, z = za + part * (zb - za);
        const px = Math.floor((a[0] + part * (b[0] - a[0])) * factor), py = Math.floor((a[1] + part * (b[1] - a[1])) * factor);
        for (let q = 0; q < reach * reach; q += 1) {
          const column = px + (q % reach), row = py + Math.floor(q / reach);
          if (column < 0 || row < 0 || column >= W || row >= H) continue;
          const at = row * W + column;
          if (z + BIAS < depth[at]) continue;
          const wood = ids[at], to = 4 * at;
          if (!wood && out[to + 3] === 0) { for (let j = 0; j < 3; j += 1) out[to + j] = ink[j]; out[to + 3] = 255 * force; }
          else if (wood) for (let j = 0; j < 3; j += 1) out[to + j] = out[to + j] * (1 - force) + 30 * force;
          else out[to + 3] = Math.max(out[to + 3], 255 * force);
        }
      }
    }
  }

  function over(tone) { // suspects, and the name of the piece that is chosen
    pen.lineWidth = 3;
    pen.font = "bold 16px system-ui, sans-serif";
    const word = (text, x, y, colour) => {
      pen.lineJoin = "round";
      pen.strokeStyle = tone.ground;
      pen.lineWidth = 5;
      const left = Math.min(Math.max(x, 4), wide - pen.measureText(text).width - 4);
      const foot = Math.min(Math.max(y, 18), tall - 6);
      pen.strokeText(text, left, foot);
      pen.fillStyle = colour;
      pen.fillText(text, left, foot);
      pen.lineWidth = 3;
    };
    for (const one of data.suspects) {
      const [x, y] = place(one.typed), [u, v] = place(one.wanted);
      pen.strokeStyle = tone.red;
      pen.beginPath();
      pen.arc(x, y, 8, 0, 7);
      pen.moveTo(u - 5, v - 5); pen.lineTo(u + 5, v + 5); pen.moveTo(u - 5, v + 5); pen.lineTo(u + 5, v - 5);
      pen.moveTo(x, y); pen.lineTo(u, v);
      pen.stroke();
      word(String(one.number), x + 11, y - 8, tone.red);
    }
    const named = chosen >= 0 ? chosen : under;
    if (named >= 0) {
      const m = middles[named], at = place([m[0] / m[3], m[1] / m[3], m[2] / m[3]]);
      word(data.pieces[named].name, at[0] + 8, at[1] - 10, tone.words);
    }
  }

  function again() { // coarse while it moves, fine once it rests
    if (!waiting) waiting = requestAnimationFrame(() => { waiting = 0; draw(false); });
    clearTimeout(still);
    still = setTimeout(() => {
      draw(true);
      try { sessionStorage[KEPT] = JSON.stringify([ahead, above]); } catch { /* nothing is kept */ }
    }, 140);
  }

  // ------------------------------------------------------------------ choosing

  function at(px, py, reach) {
    const row = Math.round(py * factor), column = Math.round(px * factor);
    for (let r = 0; r <= reach * factor; r += 2) {
      for (let a = 0; a < 12; a += 1) {
        const c = Math.round(column + r * Math.cos(a / 1.91)), w = Math.round(row + r * Math.sin(a / 1.91));
        if (c >= 0 && c < across0 && w >= 0 && ids[w * across0 + c]) return ids[w * across0 + c] - 1;
      }
    }
    return -1;
  }

  function tell() {
    said.replaceChildren();
    links.forEach((link, i) => (i === chosen ? link.setAttribute("aria-current", "true") : link.removeAttribute("aria-current")));
    const piece = data.pieces[chosen];
    if (!piece) {
      add("span", "long", said, data.pieces.length ? "Choose a piece: point at it, or take it from the list." : "Drag, or use the arrow keys.");
      for (const one of data.suspects) add("span", "red", said, `Suspect ${one.number}. ${one.words}`);
      return;
    }
    add("b", "", said, piece.name);
    const own = piece.key && document.getElementById(`${piece.key}a`);
    if (!own) return;
    const small = document.querySelector(`.cards a[href="#${piece.key}a"] svg`);
    if (small) said.append(small.cloneNode(true));
    const list = add("ul", "", said);
    for (const row of own.querySelectorAll(".bench li")) add("li", "", list, row.textContent);
    for (const to of [...own.querySelectorAll('.aside a.go[href^="#m"]')].slice(0, 1)) said.append(to.cloneNode(true));
    const link = add("a", "go", said, "Its pattern");
    link.href = `#${piece.key}a`;
  }

  function choose(id) {
    chosen = id;
    tell();
    again();
  }

  const button = (name, act, pressed) => {
    const element = add("button", "", tools, name);
    element.type = "button";
    if (pressed !== undefined) element.setAttribute("aria-pressed", String(pressed));
    element.addEventListener("click", () => act(element));
    return element;
  };
  button("\u2212", () => { zoom = Math.max(0.5, zoom / 1.4); again(); }).setAttribute("aria-label", "smaller");
  button("+", () => { zoom = Math.min(40, zoom * 1.4); again(); }).setAttribute("aria-label", "larger");
  const turnTo = (a, b) => { ahead = (a * Math.PI) / 180; above = (b * Math.PI) / 180; zoom = 1; shift = [0, 0]; again(); };
  for (const [name, a, b] of WAYS) button(name, () => turnTo(a, b));
  if (data.pieces.some((piece) => piece.skin)) {
    button("Planking", (element) => { planks = !planks; element.setAttribute("aria-pressed", String(planks)); again(); }, false);
  }

  links.forEach((link, id) => {
    link.addEventListener("click", (event) => { event.preventDefault(); event.stopPropagation(); choose(id); });
    link.addEventListener("focus", () => { if (link.matches(":focus-visible")) choose(id); });
  });

  const fingers = new Map();
  let moved = 0;
  const here = (event) => { const b = canvas.getBoundingClientRect(); return [event.clientX - b.left, event.clientY - b.top]; };
  const turn = (dx, dy) => { ahead -= dx * 0.008; above = Math.min(1.57, Math.max(-1.57, above + dy * 0.008)); again(); };
  canvas.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, here(event));
    moved = fingers.size > 1 ? Infinity : 0;
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    const now = here(event), was = fingers.get(event.pointerId);
    if (!was) {
      const found = event.pointerType === "touch" ? -1 : at(now[0], now[1], 3);
      if (found !== under) { under = found; canvas.style.cursor = found < 0 ? "grab" : "pointer"; again(); }
      return;
    }
    const before = [...fingers.values()];
    fingers.set(event.pointerId, now);
    const after = [...fingers.values()];
    moved += Math.hypot(now[0] - was[0], now[1] - was[1]);
    if (after.length === 2) {
      const apart = (p) => Math.max(1, Math.hypot(p[0][0] - p[1][0], p[0][1] - p[1][1]));
      zoom = Math.min(40, Math.max(0.5, (zoom * apart(after)) / apart(before)));
      for (const i of [0, 1]) shift[i] += (after[0][i] + after[1][i] - before[0][i] - before[1][i]) / 2;
      again();
    } else if (moved > 5) {
      if (event.shiftKey || event.buttons === 4) { shift[0] += now[0] - was[0]; shift[1] += now[1] - was[1]; again(); }
      else turn(now[0] - was[0], now[1] - was[1]);
    }
  });
  const lifted = (event) => {
    const was = fingers.get(event.pointerId);
    fingers.delete(event.pointerId);
    if (was && event.type === "pointerup" && moved < 6) choose(at(was[0], was[1], event.pointerType === "touch" ? 16 : 4));
  };
  canvas.addEventListener("pointerup", lifted);
  canvas.addEventListener("pointercancel", lifted);
  canvas.addEventListener("pointerleave", () => { if (under >= 0) { under = -1; again(); } });
  canvas.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && document.activeElement !== canvas) return; // the page rolls on
    event.preventDefault();
    zoom = Math.min(40, Math.max(0.5, zoom * Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.002))));
    again();
  }, { passive: false });
  const step = (by) => {
    const count = data.pieces.length;
    if (count) choose(chosen < 0 ? (by > 0 ? 0 : count - 1) : (chosen + by + count) % count);
  };
  canvas.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const act = {
      ArrowLeft: () => turn(-12, 0), ArrowRight: () => turn(12, 0), ArrowUp: () => turn(0, -12), ArrowDown: () => turn(0, 12),
      "+": () => { zoom *= 1.2; again(); }, "=": () => { zoom *= 1.2; again(); }, "-": () => { zoom /= 1.2; again(); },
      0: () => turnTo(-52, 24), n: () => step(1), p: () => step(-1), Escape: () => choose(-1),
      Enter: () => { const piece = data.pieces[chosen]; if (piece && piece.key) location.hash = `${piece.key}a`; },
    }[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  });

  box.boat = { place, data, at, draw: () => draw(true), chosen: () => chosen }; // for whoever tries the page
  new ResizeObserver(() => { if (box.clientWidth && box.clientWidth !== wide) draw(true); }).observe(box);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => draw(true));
  tell();
  draw(true);
})();
