"""The place where two parts meet, or what runs off, enlarged, at true proportions."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from linkage.clearance import Contact, RunOff
from linkage.mechanism import Piece, Point, Slot
from linkage.report.voice import Voice
from linkage.scene import side, style
from linkage.scene.bodies import claimed, common, heavy_bodies, plan_shape, side_shape
from linkage.scene.drawing import Arrow, Frame, Item, Marks, Paper, Shape, View, Words
from linkage.scene.moment import Moment
from linkage.scene.plan import faces, meeting
from linkage.scene.style import Letters
from linkage.tightspots import Close, Fouls

_BAR = (0.86, 0.09)  # where the scale bar stands
_BAR_SHARE = 0.22
_ABOUT = 2.2  # times what is thinnest there, to either side
_WIDE = 3.0  # times the overlap or the air, at the least


def side_detail(moment: Moment, contact: Contact, paper: Paper, owner: bool = False) -> View:
    """Return the place of contact seen from the side."""
    tells, voice = contact.side_view > contact.lateral, side.voice_of(moment, owner)
    half = _ABOUT * min(_half_width(piece) for piece in contact.pieces)
    if tells:
        half = max(half, _WIDE * abs(contact.side_view))
    shapes = [side_shape(body, moment) for body in heavy_bodies(moment)]
    both = claimed(moment) if tells and contact.side_view < 0 else []
    items: list[Item] = [*shapes, *overlap(both)]
    if not (tells and contact.side_view < 0):
        items.append(Marks([contact.spot], style.SPOT_SIGN))
    cross = any(
        common(list(a), list(b))
        for one, other in combinations(shapes, 2)
        for a in one.outlines
        for b in other.outlines
    )  # elsewhere perhaps than at the spot itself, where a sloping rod is looked at
    gap = min(contact.side_view, 0.0) if cross else contact.side_view
    said = _amount(moment, voice) if tells else _passing(gap, "from the side", voice)
    frame = _frame(moment, paper, contact.spot, half)
    return View(
        "upper", "Enlarged: side view", frame,
        (*items, *_say(frame, said, tells), *side.scale_bar(frame, voice, _BAR, _BAR_SHARE)),
    )  # fmt: skip


def plan_detail(moment: Moment, contact: Contact, paper: Paper, owner: bool = False) -> View:
    """Return the place of contact seen from above."""
    tells, voice = contact.lateral >= contact.side_view, side.voice_of(moment, owner)
    half = _ABOUT * min(piece.thickness for piece in contact.pieces)
    if tells:
        half = max(half, _WIDE * abs(contact.lateral))
    both = claimed(moment, above=True) if tells and contact.lateral < 0 else []
    items: list[Item] = [
        *(plan_shape(body, moment) for body in heavy_bodies(moment)),
        *overlap(both),
    ]
    if contact.lateral > 0:  # an arrow across the air between the two faces
        inner, outer = ((contact.spot[0], out) for out in faces(contact))
        items.append(Arrow(inner, outer, style.SPAN, 6.0, both=True))
    said = _amount(moment, voice) if tells else _passing(contact.lateral, "from above", voice)
    frame = _frame(moment, paper, (contact.spot[0], meeting(contact)), half, down=True)
    return View(
        "lower", "Enlarged: plan, away from the frames is down", frame,
        (*items, *_say(frame, said, tells), *side.scale_bar(frame, voice, _BAR, _BAR_SHARE)),
    )  # fmt: skip


def run_off_detail(moment: Moment, run_off: RunOff, paper: Paper, owner: bool = False) -> View:
    """Return what runs off an end, seen from the side."""
    travel, voice = run_off.travel, side.voice_of(moment, owner)
    joint = moment.joint(travel.joint)
    part = moment.mechanism.part(joint.a.part)
    wide = max([_half_width(piece) for piece in part.pieces] or [run_off.beyond])
    half = max(_ABOUT * wide, _WIDE * run_off.beyond)
    frame = _frame(moment, paper, moment.place(joint.a), half)
    said = f"{travel.part} {voice.length(run_off.beyond)} past the end"
    if travel.narrows:
        said = f"{travel.part} {voice.length(run_off.beyond * travel.narrows)} too deep"
        half = _ABOUT * wide
    items: list[Item] = [*side.parts(moment, moment.parts), *_say(frame, said, bold=True)]
    edge, hold = (0.98, 1) if frame.mirrored else (0.02, -1)
    note = ""
    if isinstance(joint, Slot):
        note = "dashed: the slot's middle, as far as it may go"
    elif travel.part != part.name:
        note = f"the {travel.part} moves with the {part.name}; it is not drawn"
    if note:
        items.append(Words(note, frame.at(edge, 0.02), style.NOTE, hold, -1, style.CLEAR))
    items += side.scale_bar(frame, voice, _BAR, _BAR_SHARE)
    return View("both", "Enlarged: side view", frame, tuple(items))


def overlap(outline: list[Point]) -> Iterator[Shape]:
    """Yield what two parts both claim, hatched; nothing where that is nothing."""
    if outline:
        yield Shape((outline,), style.OVERLAP, "overlap")


def _half_width(piece: Piece) -> float:
    """Return half of what a piece measures across, seen from the side [mm]."""
    if len(piece.corners) < 3:
        return piece.radius
    across = [max(c[k] for c in piece.corners) - min(c[k] for c in piece.corners) for k in (0, 1)]
    return piece.radius + min(across) / 2


def _frame(moment: Moment, paper: Paper, middle: Point, half: float, down: bool = False) -> Frame:
    """Return so much above and below a place, and as much to either side as the box holds."""
    beside = half * paper.width / paper.height
    ends = (middle[0] - beside, middle[0] + beside)
    levels = (middle[1] - half, middle[1] + half)
    return Frame(paper, ends[::-1] if moment.mirrored else ends, levels[::-1] if down else levels)


def _amount(moment: Moment, voice: Voice) -> str:
    """Return the amount by which two parts foul, or the air they have."""
    if moment.pair is None:
        return ""
    if isinstance(moment.spot, Fouls):
        return f"overlap {voice.length(moment.spot.overlap)}"
    if isinstance(moment.spot, Close):
        air = voice.short_of(moment.spot.air, moment.spot.wanted)
        return f"{air} of air, {voice.length_again(moment.spot.wanted)} wanted"
    asked = voice.length_again(moment.pair.asked)
    return f"{voice.length(moment.pair.least)} of air, {asked} wanted"


def _passing(gap: float, seen: str, voice: Voice) -> str:
    return f"{voice.length(gap)} apart, seen {seen}" if gap > 0 else f"no air to see {seen}"


def _say(frame: Frame, text: str, bold: bool) -> Iterator[Item]:
    """Yield what is seen in the rear corner, and FRONT in the front one."""
    rear, ahead, hold = (0.98, 0.02, 1) if frame.mirrored else (0.02, 0.98, -1)
    ground = style.FRAMED if bold else style.CLEAR_WIDE
    yield Words(text, frame.at(rear, 0.95), Letters(bold=bold), hold, 1, ground)
    said = "← FRONT" if frame.mirrored else "FRONT →"
    yield Words(said, frame.at(ahead, 0.95), style.BOLD, -hold, 1, style.CLEAR_WIDE)
