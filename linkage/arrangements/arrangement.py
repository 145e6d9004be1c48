"""An arrangement as one value: everything that any room must know of a gear, in one place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.arrangements.assembly import Assembly
from linkage.arrays import Array
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
class Inside:
    """A third cylinder between the frames, its valve worked by both outside ones.

    Attributes
    ----------
    throw, rod, offset : float [mm]
        Of its crank; its connecting rod's length; how far its centre line passes above the axle,
        square to that line.
    slope : float [rad]
        By which its front end is raised.
    follows : float [rad]
        Its crank behind the right-hand one, in forward running.
    shares : (float, float) [1]
        How many times as far as the right-hand and the left-hand valve its own goes for each.
    levers : tuple of (str, float, tuple of float)
        Of each lever its key, the length of an arm that ends on a fixed line [mm], and how many
        times as far as the right-hand and the left-hand valve that end goes along it.
    """

    throw: float
    rod: float
    offset: float
    slope: float
    follows: float
    shares: tuple[float, float]
    levers: tuple[tuple[str, float, tuple[float, float]], ...]

    def piston(self, crank: Array) -> Array:
        """Return how far ahead of the axle its crosshead is, shape (N,) [mm].

        `crank`: its own, from straight ahead, growing in forward running, shape (N,) [rad].
        """
        turned = crank + self.slope
        off = self.throw * np.sin(turned) + self.offset
        return np.asarray(self.throw * np.cos(turned) + np.sqrt(self.rod**2 - off**2))


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
    inside : callable or None
        From one side's tables to the third cylinder that the valves of both sides work.
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
    inside: Callable[[Any], Inside] | None = None
