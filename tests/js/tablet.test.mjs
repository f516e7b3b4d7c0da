// Two tablets, kept pages, drafts: what is asked, kept anew, told and brought back.
import assert from "node:assert/strict";
import { test } from "node:test";
import { differs, typed } from "../../static/js/drafts.js";
import { stale } from "../../static/js/kept.js";
import { asks, fresh } from "../../static/js/news.js";

test("the newest look of somebody else is told, once, and never one's own", () => {
  const looks = [{ person: 1, at: "2026-05-04T16:00" }, { person: 1, at: "2026-05-04T16:02" }, { person: 3, at: "2026-05-04T16:05" }];
  assert.equal(fresh(looks, 3, "2026-05-04T15:00").at, "2026-05-04T16:02");
  assert.equal(fresh(looks, 3, "2026-05-04T16:02"), undefined);
});

test("a hidden page asks nothing, and one that nobody has touched for a quarter of an hour stops", () => {
  assert.equal(asks(false, 0, 15 * 60000 - 1), true);
  assert.equal(asks(false, 0, 15 * 60000), false);
  assert.equal(asks(true, 0, 1), false);
});

test("pages that changed are kept anew, those of the station in hand first", () => {
  const pages = [
    { path: "findings/1", station: "1", stands: "0" }, { path: "findings/2", station: "2", stands: "1" },
    { path: "findings/3", station: "1", stands: "2" },
  ];
  const held = [{ path: "/inspection/findings/1", stands: "0" }, { path: "/inspection/findings/3", stands: "1" }];
  assert.deepEqual(stale(pages, held, 2).map(({ path }) => path), ["findings/2", "findings/3"]);
  assert.deepEqual(stale(pages, held, 1).map(({ path }) => path), ["findings/3", "findings/2"]);
});

test("a draft holds what a person typed, without key and token of the form", () => {
  const pairs = [["token", "t"], ["submission", "s"], ["revision", "2"], ["note", "rusty"], ["photo", { size: 1 }]];
  assert.deepEqual(typed(pairs), [["revision", "2"], ["note", "rusty"]]);
});

test("a draft that says what the form says already is none", () => {
  const shown = [["revision", "2"], ["note", "rusty"]];
  assert.equal(differs([["revision", "1"], ["note", " rusty "]], shown), false);
  assert.equal(differs([["revision", "2"], ["note", "rusty, two bolts"]], shown), true);
  assert.equal(differs([["revision", "2"], ["note", "rusty"], ["seen", "crack"]], shown), true);
});
