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

export function start(form) {
  const field = form.querySelector('[name="layer"]');
  const drawing = form.querySelector(".photo-marks");
  const said = form.querySelector(".photo-says");
  const high = drawing.viewBox.baseVal.height;
  const tool = () => form.querySelector('[name="tool"]:checked').value;
  let state = { marks: JSON.parse(field.value || "[]"), from: null };
  let pressed = null;
  let cross = [WIDE / 2, Math.round(high / 2)];

  const show = () => {
    const drawn = state.marks.flatMap((mark) => (mark.kind === "label" ? label(mark) : line(path(mark))));
    if (state.from) drawn.push(made("circle", { cx: state.from[0], cy: state.from[1], r: 14, fill: "black", stroke: "white", "stroke-width": 8 }));
    if (drawing === document.activeElement) drawn.push(...line(`M${cross[0] - 30} ${cross[1]}h60M${cross[0]} ${cross[1] - 30}v60`));
    drawing.replaceChildren(...drawn);
    field.value = JSON.stringify(state.marks);
    said.textContent = (state.from ? THEN : WAITS)[tool()] ?? "Tap where it stands.";
  };
  const tap = (at) => {
    if (state.marks.length < 20) state = tapped(state, at, tool());
    show();
  };
  const under = (event) => {
    const box = drawing.getBoundingClientRect();
    return point(event.clientX - box.left, event.clientY - box.top, box, high);
  };

  drawing.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    drawing.setPointerCapture(event.pointerId);
    pressed = under(event);
  });
  drawing.addEventListener("pointerup", (event) => {
    if (!pressed) return;
    const at = under(event);
    const dragged = Math.hypot(at[0] - pressed[0], at[1] - pressed[1]) > DRAG;
    if (dragged && !state.from && THEN[tool()]) tap(pressed);
    tap(dragged ? at : pressed);
    pressed = null;
  });
  drawing.addEventListener("pointercancel", () => {
    pressed = null;
  });
  drawing.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0], ArrowUp: [0, -STEP], ArrowDown: [0, STEP] }[event.key];
    if (!way && event.key !== "Enter") return;
    event.preventDefault();
    if (!way) return tap(cross);
    cross = point(cross[0] + way[0], cross[1] + way[1], { width: WIDE, height: high }, high);
    show();
  });
  for (const kind of ["focus", "blur"]) drawing.addEventListener(kind, show);
  form.addEventListener("change", () => {
    state = { ...state, from: null };
    show();
  });
  form.querySelector("[data-last]").addEventListener("click", () => {
    state = state.from ? { ...state, from: null } : { marks: state.marks.slice(0, -1), from: null };
    show();
  });
  drawing.removeAttribute("aria-hidden");
  drawing.setAttribute("role", "application");
  drawing.setAttribute("aria-label", "Marks over the photo: arrow keys move the cross, Enter sets a point");
  drawing.setAttribute("tabindex", "0");
  form.querySelector(".photo-tools").hidden = false;
  show();
}
