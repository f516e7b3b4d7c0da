// The light key turns the system's choice over, and remembers the theme that was wanted.
import assert from "node:assert/strict";
import { test } from "node:test";
import { checked, wanted } from "../../static/js/light.js";

test("nothing remembered follows the system", () => {
  assert.equal(checked(null, true), false);
  assert.equal(checked(null, false), false);
});
test("what is remembered stands whatever the system says", () => {
  for (const dark of [true, false])
    for (const theme of ["yard", "bay"]) assert.equal(wanted(checked(theme, dark), dark), theme);
});
