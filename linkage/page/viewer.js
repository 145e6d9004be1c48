/* The viewer: turns the motion of one or two sheets by positions computed beforehand.
 *
 * tightspotViewer(root, data) fills the element `root` and returns { update(data), show(index) }.
 * The data is that of linkage/page/data.py: lengths in mm, angles along the turn in degrees of the
 * right-hand crank. Words about the engine come with it; here are only names of controls.
 */
"use strict";

function tightspotViewer(root, data) {
  const SVG = "http://www.w3.org/2000/svg";
  const TIMES = [20, 15, 12, 10, 8, 6, 5, 4, 3, 2.5, 2, 1.5, 1, 0.5, 0.25, 0.1];
  const ZOOM = 5; // how many times larger the enlarged views are
  const ROW = 24; // of lettering above and below a picture [px]
  const PAPER = 480; // width of a picture in print [px]
  const SETTLED = 500; // after this a position is read out [ms]

  // ---- small helpers ----

  function make(tag, attributes = {}, ...children) {
    const element = document.createElement(tag);
    for (const [key, value] of Object.entries(attributes)) {
      if (value !== null && value !== false) element.setAttribute(key, value === true ? "" : value);
    }
    element.append(...children);
    return element;
  }

  function draw(tag, attributes = {}, parent = null) {
    const element = document.createElementNS(SVG, tag);
    set(element, attributes);
    if (parent) parent.append(element);
    return element;
  }

  function set(element, attributes) {
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  }

  function write(parent, x, y, text, attributes = {}) {
    const element = draw("text", { x, y, ...attributes }, parent);
    element.textContent = text;
    return element;
  }

  const upper = (text) => text.charAt(0).toUpperCase() + text.slice(1);
  const wrap = (value, count) => ((value % count) + count) % count;
  const clamp = (value, low, high) => Math.max(low, Math.min(high, value));
  const fixed = (value) => value.toFixed(3);

  // ---- positions ----

  /** Read a side's positions out of their text; null where there is none. */
  function readPoses(side, count) {
    const bytes = Uint8Array.from(atob(side.poses.numbers), (c) => c.charCodeAt(0));
    const view = new DataView(bytes.buffer);
    const rows = new Map(side.parts.map((name, row) => [name, row]));
    return (part, k) => {
      if (!rows.has(part)) return { x: 0, y: 0, cos: 1, sin: 0 }; // of the frame
      const at = 6 * (rows.get(part) * count + k);
      const x = view.getInt16(at, true);
      if (x === data.noPlace) return null;
      const turn = view.getInt16(at + 4, true) * side.poses.rad;
      const y = view.getInt16(at + 2, true) * side.poses.mm;
      return { x: x * side.poses.mm, y, cos: Math.cos(turn), sin: Math.sin(turn) };
    };
  }

  const placed = (pose, [x, y]) => [
    pose.x + pose.cos * x - pose.sin * y,
    pose.y + pose.sin * x + pose.cos * y,
  ];

  const inPlace = ({ x, y, cos, sin }) => `matrix(${cos} ${sin} ${-sin} ${cos} ${x} ${y})`;

  /** Return a piece seen from above as a path of (x, out), the same as draw/shapes.py has it. */
  function planPath([corners, outs, radius, half], pose) {
    const spots = corners.map((corner) => placed(pose, corner));
    const xs = spots.map((spot) => spot[0]);
    if (corners.length !== 2) {
      const [low, high] = [Math.min(...xs) - radius, Math.max(...xs) + radius];
      return path([[low, outs[0] - half], [high, outs[0] - half],
                   [high, outs[0] + half], [low, outs[0] + half]]);
    }
    const [dx, dy] = [spots[1][0] - spots[0][0], spots[1][1] - spots[0][1]];
    const reach = (radius * Math.abs(dy)) / (Math.hypot(dx, dy) || 1);
    const turned = xs[0] > xs[1] || (xs[0] === xs[1] && outs[0] > outs[1]);
    const [a, b] = turned ? [1, 0] : [0, 1];
    return path(swept([xs[a], outs[a]], [xs[b], outs[b]], reach, half));
  }

  /** Return what a rectangle covers that is moved from one place to another. */
  function swept([xa, oa], [xb, ob], reach, half) {
    const first = [[xa - reach, oa + half], [xa - reach, oa - half]];
    const last = [[xb + reach, ob - half], [xb + reach, ob + half]];
    return ob >= oa
      ? [...first, [xa + reach, oa - half], ...last, [xb - reach, ob + half]]
      : [...first, [xb - reach, ob - half], ...last, [xa + reach, oa + half]];
  }

  const path = (points) => `M${points.map(([x, y]) => `${fixed(x)} ${fixed(y)}`).join("L")}Z`;

  // ---- one picture: a side seen from outside, or from above ----

  let pictures = 0; // so that every picture's hatchings have names of their own

  class Picture {
    constructor(side, plan) {
      this.side = side;
      this.plan = plan;
      this.id = `picture${(pictures += 1)}`;
      this.svg = draw("svg", { role: "img", class: plan ? "plan" : "side" });
      this.caption = make("figcaption");
      this.figure = make("figure", {}, this.svg, this.caption);
      this.svg.addEventListener("click", (event) => {
        const body = event.target.closest("[data-name]");
        state.part = body ? body.dataset.name : null;
        redraw();
      });
    }

    /** Draw what does not move, for a width and a window; what moves is put in place later. */
    layout(bodies, width) {
      this.bodies = bodies;
      this.frame(width);
      this.svg.replaceChildren();
      this.hatchings();
      this.world = draw("g", { transform: this.transform() }, this.svg);
      this.ground();
      this.shapes = bodies.filter((body) => !this.plan || body.plan.length)
        .map((body) => this.shape(body));
      this.jointed();
      this.over = draw("g", { class: "over" }, this.svg);
      this.front();
      this.say();
    }

    frame(width) {
      const { x, y, out } = data.window;
      const across = this.plan ? out : y;
      const margin = 10;
      const most = this.plan ? clamp(0.34 * width, 96, 210)
                             : clamp(0.55 * window.innerHeight, 150, 430) - 2 * ROW;
      this.width = width;
      this.scale = (width - 2 * margin) / (x[1] - x[0]);
      if (!this.plan) this.scale = Math.min(this.scale, most / (across[1] - across[0]));
      else this.scale = this.side.pictures[0].whole; // above one another, so at one scale
      this.whole = this.scale;
      this.centre = [(x[0] + x[1]) / 2, across.length ? (across[0] + across[1]) / 2 : 0];
      const fits = across.length ? most / (this.scale * (across[1] - across[0])) : 1;
      this.times = this.plan ? TIMES.find((times) => times <= fits) ?? TIMES.at(-1) : 1;
      const high = across.length ? (across[1] - across[0]) * this.scale * this.times : 0;
      this.height = Math.round(high + 2 * ROW);
      this.enlarge();
      set(this.svg, { viewBox: `0 0 ${width} ${this.height}`, width, height: this.height });
    }

    enlarge() {
      const spot = state.zoom ? zoomPlace(this.side.name) : null;
      this.zoomed = Boolean(spot);
      if (!spot) return;
      this.scale *= ZOOM;
      if (this.plan) this.times = TIMES.find((times) => times <= Math.max(1, this.times / 2));
      this.centre = [spot[0], this.plan ? spot[2] ?? this.level() : spot[1]];
    }

    /** Return how far out the parts of the current spot lie, for places that do not say. */
    level() {
      const parts = spots()[state.spot].parts;
      const outs = this.bodies.filter((body) => parts.includes(body.part))
        .flatMap((body) => body.plan.flatMap((piece) => piece[1]));
      return outs.length ? outs.reduce((a, b) => a + b) / outs.length : this.centre[1];
    }

    transform() {
      const [sx, sy] = this.scales();
      const [x, y] = [this.width / 2 - sx * this.centre[0], this.height / 2 - sy * this.centre[1]];
      return `matrix(${sx} 0 0 ${sy} ${x} ${y})`;
    }

    /** Pixels a mm; from the left side x runs to the left, and away from the frames is down. */
    scales() {
      const sx = this.side.data.mirrored ? -this.scale : this.scale;
      return [sx, this.plan ? this.scale * this.times : -this.scale];
    }

    onPaper([x, y]) {
      const [sx, sy] = this.scales();
      return [this.width / 2 + sx * (x - this.centre[0]),
              this.height / 2 + sy * (y - this.centre[1])];
    }

    /** Hatchings keep their size on paper whatever the scale. */
    hatchings() {
      const defs = draw("defs", {}, this.svg);
      const [sx, sy] = this.scales().map(Math.abs);
      const lines = { fixed: "M0 6L6 0", first: "M0 5L5 0", second: "M0 0L5 5", chosen: "M1 2h1.6",
                      overlap: "M0 4L4 0M0 0L4 4" };
      for (const [name, line] of Object.entries(lines)) {
        const size = { fixed: 6, overlap: 4 }[name] ?? 5;
        const pattern = draw("pattern", {
          id: `${this.id}-${name}`, patternUnits: "userSpaceOnUse", width: size, height: size,
          patternTransform: `scale(${1 / sx} ${1 / sy})`,
        }, defs);
        draw("rect", { width: size, height: size, class: `ground-${name}` }, pattern);
        draw("path", { d: line, class: `hatch-${name}` }, pattern);
      }
    }

    /** The crank's circle, or the face of the wheel; and where joints go, of bare linkages. */
    ground() {
      if (this.plan) {
        if (!this.bodies.some((body) => body.plan.length)) return;
        const far = 1e4;
        draw("path", { d: `M${-far} 0H${far}`, class: "face" }, this.world);
        return;
      }
      const { axle, pin } = this.side.data.crank;
      const r = Math.hypot(pin[0], pin[1]);
      draw("circle", { cx: axle[0], cy: axle[1], r, class: "circle" }, this.world);
      if (this.bodies.some((body) => !body.line)) return;
      const dots = this.side.data.joints.map((joint) => this.course(joint)).join("");
      draw("path", { d: dots, class: "dots" }, this.world);
    }

    course(joint) {
      return this.side.sheet.crank.map((_, k) => {
        const pose = this.side.pose(joint.part, k);
        return pose ? `M${placed(pose, joint.at).map(fixed).join(" ")}h0` : "";
      }).join("");
    }

    shape(body) {
      const element = draw("path", { "data-name": body.name }, this.world);
      element.classList.add(body.line ? "line" : "body");
      if (!this.plan) element.setAttribute("d", body.side);
      draw("title", {}, element).textContent = upper(body.name);
      return { body, element };
    }

    jointed() {
      if (this.plan) return;
      this.arm = draw("path", { class: "arm" }, this.world);
      this.world.insertBefore(this.arm, this.shapes.length ? this.shapes[0].element : null);
      this.slots = this.side.data.joints.filter((joint) => joint.slot).map((joint) => ({
        joint, element: draw("path", { d: joint.slot, class: "slot" }, this.world) }));
      this.joints = ["foot", "pin ink", "pin paper", "square ink", "square paper"].map((name) =>
        draw("path", { class: name }, this.svg));
    }

    front() {
      const left = this.side.data.mirrored;
      const x = left ? 6 : this.width - 6;
      const anchor = left ? "start" : "end";
      const mark = left ? "← FRONT" : "FRONT →";
      write(this.svg, x, 16, mark, { "text-anchor": anchor, class: "front" });
    }

    say() {
      const view = this.plan ? "seen from above" : this.side.data.seen;
      const name = this.plan ? "Plan" : "Side view";
      const where = this.side.data.mirrored ? "left" : "right";
      set(this.svg, { "aria-label": `${name}, ${this.side.title}${view}. FRONT is to the ${where}.` });
      let text = `${name}: ${view}${this.zoomed ? `, enlarged ${ZOOM} times` : ""}.`;
      if (this.plan && data.window.out.length) {
        const times = this.times === 1 ? "one scale both ways"
                                       : `across drawn ${this.times} times as large as along`;
        text += ` Up is towards the frames, down away from them; ${times}.`;
        if (!this.bodies.some((body) => body.plan.length)) text = data.words.noOutlines;
      } else if (this.plan) text = `Plan: ${data.words.noOutlines}`;
      if (!this.plan && this.bodies.every((body) => body.line)) text += ` ${data.words.paths}`;
      if (this.plan && this.side.shifted) text += ` ${data.words.wheelsets}`;
      this.caption.textContent = text;
    }

    /** Put everything in place at one position. */
    place(k) {
      this.k = k;
      for (const { body, element } of this.shapes) {
        const pose = this.side.pose(body.part, k);
        if (!pose) continue;
        if (this.plan) {
          set(element, { d: body.plan.map((piece) => planPath(piece, pose)).join("") });
        } else {
          set(element, { transform: inPlace(pose) });
        }
      }
      if (!this.plan) this.placeJoints(k);
    }

    placeJoints(k) {
      for (const { joint, element } of this.slots) {
        const pose = this.side.pose(joint.on, k);
        if (pose) set(element, { transform: inPlace(pose) });
      }
      const d = ["", "", "", "", ""];
      for (const joint of this.side.data.joints) {
        const pose = this.side.pose(joint.part, k);
        if (!pose) continue;
        const at = this.onPaper(placed(pose, joint.at)).map(fixed).join(" ");
        if (joint.ground) d[0] += `M${at}l-5 9h10z`;
        for (const layer of joint.square ? [3, 4] : [1, 2]) d[layer] += `M${at}h0.01`;
      }
      this.joints.forEach((element, layer) => set(element, { d: d[layer] }));
      const { part, axle, pin } = this.side.data.crank;
      const pose = this.side.pose(part, k);
      if (pose) set(this.arm, { d: `M${axle.join(" ")}L${placed(pose, pin).map(fixed).join(" ")}` });
    }

    /** Mark the parts that a tight spot is about, and the one that was asked for. */
    mark(heavy, rings) {
      for (const { body, element } of this.shapes) {
        const rank = heavy.indexOf(body.part);
        const look = body.name === state.part ? "chosen" : ["first", "second"][Math.min(rank, 1)];
        const hatch = look ?? (body.fixed ? "fixed" : "");
        element.classList.toggle("heavy", rank >= 0);
        element.classList.toggle("chosen", body.name === state.part);
        element.style.fill = hatch && !body.line ? `url(#${this.id}-${hatch})` : "";
      }
      this.raise(heavy);
      this.over.replaceChildren();
      if (this.plan && this.zoomed && rings.length && overlaps()) this.overlap(heavy, rings[0]);
      for (const ring of rings) this.ring(ring);
      this.names(heavy, rings);
    }

    /** Paint the heavy parts last, the others in their own order. */
    raise(heavy) {
      const key = heavy.join("|");
      if (key === this.raised) return;
      this.raised = key;
      const last = (item) => heavy.includes(item.body.part);
      const order = [...this.shapes.filter((item) => !last(item)), ...this.shapes.filter(last)];
      this.world.append(...order.map((item) => item.element));
      this.world.append(...(this.slots ?? []).map((item) => item.element));
    }

    /** Hatch where the metal of two parts is in one place: what they share inside the ring. */
    overlap(heavy, [x, , out]) {
      const outline = (part) => this.shapes.filter(({ body }) => body.part === part)
        .map(({ element }) => element.getAttribute("d")).join("");
      const [cx, cy] = this.onPaper([x, out]);
      const inside = draw("clipPath", { id: `${this.id}-inside` }, this.over);
      draw("circle", { cx, cy, r: 22 }, inside);
      const shared = draw("clipPath", { id: `${this.id}-shared` }, this.over);
      draw("path", { d: outline(heavy[0]) }, shared);
      const ring = draw("g", { "clip-path": `url(#${this.id}-inside)` }, this.over);
      const place = draw("g", { "clip-path": `url(#${this.id}-shared)`,
                                transform: this.transform() }, ring);
      const element = draw("path", { d: outline(heavy[1]), class: "overlap" }, place);
      element.style.fill = `url(#${this.id}-overlap)`;
    }

    ring([x, y, out]) {
      if (this.plan && out === null) return;
      const [cx, cy] = this.onPaper([x, this.plan ? out : y]);
      const r = this.zoomed ? 22 : 12;
      draw("circle", { cx, cy, r, class: "ring paper" }, this.over);
      draw("circle", { cx, cy, r, class: "ring ink" }, this.over);
    }

    /** Write up to two names, above and below the picture, with lines to their parts. */
    names(heavy, rings) {
      const wanted = (body) => (state.part ? body.name === state.part : heavy.includes(body.part));
      const found = new Map();
      for (const { body } of this.shapes) {
        if (wanted(body) && !found.has(body.part)) found.set(body.part, body);
      }
      const labels = [...found.values()].slice(0, 2)
        .map((body) => ({ text: body.name, spot: this.anchor(body, rings) }))
        .filter((label) => label.spot).sort((a, b) => a.spot[1] - b.spot[1]);
      labels.forEach((label, row) => this.name(label, row === 0));
    }

    name({ text, spot }, above) {
      const half = 3.6 * text.length + 6;
      const front = above ? 78 : 0; // FRONT stands there
      const [left, right] = this.side.data.mirrored ? [front, 0] : [0, front];
      const x = clamp(spot[0], half + left, Math.max(half + left, this.width - half - right));
      const [y, end] = above ? [16, 21] : [this.height - 8, this.height - 21];
      draw("path", { d: `M${x} ${end}L${spot[0]} ${spot[1]}`, class: "leader paper" }, this.over);
      draw("path", { d: `M${x} ${end}L${spot[0]} ${spot[1]}`, class: "leader ink" }, this.over);
      write(this.over, x, y, text, { "text-anchor": "middle", class: "name" });
    }

    /** Return where on a body its name is to point: in sight, and beside the rings. */
    anchor(body, rings) {
      const pose = this.side.pose(body.part, this.k);
      if (!pose) return null;
      const spots = this.handles(body, pose).map((spot) => this.onPaper(spot));
      const marks = rings.map(([x, y, out]) => this.onPaper([x, this.plan ? out ?? 0 : y]));
      const cost = ([x, y], index) => {
        const inside = x > 8 && x < this.width - 8 && y > ROW && y < this.height - ROW;
        const near = marks.some(([mx, my]) => Math.hypot(x - mx, y - my) < (this.zoomed ? 40 : 22));
        return (inside ? 0 : 1000) + (near ? 100 : 0) + index;
      };
      return spots[spots.map(cost).reduce((best, c, i, all) => (c < all[best] ? i : best), 0)];
    }

    handles(body, pose) {
      const level = (out) => (this.plan ? out : null);
      const found = this.plan ? [] : [placed(pose, body.at)];
      for (const [corners, outs] of body.plan) {
        const last = corners.length - 1;
        for (const share of [0.5, 0.35, 0.65, 0.2, 0.8, 0.05, 0.95]) {
          const mix = (a, b) => a + share * (b - a);
          const [a, b] = [corners[0], corners[last === 1 ? 1 : Math.floor((last + 1) / 2)]];
          const spot = placed(pose, [mix(a[0], b[0]), mix(a[1], b[1])]);
          found.push([spot[0], level(mix(outs[0], outs[last])) ?? spot[1]]);
        }
      }
      return found;
    }
  }

  // ---- the dial ----

  class Dial {
    constructor(side) {
      this.side = side;
      this.sign = side.data.mirrored ? -1 : 1;
      this.svg = draw("svg", { role: "img", class: "dial", viewBox: "0 0 336 236" });
      this.caption = make("figcaption");
      this.figure = make("figure", { class: "dial" }, this.svg, this.caption);
      const turn = (event) => { if (this.held) turnTo(this.angle(event) + side.data.behind); };
      this.svg.addEventListener("pointerdown", (event) => {
        event.preventDefault(); // no text is picked out, no page moved
        this.svg.setPointerCapture(event.pointerId);
        this.held = true;
        stop();
        turn(event);
      });
      this.svg.addEventListener("pointermove", turn);
      for (const end of ["pointerup", "pointercancel"]) {
        this.svg.addEventListener(end, () => { this.held = false; });
      }
      this.layout();
    }

    /** Return the crank angle of this side that a pointer stands at [degrees]. */
    angle(event) {
      const box = this.svg.getBoundingClientRect();
      const scale = 336 / box.width;
      const x = (event.clientX - box.left) * scale - 168;
      const y = (event.clientY - box.top) * scale - 118;
      return (Math.atan2(y, this.sign * x) * 180) / Math.PI;
    }

    at(degrees, radius) {
      const angle = (degrees * Math.PI) / 180;
      return [168 + this.sign * radius * Math.cos(angle), 118 + radius * Math.sin(angle)];
    }

    layout() {
      const defs = draw("defs", {}, this.svg);
      const pattern = draw("pattern", { id: `dial-${this.side.name}`, width: 6, height: 6,
                                        patternUnits: "userSpaceOnUse" }, defs);
      draw("rect", { width: 6, height: 6, class: "ground-first" }, pattern);
      draw("path", { d: "M0 6L6 0M0 0L6 6", class: "hatch-first" }, pattern);
      draw("circle", { cx: 168, cy: 118, r: 88, class: "rim" }, this.svg);
      this.arcs();
      this.hours();
      this.running();
      this.ghost = draw("path", { class: "ghost" }, this.svg);
      this.pointer = draw("path", { class: "pointer" }, this.svg);
      this.pin = draw("circle", { r: 7, class: "crankpin" }, this.svg);
      draw("circle", { cx: 168, cy: 118, r: 4, class: "axle" }, this.svg);
      this.words();
      const seen = this.side.data.mirrored ? "left" : "right";
      set(this.svg, { "aria-label": `Dial of the turn, ${this.side.title}${this.side.data.seen}. `
                                    + `FRONT is to the ${seen}. The slider turns the crank, too.` });
    }

    arcs() {
      this.side.sheet.spots.forEach((spot, number) => {
        if (!spot.sides.includes(this.side.name)) return;
        const [begin, end] = [spot.begin, spot.end].map((angle) => angle - this.side.data.behind);
        const narrow = end - begin < 3;
        const middle = (begin + end) / 2;
        const band = narrow ? [middle - 1.5, middle + 1.5] : [begin, end];
        const element = draw("path", { d: this.band(band), class: "band" }, this.svg);
        element.style.fill = `url(#dial-${this.side.name})`;
      });
    }

    /** Written last, over the pointer. */
    words() {
      this.side.sheet.spots.forEach((spot, number) => {
        if (!spot.sides.includes(this.side.name)) return;
        const [x, y] = this.at((spot.begin + spot.end) / 2 - this.side.data.behind, 46);
        write(this.svg, x, y + 4, `${number + 1} ${spot.word}`,
              { "text-anchor": "middle", class: "arcword" });
      });
    }

    band([begin, end]) {
      const whole = Math.min(end - begin, 359.9);
      const [a, b, c, d] = [this.at(begin, 88), this.at(begin + whole, 88),
                            this.at(begin + whole, 70), this.at(begin, 70)];
      const long = whole > 180 ? 1 : 0;
      const way = this.sign > 0 ? 1 : 0;
      return `M${a}A88 88 0 ${long} ${way} ${b}L${c}A70 70 0 ${long} ${1 - way} ${d}Z`;
    }

    hours() {
      for (let hour = 1; hour <= 12; hour += 1) {
        const turned = ((hour * 30 - 90) * Math.PI) / 180;
        const [x, y] = [Math.cos(turned), Math.sin(turned)];
        const main = hour % 3 === 0;
        draw("path", { class: main ? "hour main" : "hour",
                       d: `M${168 + 88 * x} ${118 + 88 * y}L${168 + 94 * x} ${118 + 94 * y}` },
             this.svg);
        if (main) {
          write(this.svg, 168 + 104 * x, 123 + 104 * y, `${hour}`,
                { "text-anchor": "middle", class: "hourword" });
        }
      }
    }

    running() {
      const [a, b] = [this.at(24, 104), this.at(62, 104)];
      draw("path", { d: `M${a}A104 104 0 0 ${this.sign > 0 ? 1 : 0} ${b}`, class: "running" },
           this.svg);
      const [x, y] = this.at(62, 104);
      const [u, v] = [Math.cos((62 * Math.PI) / 180), Math.sin((62 * Math.PI) / 180)];
      const tip = [[8, 3], [0, -6], [0, 6]].map(([along, aside], index) => {
        const [p, q] = index ? [0, aside] : [along, 0];
        return [x + this.sign * (-v * p + u * q), y + u * p + v * q];
      });
      draw("path", { d: path(tip), class: "tip" }, this.svg);
      const anchor = this.sign > 0 ? "end" : "start";
      const edge = 168 + this.sign * 164;
      write(this.svg, edge, 216, "forward", { "text-anchor": anchor, class: "small" });
      write(this.svg, edge, 230, "running", { "text-anchor": anchor, class: "small" });
      const mark = this.sign > 0 ? "FRONT →" : "← FRONT";
      write(this.svg, edge, 92, mark, { "text-anchor": anchor, class: "front" });
    }

    place(k, wanted) {
      const turned = (index) => this.side.sheet.crank[index] - this.side.data.behind;
      set(this.pointer, { d: `M168 118L${this.at(turned(k), 72)}` });
      const [cx, cy] = this.at(turned(k), 79);
      set(this.pin, { cx, cy });
      set(this.ghost, { d: k === wanted ? "" : `M168 118L${this.at(turned(wanted), 79)}` });
      this.caption.textContent = `Crank pin ${this.side.clock(k)}`;
    }
  }

  // ---- the curve ----

  class Curve {
    constructor() {
      this.svg = draw("svg", { role: "img", class: "curve" });
      this.caption = make("figcaption");
      this.figure = make("figure", { class: "curve" }, this.svg, this.caption);
      this.svg.addEventListener("click", (event) => {
        const box = this.svg.getBoundingClientRect();
        turnTo(((event.clientX - box.left - this.left) / (this.width - this.left - 8)) * 360);
      });
    }

    layout(curve, spots, width) {
      this.figure.hidden = !curve;
      this.curve = curve;
      if (!curve) return;
      Object.assign(this, { width, height: 168, left: 44 });
      set(this.svg, { viewBox: `0 0 ${width} ${this.height}`, width, height: this.height,
                      "aria-label": `${curve.title}, over one turn of the crank` });
      this.svg.replaceChildren();
      const pattern = draw("pattern", { id: "curve-arc", width: 6, height: 6,
                                        patternUnits: "userSpaceOnUse" }, draw("defs", {}, this.svg));
      draw("path", { d: "M0 6L6 0", class: "hatch-fixed" }, pattern);
      spots.forEach((spot) => this.shade(spot));
      this.axes();
      draw("path", { d: this.line(), class: "graph" }, this.svg);
      curve.levels.forEach((level) => this.level(level));
      this.cursor = draw("path", { class: "cursor" }, this.svg);
      this.dot = draw("circle", { r: 5, class: "crankpin" }, this.svg);
      this.caption.textContent = `${curve.title}. Across: ${sheet().crankWord}, degrees, `
                                 + "0 straight ahead, growing in forward running.";
    }

    x(degrees) { return this.left + (degrees / 360) * (this.width - this.left - 8); }

    y(value) {
      const { low, high } = this.curve;
      return 8 + ((high - clamp(value, low, high)) / (high - low)) * (this.height - 34);
    }

    shade(spot) {
      const begin = wrap(spot.begin, 360);
      const end = begin + Math.max(spot.end - spot.begin, 0.7);
      for (const [from, to] of [[begin, Math.min(end, 360)], [0, end - 360]]) {
        if (to <= from) continue;
        const box = draw("rect", { x: this.x(from), y: 8, width: this.x(to) - this.x(from),
                                   height: this.height - 34, class: "arc" }, this.svg);
        box.style.fill = "url(#curve-arc)";
      }
    }

    axes() {
      const bottom = this.height - 26;
      draw("path", { d: `M${this.left} 8V${bottom}H${this.width - 8}`, class: "axis" }, this.svg);
      for (let at = 0; at <= 360; at += this.width < 500 ? 90 : 45) {
        draw("path", { d: `M${this.x(at)} ${bottom}v4`, class: "axis" }, this.svg);
        const anchor = at === 360 ? "end" : "middle";
        write(this.svg, at === 360 ? this.width - 2 : this.x(at), bottom + 17, `${at}°`,
              { "text-anchor": anchor, class: "small" });
      }
      const { low, high } = this.curve;
      const step = [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 50, 100]
        .find((s) => (high - low) / s <= 5) ?? high - low;
      for (let at = Math.ceil(low / step) * step; at <= high; at += step) {
        const text = step < 0.1 ? at.toFixed(2) : `${Number(at.toFixed(1))}`;
        write(this.svg, this.left - 6, this.y(at) + 4, text, { "text-anchor": "end", class: "small" });
      }
    }

    /** A value above what is in sight runs along the top edge; none at all breaks the line. */
    line() {
      let open = false;
      return this.curve.points.map(([at, value]) => {
        if (value === null || value > this.curve.high) { open = false; return ""; }
        const start = open ? "L" : "M";
        open = true;
        return `${start}${this.x(at).toFixed(1)} ${this.y(value).toFixed(1)}`;
      }).join("");
    }

    level([value, words]) {
      const y = this.y(value);
      draw("path", { d: `M${this.left} ${y}H${this.width - 8}`,
                     class: words.startsWith("0") ? "level zero" : "level" }, this.svg);
      const left = this.room(value, 0, 90) > this.room(value, 270, 360);
      write(this.svg, left ? this.left + 5 : this.width - 12, y - 4, words,
            { "text-anchor": left ? "start" : "end", class: "level" });
    }

    /** How far the curve keeps from a level over some of the turn: there is room for words. */
    room(value, from, to) {
      const near = this.curve.points.filter(([at, v]) => at >= from && at <= to && v !== null);
      return Math.min(...near.map(([, v]) => Math.abs(this.y(v) - this.y(value))));
    }

    place(degrees) {
      if (!this.curve) return;
      set(this.cursor, { d: `M${this.x(degrees)} 8V${this.height - 26}` });
      const away = ([at]) => Math.abs(wrap(at - degrees + 180, 360) - 180);
      const near = this.curve.points.reduce((best, p) => (away(p) < away(best) ? p : best));
      const seen = near[1] !== null && near[1] <= this.curve.high;
      this.dot.style.display = seen ? "" : "none";
      if (seen) set(this.dot, { cx: this.x(degrees), cy: this.y(near[1]) });
    }
  }

  // ---- state ----

  const state = { sheet: 0, shown: null, index: 0, way: 1, spot: -1, zoom: false, part: null,
                  playing: 0, speed: 12 };
  let sides = [];
  const sheet = () => data.sheets[state.sheet];
  const spots = () => sheet().spots;

  /** Return where a side's enlarged views look: at the current spot's worst place. */
  function zoomPlace(name) {
    const spot = spots()[state.spot];
    if (!spot) return null;
    const rings = ringsAt(spot, spot.stop);
    return (rings[name] ?? [])[0] ?? null;
  }

  const overlaps = () => Boolean(spots()[spotAt(state.index)]?.overlap);
  const stepInto = (spot, k) => wrap(k - spot.first, sheet().crank.length);
  const isWithin = (spot, k) => stepInto(spot, k) < spot.here.length;
  const ringsAt = (spot, k) => (isWithin(spot, k) ? spot.here[stepInto(spot, k)][1] : {});

  /** Return the spot at a position: the current one if it is there, else the worst that is. */
  function spotAt(k) {
    if (state.spot >= 0 && isWithin(spots()[state.spot], k)) return state.spot;
    return spots().findIndex((spot) => isWithin(spot, k));
  }

  /** Return the last position at or before one, the way the crank is turned, that there is. */
  function standing(k) {
    const count = sheet().crank.length;
    for (let step = 0; step < count; step += 1) {
      const at = wrap(k - state.way * step, count);
      if (sides.every((side) => side.pose(side.data.parts[0], at))) return at;
    }
    return k;
  }

  function nearest(degrees) {
    const crank = sheet().crank;
    const away = (k) => Math.abs(wrap(crank[k] - degrees + 180, 360) - 180);
    return crank.reduce((best, _, k) => (away(k) < away(best) ? k : best), 0);
  }

  /** Turn the shorter way to an angle of the right-hand crank. */
  function turnTo(degrees) {
    const by = wrap(degrees - sheet().crank[state.index] + 180, 360) - 180;
    if (by !== 0) state.way = by > 0 ? 1 : -1;
    show(nearest(degrees));
  }

  function show(index) {
    state.index = wrap(index, sheet().crank.length);
    const found = spotAt(state.index);
    if (found >= 0 && found !== state.spot) choose(found);
    redraw();
    readOut();
  }

  /** Make a spot the current one: its curve, its place enlarged, its wheelsets over. */
  function choose(number) {
    state.spot = number;
    layout();
  }

  function jump(number) {
    stop();
    state.part = null;
    state.index = spots()[number].stop;
    state.way = 1;
    if (!sides.some((side) => spots()[number].sides.includes(side.name))) {
      state.shown = spots()[number].sides[0];
      pickSides(state.shown);
      top();
    }
    choose(number);
    redraw();
    readOut();
  }

  function jumpBy(step) {
    const order = spots().map((_, n) => n).sort((a, b) => spots()[a].stop - spots()[b].stop);
    if (step < 0) order.reverse();
    const at = state.index === spots()[state.spot]?.stop ? order.indexOf(state.spot) : -1;
    const past = order.findIndex((n) => (spots()[n].stop - state.index) * step > 0);
    jump(order[at >= 0 ? (at + 1) % order.length : Math.max(past, 0)]);
  }

  // ---- playing ----

  let started = null;

  function play(way) {
    const again = state.playing === way;
    stop();
    if (again) return;
    state.playing = state.way = way;
    started = null;
    state.part = null;
    buttons();
    requestAnimationFrame(frame);
  }

  function stop() {
    state.playing = 0;
    buttons();
  }

  /** Show the position that the time has come to, unless the wheels lock on the way there. */
  function frame(now) {
    if (!state.playing) return;
    started ??= { now, degrees: sheet().crank[state.index] };
    const turned = (state.playing * 360 * (now - started.now)) / (1000 * state.speed);
    const wanted = nearest(wrap(started.degrees + turned, 360));
    const count = sheet().crank.length;
    const steps = wrap(state.playing * (wanted - state.index), count);
    for (let step = 1; step <= Math.min(steps, count / 2); step += 1) {
      const at = wrap(state.index + state.playing * step, count);
      if (standing(at) !== at) {
        stop();
        show(at);
        return;
      }
    }
    if (steps > 0 && steps < count / 2) show(wanted);
    requestAnimationFrame(frame);
  }

  // ---- controls ----

  const control = {};

  function radios(name, legend, choices, chosen, pick) {
    const group = make("fieldset", {}, make("legend", {}, legend));
    for (const [value, text] of choices) {
      const id = `${name}-${value}`;
      const input = make("input", { type: "radio", name, id, value, checked: value === chosen });
      input.addEventListener("change", () => pick(value));
      group.append(make("span", {}, input, make("label", { for: id }, text)));
    }
    group.hidden = choices.length < 2;
    return group;
  }

  function button(text, action, attributes = {}) {
    const element = make("button", { type: "button", ...attributes }, text);
    element.addEventListener("click", action);
    return element;
  }

  function sideChoices() {
    const names = Object.keys(sheet().sides);
    const choices = names.map((name) => [name, upper(name)]);
    return names.length > 1 ? [...choices, ["both", "Both"]] : choices;
  }

  function build() {
    control.top = make("div", { class: "top controls" });
    control.here = make("p", { class: "here" });
    control.position = make("p", { class: "position" });
    control.sides = make("div", { class: "sides" });
    control.live = make("p", { class: "unseen", "aria-live": "polite" });
    control.part = make("p", { class: "part", "aria-live": "polite" });
    control.lists = make("section", { class: "lists" });
    control.parts = make("section", { class: "parts controls" });
    control.curve = new Curve();
    root.replaceChildren(control.top, control.here, control.sides, turning(),
                         control.curve.figure, control.lists, control.parts, control.live);
  }

  /** The bar that turns the crank; it stays in sight. */
  function turning() {
    control.slider = make("input", { type: "range", id: "turn", min: 0, step: 1, value: 0 });
    control.slider.addEventListener("input", () => slide(Number(control.slider.value)));
    control.slider.addEventListener("keydown", roundTheEnd);
    control.back = button("Backwards", () => play(-1));
    control.ahead = button("Forwards", () => play(1));
    control.previous = button("Previous spot", () => jumpBy(-1));
    control.next = button("Next spot", () => jumpBy(1));
    control.speed = make("select", { id: "speed" });
    for (const [seconds, text] of [[40, "slow"], [12, "medium"], [6, "fast"]]) {
      control.speed.append(make("option", { value: seconds, selected: seconds === 12 }, text));
    }
    control.speed.addEventListener("change", () => {
      state.speed = Number(control.speed.value);
      started = null;
    });
    control.zoom = button("Enlarge at the spot", () => zoom(!state.zoom), { "aria-pressed": "false" });
    const row = make("div", { class: "row controls" }, control.previous, control.back, control.ahead,
                     control.next);
    const label = make("label", { for: "turn", class: "unseen" }, "Turn the crank");
    control.slider.classList.add("controls");
    return make("div", { class: "turning" }, control.part, control.position, label, control.slider, row);
  }

  function slide(value) {
    stop();
    state.way = value >= state.index ? 1 : -1;
    show(value);
  }

  /** A turn has no end: past it, the arrow keys go on at the other. */
  function roundTheEnd(event) {
    const step = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    if (!step || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    stop();
    state.way = step;
    show(state.index + step);
  }

  function zoom(wanted) {
    state.zoom = wanted;
    layout();
    redraw();
  }

  function buttons() {
    for (const [element, way, text] of [[control.back, -1, "Backwards"], [control.ahead, 1, "Forwards"]]) {
      const on = state.playing === way;
      element.classList.toggle("on", on);
      element.textContent = on ? "Stop" : text;
    }
  }

  // ---- lists in words ----

  function lists() {
    control.lists.replaceChildren();
    const headings = data.sheets.length > 1 ? ["Before: ", "After: "] : [""];
    data.sheets.forEach((one, number) => {
      const several = make("ol");
      one.spots.forEach((spot, n) => several.append(spotItem(spot, number, n)));
      const heading = data.sheets.length > 1 ? `${headings[number]}${one.title}` : "Tight spots";
      control.lists.append(make("h2", {}, heading), make("p", { class: "verdict" }, one.verdict));
      if (one.spots.length) control.lists.append(several);
      for (const note of one.notes) control.lists.append(make("p", {}, note));
    });
  }

  function spotItem(spot, number, n) {
    const go = button("Show", () => {
      if (state.sheet !== number) pickSheet(number);
      jump(n);
      root.scrollIntoView({ block: "start" });
    }, { class: "go controls", "aria-label": `Show tight spot ${n + 1}` });
    return make("li", {}, make("span", {}, spot.says), " ", go);
  }

  function partList() {
    const list = make("ul");
    const there = new Set(Object.values(sheet().sides)
      .flatMap((side) => data.outlines[side.outlines].map((body) => body.name)));
    for (const part of data.parts.filter((one) => there.has(one.name))) {
      const pick = () => { state.part = part.name; redraw(); };
      const element = button(upper(part.name), pick, { "data-part": part.name });
      element.addEventListener("focus", pick);
      list.append(make("li", {}, element));
    }
    control.parts.replaceChildren(make("h2", {}, "Parts"),
      make("p", {}, "Tap a part in a picture, or its name here."), list);
  }

  // ---- drawing ----

  /** Set up a sheet: its sides, dials, lists and controls. */
  function pickSheet(number) {
    const degrees = sheet()?.crank[state.index] ?? 0;
    state.sheet = number;
    state.index = nearest(degrees);
    state.spot = -1; // that of another sheet is none of this
    state.spot = spotAt(state.index);
    if (state.spot < 0 && spots().length) state.spot = 0;
    control.slider.max = sheet().crank.length - 1;
    const none = !spots().length;
    for (const element of [control.previous, control.next, control.zoom]) element.disabled = none;
    if (none) state.zoom = false;
    pickSides(state.shown ?? firstShown());
    partList();
    top();
  }

  /** Return the side of the worst spot; both where it is on both and there is room for them. */
  function firstShown() {
    const own = spots()[0]?.sides ?? Object.keys(sheet().sides).slice(0, 1);
    return own.length > 1 && root.clientWidth > 760 ? "both" : own[0];
  }

  function top() {
    control.top.replaceChildren(
      radios("sheet", "Engine", data.sheets.map((_, n) => [`${n}`, ["Before", "After"][n]]),
             `${state.sheet}`, (value) => pickSheet(Number(value))),
      radios("side", "Side", sideChoices(), state.shown, pickSides),
      control.zoom,
      make("span", { class: "speed" }, make("label", { for: "speed" }, "Speed"), control.speed));
  }

  function pickSides(name) {
    const names = Object.keys(sheet().sides);
    state.shown = name === "both" || names.includes(name) ? name : names[0];
    const wanted = state.shown === "both" ? names : [state.shown];
    sides = wanted.map((one) => makeSide(one));
    control.sides.replaceChildren(...sides.map((side) => side.element));
    control.sides.classList.toggle("two", sides.length > 1);
    layout();
    redraw();
  }

  function makeSide(name) {
    const own = sheet().sides[name];
    const title = name === "only" ? "" : `${upper(name)} side`;
    const side = { name, data: own, sheet: sheet(), pose: readPoses(own, sheet().crank.length),
                   title: title ? `${name} side, ` : "",
                   clock: (k) => own.clocks[own.clock[k]] };
    if (name !== "only" && own.seen.startsWith(name)) side.title = ""; // said there already
    side.pictures = [new Picture(side, false), new Picture(side, true)];
    side.dial = new Dial(side);
    side.element = make("section", { class: "one", "aria-label": title || "The motion" },
      make("div", { class: "pictures" }, ...(title ? [make("h2", {}, title)] : []),
           ...side.pictures.map((picture) => picture.figure)), side.dial.figure);
    return side;
  }

  /** Draw all that hangs on the width, the current spot and whether it is enlarged. */
  function layout(paper = 0) {
    makeRoom();
    const spot = spots()[state.spot];
    for (const side of sides) {
      const width = paper || Math.floor(side.pictures[0].figure.clientWidth) || 320;
      const shifted = spot?.outlines[side.name];
      side.shifted = shifted !== undefined;
      const bodies = data.outlines[shifted ?? side.data.outlines];
      for (const picture of side.pictures) {
        picture.raised = undefined;
        picture.layout(bodies, width);
      }
    }
    const curve = spot ? spot.curve : sides[0].data.curve;
    const wide = 1.45 * paper || Math.floor(control.curve.figure.parentElement.clientWidth) || 320;
    control.curve.layout(curve, spot ? [spot] : [], wide);
    const place = sides.some((side) => zoomPlace(side.name));
    control.zoom.disabled = !place;
    control.zoom.setAttribute("aria-pressed", String(state.zoom && place));
  }

  function redraw() {
    const k = standing(state.index);
    const locked = k !== state.index;
    const number = spotAt(state.index);
    const spot = number >= 0 ? spots()[number] : null;
    for (const side of sides) {
      const on = spot && spot.sides.includes(side.name);
      side.element.classList.toggle("locked", locked);
      const rings = on && !locked ? ringsAt(spot, k)[side.name] ?? [] : [];
      for (const picture of side.pictures) {
        picture.place(k);
        picture.mark(on ? spot.parts : [], rings);
      }
      side.dial.place(k, state.index);
    }
    control.curve.place(sheet().crank[state.index]);
    say(k, number, locked);
  }

  function say(k, number, locked) {
    const spot = number >= 0 ? spots()[number] : null;
    tell(spot ? spot.texts[spot.here[stepInto(spot, state.index)][0]] : data.words.nothing,
         number, locked);
    control.slider.value = state.index;
    control.slider.setAttribute("aria-valuetext", position());
    control.position.textContent = upper(position());
    sayPart();
  }

  function tell(text, number, locked) {
    const spot = number >= 0 ? spots()[number] : null;
    control.here.replaceChildren();
    if (spot) {
      const count = spots().length;
      const where = spot.where ? `, ${spot.where}` : "";
      control.here.append(make("strong", {}, `Tight spot ${number + 1} of ${count}${where}. `));
    }
    control.here.append(locked ? `${data.words.locked} ${text}` : text);
    control.here.classList.toggle("tight", Boolean(spot));
  }

  /** Keep room for the longest of the words, so that no picture moves while one turns the dial. */
  function makeRoom() {
    const every = spots().flatMap((spot, number) => spot.texts.map((text) => ({ text, number })));
    const longest = every.reduce((a, b) => (b.text.length > a.text.length ? b : a),
                                 { text: data.words.nothing, number: -1 });
    const open = sheet().crank.some((_, k) => !sides[0].pose(sides[0].data.parts[0], k));
    control.here.style.minHeight = "0";
    tell(longest.text, longest.number, open);
    control.here.style.minHeight = `${control.here.offsetHeight}px`;
  }

  /** Return where the crank stands, in words. */
  function position() {
    const degrees = Math.round(sheet().crank[state.index]) % 360;
    const clocks = sides.map((side) => (sides.length > 1 ? `${side.name} ` : "")
                                       + side.clock(state.index).replace("about ", ""));
    return `${clocks.join(", ")}, ${sheet().crankWord} ${degrees} degrees`;
  }

  function sayPart() {
    const part = data.parts.find((one) => one.name === state.part);
    const text = part ? `${upper(part.says)}. ${part.does}` : "";
    if (control.part.textContent !== text) control.part.textContent = text;
    control.part.hidden = !part;
  }

  let reading = 0;

  /** Read a position out once it stands; not while it is being turned. */
  function readOut() {
    clearTimeout(reading);
    reading = setTimeout(() => {
      if (!state.playing) control.live.textContent = `${position()}. ${control.here.textContent}`;
    }, SETTLED);
  }

  function update(fresh) {
    data = fresh;
    state.sheet = Math.min(state.sheet, data.sheets.length - 1);
    lists();
    pickSheet(state.sheet);
  }

  let known = 0;
  new ResizeObserver(() => {
    if (root.clientWidth === known) return;
    known = root.clientWidth;
    layout();
    redraw();
  }).observe(root);

  // On paper all is as wide as a page lets it be, whatever the screen was.
  addEventListener("beforeprint", () => { layout(PAPER); redraw(); });
  addEventListener("afterprint", () => { layout(); redraw(); });

  build();
  state.index = data.sheets[0].spots[0]?.stop ?? 0;
  state.spot = data.sheets[0].spots.length ? 0 : -1;
  update(data);
  return { update, show, redraw, planPath, state };
}
