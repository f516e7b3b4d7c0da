// The outbox's decisions, without page, store or network: what goes next, what an answer means, what is said.
// An entry: id (rises), key (submission), person, action, label, fields, photos, made (ms), state, says, tries, due.

export const MOST_ENTRIES = 200;
export const MOST_BYTES = 100 * 1024 * 1024;
export const DAY = 24 * 3600 * 1000;
const MOST_FAULTS = 5; // a server that breaks on one entry must not hold up those behind it for ever

/** How long an entry has waited, in whole milliseconds: the book tells by it when the tablet took the tap. */
export function waited(entry, now) {
  return String(Math.max(0, Math.round(now - entry.made)));
}

/** The entries that are not in the shop's book yet, in the order in which they were made. */
export function unsent(entries) {
  return entries.filter((each) => each.state !== "saved").sort((one, other) => one.id - other.id);
}

/**
 * The entry that may be sent now, or undefined. Order is kept: one that waits for its turn holds the rest.
 * One that asks a question holds only what was said later of the same thing.
 */
export function next(entries, person, now) {
  const asking = new Set();
  for (const entry of unsent(entries).filter((each) => each.person === person)) {
    if (entry.state === "asks") asking.add(entry.action);
    else if (!asking.has(entry.action)) return entry.due <= now ? entry : undefined;
  }
  return undefined;
}

/** When the next entry falls due, in ms; Infinity where none waits. */
export function nextDue(entries, person) {
  const waiting = unsent(entries).filter((each) => each.person === person && each.state !== "asks");
  return waiting.length ? waiting[0].due : Infinity;
}

/** How long to wait before trying again: 1 s, doubled to at most 60 s, a fifth more or less. `chance`: 0 to 1. */
export function delay(tries, chance) {
  return Math.min(1000 * 2 ** Math.max(tries - 1, 0), 60000) * (0.8 + 0.4 * chance);
}

/** What an answer means: saved, asks (a person has to look), signed-out, away (try again) or fault (try again, not for ever). */
export function meaning({ status, redirected, onward, path = "" }) {
  if (status === 401 || (redirected && path.startsWith("/people/sign-in"))) return "signed-out";
  if (status >= 200 && status < 300 && (redirected || onward)) return "saved";
  if (status >= 500) return "fault";
  if (status === 408 || status === 425 || status === 429) return "away";
  return "asks";
}

const QUESTIONS = {
  403: "The shop's computer does not take this from you",
  404: "What this was about is not there any more",
  409: "Somebody saved first: choose, line by line",
  413: "This is too large: a photo may have up to 25 MB",
  422: "Something in it has to be put right",
};

/** The entry after an answer that did not save it. */
export function after(entry, meant, status, now, chance) {
  const tries = entry.tries + 1;
  if (meant === "asks" || (meant === "fault" && tries >= MOST_FAULTS)) {
    const says = QUESTIONS[status] ?? "The shop's computer did not take it";
    return { ...entry, state: "asks", status, says, tries };
  }
  return { ...entry, state: "waiting", tries, due: now + delay(tries, chance) };
}

/** An entry that is in the book: what was in it is let go, its line stays a while to be seen. */
export function kept(entry, now) {
  return { ...entry, state: "saved", fields: [], photos: [], saved: now };
}

/**
 * Later entries on the same thing, made before this one was saved: they name the revision that it made.
 * Somebody else's save in between makes the numbers differ, and the server asks.
 */
export function behind(entries, saved) {
  const seen = revision(saved);
  return unsent(entries)
    .filter((each) => each.id > saved.id && each.action === saved.action && revision(each) === seen)
    .map((each) => ({ ...each, fields: each.fields.map(([name, text]) => [name, name === "revision" ? String(seen + 1) : text]) }));
}

function revision(entry) {
  return Number(entry.fields.find(([name]) => name === "revision")?.[1] ?? 0);
}

/** The saved lines that have been seen long enough: ten minutes, and never more than twenty. */
export function old(entries, now) {
  const saved = entries.filter((each) => each.state === "saved").sort((one, other) => other.id - one.id);
  return saved.filter((each, i) => i >= 20 || now - each.saved > 600000).map((each) => each.id);
}

/** Whether one more entry of so many bytes finds room on this tablet. */
export function hasRoom(entries, bytes) {
  const held = unsent(entries);
  const size = held.flatMap((each) => each.photos).reduce((sum, photo) => sum + photo.blob.size, 0);
  return held.length < MOST_ENTRIES && size + bytes <= MOST_BYTES;
}

/** What an entry says of itself. */
export function words(entry, me) {
  if (entry.state === "saved") return "Saved";
  if (entry.state === "sending") return "Sending";
  if (entry.state === "asks") return `Asks a question. ${entry.says}`;
  if (entry.person !== me) return `On this tablet only. Waits for ${entry.by} to sign in`;
  return "On this tablet only. Waiting to be sent";
}

const many = (count, one, several) => (count === 1 ? `1 ${one}` : `${count} ${several}`);

/** What the key in the head says behind its count: what asks a question does not go by itself. */
export function goes(left) {
  const asks = left.filter((each) => each.state === "asks").length;
  if (!asks) return "to send";
  return asks === left.length ? (asks === 1 ? "asks you" : "ask you") : `to send, ${asks} ask${asks === 1 ? "s" : ""}`;
}

/** The line that is always to be seen: how many entries and photos are on this tablet only; empty for none. */
export function told(entries, now) {
  const left = unsent(entries);
  if (!left.length) return "";
  const photos = left.reduce((sum, each) => sum + each.photos.length, 0);
  const asks = left.filter((each) => each.state === "asks").length;
  const parts = [many(left.length, "save", "saves")];
  if (photos) parts.push(many(photos, "photo", "photos"));
  if (asks) parts.push(asks === 1 ? "1 asks a question" : `${asks} ask a question`);
  const late = now - left[0].made > DAY ? ". More than a day old: bring this tablet to the network" : "";
  return `On this tablet only: ${parts.join(", ")}${late}`;
}

/** A submission key of 128 bits, in the letters that the server uses. */
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return btoa(String.fromCharCode(...bytes)).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}
