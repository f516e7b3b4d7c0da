// Marks over a photo: pure parts. Run with `node --test tests/js`.
import assert from "node:assert/strict";
import { test } from "node:test";
import { goesOn, nextNumber, path, point, tapped } from "../../static/js/photo-marks.js";

const BOX = { width: 500, height: 250 }; // a photo twice as wide as high: 1000 by 500 units
const EMPTY = { marks: [], from: null };

test("a point of the page becomes a point of the photo, and never lies beside it", () => {
  assert.deepEqual(point(250, 125, BOX, 500), [500, 250]);
  assert.deepEqual(point(-9, 999, BOX, 500), [0, 500]);
});

test("an arrow takes two taps, from and to", () => {
  const first = tapped(EMPTY, [100, 100], "arrow");
  assert.deepEqual(first, { marks: [], from: [100, 100] });
  const second = tapped(first, [300, 100], "arrow");
  assert.deepEqual(second, { marks: [{ kind: "arrow", at: [100, 100], to: [300, 100] }], from: null });
});

test("two taps on the same point make nothing yet", () => {
  const waiting = { marks: [], from: [5, 5] };
  assert.deepEqual(tapped(waiting, [5, 5], "circle"), waiting);
});

test("a number is one tap, and counts on", () => {
  const one = tapped(EMPTY, [1, 2], "number");
  const two = tapped(one, [3, 4], "number");
  assert.deepEqual(two.marks.map(({ says }) => says), ["1", "2"]);
  assert.equal(nextNumber([{ says: "7" }, { says: "crack" }, {}]), "8");
});

test("a word is one tap", () => {
  assert.deepEqual(tapped(EMPTY, [1, 2], "leak").marks, [{ kind: "label", at: [1, 2], says: "leak" }]);
});

test("a circle goes through its rim: a triangle of 3, 4 and 5", () => {
  assert.equal(path({ kind: "circle", at: [100, 100], to: [130, 140] }), "M50 100A50 50 0 0 1 150 100A50 50 0 0 1 50 100");
});

test("an arrow's head lies behind its point, the same on both sides", () => {
  const numbers = path({ kind: "arrow", at: [0, 100], to: [500, 100] }).match(/-?\d+/g).map(Number);
  const [, , , , ax, ay, , , bx, by] = numbers;
  assert.ok(ax < 500 && bx === ax);
  assert.equal(ay - 100, 100 - by);
});

const ARROW = { kind: "arrow", at: [1, 2], to: [3, 4] };
const CRACK = { kind: "label", at: [5, 6], says: "crack" };
const held = (...marks) => JSON.stringify(marks);

test("a form begins with the marks that it holds, and with none where it holds none", () => {
  assert.deepEqual(goesOn(undefined, held(ARROW)), [ARROW]);
  assert.deepEqual(goesOn(undefined, ""), []);
});

test("a form that is shown again as it was sent takes what the answer holds", () => {
  const before = { state: { marks: [ARROW] }, sent: held(ARROW) };
  assert.deepEqual(goesOn(before, held(CRACK)), [CRACK]);
});

test("marks drawn after the form was sent outlive its answer", () => {
  const before = { state: { marks: [ARROW, CRACK] }, sent: held(ARROW) };
  assert.deepEqual(goesOn(before, held(ARROW)), [ARROW, CRACK]);
});

test("a form that was never sent takes what it is given", () => {
  const before = { state: { marks: [ARROW, CRACK] }, sent: null };
  assert.deepEqual(goesOn(before, held(ARROW)), [ARROW]);
});
