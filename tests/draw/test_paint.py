"""Words are as wide as their outlines."""

from __future__ import annotations

import string

import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

from linkage.draw.paint import text_width
from linkage.scene.style import Letters


@pytest.mark.parametrize("bold", [False, True])
def test_width_is_that_of_the_outline_with_its_curves(bold):
    font = FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")
    texts = [*string.printable[:94], "°", "±", "Åµ", "AVATAR, 0.05 mm (½)"]
    outlines = {text: TextPath((0, 0), text, size=9.0, prop=font) for text in texts}

    assert {text: text_width(text, Letters(9.0, bold)) for text in texts} == {
        text: outline.get_extents().width for text, outline in outlines.items()
    }
