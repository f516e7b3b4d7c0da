"""Answers to a form that the shop would keep, tried one after the other until one is kept."""

import io
import re
from collections.abc import Iterator
from datetime import timedelta
from functools import cache
from typing import Any

from PIL import Image
from sqlalchemy import Engine

from app.bench.facts import context_for
from app.demo.records import played, texts_for
from app.ground.acting import now
from app.ground.book import reading
from tests.conftest import PASSPHRASE
from tests.whole.crawl import Form

RECORD = re.compile(r"/bench/jobs/(\d+)/records/(\w+)/([\w-]+)")
# What a person could write into an empty field of this name; a name not listed gets the last line.
WORDS = {
    "passphrase": "another four words",
    "again": "another four words",
    "old": PASSPHRASE,
    "phone": "555 555 0142",
    "email": "ada@ransome.example",
    "year": "2014",
    "said_time": "09:00",
    "price": "12.50",
    "quantity": "2",
    "count": "2",
    "number": "NEW-1",
    "part": "PIN-CAP",
    "cost": "12.50",
    "percent": "6.5",
    "miles": "50",
    "counted": "150.00",
    "look": "By eye and by hand",
    "seen-1": "Loose",
    "ease": "2",
}
PICKED = ("instrument", "category", "finding")  # lists of which nothing is chosen yet
NAMES = re.compile(
    r"name|who|(?<!superseded_)by$|read_by|taken|title|what|reason|note|concern|carrier|read_back"
)
WORDY = "Ada Ransome"


def answers_for(form: Form, book: Engine) -> Iterator[dict[str, Any]]:
    """What to send: the form as it stands, then filled in, each choice once."""
    yield dict(form.untouched())
    yield {**form.untouched(), **_shelf(form)}
    if measured := RECORD.fullmatch(form.action):
        yield from _record(form, book, *measured.groups())
    for nth in range(max((len(form_values(form, name)) for name in form.names("radio")), default=1)):
        yield _written(form, nth)
        yield _written(form, nth, every=True)


def _shelf(form: Form) -> dict[str, list[str]]:
    """What was counted, as the book has it; what came, one of each; the first text of a list; a kit."""
    stood = {name[6:]: sent[0] for name, sent in form.untouched().items() if name.startswith("stood-")}
    counted = {f"counted-{part}": [str(int(it) // 100)] for part, it in stood.items()}
    came = {name: ["1"] for name in form.typed if name.startswith("came-")}
    listed = {"text": ["number,name,cost\nNEW-2,Seal,4.30"]} if form.route == "/parts/lists" else {}
    own_kit = {"name": [WORDY], "hours": ["1.5"], "steps": ["Grease both hubs."]}
    return counted | came | listed | (own_kit if form.route == "/inspection/catalogue/add-kit" else {})


def form_values(form: Form, name: str) -> list[str]:
    """The values that the choices of a name can send."""
    return [value for each in form.controls if each.name == name for value in each.values]


def _record(form: Form, book: Engine, job: str, kind: str, place: str) -> Iterator[dict[str, Any]]:
    if not played(kind):
        return
    with reading(book) as session:
        context = context_for(session, int(job), kind, place, now().date() - timedelta(days=1))
    yield {**form.untouched(), **texts_for(kind, context)}


def _written(form: Form, nth: int, *, every: bool = False) -> dict[str, Any]:
    """The form with its empty fields written: those that want words, or every one; the nth of each choice."""
    sent: dict[str, Any] = dict(form.untouched())
    for name in form.typed:
        if not "".join(sent.get(name, [])) and (every or name in WORDS or NAMES.search(name)):
            sent[name] = [WORDS.get(name, WORDY)]
    for name in form.names("radio"):
        values = form_values(form, name)
        sent[name] = [values[min(nth, len(values) - 1)]]
    for name in set(PICKED) & set(form.names("select")):
        sent[name] = [value for value in form_values(form, name) if value][:1]
    for name in form.names("checkbox") if every else ():
        sent[name] = form_values(form, name)
    return sent | _photo(form)


def _photo(form: Form) -> dict[str, Any]:
    return {name: ("corner.jpg", picture()) for name in form.names("file")[:1]}


@cache
def picture() -> bytes:
    """A small photo."""
    out = io.BytesIO()
    Image.effect_noise((320, 240), 60).convert("RGB").save(out, "JPEG")
    return out.getvalue()
