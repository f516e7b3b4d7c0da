"""What the links of a page are called, for who hears them without the words that stand round them."""

from collections.abc import Iterator

from lxml import html


def alike(page: str) -> Iterator[str]:
    """Names that two links to different places share, with the places. Source: WCAG 2.2, 2.4.9."""
    places: dict[str, set[str]] = {}
    for link in html.fromstring(page).xpath("//a[@href]"):
        name = link.get("aria-label") or " ".join(link.text_content().split())
        places.setdefault(name, set()).add(link.get("href"))
    yield from (f"{name}: {sorted(found)}" for name, found in places.items() if len(found) > 1)
