"""Two eccentrics, their rods and a slotted link: the gears of Stephenson, Gooch and Allan."""

from __future__ import annotations

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement
from linkage.arrangements.eccentric_links.gears import allan, gooch, stephenson
from linkage.arrangements.eccentric_links.rocked import StephensonRockerSide, stephenson_rocker
from linkage.arrangements.eccentric_links.side import AllanSide, GoochSide, StephensonSide
from linkage.arrangements.rocking import ROCKER_WORD
from linkage.arrangements.slider_crank import ENGINE, ROD_OFF
from linkage.tables.words import Entry

_WORDS = (
    Entry(
        "eccentric",
        "eccentric",
        "The disc set off the middle of the axle, which moves the valve.",
        "the disc on the axle that moves the valve",
    ),
    Entry(
        "fore eccentric",
        "forward eccentric",
        "The disc on the axle that moves the valve for running forwards.",
        "the disc on the axle for running forwards",
    ),
    Entry(
        "back eccentric",
        "backup eccentric",
        "The disc on the axle that moves the valve for running backwards.",
        "the disc on the axle for running backwards",
    ),
    Entry(
        "fore eccentric rod",
        "forward eccentric rod",
        "The bar from the axle to the curved link, for running forwards.",
        "the bar to the curved piece, for running forwards",
    ),
    Entry(
        "back eccentric rod",
        "backup eccentric rod",
        "The bar from the axle to the curved link, for running backwards.",
        "the bar to the curved piece, for running backwards",
    ),
    Entry(
        "suspension link",
        "suspension link",
        "The short bar that the curved link hangs by.",
        "the short bar that the curved piece hangs by",
    ),
)

_ECCENTRICS = (
    "fore_eccentric",
    "back_eccentric",
    "fore_eccentric_rod",
    "back_eccentric_rod",
    "expansion_link",
)
_LIFTED = (
    *ENGINE,
    *_ECCENTRICS,
    "suspension_link",
    "radius_rod",
    "lifting_link",
    "weighshaft",
    "valve_spindle",
    "valve",
    "joint_play",
)

STEPHENSON = Arrangement(
    name="stephenson",
    does="crank, crosshead and a link between two eccentrics",
    sides=BOTH_SIDES,
    tables=StephensonSide,
    build=stephenson,
    measured=(
        *ENGINE,
        *_ECCENTRICS,
        "lifting_link",
        "weighshaft",
        "valve_spindle",
        "valve",
        "joint_play",
    ),
    differs="fore_eccentric_rod.centres",
    words=_WORDS,
    removable=(ROD_OFF,),
)

STEPHENSON_ROCKER = Arrangement(
    name="stephenson-rocker",
    does="a link between two eccentrics, which works the valve by a rocker",
    sides=BOTH_SIDES,
    tables=StephensonRockerSide,
    build=stephenson_rocker,
    measured=(
        *ENGINE,
        *_ECCENTRICS,
        "lifting_link",
        "weighshaft",
        "rocker",
        "valve_rod",
        "valve_spindle",
        "valve",
        "joint_play",
    ),
    differs="fore_eccentric_rod.centres",
    words=(ROCKER_WORD,),
    removable=(ROD_OFF,),
)

GOOCH = Arrangement(
    name="gooch",
    does="two eccentrics, a link hung from the frame, and a radius rod that is lifted",
    sides=BOTH_SIDES,
    tables=GoochSide,
    build=gooch,
    measured=_LIFTED,
    differs="radius_rod.centres",
    removable=(ROD_OFF,),
)

ALLAN = Arrangement(
    name="allan",
    does="two eccentrics, a straight link that is lowered as its radius rod is lifted",
    sides=BOTH_SIDES,
    tables=AllanSide,
    build=allan,
    measured=_LIFTED,
    differs="radius_rod.centres",
    removable=(ROD_OFF,),
)
