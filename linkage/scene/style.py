"""The one table of how things look: black, white and greys, so that any printer or eye can read it.

Lengths on paper are points; greys run from 0, black, to 1, white, written as texts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

BLACK, DARK, GREY, LIGHT, WHITE = "0.0", "0.3", "0.45", "0.72", "1.0"
THIN, PLAIN, HEAVY = 0.5, 0.8, 1.9
"""Line widths: what explains, what is about it, what meets [points]."""
TITLE, SENTENCE, TEXT, SMALL = 13.0, 9.5, 8.0, 8.0
"""Sizes of letters [points]."""


@dataclass(frozen=True)
class Pen:
    """A line: its width [points], its grey, dashes and gaps [line widths], its ends."""

    width: float
    grey: str = BLACK
    dashes: tuple[float, ...] = ()
    cap: str = "butt"


@dataclass(frozen=True)
class Ink:
    """An outline: the line about it, the grey inside (None for none), a hatch over it."""

    pen: Pen
    face: str | None = WHITE
    hatch: str = ""
    hatch_grey: str = GREY


@dataclass(frozen=True)
class Sign:
    """A mark of one size on paper: a matter of its form, its size [points], its line, inside."""

    form: str
    size: float
    pen: Pen
    face: str | None = WHITE


@dataclass(frozen=True)
class Letters:
    """How words are lettered: size [points], bold or not, their grey."""

    size: float = TEXT
    bold: bool = False
    grey: str = BLACK


@dataclass(frozen=True)
class Ground:
    """What words stand on: grey, the line about it, how far it goes beyond them [points]."""

    face: str
    pen: Pen | None
    pad: float
    veil: float = 1.0
    round: bool = False


# lines
LINK, LINK_HEAVY = Pen(HEAVY, cap="round"), Pen(2 * HEAVY, cap="round")
CRANK = Pen(HEAVY)
PIN_CIRCLE = Pen(PLAIN, GREY, (9, 3))
SLOT = Pen(PLAIN, BLACK, (4, 2))
DOTTED = Pen(PLAIN, GREY, (1, 1.65))
CUT = Pen(THIN, GREY, (12, 3, 2, 3))
LEADER, LEADER_HEAVY = Pen(THIN, GREY), Pen(0.9)
FACE, SPAN, HAIR = Pen(1.0), Pen(PLAIN), Pen(0.2)
SCALE = Pen(2.2)
PATH, PATH_HEAVY, BEHIND = Pen(PLAIN), Pen(3.2), Pen(THIN, LIGHT)
POSITION, QUARTER, STANDING = Pen(THIN, GREY), Pen(PLAIN), Pen(1.4 * HEAVY, cap="round")
DIAL, HOUR, POINTER, RUNNING = Pen(1.2), Pen(THIN), Pen(1.6), Pen(PLAIN, GREY)
FELT = Pen(4.0)
CURVE, OTHER_CURVE, LEVEL, WANTED = Pen(1.8), Pen(THIN, LIGHT), Pen(1.0), Pen(0.8, BLACK, (6, 3))
GREY_LEVEL, LIMIT, SINGLE = Pen(PLAIN, GREY), Pen(PLAIN, BLACK, (1, 2)), Pen(1.4)
SINGLE_THIN = Pen(THIN)
GROUPS = (
    *(Pen(w, BLACK, d) for w, d in ((1.8, ()), (1.2, (6, 2)), (1.2, (2, 1.5)),
                                    (1.2, (8, 2, 2, 2)), (0.8, ()), (0.8, (12, 3)))),
)  # fmt: skip
"""Curves of one chart, told apart by their dashes."""
GROUPS = (*GROUPS, *(replace(pen, grey=GREY) for pen in GROUPS))
FOUND, FOUND_SIDE = (Pen(THIN, grey, (5, 3)) for grey in (BLACK, GREY))
EDGE, AIR = Pen(HEAVY + 0.8), Pen(THIN + 0.2, GREY, (5, 3))

# outlines
_FIXED, _FOUL = "////", "xxx"
FIXED_HATCH = _FIXED
PART, PART_HEAVY = Ink(Pen(PLAIN, GREY)), Ink(Pen(HEAVY), "0.86")
PART_FAINT = Ink(Pen(THIN, LIGHT), hatch_grey=LIGHT)
OVERLAP = Ink(Pen(1.0), WHITE, "xxxxxx")
WHEEL_SIDE = Ink(Pen(0.0), None, "....")
BAND = Ink(Pen(1.2), "0.85", "xxxx")
DISC = Ink(Pen(PLAIN))
SHADE, SHADE_CLOSE = (Ink(Pen(0.0), "0.93", hatch) for hatch in (_FOUL, "///"))
SHADE_EDGE = Pen(0.7)
OUTLINED = Ink(HOUR)
MEASURED, ABOUT, HOLE = Ink(Pen(PLAIN), "0.9"), Ink(Pen(THIN, GREY)), Ink(Pen(THIN))
HATCHES = ("////", "\\\\\\\\", "xxx", "---", "...", "|||", "++")
"""Of what stops on a map, the commonest first; the last for all that is left."""

# marks
PIN_SIGN, SLIDE_SIGN = (Sign(form, 3.2, Pen(0.6)) for form in ("disc", "square"))
FOOT_SIGN = Sign("foot", 8.0, Pen(1.0), None)
AXLE_SIGNS = Sign("disc", 6.0, Pen(1.0)), Sign("plus", 6.0, Pen(0.6))
RING_SIGNS = Sign("disc", 17.0, Pen(3.6, WHITE), None), Sign("disc", 17.0, Pen(1.4), None)
THIN_RING = (Sign("disc", 17.0, Pen(PLAIN, GREY), None),)
SPOT_SIGN = Sign("plus", 12.0, Pen(1.0))
AT_SIGN, ASKED_SIGN = Sign("disc", 7.0, Pen(1.0, WHITE), BLACK), Sign("disc", 5.0, Pen(1.0))
HOUR_SIGNS = {main: Sign("disc", 5.4 if main else 3.4, Pen(0.6, WHITE), BLACK)
              for main in (True, False)}  # fmt: skip
KNEE_SIGNS = {main: Sign("disc", 2.2, Pen(1.0, grey), grey)
              for main, grey in ((True, BLACK), (False, GREY))}  # fmt: skip
LEAST_SIGN, END_SIGN = Sign("disc", 5.0, Pen(1.0), BLACK), Sign("disc", 2.5, Pen(1.0), BLACK)
TODAY_SIGN, NEAREST_SIGN = Sign("cross", 10.0, Pen(2.6)), Sign("diamond", 8.0, Pen(1.6))
REGION_SIGN = Sign("disc", 4.0, Pen(1.0), BLACK)

# words
WORDS, BOLD, NOTE, NOTE_BOLD = Letters(), Letters(bold=True), Letters(SMALL), Letters(SMALL, True)
SMALL_BOLD = Letters(SMALL - 0.5, True)
GREY_NOTE, DARK_NOTE = Letters(SMALL, grey=GREY), Letters(SMALL, grey=DARK)
HEADING_WHITE, HEAD_WHITE = (Letters(size, True, WHITE) for size in (SENTENCE, 9.0))
HEADING, BOLD_TITLE = Letters(SENTENCE, True), Letters(TITLE, True)
CLEAR, VEIL = Ground(WHITE, None, 1.0), Ground(WHITE, None, 0.6, 0.85)
FRAMED, CLEAR_WIDE = Ground(WHITE, Pen(THIN, GREY), 2.0), Ground(WHITE, None, 2.0)
CIRCLED = Ground(WHITE, Pen(PLAIN), 0.2, round=True)
FLASH = {lit: Ground(BLACK if lit else WHITE, Pen(1.2), 5.0) for lit in (True, False)}
TAG = Ground(BLACK, None, 2.0)
