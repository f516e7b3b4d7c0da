"""What the form of one check says: read into `Seen`, shown again from the book, compared with the book."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from app.ground.forms import Sent
from app.ground.photos import Picture, read_photo
from app.inspection.catalogue import Check
from app.inspection.facts import ReadingLine
from app.inspection.readings import read_readings
from app.inspection.rules import Reading
from app.inspection.steps import Seen
from app.inspection.tables import Finding
from app.trade.figure import By, Grade
from app.trade.problems import Impossible, Problem, Refused
from app.trade.typed import Reader

PLAIN = ("by", "until", "until_miles", "reason", "note", "second")
MOST_MILES = 100_000
ADDED = ("held", "also", "grade", "phrase", "reason-phrase")  # always more than the book holds


def read_seen(typed: Sent, check: Check, phrases: Sequence[str] = ()) -> Seen:
    """What a form says of one look; raises Refused with every problem that needs no rule to see.

    A grade tapped before a question was asked comes back in `chosen` and counts with the key that answers it.
    """
    read = Reader(typed)
    photos, wrong = pictures_in(typed)
    read.problems += wrong
    keys = [measure.key for measure in check.measures]
    seen = Seen(
        readings={key: typed.get(f"reading-{key}") for key in keys},
        units={key: unit for key in keys if (unit := typed.get(f"unit-{key}"))},
        confirmed=confirmed(typed, keys),
        seen=tuple(dict.fromkeys(typed.all("seen"))),
        grade=read.choice("grade" if typed.has("grade") else "chosen", Grade) if _choosing(typed) else None,
        by=read.choice("by", By),
        until=read.day("until"),
        until_miles=read.whole("until_miles", least=1, most=MOST_MILES, what="whole miles", such_as="500"),
        reason=_with_phrases(read.text("reason"), typed.all("reason-phrase"), check, phrases),
        note=_with_phrases(read.text("note", most=1000, lines=True), typed.all("phrase"), check, phrases),
        fitted=not read.yes("absent"),
        closed_off=read.yes("closed_off"),
        second=read.whole("second", least=1, most=2**53),
        photos=tuple(photos),
        held=tuple(held_in(typed)),
    )
    read.done()
    return seen


def _with_phrases(text: str, picked: Sequence[str], check: Check, phrases: Sequence[str]) -> str:
    """What was typed, with the phrases picked from the list; a phrase that is not in it is left out."""
    known = {*phrases, *(defect.says for defect in check.defects)}
    more = [each for each in dict.fromkeys(picked) if each in known and each not in text]
    return "; ".join(filter(None, (text, *more)))


def pictures_in(typed: Sent) -> tuple[list[Picture], list[Problem]]:
    """The pictures of a form that can be read, and what is wrong with the others."""
    photos, wrong = list[Picture](), list[Problem]()
    for content in typed.files("photo"):
        try:
            photos.append(read_photo(content))
        except Impossible as impossible:
            wrong.append(impossible.at("photo"))
    return photos, wrong


def held_in(typed: Sent) -> list[int]:
    """Keys of photos that an earlier form brought, as this one names them; what is no key is left out."""
    return [int(key) for key in dict.fromkeys(typed.all("held")) if _is_key(key)]


def _is_key(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 16


def _choosing(typed: Sent) -> bool:
    answered = any(name.startswith("confirm-") for name, _ in typed.pairs)
    return typed.has("grade") or (answered and typed.has("chosen"))


def confirmed(typed: Sent, keys: Iterable[str]) -> frozenset[str]:
    """The measures whose unlikely text came back with the key that keeps it."""
    return frozenset(
        key
        for key in keys
        if typed.has(f"confirm-reading-{key}")
        and typed.get(f"confirm-reading-{key}").strip() == typed.get(f"reading-{key}").strip()
    )


def also_in(typed: Sent) -> list[int]:
    """The findings that are to be told the same; raises Refused where one is no key."""
    found = typed.all("also")
    if not all(map(_is_key, found)):
        raise Refused([Problem("also", "This is not in the list", "a place of the list")])
    return [int(key) for key in dict.fromkeys(found)]


def values_of(row: Finding, readings: Sequence[ReadingLine], check: Check) -> dict[str, str]:
    """The form as the book fills it."""
    values = {f"reading-{line.measure}": line.typed for line in readings}
    values |= {f"unit-{line.measure}": line.unit for line in readings if line.unit}
    for measure in check.measures:
        values.setdefault(f"unit-{measure.key}", measure.unit)
    values |= {"seen": "\n".join(row.seen), "absent": "" if row.fitted else "yes"}
    values |= {"by": row.by or "", "until": row.until.isoformat() if row.until else ""}
    values |= {"until_miles": str(row.until_miles or ""), "closed_off": "yes" if row.closed_off else ""}
    return values | {"note": row.note, "reason": row.dissent}


def changed(typed: Sent, values: Mapping[str, str]) -> bool:
    """Whether a form holds anything that the book does not."""
    if typed.files("photo") or any(typed.get(name) for name in ADDED):
        return True
    if "\n".join(typed.all("seen")) != values.get("seen", ""):
        return True
    names = {name for name, _ in typed.pairs if name.startswith(("reading-", "unit-"))}
    names |= {"absent", "closed_off", *PLAIN} - {"second"}
    return any(_plain(typed.get(name)) != _plain(values.get(name, "")) for name in names)


def _plain(text: str) -> str:
    return text.strip().replace("\r\n", "\n")


def standing(check: Check, values: Mapping[str, str], day: date) -> dict[str, Reading]:
    """The readings that can be read in a form, each by itself; what cannot be read is left out."""
    found: dict[str, Reading] = {}
    for measure in check.measures:
        only = {name: values.get(name, "") for name in (f"reading-{measure.key}", f"unit-{measure.key}")}
        try:
            found |= read_readings(check, only, {f"reading-{measure.key}"}, day)
        except Refused:
            continue
    return found


@dataclass(frozen=True)
class Differing:
    """One line of a conflict: both sides as said, and the radio button between them.

    `take`: what it sends for the book's side, `keep`: for one's own; `standing`: the book's texts, by field.
    """

    radio: str
    label: str
    theirs: str
    mine: str
    take: str
    keep: str = ""
    standing: tuple[tuple[str, str], ...] = ()


def differences(
    typed: Sent, check: Check, mine: Mapping[str, str], theirs: Mapping[str, str]
) -> list[Differing]:
    """What differs between a form that came too late and the book, line by line."""
    readings = [_reading_line(measure.key, measure.label, mine, theirs) for measure in check.measures]
    labels = {"absent": "Not fitted here", "by": "To be put right", "until": "Look again by"}
    labels |= {"until_miles": "Or after miles", "closed_off": "Shut and tagged"}
    labels |= {"reason": "Why lighter or heavier", "note": "Note"}
    plain = [_line(label, [name], theirs[name], typed.get(name), theirs) for name, label in labels.items()]
    rows = [*readings, _seen_line(typed, check, theirs), *plain]
    return [row for row in rows if _plain(row.theirs) != _plain(row.mine)]


def state_line(row: Finding, mine: Grade) -> Differing:
    """The states, where they differ: the radio button is the key of the state itself."""
    return Differing("grade", "State", Grade(row.grade).word, mine.word, row.grade, mine)


def _reading_line(key: str, label: str, mine: Mapping[str, str], theirs: Mapping[str, str]) -> Differing:
    reading, unit = f"reading-{key}", f"unit-{key}"
    differs = unit if mine.get(unit) != theirs.get(unit) else ""
    stands, typed = _with(theirs, reading, differs), _with(mine, reading, differs)
    return _line(label, [reading, unit], stands, typed, theirs)


def _with(side: Mapping[str, str], reading: str, unit: str) -> str:
    """A reading as typed, with its unit where the two sides differ in it."""
    return " ".join(filter(None, (side.get(reading, ""), side.get(unit, ""))))


def _seen_line(typed: Sent, check: Check, theirs: Mapping[str, str]) -> Differing:
    says = {defect.key: defect.says for defect in check.defects}
    both = (_lines(theirs), typed.all("seen"))
    seen, saw = (", ".join(says.get(key, key) for key in keys) for keys in both)
    return _line("What you see", ["seen"], seen, saw, theirs)


def _line(
    label: str, names: Sequence[str], theirs_said: str, mine_said: str, theirs: Mapping[str, str]
) -> Differing:
    standing = [(name, text) for name in names for text in theirs.get(name, "").split("\n") if text]
    return Differing(
        f"take-{names[0]}", label, theirs_said, mine_said, " ".join(names), standing=tuple(standing)
    )


def _lines(values: Mapping[str, str]) -> list[str]:
    return [key for key in values.get("seen", "").split("\n") if key]
