"""Photos of the demo, drawn: nothing in them is real, and they say so."""

import io
import zlib
from collections.abc import Callable
from functools import cache
from math import cos, pi, sin

from PIL import Image, ImageDraw, ImageFilter, ImageFont

from app.ground.photos import Picture, read_photo

SIZE = (1280, 960)
DARK, GREY, PALE = (38, 40, 42), (96, 98, 100), (206, 203, 194)
Draw = ImageDraw.ImageDraw


@cache
def picture(shows: str) -> Picture:
    """A drawn photo of what the words say, taken in as an uploaded one would be."""
    image = Image.effect_noise(SIZE, 26).convert("RGB").filter(ImageFilter.GaussianBlur(1.5))
    image = Image.blend(image, Image.new("RGB", SIZE, PALE), 0.72)
    draw = ImageDraw.Draw(image)
    _scene(shows)(draw, shows)
    _caption(draw, f"drawn for the demo: {shows}")
    out = io.BytesIO()
    image.save(out, "JPEG", quality=88)
    return read_photo(out.getvalue())


def _scene(shows: str) -> Callable[[Draw, str], None]:
    return next((scene for word, scene in SCENES.items() if word in shows.lower()), _trailer)


def _font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size)


def _caption(draw: Draw, text: str) -> None:
    draw.rectangle((0, 900, SIZE[0], SIZE[1]), fill=DARK)
    draw.text((24, 910), text, fill=(255, 255, 255), font=_font(32))


def _date_window(draw: Draw, shows: str) -> None:
    code = next((word for word in shows.replace(",", " ").split() if word.isdigit()), "0000")
    for radius, shade in ((1150, DARK), (1000, (52, 54, 56)), (760, GREY)):
        draw.ellipse((640 - radius, 1500 - radius, 640 + radius, 1500 + radius), fill=shade)
    draw.rounded_rectangle((480, 500, 800, 640), 60, fill=(58, 60, 62), outline=(130, 132, 134), width=6)
    draw.text((640, 570), code, fill=(190, 192, 194), font=_font(104), anchor="mm")


def _groove(draw: Draw, shows: str) -> None:
    draw.rectangle((0, 420, SIZE[0], 900), fill=DARK)
    for left in (120, 460, 800, 1140):
        draw.polygon([(left, 420), (left + 90, 420), (left + 70, 480), (left + 20, 480)], fill=PALE)
    draw.rectangle((485, 140, 525, 474), fill=(220, 222, 224), outline=DARK, width=4)
    draw.rectangle((400, 120, 610, 260), fill=(240, 242, 244), outline=DARK, width=5)
    draw.text((505, 190), shows.rsplit(",", 1)[-1].strip(), fill=DARK, font=_font(40), anchor="mm")


def _crack(draw: Draw, _shows: str) -> None:
    draw.polygon([(0, 300), (1280, 420), (1280, 640), (0, 520)], fill=(120, 84, 62))
    seed = zlib.crc32(_shows.encode())
    points = [(560 + ((seed >> step) & 31) * 3, 300 + step * 24) for step in range(14)]
    draw.line(points, fill=(20, 16, 14), width=9)
    draw.rectangle((200, 720, 1080, 780), fill=(236, 230, 190), outline=DARK, width=3)
    for mark in range(45):
        draw.line((200 + mark * 20, 720, 200 + mark * 20, 744 if mark % 4 else 760), fill=DARK, width=3)


def _trailer(draw: Draw, _shows: str) -> None:
    draw.rectangle((0, 760, SIZE[0], 900), fill=(150, 146, 136))
    draw.rounded_rectangle((260, 260, 1120, 700), 46, fill=(238, 236, 228), outline=DARK, width=8)
    draw.rectangle((260, 560, 1120, 600), fill=(122, 138, 150))
    for left in (340, 640, 900):
        draw.rounded_rectangle((left, 340, left + 160, 470), 14, fill=(90, 104, 114), outline=DARK, width=5)
    draw.ellipse((620, 620, 800, 800), fill=DARK)
    draw.ellipse((670, 670, 750, 750), fill=PALE)
    draw.line((260, 690, 80, 720), fill=DARK, width=18)
    draw.ellipse((56, 700, 96, 740), fill=DARK)


def _wheel(draw: Draw, shows: str) -> None:
    """A wheel from the side: nuts bare before the work, with a paint mark across each after it."""
    for radius, shade in ((430, DARK), (300, (176, 178, 180)), (96, GREY)):
        draw.ellipse((640 - radius, 450 - radius, 640 + radius, 450 + radius), fill=shade)
    for turn in range(6):
        x, y = 640 + 190 * cos(turn * pi / 3), 450 + 190 * sin(turn * pi / 3)
        draw.regular_polygon((x, y, 42), 6, fill=GREY, outline=DARK)
        if AFTER in shows:
            draw.line((x - 20, y, x + 74, y), fill=(236, 214, 60), width=12)


def _joint(draw: Draw, shows: str) -> None:
    """A bolted bracket: gaping and rusty before the work, shut and painted after it."""
    done = AFTER in shows
    steel, gap = ((84, 90, 96), 0) if done else ((120, 84, 62), 46)
    draw.rectangle((120, 480, 1160, 660), fill=steel, outline=DARK, width=6)
    draw.rectangle((320, 300 - gap, 960, 480 - gap), fill=steel, outline=DARK, width=6)
    for left in (430, 640, 850):
        draw.regular_polygon((left, 390 - gap, 48), 6, fill=GREY if done else (70, 48, 34), outline=DARK)


AFTER = "after"
SCENES: dict[str, Callable[[Draw, str], None]] = {
    "date window": _date_window,
    "groove": _groove,
    "crack": _crack,
    "wheel": _wheel,
    "tire": _wheel,
    "hub": _wheel,
    "nuts": _wheel,
    " the work": _joint,
}


def job_picture(title: str, when: str) -> Picture:
    """A drawn photo of a job. `when`: before or after; the same thing is drawn, as it was and as it is."""
    return picture(f"{title}, {when} the work")
