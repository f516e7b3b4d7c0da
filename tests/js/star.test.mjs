import assert from "node:assert/strict";
import { test } from "node:test";
import { inHand } from "../../static/js/star.js";

const SIX = [1, 4, 6, 3, 5, 2]; // opposite pairs, every other pair first: common practice
const ticks = (first = [], second = []) => ({ 1: new Set(first), 2: new Set(second) });

test("a fresh wheel begins at the first nut of pass 1", () => {
  const { pass, done, next } = inHand(SIX, ticks(), new Set());
  assert.deepEqual([pass, [...done], next], [1, [], 1]);
});

test("the next nut follows the star, not the numbers", () => {
  assert.equal(inHand(SIX, ticks([1]), new Set()).next, 4);
  assert.equal(inHand(SIX, ticks([1, 4]), new Set()).next, 6);
});

test("a round pass hands over to the next one", () => {
  assert.deepEqual([inHand(SIX, ticks(SIX), new Set()).pass, inHand(SIX, ticks(SIX), new Set()).next], [2, 1]);
  assert.equal(inHand(SIX, ticks(SIX, SIX), new Set()).pass, 3);
});

test("who reads figures is in the last pass", () => {
  const { pass, next } = inHand(SIX, ticks(), new Set([1]));
  assert.deepEqual([pass, next], [3, 4]);
});

test("with every figure read no nut is next", () => {
  assert.equal(inHand(SIX, ticks(SIX, SIX), new Set(SIX)).next, undefined);
});
