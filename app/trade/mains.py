"""Mains of a trailer: ground and bond with the cord out, then polarity, skin and GFCI, live."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from app.trade.bounds import not_negative, says
from app.trade.figure import By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

BOND_RULE = Source("NEC", "551.56, 1 ohm is common practice")
LIVE_RULE = Source("NEC", "551.40 and 551.56, volts are common practice")
BOND_MOST = Decimal(1)  # ohm
SKIN_MOST = Decimal(2)  # V to earth
LINE_LEAST, LINE_MOST = Decimal(100), Decimal(130)  # V
CAUTION = (
    "Mains kills. Unplug before anything is opened; live tests are for a licensed or qualified person; local "
    "electrical code goes before this sheet."
)


def bonding(points: Mapping[str, Quantity], *, neutral_apart: bool) -> Worked[Decimal]:
    """Greatest resistance in ohm from any point to the inlet's ground, with the cord unplugged.

    `points`: name to reading, at least one, at least 0, else Impossible. `neutral_apart`: neutral and ground
    are not joined in the trailer's panel. Source: NEC 551.56, common practice for 1 ohm.
    """
    if not points:
        raise Impossible("No resistance was read", "ohms to the inlet's ground, such as 0.3")
    found = {name: not_negative(name, reading, "ohm") for name, reading in points.items()}
    worst = max(found, key=lambda name: found[name])
    return Worked(
        name="ground and bond",
        value=found[worst],
        says=f"at most {says(found[worst], 'ohm', 2)}, {worst}",
        unit="ohm",
        formula="the greatest of all points, cord unplugged",
        inputs=(
            *(Input(name, str(reading)) for name, reading in points.items()),
            Input("neutral apart from ground", "yes" if neutral_apart else "no"),
        ),
        limit="at most 1 ohm, neutral apart from ground",
        verdict=_bond(worst, found[worst], neutral_apart=neutral_apart),
        source=BOND_RULE,
        caution=CAUTION,
    )


def _bond(worst: str, ohms: Decimal, *, neutral_apart: bool) -> Verdict:
    if not neutral_apart:
        return Verdict(Grade.NEEDS, "neutral and ground are joined in the trailer", By.USE)
    if ohms > BOND_MOST:
        return Verdict(Grade.NEEDS, f"{worst} {says(ohms, 'ohm', 2)}, over 1 ohm", By.USE)
    return Verdict(Grade.SOUND, f"ground at most {says(ohms, 'ohm', 2)}")


class Trip(StrEnum):
    """What a GFCI did."""

    TRIPS = "yes"
    STAYS = "no"
    NONE = "none"

    @property
    def word(self) -> str:
        """The answer in words."""
        return {"yes": "trips", "no": "does not trip", "none": "not fitted"}[self]


@dataclass(frozen=True)
class Live:
    """Live readings: line and skin volts, outlets wired right of all, GFCI by its button and by a tester.

    Raises Impossible for more outlets right than there are, or none at all, and for a voltage under 0.
    """

    line: Quantity
    skin: Quantity
    right: int
    outlets: int
    by_button: Trip
    by_tester: Trip

    def __post_init__(self) -> None:
        not_negative("Line", self.line, "V")
        not_negative("Skin to earth", self.skin, "V")
        if not 0 <= self.right <= self.outlets or self.outlets < 1:
            raise Impossible(f"{self.right} of {self.outlets} outlets cannot be", "such as 6 of 6")


def live_test(live: Live) -> Worked[Decimal]:
    """Volts from the trailer's skin to earth with the cord in, and all that a live test decides.

    Source: NEC 551.40, 551.56; common practice for 2 V and 100 to 130 V.
    """
    return Worked(
        name="live test",
        value=live.skin.to("V"),
        says=f"skin {live.skin}, line {live.line}, {live.right} of {live.outlets} outlets right",
        unit="V",
        formula="read with the cord in, by a qualified person",
        inputs=(
            Input("line", str(live.line)),
            Input("skin to earth", str(live.skin)),
            Input("outlets wired right", f"{live.right} of {live.outlets}"),
            Input("GFCI by its button", live.by_button.word),
            Input("GFCI by the tester", live.by_tester.word),
        ),
        limit="skin at most 2 V; line 100 to 130 V; every outlet right; GFCI trips both ways",
        verdict=_live(live),
        source=LIVE_RULE,
        caution=CAUTION,
    )


def _live(live: Live) -> Verdict:
    if live.skin.over(SKIN_MOST, "V"):
        return Verdict(Grade.NEEDS, f"skin {live.skin} to earth, over 2 V: unplug it now", By.USE)
    if live.right < live.outlets:
        wrong = live.outlets - live.right
        return Verdict(Grade.NEEDS, f"{wrong} of {live.outlets} outlets reversed or without ground", By.USE)
    if Trip.STAYS in (live.by_button, live.by_tester):
        return Verdict(Grade.NEEDS, "GFCI does not trip", By.USE)
    if live.line.under(LINE_LEAST, "V") or live.line.over(LINE_MOST, "V"):
        return Verdict(Grade.NEEDS, f"line {live.line}, outside 100 to 130 V", By.USE)
    return Verdict(Grade.SOUND, f"skin {live.skin}, every outlet right")
