"""Pictures of what was found, values of `scene` painted with matplotlib. Nothing here computes."""

from linkage.draw.events import draw_events
from linkage.draw.felt import draw_felt
from linkage.draw.figure import draw_figure
from linkage.draw.files import FORMATS, pages_bytes, picture_bytes, picture_format
from linkage.draw.map import draw_map
from linkage.draw.pictures import Wanted, draw_picture

__all__ = [
    "FORMATS",
    "Wanted",
    "draw_events",
    "draw_felt",
    "draw_figure",
    "draw_map",
    "draw_picture",
    "pages_bytes",
    "picture_bytes",
    "picture_format",
]
