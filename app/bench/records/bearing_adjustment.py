"""Bearing service of one hub: what came out of it, how the nut was set, end play by indicator, lock."""

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
STATES = (
    ("clean", "Clean and even"),
    ("worn", "Pitted, flaked, blued or loose in the hub"),
    ("shut", "Hub stayed shut"),
)
NUMBERS = {"inner": "Inner bearing", "outer": "Outer bearing", "seal_number": "Seal"}
TURNS = (("free", "Free and quiet"), ("drags", "Drags"), ("noise", "Rough or noisy"))
WAYS = tuple((key, f"{key.capitalize()}: {each.seat}") for key, each in ADJUSTMENTS.items())
OPENED, SHUT = "Opened and cleaned", "Put together"
BY = (("indicator", "Dial indicator"), ("hand", "Felt by hand"))


class BearingAdjustment(Flat):
    """One hub. `state` of cones, cups and rollers, and what is stamped on them, where it was opened.

    End play in inches, the largest of up to three places counts; felt by hand is no number.
    """

    state: str = ""
    inner: str = ""
    outer: str = ""
    seal: str = ""
    seal_number: str = ""
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
    return (
        Row("state", "Cones, cups and rollers", options=STATES, required="Say how they are", head=OPENED),
        *(
            words(name, f"{label}, as stamped", "size and bore alone do not identify it", stays=True)
            for name, label in NUMBERS.items()
        ),
        Row("seal", "New seal", options=YES_NO),
        Row("way", "Set how", options=WAYS, required="Say how the nut was set", start="light", head=SHUT),
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
    """A hub that was opened has its numbers and a word on its seal; end play by indicator needs a reading and
    the indicator; no play and much play are asked about.
    """
    _check_opened(form)
    by_indicator = form.raw("measured") == "indicator"
    if by_indicator and not any(form.raw(name) for name in PLAYS):
        form.wrong("play_1", "No end play was read", "such as 0.004 in")
    if by_indicator and not form.raw("instrument"):
        form.wrong("instrument", "The indicator is missing", "a dial indicator from the list")
    for name in PLAYS:
        if form.raw(name) and not refused_at(form, name):
            put(form, question_end_play(name, Quantity(form.raw(name), "in")))


def _check_opened(form: Reader) -> None:
    opened = form.raw("state") in ("clean", "worn")
    for name, label in NUMBERS.items() if opened else ():
        if not form.raw(name):
            form.wrong(name, f"{label}: its number is missing", "what is stamped, or that it cannot be read")
    if opened and not form.raw("seal"):
        form.wrong("seal", "Say whether the seal is new", "yes or no")


def judge(record: BearingAdjustment, _context: Context) -> Judged:
    """The heaviest of: end play inside the limits of the hub, a new lock, a hub that turns free."""
    limits = HEAVY if record.way == "heavy" else LIGHT
    plays = record.quantities(PLAYS, "in")
    figures = [end_play_verdict(max(plays, key=lambda play: play.value), limits)] if plays else []
    verdicts = [each.verdict for each in figures if each.verdict] + _by_eye(record)
    return Judged(heaviest_of(verdicts), (*figures, adjustment(record.way)))


def _by_eye(record: BearingAdjustment) -> list[Verdict]:
    found = [Verdict(Grade.SOUND, "new lock, turns free and quiet")]
    if record.state == "worn":
        found.append(Verdict(Grade.DNT, "Bearing pitted, flaked, blued or loose: fit a new one with its cup"))
    if record.seal == "no":
        found.append(Verdict(Grade.NEEDS, "Old seal: fit a new one, grease reaches the brake", By.TOWING))
    if record.measured == "hand":
        found.append(Verdict(Grade.UNSEEN, "End play only felt by hand: put an indicator on it"))
    if record.cotter == "no":
        found.append(Verdict(Grade.NEEDS, "Old cotter pin or lock: fit a new one", By.TOWING))
    if record.turns != "free":
        found.append(Verdict(Grade.NEEDS, "The hub does not turn free and quiet", By.TOWING))
    return found


KIND = row_kind(
    "bearing_adjustment",
    "Bearing service",
    "hub",
    BearingAdjustment,
    judge,
    Read(rows, ("dial indicator",), check, ON_STANDS, tool_required=False),
)
