// Sends what waits in the outbox, in order, one at a time. An entry leaves only on an answer that it is kept.
import { after, behind, kept, meaning, next, nextDue, old, waited } from "./queue.js";
import * as store from "./store.js";

const LONGEST = 30000; // a send that hangs is given up and tried again; the submission key makes that harmless

/** Who sends, with the token for it; asked of the server where the page does not know, or knows no more. */
export const me = { person: 0, name: "", token: "" };
/** Whether the last try reached the shop's computer. */
export const reach = { there: true, signedIn: true };

const waiting = new Map(); // by entry: who wants to know what became of it
const listeners = new Set();
let channel = null; // to the other tabs
let timer = 0;
let running = null;

/** Calls `listener` whenever something in the outbox or the reach of the server changed, in any tab. */
export function onChange(listener) {
  channel ??= new BroadcastChannel("outbox");
  channel.onmessage = tellAll;
  listeners.add(listener);
}

function tellAll() {
  for (const listener of listeners) listener();
}

export function changed() {
  tellAll();
  channel?.postMessage("changed");
}

/** What becomes of an entry that this tab sends: {meant, answer}. */
export function outcome(id) {
  return new Promise((done) => waiting.set(id, done));
}

export function heard({ there, signedIn = reach.signedIn }) {
  const other = reach.there !== there || reach.signedIn !== signedIn;
  Object.assign(reach, { there, signedIn });
  if (other) changed();
}

/** Asks who is signed in; null where the server does not answer or nobody is. */
export async function ask() {
  try {
    const signal = AbortSignal.timeout(4000);
    const answer = await fetch("/tablet/me", { headers: { "HX-Request": "true" }, signal });
    heard({ there: answer.status < 500, signedIn: answer.ok });
    return answer.ok ? Object.assign(me, await answer.json()) : null;
  } catch {
    heard({ there: false });
    return null;
  }
}

/** Sends what may be sent, after what is being sent; `hurry`: without waiting until it falls due. */
export function send({ hurry = false } = {}) {
  clearTimeout(timer);
  running = (running ?? Promise.resolve()).then(() => store.alone(() => sendAll(hurry))).then(later, later);
  return running;
}

async function later() {
  const due = nextDue(await store.all("entries"), me.person);
  clearTimeout(timer);
  if (due < Infinity) timer = setTimeout(send, Math.max(due - Date.now(), 250));
}

async function sendAll(hurry) {
  for (;;) {
    const entries = await store.all("entries");
    await Promise.all(old(entries, Date.now()).map((id) => store.remove("entries", id)));
    const entry = next(entries, me.person, hurry ? Infinity : Date.now());
    if (!entry || !(await sendOne(entry))) return;
  }
}

/** Sends one entry; whether the next may follow at once. */
async function sendOne(entry) {
  await store.put("entries", [{ ...entry, state: "sending" }]);
  changed();
  const { meant, answer } = await tried(entry);
  heard({ there: meant !== "away", signedIn: meant !== "signed-out" && reach.signedIn });
  if (meant === "saved") await letGo(entry);
  else await store.put("entries", [after(entry, meant, answer?.status, Date.now(), Math.random())]);
  waiting.get(entry.id)?.({ meant, answer });
  waiting.delete(entry.id);
  changed();
  return meant === "saved" || meant === "asks";
}

/** In one transaction: the entry is kept, and what was said after it of the same thing names its revision. */
async function letGo(entry) {
  const entries = await store.all("entries");
  await store.put("entries", [kept(entry, Date.now()), ...behind(entries, entry)]);
}

async function tried(entry) {
  const first = await posted(entry);
  if (first.answer?.status !== 403) return first;
  const before = me.token;
  return (await ask()) && me.token !== before && me.person === entry.person ? posted(entry) : first;
}

async function posted(entry) {
  try {
    const signal = AbortSignal.timeout(LONGEST);
    const headers = { "HX-Request": "true", Accept: "text/html", "X-Waited": waited(entry, Date.now()) };
    const got = await fetch(entry.action, { method: "POST", body: form(entry), headers, signal });
    const { pathname } = new URL(got.url);
    const answer = {
      status: got.status,
      redirected: got.redirected,
      path: pathname,
      onward: got.headers.get("HX-Redirect") ?? "",
      html: await got.text(),
    };
    return { meant: meaning(answer), answer };
  } catch {
    return { meant: "away" };
  }
}

function form(entry) {
  const body = new FormData();
  body.append("token", me.token);
  for (const [name, text] of entry.fields) body.append(name, text);
  for (const photo of entry.photos) body.append(photo.field, photo.blob, photo.name);
  return body;
}
