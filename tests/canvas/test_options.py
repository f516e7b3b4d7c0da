"""Options for more light or more privacy: chosen on the order, priced apart, shown on page and papers."""

import re
from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.canvas import priced, said, shown, steps
from app.canvas.priced import PriceSaid, read_priced
from app.estimate.tables import WorkLine
from app.ground.acting import new_key
from app.ground.book import reading
from app.trade.canvas.options import Way
from app.trade.canvas.readiness import Kind
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.canvas.test_papers import printed
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]
NAMED = "Option, front wall: more privacy by darker cloth"


def chosen(book: Engine, key: int, way: str = Way.DARKER, costs: str = "extra") -> int:
    """An option about the order's cloth."""
    part = steps.add_part(book, act(), key, Kind.OPTION, "front wall")
    abouts = shown.abouts_of(loft.read(book, key).parts)
    at = next(f"{it}" for it, name in abouts.items() if name.startswith("Cloth"))
    texts = Texts({"place": "front wall", "what": way, "at": at, "costs": costs})
    return steps.save_part(book, act(), part, said.read_part(texts, Kind.OPTION, abouts))


def read(book: Engine, key: int, maker: str = "here", **typed: str) -> PriceSaid:
    options = priced.extras_of(loft.read(book, key))
    return read_priced(Texts({"hours": "6", **typed}), maker, {}, options=options)


def amounts(book: Engine) -> dict[str, tuple[str, int]]:
    with reading(book) as session:
        return {line.what: (line.kind, line.price) for line in session.exec(select(WorkLine))}


def to_price(book: Engine, key: int) -> tuple[str, ...]:
    with reading(book) as session:
        return priced.unpriced(session, loft.read(book, key))


def test_an_option_is_one_of_the_list() -> None:
    with pytest.raises(Refused) as refused:
        said.read_part(Texts({"place": "front wall", "what": "a nicer tent"}), Kind.OPTION)
    (problem,) = refused.value.problems
    assert (problem.field, problem.says) == ("what", "a nicer tent is not one of the choices")


def test_its_form_offers_every_way_and_what_it_costs(book: Engine, signed: Signed) -> None:
    part = steps.add_part(book, act(), loft.ready(book), Kind.OPTION, "front wall")
    page = signed("Toni").get(f"/canvas/parts/{part}").text
    assert "<h1>Option: front wall</h1>" in page
    for way in Way:
        assert f'value="{way}"' in page
    assert 'value="extra"' in page


def test_two_windows_of_one_place_are_told_apart(book: Engine, signed: Signed) -> None:
    """Two windows of the same name: the option is about the one that was picked, and not about its name."""
    key, toni = loft.ready(book), signed("Toni")
    windows = [steps.add_part(book, act(), key, Kind.WINDOW, "bed end") for _ in range(2)]
    for window, film in zip(windows, ("clear", "tinted"), strict=True):
        read_so = said.read_part(Texts({"place": "bed end", "film": film}), Kind.WINDOW)
        steps.save_part(book, act(), window, read_so)
    option = steps.add_part(book, act(), key, Kind.OPTION, "bed end")
    form = {"place": "bed end", "what": Way.TINTED, "costs": "extra"}
    for turn, (window, wrong) in enumerate(zip(windows, (True, False), strict=True)):
        sent = {"submission": new_key(), "revision": f"{turn}", "at": f"{window}", **form}
        assert toni.post(f"/canvas/parts/{option}", sent).status_code == 303
        assert f'<option value="{window}" selected>' in toni.get(f"/canvas/parts/{option}").text
        told = [it.field for it in loft.read(book, key).holds_back if it.field.startswith(f"part-{option}.")]
        assert told == ([f"part-{option}.what"] if wrong else [])


def test_an_option_is_about_a_part_of_its_own_order(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    part = steps.add_part(book, act(), key, Kind.OPTION, "bed end")
    (frame,) = loft.read(book, key).of_kind(Kind.FRAME)
    for at in (f"{frame.key}", "99", "x"):
        sent = {"submission": new_key(), "revision": "0", "place": "bed end", "what": Way.TINTED, "at": at}
        answer = signed("Toni").post(f"/canvas/parts/{part}", sent)
        assert answer.status_code == 422
        assert 'id="at-fix"' in answer.text


def test_the_order_shows_it_and_says_what_does_not_bear_it_out(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    part = chosen(book, key, Way.TINTED)
    page = signed("Toni").get(f"/canvas/{key}").text
    known = (
        "what is wanted: more privacy by tinted film; what it is about: cloth, wall cloth; its price: extra"
    )
    assert known in page
    told = "Front wall: more privacy by tinted film is chosen, and wall cloth is no window"
    assert f'<a href="/canvas/parts/{part}#at">{told}</a>' in page
    with pytest.raises(Refused):
        steps.release(book, act(seen=loft.read(book, key).version), key, [])


def test_what_costs_extra_is_a_line_of_its_own(book: Engine) -> None:
    key = loft.ready(book)
    row = chosen(book, key)
    chosen(book, key, Way.PALER, "in the price")
    assert to_price(book, key) == (NAMED,)
    loft.priced(book, key, read(book, key, **{f"option-{row}": "45"}))
    assert amounts(book)[NAMED] == ("part", 4500)
    assert not [what for what in amounts(book) if "paler" in what]
    assert to_price(book, key) == ()


def test_a_lofts_option_is_told_beside_its_sum(book: Engine) -> None:
    key = loft.ready(book)
    row = chosen(book, key)
    loft.priced(book, key, read(book, key, "loft", price="980", **{f"option-{row}": "45"}))
    assert amounts(book)["Cut and sewn by a sewing loft"] == ("outside", 98_000)
    assert amounts(book)[NAMED] == ("outside", 4500)


@pytest.mark.parametrize(
    ("typed", "says"), [("", "The price of the option at front wall is missing"), ("x", "")]
)
def test_a_price_that_is_missing_or_none_stands_beside_its_field(
    book: Engine, signed: Signed, typed: str, says: str
) -> None:
    key = loft.ready(book)
    row = chosen(book, key)
    form = {"submission": new_key(), "revision": "0", "work": "", "hours": "4", f"option-{row}": typed}
    answer = signed("Lee").post(f"/canvas/{key}/price", form)
    assert answer.status_code == 422
    assert says in answer.text
    assert "needed, since the owner pays it extra" in answer.text
    (field,) = re.findall(rf'<input[^>]*name="option-{row}"[^>]*>', answer.text)
    assert (f'value="{typed}"' in field, "aria-invalid" in field) == (True, True), field
    assert amounts(book) == {}


def test_another_way_afterwards_is_to_be_priced_anew(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    row = chosen(book, key)
    loft.priced(book, key, read(book, key, **{f"option-{row}": "45"}))
    (part,) = loft.read(book, key).of_kind(Kind.OPTION)
    texts = Texts({**shown.part_texts(part), "what": Way.PALER})
    abouts = shown.abouts_of(loft.read(book, key).parts)
    steps.save_part(book, act(seen=part.revision), row, said.read_part(texts, Kind.OPTION, abouts))
    page = signed("Lee").get(f"/canvas/{key}").text
    assert "To be priced, no line names it yet: Option, front wall: more light by paler cloth." in page


def test_the_papers_name_it(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    chosen(book, key)
    it = loft.read(book, key)
    steps.release(book, act(seen=it.version), key, [problem.says for problem in it.holds_back])
    (order, *_) = printed(signed("Lee"), key, "order")
    told = (
        "what is wanted: more privacy by darker cloth; what it is about: cloth, wall cloth; its price: extra"
    )
    assert f"Option, front wall {told}" in order
    (slip, *_) = printed(signed("Lee"), key, "packing")
    assert "Option front wall: more privacy by darker cloth" in slip
    assert "extra" not in slip
