// What waits on a tablet is told by the shop's clock, as all else is.
import assert from "node:assert/strict";
import { test } from "node:test";
import { timeOfDay } from "../../static/js/clock.js";

const noon = Date.UTC(2026, 4, 4, 12, 5);

test("a time is told in the shop's zone, whatever the tablet's is", () => {
  // EDT is UTC-4 on 4 May (IANA tz database), CEST is UTC+2, Kathmandu UTC+5:45
  assert.equal(timeOfDay(noon, "America/New_York"), "08:05");
  assert.equal(timeOfDay(noon, "Europe/Berlin"), "14:05");
  assert.equal(timeOfDay(noon, "Asia/Kathmandu"), "17:50");
});

test("midnight is 00 and not 24", () => {
  assert.equal(timeOfDay(Date.UTC(2026, 4, 4, 4, 0), "America/New_York"), "00:00");
});
