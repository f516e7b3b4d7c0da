// Times of day as the shop's clock has them, whatever zone the tablet is set to.

/** The time of day of an instant (ms) in a zone such as America/New_York: 14:05. In the tablet's own without one. */
export function timeOfDay(at, zone) {
  const how = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  return new Intl.DateTimeFormat("en-US", zone ? { ...how, timeZone: zone } : how).format(at);
}

/** The time of day of an instant by the clock of this page's shop. */
export const clock = (at) => timeOfDay(at, document.body.dataset.zone);
