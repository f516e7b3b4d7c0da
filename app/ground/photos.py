"""Photos: taken in as they come from a tablet, kept upright, small enough, and without their metadata."""

import io
import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError
from pillow_heif import register_heif_opener
from sqlmodel import Session

from app.ground import files
from app.ground.acting import Act
from app.ground.tables import Photo
from app.trade.problems import Impossible

register_heif_opener()

LARGEST_BYTES = 25 * 1024 * 1024
LARGEST_PIXELS = 50_000_000
LONGEST_SIDE = 12_000
PRINT, SMALL = 1600, 480
PAPER_MM, PAPER_DPI = (84, 56), 150  # the box that a photo fills on every paper (paper.css), and how finely
COPIES = "on-paper"  # folder of copies beside the kept files: made anew wherever they are missing
KINDS = ("JPEG", "PNG", "WEBP", "HEIF")
ACCEPTS = "a JPEG, PNG, WebP or HEIC picture of at most 25 MB and 50 megapixels"
Image.MAX_IMAGE_PIXELS = None  # our own cap is checked on the header, before anything is decoded


@dataclass(frozen=True)
class Picture:
    """A photo made ready: JPEG at print size and small, upright, no metadata."""

    print_jpeg: bytes
    small_jpeg: bytes
    width: int
    height: int


def read_photo(content: bytes) -> Picture:
    """The picture in an uploaded file; raises Impossible with words for the form.

    Size is checked before decoding, orientation is applied once, and re-encoding leaves EXIF, position,
    trailers and anything hidden in the file behind. The original is not kept.
    """
    if len(content) > LARGEST_BYTES:
        raise Impossible("This file is too large", ACCEPTS)
    try:
        return _made_ready(content)
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, ArithmeticError) as broken:
        if isinstance(broken, Impossible):
            raise
        raise Impossible("This file is not a picture that can be read", ACCEPTS) from broken


def _made_ready(content: bytes) -> Picture:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with Image.open(io.BytesIO(content), formats=KINDS) as opened:
            _check_size(*opened.size)
            upright = ImageOps.exif_transpose(opened).convert("RGB")
    large = _within(upright, PRINT)
    return Picture(_jpeg(large), _jpeg(_within(upright, SMALL)), *large.size)


def _check_size(width: int, height: int) -> None:
    if width * height > LARGEST_PIXELS or max(width, height) > LONGEST_SIDE:
        raise Impossible(f"This picture has {width} by {height} pixels", ACCEPTS)


def _within(picture: Image.Image, side: int) -> Image.Image:
    copy = picture.copy()
    copy.thumbnail((side, side))
    return copy


def _jpeg(picture: Image.Image) -> bytes:
    clean = Image.frombytes("RGB", picture.size, picture.tobytes())
    out = io.BytesIO()
    clean.save(out, "JPEG", quality=82, optimize=True)
    return out.getvalue()


def on_paper(folder: Path, sha256: str) -> Path:
    """The copy of a kept photo in the size in which papers show it: made once, found by the photo's hash.

    A photo that cannot be read is given back as it is: the press then says what is wrong with it.
    """
    kept, copies = files.where(folder, sha256), folder / COPIES
    if (copy := files.where(copies, sha256)).exists():
        return copy
    try:
        with Image.open(kept) as opened:
            return files.put(copies, sha256, _jpeg(_covering(opened.convert("RGB"))))
    except OSError:
        return kept


def _covering(picture: Image.Image) -> Image.Image:
    """The picture no larger than it must be to fill its box on paper, whatever is then cut off its sides."""
    box = [int(side / 25.4 * PAPER_DPI) for side in PAPER_MM]
    scale = max(need / has for need, has in zip(box, picture.size, strict=True))
    if scale >= 1:
        return picture
    width, height = (max(1, round(side * scale)) for side in picture.size)
    return picture.resize((width, height), Image.Resampling.LANCZOS, reducing_gap=3)


def keep_photo(session: Session, folder: Path, act: Act, picture: Picture) -> Photo:
    """The photo's row, its files on disk; for a step that signs it with its own row."""
    photo = Photo(
        created_at=act.at,
        sha256=files.keep(folder, picture.print_jpeg),
        small_sha256=files.keep(folder, picture.small_jpeg),
        width=picture.width,
        height=picture.height,
        size=len(picture.print_jpeg),
        taken_by=act.person,
    )
    session.add(photo)
    session.flush()
    return photo
