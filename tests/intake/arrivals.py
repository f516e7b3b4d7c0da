"""Arrivals for tests: an invented owner with an invented trailer, as a form sends them and as read."""

import io
from collections.abc import Mapping
from datetime import date

from PIL import Image, ImageDraw
from sqlalchemy import Engine

from app.ground.book import writing
from app.ground.tables import Document
from app.intake import rules
from app.intake.arrival import Arrival, Kind, NumberKind, OwnerSaid, StaySaid, TowSaid, UnitSaid
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from tests.conftest import NOON

TODAY = date(2026, 5, 4)
ZONE = "America/New_York"

# 1M8GDM9AXKP042788 is the worked example of NHTSA and of the standard's check digit: X in position 9,
# K in position 10 (1989 or 2019).
VIN = "1M8GDM9AXKP042788"

FORM = {
    "name": "Rosalind Achterberg",
    "phone": "(555) 555-0142",
    "preferred": "phone",
    "kind": "travel",
    "vin": VIN,
    "vin_kind": "standard",
    "plate": "tr 40 17",
    "maker": "Ashlode",
    "model": "21",
    "year": "2019",
    "length_ft": "21",
    "axles": "2",
    "wheels_per_end": "1",
    "spare": "yes",
    "gvwr": "6000",
    "gvwr-unit": "lb",
    "gawr-1": "3500",
    "gawr-2": "3500",
    "tire_size": "ST205/75R14",
    "tire_pressure": "50",
    "tire_pressure-unit": "psi",
    "stud_thread": "1/2-20",
    "stud_count": "5",
    "torque_low": "90",
    "torque_high": "120",
    "torque-unit": "lbf_ft",
    "torque_source": "wheel maker's sheet",
    "brakes": "electric",
    "brakes_required": "yes",
    "ball_size": "2 5/16 in",
    "cylinders": "2",
    "battery": "12 V, group 24",
    "tow_what": "full-size pickup, 2016",
    "tow_ball": "2 5/16 in",
    "tow_rating": "7200",
    "tow_rating-unit": "lb",
    "concerns": "It growls at the back when I tow slowly.\nSomebody said that the tires are old.",
    "keys": "2",
    "came_with_spare": "yes",
    "came_with_cylinders": "2",
    "came_with": "title, bill of sale",
    "condition": "Dent at the curb side rear corner",
    "stands": "Bay 2",
    "promised_day": "2026-05-15",
    "promised_hour": "16:00",
    "depth": "full",
}


def read(changed: Mapping[str, str]) -> Arrival:
    """What the whole form says with some fields changed."""
    return rules.read_arrival(Texts({**FORM, **changed}), TODAY, ZONE)


def problems(changed: Mapping[str, str]) -> list[Problem]:
    """What is wrong with the form, with some fields changed; nothing for a form that is kept."""
    try:
        read(changed)
    except Refused as refused:
        return list(refused.problems)
    return []


def rosalind() -> Arrival:
    """A new owner with a new unit."""
    return Arrival(
        owner=OwnerSaid("Rosalind Achterberg", phone="(555) 555-0142"),
        unit=UnitSaid(
            Kind.TRAVEL,
            vin=VIN,
            vin_kind=NumberKind.STANDARD,
            plate="TR 40 17",
            maker="Ashlode",
            model="21",
            year=2019,
            axles=2,
            gvwr="6000",
            gawr=("3500", "3500"),
        ),
        tow=TowSaid("full-size pickup, 2016", ball_size="2 5/16 in"),
        stay=StaySaid(("It growls at the back when I tow slowly.", "The tires are old."), keys=2),
    )


def handed_over(book: Engine, order_id: int = 1) -> None:
    """The paper that ends a stay."""
    paper = {
        "created_at": NOON,
        "kind": "handover",
        "number": f"H-{order_id}",
        "issue": 1,
        "title": "Handover",
    }
    paper |= {"work_order_id": order_id, "sha256": "0" * 64, "size": 1, "printed_by": 2}
    with writing(book) as session:
        session.add(Document(**paper))


def drawn(width: int = 1200, height: int = 900, ink: str = "black") -> bytes:
    """A drawn picture of a trailer as a JPEG file."""
    picture = Image.new("RGB", (width, height), "lightgray")
    draw = ImageDraw.Draw(picture)
    draw.rectangle((width * 0.2, height * 0.3, width * 0.8, height * 0.7), outline=ink, width=8)
    draw.ellipse((width * 0.4, height * 0.6, width * 0.55, height * 0.8), outline=ink, width=8)
    out = io.BytesIO()
    picture.save(out, "JPEG")
    return out.getvalue()
