// What is typed in a form and not saved yet is kept on the tablet: after a reload, a crash or a new sign-in it is back.
import { clock } from "./clock.js";
import * as store from "./store.js";

const OURS = new Set(["token", "submission"]);
const SOON = 150; // ms after the last key
const DAY = 24 * 3600 * 1000; // an older draft has nothing to do with the unit as it stands
const SENT = "draft-sent";

/** What a form holds that a person put there, as pairs; files and our own fields apart. */
export function typed(pairs) {
  return pairs.filter(([name, value]) => !OURS.has(name) && typeof value === "string");
}

/** Whether a draft says something else than the form does by itself. */
export function differs(fields, shown) {
  const plain = (pairs) => JSON.stringify(pairs.filter(([name]) => name !== "revision").map(([name, text]) => [name, text.trim()]));
  return plain(fields) !== plain(shown);
}

const drafted = (form) => form?.matches?.("main form[data-draft]");
const keyOf = (form) => `${document.body.dataset.person ?? 0} ${new URL(form.action, location).pathname}`;
const timers = new Map();

export async function start(page) {
  for (const act of ["input", "change"]) page.addEventListener(act, ({ target }) => drafted(target.form) && soon(target.form));
  page.addEventListener("submit", ({ target }) => drafted(target) && sessionStorage.setItem(SENT, keyOf(target)));
  page.addEventListener("htmx:after:swap", settle);
  page.addEventListener("kept:shown", restoreAll);
  await settle();
  await restoreAll();
}

/** A form that went to the server itself: its draft is let go once the answer finds nothing wrong. */
async function settle() {
  const key = sessionStorage.getItem(SENT);
  if (key && !document.getElementById("fixes")) await store.remove("drafts", key);
  sessionStorage.removeItem(SENT);
}

async function restoreAll() {
  for (const form of document.querySelectorAll("main form[data-draft]")) {
    const draft = await store.get("drafts", keyOf(form));
    if (draft && Date.now() - draft.at < DAY && waits(form, draft)) restore(form, draft);
  }
}

const waits = (form, draft) => draft.photos.length || differs(draft.fields, typed([...new FormData(form)]));

function soon(form) {
  const key = keyOf(form);
  clearTimeout(timers.get(key));
  timers.set(key, setTimeout(() => keep(form, key), SOON));
}

function keep(form, key) {
  const pairs = [...new FormData(form)];
  const photos = pairs.filter(([, value]) => value instanceof File && value.size).map(([field, file]) => ({ field, file }));
  return store.put("drafts", [{ key, fields: typed(pairs), photos, at: Date.now() }]);
}

/** The draft is let go: what it held is in the outbox or in the book. */
export async function drop(form) {
  clearTimeout(timers.get(keyOf(form)));
  await store.remove("drafts", keyOf(form));
}

function restore(form, { fields, photos, at }) {
  const of = (name) => fields.filter(([each]) => each === name).map(([, text]) => text);
  for (const field of form.elements) fill(field, of(field.name));
  for (const text of of("held")) hold(form, text);
  if (photos.length) choose(form, photos);
  form.dispatchEvent(new Event("draft:back"));
  say(form, at);
}

function fill(field, texts) {
  if (!field.name || OURS.has(field.name) || field.type === "file" || field.matches("button, fieldset")) return;
  if (field.type === "checkbox" || field.type === "radio") field.checked = texts.includes(field.value);
  else if (texts.length) field.value = texts.at(-1);
}

function hold(form, text) {
  const there = [...form.querySelectorAll('input[name="held"]')].some((each) => each.value === text);
  if (!there) form.append(Object.assign(document.createElement("input"), { type: "hidden", name: "held", value: text }));
}

function choose(form, photos) {
  const field = form.querySelector('input[type="file"]');
  const moved = new DataTransfer();
  for (const { file } of photos) moved.items.add(file);
  field.files = moved.files;
  field.dispatchEvent(new Event("change"));
}

function say(form, at) {
  const line = form.querySelector("[data-draft-said]");
  if (!line) return;
  const time = clock(at);
  line.hidden = false;
  line.querySelector("span").textContent = `Not saved yet: what you typed at ${time} is back.`;
  line.querySelector("button").addEventListener("click", () => drop(form).then(() => location.reload()));
}
