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

const begun = new WeakSet(); // forms that listen already: a swap keeps the form and takes its pad away

export function start(form) {
  const place = form.querySelector(".walk-pad");
  const fields = [...form.querySelectorAll("input[data-pad]")];
  for (const each of fields) each.inputMode = "none";
  if (!place.querySelector(".digit-pad")) place.append(built(place.dataset.keys ?? KEYS));
  if (begun.has(form)) return;
  begun.add(form);
  form.addEventListener("pointerdown", (event) => {
    if (event.target.closest(".digit-pad")) event.preventDefault(); // the field keeps its focus
  });
  form.addEventListener("click", ({ target }) => pressed(form, target));
  form.addEventListener("focusin", ({ target }) => focused(form, target));
  form.addEventListener("keydown", ({ key }) => {
    if (key === "Escape") form.querySelector(".walk-pad").hidden = true;
  });
}

function built(keys) {
  const pad = document.createElement("div");
  pad.className = "digit-pad";
  pad.setAttribute("role", "group");
  for (const key of keys.split(" ")) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = WORDS[key] ?? key;
    if (WORDS[key]) button.className = "word";
    if (key === "next") button.classList.add("next");
    button.dataset.key = key;
    pad.append(button);
  }
  return pad;
}

const inHand = new WeakMap(); // by form: the field that the pad types into

function focused(form, target) {
  const place = form.querySelector(".walk-pad");
  if (target.matches("input[data-pad]")) {
    inHand.set(form, target);
    const name = target.labels[0]?.textContent ?? target.getAttribute("aria-label");
    place.querySelector(".digit-pad").setAttribute("aria-label", `Digits for ${name}`);
    place.hidden = false;
  } else if (!target.matches("button") && !place.contains(target)) {
    place.hidden = true; // a key that is being pressed must not move away under the finger, so the pad stays for it
  }
}

function pressed(form, target) {
  const key = target.closest(".digit-pad [data-key]")?.dataset.key;
  const field = inHand.get(form);
  if (!key || !field) return;
  if (key === "next") return next(form, field);
  field.value = typed(field.value, key);
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function next(form, field) {
  const fields = [...form.querySelectorAll("input[data-pad]")];
  const after = fields[fields.indexOf(field) + 1];
  if (after) return after.focus();
  form.querySelector(".walk-pad").hidden = true;
  return form.querySelector(".five-key, .key-main").focus();
}

// A tap beside fields and pad puts every pad away, so that what it covers can be reached. Once a page, not once a swap.
globalThis.document?.addEventListener("pointerdown", ({ target }) => {
  if (target.closest("[data-pad], button")) return;
  for (const place of document.querySelectorAll(".walk-pad")) place.hidden ||= !place.contains(target);
});
