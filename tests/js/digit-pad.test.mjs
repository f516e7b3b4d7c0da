// What stands in the field after a key of the digit pad.
import assert from "node:assert/strict";
import { test } from "node:test";
import { typed } from "../../static/js/digit-pad.js";

test("digits are added at the end", () => assert.equal(typed("12", "5"), "125"));
test("a second point is not taken", () => assert.equal(typed("1.5", "."), "1.5"));
test("back takes the last sign, clear all", () => {
  assert.equal(typed("125", "back"), "12");
  assert.equal(typed("125", "clear"), "");
});
test("a slash makes a fraction", () => assert.equal(typed("1 3", "/"), "1 3/"));
