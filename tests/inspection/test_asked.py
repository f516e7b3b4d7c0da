"""What stands beside a field before anything is read: the words of each rule, which the rule holds to."""

from dataclasses import replace
from decimal import Decimal

import pytest

from app.inspection.asked import ASKED, asked_of, beside
from app.inspection.catalogue import Measure
from app.inspection.named_rules import RULES
from app.inspection.rules import Policy, UnitFacts
from app.inspection.ruling import Case
from app.inspection.scale import limits_said
from tests.inspection.test_rules import CATALOGUE, TRAVEL, judged
from tests.inspection.test_rules import code as coded

UNIT = replace(TRAVEL, torque_source="wheel placard", placard_size="ST205/75R14")
NOTHING = UnitFacts()


def words(check: str, measure: str, facts: UnitFacts = UNIT, policy: Policy | None = None) -> str:
    found = CATALOGUE.check(check)
    asked = asked_of(Case(found, "wheel-1-left", {}, facts, policy=policy or Policy()))
    return beside(found.measure(measure), asked.get(measure, ""), found.rule).replace("\u00a0", " ")


# Each with what sets it; common practice where nothing stands
SAID = [
    ("cp.size", "ball", "the same as the coupler"),
    ("cp.rating", "rating", "at least 6,000 lb, the GVWR"),  # 15 NYCRR 57.4(b)(3)
    ("cp.ball", "rating", "at least 6,000 lb, the GVWR"),
    ("cp.chains", "strength", "at least 6,000 lb, the GVWR, each as its breaking strength"),  # SAE J684
    ("bk.fitted", "there", "the law asks for one here"),  # 49 CFR 393.43
    ("bk.works", "held", "every braked wheel"),  # 393.43(d)
    ("bk.battery", "minutes", "at least 15 min"),  # 393.43(d)
    ("bk.battery", "end", "at least 10.5 V"),
    ("bk.battery", "made", "at most 4 years ago"),
    ("fr.guard", "height", "at most 30 in"),  # Maryland Transportation 22-411
    ("fr.guard", "inside", "at most 18 in"),  # Maryland Transportation 22-411
    ("su.height", "right_front", "within 1 in of the left"),
    ("su.leaf", "broken", "none"),  # COMAR 11.14.05.03(2)
    ("wh.torque", "least", "100 to 120 lbf·ft, wheel placard"),  # the maker's figure
    ("wh.torque", "most", "100 to 120 lbf·ft, wheel placard"),
    ("wh.match", "rating", "at least 1,750 lb, its share of the axle's rating"),
    ("ti.age", "code", "watch from 4 years, needs work from 6, do not tow from 10"),
    ("ti.load", "load", "at least 1,750 lb, its share of the axle's rating"),  # 49 CFR 571.110 S4.2.2
    ("ti.psi", "cold", "placard 50 psi"),
    ("ti.psi", "most", "at least 50 psi, the placard"),
    ("ti.valve", "class", "at least 50 psi, the placard"),
    ("ti.wear", "outer", "all three within 3/32 in"),
    # 99 is 775 kg, 1,709 lb; 100 is 800 kg, 1,764 lb: ISO 4000-1, load indices (from memory)
    ("ti.mark", "size", "placard ST205/75R14, load index at least 100"),
    ("hb.service", "last", "at most 12 months ago"),
    ("hb.service", "miles", "at most 12,000 miles"),
    ("hb.endplay", "play", "0.001 to 0.010 in, do not tow over 0.030"),
    ("br.need", "braked", "the law asks for all 4 wheels here"),  # 19VAC30-70, 80
    ("br.lining", "thinnest", "at least 2/32 in bonded, 1/32 in over the rivets"),  # 49 CFR 570.59(c)
    ("br.magnet", "ohms", "3.2 to 3.5 ohm cold"),
    ("lp.leak", "start", "8.5 to 9.5 in wc"),  # NFPA 54 annex C, from memory
    ("lp.leak", "end", "as at the start, no fall and no rise"),
    ("lp.leak", "time", "at least 3 min"),
    ("ld.share", "share", "10 to 15 %, do not tow under 5"),
    ("id.label", "gvwr", "in the book 6,000 lb"),
    ("id.label", "gawr_2", "in the book 3,500 lb"),
]


@pytest.mark.parametrize(("check", "measure", "said"), SAID)
def test_what_is_asked_stands_beside_the_field(check: str, measure: str, said: str) -> None:
    assert words(check, measure) == said


# At the figure that is said, and the next one beyond it
HELD = [
    ("cp.rating", "rating", "6000", "5999"),
    ("fr.guard", "height", "30", "30.5"),
    ("wh.torque", "least", "110", "99"),
    ("wh.match", "rating", "1750", "1749"),
    ("ti.load", "load", "1750", "1749"),
    ("ti.mark", "size", "ST205/75R14 100M", "ST205/75R14 99M"),
    ("hb.endplay", "play", "0.010", "0.011"),
    ("br.need", "braked", "4", "3"),
    ("ld.share", "share", "10", "9.9"),
    ("br.magnet", "ohms", "3.5", "3.9"),  # a tenth is allowed either way: common practice
]


@pytest.mark.parametrize(("check", "measure", "inside", "beyond"), HELD)
def test_the_rule_holds_by_what_is_said(check: str, measure: str, inside: str, beyond: str) -> None:
    place = "axle-1" if check == "ti.load" else "wheel-1-left"
    found = [judged(check, {measure: text}, facts=UNIT, place=place) for text in (inside, beyond)]
    assert coded(found[0]) in ("sound", "watch")  # tires without a reserve are watched
    assert coded(found[1]) not in ("sound", "watch", "unseen")


def test_a_boat_has_its_own_share_and_a_stricter_shop_its_own() -> None:
    assert words("ld.share", "share", UnitFacts(kind="boat")) == "5 to 15 %, do not tow under 4"
    check = CATALOGUE.check("ld.share")
    (under, over) = check.measure("share").limits
    strict = under.model_copy(update={"under": Decimal(7)}), over.model_copy(update={"over": Decimal(13)})
    share = check.measure("share").model_copy(update={"limits": strict})
    asked = asked_of(Case(check.model_copy(update={"measures": (share,)}), "unit", {}, UNIT))
    assert asked["share"].replace("\u00a0", " ") == "10 to 13 %, do not tow under 7"


def test_what_is_not_known_is_not_said() -> None:
    checks = ("cp.rating", "wh.match", "ti.load", "ti.mark", "ti.psi", "ti.valve", "br.need")
    checks += ("id.label", "id.vin")
    said = {key: asked_of(Case(CATALOGUE.check(key), "wheel-1-left", {}, NOTHING)) for key in checks}
    assert {key: words for key, words in said.items() if any(words.values())} == {}
    assert words("wh.torque", "least", NOTHING).startswith("no figure in the book")
    backwards = replace(UNIT, torque_low=Decimal(120), torque_high=Decimal(100))
    assert words("wh.torque", "least", backwards) == "usually 40 to 350 lbf·ft"


def test_the_words_follow_the_shop_and_the_law() -> None:
    assert words("hb.service", "last", policy=Policy(hub_months=6)) == "at most 6 months ago"
    free = replace(UNIT, brakes_required=False, breakaway_required=False)
    assert words("br.need", "braked", free) == "the law asks for none here"
    assert words("bk.fitted", "there", free) == ""
    assert words("fr.guard", "height", replace(UNIT, gvwr_lb=Decimal(2999))).startswith("usually")
    assert (
        words("cp.ball", "rating", replace(UNIT, gross_lb=Decimal(5200))) == "at least 5,200 lb, as weighed"
    )


def test_every_word_stands_beside_a_field_that_is_there() -> None:
    assert set(ASKED) <= set(RULES)
    strays = {
        (check.key, key)
        for check in CATALOGUE.checks
        for key in asked_of(Case(check, "wheel-1-left", {}, UNIT))
        if key not in {measure.key for measure in check.measures}
    }
    assert strays == set()


def measure(*limits: dict[str, object]) -> Measure:
    told = [{"says": "so", "source": {"title": "common practice"}, **limit} for limit in limits]
    return Measure.model_validate({"key": "gap", "label": "Gap", "unit": "in", "limits": told})


def test_a_limit_is_said_as_a_tape_has_it_and_by_when_where_two_differ() -> None:
    towing: dict[str, object] = {"over": "0.125", "grade": "needs", "by": "towing"}
    soon: dict[str, object] = {"over": "0.0625", "grade": "needs", "by": "soon"}
    said = limits_said(measure(towing, soon)).replace("\u00a0", " ")
    assert said == "needs work before towing over 1/8, needs work soon over 1/16 in"
    assert limits_said(measure({**soon, "over": "1.0625"})).endswith("over 1 1/16\u00a0in")
    assert limits_said(measure({**soon, "over": "0.015"})).endswith("work over 0.015\u00a0in")
