// The drawn signature and the told sum: pure parts. Run with `node --test tests/js`.
import assert from "node:assert/strict";
import { test } from "node:test";
import { agreed, printed } from "../../static/js/agreed.js";
import { longer, path, within } from "../../static/js/signature.js";

// What the server keeps: strokes of M and L with numbers of at most four digits and two decimals.
const KEPT = /^(?:[ML] ?-?\d{1,4}(?:\.\d{1,2})?[ ,]-?\d{1,4}(?:\.\d{1,2})? ?)+$/;

test("a stroke begins with M and goes on with L", () => {
  assert.equal(path([[[24, 96], [40.5, 30]], [[1, 1], [2, 2]]]), "M24 96L40.5 30M1 1L2 2");
});

test("a tap is a short dash, so that it shows", () => {
  assert.equal(path([[[10, 20]]]), "M10 20L10.1 20");
});

test("nothing drawn is an empty path", () => {
  assert.equal(path([]), "");
  assert.equal(path([[]]), "");
});

test("points stay inside the field, at one decimal", () => {
  assert.deepEqual(within(-3, 500), [0, 130]);
  assert.deepEqual(within(401, 12.345), [400, 12.3]);
});

test("a point too near the last one is left out", () => {
  assert.deepEqual(longer([[10, 10]], [11, 10]), [[10, 10]]);
  assert.deepEqual(longer([[10, 10]], [12, 10]), [[10, 10], [12, 10]]);
  assert.deepEqual(longer([], [1, 1]), [[1, 1]]);
});

test("whatever is drawn is a path that the server keeps", () => {
  for (let i = 0; i < 200; i += 1) {
    const points = Array.from({ length: 30 }, () => within(Math.random() * 500 - 50, Math.random() * 200 - 30));
    const stroke = points.reduce(longer, []);
    assert.match(path([stroke, stroke]), KEPT);
  }
});

test("the sum of the lines with yes is told in cents, exactly", () => {
  assert.equal(agreed([]), 0);
  assert.equal(agreed([10, 20, 19600]), 19630);
});

test("amounts are printed as the server prints them", () => {
  assert.equal(printed(0), "0.00");
  assert.equal(printed(5), "0.05");
  assert.equal(printed(130539), "1,305.39");
  assert.equal(printed(123456789), "1,234,567.89");
  assert.equal(printed(-1000), "-10.00");
});
