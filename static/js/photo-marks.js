// Arrows, circles and labels over a photo, by two taps (from, to), by one drag, or by the arrow keys and Enter.
// The marks go into a hidden field; the photo itself stays as it is. Without this it is simply shown.
const WIDE = 1000;
const DRAG = 25; // units between press and release that make a drag of it
const STEP = 25; // units that an arrow key moves the cross
const HEAD = 60;
const SPREAD = 0.5;

/** A point of the page as a point of the photo, inside it. */
export function point(x, y, box, high) {
  const clip = (value, most) => Math.round(Math.min(Math.max(value, 0), most));
  return [clip((x / box.width) * WIDE, WIDE), clip((y / box.height) * high, high)];
}

/** The number that the next label gets. */
export function nextNumber(marks) {
  return String(1 + Math.max(0, ...marks.map(({ says }) => Number.parseInt(says ?? "", 10) || 0)));
}

/** What stands after a tap: marks, and the point from which an arrow or a circle waits for its second tap. */
export function tapped({ marks, from }, at, tool) {
  if (tool !== "arrow" && tool !== "circle") {
    const says = tool === "number" ? nextNumber(marks) : tool;
    return { marks: [...marks, { kind: "label", at, says }], from: null };
  }
  if (!from) return { marks, from: at };
  if (from[0] === at[0] && from[1] === at[1]) return { marks, from };
  return { marks: [...marks, { kind: tool, at: from, to: at }], from: null };
}

/** The path of an arrow or a circle. */
export function path({ kind, at, to }) {
  if (kind === "circle") {
    const r = Math.round(Math.hypot(to[0] - at[0], to[1] - at[1]));
    return `M${at[0] - r} ${at[1]}A${r} ${r} 0 0 1 ${at[0] + r} ${at[1]}A${r} ${r} 0 0 1 ${at[0] - r} ${at[1]}`;
  }
  const back = Math.atan2(at[1] - to[1], at[0] - to[0]);
  const [a, b] = [-SPREAD, SPREAD].map((turn) => [
    Math.round(to[0] + HEAD * Math.cos(back + turn)),
    Math.round(to[1] + HEAD * Math.sin(back + turn)),
  ]);
  return `M${at[0]} ${at[1]}L${to[0]} ${to[1]}M${a[0]} ${a[1]}L${to[0]} ${to[1]}L${b[0]} ${b[1]}`;
}

const SVG = "http://www.w3.org/2000/svg";

function made(name, attributes, text = "") {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.textContent = text;
  return element;
}

function line(d) {
  const round = { d, fill: "none", "stroke-linecap": "round", "stroke-linejoin": "round" };
  return [made("path", { ...round, stroke: "white", "stroke-width": 22 }), made("path", { ...round, stroke: "black", "stroke-width": 11 })];
}

function label({ at: [x, y], says }) {
  const wide = 40 + 26 * says.length;
  const font = { "font-family": "Barlow Semi Condensed", "font-weight": 700, "font-size": 50, "text-anchor": "middle" };
  return [
    made("rect", { x: x - wide / 2, y: y - 36, width: wide, height: 72, fill: "white", stroke: "black", "stroke-width": 8 }),
    made("text", { x, y: y + 17, fill: "black", ...font }, says),
  ];
}

const WAITS = { arrow: "Tap where the arrow begins.", circle: "Tap the middle of the circle." };
const THEN = { arrow: "Now tap where it points.", circle: "Now tap its rim." };

const running = new WeakMap(); // by form: what its last start left, since a morphed form is started again

/** The marks to go on with: those drawn since the form was last sent, else what the form holds. */
export function goesOn(before, held) {
  const drawn = before && JSON.stringify(before.state.marks);
  return before?.sent != null && drawn !== before.sent ? before.state.marks : JSON.parse(held || "[]");
}

export function start(form) {
  const before = running.get(form);
  before?.stop.abort();
  const mine = { stop: new AbortController(), state: null, sent: before?.sent ?? null };
  running.set(form, mine);
  const { signal } = mine.stop;
  const field = form.querySelector('[name="layer"]');
  const drawing = form.querySelector(".photo-whole .photo-marks");
  const said = form.querySelector(".photo-says");
  const high = drawing.viewBox.baseVal.height;
  const tool = () => form.querySelector('[name="tool"]:checked').value;
  mine.state = { marks: goesOn(before, field.value), from: null };
  const shown = JSON.stringify(mine.state.marks);
  let pressed = null;
  let cross = [WIDE / 2, Math.round(high / 2)];

  const show = () => {
    const lines = mine.state.marks.flatMap((mark) => (mark.kind === "label" ? label(mark) : line(path(mark))));
    if (mine.state.from) lines.push(made("circle", { cx: mine.state.from[0], cy: mine.state.from[1], r: 14, fill: "black", stroke: "white", "stroke-width": 8 }));
    if (drawing === document.activeElement) lines.push(...line(`M${cross[0] - 30} ${cross[1]}h60M${cross[0]} ${cross[1] - 30}v60`));
    drawing.replaceChildren(...lines);
    field.value = JSON.stringify(mine.state.marks);
    said.textContent = (mine.state.from ? THEN : WAITS)[tool()] ?? "Tap where it stands.";
  };
  const drawn = () => {
    show();
    field.dispatchEvent(new Event("input", { bubbles: true })); // a draft is kept of it
  };
  const set = (layer) => {
    mine.state = { marks: JSON.parse(layer || "[]"), from: null };
    show();
  };
  const tap = (at) => {
    if (mine.state.marks.length < 20) mine.state = tapped(mine.state, at, tool());
    drawn();
  };
  const under = (event) => {
    const box = drawing.getBoundingClientRect();
    return point(event.clientX - box.left, event.clientY - box.top, box, high);
  };

  drawing.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    drawing.setPointerCapture(event.pointerId);
    pressed = under(event);
  }, { signal });
  drawing.addEventListener("pointerup", (event) => {
    if (!pressed) return;
    const at = under(event);
    const dragged = Math.hypot(at[0] - pressed[0], at[1] - pressed[1]) > DRAG;
    if (dragged && !mine.state.from && THEN[tool()]) tap(pressed);
    tap(dragged ? at : pressed);
    pressed = null;
  }, { signal });
  drawing.addEventListener("pointercancel", () => (pressed = null), { signal });
  drawing.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0], ArrowUp: [0, -STEP], ArrowDown: [0, STEP] }[event.key];
    if (!way && event.key !== "Enter") return;
    event.preventDefault();
    if (!way) return tap(cross);
    cross = point(cross[0] + way[0], cross[1] + way[1], { width: WIDE, height: high }, high);
    show();
  }, { signal });
  for (const kind of ["focus", "blur"]) drawing.addEventListener(kind, show, { signal });
  form.addEventListener("change", (event) => {
    if (event.target.name !== "tool") return;
    event.stopPropagation(); // which tool is in hand is nothing to keep a draft of
    mine.state = { ...mine.state, from: null };
    show();
  }, { signal });
  form.addEventListener("draft:back", () => set(field.value), { signal });
  form.addEventListener("outbox:waits", ({ detail }) => {
    const untouched = mine.sent === null && JSON.stringify(mine.state.marks) === shown;
    mine.sent = detail.fields.find(([name]) => name === "layer")[1];
    if (untouched) set(mine.sent);
  }, { signal });
  form.querySelector("[data-last]").addEventListener("click", () => {
    mine.state = mine.state.from ? { ...mine.state, from: null } : { marks: mine.state.marks.slice(0, -1), from: null };
    drawn();
  }, { signal });
  drawing.removeAttribute("aria-hidden");
  drawing.setAttribute("role", "application");
  drawing.setAttribute("aria-label", "Marks over the photo: arrow keys move the cross, Enter sets a point");
  drawing.setAttribute("tabindex", "0");
  form.querySelector(".photo-tools").hidden = false;
  show();
}
