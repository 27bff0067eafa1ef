"""An invented sheet of paper, filled in by an invented hand and photographed, as gardens may send it."""

import io
from importlib.resources import files

import numpy as np
from PIL import Image, ImageDraw, ImageFont

#: Pixels of the picture, and of the sheet that lies on a table in it.
_PICTURE, _SHEET = (1100, 800), (1010, 720)
#: Left edges of the columns, their headings, and the height of a line, in pixels of the sheet.
_COLUMNS = (
    (40, "plot"),
    (130, "date"),
    (330, "good fruits"),
    (500, "their weight"),
    (690, "who"),
    (800, "note"),
)
_FIRST_LINE, _LINE = 208, 50
_TABLE, _PAPER, _PRINT, _RULE, _PENCIL = "#8d7f6d", "#f4f1e8", "#3c4240", "#a9a595", "#2b3350"
#: EXIF tag of the day on which a picture was taken (CIPA DC-008, 4.6.5).
_TAKEN = 0x0132


def photographed(garden: str, day: str, rows: list[tuple[str, ...]], seed: int) -> bytes:
    """Return a JPEG picture of a sheet with `rows` of plot, date, fruits, weight, initials and note."""
    sheet = Image.new("RGB", _SHEET, _PAPER)
    pen, hand = ImageDraw.Draw(sheet), np.random.default_rng(seed)
    _print(pen, garden, len(rows))
    for at, row in enumerate(rows):
        for (left, _), text in zip(_COLUMNS, row, strict=True):
            _write(sheet, text, (left + 6, _FIRST_LINE + at * _LINE), hand)
    lying = sheet.rotate(1.6, resample=Image.Resampling.BICUBIC, expand=True, fillcolor=_TABLE)
    picture = Image.new("RGB", _PICTURE, _TABLE)
    picture.paste(lying, tuple((whole - part) // 2 for whole, part in zip(_PICTURE, lying.size, strict=True)))
    exif = picture.getexif()
    exif[_TAKEN] = f"{day.replace('-', ':')} 18:20:00"
    content = io.BytesIO()
    picture.save(content, "JPEG", quality=55, exif=exif)
    return content.getvalue()


def _print(pen: ImageDraw.ImageDraw, garden: str, rows: int) -> None:
    """Draw what was printed: the sheet's heading, that it is invented, and its ruled lines."""
    pen.text((40, 34), f"Harvest sheet, {garden}", font=_font("serif", 32), fill=_PRINT)
    pen.text(
        (40, 84), "INVENTED, for the sample network: nobody wrote it", font=_font("sans", 20), fill=_PRINT
    )
    for left, heading in _COLUMNS:
        pen.text((left, 150), heading, font=_font("sans-strong", 20), fill=_PRINT)
    right = _SHEET[0] - 36
    for at in range(rows + 1):
        top = _FIRST_LINE - 12 + at * _LINE
        pen.line((36, top, right, top), fill=_RULE, width=2)
    for left, _ in _COLUMNS[1:]:
        pen.line((left - 10, 140, left - 10, _FIRST_LINE - 12 + rows * _LINE), fill=_RULE, width=2)


def _write(sheet: Image.Image, text: str, at: tuple[int, int], hand: np.random.Generator) -> None:
    """Write a word letter by letter, none quite upright and none quite on the line."""
    font, (left, top) = _font("sans", 30), at
    for letter in text:
        drawn = Image.new("L", (44, 48), 0)
        ImageDraw.Draw(drawn).text((10, 4), letter, font=font, fill=255)
        turned = drawn.rotate(hand.uniform(-9, 5), resample=Image.Resampling.BICUBIC)
        sheet.paste(_PENCIL, (round(left) - 10, top - 6 + int(hand.integers(-3, 4))), turned)
        left += font.getlength(letter) + hand.uniform(-1, 1.5)


def _font(name: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(files("pipeline.publish") / "fonts" / f"{name}.ttf"), size)
