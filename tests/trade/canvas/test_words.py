"""What a person reads: each problem says what is wrong and what is taken, in the house's words."""

import ast
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest

import app.trade.canvas
from app.trade.canvas.faults import faults
from app.trade.canvas.mates import SeamSide, mate_problems, ring_problems, seam_problems, symmetry_problems
from app.trade.canvas.outline import outline_of
from app.trade.canvas.plotted import Walk, walked
from app.trade.canvas.readiness import Kind, Order, Part, holds_back
from app.trade.canvas.taped import taped
from app.trade.problems import Problem

FOLDER = Path(app.trade.canvas.__file__).parent
MODULES = sorted(path for path in FOLDER.glob("*.py") if path.stem != "__init__")
SQUARE = outline_of([0, 1000, 1000 + 1000j, 1000j])
ASKEW = outline_of([0, 1030, 1000 + 1000j, 1000j])


def all_problems() -> list[Problem]:
    """One of nearly every problem that the package can tell."""
    lengths = {"A-B": 1000, "B-C": 1000, "C-D": 1000, "A-D": 1000, "A-C": 1414, "B-D": 1430}
    tape = {key: Decimal(mm) for key, mm in lengths.items()}
    edge, other = SeamSide("wall", SQUARE, ("A-B",)), SeamSide("skirt", ASKEW, ("A-B",))
    sides = tuple(map(Decimal, (300, 300, 320, 300)))
    return [
        *taped(4, tape).problems,
        *taped(4, tape | {"A-C": Decimal(2100)}).problems,
        *taped(4, {}).problems,
        *taped(4, tape | {"A-B": Decimal(0), "A-Q": Decimal(5)}).problems,
        *faults(outline_of([0, 1000 + 1000j, 1000, 1000j])),
        *faults(outline_of([0, 500, 1200])),
        *faults(outline_of([0, 1000j, 9000 + 1000j, 9000])),
        *walked(Walk(sides, tuple(map(Decimal, (90, 90, 90, 95))))).problems,
        *walked(Walk(sides, tuple(map(Decimal, (90, 90))))).problems,
        *seam_problems(edge, other),
        *mate_problems(SQUARE, ASKEW.mirrored()),
        *mate_problems(SQUARE, SQUARE),
        *symmetry_problems(ASKEW),
        *ring_problems([edge], other),
        *holds_back(Order(tuple(Part(kind, kind.value, "front wall") for kind in Kind))),
        *holds_back(Order(())),
    ]


def test_every_problem_says_what_is_wrong_and_what_is_taken() -> None:
    told = all_problems()
    assert len(told) > 60
    for problem in told:
        assert problem.field
        assert not problem.says[0].islower()
        assert not problem.says.endswith(".")
        assert problem.accepts


def test_no_problem_pleads_or_shouts() -> None:
    for problem in all_problems():
        said = f"{problem.says} {problem.accepts}".casefold()
        for word in ("please", "sorry", "invalid", "oops", "!", "≥", "≤", "error:", "must be valid"):
            assert word not in said


def strings(path: Path) -> Iterator[str]:
    tree = ast.parse(path.read_text())
    return (
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_no_text_of_the_package_uses_signs_for_words(path: Path) -> None:
    for text in strings(path):
        assert not set("≥≤") & set(text)
        assert "lb-ft" not in text


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_the_package_reads_no_clock_and_no_file(path: Path) -> None:
    """The trade is pure: days and seconds come in as arguments."""
    tree = ast.parse(path.read_text())
    imported = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    imported |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not imported & {"time", "os", "pathlib", "sqlite3", "socket", "subprocess", "multiprocessing"}
    called = {
        node.func.id
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not called & {"open", "print", "input"}


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_every_module_has_its_test(path: Path) -> None:
    """Each file of the package has a file of tests of its name."""
    assert (Path(__file__).parent / f"test_{path.stem}.py").exists()
