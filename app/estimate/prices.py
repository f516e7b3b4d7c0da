"""What works of an estimate price in a later room; that room says how it is found, and where it stands."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sqlmodel import Session


@dataclass(frozen=True)
class Priced:
    """Something that a work prices: its name as a page says it, and the page that it has.

    `told`: what the owner buys with it, line by line; `changed`: what of it is otherwise now than when the
    owner agreed, so that the shop asks again.
    """

    name: str
    href: str
    told: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()


PRICES: list[Callable[[Session, int], Mapping[int, Priced]]] = []  # by work, of one stay; rooms add theirs


def priced_by(session: Session, order_id: int) -> dict[int, Priced]:
    """What the works of a stay's estimate price in later rooms, by the work's key."""
    return {work: it for found in PRICES for work, it in found(session, order_id).items()}
