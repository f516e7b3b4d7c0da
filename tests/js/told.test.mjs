// The words said on the bottom edge when a form could not be saved.
import assert from "node:assert/strict";
import { test } from "node:test";
import { sentence } from "../../static/js/told.js";

test("every refusal says that what was typed is still here", () => {
  for (const status of [400, 401, 403, 404, 413, 500, 503]) assert.match(sentence(status), /^Not saved: .*still here/s);
});

test("a photo that is too large is told its limit", () => {
  assert.match(sentence(413), /25 MB/);
});
