// After a refused form: the summary takes the focus, so that a reader hears it and the keyboard starts there.
export function start(page) {
  const summary = page.getElementById("fixes");
  if (summary) summary.focus();
  page.addEventListener("htmx:after:swap", () => page.getElementById("fixes")?.focus());
}
