"""A dummy gear: a link that the return crank rocks, and that works nothing.

Small models wear it for its looks. It can foul and lock like any other, and has no valve to time:
how evenly its link swings is nothing to the engine, and is not told.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement, Removable
from linkage.arrangements.assembly import Assembly, turn
from linkage.arrangements.radial.tables import layer_of
from linkage.arrangements.rods import eye_to_eye
from linkage.arrangements.slider_crank import ENGINE, ROD_OFF, slider_crank
from linkage.arrangements.starts import link_lean
from linkage.arrangements.walschaerts.parts import add_eccentric_rod, add_return_crank
from linkage.arrangements.walschaerts.side import ReturnCrankSide
from linkage.arrangements.walschaerts.tables import EccentricRod, ExpansionLink, ReturnCrank
from linkage.mechanism import Running
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import assumed, maybe
from linkage.tables.fields import Amount, Length, Size
from linkage.tables.shapes import JointPlay, play_of
from linkage.tables.views import Between, InSlot

_LINK = "expansion link"


class DummyCrank(ReturnCrank):
    """The return crank."""

    out: Length = assumed(INNER_FACE, layer_of("connecting_rod", 4), **OUT)


class DummyLink(ExpansionLink):
    """The expansion link, in whose slot nothing runs."""

    slot_radius: Size | None = maybe(
        "of its curve; left out: three times its length",
        16.4,
        calliper=Between(InSlot(_LINK, 2 / 3), InSlot(_LINK, None), "here"),
    )
    out: Length = assumed(INNER_FACE, layer_of("return_crank"), **OUT)

    @property
    def radius(self) -> float:
        """Of its curve [mm]."""
        return self.slot_radius or 6 * self.slot_half_length


class DummyPlay(JointPlay):
    """Play in the joints of the gear, in all: hole less pin."""

    JOINTS: ClassVar[Mapping[str, str]] = {
        **JointPlay.JOINTS,
        "return crank pin": "return_crank_pin",
        "link foot pin": "link_foot_pin",
        "trunnion": "trunnion",
    }

    return_crank_pin: Amount | None = maybe("hole less pin", **play_of("return crank's pin"))
    link_foot_pin: Amount | None = maybe("hole less pin", **play_of("link's foot pin"))
    trunnion: Amount | None = maybe("hole less pin", **play_of("trunnion"))


class DummySide(ReturnCrankSide):
    """One side of a sheet of the arrangement "dummy"."""

    joint_play: DummyPlay = DummyPlay.model_validate({})
    return_crank: DummyCrank
    eccentric_rod: EccentricRod
    expansion_link: DummyLink

    LOCOMOTIVE = True


def dummy(side: DummySide, _running: Running = None) -> Assembly:
    """Return an engine with its return crank, eccentric rod and link.

    Joints, besides those of the slider-crank: "return crank pin", "link foot pin" and "trunnion".
    """
    assembly = slider_crank(side)
    add_return_crank(assembly, side)
    rod, link = side.eccentric_rod, side.expansion_link
    pivot = (link.trunnion.ahead, link.trunnion.up)
    foot = (-link.foot_pin.back, -link.foot_pin.below)
    lean = link_lean(pivot, foot, side.return_crank.pin(side.wheels.throw), eye_to_eye(rod))
    x, y = turn(foot, lean)
    add_eccentric_rod(assembly, rod, link, (pivot[0] + x, pivot[1] + y), link.radius)
    return assembly


_OFF = frozenset({"eccentric_rod", "expansion_link"})
_CRANK_OFF = Removable("return_crank", 3.0, _OFF | {"return_crank"})

DUMMY = Arrangement(
    name="dummy",
    does="a link that the return crank rocks for its looks, and no valve",
    sides=BOTH_SIDES,
    tables=DummySide,
    build=dummy,
    measured=(*ENGINE, "return_crank", "eccentric_rod", "expansion_link", "joint_play"),
    differs="eccentric_rod.centres",
    removable=(
        _CRANK_OFF,
        Removable("eccentric_rod", 4.0, _OFF),
        Removable("connecting_rod", ROD_OFF.minutes + _CRANK_OFF.minutes,
                  ROD_OFF.stills | _CRANK_OFF.stills),
    ),
)  # fmt: skip
