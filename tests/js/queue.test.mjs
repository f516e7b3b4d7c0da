// The outbox's decisions: what goes next, what an answer means, what is said of what waits.
import assert from "node:assert/strict";
import { test } from "node:test";
import * as queue from "../../static/js/queue.js";

const entry = (id, more = {}) => ({
  id, person: 3, by: "Toni", action: `/inspection/findings/${id}`, label: `Check ${id}`, fields: [["revision", "0"]],
  photos: [], made: 1000 * id, state: "waiting", says: "", tries: 0, due: 0, ...more,
});
const photo = (size) => ({ field: "photo", name: "a.jpg", blob: { size } });

test("entries go in the order in which they were made, whatever order the store gives", () => {
  assert.equal(queue.next([entry(2), entry(1), entry(3)], 3, 0).id, 1);
});

test("how long an entry waited is told in whole milliseconds, and never less than none", () => {
  assert.equal(queue.waited(entry(1), 61000.4), "60000");
  assert.equal(queue.waited(entry(1), 500), "0"); // the tablet's clock was set back
});

test("one that waits for its turn holds the rest", () => {
  assert.equal(queue.next([entry(1, { due: 500 }), entry(2)], 3, 499), undefined);
  assert.equal(queue.next([entry(1, { due: 500 }), entry(2)], 3, 500).id, 1);
});

test("one that asks a question holds only what was said later of the same thing", () => {
  const asks = entry(1, { state: "asks" });
  assert.equal(queue.next([asks, entry(2, { action: asks.action }), entry(3)], 3, 0).id, 3);
});

test("an entry cut off while it was being sent is sent again", () => {
  assert.equal(queue.next([entry(1, { state: "sending" })], 3, 0).id, 1);
});

test("nobody sends what another person made", () => {
  assert.equal(queue.next([entry(1)], 4, 0), undefined);
  assert.match(queue.words(entry(1), 4), /Waits for Toni to sign in/);
});

test("the wait doubles from one second to at most sixty, a fifth more or less", () => {
  assert.deepEqual([1, 2, 3, 4].map((tries) => queue.delay(tries, 0.5)), [1000, 2000, 4000, 8000]);
  assert.equal(queue.delay(30, 0.5), 60000);
  assert.deepEqual([queue.delay(1, 0), queue.delay(1, 1)].map(Math.round), [800, 1200]);
});

// RFC 9110: 15.4.4 see other, 15.5.2 unauthorized, 15.5.10 conflict, 15.5.21 unprocessable, 15.6 server errors
test("only an answer that went on after a save means saved", () => {
  assert.equal(queue.meaning({ status: 200, redirected: true, path: "/inspection/findings/4" }), "saved");
  assert.equal(queue.meaning({ status: 200, onward: "/inspection/findings/5" }), "saved");
  assert.equal(queue.meaning({ status: 200, redirected: false, onward: "" }), "asks"); // some hotspot's own page
});

test("a door in the way means signed out, and nothing was kept", () => {
  assert.equal(queue.meaning({ status: 401 }), "signed-out");
  assert.equal(queue.meaning({ status: 200, redirected: true, path: "/people/sign-in" }), "signed-out");
});

test("a refusal or a conflict asks; a broken server or a full one is tried again", () => {
  for (const status of [400, 403, 404, 409, 413, 422]) assert.equal(queue.meaning({ status }), "asks");
  for (const status of [500, 503, 507]) assert.equal(queue.meaning({ status }), "fault");
  for (const status of [408, 429]) assert.equal(queue.meaning({ status }), "away");
});

test("an entry that cannot be sent waits longer each time and keeps all that is in it", () => {
  const before = entry(1, { photos: [photo(9)], tries: 2 });
  const now = queue.after(before, "away", undefined, 10000, 0.5);
  assert.deepEqual([now.state, now.tries, now.due], ["waiting", 3, 14000]);
  assert.deepEqual([now.fields, now.photos], [before.fields, before.photos]);
});

test("a question is said in words, and five faults in a row are one", () => {
  assert.match(queue.words(queue.after(entry(1), "asks", 409, 0, 0), 3), /Somebody saved first/);
  assert.equal(queue.after(entry(1, { tries: 3 }), "fault", 500, 0, 0).state, "waiting");
  assert.equal(queue.after(entry(1, { tries: 4 }), "fault", 500, 0, 0).state, "asks");
  assert.equal(queue.after(entry(1, { tries: 400 }), "away", undefined, 0, 0).state, "waiting");
});

test("what was said later of the same thing names the revision that the first save made", () => {
  const first = entry(1, { fields: [["revision", "4"]] });
  const second = entry(2, { action: first.action, fields: [["grade", "watch"], ["revision", "4"]] });
  const shown = entry(3, { action: first.action, fields: [["revision", "5"]] }); // saw somebody else's save
  const made = queue.behind([first, second, shown, entry(4)], first);
  assert.deepEqual(made.map(({ id, fields }) => [id, fields]), [[2, [["grade", "watch"], ["revision", "5"]]]]);
});

test("the line that is always to be seen counts saves and photos, and warns after a day", () => {
  const two = [entry(1, { photos: [photo(1), photo(1)] }), entry(2, { state: "asks" }), entry(3, { state: "saved", saved: 1 })];
  assert.equal(queue.told(two, 2000), "On this tablet only: 2 saves, 2 photos, 1 asks a question");
  assert.match(queue.told([entry(1)], 1001 + queue.DAY), /More than a day old/);
  assert.equal(queue.told([entry(3, { state: "saved" })], 0), "");
});

test("the key in the head says to send only of what goes by itself", () => {
  const [waits, asks] = [entry(1), entry(2, { state: "asks" })];
  assert.equal(queue.goes([waits, waits]), "to send");
  assert.equal(queue.goes([asks]), "asks you");
  assert.equal(queue.goes([asks, asks]), "ask you");
  assert.equal(queue.goes([waits, asks]), "to send, 1 asks");
});

test("a tablet holds at most 200 entries and 100 MiB", () => {
  const many = Array.from({ length: 200 }, (_, i) => entry(i + 1));
  assert.equal(queue.hasRoom(many.slice(1), 0), true);
  assert.equal(queue.hasRoom(many, 0), false);
  assert.equal(queue.hasRoom([entry(1, { photos: [photo(queue.MOST_BYTES - 10)] })], 11), false);
});

test("a saved line is let go after ten minutes, and its content at once", () => {
  const saved = queue.kept(entry(1, { photos: [photo(9)] }), 5000);
  assert.deepEqual([saved.fields, saved.photos, queue.words(saved, 3)], [[], [], "Saved"]);
  assert.deepEqual(queue.old([saved], 5000 + 600000), []);
  assert.deepEqual(queue.old([saved], 5001 + 600000), [1]);
});

test("a submission key has 128 bits and only letters that the server takes", () => {
  const keys = Array.from({ length: 500 }, queue.newKey);
  assert.equal(new Set(keys).size, 500);
  for (const key of keys) assert.match(key, /^[\w-]{22}$/); // 128 bits at 6 a letter: RFC 4648, 5
});
