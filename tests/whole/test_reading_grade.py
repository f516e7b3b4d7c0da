"""Every text that a technician meets is read at grade 8: hints, cautions, steps of kits, refusals of forms.

Measured by the grade formula of Kincaid, Fishburne, Rogers and Chissom, Derivation of New Readability
Formulas, Naval Technical Training Command, 1975: 0.39 words a sentence + 11.8 syllables a word - 15.59. It
was made for passages: of five words or fewer one long word decides; these are left aside (common practice).
"""

import ast
import re
from collections.abc import Iterator

import pytest

from app.ground.settings import folder
from tests.inspection.walks import CATALOGUE

BAR = 8.0
FEW = 5
APP = folder("app")
TEMPLATES = folder("templates")
REFUSALS = ("Problem", "Impossible", "wrong", "problem")
FIGURE = "5"  # what stands in a text only once it is said


def syllables(word: str) -> int:
    """Syllables by groups of vowels; a silent e at the end and in -ed is not heard."""
    found = len(re.findall(r"[aeiouy]+", word))
    if re.search(r"[^aeiouy]e$", word) and not re.search(r"[^aeiouy]le$", word):
        found -= 1
    if re.search(r"[^aeiouytd]ed$", word) or re.search(r"[^aeiouysxzhcg]es$", word):
        found -= 1
    return max(found, 1)


def words_of(text: str) -> list[str]:
    """The words of a text; a name of a time zone is a name, not a word."""
    text = re.sub(r"[A-Z]\w+/[A-Z]\w+", "", text)
    return re.findall(r"[a-z0-9'/.-]*[a-z0-9]", text.lower())


def grade(text: str) -> float:
    sentences = [part for part in re.split(r"(?<=[.?!:;])\s+", text) if words_of(part)]
    words = words_of(text)
    heard = sum(syllables(word) for word in words)
    return 0.39 * len(words) / len(sentences) + 11.8 * heard / len(words) - 15.59


def said(node: ast.expr) -> str:
    """A text of the code as it is read, a figure in place of what is filled in."""
    if isinstance(node, ast.JoinedStr):
        return "".join(said(part) if isinstance(part, ast.Constant) else FIGURE for part in node.values)
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def _named(call: ast.Call) -> str:
    return getattr(call.func, "attr", getattr(call.func, "id", ""))


def calls() -> Iterator[tuple[str, ast.Call]]:
    for file in sorted(APP.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text())):
            if isinstance(node, ast.Call):
                yield f"{file.relative_to(APP)}:{node.lineno}", node


def refusals() -> Iterator[tuple[str, str]]:
    """What forms say of what they refuse, with what they would accept; the name of a field is not read."""
    for where, call in calls():
        if _named(call) in REFUSALS:
            texts = [said(each) for each in call.args]
            yield where, ". ".join(filter(_is_spoken, texts))


def _is_spoken(text: str) -> bool:
    return " " in text.strip() and bool(re.search("[a-z]", text))


def cautions() -> Iterator[tuple[str, str]]:
    """The cautions and hints that stand in code, beside figures and records."""
    for where, call in calls():
        for keyword in call.keywords:
            if keyword.arg in ("caution", "hint", "note", "reach", "accepts", "required"):
                yield f"{where} {keyword.arg}", said(keyword.value)


def hints() -> Iterator[tuple[str, str]]:
    """The hints that stand in templates."""
    for file in sorted(TEMPLATES.rglob("*.html")):
        for text in re.findall(r'hint="([^"{]+)"', file.read_text()):
            yield str(file.relative_to(TEMPLATES)), text


def catalogue() -> Iterator[tuple[str, str]]:
    for check in CATALOGUE.checks:
        yield check.key, check.look
        yield f"{check.key} photo", check.photo
    for caution in CATALOGUE.cautions:
        yield caution.key, f"{caution.result} {caution.avoid}"
    for kit in CATALOGUE.kits:
        yield kit.key, " ".join(kit.steps)
        yield f"{kit.key} defer", kit.defer


TEXTS = {
    "catalogue": list(catalogue()),
    "refusals": list(refusals()),
    "cautions": list(cautions()),
    "hints": list(hints()),
}


@pytest.mark.parametrize("kind", TEXTS)
def test_every_text_is_read_at_grade_8(kind: str) -> None:
    long = [(where, text) for where, text in TEXTS[kind] if len(words_of(text)) > FEW]
    hard = [f"{grade(text):.1f} {where}: {text}" for where, text in long if grade(text) > BAR]
    assert hard == []


@pytest.mark.parametrize(
    ("kind", "least"), [("catalogue", 250), ("refusals", 400), ("cautions", 40), ("hints", 60)]
)
def test_the_texts_were_found(kind: str, least: int) -> None:
    assert len([text for _, text in TEXTS[kind] if text]) >= least


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # Worked examples of the public article on these tests (from memory), counted by hand: 6 words of one
        # syllable; 13 words of 24 syllables.
        ("The cat sat on the mat.", -1.45),
        ("The Australian platypus is seemingly a hybrid of a mammal and reptilian creature.", 11.3),
    ],
)
def test_the_grade_is_the_published_one(text: str, expected: float) -> None:
    assert grade(text) == pytest.approx(expected, abs=0.05)


def test_officialese_is_over_the_bar() -> None:
    assert grade("The documentation necessitates immediate verification by an authority.") > BAR
