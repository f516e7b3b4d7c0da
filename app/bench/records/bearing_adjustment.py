"""Bearing adjustment of one hub: how the nut was set, end play by indicator, cotter, how it turns."""

from app.bench.kinds import Context, Judged, heaviest_of, put, refused_at
from app.bench.rows import YES_NO, Flat, Read, Row, row_kind, words
from app.trade.bearings import (
    ADJUSTMENTS,
    HEAVY,
    LIGHT,
    ON_STANDS,
    adjustment,
    end_play_verdict,
    question_end_play,
)
from app.trade.figure import By, Grade, Verdict
from app.trade.quantity import Quantity
from app.trade.typed import Reader

PLAYS = ("play_1", "play_2", "play_3")
TURNS = (("free", "Free and quiet"), ("drags", "Drags"), ("noise", "Rough or noisy"))
BY = (("indicator", "Dial indicator"), ("hand", "Felt by hand"))


class BearingAdjustment(Flat):
    """One hub. End play in inches, the largest of up to three places counts; felt by hand is no number."""

    way: str
    measured: str
    play_1: str = ""
    play_2: str = ""
    play_3: str = ""
    cotter: str
    turns: str
    grease: str = ""


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of a hub, in the order of the work."""
    ways = tuple((key, f"{key.capitalize()}: {each.seat}") for key, each in ADJUSTMENTS.items())
    return (
        Row("way", "Set how", options=ways, required="Say how the nut was set", start="light"),
        words("grease", "Grease", "class GC-LB, one thickener", stays=True),
        Row("measured", "End play by", options=BY, required="Say how end play was measured"),
        *(
            Row(name, f"End play, place {n}", "in", f"{LIGHT}; heavy hubs {HEAVY}", most="0.5")
            for n, name in enumerate(PLAYS, 1)
        ),
        Row("cotter", "New cotter pin or lock", options=YES_NO, required="Say whether the lock is new"),
        Row("turns", "Turns", options=TURNS, required="Say how the hub turns", reach="free and quiet"),
    )


def check(form: Reader, _context: Context) -> None:
    """End play by indicator needs a reading and the indicator; no play and much play are asked about."""
    by_indicator = form.raw("measured") == "indicator"
    if by_indicator and not any(form.raw(name) for name in PLAYS):
        form.wrong("play_1", "No end play was read", "such as 0.004 in")
    if by_indicator and not form.raw("instrument"):
        form.wrong("instrument", "The indicator is missing", "a dial indicator from the list")
    for name in PLAYS:
        if form.raw(name) and not refused_at(form, name):
            put(form, question_end_play(name, Quantity(form.raw(name), "in")))


def judge(record: BearingAdjustment, _context: Context) -> Judged:
    """The heaviest of: end play inside the limits of the hub, a new lock, a hub that turns free."""
    limits = HEAVY if record.way == "heavy" else LIGHT
    plays = record.quantities(PLAYS, "in")
    figures = [end_play_verdict(max(plays, key=lambda play: play.value), limits)] if plays else []
    verdicts = [each.verdict for each in figures if each.verdict] + _by_eye(record)
    return Judged(heaviest_of(verdicts), (*figures, adjustment(record.way)))


def _by_eye(record: BearingAdjustment) -> list[Verdict]:
    found = [Verdict(Grade.SOUND, "new lock, turns free and quiet")]
    if record.measured == "hand":
        found.append(Verdict(Grade.UNSEEN, "End play only felt by hand: put an indicator on it"))
    if record.cotter == "no":
        found.append(Verdict(Grade.NEEDS, "Old cotter pin or lock: fit a new one", By.TOWING))
    if record.turns != "free":
        found.append(Verdict(Grade.NEEDS, "The hub does not turn free and quiet", By.TOWING))
    return found


KIND = row_kind(
    "bearing_adjustment",
    "Bearing adjustment",
    "hub",
    BearingAdjustment,
    judge,
    Read(rows, ("dial indicator",), check, ON_STANDS, tool_required=False),
)
