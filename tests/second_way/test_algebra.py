"""The compiled closure equations and their derivatives against a system of computer algebra.

The functions are called with sympy's symbols in place of numbers, so what comes back is their
formula; sympy differentiates the residuals and the poses by itself.
"""

from __future__ import annotations

from itertools import chain
from types import FunctionType

import pytest
import sympy as sp

from linkage.arrangements import build
from linkage.kinematics import algebra
from linkage.kinematics.chain import chain_of
from linkage.kinematics.equations import Group
from linkage.sheet import read_sheet

SHEETS = ("ardmoor-2-6-0", "ardmoor-pacific-5in-die-off-slot", "stephenson-gear", "peaucellier")
GROUPS = sorted(
    {
        step.group
        for name in SHEETS
        for mechanism in build(read_sheet(f"configs/{name}.toml")).values()
        for step in chain_of(mechanism).steps
    },
    key=lambda group: (group.size, group.parts),
)


def symbols(letter, count, order=0):
    return [sp.Symbol(f"{letter}{i}{'_' * order}") for i in range(count)]


def in_sympy(made, *args):
    """Call a compiled function with symbols."""
    return made_of(made, {"sin": sp.sin, "cos": sp.cos})(*args)


def made_of(made, put):
    return FunctionType(made.__code__, {**made.__globals__, **put})


class Formulas:
    """What sympy makes of a group: symbols of unknowns, inputs, dimensions, and their dots."""

    def __init__(self, group: Group) -> None:
        self.group = group
        counts = {"q": group.size, "k": 3 * len(group.ends), "d": len(group.dims)}
        self.base, self.once, self.twice = (
            [symbols(letter, count, order) for letter, count in counts.items()]
            for order in range(3)
        )

    def ask(self, what, *more):
        """Return the formulas of one of the group's functions."""
        return [
            sp.sympify(value) for value in in_sympy(self.group.compiled(what), *self.base, *more)
        ]

    def dot(self, exprs):
        """Differentiate by the parameter behind the dots, those of dimensions staying the same."""
        low = list(chain.from_iterable(self.base + self.once[:2]))
        high = list(chain.from_iterable(self.once + self.twice[:2]))
        return [sum(expr.diff(a) * b for a, b in zip(low, high, strict=True)) for expr in exprs]


def assert_same(ours, theirs):
    assert len(ours) == len(theirs)
    for one, other in zip(ours, theirs, strict=True):
        assert sp.expand(one - other) == 0


@pytest.mark.parametrize("group", GROUPS, ids=lambda group: ", ".join(group.parts))
def test_every_function_of_a_group_is_what_sympy_derives(group):
    said = Formulas(group)
    (q, _, _), (q1, k1, d1), (q2, k2, _) = said.base, said.once, said.twice
    residual = said.ask("residual")
    poses = said.ask("solved")[group.size :]
    jacobian = [row.diff(symbol) for row in residual for symbol in q]
    still, at_rest = dict.fromkeys(q1, 0), dict.fromkeys(q2, 0)

    assert_same(said.ask("solved")[: group.size], residual)
    assert_same(said.ask("jacobian"), jacobian)
    assert_same(said.ask("newton"), residual + jacobian)
    assert_same(said.ask("rhs1", k1, d1), [row.subs(still) for row in said.dot(residual)])
    assert_same(said.ask("poses1", k1, d1, q1), said.dot(poses))
    second = said.dot(said.dot(residual))
    assert_same(said.ask("rhs2", k1, d1, q1, k2), [row.subs(at_rest) for row in second])
    assert_same(said.ask("poses2", k1, d1, q1, k2, q2), said.dot(said.dot(poses)))


A, B, C = (algebra.Symbol(name) for name in "abc")


@pytest.mark.parametrize(
    ("expr", "text"),
    [
        (A + B - A, "b"),
        (A - A, 0),
        (A * B - B * A, 0),
        (A * 0, 0),
        (2 * (A + B), "(2*a + 2*b)"),
        (A * (B + C), "(b + c)*a"),
        (-A + B, "(b - a)"),
        (A * A * B, "a**2*b"),
        (algebra.multiply([(A, 1), (B, 1), (A, -1)]), "b"),
        (algebra.multiply([(algebra.sin(A * B), 1), (A, -1)]), "sin(a*b)/a"),
        (1 - algebra.cos(A), "(1 - cos(a))"),
        (algebra.cos(A - A), 1),
    ],
)
def test_like_terms_and_factors_are_put_together(expr, text):
    assert (expr if isinstance(expr, int) else expr.text) == text


def test_what_is_shared_is_computed_once_and_no_name_is_taken():
    x0 = algebra.Symbol("x0")  # a name that code which numbers its lines might take
    shared = algebra.sin(x0)

    made = algebra.compiled([[x0, A]], [shared * A, shared + x0])

    calls = []
    counted = made_of(made, {"sin": lambda angle: calls.append(angle) or sp.sin(angle)})
    x, a = sp.symbols("x a")
    assert counted([x, a]) == [sp.sin(x) * a, sp.sin(x) + x]
    assert calls == [x]
