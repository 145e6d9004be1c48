"""Pictures of what was found. Nothing in here computes; it only places what the findings hold."""

from linkage.draw.figure import draw_figure
from linkage.draw.files import FORMATS, pages_bytes, picture_bytes, picture_format
from linkage.draw.map import draw_map
from linkage.draw.pictures import Wanted, draw_picture
from linkage.draw.scene import Scene, scene_of

__all__ = [
    "FORMATS",
    "Scene",
    "Wanted",
    "draw_figure",
    "draw_map",
    "draw_picture",
    "pages_bytes",
    "picture_bytes",
    "picture_format",
    "scene_of",
]
