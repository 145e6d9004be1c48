"""The Walschaerts arrangement: return crank, expansion link, radius rod, combination lever."""

from __future__ import annotations

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement, Removable
from linkage.arrangements.slider_crank import ENGINE, ROD_OFF
from linkage.arrangements.walschaerts.parts import walschaerts
from linkage.arrangements.walschaerts.side import WalschaertsSide
from linkage.tables.words import Entry

_WORDS = (
    Entry(
        "return crank",
        "eccentric crank",
        "The small arm on the end of the crank pin.",
        "the small arm on the end of the wheel's peg",
    ),
    Entry(
        "eccentric rod",
        "eccentric rod",
        "The thin bar that rocks the curved link.",
        "the thin bar that rocks the curved piece",
    ),
    Entry(
        "expansion link",
        "link",
        "The curved, slotted piece that rocks and sets the valve.",
        "the curved rocking piece",
    ),
    Entry("link", "link", "The curved, slotted piece that rocks and sets the valve."),
    Entry(
        "die block",
        "link block",
        "The slider in the slot of the curved link.",
        "the slider in the curved piece",
    ),
    Entry(
        "slot",
        "slot",
        "The opening of the curved link that the slider runs in.",
        "the opening that the slider runs in",
    ),
    Entry(
        "radius rod",
        "radius bar",
        "The thin bar from the curved link towards the valve.",
        "the thin bar to the top of the cylinder",
    ),
    Entry(
        "combination lever",
        "combining lever",
        "The upright lever that swings by the cylinder.",
        "the upright swinging lever in front",
    ),
    Entry(
        "union link",
        "crosshead link",
        "The short bar at the foot of the upright lever.",
        "the short link at the foot of the swinging lever",
    ),
    Entry(
        "drop arm",
        "crosshead arm",
        "The finger that hangs from the sliding block.",
        "the finger that hangs from the sliding block",
    ),
    Entry(
        "valve spindle",
        "valve stem",
        "The rod above the cylinder that moves the valve.",
        "the little push-rod above the cylinder",
    ),
    Entry("valve rod", "valve rod", "The rod that moves the valve."),
    Entry(
        "lifting link",
        "lifting link",
        "The hanger that raises and lowers the valve gear.",
        "the short link that lifts the thin bar for reversing",
    ),
    Entry(
        "weighshaft",
        "reverse shaft",
        "The shaft that raises and lowers the gear, to reverse.",
        "the cross-shaft that reverses the engine",
    ),
    Entry("reversing rod", "reach rod", "The bar from the cab to the reversing shaft."),
)

_GEAR = frozenset({
    "eccentric_rod", "expansion_link", "radius_rod", "combination_lever", "union_link",
    "valve_spindle", "lifting_link", "weighshaft",
})  # fmt: skip
_CRANK_OFF = Removable("return_crank", 3.0, _GEAR | {"return_crank"})
_REMOVABLE = (
    _CRANK_OFF,
    Removable("eccentric_rod", 4.0, _GEAR),
    # the return crank sits outside the big end, and comes off with it
    Removable("connecting_rod", ROD_OFF.minutes + _CRANK_OFF.minutes,
              ROD_OFF.stills | _CRANK_OFF.stills),
)  # fmt: skip

WALSCHAERTS = Arrangement(
    name="walschaerts",
    does="crank, crosshead and the whole gear",
    sides=BOTH_SIDES,
    tables=WalschaertsSide,
    build=walschaerts,
    measured=(
        *ENGINE,
        "return_crank",
        "eccentric_rod",
        "expansion_link",
        "radius_rod",
        "combination_lever",
        "lifting_link",
        "weighshaft",
        "union_link",
        "valve_spindle",
        "valve",
        "joint_play",
    ),
    differs="radius_rod.centres",
    words=_WORDS,
    removable=_REMOVABLE,
)
