"""Canvas fit: a piece hung and closed, its corners, zips, stitches and the way out."""

from decimal import Decimal

from app.bench.kinds import Context, Judged
from app.bench.rows import Flat, Read, Row, faults, judged, looked, row_kind, words
from app.trade.figure import By, Grade, Verdict
from app.trade.problems import Impossible
from app.trade.quantity import read_number
from app.trade.typed import Reader

CORNERS = {
    "gap_top_left": "Top left",
    "gap_top_right": "Top right",
    "gap_bottom_left": "Bottom left",
    "gap_bottom_right": "Bottom right",
}
SHORT_MOST = Decimal("0.25")  # in that a corner may be short or loose, common practice
NOTE = "Roof on its safety supports before anyone stands under it. Fitted dry, and dried before folding."


class CanvasFit(Flat):
    """One piece. Inches by which each corner is short or loose; zips that run of zips fitted."""

    piece: str
    supports: str
    closes: str
    gap_top_left: str
    gap_top_right: str
    gap_bottom_left: str
    gap_bottom_right: str
    smooth: str
    zips: str
    zips_all: str
    seams: str
    exit: str
    needle: str
    words: str = ""


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of a piece."""
    return (
        words("piece", "Piece", required="Say which piece", head="Hung"),
        looked("supports", "Roof on its safety supports"),
        looked("closes", "Closes all round, edges in their track"),
        looked("smooth", "No drumming wrinkles"),
        *_corner_rows(),
        Row(
            "zips",
            "Zips that run both ways",
            reach="every zip",
            most="60",
            whole=True,
            required="Count missing",
            head="Works",
        ),
        Row("zips_all", "Zips in all", most="60", whole=True, required="Count missing"),
        looked("seams", "Stitches even, ends locked, hold a pull"),
        looked("exit", "Way out by the window opens from inside", may_lack=True),
        looked("needle", "Needle holes sealed, or the cloth swells shut"),
        words("words", "Remarks"),
    )


def _corner_rows() -> tuple[Row, ...]:
    heads = {"gap_top_left": "Corners, short or loose by"}
    missing = "The corner is missing"
    return tuple(
        Row(name, label, "in", "at most 1/4", most="12", required=missing, head=heads.get(name, ""))
        for name, label in CORNERS.items()
    )


def check(form: Reader, _context: Context) -> None:
    """No more zips run than there are."""
    try:
        more = read_number(form.raw("zips")) > read_number(form.raw("zips_all"))
    except Impossible:
        return
    if more:
        form.wrong("zips", "More zips run than there are", f"at most {form.raw('zips_all')}")


def judge(record: CanvasFit, _context: Context) -> Judged:
    """The heaviest of: way out, closing, corners, zips, seams."""
    return judged([], [*faults(record, FAULTS), *_corners(record), *_zips(record), _hung(record)])


FAULTS = {
    "supports": Verdict(Grade.NEEDS, "Roof without its safety supports", By.USE),
    "exit": Verdict(Grade.NEEDS, "The way out does not open from inside", By.USE),
    "closes": Verdict(Grade.NEEDS, "Does not close all round", By.SOON),
    "seams": Verdict(Grade.NEEDS, "Seams give", By.SOON),
    "smooth": Verdict(Grade.NEEDS, "Drumming wrinkles: tension it anew", By.SOON),
    "needle": Verdict(Grade.NEEDS, "Needle holes not sealed", By.SOON),
}


def _hung(record: CanvasFit) -> Verdict:
    return Verdict(Grade.SOUND, f"{record.piece}: fits, closes, zips run")


def _corners(record: CanvasFit) -> list[Verdict]:
    gaps = {label: read_number(getattr(record, name)) for name, label in CORNERS.items()}
    return [
        Verdict(Grade.NEEDS, f"{label} corner {gap} in out, over 1/4 in", By.SOON)
        for label, gap in gaps.items()
        if gap > SHORT_MOST
    ]


def _zips(record: CanvasFit) -> list[Verdict]:
    stuck = read_number(record.zips_all) - read_number(record.zips)
    return [Verdict(Grade.NEEDS, f"{stuck} of {record.zips_all} zips do not run", By.SOON)] if stuck else []


KIND = row_kind(
    "canvas_fit",
    "Canvas fit",
    "place",
    CanvasFit,
    judge,
    Read(rows, check=check, note=NOTE, cautions=("c9", "c13")),
)
