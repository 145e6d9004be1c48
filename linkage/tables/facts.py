"""What every room must know of one number, said once, in the field of its table.

The blank sheet, the measuring form, what is assumed, the questions about odd numbers, the words
for bench and owner and the JSON Schema are all made from these; no other room knows a gear's keys.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType
from typing import Any, Literal, Protocol, get_args, get_origin

from pydantic import Field
from pydantic.fields import FieldInfo

from linkage.tables.fields import Location, Table
from linkage.tables.views import Calliper

TYPICAL_THROW = 4.33
"""Throw at 4 mm to the foot [mm]; all typical and usual sizes are for that scale."""
TYPICAL_RATIO = 76.2


class Beside(Protocol):
    """One side's sizes, by dotted key, as given or as assumed."""

    factor: float
    """What sizes at 4 mm to the foot are multiplied by [1]."""

    def given(self, key: str) -> float | None:
        """Return what the sheet gives [mm]; None where it does not."""

    def size(self, key: str, otherwise: float = 0.0) -> float:
        """Return what is given or assumed [mm]; `otherwise` where its table is not there."""


Usual = float | Callable[[Beside], float]
"""A size at 4 mm to the foot [mm], or a rule that makes one of what lies beside it."""
Range = tuple[float, float]


@dataclass(frozen=True)
class Degrees:
    """An angle on a blank sheet, which no scale changes."""

    degrees: float


@dataclass(frozen=True)
class Wrong:
    """How a number goes wrong: by how much, typically, and how often beside others.

    The sizes and how often are those of the trade's talk at 4 mm to the foot: what was bent in
    handling, slipped, or came with a part of another engine. Common practice, no source.
    """

    by: float | Degrees  # [mm at 4 mm to the foot], or an angle; half and twice that are as likely
    often: float = 1.0  # [1]
    # the number that holds where this one is not on the sheet; "" where it is then nought; None
    # where it goes wrong only where it is on the sheet
    instead: str | None = None
    whole: bool = False  # whether it belongs to a whole axle, so that no side has it alone
    ought: str | None = None  # likewise, what it ought to be where it is on the sheet
    # whether only the difference of the two sides is felt, so that one side stands for both
    relative: bool = False
    both: float = 0.3  # how often a number of both sides is wrong on both, beside one alone [1]


WRONG_LENGTH = Wrong(0.3, 0.3)
"""A length of which no more is known."""
WRONG_ANGLE = Wrong(Degrees(3.0), 0.3)
"""An angle likewise."""
SLIPPED = Wrong(Degrees(15.0), 4.0)
"""An angle at which something is clamped on its pin or axle, and slips."""
NEVER = Wrong(0.0, 0.0)
"""What goes wrong without anything sticking for it, or cannot."""


@dataclass(frozen=True)
class Facts:
    """Of one number."""

    # what stands on the blank sheet. A bare float is a length at 4 mm to the foot [mm] and is
    # brought to scale; anything else stands as it is; None keeps it off the blank sheet
    typical: Any = None
    rare: bool = False  # whether it stands commented out there, for it may be left out
    usual: Usual | None = None  # what is assumed where the sheet leaves it out
    with_: str = ""  # a field without which the assumption is not worth a word
    # where the calliper goes on the measuring form; a rod's own numbers need none
    calliper: Calliper | None = None
    # what it is drawn with there, where it is 0 on the blank sheet and could not be seen: a length
    # at 4 mm to the foot [mm], or an angle
    drawn: float | Degrees | None = None
    no_place: str = ""  # why no calliper goes there on the measuring form
    # what it is, at the bench and for somebody who does not know the trade, in a phrase with its
    # part in the braces, and the crank pin as `{pin}`; where none is given, "the radius rod's
    # width" and "the width of the radius rod"
    bench: str = ""
    owner: str = ""
    # [mm] its range at full size, generous: strokes of 16 to 34 in, rods as they were built
    full_size: Range | None = None
    throws: Range | None = None  # [1] the same as so many throws, where the scale is not known
    twice: str = ""  # what to ask where half the number would be usual
    # how a part is put right whose number is wrong, where that goes by a name of its own
    mends: Literal["", "replace", "requarter", "reset", "turn"] = ""
    cast: bool = False  # whether nobody alters it to part two parts: all turns on it
    # what is to be done where it is not nought, for it is damage: "untwist {}", its part in braces
    damage: str = ""
    # what is fixed together and may stand elsewhere along its line, as one: "cylinder"
    rides: str = ""
    # of a choice of two: the tables of the two rods that take one another's pins by the other one
    exchanges: tuple[str, str] | None = None
    # where coupled wheels bind: in which order it is suspected, 1 first; 0 for never
    suspect: int = 0
    wrong: Wrong | None = None  # how it goes wrong; None where that is no better known than usual

    def __call__(self, schema: dict[str, Any]) -> None:
        """Leave the JSON Schema as it is: these marks are only ours."""


NO_FACTS = Facts()


def dim(hint: str, typical: Any = None, **facts: Any) -> Any:
    """Return a needed field with its measuring hint and its `Facts`."""
    return Field(description=hint, json_schema_extra=Facts(typical, **facts))


def maybe(
    hint: str, typical: Any = None, default: Any = None, alias: str | None = None, **facts: Any
) -> Any:
    """Return a field that may be left out; rare, unless it is said to stand on a blank sheet."""
    marks = Facts(typical, **{"rare": True, **facts})
    return Field(default, alias=alias, description=hint, json_schema_extra=marks)


def assumed(hint: str, usual: Usual, typical: Any = None, **facts: Any) -> Any:
    """Return a field that is filled in from common practice where the file leaves it out.

    The usual sizes are common practice at 4 mm to the foot, in proportion at other scales; no
    source. Measure yours.
    """
    marks = Facts(typical, usual=usual, **{"rare": True, **facts})
    return Field(description=hint, json_schema_extra=marks)


def as_in(table: type[Table], key: str, typical: Any, default: Any) -> Any:
    """Return the field of another table, with another typical value, and another if left out."""
    field = fields_by_key(table)[key]
    marks = replace(facts_of(field), typical=typical)
    return Field(default, description=field.description, json_schema_extra=marks)


def facts_of(field: FieldInfo) -> Facts:
    """Return the facts of a field; those of none where it has none."""
    held = field.json_schema_extra
    return held if isinstance(held, Facts) else NO_FACTS


def in_order(table: type[Table]) -> Iterator[tuple[str, FieldInfo]]:
    """Yield a table's fields by their keys in the file, in the order of measuring."""
    fields = fields_by_key(table)
    for key in dict.fromkeys((*table.ORDER, *fields)):
        yield key, fields[key]


def table_in(annotation: Any) -> type[Table] | None:
    """Return the table class inside an annotation such as ``tuple[Fixed, ...]``, if one is."""
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return annotation
    for inner in get_args(annotation):
        found = table_in(inner)
        if found is not None:
            return found
    return None


@cache
def fields_by_key(table: type[Table]) -> Mapping[str, FieldInfo]:
    """Return a table's fields by the key that stands in the file."""
    return MappingProxyType({f.alias or name: f for name, f in table.model_fields.items()})


def tables_of(side: Any) -> Iterator[tuple[Location, Table]]:
    """Yield the tables of a side with their places, those by name too."""
    kind: type[Table] = type(side)
    for key, info in fields_by_key(kind).items():
        name = next(n for n, held in kind.model_fields.items() if held is info)
        held = getattr(side, name)
        if isinstance(held, Table):
            yield (key,), held
        elif isinstance(held, Mapping):
            yield from (((key, own), one) for own, one in held.items() if isinstance(one, Table))


def is_list(table: type[Table], key: str) -> bool:
    """Return whether a key of a table in the file holds a list of tables."""
    field = fields_by_key(table).get(key)
    return (
        field is not None
        and get_origin(field.annotation) is tuple
        and bool(table_in(field.annotation))
    )


def table_of(table: type[Table], steps: Sequence[str]) -> type[Table]:
    """Return the table class at a place, by steps in the file without numbers.

    Raises
    ------
    KeyError
        Where there is no table there.
    """
    here: type[Table] | None = table
    named = False  # whether the next step is the name of one of several tables
    for step in steps:
        if named:
            named = False
            continue
        field = fields_by_key(here)[step] if here else None
        here = table_in(field.annotation) if field else None
        named = field is not None and get_origin(field.annotation) is dict
    if here is None:
        raise KeyError(".".join(steps))
    return here
