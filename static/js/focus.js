// After a refused form: the summary takes the focus, so that a reader hears it and the keyboard starts there.
// A swap elsewhere on the page, such as what a VIN says, leaves the hand where it types.
export function start(page) {
  const summary = page.getElementById("fixes");
  if (summary) summary.focus();
  page.addEventListener("htmx:after:swap", ({ target }) => (target.parentElement ?? page).querySelector("#fixes")?.focus());
}
