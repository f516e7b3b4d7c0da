"""How soon the walk page answers a tap, on a slow tablet: `python -m tests.bench.inp`.

Interaction to Next Paint: the time from a tap to the next picture that shows its effect, as the browser
itself measures it (Event Timing, one figure for each interaction; the longest of its events counts).
Chromium is slowed down by its own throttle. Nothing here is a test: milliseconds differ from machine to
machine, and a busy one is slower. The aim on a quiet machine: 98 of 100 interactions within 100 ms at 4
times slower, within 200 ms at 6 times. Event Timing tells nothing under 16 ms: quicker taps are counted
as 16.
"""

import argparse
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from math import ceil
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

from app.ground.book import open_book
from app.ground.migrating import migrate
from app.ground.settings import Settings
from tests.browser.conftest import CHROMIUM, PATIENCE, TABLET, Desk, Shop, free_port, serve
from tests.conftest import furnish
from tests.inspection.walks import begun, one_place_each

LEAST = 16.0  # ms: what is quicker is not told
SLOWER = (1, 4, 6)  # times
ANSWER_MS = 300  # of the network, so that a picture comes before the next page; no interaction waits for it
HEARS = """new PerformanceObserver(list => {
  for (const it of list.getEntries()) if (it.interactionId) {
    const kind = it.target?.closest?.(".digit-pad") ? "a digit"
      : it.target?.closest?.(".five-key") ? "a state"
      : it.target?.closest?.(".seen-list") ? "what is seen" : "a field, or More";
    window.heard({id: it.interactionId, kind, took: it.duration, at: location.pathname});
  }
}).observe({type: "event", durationThreshold: 16, buffered: true});"""
PAD_FIELD = "input[data-pad]:visible"
SEEN = ".seen-list label:visible"
MORE = ".walk-more > summary"
DIGITS = ("1", "0", "next")


@dataclass
class Heard:
    """The interactions of one run: how many were made, and how long the slower ones took, in ms."""

    made: int = 0
    took: dict[tuple[str, int], float] = field(default_factory=lambda: defaultdict(float))
    kinds: dict[tuple[str, int], str] = field(default_factory=dict)

    def __call__(self, it: Mapping[str, Any]) -> None:
        """One event of an interaction."""
        key = (str(it["at"]), int(it["id"]))
        self.took[key] = max(self.took[key], float(it["took"]))
        self.kinds[key] = str(it["kind"])

    def times(self) -> list[float]:
        """The time of every interaction, the shortest first."""
        return sorted([*self.took.values(), *([LEAST] * max(self.made - len(self.took), 0))])

    def slowest(self) -> str:
        """What was tapped when it took longest."""
        return self.kinds[max(self.took, key=lambda key: self.took[key])] if self.took else "nothing slow"


def of_hundred(times: Sequence[float], percent: int) -> float:
    """The time within which so many of a hundred interactions were answered. `times`: sorted, not empty."""
    return times[ceil(len(times) * percent / 100) - 1]


def main() -> None:
    """Walk through some checks at each slow-down and print what the taps took."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench.inp")
    asked.add_argument("--checks", type=int, default=30, help="checks walked through at each slow-down")
    checks = asked.parse_args().checks
    with tempfile.TemporaryDirectory(prefix="castlenut-inp-") as scratch, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        with open_shop(Path(scratch) / "shop") as shop:
            runs = {times: walked(browser, shop, times, checks) for times in SLOWER}
        browser.close()
    told(runs)


@contextmanager
def open_shop(data: Path) -> Iterator[Shop]:
    """A shop with one person of each role, running until the end of the block."""
    settings = Settings(data=data, port=free_port())
    settings.data.mkdir()
    book = open_book(settings.book)
    migrate(book)
    furnish(book)
    book.dispose()
    server, thread, served = serve(settings)
    yield Shop(f"http://127.0.0.1:{settings.port}", served, settings)
    server.should_exit = True
    thread.join()


def walked(browser: Browser, shop: Shop, times: int, checks: int) -> Heard:
    """A walk-round's first checks, tapped through in a browser that is so many times slower."""
    rows = one_place_each(shop.book, begun(shop.book))[:checks]
    context = browser.new_context(viewport=TABLET)  # type: ignore[arg-type]  # a dict of two, as elsewhere
    context.set_default_timeout(PATIENCE)
    page, heard = context.new_page(), Heard()
    desk = Desk(page, shop.address, [])
    desk.sign_in("Toni")
    page.expose_function("heard", heard)
    page.add_init_script(HEARS)
    slow_down(page, times)
    for row in rows:
        desk.go(f"/inspection/findings/{row.id}")
        heard.made += tapped_through(page)
    context.close()
    return heard


def slow_down(page: Page, times: int) -> None:
    """The throttle of the browser, and a network that takes its time."""
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": times})
    session.send("Network.enable")
    line = {"offline": False, "latency": ANSWER_MS, "downloadThroughput": -1, "uploadThroughput": -1}
    session.send("Network.emulateNetworkConditions", line)


def tapped_through(page: Page) -> int:
    """The taps that one check asks for: More, a reading on our pad, what is seen, a state; how many."""
    page.click(MORE)
    page.click(MORE)
    taps = 3
    if page.locator(PAD_FIELD).count():
        page.locator(PAD_FIELD).first.click()
        for key in DIGITS:
            page.click(f'.digit-pad:visible [data-key="{key}"]')
        taps += 1 + len(DIGITS)
    if page.locator(SEEN).count():
        page.locator(SEEN).first.click()
        taps += 1
    page.click('.five-key[value="sound"]')
    page.wait_for_timeout(ANSWER_MS)  # the observer tells once the picture is there
    return taps


def told(runs: Mapping[int, Heard]) -> None:
    """One line for each slow-down, and what slowing down makes of it."""
    sys.stdout.write("slower  interactions  50 of 100  75 of 100  98 of 100  longest  at\n")
    for times, heard in runs.items():
        all_times = heard.times()
        within = [of_hundred(all_times, percent) for percent in (50, 75, 98, 100)]
        figures = f"{within[0]:6.0f} ms  {within[1]:6.0f} ms  {within[2]:6.0f} ms  {within[3]:4.0f} ms"
        sys.stdout.write(f"{times:5} x  {len(all_times):12}  {figures}  {heard.slowest()}\n")
    base = of_hundred(runs[1].times(), 98)
    ratios = ", ".join(f"{of_hundred(runs[it].times(), 98) / base:.1f} at {it} x" for it in SLOWER[1:])
    sys.stdout.write(f"98 of 100, over that without slow-down: {ratios}\n")


if __name__ == "__main__":
    main()
