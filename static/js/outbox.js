// The outbox on the page: a form of the walk-round is first kept on the tablet, then sent; what cannot be sent
// waits and says so. A form that closes a safety matter never waits: it needs the shop's computer at once.
import { goes, hasRoom, newKey, told, unsent, words } from "./queue.js";
import * as sender from "./sender.js";
import * as store from "./store.js";
import * as drafts from "./drafts.js";
import * as kept from "./kept.js";
import { clock } from "./clock.js";
import { say } from "./told.js";

const PATIENCE = 2500; // a page waits so long for an answer, then goes on as if there were no network
const SEEN = 350; // and lets a mark be seen before it moves on
const passed = new WeakSet();
const busy = new WeakSet();
const storing = new Set(); // saves that the tablet's own store has not taken yet: a page left before that loses them
const wait = (ms) => new Promise((go) => setTimeout(go, ms));

export async function start(page) {
  if (!(await store.works())) return;
  Object.assign(sender.me, who(page));
  page.addEventListener("submit", submitted, { capture: true });
  page.addEventListener("click", followed);
  addEventListener("beforeunload", (event) => storing.size && event.preventDefault());
  page.addEventListener("htmx:after:swap", () => decorate());
  for (const back of ["online", "pageshow"]) addEventListener(back, () => sender.send({ hurry: true }));
  addEventListener("offline", () => sender.heard({ there: false }));
  page.addEventListener("visibilitychange", () => page.hidden || sender.send({ hurry: true }));
  if (!navigator.onLine) sender.heard({ there: false });
  sender.onChange(decorate);
  await anotherPerson();
  await kept.start();
  await drafts.start(page);
  await decorate();
  await openAsked();
  sender.send({ hurry: true });
  if (sender.me.person) worker();
}

/** Pages are kept for the person who saw them. */
async function anotherPerson() {
  if (!sender.me.person || localStorage.getItem("person") === String(sender.me.person)) return;
  await forget();
  localStorage.setItem("person", sender.me.person);
}

async function forget() {
  await store.empty("kept");
  await globalThis.caches?.delete("pages");
}

/** Over HTTPS or on this machine: a worker that loads the pages of the walk-round again without the network. */
async function worker() {
  if (!navigator.serviceWorker) return;
  await navigator.serviceWorker.register("/tablet-worker.js");
  const { active } = await navigator.serviceWorker.ready;
  const files = performance.getEntriesByType("resource").map(({ name }) => new URL(name)).filter(({ origin, pathname }) => origin === location.origin && pathname.startsWith("/static/"));
  active.postMessage({ files: files.map(String), page: location.pathname });
}

/** The person whose page this is, with the token that its forms carry. */
function who(page) {
  const { person = 0, name = "", token = "" } = page.body.dataset;
  return { person: Number(person), name, token };
}

function submitted(event) {
  const form = event.target;
  const how = { outbox: keep, online: onlyOnline, signout: leave }[form.dataset.sent];
  if (!how || passed.delete(form)) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  if (!busy.has(form)) how(form, event.submitter);
}

// What needs the shop's computer at once

async function onlyOnline(form, submitter) {
  busy.add(form);
  const there = await sender.ask();
  busy.delete(form);
  if (!there) return refuse(form, submitter, `${form.dataset.needs}: it needs the shop's computer, which does not answer${signedOut()}. What you typed is still here.`);
  const left = unsent(await store.all("entries")).filter((each) => each.person === sender.me.person);
  if (form.dataset.after && left.length) return refuse(form, submitter, `${form.dataset.needs}: ${told(left, Date.now()).toLowerCase()}. Those go first.`);
  pass(form, submitter);
}

/** Says why nothing was done where a reader hears it, and beside the key: the foot of a long page is out of sight. */
function refuse(form, submitter, text) {
  say(text);
  const line = form.querySelector(".key-refused") ?? document.createElement("span");
  line.className = "key-refused";
  line.textContent = text;
  const key = submitter ?? form.querySelector("button");
  const row = key.closest(".form-keys, .station-keys");
  if (row) row.prepend(line);
  else key.before(line);
}

const signedOut = () => (sender.reach.there && !sender.reach.signedIn ? ", since you are signed out" : "");

function pass(form, submitter) {
  passed.add(form);
  form.requestSubmit(submitter);
}

/** Signing out leaves nothing behind that only its maker can send. */
async function leave(form, submitter) {
  const mine = unsent(await store.all("entries")).filter((each) => each.person === sender.me.person);
  if (mine.length) return say(`Not signed out. ${told(mine, Date.now())}; they go with you signed in.`);
  await forget();
  pass(form, submitter);
}

// What may wait

async function keep(form, submitter) {
  busy.add(form);
  const entry = entryOf(form, submitter);
  mark(form, submitter);
  try {
    await keepEntry(form, submitter, entry);
  } finally {
    busy.delete(form);
  }
}

async function keepEntry(form, submitter, entry) {
  const taken = take(form, entry);
  storing.add(taken);
  const id = await taken.finally(() => storing.delete(taken));
  if (!id) return say("Not saved: this tablet holds all that it can. Bring it to the network first; what you typed is still here.");
  form.dispatchEvent(new CustomEvent("outbox:waits", { detail: entry }));
  navigator.storage?.persist?.();
  const sent = sender.outcome(id);
  sender.changed();
  sender.send();
  const found = await Promise.race([sent, wait(sender.reach.there ? PATIENCE : SEEN)]);
  if (await shown(form, id, found)) return;
  await goOn(form, submitter);
  late(form, id, sent);
}

/** The key of an entry that the tablet's own store has taken, in the place of its draft; 0 where it has no room. */
async function take(form, entry) {
  const size = entry.photos.reduce((sum, photo) => sum + photo.blob.size, 0);
  if (!hasRoom(await store.all("entries"), size)) return 0;
  const answered = form.dataset.entry ? [Number(form.dataset.entry)] : [];
  const id = await store.put("entries", [entry], answered);
  await drafts.drop(form);
  return id;
}

/** What the server said, shown on the page; whether it said something. */
async function shown(form, id, found) {
  if (found?.meant === "saved") await saved(form, found.answer);
  else if (found?.meant === "asks") await asks(id, found.answer);
  else return false;
  return true;
}

const stands = (form) => JSON.stringify([form.isConnected, form.action, drafts.typed([...new FormData(form)])]);

/** An answer that comes after the page stopped waiting for it: shown where the form still stands as it was sent. */
async function late(form, id, sent) {
  const stood = stands(form);
  const found = await sent;
  if (stands(form) === stood) await shown(form, id, found);
}

function entryOf(form, submitter) {
  const data = new FormData(form);
  if (submitter?.name) data.append(submitter.name, submitter.value);
  const pairs = [...data].filter(([name]) => name !== "token");
  const photos = pairs.filter(([, value]) => value instanceof File && value.size);
  return {
    key: form.elements.submission.value,
    person: sender.me.person,
    by: sender.me.name,
    action: new URL(form.action, location).pathname,
    page: form.dataset.page ?? location.pathname,
    label: form.dataset.label,
    said: submitter?.querySelector("span")?.textContent ?? submitter?.dataset.said ?? "",
    grade: submitter?.name === "grade" ? submitter.value : "",
    fields: pairs.filter(([, value]) => typeof value === "string"),
    photos: photos.map(([field, file]) => ({ field, name: file.name, blob: file })),
    made: Date.now(),
    state: "waiting",
    says: "",
    tries: 0,
    due: 0,
  };
}

/** At once, before anything is sent: the tapped key is pressed and says that it waits. */
function mark(form, submitter) {
  if (submitter?.name === "grade") press(form, submitter.value);
}

function press(form, grade) {
  for (const key of form.querySelectorAll('.five-key[name="grade"]')) {
    const tapped = key.value === grade;
    key.setAttribute("aria-pressed", String(tapped));
    key.querySelector("small")?.remove();
    if (tapped) key.append(Object.assign(document.createElement("small"), { textContent: "waiting" }));
  }
}

async function saved(form, { onward, html, path }) {
  if (onward) return location.assign(onward);
  if (path !== location.pathname) return location.assign(path);
  await kept.show(html, `a[href="${new URL(form.action).pathname}"]`);
}

/** A refused form or a conflict: shown as the server answered it; saving it again takes the place of the entry. */
async function asks(id, { status, html }) {
  if (status !== 409 && status !== 422) return decorate();
  await kept.show(html);
  const form = document.querySelector('main form[data-sent="outbox"]');
  if (form) form.dataset.entry = id;
}

/** It waits: the page goes on to the next check where a tap asks for that, from what the tablet keeps. */
async function goOn(form, submitter) {
  form.elements.submission.value = newKey();
  form.querySelectorAll('input[type="file"]').forEach((field) => (field.value = ""));
  await decorate();
  const on = ["grade", "go"].includes(submitter?.name) && form.dataset.next;
  if (on && !sender.reach.there) await kept.open(await nextOf(form.dataset.next));
}

/** The first of the checks that follow for which nothing waits here already. */
async function nextOf(path) {
  const said = new Set(unsent(await store.all("entries")).map((each) => each.action));
  let found = path;
  while (said.has(found)) {
    const after = await kept.nextAfter(found);
    if (!after) break;
    found = after;
  }
  return found;
}

/** A link, once the tablet has what was saved; without the network to what the tablet keeps, or nowhere. */
function followed(event) {
  const link = event.target.closest?.('a[href^="/"]');
  if (!link || event.ctrlKey || event.metaKey || link.target || (sender.reach.there && !storing.size)) return;
  event.preventDefault();
  if (storing.size) Promise.allSettled(storing).then(() => link.click());
  else kept.open(new URL(link.href).pathname);
}

// What is seen of it

/** The count in the head, the list behind it, and on the page the marks of what waits. */
async function decorate() {
  const entries = (await store.all("entries")).sort((one, other) => one.id - other.id);
  const left = unsent(entries);
  count(entries, left);
  for (const entry of left) waits(entry);
  await settled(new Set(left.map((each) => each.action)));
}

/** What waited on this page and is in the book now is shown as the book has it. */
async function settled(left) {
  for (const mark of document.querySelectorAll("[data-waits]")) {
    if (left.has(mark.dataset.waits)) continue;
    delete mark.dataset.waits;
    if (!mark.matches("form")) mark.remove();
    else if (sender.reach.there && !busy.has(mark)) await anew(mark);
  }
}

async function anew(form) {
  const answer = await fetch(form.dataset.page ?? new URL(form.action).pathname, { headers: { "HX-Request": "true" } }).catch(() => null);
  if (answer?.ok && form.isConnected) await kept.show(await answer.text());
}

function count(entries, left) {
  const box = document.querySelector("[data-outbox]");
  if (!box) return;
  const here = box.contains(document.activeElement);
  box.hidden = !left.length;
  box.querySelector("summary b").textContent = left.length;
  box.querySelector("[data-goes]").textContent = goes(left);
  for (const line of box.querySelectorAll("[data-told]")) line.textContent = `${told(entries, Date.now())}${reason()}.`;
  list(box, entries);
  if (here && box.hidden) toWork();
}

/** The keyboard to the work: what it stood on has gone. */
function toWork() {
  const main = document.querySelector("#main");
  main.tabIndex = -1;
  main.focus({ preventScroll: true });
}

/** The lines anew; the keyboard stays at the key of the same place, or goes to what opens the list. */
function list(box, entries) {
  const keys = () => [...box.querySelectorAll("ol button:not([hidden])")];
  const at = keys().indexOf(document.activeElement);
  box.querySelector("ol").replaceChildren(...entries.map(line));
  if (at >= 0) (keys()[at] ?? box.querySelector("summary")).focus();
}

function reason() {
  if (!sender.reach.there) return ". The shop's computer does not answer; it is tried again by itself";
  return sender.reach.signedIn ? "" : ". Sign in again and they go";
}

function line(entry) {
  const item = document.querySelector("#outbox-line").content.firstElementChild.cloneNode(true);
  const at = clock(entry.made);
  item.querySelector(".num").textContent = at;
  item.querySelector("b").textContent = [entry.label, entry.said].filter(Boolean).join(": ");
  const photos = entry.photos.length ? ` (${entry.photos.length === 1 ? "1 photo" : `${entry.photos.length} photos`})` : "";
  item.querySelector("[data-state]").textContent = `${words(entry, sender.me.person)}${photos}.`;
  const [open, drop] = item.querySelectorAll("button");
  open.hidden = drop.hidden = entry.state !== "asks" || entry.person !== sender.me.person;
  open.addEventListener("click", () => opened(entry));
  drop.addEventListener("click", () => dropped(entry, drop));
  return item;
}

/** A second tap throws away; the first only asks. */
async function dropped(entry, key) {
  if (!key.dataset.sure) {
    key.dataset.sure = "yes";
    key.textContent = "Tap again: throw it away";
    return;
  }
  await store.remove("entries", entry.id);
  sender.changed();
  sender.send();
}

/** An entry that asks is opened on its own page and sent once more there, so that the answer can be seen. */
function opened(entry) {
  sessionStorage.setItem("outbox-open", entry.id);
  location.assign(/^\/inspection\/findings\/\d+$/.test(entry.action) ? entry.action : entry.page);
}

async function openAsked() {
  const id = Number(sessionStorage.getItem("outbox-open"));
  sessionStorage.removeItem("outbox-open");
  const entry = id && (await store.get("entries", id));
  if (!entry || entry.state !== "asks") return;
  await store.put("entries", [{ ...entry, state: "waiting", due: 0 }]);
  const sent = sender.outcome(id);
  sender.send({ hurry: true });
  const { meant, answer } = await sent;
  if (meant === "asks") await asks(id, answer);
  else if (meant === "saved") location.reload();
}

function waits(entry) {
  const says = `${entry.state === "asks" ? "Asks a question" : "On this tablet only"}${entry.said ? `: ${entry.said}` : ""}`;
  for (const form of document.querySelectorAll(`form[data-waiting][action="${entry.action}"]`)) {
    if (form.dataset.entry) continue;
    form.dataset.waits = entry.action;
    form.querySelector("[data-waits-said]").textContent = `${says}.`;
    form.dispatchEvent(new CustomEvent("outbox:waits", { detail: entry }));
    if (entry.grade) press(form, entry.grade);
  }
  for (const link of document.querySelectorAll(`.station-list a[href="${entry.action}"]`)) {
    const mine = link.querySelector("[data-waits]") ?? Object.assign(document.createElement("small"), { className: "waits" });
    mine.dataset.waits = entry.action;
    mine.textContent = says;
    (link.querySelector(".station-what") ?? link.lastElementChild).append(mine);
  }
}
