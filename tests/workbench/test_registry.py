"""The entries: every figure of the trade has one, and each can be shown, found and worked out."""

import ast
import sys
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FrameType

import pytest

from app.trade.quantity import UNITS, alike
from app.workbench.entry import Field, Figure, Kind
from app.workbench.registry import SECTIONS, all_figures, by_section
from app.workbench.rules import example_query
from tests.bench.stay import catalogue
from tests.workbench.asking import TODAY, asked, refused

APP = Path(__file__).resolve().parents[2] / "app"
FIGURES = list(all_figures().values())
FIELDS = [(figure, field) for figure in FIGURES for field in figure.fields]

# Figures that make sense inside a record only, with the reason.
ONLY_IN_A_RECORD: dict[str, str] = {}


def worked_functions() -> Iterator[str]:
    """Every public function of the trade that returns a Worked, as `module.name`."""
    for path in sorted((APP / "trade").glob("*.py")):
        tree = ast.parse(path.read_text())
        functions = [node for node in tree.body if isinstance(node, ast.FunctionDef) and node.returns]
        public = [node for node in functions if not node.name.startswith("_")]
        yield from (f"{path.stem}.{node.name}" for node in public if _gives_worked(node))


def _gives_worked(node: ast.FunctionDef) -> bool:
    return node.returns is not None and ast.unparse(node.returns).startswith("Worked[")


def called_by_the_entries() -> set[str]:
    """Functions of the trade that the entries themselves call while all examples are worked out."""
    found: set[str] = set()

    def watch(frame: FrameType, event: str, _: object) -> None:
        caller = frame.f_back
        ours = event == "call" and caller is not None and _is_in(caller.f_code, "workbench")
        if ours and _is_in(frame.f_code, "trade"):
            found.add(f"{Path(frame.f_code.co_filename).stem}.{frame.f_code.co_name}")

    sys.setprofile(watch)
    try:
        for figure in FIGURES:
            asked(figure.key)
    finally:
        sys.setprofile(None)
    return found


def _is_in(code: CodeType, room: str) -> bool:
    return str(APP / room) in code.co_filename


def test_every_figure_of_the_trade_has_an_entry() -> None:
    expected = set(worked_functions())
    assert len(expected) > 100  # the walk finds the trade
    assert expected - called_by_the_entries() == set(ONLY_IN_A_RECORD)


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.key)
def test_an_example_is_worked_out_and_explained(figure: Figure) -> None:
    for worked in asked(figure.key):
        assert worked.says
        assert worked.formula
        assert str(worked.source)


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.key)
def test_an_entry_says_its_question_and_stands_in_a_section(figure: Figure) -> None:
    assert figure.section in SECTIONS
    assert figure.says.endswith("?")
    assert figure.title[0].isupper() or figure.title[0].isdigit()
    names = [each.name for each in figure.fields]
    assert len(names) == len(set(names))


def test_keys_are_one_of_a_kind_and_fit_an_address() -> None:
    files = sum(len(each.entries) for each in by_section())
    assert files == len(FIGURES)
    assert all(key.replace("-", "").isalnum() and key.islower() for key in all_figures())
    assert "orders" not in all_figures()  # an address of its own


@pytest.mark.parametrize(("figure", "field"), FIELDS, ids=lambda it: getattr(it, "key", "") or it.name)
def test_a_field_has_an_end_on_both_sides_and_units_of_one_kind(figure: Figure, field: Field) -> None:
    assert all(unit in UNITS and alike(unit, field.unit) for unit in field.units)
    if field.kind in (Kind.NUMBER, Kind.NUMBERS, Kind.WHOLE):
        assert field.least
        assert field.most
    if field.options:
        assert field.example in dict(field.options)
    assert not field.label.endswith((".", ":"))


@pytest.mark.parametrize(("figure", "field"), FIELDS, ids=lambda it: getattr(it, "key", "") or it.name)
def test_a_needed_field_left_empty_is_named(figure: Figure, field: Field) -> None:
    if not field.needed:
        return
    problem = next(each for each in refused(figure.key, {field.name: ""}) if each.field == field.name)
    assert "missing" in problem.says
    assert problem.accepts


@pytest.mark.parametrize("figure", [each for each in FIGURES if each.fields], ids=lambda each: each.key)
def test_what_is_not_known_may_be_left_out(figure: Figure) -> None:
    """The fields that are not needed are left empty together, where the figure has something left to say."""
    optional = {each.name: "" for each in figure.fields if not each.needed}
    if figure.key in ("ratings", "largest-trailer", "requalification", "due-again", "bill", "corner-heights"):
        assert refused(figure.key, optional)  # at least one of them is asked for
    else:
        assert asked(figure.key, optional)


def test_cautions_are_those_of_the_catalogue() -> None:
    known = {each.key for each in catalogue().cautions}
    assert {key for figure in FIGURES for key in figure.cautions} <= known


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("torque", "passes"),
        ("TONGUE", "tongue-share"),
        ("gas leak", "leak-test"),
        ("how old tire", "tire-age"),
        ("spring", "spring-bars"),
    ],
)
def test_a_figure_is_found_by_words_of_its_question(words: str, key: str) -> None:
    assert key in {each.key for part in by_section(words) for each in part.entries}


def test_words_that_stand_nowhere_find_nothing() -> None:
    assert by_section("zebra") == []
    assert len(by_section("  ")) == len(SECTIONS)


def test_an_example_query_fills_the_form() -> None:
    for figure in FIGURES:
        query = dict(example_query(figure))
        assert set(query) == {each.name for each in figure.fields if each.example}
    assert TODAY.year == 2026
