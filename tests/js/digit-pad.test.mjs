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

test("the page is listened to once, however often a form is started again after a swap", async () => {
  const heard = [];
  globalThis.document = { addEventListener: (name) => heard.push(name) };
  const { start } = await import("../../static/js/digit-pad.js?once");
  const pad = { dataset: {}, querySelector: () => ({}), append: () => {} };
  const form = { own: [], querySelector: () => pad, querySelectorAll: () => [], addEventListener: (name) => form.own.push(name) };
  for (let swap = 0; swap < 5; swap += 1) start(form);
  delete globalThis.document;
  assert.deepEqual(heard, ["pointerdown"]);
  assert.deepEqual(form.own, ["pointerdown", "click", "focusin", "keydown"]);
});
