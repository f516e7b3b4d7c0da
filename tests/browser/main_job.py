"""The main job, tap by tap, as three people of a shop do it; the same taps with scripts and without."""

from collections.abc import Callable
from dataclasses import dataclass

from tests.browser.conftest import Desk

FORM = {
    "name": "Rosalind Achterberg",
    "phone": "(555) 555-0142",
    "maker": "Ashlode",
    "model": "Hauler 10",
    "year": "2012",
    "gvwr": "2900",
    "gawr-1": "2900",
    "tire_size": "ST205/75R14",
    "tire_pressure": "50",
    "stud_thread": "1/2-20",
    "stud_count": "5",
    "torque_low": "90",
    "torque_high": "120",
    "torque_source": "wheel placard",
    "concerns": "It rattles at the right wheel.",
    "keys": "1",
    "stands": "Bay 1",
}


@dataclass
class MainJob:
    """The pages of three people: the writer at the desk, the technician's tablet, the lead."""

    writer: Desk
    technician: Desk
    lead: Desk
    look: Callable[[Desk], None]

    def run(self) -> str:
        """From the empty yard to the address of the handover paper."""
        for desk, name in ((self.writer, "Wren"), (self.technician, "Toni"), (self.lead, "Lee")):
            desk.sign_in(name)
        self.take_in()
        self.walk_round()
        self.price_and_agree()
        self.work()
        self.clear()
        return self.hand_over()

    def take_in(self) -> None:
        """Find first, then all new, on one page."""
        page = self.writer.page
        page.click("text=Take in a unit")
        self.look(self.writer)
        page.click("text=New owner and new unit")
        self.look(self.writer)
        for name, text in FORM.items():
            page.fill(f'[name="{name}"]', text)
        page.check('[name="kind"][value="utility"]')
        page.check('[name="axles"][value="1"]')
        page.check('[name="brakes_required"][value="no"]')
        page.uncheck('[name="spare"]')
        page.select_option('[name="vin_kind"]', "none")
        page.click("text=Take it in")
        page.wait_for_url("**/orders/1")
        self.look(self.writer)

    def walk_round(self) -> None:
        """A loose wheel is found by reading; a latch is sound in one tap; the rest stays unseen."""
        page = self.technician.page
        self.technician.go("/orders/1")
        page.click("text=Begin the walk-round")
        self.look(self.technician)
        page.click("main button")
        page.wait_for_selector(".walk-line")
        self.look(self.technician)
        self.open(5, "Nut torque, left wheel, axle 1")
        self.look(self.technician)
        page.fill('[name="reading-least"]', "60")
        page.click(".walk-says button[name=save]")
        page.wait_for_selector('[data-proposed][value="dnt"]')
        self.look(self.technician)
        self.open(3, "Nut torque, right wheel, axle 1")
        page.fill('[name="reading-least"]', "100")
        page.click('button[name="grade"][value="sound"]')
        page.wait_for_selector('[aria-pressed="true"][value="sound"]:not(:has-text("waiting"))')
        self.open(2, "Latch and pin")
        page.click('button[name="grade"][value="sound"]')
        page.wait_for_selector('[aria-pressed="true"][value="sound"]:not(:has-text("waiting"))')
        self.technician.go("/inspection/walks/1/sum-up")
        self.look(self.technician)
        page.click("text=End the walk-round")
        page.wait_for_selector(".station-name b:has-text('Ended')")

    def open(self, station: int, name: str) -> None:
        """Open a check from the list of its station."""
        self.technician.go(f"/inspection/walks/1/stations/{station}")
        self.technician.page.click(f'.station-list a:has-text("{name}")')
        self.technician.page.wait_for_selector("form.walk")

    def price_and_agree(self) -> None:
        """Priced by one key, shown, agreed on the tablet with a typed name."""
        page = self.writer.page
        self.writer.go("/estimate/1")
        page.click("text=Price the findings")
        page.wait_for_selector("text=Torque all wheel nuts")
        self.look(self.writer)
        page.click('button:has-text("Show it to the owner")')
        page.wait_for_url("**/estimate/1/consent")
        self.look(self.writer)
        page.check('[name="say-1"][value="yes"]')
        page.check('[name="how"][value="tablet"]')
        page.fill('[name="who"]', "Rosalind Achterberg")
        page.click("text=Keep my answers")
        page.wait_for_url("**/estimate/1")

    def work(self) -> None:
        """The agreed work becomes a job; each wheel gets its record; the job is finished."""
        page = self.technician.page
        self.technician.go("/bench/orders/1")
        self.look(self.technician)
        page.click('button:has-text("Open 1 job")')
        page.wait_for_selector(".job-row")
        page.click(".job-row >> nth=0")
        self.look(self.technician)
        page.click("text=Begin this job")
        page.wait_for_selector("text=Finish this job")
        for side in ("left", "right"):
            self.technician.go(f"/bench/jobs/1/records/wheel_torque/wheel-1-{side}")
            self.look(self.technician)
            for nut in range(1, 6):
                for number in (1, 2):
                    page.check(f'[name="pass-{number}-{nut}"]')
                page.fill(f'[name="r-{nut}"]', "105")
            page.click("h1")  # beside the digit pad, which makes room for the check round
            page.check('[name="checked"]')
            page.select_option('[name="instrument"]', index=1)
            page.click("text=Keep this wheel's torque")
            page.wait_for_url("**/bench/jobs/1*")
        page.click("text=Finish this job")
        page.wait_for_selector("text=Go to the findings")
        self.look(self.technician)

    def clear(self) -> None:
        """The lead, who did not do the work, clears the finding by its record."""
        page = self.lead.page
        self.lead.go("/bench/orders/1")
        page.click("text=Clear this finding >> nth=0")
        self.look(self.lead)
        page.check('[name="how"][value="record"]')
        self.lead.press('button:has-text("Clear this finding")')
        page.wait_for_selector("text=Cleared")
        self.look(self.lead)

    def hand_over(self) -> str:
        """Final check by the lead, handed over by the writer, printed."""
        page = self.lead.page
        self.lead.go("/handover/1")
        self.look(self.lead)
        for item in page.query_selector_all(".handover-item"):
            item.query_selector('input[value="yes"]').check()  # type: ignore[union-attr]
        page.click("text=Keep the final check")
        page.wait_for_selector("text=Read it out again")
        page = self.writer.page
        self.writer.go("/handover/1")
        page.check('[name="leaves"][value="towed"]')
        page.fill('[name="taken_by"]', "Rosalind Achterberg")
        if page.query_selector('[name="unseen_reason"]'):
            page.fill('[name="unseen_reason"]', "Only the wheels were asked for.")
        page.check('[name="on_paper"]')
        page.click("text=Hand it over and print")
        page.wait_for_selector('a:has-text("Open the handover")')
        self.look(self.writer)
        return str(page.get_attribute('a:has-text("Open the handover")', "href"))
