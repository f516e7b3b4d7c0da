"""Identity: the number on plate, frame and papers, labels with their ratings, search for recalls."""

from dataclasses import replace

from app.bench.kinds import Context, Judged, put
from app.bench.rows import YES_NO, Flat, Read, Row, judged, row_kind, words
from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.typed import Reader
from app.trade.vin import Vin, VinKind, check_digit, model_year, read_vin

OF_KIND = (
    ("standard", "17 places"),
    ("assigned", "Assigned, or home-made"),
    ("old", "Before model year 1981"),
)
LABEL = (("read", "There, copied"), ("gone", "Gone or illegible"))
RECALLS = (("none", "Nothing found"), ("open", "Open recall found"), ("no", "Not searched"))
OLD_YEAR = 1980  # any model year before the number got 17 places
NOTE = "Plate, stamp and papers differ: stop, say nothing is wrong or right, ask a lead and the state."


class Identity(Flat):
    """The number at three places, the kind of number, labels, recalls, all as read."""

    of_kind: str
    plate: str
    frame: str
    papers: str
    photo: str
    certification: str
    gvwr: str = ""
    gawr: str = ""
    placard: str
    tires: str = ""
    recalls: str
    searched: str = ""


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of an identity, letter by letter."""
    return (
        Row("of_kind", "Number", options=OF_KIND, required="Say what kind of number it is", head="Number"),
        words("plate", "On the plate", "letter by letter", required="The plate's number is missing"),
        words("frame", "Stamped in the frame", "or: none found", required="Say what the frame shows"),
        words("papers", "In the papers", "or: no papers", required="Say what the papers show"),
        Row("photo", "Photographs of both", options=YES_NO, required="Say yes or no"),
        Row("certification", "Certification label", options=LABEL, required="Say yes or no", head="Labels"),
        words("gvwr", "GVWR, as printed"),
        words("gawr", "GAWR of each axle, as printed"),
        Row("placard", "Tire and loading placard", options=LABEL, required="Say yes or no"),
        words("tires", "Size and pressure, as printed"),
        Row(
            "recalls",
            "Recalls",
            options=RECALLS,
            required="Say whether recalls were searched",
            head="Recalls",
        ),
        words("searched", "Where, when, and what was found"),
    )


def check(form: Reader, context: Context) -> None:
    """The number can be one; what a standard number makes unlikely is asked; copies are there."""
    if form.raw("plate") and form.raw("of_kind") in dict(OF_KIND):
        _check_number(form, context)
    for label, copies in (("certification", ("gvwr", "gawr")), ("placard", ("tires",))):
        for name in copies:
            if form.raw(label) == "read" and not form.raw(name):
                form.wrong(name, "The label is there, so it is copied", "every figure as printed")
    if form.raw("recalls") in ("none", "open") and not form.raw("searched"):
        form.wrong(
            "searched", "Say where and when it was searched", "the maker's or the state's list, and the day"
        )


def _check_number(form: Reader, context: Context) -> None:
    try:
        for each in _number(form.raw("plate"), form.raw("of_kind"), context).problems:
            put(form, [replace(each, field="plate")])
    except Impossible as wrong:
        form.problems.append(wrong.at("plate"))


def _number(typed: str, of_kind: str, context: Context) -> Vin:
    made = OLD_YEAR if of_kind == "old" else None
    return read_vin(typed, context.on, made=made, assigned=of_kind == "assigned")


def judge(record: Identity, context: Context) -> Judged:
    """The heaviest of: the number, its copies alike, labels there, recalls searched."""
    vin = _number(record.plate, record.of_kind, context)
    standard = vin.kind is VinKind.STANDARD
    figures: list[Worked[object]] = (
        [check_digit(vin.number), model_year(vin.number, context.on)] if standard else []
    )
    return judged(figures, [*_alike(record, vin), *_labels(record)])


def _alike(record: Identity, vin: Vin) -> list[Verdict]:
    places = {"frame": record.frame, "papers": record.papers}
    told = [name for name, text in places.items() if _packed(text) not in (_packed(vin.number), *NOWHERE)]
    none = [name for name, text in places.items() if _packed(text) in NOWHERE]
    if told:
        return [
            Verdict(
                Grade.NEEDS, f"The number differs on the plate and in the {' and '.join(told)}", By.TOWING
            )
        ]
    return [Verdict(Grade.WATCH if none else Grade.SOUND, _same(vin, none))]


NOWHERE = ("NONEFOUND", "NONE", "NOPAPERS")


def _same(vin: Vin, none: list[str]) -> str:
    missing = f"; none in the {' and '.join(none)}" if none else " on plate, frame and papers"
    return f"{vin.grouped}{missing}"


def _packed(text: str) -> str:
    return "".join(text.split()).replace("-", "").upper()


def _labels(record: Identity) -> list[Verdict]:
    found = []
    if record.certification == "gone":
        found.append(Verdict(Grade.NEEDS, "Certification label gone: ask the maker of record", By.SOON))
    if record.placard == "gone":
        found.append(Verdict(Grade.NEEDS, "Tire and loading placard gone", By.SOON))
    if record.recalls == "open":
        found.append(Verdict(Grade.NEEDS, f"Open recall: {record.searched}", By.SOON))
    if "no" in (record.recalls, record.photo):
        found.append(Verdict(Grade.UNSEEN, "Recalls not searched, or no photograph"))
    return found


KIND = row_kind("identity", "Identity", "unit", Identity, judge, Read(rows, check=check, note=NOTE))
