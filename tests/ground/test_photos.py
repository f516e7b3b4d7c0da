"""Photos: what is taken, what is refused, what is left of what came with them."""

import io
from pathlib import Path

import pytest
from PIL import Image

from app.ground import files
from app.ground.photos import LARGEST_BYTES, Picture, on_paper, read_photo
from app.trade.problems import Impossible

# A quarter that tells which way is up: black top left corner on white.
UPRIGHT = (0, 0)


def picture(size: tuple[int, int] = (400, 200)) -> Image.Image:
    made = Image.new("RGB", size, "white")
    made.paste("black", (0, 0, size[0] // 2, size[1] // 2))
    return made


def saved(image: Image.Image, kind: str = "JPEG", **more: object) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def opened(made: Picture) -> Image.Image:
    return Image.open(io.BytesIO(made.print_jpeg))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_pictures_of_the_usual_kinds_are_taken_and_become_jpeg(kind: str) -> None:
    made = read_photo(saved(picture(), kind))
    assert opened(made).format == "JPEG"
    assert (made.width, made.height) == (400, 200)


# EXIF orientation 1 to 8, and the turn that puts such a picture upright: TIFF 6.0, tag 274
TURNS = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


@pytest.mark.parametrize("orientation", TURNS)
def test_all_eight_orientations_come_out_upright(orientation: int) -> None:
    turn = TURNS[orientation]
    lying = picture().transpose(turn) if turn is not None else picture()
    exif = Image.Exif()
    exif[274] = orientation
    made = opened(read_photo(saved(lying, exif=exif)))
    assert made.size == (400, 200)
    corner, middle = made.getpixel((20, 20)), made.getpixel((380, 180))
    assert max(corner) < 60  # type: ignore[type-var,arg-type]  # an RGB pixel
    assert min(middle) > 200  # type: ignore[type-var,arg-type]


def test_nothing_of_where_and_with_what_it_was_taken_is_left() -> None:
    exif = Image.Exif()
    exif[271] = "Maker of the camera"
    exif.get_ifd(34853)[2] = (40.0, 30.0, 20.0)  # GPS latitude
    sent = saved(picture(), exif=exif, comment=b"secret") + b"PK\x03\x04 a file behind the picture"
    made = read_photo(sent)
    assert not opened(made).getexif()
    for held in (made.print_jpeg, made.small_jpeg):
        assert b"Maker" not in held
        assert b"Exif" not in held
        assert b"secret" not in held
        assert b"PK\x03\x04" not in held


def test_large_pictures_become_print_size_and_small() -> None:
    made = read_photo(saved(picture((4000, 3000))))
    assert opened(made).size == (1600, 1200)
    assert Image.open(io.BytesIO(made.small_jpeg)).size == (480, 360)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"<html><img src=x onerror=alert(1)></html>",
        b"GIF89a" + b"\0" * 100,
        saved(picture(), "BMP"),
        saved(picture())[:200],
        b"\xff\xd8\xff\xe0" + b"\0" * 500,
    ],
)
def test_what_is_no_picture_of_ours_is_refused_in_words(content: bytes) -> None:
    with pytest.raises(Impossible, match="not a picture") as refused:
        read_photo(content)
    assert "25 MB" in refused.value.accepts


def test_every_truncation_is_refused_or_gives_a_whole_picture() -> None:
    whole = saved(picture())
    for percent in range(1, 100, 3):
        try:
            made = read_photo(whole[: len(whole) * percent // 100])
        except Impossible:
            continue
        assert opened(made).size == (400, 200)


def test_a_picture_with_too_many_pixels_is_refused_before_it_is_decoded() -> None:
    bomb = saved(Image.new("1", (20_000, 20_000)), "PNG")
    assert len(bomb) < 100_000
    with pytest.raises(Impossible, match="20000 by 20000"):
        read_photo(bomb)


def test_a_long_strip_is_refused() -> None:
    with pytest.raises(Impossible, match="13000 by 1"):
        read_photo(saved(Image.new("RGB", (13_000, 1)), "PNG"))


def test_transparent_grey_and_sixteen_bit_pictures_are_taken() -> None:
    for mode in ("RGBA", "LA", "L", "P", "I;16", "CMYK"):
        kind = "JPEG" if mode == "CMYK" else "PNG"
        assert read_photo(saved(Image.new(mode, (50, 40)), kind)).width == 50


def test_a_file_of_more_than_25_megabytes_is_refused_unread() -> None:
    with pytest.raises(Impossible, match="too large"):
        read_photo(saved(picture()) + bytes(LARGEST_BYTES))


@pytest.mark.parametrize("orientation", TURNS)
def test_a_heic_picture_comes_out_upright_and_bare(orientation: int) -> None:
    # what a tablet sends: HEVC in a HEIF box with its turn told once (ISO/IEC 23008-12)
    turn = TURNS[orientation]
    lying = picture().transpose(turn) if turn is not None else picture()
    exif = Image.Exif()
    exif[274], exif[271] = orientation, "Maker of the camera"
    made = read_photo(saved(lying, "HEIF", exif=exif.tobytes()))
    assert opened(made).size == (400, 200)
    corner = opened(made).getpixel((20, 20))
    assert max(corner) < 60  # type: ignore[type-var,arg-type]  # an RGB pixel
    assert b"Maker" not in made.print_jpeg


# The copy for papers: 84 mm by 56 mm at 150 dots an inch are 496 by 330 dots (25.4 mm to the inch)


@pytest.mark.parametrize(
    ("taken", "copy"),
    [
        ((4000, 3000), (496, 372)),  # as wide as its box, and so high that a strip is cut off
        ((3000, 4000), (496, 661)),  # upright: as wide as its box
        ((6000, 2000), (990, 330)),  # a strip: as high as its box
        ((300, 200), (300, 200)),  # never made larger
    ],
)
def test_the_copy_for_papers_just_covers_its_box_and_keeps_its_shape(
    tmp_path: Path, taken: tuple[int, int], copy: tuple[int, int]
) -> None:
    sha256 = files.keep(tmp_path, read_photo(saved(picture(taken))).print_jpeg)
    with Image.open(on_paper(tmp_path, sha256)) as made:
        assert all(abs(has - asked) <= 1 for has, asked in zip(made.size, copy, strict=True))


@pytest.mark.parametrize("orientation", TURNS)
def test_the_copy_for_papers_is_upright_too(tmp_path: Path, orientation: int) -> None:
    turn = TURNS[orientation]
    upright = picture((1600, 1200))
    exif = Image.Exif()
    exif[274] = orientation
    sent = saved(upright.transpose(turn) if turn is not None else upright, exif=exif)
    with Image.open(on_paper(tmp_path, files.keep(tmp_path, read_photo(sent).print_jpeg))) as made:
        assert made.size == (496, 372)
        assert max(made.getpixel((20, 20))) < 60  # type: ignore[type-var,arg-type]  # an RGB pixel
        assert min(made.getpixel((480, 360))) > 200  # type: ignore[type-var,arg-type]


def test_the_copy_for_papers_is_made_once_and_anew_where_it_was_lost(tmp_path: Path) -> None:
    sha256 = files.keep(tmp_path, read_photo(saved(picture((1600, 1200)))).print_jpeg)
    copy = on_paper(tmp_path, sha256)
    assert copy != files.where(tmp_path, sha256)
    made = copy.stat()
    files.where(tmp_path, sha256).rename(tmp_path / "away")  # whoever made it anew would need the photo
    assert on_paper(tmp_path, sha256).stat() == made
    (tmp_path / "away").rename(files.where(tmp_path, sha256))
    content = copy.read_bytes()
    copy.unlink()
    assert on_paper(tmp_path, sha256).read_bytes() == content


def test_a_photo_that_cannot_be_read_is_left_to_the_press_to_name(tmp_path: Path) -> None:
    broken = files.keep(tmp_path, b"no picture")
    for sha256 in (broken, "0" * 64):
        assert on_paper(tmp_path, sha256) == files.where(tmp_path, sha256)
