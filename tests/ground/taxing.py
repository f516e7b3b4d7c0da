"""Tax rates of a shop as tests set them."""

from datetime import date

from sqlalchemy import Engine

from app.ground.taxes import START, Taxed, TaxSaid, set_tax
from tests.conftest import act


def taxed(book: Engine, first_day: date = START, **percents: str) -> None:
    """Rates by category from a day on; without one they are what the shop began with."""
    for category, percent in percents.items():
        set_tax(book, act(), TaxSaid(Taxed(category), first_day, percent))
