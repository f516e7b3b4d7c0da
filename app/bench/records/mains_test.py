"""Mains test: ground and bond with the cord out; then, by a qualified person, everything live."""

from app.bench.kinds import Context, Judged
from app.bench.rows import Flat, Read, Row, begun, check_groups, judged, looked, row_kind, words
from app.trade.figure import Grade, Verdict, Worked
from app.trade.mains import CAUTION, Live, Trip, bonding, live_test
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, read_number
from app.trade.typed import Reader

POINTS = {
    "ohms_frame": "Frame",
    "ohms_skin": "Skin",
    "ohms_gas": "Gas pipe",
    "ohms_outlet": "Furthest outlet's ground",
}
LIVE = ("line", "skin", "right", "outlets", "button", "tester")
TRIPS = (("yes", "Trips"), ("no", "Does not"), ("none", "Not fitted"))
WAITS = "Live tests not done yet: a qualified person energizes it"


class MainsTest(Flat):
    """Ohms to the inlet's ground with the cord out; live readings with who made them."""

    dead: str
    ohms_frame: str = ""
    ohms_skin: str = ""
    ohms_gas: str = ""
    ohms_outlet: str = ""
    neutral: str
    by_whom: str = ""
    licence: str = ""
    line: str = ""
    skin: str = ""
    right: str = ""
    outlets: str = ""
    button: str = ""
    tester: str = ""


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of a test: dead first."""
    ohms = [Row(name, label, "ohm", "at most 1", most="1000000") for name, label in POINTS.items()]
    return (
        looked("dead", "Cord out, inverter off, proved dead", head="Dead: ohms to the inlet's ground"),
        *ohms,
        looked("neutral", "Neutral apart from ground in the panel"),
        words("by_whom", "Who tested live", "licensed or qualified", head="Live: by a qualified person only"),
        words("licence", "Licence or trade number, where the law asks for one"),
        Row("line", "Line to neutral", "V", "100 to 130", most="300"),
        Row("skin", "Skin to earth", "V", "at most 2", most="300"),
        Row("right", "Outlets wired right", reach="every outlet", most="60", whole=True),
        Row("outlets", "Outlets in all", most="60", whole=True),
        Row("button", "GFCI by its own button", options=TRIPS),
        Row("tester", "GFCI by the tester", options=TRIPS),
    )


def check(form: Reader, _context: Context) -> None:
    """Nothing is read before it is dead; live readings are whole and carry a name."""
    if form.raw("dead") == "no":
        form.wrong("dead", "It must be dead before ohms are read", "the cord out, the inverter off")
    if not begun(form, tuple(POINTS)):
        form.wrong("ohms_frame", "No resistance was read", "at least one point, such as 0.3 ohm")
    if begun(form, LIVE) or form.raw("by_whom"):
        check_groups(form, {"The live test": LIVE}, "all live readings")
        if not form.raw("by_whom"):
            form.wrong("by_whom", "Live readings need the name of a qualified person", "name and trade")
    _check_outlets(form)


def _check_outlets(form: Reader) -> None:
    try:
        right, outlets = read_number(form.raw("right")), read_number(form.raw("outlets"))
    except Impossible:
        return
    if not 0 <= right <= outlets or outlets < 1:
        form.wrong(
            "right", "More outlets are right than there are", f"at most {outlets}, and at least 1 in all"
        )


def judge(record: MainsTest, _context: Context) -> Judged:
    """The heaviest of ground, bond and live readings; without the live ones nothing is proved."""
    ohms = {
        label: Quantity(getattr(record, name), "ohm")
        for name, label in POINTS.items()
        if getattr(record, name)
    }
    figures: list[Worked[object]] = [bonding(ohms, neutral_apart=record.neutral == "yes"), *_live(record)]
    return judged(figures, [] if record.by_whom else [Verdict(Grade.UNSEEN, WAITS)])


def _live(record: MainsTest) -> list[Worked[object]]:
    if not record.by_whom:
        return []
    live = Live(
        line=Quantity(record.line, "V"),
        skin=Quantity(record.skin, "V"),
        right=int(read_number(record.right)),
        outlets=int(read_number(record.outlets)),
        by_button=Trip(record.button),
        by_tester=Trip(record.tester),
    )
    return [live_test(live)]


KIND = row_kind(
    "mains_test",
    "Mains test",
    "unit",
    MainsTest,
    judge,
    Read(rows, ("multimeter",), check, CAUTION, cautions=("c6",)),
)
