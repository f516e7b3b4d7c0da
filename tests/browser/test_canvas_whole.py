"""One canvas order from the tent trailer's work order to the packing slip, key by key, on a tablet."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from io import BytesIO

from playwright.sync_api import Page
from pypdf import PdfReader
from sqlmodel import col, select

from app.canvas.making import ORDER
from app.canvas.tables import CanvasRelease, CanvasStage
from app.estimate.tables import Consent, WorkLine
from app.ground.book import reading, writing
from app.inspection import editing
from app.intake.tables import Unit, WorkOrder
from app.parts.tables import Movement
from tests.browser.conftest import Desk, Shop
from tests.canvas.loft import SEEN
from tests.inspection.walks import CATALOGUE
from tests.parts import shelf

Desks = Callable[..., Desk]
OWN = {
    "fitting": "Hang the roof edge first, from the middle outwards.",
    "aftercare": "Wet it and dry it once before the first trip.",
}
TENT = {
    "unit": "2011 Quillon Hatch 10",
    "scope": "front wall, curb side wall and a window flap",
    "rest": "staying, with a cut-off taped to the tag",
    "old": "kept",
    "ship": "installed",
}
SIGNED = {"signed": "Ines Varga, 2 May"}
FRAME = {"straight": "straight", "height": "1,425 mm at all four"}
PARTS: Mapping[tuple[str, str], Mapping[str, str]] = {
    ("cloth", "wall cloth"): {
        "what": "cotton and polyester canvas",
        "mass": "10 oz/yd²",
        "colour": "sand, sample 3",
        "agreed": "sent 1 May, agreed 2 May by the owner",
        "coating": "none",
        "flame": "none",
        "shrink": "2 and 1",
    },
    ("window", "front wall"): {
        "film": "clear",
        "film_thou": "20",
        "screen": "18 by 16",
        "flap": "outside",
        "size": "600 by 400 mm",
    },
    ("fastener", "lower edge of both walls"): {
        "what": "elastic cord on hooks",
        "first": "75 mm",
        "apart": "200 mm",
        "count": "17",
    },
}
# Rectangles: the diagonals are from Pythagoras, to the millimetre.
PIECES: Mapping[str, tuple[str, str, str]] = {
    "Front wall": ("2000", "1200", "2332"),
    "Curb side wall": ("1500", "1200", "1921"),
    "Window flap": ("700", "480", "849"),
}
SIDES = ("A-B", "B-C", "C-D", "A-D")
SEWN = {"B-C": "felled_large", "A-D": "felled_small"}
SOUND = {
    "seam_class": "felled",
    "stitch": "301",
    "seams": "strip",
    "water": "spray",
    "wetted": "yes",
    "dry": "yes",
    **dict.fromkeys(("locked", "laps", "hardware", "film"), "yes"),
    "zips": "none",
}
READ = {"stitches": "6", "seam_force": "950", "cloth_force": "1000", "minutes": "12"}


def fill(page: Page, texts: Mapping[str, str]) -> None:
    """Fields and lists of a form by their names."""
    for name, text in texts.items():
        it = page.locator(f'main [name="{name}"]:not([type=hidden])')
        (it.select_option if it.evaluate("it => it.tagName") == "SELECT" else it.fill)(text)


def ignore(desk: Desk, name: str) -> None:
    """Nobody looks."""


@dataclass
class CanvasWhole:
    """The pages of the lead at the desk, and of the technician who cuts and sews."""

    lead: Desk
    sewer: Desk
    stay: int
    owner: str
    look: Callable[[Desk, str], None] = ignore
    order: str = field(default="", init=False)

    @property
    def page(self) -> Page:
        """The lead's page."""
        return self.lead.page

    def run(self) -> None:
        """From the work order to the packed order; the papers are the caller's."""
        self.open()
        self.answer()
        self.measure()
        self.sign()
        self.plan()
        self.price_and_agree()
        self.release_and_promise()
        self.make()
        self.inspect()

    def open(self) -> None:
        """From the work order's page to the canvas order's."""
        self.lead.go(f"/orders/{self.stay}")
        self.lead.press('main a[href^="/canvas/orders/"], nav a[href^="/canvas/orders/"]')
        self.look(self.lead, "orders")
        self.lead.press("text=Open a canvas order")
        self.order = self.page.url.removeprefix(self.lead.address)
        self.look(self.lead, "opened")

    def key(self, text: str) -> None:
        """Press a key of the page and wait for the answer."""
        self.lead.press(f'main button:has-text("{text}")')

    def answer(self) -> None:
        """What is asked of the order, its frame, a cloth, a window, its fasteners; how it is fitted."""
        for name, answers in (("Order", TENT), ("Frame", FRAME)):
            self.lead.press(f'.canvas-parts a:text-is("{name}")')
            self.look(self.lead, f"part-{name}")
            fill(self.page, answers)
            self.key("Save what is known")
        for (kind, place), answers in PARTS.items():
            self.opened("#add-part")
            fill(self.page, {"kind": kind, "place": place})
            self.key("Add it")
            self.look(self.lead, f"part-{kind}")
            fill(self.page, answers)
            self.key("Save what is known")
        self.opened('details:has([name="fitting"])')
        fill(self.page, OWN)
        self.page.check('[name="maker"][value="here"]')
        self.page.check('[name="pattern"][value="measure"]')
        self.lead.press("details[open] button:text-is('Save')")

    def opened(self, details: str) -> None:
        """A folded part of the page, opened."""
        self.page.locator(details).evaluate("it => it.open = true")

    def measure(self) -> None:
        """Three pieces by tape, their edges; then the seam of two of them."""
        for name, (long, short, across) in PIECES.items():
            self.opened("#add-piece")
            fill(self.page, {"name": name, "how": "tape"})
            self.key("Add this piece")
            tapes = zip((*SIDES, "A-C", "B-D"), (long, short, long, short, across, across), strict=True)
            fill(self.page, dict(tapes))
            self.key("Save these measures")
            self.look(self.lead, f"measured-{name}")
            kinds = {f"kind-{side}": SEWN.get(side, "hem") for side in SIDES}
            fill(self.page, kinds | {f"held-{side}": "sewn" for side in SIDES} | SEEN)
            self.page.select_option("#cloth", label="wall cloth")
            self.key("Save edges and cloth")
            self.look(self.lead, f"piece-{name}")
            self.lead.go(self.order)
        self.seam()

    def seam(self) -> None:
        """The corner of the two walls."""
        self.opened("details:has(#seam)")
        fill(self.page, {"seam": "Front corner, curb side"})
        for name, edge in (("seam-one", "B to C of Front wall"), ("seam-other", "of Curb side wall, 1,200")):
            option = self.page.locator(f'#{name} option:has-text("{edge}")').last
            self.page.select_option(f"#{name}", option.get_attribute("value"))
        self.key("Add this seam")
        self.look(self.lead, "measured")

    def sign(self) -> None:
        """The owner's signature on the finished sizes, written down once they are measured."""
        self.page.click('.canvas-parts a:text-is("Order")')
        fill(self.page, SIGNED)
        self.key("Save what is known")

    def plan(self) -> None:
        """The cut plan, with a roll end that lies in stock."""
        self.lead.press("text=Cut plan of wall cloth")
        fill(self.page, {"width": "1600", "ends": "END-31: 4500"})
        self.key("Lay the plan")
        self.look(self.lead, "plan")
        self.lead.go(self.order)

    def price_and_agree(self) -> None:
        """Put on the estimate with the cord by the yard, shown, and the owner's yes."""
        fill(self.page, {"hours": "9"})
        self.page.fill('[name^="fastener-"]:not([name^="fastener-length"])', "CORD-8")
        self.page.fill('[name^="fastener-length-"]', "4.5")
        self.key("Put it on the estimate")
        self.look(self.lead, "priced")
        self.lead.press("text=Ask the owner")
        self.key("Show it to the owner")
        self.look(self.lead, "consent")
        self.page.locator('.consent-row:has-text("New canvas") input[value="yes"]').check()
        for other in self.page.locator(
            '.consent-row:not(:has-text("New canvas")) input[value="later"]'
        ).all():
            other.check()
        for initials in self.page.locator('.consent-row input[name^="initials-"]').all():
            initials.fill("OK")
        self.page.check('[name="how"][value="tablet"]')
        self.page.fill('[name="who"]', self.owner)
        self.page.click("text=Keep my answers")
        self.page.wait_for_selector("form.consent", state="detached")
        self.look(self.lead, "agreed")

    def release_and_promise(self) -> None:
        """Released to be cut; a day reckoned from the loft's, told to the owner."""
        self.lead.go(self.order)
        for each in self.page.locator('[name="kept"]').all():
            each.check()
        self.key("Release it to be cut")
        self.look(self.lead, "released")
        self.lead.press("text=When it is ready")
        needs = {"table_hours": "3", "machine_hours": "6"}
        cloth = {"cloth_shortest": "0", "cloth_likely": "0", "cloth_longest": "0"}
        fill(self.page, needs | cloth)
        self.key("Keep this")
        self.look(self.lead, "promise")
        fill(self.page, {"how": "at the counter"})
        self.key("Keep this day")
        self.look(self.lead, "told")

    def make(self) -> None:
        """The stages one after the other, up to the inspection."""
        for stage in ORDER[:6]:
            self.done(self.sewer, stage.word)
        self.look(self.sewer, "sewn")

    def inspect(self) -> None:
        """Inspected by somebody else than who sewed it, then packed."""
        self.page.goto(f"{self.lead.address}{self.order}/inspection")
        self.look(self.lead, "to-inspect")
        for size in self.page.locator('[name^="size-"]').all():
            label = self.page.locator(f'label[for="{size.get_attribute("id")}"]').inner_text()
            size.fill(self.length(label))
        fill(self.page, READ)
        for name, value in SOUND.items():
            self.page.check(f'[name="{name}"][value="{value}"]')
        self.key("Keep this inspection")
        self.look(self.lead, "inspected")
        self.done(self.lead, "Inspect")
        self.done(self.lead, "Pack")
        self.look(self.lead, "packed")

    def length(self, label: str) -> str:
        """What the tape reads along a finished length: as it was measured."""
        long, short, across = next(read for name, read in PIECES.items() if name in label)
        if "across" in label:
            return across
        return long if any(f"{a} to {b}" in label for a, b in ("AB", "BA", "CD", "DC")) else short

    def done(self, desk: Desk, stage: str) -> None:
        """A stage is said to be done."""
        desk.go(f"{self.order}/making")
        fill(desk.page, {"note": f"{stage}: by hand and eye"})
        desk.press(f'button:has-text("Done: {stage.lower()}")')

    def printed(self, paper: str) -> int:
        """A paper of the order; its key."""
        self.lead.go(self.order)
        self.page.check(f'[name="paper"][value="{paper}"]')
        self.key("Print")
        self.page.wait_for_url(re.compile(r"/papers/\d+(\.pdf)?$"))
        return int(self.page.url.rpartition("/")[2].removesuffix(".pdf"))


def opened_shop(shop: Shop, lead: Desk) -> int:
    """A work order's key, in a shop with a roll end and cord on its shelf, and a loft that works."""
    editing.keep_catalogue(shop.book, CATALOGUE)
    stay, _ = shelf.order(shop.book)
    with writing(shop.book) as session:
        session.get_one(Unit, session.get_one(WorkOrder, stay).unit_id).kind = "tent"
    shelf.stocked(shop.book, 5, number="END-31", name="Roll end, sand", unit="yd")
    shelf.part(shop.book, number="CORD-8", name="Elastic cord 8 mm", unit="yd", price=180, cost=90)
    lead.go("/canvas")
    fill(lead.page, {"table_hours": "4", "machine_hours": "6"})
    lead.press("main button:text-is('Save')")
    return stay


def test_a_canvas_order_goes_from_the_work_order_to_the_packing_slip(shop: Shop, desk: Desks) -> None:
    lead, sewer = (desk(viewport={"width": 820, "height": 1180}) for _ in range(2))
    lead.sign_in("Lee")
    sewer.sign_in("Toni")
    whole = CanvasWhole(lead, sewer, opened_shop(shop, lead), "Ines Varga")
    whole.run()
    slip = lead.page.request.get(f"{shop.address}/papers/{whole.printed('packing')}.pdf")
    text = " ".join("".join(page.extract_text() for page in PdfReader(BytesIO(slip.body())).pages).split())
    assert "Curb side wall" in text
    assert "Inspected, nothing to put right" in text
    assert OWN["fitting"] in text
    with reading(shop.book) as session:
        consent, release = session.exec(select(Consent)).one(), session.exec(select(CanvasRelease)).one()
        assert consent.created_at < release.created_at
        stages = session.exec(select(CanvasStage).order_by(col(CanvasStage.id))).all()
        assert [each.stage for each in stages] == list(ORDER)
        assert [each.made_by for each in stages] == [3] * 6 + [1] * 2
        cut = [it for it in session.exec(select(Movement)) if it.work_order_id]
        (line,) = [it for it in session.exec(select(WorkLine)) if "Elastic cord" in it.what]
    assert [it.note for it in cut] == ["roll end cut for K-0001"]
    assert -500 < cut[0].on_hand < 0
    assert (line.quantity, line.amount) == ("4.5", 810)  # four and a half yards at 1.80
