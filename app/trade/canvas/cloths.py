"""Figures of cloth, film, screen and zippers, as labels and suppliers give them."""

from decimal import Decimal

from app.trade.bounds import says
from app.trade.canvas.outline import INCH
from app.trade.figure import COMMON_PRACTICE, Input, Source, Worked
from app.trade.problems import Impossible

OZ_G = Decimal("28.349523125")  # 1 avoirdupois ounce: NIST SP 811, appendix B.8
SQUARE_YARD_M2 = Decimal("0.83612736")  # (0.9144 m)²
FILM_USUAL = tuple(map(Decimal, ("12", "16", "20", "30", "40")))  # thousandths of an inch; common practice
SLIDER_MOUTHS = (
    (Decimal("3.8"), "1 to 2"),
    (Decimal("5.7"), "3 to 4"),
    (Decimal("7.0"), "5 to 6"),
)  # ASTM D3657, table 1
LARGEST_SLIDER = "7 to 10"
D3657 = Source("ASTM D3657", "table 1")


def cloth_mass(ounces: Decimal) -> Worked[Decimal]:
    """Mass of a cloth in g/m² from ounces a square yard, rounded to a tenth.

    `ounces`: over 0 to 40; Impossible outside. Old numbered duck is no ounces a square yard.
    """
    if not 0 < ounces <= 40:
        raise Impossible(f"{ounces} oz/yd² is no cloth", "over 0 to 40 oz/yd², such as 10.1")
    value = (ounces * OZ_G / SQUARE_YARD_M2).quantize(Decimal("0.1"))
    return Worked(
        name="mass of the cloth",
        value=value,
        says=f"{value} g/m²",
        formula="ounces by grams in an ounce by square metres in a square yard",
        inputs=(Input("mass", f"{ounces} oz/yd²"),),
        source=Source("NIST SP 811", "appendix B.8"),
        caution="A duck known by a number is weighed by a piece of 22 by 36 in: ask which.",
    )


def film_mm(thousandths: Decimal) -> Decimal:
    """Thickness of window film in millimetres, to a hundredth, from thousandths of an inch (4 to 120).

    Impossible outside. Source: 1 in = 25.4 mm.
    """
    if not 4 <= thousandths <= 120:
        raise Impossible(
            f"{thousandths} thousandths is no window film", "4 to 120 thousandths in, such as 20"
        )
    return (thousandths * INCH / 1000).quantize(Decimal("0.01"))


def screen_opening(threads_an_inch: Decimal, thread_mm: Decimal) -> Decimal:
    """Clear opening of a screen in millimetres, to a hundredth: 25.4 / count less the thread.

    Impossible where the threads leave none.
    """
    if threads_an_inch <= 0 or not 0 < thread_mm < INCH / threads_an_inch:
        raise Impossible(
            "These threads leave no opening", "a count such as 18 an inch, thread such as 0.28 mm"
        )
    return (INCH / threads_an_inch - thread_mm).quantize(Decimal("0.01"))


def teeth_an_inch(teeth: int, over_mm: Decimal) -> Worked[Decimal]:
    """Teeth of a zipper an inch, to a tenth, from teeth counted over a length in millimetres.

    Both over 0; Impossible otherwise. Over 50 mm the count tells more than over one inch.
    """
    if teeth < 1 or not over_mm > 0:
        raise Impossible("Teeth are counted over a length", "such as 20 teeth over 50 mm")
    value = (teeth * INCH / over_mm).quantize(Decimal("0.1"))
    return Worked(
        name="teeth an inch",
        value=value,
        says=str(value),
        formula="teeth counted by the length in inches",
        inputs=(Input("teeth", str(teeth)), Input("over", says(over_mm, "mm"))),
        source=COMMON_PRACTICE,
    )


def slider_sizes(mouth_mm: Decimal) -> str:
    """The sizes that a slider of that mouth belongs to, such as "7 to 10". Source: ASTM D3657, table 1.

    `mouth_mm`: over 0 to 20; Impossible outside. Two makers' chains of one size need not share a slider.
    """
    if not 0 < mouth_mm <= 20:
        raise Impossible(f"A slider's mouth cannot be {mouth_mm} mm", "over 0 to 20 mm, such as 7.4")
    return next((sizes for most, sizes in SLIDER_MOUTHS if mouth_mm <= most), LARGEST_SLIDER)
