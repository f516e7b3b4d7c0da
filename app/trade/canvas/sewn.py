"""What a sewn piece is inspected by: finished sizes, stitches, the strength of its seams, water on it."""

from collections.abc import Mapping
from decimal import Decimal

from app.trade.bounds import above_zero, says
from app.trade.canvas.outline import length_said
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

SIZE_OFF, DIAGONAL_OFF = Decimal(6), Decimal(8)  # mm that a side and a diagonal may be off, common practice
OFF_A_METRE = Decimal(2)  # mm a metre, where that is more than the 6 of a side: over 3 m, common practice
FEWEST, MOST = Decimal(5), Decimal(7)  # stitches an inch
STITCHES = Source("TM 10-8340-224-13", "5-6")
SHARE = Decimal(90)  # percent of the cloth's strength that its seam keeps
JOINTS = Source("ISO 5912", "6.1.1.1")
STRIP, GRAB = "ISO 13935-1", "ISO 13935-2"
CLOTH_TEST: Mapping[str, str] = {STRIP: "ISO 13934-1", GRAB: "ISO 13934-2"}  # the same test on cloth alone
CUP = "MIL-DTL-44400A 4.4"  # a seam over a hoop of 6 in, 500 ml on it, watched for 5 min
MOST_RATING = Decimal(5)
HEADS: Mapping[str, str] = {
    "ISO 811": "pressure rising 10 or 60 cm of water a minute, read at the third drop",
    "AATCC 127": "pressure rising 60 mbar a minute, read at the third drop",
}


def allowed_off(drawn_mm: Decimal, *, diagonal: bool = False) -> Decimal:
    """How far a finished length may be off the order, in mm: 6 for a side, or 2 a metre over 3 m; 8 across.

    Source: common practice.
    """
    if diagonal:
        return max(DIAGONAL_OFF, OFF_A_METRE * drawn_mm / 1000)
    return max(SIZE_OFF, OFF_A_METRE * drawn_mm / 1000)


def size_read(name: str, drawn_mm: Decimal, read: Quantity, *, diagonal: bool = False) -> Worked[Decimal]:
    """How far a finished length is off the order, in mm; Impossible for a reading not above 0."""
    found = above_zero(name, read, "mm")
    off, allowed = found - drawn_mm, allowed_off(drawn_mm, diagonal=diagonal)
    inside = abs(off) <= allowed
    way = "longer" if off > 0 else "shorter"
    told = f"{name} is {says(abs(off), 'mm', 1)} {way} than the order, over {says(allowed, 'mm', 1)}"
    return Worked(
        name=name,
        value=off,
        says=says(off, "mm", 1),
        unit="mm",
        formula="length read − length of the order",
        inputs=(Input("read", f"{read}"), Input("order", length_said(drawn_mm))),
        limit=f"at most {says(allowed, 'mm', 1)} off, laid flat under a light pull",
        verdict=Verdict(Grade.SOUND, f"{name} fits") if inside else Verdict(Grade.NEEDS, told, By.USE),
        source=COMMON_PRACTICE,
    )


def stitches_read(an_inch: Decimal) -> Worked[Decimal]:
    """Stitches counted along an inch of seam; Impossible where none is."""
    if an_inch <= 0:
        raise Impossible("A seam has stitches", "a number such as 6")
    inside = FEWEST <= an_inch <= MOST
    wrong = "too few let the seam gape" if an_inch < FEWEST else "too many cut the cloth along the seam"
    told = f"{says(an_inch, 'count', 1)} stitches an inch: {wrong}"
    return Worked(
        name="stitches an inch",
        value=an_inch,
        says=says(an_inch, "count", 1),
        formula="stitches counted along a ruler, over one inch",
        inputs=(),
        limit=f"{FEWEST} to {MOST}, none skipped",
        verdict=Verdict(Grade.SOUND, "stitches even") if inside else Verdict(Grade.NEEDS, told, By.USE),
        source=STITCHES,
    )


def seam_strength(standard: str, seam: Quantity, cloth: Quantity) -> Worked[Decimal]:
    """The strength that a seam keeps of its cloth's, in percent, from two strips pulled until they gave way.

    `standard`: one of CLOTH_TEST. Forces above 0; Impossible otherwise. A seam that outlasts its cloth is
    over 100.
    """
    share = above_zero("The seam's force", seam, "N") / above_zero("The cloth's force", cloth, "N") * 100
    told = f"The seam keeps {says(share, 'percent')} of the cloth's strength, under {says(SHARE, 'percent')}"
    whole = Verdict(Grade.SOUND, f"seam as strong as its cloth within a tenth, {standard}")
    return Worked(
        name="seam strength",
        value=share,
        says=says(share, "percent"),
        unit="percent",
        formula="force at which the seam gave way / force at which the cloth gave way × 100",
        inputs=(Input(f"seam, {standard}", f"{seam}"), Input(f"cloth, {CLOTH_TEST[standard]}", f"{cloth}")),
        limit=f"at least {says(SHARE, 'percent')}: a joint is at most a tenth weaker than its cloth",
        verdict=whole if share >= SHARE else Verdict(Grade.NEEDS, told, By.USE),
        source=JOINTS,
        caution="Pulled on cuttings sewn like the piece, never on the piece itself.",
    )


def head_held(standard: str, held: Quantity, least: Quantity) -> Worked[Decimal]:
    """The height of water that cloth or seam held, over the least that was ordered, in mm.

    `standard`: one of HEADS. Both above 0; Impossible otherwise.
    """
    found, wanted = above_zero("The water held", held, "mm"), above_zero("The least ordered", least, "mm")
    told = f"Water came through at {held}, under the {least} that were ordered"
    holds = Verdict(Grade.SOUND, f"holds {held} of water, {standard}")
    return Worked(
        name="hydrostatic head",
        value=found - wanted,
        says=says(found - wanted, "mm"),
        unit="mm",
        formula="water held − least that was ordered; 1 cm of water is 0.980665 hPa",
        inputs=(Input("held", f"{held} of water"), Input("ordered", f"{least} of water")),
        limit=f"at least {least}; {HEADS[standard]}",
        verdict=holds if found >= wanted else Verdict(Grade.NEEDS, told, By.USE),
        source=Source(standard),
        caution="One figure of one cutting: the fit of the piece under a hose is looked at all the same.",
    )


def spray_rated(rating: Decimal, least: Decimal) -> Worked[Decimal]:
    """The spray rating of a cutting over the least that was ordered.

    Both 0 to 5: 5 nothing wetted, 0 the whole face wet. Impossible outside. Source: ISO 4920, whose nozzle
    of 19 holes, 250 ml and 45 degrees were read at 52voa.cn (BS EN ISO 4920:2012); its ratings 5, 4, 3, 2, 1
    and 0 for 100, 90, 80, 70, 50 and 0 of AATCC 22, in halves, at gellowen.co.uk/News/342.html.
    """
    if not (0 <= rating <= MOST_RATING and 0 <= least <= MOST_RATING):
        raise Impossible("A spray rating is from 0 to 5", "a number such as 4")
    found, wanted = says(rating, "count", 1), says(least, "count", 1)
    low = Verdict(Grade.NEEDS, f"Spray rating {found}, under the {wanted} that was ordered", By.USE)
    return Worked(
        name="spray rating",
        value=rating - least,
        says=found,
        formula="rating read − least that was ordered",
        inputs=(Input("read", found), Input("ordered", wanted)),
        limit=f"at least {wanted}; 250 ml through a nozzle on cloth at 45 degrees, 5 is dry, 0 wet all over",
        verdict=Verdict(Grade.SOUND, f"spray rating {found}, ISO 4920") if rating >= least else low,
        source=Source("ISO 4920"),
        caution="It tells how the face sheds water, not whether seams hold it: spray the fit all the same.",
    )
