"""No rule stands in two places: what two rooms need is written in the earlier one, or in the core."""

import ast
from collections import defaultdict
from pathlib import Path

import app

APP = Path(app.__file__).parent
RECORDS = "bench/records/"  # each of these files answers to the same names, and that is their point
OTHERWISE = {  # alike by name, and not in what they do
    "remove_line": "of an estimate, of a purchase order",
    "order_page": "of a work order, of a purchase order",
    "read_photos": "of a job, of a canvas order, each with words of its own",
}


def heads(file: Path) -> list[tuple[str, str, str]]:
    """Name, arguments and result of each public function of a file that is no handler of a route."""
    found = [each for each in ast.parse(file.read_text()).body if isinstance(each, ast.FunctionDef)]
    return [
        (each.name, ast.unparse(each.args), ast.unparse(each.returns or each.args))
        for each in found
        if not each.name.startswith("_") and not each.decorator_list
    ]


def test_no_function_is_written_a_second_time() -> None:
    places = defaultdict(list)
    for file in APP.rglob("*.py"):
        place = file.relative_to(APP).as_posix()
        for head in () if place.startswith(RECORDS) else heads(file):
            places[head].append(place)
    twice = {head[0]: found for head, found in places.items() if len(found) > 1}
    assert len(places) > 500  # all of them were read
    assert twice.keys() == OTHERWISE.keys(), twice
