"""Hitch set-up: heights alone, slack and engaged, trailer level, bars, chains, cable, pins."""

from collections.abc import Mapping
from decimal import Decimal

from app.bench.kinds import Context, Judged
from app.bench.levels_drawn import levels_drawn
from app.bench.rows import Flat, Read, Row, check_groups, faults, judged, looked, row_kind, words
from app.trade.coupling import level_coupled
from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.hitch import CAUTION, restored_by_height
from app.trade.quantity import Quantity, read_number
from app.trade.typed import Reader, Typed
from app.trade.weights import restored_verdict

GROUPS = {
    "The front fender": ("front_alone", "front_slack", "front_engaged"),
    "The rear fender": ("rear_alone", "rear_slack", "rear_engaged"),
}
BARS = ("links_left", "links_right")
CHAIN_GAP = (Decimal(3), Decimal(12))  # in between chains and ground, common practice


class HitchSetup(Flat):
    """Heights in inches. Fender heights and links are empty where the hitch has no spring bars."""

    front_alone: str = ""
    front_slack: str = ""
    front_engaged: str = ""
    rear_alone: str = ""
    rear_slack: str = ""
    rear_engaged: str = ""
    goal: str = ""
    frame_front: str
    frame_rear: str
    ball_height: str = ""
    head: str = ""
    links_left: str = ""
    links_right: str = ""
    bolts: str
    pinned: str
    clip: str
    chains: str
    chain_gap: str
    cable: str
    plug: str


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of a set-up, in the order of the work."""
    return (
        _inches("front_alone", "Tow vehicle alone", head="Front fender to the ground, where there are bars"),
        _inches("front_slack", "Coupled, bars slack"),
        _inches("front_engaged", "Coupled, bars engaged"),
        Row("goal", "Front load to restore, by the tow vehicle's book", "percent", most="100"),
        _inches("rear_alone", "Tow vehicle alone", head="Rear fender to the ground"),
        _inches("rear_slack", "Coupled, bars slack"),
        _inches("rear_engaged", "Coupled, bars engaged"),
        _inches("frame_front", "Front of the frame", "level", head="Trailer as it tows", required=True),
        _inches("frame_rear", "Rear of the frame", "nose up at most 1 in", required=True),
        _inches("ball_height", "Top of the ball to the ground"),
        words(
            "head", "Head tilt and hole", "washers, notch or degrees, hole from the top", head="Head and bars"
        ),
        Row("links_left", "Links, left", reach="the same both sides", most="20", whole=True),
        Row("links_right", "Links, right", reach="the same both sides", most="20", whole=True),
        looked("bolts", "Head bolts tightened to the figure", "with a torque record of their own"),
        looked("pinned", "Latch shut and pinned", head="Coupled"),
        looked("clip", "Draw pin with its clip"),
        looked("chains", "Chains crossed under the tongue, latched", "to the frame, not twisted to shorten"),
        Row("chain_gap", "Chains to the ground", "in", "3 to 12", most="30", required="The gap is missing"),
        looked("cable", "Breakaway cable to the vehicle", "not to ball mount or chain", may_lack=True),
        looked("plug", "Plug in and held, slack in a full turn"),
    )


def _inches(name: str, label: str, reach: str = "", *, required: bool = False, head: str = "") -> Row:
    missing = f"{label}: the height is missing" if required else ""
    return Row(name, label, "in", reach, least="4", most="80", required=missing, head=head)


def check(form: Reader, _context: Context) -> None:
    """A fender's heights are three, links are counted on both sides."""
    if any(form.raw(name) for names in GROUPS.values() for name in names):
        check_groups(form, GROUPS, "alone, slack and engaged")
    for name, other in (BARS, BARS[::-1]):
        if form.raw(other) and not form.raw(name):
            form.wrong(name, "The other side is missing", "links lifted, such as 5")


def judge(record: HitchSetup, context: Context) -> Judged:
    """The heaviest of: level, restoration, bars alike, all that holds the coupling together."""
    tandem = context.axles > 1
    level = level_coupled(
        Quantity(record.frame_front, "in"), Quantity(record.frame_rear, "in"), tandem=tandem
    )
    heights = record.quantities(GROUPS["The front fender"], "in")
    figures: list[Worked[object]] = [level, *([restored_by_height(*heights)] if heights else [])]
    return judged(figures, [*_restored(figures, record), *_seen(record)])


def _restored(figures: list[Worked[object]], record: HitchSetup) -> list[Verdict]:
    goal = read_number(record.goal) if record.goal else None
    return [restored_verdict(each.value, goal) for each in figures[1:] if isinstance(each.value, Decimal)]


FAULTS = {
    "pinned": Verdict(Grade.DNT, "Latch not pinned"),
    "clip": Verdict(Grade.DNT, "Draw pin without its clip"),
    "chains": Verdict(Grade.NEEDS, "Chains not crossed, or not latched", By.TOWING),
    "cable": Verdict(Grade.NEEDS, "Breakaway cable not to the vehicle", By.TOWING),
    "plug": Verdict(Grade.NEEDS, "Plug not held, or pulled tight in a turn", By.TOWING),
    "bolts": Verdict(Grade.NEEDS, "Head bolts not at their figure", By.TOWING),
}


def _seen(record: HitchSetup) -> list[Verdict]:
    found = faults(record, FAULTS)
    if not CHAIN_GAP[0] <= read_number(record.chain_gap) <= CHAIN_GAP[1]:
        found.append(
            Verdict(Grade.NEEDS, f"Chains {record.chain_gap} in over the ground: 3 to 12", By.TOWING)
        )
    if record.links_left and read_number(record.links_left) != read_number(record.links_right):
        found.append(Verdict(Grade.NEEDS, "Links differ from side to side", By.TOWING))
    return found or [Verdict(Grade.SOUND, "coupled, pinned, chains crossed")]


def draw(typed: Typed, _context: Context) -> Mapping[str, object]:
    """The coupled trailer from the side with its heights."""
    return {"levels": levels_drawn({name: typed.get(name).strip() for name in HitchSetup.model_fields})}


KIND = row_kind(
    "hitch_setup",
    "Hitch set-up",
    "unit",
    HitchSetup,
    judge,
    Read(rows, check=check, note=CAUTION, cautions=("c9", "c2"), draw=draw),
)
