"""Tables of the rods, and of how they are bent."""

from __future__ import annotations

from typing import ClassVar, Literal, Self

from pydantic import Field, model_validator

from linkage.sheet.fields import Amount, Length, Size, Table, assumed, dim, exactly_one

BOW_MIDDLE = 0.1
"""How far from mid length, as a part of the length, a bow's greatest sag may be typed."""


class Bend(Table):
    """One bend of a rod, as laid on the bench and measured.

    A kink is a sharp corner with straight limbs to both eyes, a bow a circular arc, a joggle a
    shift of everything beyond `at`, spread over `length`.
    """

    WAYS: ClassVar = ("towards_frames", "away_from_frames", "up", "down", "ahead", "back")

    kind: Literal["kink", "bow", "joggle"]
    start: str = Field(alias="from", description="the end from which `at` is measured")
    at: Amount | None = Field(None, description="distance from that end's centre, along the rod")
    towards_frames: Amount | None = None
    away_from_frames: Amount | None = None
    up: Amount | None = None
    down: Amount | None = None
    ahead: Amount | None = None
    back: Amount | None = None
    length: Size | None = Field(None, description="over how much of the rod a joggle is spread")
    over: Size | None = Field(None, description="length of a bow that is not the whole rod")

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


def _bend_fault(bend: Bend, length: float, upright: bool) -> str | None:
    """Return what is wrong with a bend of a rod of that length [mm], if anything is."""
    in_plane = ("ahead", "back") if upright else ("up", "down")
    if not bend.lateral and bend.way not in in_plane:
        return f"{bend.way} is no way for this part to bend: use {' or '.join(in_plane)}"
    if bend.kind == "bow" and bend.over is None:
        if bend.at is not None and abs(bend.at - length / 2) > BOW_MIDDLE * length:
            return (
                f"a bow over the whole rod is greatest at the middle, {length / 2:.3g} mm: "
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
        return f"the bend should lie between the two ends, which are {length:.4g} mm apart"
    return None if bend.amount < reach else "bends further than the metal there can reach"


class Bar(Table):
    """What every bar has: a depth, a thickness and a place outward from the wheel."""

    width: Size = assumed("depth of the bar in the side view")
    thickness: Size = assumed("thickness, square to the wheel")
    out: Length = assumed("inner face of the bar, outward from the wheel face")
    ends: tuple[Size, Size] | None = Field(
        None, description="diameters of the two eyes, where they are larger than the bar"
    )
    bend: tuple[Bend, ...] = ()

    END_NAMES: ClassVar[tuple[tuple[str, ...], tuple[str, ...]]] = (("rear",), ("front",))
    UPRIGHT: ClassVar[bool] = False

    def end_names(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return what either end may be called, the first one (rear, top, ...) first."""
        return self.END_NAMES

    def far_end(self, name: str) -> bool:
        """Return whether a named end is the second one (front, bottom, ...)."""
        return name in self.end_names()[1]

    def check_bends(self, length: float) -> None:
        """Raise ValueError naming the first bend that a bar of that length [mm] cannot have."""
        first, second = self.end_names()
        known = [*first, *second]
        for number, bend in enumerate(self.bend, 1):
            if bend.start not in known:
                wanted = ", ".join(f'"{name}"' for name in known)
                raise ValueError(
                    f'bend {number}: from should be one of {wanted}, not "{bend.start}"'
                )
            fault = _bend_fault(bend, length, self.UPRIGHT)
            if fault:
                raise ValueError(f"bend {number}: {fault}")


class Rod(Bar):
    """A rod with an eye at either end."""

    centres: Size = dim("centre to centre of the two eyes")
    centres_measured: Literal["bent", "straight"] = Field(
        "bent", description="whether `centres` is as it is now, or what it was when straight"
    )

    @model_validator(mode="after")
    def _bends_fit(self) -> Self:
        self.check_bends(self.centres)
        return self


class ConnectingRod(Rod):
    """Connecting rod: crank pin to crosshead."""

    END_NAMES = (("big end", "rear"), ("little end", "front"))


class EccentricRod(Rod):
    """Eccentric rod: return crank to the expansion link's foot."""

    END_NAMES = (("return crank pin", "return crank", "rear"), ("foot pin", "front"))


class UnionLink(Rod):
    """Union link: drop arm to the combination lever's foot."""

    END_NAMES = (("drop arm pin", "drop arm"), ("union pin", "combination lever"))


class LiftingLink(Rod):
    """Lifting link: weighshaft arm to the radius rod."""

    END_NAMES = (("weighshaft pin", "top"), ("lifting pin", "bottom"))
    UPRIGHT = True

    class RodPin(Table):
        """Where it holds the radius rod, measured along the rod from the die block."""

        ahead_of_die: Length | None = None
        behind_die: Length | None = None
        above: Length = Field(0.0, description="above the rod's centre line")

        @model_validator(mode="after")
        def _one_way(self) -> Self:
            exactly_one(self, ("ahead_of_die", "behind_die"))
            return self

    pin: RodPin


class RadiusRod(Rod):
    """Radius rod: die block to the combination lever, or to the valve spindle."""

    END_NAMES = (("die block", "rear"), ("lever pin", "valve pin", "front"))

    die_above_trunnion: Length | None = Field(
        None, description="how far along the slot above the trunnion the die is fixed"
    )
    die_below_trunnion: Length | None = Field(
        None, description="how far along the slot below the trunnion the die is fixed"
    )

    @property
    def die_offset(self) -> float | None:
        """Where the die is fixed, upward along the slot [mm]; None where it is free."""
        if self.die_above_trunnion is not None:
            return self.die_above_trunnion
        return None if self.die_below_trunnion is None else -self.die_below_trunnion


class CombinationLever(Bar):
    """Combination lever, hanging: union pin at the foot."""

    END_NAMES = (("top",), ("union pin", "bottom"))
    UPRIGHT = True

    radius_rod_pin_to_valve_pin: Size = dim("centre to centre")
    radius_rod_pin_to_union_pin: Size = dim("centre to centre")
    admission: Literal["inside", "outside"] = Field(
        "inside",
        description="inside: radius-rod pin on top, valve pin below it; outside: the other way",
    )

    @property
    def length(self) -> float:
        """Topmost pin to union pin [mm]."""
        extra = self.radius_rod_pin_to_valve_pin if self.admission == "outside" else 0.0
        return self.radius_rod_pin_to_union_pin + extra

    @model_validator(mode="after")
    def _pins_in_order(self) -> Self:
        if self.radius_rod_pin_to_valve_pin >= self.radius_rod_pin_to_union_pin:
            raise ValueError(
                "radius_rod_pin_to_valve_pin should be less than radius_rod_pin_to_union_pin"
            )
        self.check_bends(self.length)
        return self
