// Says in words, on the bottom edge, what became of a form that htmx sent and that could not be shown.

/** The sentence for a status: what happened, and that the typed text is still there. */
export function sentence(status) {
  if (status === 401 || status === 403) return "Not saved: sign in again in another tab, then save once more. What you typed is still here.";
  if (status === 413) return "Not saved: this is too large. Photos may have up to 25 MB. What you typed is still here.";
  if (status >= 500) return "Not saved: the shop's computer met an error. What you typed is still here; try again.";
  return "Not saved: the shop's computer did not take it. What you typed is still here.";
}

/** Says something on the bottom edge, where a reader hears it too. */
export function say(text) {
  document.getElementById("told").textContent = text;
}

export function start(page) {
  const line = page.getElementById("told");
  page.addEventListener("htmx:after:request", ({ detail }) => {
    const status = detail.ctx?.response?.status ?? 0;
    if (status >= 400 && status !== 409 && status !== 422) line.textContent = sentence(status);
  });
  page.addEventListener("htmx:error", () => {
    line.textContent = "Not saved: no answer from the shop's computer. What you typed is still here; try again.";
  });
}
