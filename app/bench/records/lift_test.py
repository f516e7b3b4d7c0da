"""Lift test: a coupler jacked on its ball, or a folding roof raised, held and measured at its corners."""

from app.bench.kinds import Context, Judged
from app.bench.rows import YES_NO, Flat, Read, Row, check_groups, faults, judged, row_kind
from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.quantity import Quantity, read_number
from app.trade.tape import corner_heights
from app.trade.typed import Reader

BALLS = (("1 7/8", "1 7/8 in"), ("2", "2 in"), ("2 5/16", "2 5/16 in"), ("50", "50 mm"))
CORNERS = ("high_front_left", "high_front_right", "high_rear_left", "high_rear_right")
GROUPS = {
    "The coupler": ("ball", "coupler", "latches", "rise", "seated", "play"),
    "The roof": ("supports", "cables", "holds", "minutes", *CORNERS, "latched"),
}
RISE_LEAST, PLAY_MOST = "1", "1/16"
HOLD_LEAST = "10"
HEIGHTS = ("high_front_left", "high_front_right"), ("high_rear_left", "high_rear_right")


class LiftTest(Flat):
    """A coupler, a folding roof, or both. Inches as typed; minutes that the raised roof was held."""

    ball: str = ""
    coupler: str = ""
    latches: str = ""
    rise: str = ""
    seated: str = ""
    play: str = ""
    supports: str = ""
    cables: str = ""
    holds: str = ""
    minutes: str = ""
    high_front_left: str = ""
    high_front_right: str = ""
    high_rear_left: str = ""
    high_rear_right: str = ""
    latched: str = ""


def rows(context: Context) -> tuple[Row, ...]:
    """The rows of a coupler, and of a roof where the unit may have one that folds; the work's own first."""
    if context.unit_kind not in ("tent", ""):
        return COUPLER
    return (*ROOF, *COUPLER) if "tent" in context.systems else (*COUPLER, *ROOF)


def _yes(name: str, label: str, reach: str = "", *, head: str = "") -> Row:
    return Row(name, label, "", reach, options=YES_NO, head=head)


COUPLER = (
    Row("ball", "Stamp on the ball", options=BALLS, head="Coupler on its ball"),
    Row("coupler", "Stamp on the coupler", options=BALLS),
    _yes("latches", "Latch shuts by hand and takes its pin"),
    Row("rise", "Tow springs raised by", "in", f"at least {RISE_LEAST}", most="12"),
    _yes("seated", "Socket stays seated"),
    Row("play", "Play on the ball", "in", f"at most {PLAY_MOST}", most="1"),
)
ROOF = (
    _yes("supports", "Safety supports were in place", head="Folding roof"),
    _yes("cables", "Cables whole, no broken wire in the whole run"),
    _yes("holds", "Raised 1 ft, handle let go: it holds"),
    Row("minutes", "Raised in full, held for", "min", f"at least {HOLD_LEAST}", most="120"),
    *(
        Row(
            name,
            f"Height, {name.removeprefix('high_').replace('_', ' ')}",
            "in",
            "at most 1 apart",
            most="150",
        )
        for name in CORNERS
    ),
    _yes("latched", "All roof latches shut and hold a pull"),
)


def check(form: Reader, _context: Context) -> None:
    """The coupler or the roof, each whole."""
    check_groups(form, GROUPS, "the coupler's test, or the roof's")


def judge(record: LiftTest, _context: Context) -> Judged:
    """The heaviest of what was seen and measured."""
    figures = _heights(record)
    return judged(figures, [*_coupler(record), *_roof(record)])


COUPLER_FAULTS = {
    "latches": Verdict(Grade.DNT, "Latch does not shut or take its pin"),
    "seated": Verdict(Grade.DNT, "Socket lifts off the ball"),
}
ROOF_FAULTS = {
    "latched": Verdict(Grade.DNT, "A roof latch does not hold: the roof can lift on the road"),
    "holds": Verdict(Grade.NEEDS, "Winch slips: the roof stays down", By.USE),
    "cables": Verdict(Grade.NEEDS, "Broken wires in a lift cable: the roof stays down", By.USE),
    "supports": Verdict(Grade.NEEDS, "Safety supports missing", By.USE),
}


def _coupler(record: LiftTest) -> list[Verdict]:
    if not record.ball:
        return []
    found = [*faults(record, COUPLER_FAULTS)]
    if record.ball != record.coupler:
        found.append(Verdict(Grade.DNT, f"Ball {record.ball} under a coupler for {record.coupler}"))
    if read_number(record.rise) < read_number(RISE_LEAST):
        found.append(Verdict(Grade.UNSEEN, f"Raised {record.rise} of 1 in: this proves nothing"))
    if read_number(record.play) > read_number(PLAY_MOST):
        found.append(Verdict(Grade.NEEDS, f"Play {record.play} in, over 1/16 in", By.SOON))
    return found or [Verdict(Grade.SOUND, f"Coupler stays on its ball, raised {record.rise} in")]


def _roof(record: LiftTest) -> list[Verdict]:
    if not record.minutes:
        return []
    found = [*faults(record, ROOF_FAULTS)]
    if read_number(record.minutes) < read_number(HOLD_LEAST):
        found.append(Verdict(Grade.UNSEEN, f"Held {record.minutes} of 10 min: this proves nothing"))
    return found or [Verdict(Grade.SOUND, f"Roof held for {record.minutes} min")]


def _heights(record: LiftTest) -> list[Worked[object]]:
    if not record.minutes:
        return []
    pairs = {
        name: (Quantity(getattr(record, left), "in"), Quantity(getattr(record, right), "in"))
        for name, (left, right) in zip(("front", "rear"), HEIGHTS, strict=True)
    }
    return [corner_heights(pairs)]


KIND = row_kind(
    "lift_test",
    "Lift test",
    "unit",
    LiftTest,
    judge,
    Read(
        rows,
        check=check,
        note="Stay clear of the tongue while it is jacked; nobody under a roof without its supports.",
        cautions=("c2", "c9"),
    ),
)
