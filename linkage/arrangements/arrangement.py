"""An arrangement as one value: everything that any room must know of a gear, in one place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from linkage.arrangements.assembly import Assembly
from linkage.mechanism import Running
from linkage.tables.shapes import Side
from linkage.tables.words import Entry

BOTH_SIDES = ("right", "left")
ONE_SIDE = ("only",)


@dataclass(frozen=True)
class Removable:
    """Something that is taken off at the bench to find out what sticks.

    Attributes
    ----------
    key : str
        Of its table: "return_crank".
    minutes : float
        What it takes to have one side's off and on again, by an unhurried hand: common practice,
        no source.
    stills : frozenset of str
        The tables of which the parts are then gone, or are tied up and stand still.
    """

    key: str
    minutes: float
    stills: frozenset[str]


@dataclass(frozen=True)
class Arrangement:
    """One kind of motion.

    What is asked for, assumed and said of each number stands in the fields of its tables
    (`linkage.tables.facts`).

    Attributes
    ----------
    name : str
        As sheets and commands have it: "walschaerts".
    does : str
        What it is, in a phrase.
    sides : tuple of str
        The sides of its sheets, where a sheet does not say.
    tables : type of Side
        What a sheet holds for one side.
    build : callable
        From one side's tables and the position of the reverser to parts and joints; coupled
        wheels, play and what the user adds are put on afterwards.
    measured : tuple of str
        The tables of a blank sheet, as they are measured at the bench: "radius_rod"; one of
        several with the name it has there, "axles.leading".
    differs : str
        A number that a blank sheet shows, commented out, as differing on one side.
    blank : str
        The whole blank sheet, where its parts have no tables of their own.
    words : tuple of Entry
        What its parts are called, beyond those of any engine.
    removable : tuple of Removable
        What of it can be taken off, what is quickest first; coupling rods are everywhere.
    """

    name: str
    does: str
    sides: tuple[str, ...]
    tables: type[Side]
    build: Callable[[Any, Running], Assembly]
    measured: tuple[str, ...] = ()
    differs: str = ""
    blank: str = ""
    words: tuple[Entry, ...] = ()
    removable: tuple[Removable, ...] = ()
