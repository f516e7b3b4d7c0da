"""The tables of examples through every way in: the form as it is posted, JSON, and JSON in other units."""

import json
from collections.abc import Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

import lxml.html
import pytest

from app.workbench.entry import Field, Figure, Kind
from app.workbench.registry import all_figures
from tests.conftest import Browser
from tests.workbench.tables import balance, desk, electric, gas, hubs, nuts, running, tires, weights
from tests.workbench.tables.rows import Row, Way

TABLES = (tires, nuts, hubs, balance, running, electric, gas, weights, desk)
ROWS = [row for table in TABLES for row in table.ROWS]
MEASURED = (Kind.NUMBER, Kind.NUMBERS)


def of(*ways: Way) -> list[Row]:
    """The rows that look at one of these."""
    return [row for row in ROWS if row.way in ways]


def form_of(row: Row) -> dict[str, str]:
    """The whole form of a row: the example with what is typed."""
    return {**all_figures()[row.key].examples, **row.typed}


@pytest.fixture(scope="module")
def token(asking: Browser) -> str:
    """The form token of the session."""
    return asking.token("/people")


class Desk:
    """Both ways of asking, by one person."""

    def __init__(self, browser: Browser, token: str) -> None:
        self.browser, self.token = browser, token

    def told(self, key: str, form: Mapping[str, object], status: int = 200) -> dict[str, Any]:
        """What JSON answers."""
        headers = {"Origin": "http://testserver", "X-Token": self.token, "Content-Type": "application/json"}
        answer = self.browser.client.post(f"/api/figures/{key}", content=json.dumps(form), headers=headers)
        assert answer.status_code == status, answer.text
        found: dict[str, Any] = answer.json()
        return found

    def page(self, key: str, form: Mapping[str, str], status: int = 200) -> lxml.html.HtmlElement:
        """The page that a form without script comes back with."""
        sent = {"token": self.token, **form}
        origin = {"Origin": "http://testserver"}
        answer = self.browser.client.post(f"/workbench/{key}", data=sent, headers=origin)
        assert answer.status_code == status, answer.text
        return lxml.html.document_fromstring(answer.text)


@pytest.fixture
def desk(asking: Browser, token: str) -> Desk:
    """A technician who asks by form and by JSON."""
    return Desk(asking, token)


def flat(text: str) -> str:
    """Words with plain blanks."""
    return " ".join(text.replace("\xa0", " ").split())


def words(page: lxml.html.HtmlElement) -> str:
    """The words of a page."""
    return flat(page.text_content())


# What stands in an answer


def at(told: Mapping[str, Any], place: str) -> Any:  # noqa: ANN401 - each figure has a value of its own
    """The value at a place: `1.front` is the field `front` of the second figure."""
    which, *path = place.split(".")
    found: Any = told["figures"][int(which)]["value"]
    for step in path:
        found = found[int(step)] if isinstance(found, list) else found[step]
    return found["minor"] / 100 if isinstance(found, dict) and set(found) == {"minor"} else found


def assert_worth(row: Row, told: Mapping[str, Any], factor: Fraction = Fraction(1)) -> None:
    """Every value that is wanted is met, to half its last digit or to the percent of the row."""
    for place, wanted in row.want.items():
        found = at(told, place)
        if not wanted.lstrip("-").replace(".", "").isdigit() or not _numeric(found):
            assert str(found) == wanted, row.source
        else:
            turned = place.endswith(("angle", "turn"))  # degrees, whatever the unit of the amount
            off = abs(Fraction(str(found)) * (1 if turned else factor) - Fraction(wanted))
            assert off <= allowed(wanted, row.percent), f"{found} is not {wanted}: {row.source}"


def _numeric(found: object) -> bool:
    return str(found).lstrip("-").replace(".", "", 1).isdigit()


def allowed(wanted: str, percent: str) -> Fraction:
    """How far a value may be off."""
    if percent:
        return abs(Fraction(wanted)) * Fraction(percent) / 100
    digits = len(wanted.partition(".")[2])
    return Fraction(51, 100) / 10**digits


def assert_judged(row: Row, told: Mapping[str, Any]) -> None:
    """Every grade that is wanted is the one given."""
    for place, wanted in row.want.items():
        verdict = told["figures"][int(place)]["verdict"]
        assert verdict is not None, f"{row.key} is not judged"
        assert verdict["grade"] == wanted, f"{verdict['says']}: {row.source}"


def assert_said(row: Row, told: Mapping[str, Any]) -> None:
    """Every word that is wanted stands in the answer."""
    for place, wanted in row.want.items():
        assert flat(wanted) in flat(told["figures"][int(place)]["says"]), row.source


ASSERT = {Way.WORTH: assert_worth, Way.JUDGED: assert_judged, Way.SAYS: assert_said}


@pytest.mark.parametrize("row", of(Way.WORTH, Way.JUDGED, Way.SAYS), ids=str)
def test_a_row_holds_by_json_and_the_page_says_the_same(row: Row, desk: Desk) -> None:
    told = desk.told(row.key, form_of(row))
    ASSERT[row.way](row, told)
    page = desk.page(row.key, form_of(row))
    shown = words(page)
    for each in told["figures"]:
        assert flat(each["says"]) in shown
        if each["verdict"]:
            assert flat(each["verdict"]["word"]) in shown
            assert flat(each["verdict"]["says"]) in shown
    assert_kept(all_figures()[row.key], form_of(row), page)


def assert_kept(figure: Figure, form: Mapping[str, str], page: lxml.html.HtmlElement) -> None:
    """Every field holds what was typed, the unit beside it is the one chosen."""
    for field in figure.fields:
        assert kept_in(page, field) == form[field.name].strip(), field.name
        if chosen := form.get(f"{field.name}-unit"):
            units = page.xpath(f'//*[@name="{field.name}-unit"]//option[@selected]/@value')
            assert units == [chosen]


def kept_in(page: lxml.html.HtmlElement, field: Field) -> str:
    """What stands in a field of a page, as it would be sent again."""
    of_it = page.xpath(f'//form[not(contains(@action, "attach"))]//*[@name="{field.name}"]')
    for control in of_it:
        if control.tag == "select":
            return str(control.xpath("./option[@selected]/@value")[0])
        if control.get("type") in ("radio", "checkbox"):
            if control.get("checked") is not None:
                return str(control.get("value"))
            continue
        return str(control.get("value") if control.tag == "input" else control.text or "").strip()
    return ""


# Other units. Exact by definition: NIST SP 811, appendix B; the inch of water is the conventional one

IN_SI = {
    **{"in": "0.0254", "mm": "0.001", "thou": "0.0000254", "in_32nd": "0.00079375"},
    **{"ft": "0.3048", "m": "1", "mi": "1609.344", "km": "1000"},
    **{"lb": "0.45359237", "kg": "1", "oz": "0.028349523125", "g": "0.001"},
    **{"lbf": "4.4482216152605", "N": "1"},
    **{"lbf_ft": "1.3558179483314004", "lbf_in": "0.1129848290276167", "N_m": "1"},
    **{"psi": "6.894757293168361", "kPa": "1", "bar": "100", "in_wc": "0.2490889"},
    **{"mph": "0.44704", "km_h": "0.2777777777777777777777777778"},
    **{"oz_in": "720.077887375", "g_mm": "1"},
}
PRINTED = {"lbf·ft": "lbf_ft", "N·m": "N_m", "lbf·in": "lbf_in", "in wc": "in_wc"}
NOT_IN_OTHER_UNITS = {
    "scale-tickets": "its readings are whole steps of the scale, in the scale's own unit",
}


def number_of(text: str) -> Fraction:
    """A number as it is typed, `1 3/8` among them."""
    sign = -1 if text.strip().startswith("-") else 1
    return sign * sum(map(Fraction, text.strip().lstrip("-").split()), Fraction(0))


def converted(number: Fraction, unit: str, into: str) -> Fraction:
    """A number in another unit of its kind."""
    if unit == "degF":
        return (number - 32) * 5 / 9
    if unit == "degC":
        return number * 9 / 5 + 32
    return number * Fraction(IN_SI[unit]) / Fraction(IN_SI[into])


def in_other_unit(field: Field, form: Mapping[str, str], which: int) -> dict[str, str]:
    """A field's text in another of its units, to fifteen digits."""
    unit, text = form.get(f"{field.name}-unit", field.unit), form[field.name]
    others = [each for each in field.units if each != unit]
    if field.kind not in MEASURED or not others or not text:
        return {}
    into = others[which % len(others)]
    parts = [text] if field.kind is Kind.NUMBER else text.replace(";", " ").split()
    texts = [f"{Decimal(f'{float(converted(number_of(each), unit, into)):.15g}'):f}" for each in parts]
    return {field.name: "; ".join(texts), f"{field.name}-unit": into}


def answers_factor(told: Mapping[str, Any], other: Mapping[str, Any]) -> Fraction:
    """What takes the answer back where it follows the unit typed."""
    mine, theirs = unit_of(told), unit_of(other)
    return Fraction(1) if mine == theirs else converted(Fraction(1), theirs, mine)


def unit_of(told: Mapping[str, Any]) -> str:
    """The key of the unit of an answer."""
    printed = told["figures"][0]["unit"]
    return PRINTED.get(printed, printed)


def with_other_units() -> Iterator[Any]:
    """Rows that can be typed in other units, each with every other."""
    for row in of(Way.WORTH, Way.JUDGED):
        fields = all_figures()[row.key].fields
        most = max((len(each.units) for each in fields if each.kind in MEASURED), default=1) - 1
        if row.key not in NOT_IN_OTHER_UNITS:
            yield from (pytest.param(row, n, id=f"{row}, unit {n + 2}") for n in range(most))


@pytest.mark.parametrize(("row", "which"), list(with_other_units()))
def test_a_row_holds_in_the_other_units(row: Row, which: int, desk: Desk) -> None:
    form = form_of(row)
    changed = dict(form)
    for field in all_figures()[row.key].fields:
        changed |= in_other_unit(field, form, which)
    told, other = desk.told(row.key, form), desk.told(row.key, changed)
    if row.way is Way.WORTH:
        assert_worth(row, other, answers_factor(told, other))
    else:
        assert_judged(row, other)


# What cannot be, and what is unlikely


@pytest.mark.parametrize("row", of(Way.REFUSED), ids=str)
def test_what_cannot_be_is_said_beside_its_field_and_kept(row: Row, desk: Desk) -> None:
    (problem,) = desk.told(row.key, form_of(row), 422)["problems"]
    assert (problem["field"], problem["ask"]) == (row.field, False)
    assert flat(row.want["0"]) in flat(problem["says"]), row.source
    assert problem["accepts"]
    page = desk.page(row.key, form_of(row), 422)
    options = all_figures()[row.key].field_of(row.field).options  # type: ignore[union-attr]
    assert flat(problem["says"]) in beside(page, row.field)
    assert all(flat(word) in beside(page, row.field) for word in taken(problem["accepts"], options))
    if row.field in row.typed and not options:
        assert_kept(all_figures()[row.key], form_of(row), page)


def taken(accepts: str, options: tuple[tuple[str, str], ...]) -> list[str]:
    """What a field takes, as its page says it: of a list the words, where the answer in JSON has the keys."""
    return [word for _, word in options] if accepts.startswith("one of: ") and options else [accepts]


def beside(page: lxml.html.HtmlElement, field: str) -> str:
    """What is said beside a field, where its control points to it."""
    (control,) = page.xpath(f'//*[@id="{field}"]')
    assert control.get("aria-invalid") == "true"
    assert f"{field}-fix" in control.get("aria-describedby").split()
    return words(page.xpath(f'//*[@id="{field}-fix"]')[0])


@pytest.mark.parametrize("row", of(Way.QUESTIONED), ids=str)
def test_what_is_unlikely_is_asked_once_and_then_kept(row: Row, desk: Desk) -> None:
    form = form_of(row)
    (problem,) = desk.told(row.key, form, 422)["problems"]
    assert (problem["field"], problem["ask"]) == (row.field, True)
    assert flat(row.want["0"]) in flat(problem["says"]), row.source
    page = desk.page(row.key, form, 422)
    (key,) = page.xpath(f'//*[@name="confirm-{row.field}"]')
    assert key.get("type") == "checkbox"
    assert key.get("checked") is None
    kept = desk.page(row.key, {**form, f"confirm-{row.field}": key.get("value")})
    told = desk.told(row.key, {**form, "confirm": [row.field]})
    assert flat(told["figures"][0]["says"]) in words(kept)


def test_a_yes_to_another_number_is_no_yes(desk: Desk) -> None:
    for row in of(Way.QUESTIONED):
        desk.page(row.key, {**form_of(row), f"confirm-{row.field}": "0.0123"}, 422)


# The whole


def test_every_row_names_its_source_and_a_figure() -> None:
    for row in ROWS:
        assert row.source, row
        assert row.key in all_figures(), row
        names = {each.name for each in all_figures()[row.key].fields}
        assert {name.removesuffix("-unit") for name in row.typed} <= names, row


def test_every_figure_has_its_rows() -> None:
    assert {row.key for row in ROWS} == set(all_figures())


def test_every_figure_with_a_limit_is_judged_on_both_sides_of_it() -> None:
    grades: dict[str, set[str]] = {}
    for row in of(Way.JUDGED):
        grades.setdefault(row.key, set()).update(row.want.values())
    assert {key: found for key, found in grades.items() if len(found) == 1} == {}
