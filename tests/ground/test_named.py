"""The list of faults on top of a refused form names each field as the form does."""

import re

import pytest

from app.ground.forms import Sent, again
from app.ground.named import named
from app.ground.pages import templates
from app.trade.problems import Problem

PAGE = """
{% from "shared/field.html" import fixes, field, area, choice, pick, tick %}
{{ fixes(form) }}
{{ field(form, "year", "Model year", hint="Four digits") }}
{{ area(form, "note", "Note") }}
{{ choice(form, "paper", "Paper", [("letter", "Letter"), ("a4", "A4")]) }}
{{ pick(form, "standard", "Made to", [("", "not said"), ("iso4920", "ISO 4920"), ("x", "Both & more")]) }}
{{ tick(form, "spare", "Has a place for a spare") }}
<input id="outer-at" aria-label="Outer plane, degrees"><p id="grade"></p>
"""


def page(*problems: Problem, **typed: str) -> str:
    form = again(Sent(typed.items()), problems)
    return named(templates().from_string(PAGE).render(form=form))


@pytest.mark.parametrize(
    ("field", "says", "line"),
    [
        ("year", "This is not a number", "Model year: This is not a number"),
        ("note", "This is too long", "Note: This is too long"),
        ("paper", "x is not one of the choices", "Paper: x is not one of the choices"),
        ("standard", "This is wrong", "Made to: This is wrong"),
        ("spare", "This is wrong", "Has a place for a spare: This is wrong"),
        ("outer-at", "370 cannot be", "Outer plane, degrees: 370 cannot be"),
        ("year", "The model year is missing", "The model year is missing"),  # named already
        ("grade", "Unseen is not sound", "Unseen is not sound"),  # a row of keys has no label
    ],
)
def test_each_line_names_its_field_by_its_label_and_leads_to_it(field: str, says: str, line: str) -> None:
    shown = page(Problem(field, says))
    assert re.findall(r'<li><a href="#([^"]+)">([^<]*)</a></li>', shown) == [(field, line)]
    assert f'id="{field}"' in shown


def test_typed_text_stays_text_in_the_list() -> None:
    shown = page(Problem("year", "<b>&amp; is not a number"))
    assert "Model year: &lt;b&gt;&amp;amp; is not a number</a>" in shown


def test_of_a_list_the_words_of_the_form_are_told_and_not_its_keys() -> None:
    shown = page(Problem("standard", "Say which", "one of: iso4920, x", choices=("iso4920", "x")))
    assert "Accepted: one of: ISO 4920, Both &amp; more." in shown
    assert "iso4920, x" not in shown


def test_words_with_a_comma_of_their_own_are_parted_by_more() -> None:
    each = (
        '{% from "shared/field.html" import taken %}{{ taken(it, [("a", "7-pin, type N"), ("b", "flat")]) }}'
    )
    it = Problem("plug", "Say which", "one of: a, b", choices=("a", "b"))
    assert templates().from_string(each).render(it=it).strip() == "one of: 7-pin, type N; flat"
