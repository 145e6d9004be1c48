"""The Stephenson arrangement: two eccentrics, their rods, and a link that is lifted to reverse."""

from __future__ import annotations

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement
from linkage.arrangements.slider_crank import ENGINE, ROD_OFF
from linkage.arrangements.stephenson.parts import stephenson
from linkage.arrangements.stephenson.side import StephensonSide
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
)

STEPHENSON = Arrangement(
    name="stephenson",
    does="crank, crosshead and a link between two eccentrics",
    sides=BOTH_SIDES,
    tables=StephensonSide,
    build=stephenson,
    measured=(
        *ENGINE,
        "fore_eccentric",
        "back_eccentric",
        "fore_eccentric_rod",
        "back_eccentric_rod",
        "expansion_link",
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
