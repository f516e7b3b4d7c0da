// Follows a star nut by nut: fills the nuts that are done in the pass in hand and rings the next one.
const STAGED = [1, 2];

/** The pass in hand, its nuts that are done, and the next; `ticked`: a set for each pass, `read`: the last. */
export function inHand(order, ticked, read) {
  const staged = read.size ? undefined : STAGED.find((pass) => order.some((nut) => !ticked[pass].has(nut)));
  const done = staged ? ticked[staged] : read;
  return { pass: staged ?? STAGED.length + 1, done, next: order.find((nut) => !done.has(nut)) };
}

function filled(form, order, name, is) {
  return new Set(order.filter((nut) => is(form.elements[`${name}-${nut}`])));
}

function seen(form, order) {
  const ticked = STAGED.map((pass) => [pass, filled(form, order, `pass-${pass}`, (box) => box?.checked)]);
  const read = form.elements.whole?.value ? new Set(order) : filled(form, order, "r", (field) => field?.value);
  return inHand(order, Object.fromEntries(ticked), read);
}

function show(form, { pass, done, next }) {
  for (const drawn of form.querySelectorAll("[data-nut]")) {
    const nut = Number(drawn.dataset.nut);
    drawn.querySelector("polygon").classList.toggle("solid", done.has(nut));
    drawn.querySelector("polygon").classList.toggle("field", !done.has(nut));
    drawn.querySelector("text").classList.toggle("on", done.has(nut));
    drawn.querySelector(".ring").classList.toggle("off", nut !== next);
    if (drawn.href) drawn.setAttribute("href", `#${STAGED.includes(pass) ? `pass-${pass}` : "r"}-${nut}`);
  }
  const says = form.querySelector("[data-star-now]");
  says.textContent = next ? `Pass ${pass}: number ${next} is next` : `Pass ${pass}: all are done`;
}

export function start(form) {
  const order = form.dataset.star.split(" ").map(Number);
  for (const event of ["change", "input"]) form.addEventListener(event, () => show(form, seen(form, order)));
}
