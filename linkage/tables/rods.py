"""Tables of the rods, and of how they are bent."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, ClassVar, Literal, Self

from pydantic import Field, ValidationInfo, model_validator

from linkage.lengths import Say
from linkage.tables.engine import CONNECTING_ROD_OUT, INNER_FACE, OUT
from linkage.tables.facts import Degrees, Wrong, assumed, dim, maybe
from linkage.tables.fields import Amount, Angle, Length, Size, Table, exactly_one, say_in

DEPTH = "depth of the bar in the side view"
SQUARE = "square to the wheel, where it passes other parts"
OVER_EYES = "outside to outside of the eyes, less half of each eye"
BENT = "kink, bow or joggle; laid on a flat; towards_frames, away_from_frames, up or down"
BOW = ({"kind": "bow", "from": "rear", "towards_frames": 0.5},)
DEPTH_OF = "the depth of {}"
CENTRES: dict[str, Any] = {
    "owner": "the length of {} between the centres of its holes",
    "mends": "replace",
    "wrong": Wrong(0.6),
}
LONG = {"bench": "how long {} is", "owner": "how long {} is"}
BOW_MIDDLE = 0.1
"""How far from mid length, as a part of the length, a bow's greatest sag may be typed."""


def _way(words: str) -> Any:
    """Return the field of how far a bend goes one way."""
    phrase = f"how far {{}} goes {words}"
    return maybe(f"how far it goes {words}", bench=phrase, owner=phrase)


class Bend(Table):
    """One bend of a rod, as laid on the bench and measured.

    A kink is a sharp corner with straight limbs to both eyes, a bow a circular arc, a joggle a
    shift of everything beyond `at`, spread over `length` along the rod, not along its slope.
    """

    WAYS: ClassVar = ("towards_frames", "away_from_frames", "up", "down", "ahead", "back")

    kind: Literal["kink", "bow", "joggle"] = Field(
        description="kink, a sharp corner; bow, an arc; or joggle, a shift"
    )
    start: str = Field(alias="from", description="the end from which `at` is measured")
    at: Amount | None = maybe(
        "distance from that end's centre, along the rod",
        bench="where {} is along it",
        owner="how far from its end {} is",
    )
    towards_frames: Amount | None = _way("towards the frames")
    away_from_frames: Amount | None = _way("away from the frames")
    up: Amount | None = _way("up")
    down: Amount | None = _way("down")
    ahead: Amount | None = _way("ahead")
    back: Amount | None = _way("back")
    length: Size | None = maybe("over how much of the rod a joggle is spread", **LONG)
    over: Size | None = maybe(
        "straight across a bow that is not the whole rod, from one end of it to the other", **LONG
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        exactly_one(self, self.WAYS)
        if self.kind != "bow" and self.at is None:
            raise ValueError(f"a {self.kind} needs at = the distance from the end named")
        if (self.kind == "joggle") != (self.length is not None):
            raise ValueError("length belongs to a joggle, and a joggle needs it")
        if self.over is not None and (self.kind != "bow" or self.at is None):
            raise ValueError("over belongs to a bow, with at = the place of its greatest sag")
        return self

    @property
    def way(self) -> str:
        """Which way the metal goes, as a word."""
        return exactly_one(self, self.WAYS)

    @property
    def amount(self) -> float:
        """How far it goes [mm]."""
        return float(getattr(self, self.way))

    @property
    def lateral(self) -> bool:
        """Whether it goes sideways, towards or away from the frames."""
        return self.way in ("towards_frames", "away_from_frames")


def _bend_fault(bend: Bend, length: float, upright: bool, say: Say) -> str | None:
    """Return what is wrong with a bend of a rod of that length [mm], if anything is."""
    in_plane = ("ahead", "back") if upright else ("up", "down")
    if not bend.lateral and bend.way not in in_plane:
        return f"{bend.way} is no way for this part to bend: use {' or '.join(in_plane)}"
    if bend.kind == "bow" and bend.over is None:
        if bend.at is not None and abs(bend.at - length / 2) > BOW_MIDDLE * length:
            return (
                f"a bow over the whole rod is greatest at the middle, {say(length / 2)}: "
                "give over = its length, or call it a kink"
            )
        first, last, reach = 0.0, length, length / 2
    else:
        at = bend.at or 0.0
        before, after = {"kink": (0.0, 0.0), "joggle": (0.0, bend.length or 0.0)}.get(
            bend.kind, ((bend.over or 0.0) / 2, (bend.over or 0.0) / 2)
        )
        first, last = at - before, at + after
        reach = {"kink": min(at, length - at), "joggle": bend.length or 0.0}.get(bend.kind, before)
    if first < 0 or last > length or (bend.kind == "kink" and not 0 < first < length):
        return f"the bend should lie between the two ends, which are {say(length)} apart"
    return None if bend.amount < reach else "bends further than the metal there can reach"


class Bar(Table):
    """What every bar has: a depth, a thickness and a place outward from the wheel."""

    width: Size = dim(DEPTH, owner=DEPTH_OF)
    thickness: Size = dim(SQUARE)
    out: Length = dim(INNER_FACE, **OUT)
    ends: tuple[Size, Size] | None = maybe(
        "diameters of the two eyes, where they are larger than the bar"
    )
    bend: tuple[Bend, ...] = maybe(BENT, default=())
    twist: Angle | None = maybe(
        "degrees by which one end is turned about the rod against the other",
        bench="the twist in {}",
        owner="how far {} is twisted",
        damage="untwist {}, held square at one eye",
        wrong=Wrong(Degrees(8.0), 0.3, instead="", ought=""),
    )

    END_NAMES: ClassVar[tuple[tuple[str, ...], tuple[str, ...]]] = (("rear",), ("front",))
    UPRIGHT: ClassVar[bool] = False
    ITS_OWN: ClassVar[tuple[str, ...]] = (
        "centres",
        "centres_measured",
        "holes",
        "ends",
        "width",
        "thickness",
        "bend",
        "twist",
    )
    """What is a rod's own wherever it is put."""

    def end_names(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return what either end may be called, the first one (rear, top, ...) first."""
        return self.END_NAMES

    def end_for_end(
        self, typed: Mapping[str, Any], length: Callable[[float, str], str]
    ) -> dict[str, Any]:
        """Return its numbers, as typed, when it is turned end for end.

        `length`: types a length [mm] as the one of a key is typed.
        """
        turned = dict(typed)
        for key in ("ends", "holes", "centres"):
            if isinstance(turned.get(key), list):
                turned[key] = turned[key][::-1]
        rear, front = self.end_names()
        ends = {name: other[0] for names, other in ((rear, front), (front, rear)) for name in names}
        if isinstance(turned.get("bend"), list):
            turned["bend"] = [
                {**bend, "from": ends.get(bend.get("from"), bend.get("from"))}
                for bend in turned["bend"]
            ]
        return turned

    def far_end(self, name: str) -> bool:
        """Return whether a named end is the second one (front, bottom, ...)."""
        return name in self.end_names()[1]

    def check_bends(self, length: float, say: Say) -> None:
        """Raise ValueError naming the first bend that a bar of that length [mm] cannot have."""
        first, second = self.end_names()
        known = [*first, *second]
        for number, bend in enumerate(self.bend, 1):
            if bend.start not in known:
                wanted = ", ".join(f'"{name}"' for name in known)
                raise ValueError(
                    f'bend {number}: from should be one of {wanted}, not "{bend.start}"'
                )
            fault = _bend_fault(bend, length, self.UPRIGHT, say)
            if fault:
                raise ValueError(f"bend {number}: {fault}")


class Rod(Bar):
    """A rod with an eye at either end."""

    ORDER: ClassVar[tuple[str, ...]] = ("centres",)

    centres: Size = dim("centre to centre of the two eyes", **CENTRES)
    centres_measured: Literal["bent", "straight"] = Field(
        "bent", description="whether `centres` is as it is now, or what it was when straight"
    )

    BETWEEN: ClassVar[tuple[str, ...]] = ()
    """Its numbers that say how far from its first eye it has a pin, short of the second."""

    @model_validator(mode="after")
    def _bends_fit(self, info: ValidationInfo) -> Self:
        self.check_bends(self.centres, say_in(info))
        return self

    @model_validator(mode="after")
    def _pins_between(self, info: ValidationInfo) -> Self:
        say = say_in(info)
        for name in self.BETWEEN:
            if getattr(self, name) >= self.centres:
                raise ValueError(
                    f"{name} should be less than centres, for its pin is between the two eyes "
                    f"({say(getattr(self, name))} of {say(self.centres)})"
                )
        return self


class ConnectingRod(Rod):
    """Connecting rod: crank pin to crosshead."""

    END_NAMES = (("big end", "rear"), ("little end", "front"))

    centres: Size = dim(OVER_EYES, 38.0, **CENTRES, full_size=(1200.0, 4800.0), throws=(3.0, 16.0))
    width: Size = assumed(DEPTH, 1.8, 1.8, rare=False, owner=DEPTH_OF)
    thickness: Size = assumed("square to the wheel, between the eyes", 0.8, 0.8, rare=False)
    out: Length = assumed(INNER_FACE, CONNECTING_ROD_OUT, 2.6, rare=False, **OUT)
    bend: tuple[Bend, ...] = maybe(BENT, BOW, ())
