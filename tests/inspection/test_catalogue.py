"""The catalogue is read whole or refused with every fault named; a version survives as JSON."""

from decimal import Decimal
from pathlib import Path

import pytest

from app.inspection.catalogue import Catalogue, CatalogueFault, read_catalogue
from app.trade.figure import By, Grade

CHECK = """
[[check]]
key = "ti.tread"
name = "Tread depth"
system = "tires"
kinds = ["travel", "boat"]
places = "tire"
depth = ["quick", "full"]
station = 0
safety = true
look = "Gauge two main grooves side by side."
cautions = ["c3"]
kits = ["k13"]
rule = "tread"

[[check.measure]]
key = "least"
label = "Least tread depth"
unit = "in_32nd"
also = ["mm"]
usual = ["1", "20"]
least = "0"
most = "40"
limits = [
{ under = "2", grade = "dnt", law = true, says = "thin", source = { title = "49 CFR", section = "570.62" } },
  { under = "4", grade = "needs", by = "soon", says = "under 4", source = { title = "common practice" } },
  { under = "5", grade = "watch", says = "under 5", source = { title = "common practice" } },
]

[[check.defect]]
key = "cord"
says = "Cord to be seen"
grade = "dnt"
source = { title = "49 CFR", section = "393.75(a)" }
"""

KIT = """
[[kit]]
key = "k13"
name = "Replace a tire"
per = "tire"
hours = "0.6"
records = ["tires_fitted"]
cautions = ["c3"]
steps = ["Deflate it fully."]

[[kit.part]]
name = "Trailer tire"
price = 14500
"""

CAUTION = """
[[caution]]
key = "c3"
word = "WARNING"
hazard = "A tire under pressure"
result = "can burst"
avoid = "Let it down first."
"""


PHRASE = """
[[phrase]]
says = "Seen from below only"
"""


def lay(folder: Path, check: str = CHECK, kit: str = KIT, caution: str = CAUTION) -> Path:
    (folder / "checks").mkdir()
    (folder / "checks" / "06-tires.toml").write_text(check, encoding="utf-8")
    (folder / "kits.toml").write_text(kit, encoding="utf-8")
    (folder / "cautions.toml").write_text(caution, encoding="utf-8")
    (folder / "phrases.toml").write_text(PHRASE, encoding="utf-8")
    return folder


def test_a_check_is_read_with_its_limits_and_source(tmp_path: Path) -> None:
    tread = read_catalogue(lay(tmp_path)).check("ti.tread").measure("least")
    assert (tread.unit, tread.units, tread.usual) == ("in_32nd", ("in_32nd", "mm"), (Decimal(1), Decimal(20)))
    assert [(limit.under, limit.grade, limit.by, limit.law) for limit in tread.limits] == [
        (Decimal(2), Grade.DNT, None, True),
        (Decimal(4), Grade.NEEDS, By.SOON, False),
        (Decimal(5), Grade.WATCH, None, False),
    ]
    assert str(tread.limits[0].source) == "49 CFR 570.62"


def test_a_watch_without_a_term_is_due_in_180_days(tmp_path: Path) -> None:
    tread = read_catalogue(lay(tmp_path)).check("ti.tread").measure("least")
    assert [limit.days for limit in tread.limits] == [None, None, 180]  # common practice of the shop


def test_a_watch_by_miles_needs_no_days(tmp_path: Path) -> None:
    check = CHECK.replace('grade = "watch",', 'grade = "watch", until_miles = 500,')
    watch = read_catalogue(lay(tmp_path, check)).check("ti.tread").measure("least").limits[-1]
    assert (watch.days, watch.until_miles) == (None, 500)


def test_kits_and_cautions_are_found_by_key(tmp_path: Path) -> None:
    catalogue = read_catalogue(lay(tmp_path))
    check = catalogue.check("ti.tread")
    assert catalogue.kit("k13").hours == Decimal("0.6")
    assert catalogue.kit("k13").parts[0].price == 14500
    assert [caution.word for caution in catalogue.cautions_of(check)] == ["WARNING"]
    assert check.defect("cord").says == "Cord to be seen"
    with pytest.raises(KeyError):
        catalogue.check("ti.nothing")


def test_a_walk_holds_what_its_kind_and_depth_ask_for(tmp_path: Path) -> None:
    catalogue = read_catalogue(lay(tmp_path))
    assert [check.key for check in catalogue.for_walk("boat", "quick")] == ["ti.tread"]
    assert catalogue.for_walk("boat", "prepurchase") == ()
    assert catalogue.for_walk("utility", "quick") == ()


def test_a_version_comes_back_equal_from_its_json(tmp_path: Path) -> None:
    catalogue = read_catalogue(lay(tmp_path))
    assert Catalogue.from_json(catalogue.to_json()) == catalogue


@pytest.mark.parametrize("text", ["", "{}", "[1]", '{"checks": [{"key": "x"}], "kits": [], "cautions": []}'])
def test_a_kept_version_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(CatalogueFault, match="kept version"):
        Catalogue.from_json(text)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('by = "soon", ', "", "needs carries by"),
        ('grade = "dnt", law', 'grade = "dnt", by = "soon", law', "needs carries by"),
        ('grade = "dnt", law', 'grade = "dnt", until_days = 3, law', "only watch carries"),
        ('unit = "in_32nd"', 'unit = "furlong"', "units of the trade"),
        ('also = ["mm"]', 'also = ["psi"]', "cannot become"),
        ('usual = ["1", "20"]', 'usual = ["20", "1"]', "low before high"),
        ('usual = ["1", "20"]', 'usual = ["-1", "20"]', "between least and most"),
        ('under = "2", ', "", "a limit needs"),
        ('under = "2"', 'under = "two"', "decimal"),
        ('under = "2"', 'value = "yes"', "a limit of a number has a number"),
        ('key = "least"', 'key = "least"\nkind = "choice"', "a choice names its choices"),
        ('key = "least"', 'key = "least"\nkind = "text"', "only numbers and answers"),
        ('key = "least"', 'key = "least"\nchoices = ["a"]', "a choice names its choices"),
        ('places = "tire"', 'places = "roof"', "places"),
        ('"boat"]', '"barge"]', "kinds"),
        ("station = 0", "station = 12", "station"),
        ("safety = true", "safe = true", "Extra inputs"),
        ('key = "ti.tread"', 'key = "tread"', "pattern"),
        (
            'key = "cord"\nsays = "Cord to be seen"\ngrade = "dnt"',
            'key = "cord"\nsays = "a b"\ngrade = "unseen"',
            "unseen",
        ),
        ('kits = ["k13"]', 'kits = ["k99"]', "no kit k99"),
        ('cautions = ["c3"]', 'cautions = ["c99"]', "no caution c99"),
        ('section = "393.75(a)"', 'paragraph = "a"', "paragraph"),
    ],
)
def test_a_fault_is_named_with_file_and_entry(tmp_path: Path, old: str, new: str, says: str) -> None:
    assert old in CHECK
    with pytest.raises(CatalogueFault) as refused:
        read_catalogue(lay(tmp_path, CHECK.replace(old, new)))
    assert any(fault.startswith("06-tires.toml:") and says in fault for fault in refused.value.faults)


def test_an_answer_takes_limits_by_value(tmp_path: Path) -> None:
    asked = (
        CHECK
        + """
[[check.measure]]
key = "there"
label = "Fitted"
kind = "yes_no"
limits = [{ value = "no", grade = "dnt", says = "not fitted", source = { title = "common practice" } }]
"""
    )
    measure = read_catalogue(lay(tmp_path, asked)).check("ti.tread").measure("there")
    assert (measure.answers, measure.limits[0].value) == (("yes", "no"), "no")


def test_a_value_that_is_no_answer_is_refused(tmp_path: Path) -> None:
    asked = CHECK.replace('under = "2"', 'value = "perhaps"').replace(
        'key = "least"', 'key = "least"\nkind = "yes_no"'
    )
    with pytest.raises(CatalogueFault, match="one of the answers"):
        read_catalogue(lay(tmp_path, asked))


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    bad = CHECK.replace('kits = ["k13"]', 'kits = ["k99"]')
    with pytest.raises(CatalogueFault) as refused:
        read_catalogue(
            lay(tmp_path, bad + CHECK, KIT.replace('"0.6"', '"-1"'), CAUTION.replace("WARNING", "MIND"))
        )
    text = str(refused.value)
    for part in (
        "no kit k99",
        "ti.tread: this key stands twice",
        "kits.toml:k13: hours",
        "cautions.toml:c3: word",
    ):
        assert part in text


@pytest.mark.parametrize(
    ("check", "says"), [("[[check", "cannot be read"), ('title = "x"', "06-tires.toml:title: only [[check]]")]
)
def test_a_file_that_is_no_catalogue_is_named(tmp_path: Path, check: str, says: str) -> None:
    with pytest.raises(CatalogueFault) as refused:
        read_catalogue(lay(tmp_path, check))
    assert says in str(refused.value)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    folder = lay(tmp_path)
    (folder / "kits.toml").unlink()
    with pytest.raises(CatalogueFault, match=r"kits\.toml: cannot be read"):
        read_catalogue(folder)


@pytest.mark.parametrize(
    ("signs", "caught", "free"),
    [
        ('under = "2"', "1.99", "2"),
        ('up_to = "2"', "2", "2.01"),
        ('over = "2"', "2.01", "2"),
        ('from = "2"', "2", "1.99"),
        ('from = "18", up_to = "20"', "20", "20.1"),
        ('from = "18", up_to = "20"', "18", "17.9"),
    ],
)
def test_each_sign_is_exact_at_its_boundary(tmp_path: Path, signs: str, caught: str, free: str) -> None:
    catalogue = read_catalogue(lay(tmp_path, CHECK.replace('under = "2"', signs)))
    limit = catalogue.check("ti.tread").measure("least").limits[0]
    assert limit.applies_to(Decimal(caught))
    assert not limit.applies_to(Decimal(free))
