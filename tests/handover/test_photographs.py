"""Photographs: a bound before they are decoded, and nothing that the camera wrote."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from linkage.handover.photographs import Photo, PhotographError, load_photographs
from linkage.sheet import read_sheet
from linkage.sheet.ready import demonstration


def test_remarks_in_a_photograph_are_dropped(tmp_path):
    path = tmp_path / "a.jpg"
    Image.new("RGB", (40, 30)).save(path, comment=b"taken at 3 Marsh Lane")
    assert b"Marsh Lane" in path.read_bytes()
    (picture,) = load_photographs(read_sheet(demonstration()), [Photo(path)])
    assert b"Marsh Lane" not in picture.content
    assert "comment" not in Image.open(io.BytesIO(picture.content)).info


@pytest.mark.parametrize("size", [(10_000, 6_001), (20_000, 20_000)])
def test_a_photograph_of_too_many_pixels_is_refused_before_it_is_decoded(tmp_path, size):
    path = tmp_path / "a.png"
    Image.new("1", size).save(path)
    with pytest.raises(PhotographError, match="pixels"):
        load_photographs(read_sheet(demonstration()), [Photo(path)])
