"""All entries of the workbench, found by walking `figures/`."""

import pkgutil
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module

from app.workbench import figures
from app.workbench.entry import Figure

SECTIONS = (
    "Tires",
    "VIN",
    "Wheel nuts and studs",
    "Bearings",
    "Balance",
    "Runout",
    "Brakes",
    "Axles and road test",
    "12 V and lamps",
    "Mains and appliances",
    "Propane",
    "Water and damp",
    "Weights",
    "Hitch",
    "Dates and hours",
    "Money",
)


@cache
def all_figures() -> Mapping[str, Figure]:
    """All entries by key, in the order of the sections, then of their files."""
    names = sorted(module.name for module in pkgutil.iter_modules(figures.__path__, f"{figures.__name__}."))
    found: list[Figure] = [each for name in names for each in import_module(name).FIGURES]
    in_order = sorted(found, key=lambda each: SECTIONS.index(each.section))
    return {each.key: each for each in in_order}


@dataclass(frozen=True)
class Part:
    """A section with its entries."""

    name: str
    entries: tuple[Figure, ...]

    @property
    def anchor(self) -> str:
        """Its name as an address on the page."""
        return self.name.lower().replace(" ", "-")

    @property
    def count(self) -> int:
        """How many entries it has."""
        return len(self.entries)


def by_section(asked: str = "") -> list[Part]:
    """The sections with their entries; where words are asked for, only entries that hold all of them."""
    wanted = asked.lower().split()
    found = [each for each in all_figures().values() if _holds(each, wanted)]
    parts = [Part(name, tuple(each for each in found if each.section == name)) for name in SECTIONS]
    return [part for part in parts if part.entries]


def _holds(figure: Figure, wanted: list[str]) -> bool:
    labels = " ".join(each.label for each in figure.fields)
    text = f"{figure.title} {figure.says} {figure.section} {labels}".lower()
    return all(word in text for word in wanted)
