"""The pair as a picture of dots: the size and the colours that the drawing says."""

import io
from decimal import Decimal

import pytest
from PIL import Image

from inventory.pair_png import DENSITY, pair_png
from inventory.pair_svg import ARCH, EDGE, GAP

SHAPE = {"base_mm": Decimal(22), "tip_mm": Decimal(16), "colour": "#a01818", "scale": 0.16}


def picture(length: int, **fields):
    png, width, height = pair_png(length_mm=Decimal(length), **{**SHAPE, **fields})
    image = Image.open(io.BytesIO(png)).convert("RGBA")
    assert image.size == (width * DENSITY, height * DENSITY)
    return image, width, height


def test_two_candles_of_the_wax_hang_beside_each_other_with_nothing_between_and_around():
    image, width, height = picture(250)
    assert height == round(ARCH + 250 * 0.16 + 2 * EDGE + 0.5)
    assert width == round(2 * 22 * 0.16 + GAP + 2 * EDGE + 0.5)
    level = (height - 10) * DENSITY
    left, right = round((EDGE + 11 * 0.16) * DENSITY), round((EDGE + 33 * 0.16 + GAP) * DENSITY)
    for x in (left, right):
        red, green, blue, dense = image.getpixel((x, level))
        assert (dense, red > 150, green < 35, blue < 35) == (255, True, True, True)
    for x in (0, (left + right) // 2):
        assert image.getpixel((x, level))[3] == 0
    assert image.getpixel(((left + right) // 2, round((EDGE + 0.2) * DENSITY)))[3] > 100  # the wick joins them


def test_a_longer_candle_hangs_lower():
    assert picture(300)[2] - picture(250)[2] == 8


@pytest.mark.parametrize("fields", [{"tip_mm": Decimal(0)}, {"tip_mm": Decimal(30)}])
def test_a_shape_that_cannot_hang_is_refused(fields):
    with pytest.raises(ValueError, match="no candle"):
        picture(250, **fields)
