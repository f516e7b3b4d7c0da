// Two tablets on one unit: every few seconds an open page asks what others saved, and keeps the pages that changed.
import * as kept from "./kept.js";
import * as sender from "./sender.js";
import { say } from "./told.js";

export const EVERY = 3000;
const UNATTENDED = 15 * 60000; // nobody has touched the page: it stops asking until somebody does

/** The newest look of somebody else since an instant (ISO text); undefined where there is none. */
export function fresh(looks, me, since) {
  return looks.filter((look) => look.person !== me && look.at > since).sort((one, other) => (one.at < other.at ? 1 : -1))[0];
}

/** Whether a page asks now: it is seen, and somebody has been at it. */
export function asks(hidden, touched, now) {
  return !hidden && now - touched < UNATTENDED;
}

let asked = 0; // what the walk stood at when it was last asked for; 0: not yet, and all of it is wanted
let shown = 0; // what it stands at on this page, by the server's mark
let since = ""; // the newest look that the page knows of
let touched = Date.now();

export function start(page) {
  for (const sign of ["pointerdown", "keydown", "visibilitychange"]) page.addEventListener(sign, () => (touched = Date.now()));
  page.addEventListener("kept:shown", () => begin(page));
  begin(page);
  const turn = () => ask(page).finally(() => setTimeout(turn, EVERY));
  turn();
}

const placeOf = (page) => page.querySelector("main [data-walk]")?.dataset;

/** The news begin where the page was made: what came between that and the first time it asks is told too. */
function begin(page) {
  const place = placeOf(page);
  [asked, shown, since] = [0, Number(place?.stands), place?.since ?? ""];
}

async function ask(page) {
  const place = placeOf(page);
  if (!place || !asks(page.hidden, touched, Date.now())) return;
  const address = `/tablet/walks/${place.walk}/news?stands=${asked}&station=${place.station}`;
  try {
    const answer = await fetch(address, { headers: { "HX-Request": "true" }, signal: AbortSignal.timeout(5000) });
    heard(answer);
    if (answer.status === 200) await told(page, place, await answer.text());
  } catch {
    sender.heard({ there: false });
  }
}

/** After a silence what waits goes at once. */
function heard(answer) {
  const was = sender.reach.there && sender.reach.signedIn;
  sender.heard({ there: answer.status < 500, signedIn: answer.status !== 401 });
  if (!was && answer.ok) sender.send({ hurry: true });
}

async function told(page, place, html) {
  const found = new DOMParser().parseFromString(html, "text/html").querySelector("[data-stands]");
  asked = Number(found.dataset.stands);
  page.querySelector("main .walk-line")?.replaceWith(found.querySelector(".walk-line"));
  tell(found);
  const pages = [...found.querySelectorAll("[data-path]")].map(({ dataset }) => ({ ...dataset }));
  if (asked !== shown) await refresh(page, pages);
  shown = asked;
  kept.keep(pages, Number(place.station));
}

function tell(found) {
  const looks = [...found.querySelectorAll("[data-person]")].map(({ dataset, textContent }) => ({ person: Number(dataset.person), at: dataset.at, text: textContent }));
  const newest = since && fresh(looks, sender.me.person, since);
  if (newest) say(newest.text);
  since = looks.map((look) => look.at).sort().at(-1) ?? (since || "0");
}

/** A list is shown anew; a form stays as it is and only says that somebody was here. */
async function refresh(page, pages) {
  const form = page.querySelector("main form.walk");
  if (!form) return list(page);
  const here = pages.find((each) => form.action.endsWith(`/${each.path}`));
  if (here && Number(here.stands) > Number(form.elements.revision.value)) {
    form.querySelector(".walk-title [role=status]").textContent = "Somebody saved this one just now; saving yours shows both.";
  }
}

async function list(page) {
  if (page.activeElement?.matches("input, select, textarea")) return;
  const answer = await fetch(location.pathname, { headers: { "HX-Request": "true" }, signal: AbortSignal.timeout(5000) });
  if (answer.ok) await kept.show(await answer.text());
}
