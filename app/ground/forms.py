"""A form on its way in (`Sent`) and on its way out (`Filled`): what was typed always comes back."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from starlette.datastructures import UploadFile

from app.ground.acting import hash_of, new_key
from app.trade.problems import Problem

OURS = ("submission", "token", "revision")
TAKE, THEIRS = "take-", "theirs-"  # in a form that came too late: the choice of a line, and the book's texts
SECRET = ("token", "passphrase", "again", "old")  # in no hash that is kept, or it could be guessed from there


class Sent:
    """The texts and files that a form sent; texts by field name, a repeated field keeps all of them."""

    def __init__(
        self, pairs: Iterable[tuple[str, str]], uploads: Mapping[str, list[bytes]] | None = None
    ) -> None:
        self.pairs = list(pairs)
        self.uploads = dict(uploads or {})

    def get(self, name: str, default: str = "", /) -> str:
        """The last text of a field."""
        return next((text for key, text in reversed(self.pairs) if key == name), default)

    def all(self, name: str) -> list[str]:
        """All texts of a field, in order."""
        return [text for key, text in self.pairs if key == name]

    def files(self, name: str) -> list[bytes]:
        """The contents of the files of a field; none for a file field left empty."""
        return self.uploads.get(name, [])

    def names(self) -> list[str]:
        """The names of all fields sent, each once, in order."""
        return list(dict.fromkeys(name for name, _ in self.pairs))

    def has(self, name: str) -> bool:
        """Whether the field was sent at all."""
        return any(key == name for key, _ in self.pairs)

    @property
    def hash(self) -> str:
        """Hash of everything that was sent but what is secret; the same content has the same hash."""
        texts = [(key, text) for key, text in self.pairs if key not in SECRET]
        blobs = [(key, each.hex()) for key, many in self.uploads.items() for each in many]
        return hash_of(texts + blobs)

    @property
    def revision(self) -> int:
        """The revision that the form was shown with; -1 where it is missing or no number."""
        text = self.get("revision", "0")
        return int(text) if text.isascii() and text.isdigit() and len(text) < 12 else -1


async def read_sent(items: Iterable[tuple[str, str | UploadFile]]) -> Sent:
    """What a parsed request form holds, its files read."""
    pairs: list[tuple[str, str]] = []
    uploads: dict[str, list[bytes]] = {}
    for name, value in items:
        if isinstance(value, str):
            pairs.append((name, value))
        elif content := await value.read():
            uploads.setdefault(name, []).append(content)
    return Sent(settled(pairs), uploads)


def settled(pairs: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """The texts of a form whose conflict was settled: where the book's side of a line was taken, the book's.

    A field `take-<line>` names the fields taken, blanks between them; `theirs-<field>` holds their texts.
    """
    taken = {name for key, names in pairs if key.startswith(TAKE) for name in names.split()}
    typed = [(name, text) for name, text in pairs if not (name in taken or name.startswith((TAKE, THEIRS)))]
    book = [(name.removeprefix(THEIRS), text) for name, text in pairs if name.startswith(THEIRS)]
    return typed + [(name, text) for name, text in book if name in taken]


@dataclass(frozen=True)
class Pair:
    """One line of what came first beside what was typed, both in words; empty texts say nothing."""

    label: str
    theirs: str
    mine: str


@dataclass(frozen=True)
class Filled:
    """A form as shown: values, what is wrong, what somebody else saved, revision, submission key.

    `values`: text by field name from the book, or `typed`: what was sent. `late`: somebody saved first, and
    `first` says who, when and what; `theirs`: what stands in the book now in the fields that differ, each to
    be taken or not. `pairs`: what came first beside what was typed, where there is nothing to take: the form
    adds a row, or its fields are not asked for any more.
    """

    values: Mapping[str, str] = field(default_factory=dict)
    typed: Sent | None = None
    problems: Sequence[Problem] = ()
    theirs: Mapping[str, str] = field(default_factory=dict)
    revision: int = 0
    late: bool = False
    first: str = ""
    pairs: Sequence["Pair"] = ()
    submission: str = field(default_factory=new_key)

    def value(self, name: str) -> str:
        """The text that stands in a field: what was typed, else what the book holds."""
        if self.typed is not None and (self.typed.has(name) or name not in self.values):
            return self.typed.get(name)
        return self.values.get(name, "")

    def chosen(self, name: str, value: str) -> bool:
        """Whether a check box or choice is set."""
        if self.typed is not None:
            return value in self.typed.all(name)
        return value in self.values.get(name, "").split("\n")

    def mine(self, name: str) -> str:
        """What was typed in a field, all of it: a repeated field line by line."""
        return "\n".join(self.typed.all(name)) if self.typed else ""

    def problems_of(self, name: str) -> list[Problem]:
        """What is wrong with one field."""
        return [each for each in self.problems if each.field == name]

    @property
    def told(self) -> bool:
        """Whether anything was typed or chosen; where not, a key alone was tapped."""
        return self.typed is not None and any(
            text.strip() for name, text in self.typed.pairs if name not in OURS
        )

    @property
    def wrong(self) -> bool:
        """Whether it was not saved: something is wrong, or it came too late."""
        return bool(self.problems) or self.late


def again(typed: Sent, problems: Sequence[Problem], values: Mapping[str, str] | None = None) -> Filled:
    """The refused form as it came, with a new submission key, so that the corrected one is a new act."""
    return Filled(values or {}, typed, problems, revision=max(typed.revision, 0))


def conflict(
    typed: Sent, theirs: Mapping[str, str], revision: int, first: str = "", pairs: Sequence["Pair"] = ()
) -> Filled:
    """The form that came too late: what was typed, beside what stands in the book now."""
    return Filled({}, typed, theirs=theirs, revision=revision, late=True, first=first, pairs=pairs)


def differing(typed: Sent, now: Mapping[str, str]) -> dict[str, str]:
    """What stands in the book now, of the fields in which something else was sent.

    `now`: text by field name; a repeated field line by line, as `Filled.mine` has it.
    """
    return {name: text for name, text in now.items() if _said(typed, name) != text.strip()}


def _said(typed: Sent, name: str) -> str:
    return "\n".join(text.replace("\r\n", "\n") for text in typed.all(name)).strip()
