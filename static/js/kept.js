// Pages of the walk-round that the tablet keeps, so that a technician goes on through it without the network.
import { newKey } from "./queue.js";
import * as store from "./store.js";
import { say } from "./told.js";

const parsed = (html) => new DOMParser().parseFromString(html, "text/html");

/** Which check or list a page shows: the same however often it is saved. */
function place(root) {
  const { walk, finding, station } = root.querySelector("[data-walk], [data-finding]")?.dataset ?? {};
  return JSON.stringify([walk, finding, station]);
}

/** An answer of the server in the place of this page: what is the same place stays, with what is typed in it. `wanted`: where the keyboard goes on. */
export async function show(html, wanted = "") {
  const from = parsed(html);
  const main = document.querySelector("main");
  const fresh = from.querySelector("main") ?? from.body;
  if (place(fresh) !== place(main)) return replace(fresh);
  const [here, text] = [main.firstElementChild, fresh.innerHTML];
  await htmx.swap({ text, target: main, swap: "innerMorph", sourceElement: here ?? main });
  land(main, wanted);
}

/** What had the focus is gone: the keyboard goes on at what is wrong, else at what is wanted, else at the page's name. */
function land(main, wanted = "") {
  if (document.activeElement !== document.body) return;
  const place = ["#fixes", wanted, "h1"].map((css) => css && main.querySelector(css)).find(Boolean);
  if (place?.tabIndex < 0) place.setAttribute("tabindex", "-1");
  place?.focus();
}

/** A whole new page: nothing of the old one may stay, so nothing is morphed. */
function replace(fresh) {
  const main = document.querySelector("main");
  main.replaceChildren(...fresh.childNodes);
  htmx.process(main);
  main.dispatchEvent(new CustomEvent("htmx:after:swap", { bubbles: true, detail: {} }));
  document.activeElement?.blur();
  land(main);
  scrollTo(0, 0);
}

let seen = globalThis.location?.pathname; // whose page this is

/** Opens a page from what is kept; says so where it is not kept. */
export async function open(path, { push = true } = {}) {
  const page = await store.get("kept", path);
  if (!page) return say("That page is not kept on this tablet and needs the shop's computer. What you saved here is safe.");
  if (push && location.pathname !== path) history.pushState({ kept: path }, "", path);
  seen = path;
  put(page);
}

function put(page) {
  replace(parsed(page.html).body);
  document.title = page.title;
  for (const form of document.querySelectorAll("main form")) {
    if (form.elements.submission) form.elements.submission.value = newKey(); // a kept form is shown more than once
  }
  document.dispatchEvent(new Event("kept:shown"));
}

/** The check that follows a kept one. */
export async function nextAfter(path) {
  const page = await store.get("kept", path);
  return page?.next ?? "";
}

/** Back or on in the browser's history; a link to a place of this page, as in the list of faults, is no other page. */
function wentTo({ state }) {
  if (state?.kept) open(state.kept, { push: false });
  else if (!location.hash || location.pathname !== seen) location.reload();
}

export async function start() {
  addEventListener("popstate", wentTo);
  // The worker answers an address that it does not know with the last page that it does: show what was asked for.
  const { here } = document.body.dataset;
  if (here && here !== location.pathname && here.startsWith("/inspection/")) await open(location.pathname);
}

/** Those of the pages, each with what it `stands` at, that are not kept as they are now; the near station first. */
export function stale(pages, held, station) {
  const at = new Map(held.map((page) => [page.path, page.stands]));
  const far = (page) => (Number(page.station) === station ? 0 : 1);
  return pages.filter((page) => at.get(`/inspection/${page.path}`) !== page.stands).sort((one, other) => far(one) - far(other));
}

let wanted = null;
let keeping = null;

/** Keeps the pages that changed, one after the other, while the page goes on; the newest call counts. */
export function keep(pages, station) {
  wanted = { pages, station };
  keeping ??= keepAll().catch(() => {}).finally(() => (keeping = null)); // what is not kept now is asked for again
}

async function keepAll() {
  for (let now = null; now !== wanted; ) {
    now = wanted;
    for (const each of stale(now.pages, await store.all("kept"), now.station)) {
      if (now !== wanted) break;
      await keepOne(each);
    }
  }
}

async function keepOne({ path, stands }) {
  const answer = await fetch(`/tablet/${path}`, { headers: { "HX-Request": "true" }, signal: AbortSignal.timeout(20000) });
  if (!answer.ok) throw new Error(path);
  await store.put("kept", [{ path: `/inspection/${path}`, stands, ...page(await answer.text()) }]);
}

function page(html) {
  const from = parsed(html);
  const main = from.querySelector("main") ?? from.body;
  const title = from.querySelector("head title")?.textContent || main.querySelector("h1")?.textContent || "";
  return { html: main.innerHTML, title: title.trim(), next: main.querySelector("form[data-next]")?.dataset.next ?? "" };
}
