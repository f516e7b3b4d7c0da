// A signature drawn with finger or pen, kept as an SVG path in a hidden field. The typed name is enough without.

const SPACING = 1.5; // drawing units between kept points: a smooth line, a short path
const LONGEST = 20000;

/** A point of the drawing as it is written: one decimal, inside the field of 400 by 130. */
export function within(x, y) {
  const clip = (value, most) => Math.round(Math.min(Math.max(value, 0), most) * 10) / 10;
  return [clip(x, 400), clip(y, 130)];
}

/** The path of strokes, each a list of points: M and L with numbers only; a single tap is a short dash. */
export function path(strokes) {
  return strokes
    .filter((points) => points.length)
    .map((points) => (points.length > 1 ? points : [points[0], [points[0][0] + 0.1, points[0][1]]]))
    .map((points) => points.map(([x, y], i) => `${i ? "L" : "M"}${Number(x.toFixed(1))} ${y}`).join(""))
    .join("");
}

/** The stroke with one more point, unless it is too near the last one. */
export function longer(points, [x, y]) {
  const last = points.at(-1);
  if (last && Math.hypot(x - last[0], y - last[1]) < SPACING) return points;
  return [...points, [x, y]];
}

export function start(box) {
  const field = box.parentElement.querySelector('[name="signature"]');
  const drawing = box.querySelector("svg");
  const ink = box.querySelector(".ink");
  let strokes = [];
  let drawn = false;

  const show = () => {
    const text = path(strokes);
    if (text.length > LONGEST) return;
    field.value = text;
    ink.setAttribute("d", text);
  };
  const at = (event) => {
    const seen = drawing.getBoundingClientRect();
    return within(((event.clientX - seen.left) / seen.width) * 400, ((event.clientY - seen.top) / seen.height) * 130);
  };

  drawing.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    drawing.setPointerCapture(event.pointerId);
    drawn = true;
    strokes = [...strokes, [at(event)]];
    show();
  });
  drawing.addEventListener("pointermove", (event) => {
    if (!drawn) return;
    strokes = [...strokes.slice(0, -1), longer(strokes.at(-1), at(event))];
    show();
  });
  for (const end of ["pointerup", "pointercancel"]) {
    drawing.addEventListener(end, () => {
      drawn = false;
    });
  }
  box.querySelector("button").addEventListener("click", () => {
    strokes = [];
    show();
  });
  box.hidden = false;
}
