"""Pictures of what was found. Nothing in here computes; it only places what the findings hold."""

from linkage.draw.figure import draw_figure
from linkage.draw.files import FORMATS, picture_bytes, picture_format
from linkage.draw.scene import Scene, scene_of

__all__ = [
    "FORMATS",
    "Scene",
    "draw_figure",
    "picture_bytes",
    "picture_format",
    "scene_of",
]
