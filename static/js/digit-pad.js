// The digit pad: stands beside the form while a reading is in hand, so that no keyboard covers the page.
// Without it the fields are ordinary text fields with a decimal keyboard.

/** What stands in the field after a key. */
export function typed(text, key) {
  if (key === "clear") return "";
  if (key === "back") return text.slice(0, -1);
  if (key === "." && text.includes(".")) return text;
  return text + key;
}

const WORDS = { back: "Back", clear: "Clear", next: "Next" };
const KEYS = "1 2 3 back 4 5 6 clear 7 8 9 next . 0 /"; // four columns; a page may name others in data-keys

export function start(form) {
  const place = form.querySelector(".walk-pad");
  const fields = [...form.querySelectorAll("input[data-pad]")];
  let field = null;

  const pad = document.createElement("div");
  pad.className = "digit-pad";
  pad.setAttribute("role", "group");
  for (const key of (place.dataset.keys ?? KEYS).split(" ")) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = WORDS[key] ?? key;
    if (WORDS[key]) button.className = "word";
    if (key === "next") button.classList.add("next");
    button.dataset.key = key;
    pad.append(button);
  }
  place.append(pad);

  pad.addEventListener("pointerdown", (event) => event.preventDefault()); // the field keeps its focus
  pad.addEventListener("click", ({ target }) => {
    const key = target.closest("[data-key]")?.dataset.key;
    if (!key || !field) return;
    if (key === "next") {
      const after = fields[fields.indexOf(field) + 1];
      if (after) return after.focus();
      place.hidden = true;
      return form.querySelector(".five-key, .key-main").focus();
    }
    field.value = typed(field.value, key);
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
  for (const each of fields) {
    each.inputMode = "none";
    each.addEventListener("focus", () => {
      field = each;
      pad.setAttribute("aria-label", `Digits for ${each.labels[0]?.textContent ?? each.getAttribute("aria-label")}`);
      place.hidden = false;
    });
  }
  form.addEventListener("focusin", ({ target }) => {
    // A key that is being pressed must not move away under the finger, so the pad stays for it.
    if (!target.matches("[data-pad], button") && !place.contains(target)) place.hidden = true;
  });
  // A tap beside fields and pad, or Escape, puts the pad away, so that what it covers can be reached.
  document.addEventListener("pointerdown", ({ target }) => {
    if (!target.closest("[data-pad], button") && !place.contains(target)) place.hidden = true;
  });
  form.addEventListener("keydown", ({ key }) => {
    if (key === "Escape") place.hidden = true;
  });
}
