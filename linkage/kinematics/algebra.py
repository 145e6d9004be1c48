"""Expressions in symbols, their derivatives, and Python of them: what a linkage's closure needs.

A sum is whole multiples of terms, a product whole powers of factors; beside them there are symbols,
sines and cosines. Like ones are put together and what comes to nothing is left out, but nothing is
multiplied out: as intervals ``a*(b + c)`` is narrower. Terms stand in the order of their text, so
an expression is always computed in the same order, to the last bit.

That is all there is to pins, slides and slots. A system of computer algebra does it too, but takes
longer to load than a gear takes to examine; the tests have one for the second way.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import attrgetter
from types import FunctionType


@dataclass(frozen=True, eq=False)
class Term:
    """An expression that is not simply a whole number; equal where its text is.

    Attributes
    ----------
    text : str
        The whole of it in Python.
    """

    text: str

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Term) and self.text == other.text

    def __hash__(self) -> int:
        return hash(self.text)

    def __add__(self, other: Expr) -> Expr:
        return add([(self, 1), (other, 1)])

    def __sub__(self, other: Expr) -> Expr:
        return add([(self, 1), (other, -1)])

    def __rsub__(self, other: int) -> Expr:
        return add([(other, 1), (self, -1)])

    def __neg__(self) -> Expr:
        return add([(self, -1)])

    def __mul__(self, other: Expr) -> Expr:
        return multiply([(self, 1), (other, 1)])

    __radd__ = __add__
    __rmul__ = __mul__

    @property
    def _parts(self) -> tuple[Term, ...]:
        """What it is directly made of."""
        raise NotImplementedError

    def _said(self, say: Say) -> str:
        """Write it in Python, its parts as `say` writes them."""
        raise NotImplementedError

    def _derived(self, by: Symbol, known: Known) -> Expr:
        """Differentiate by a symbol (see `derive`)."""
        raise NotImplementedError

    @cached_property
    def symbols(self) -> frozenset[str]:
        """The names of all symbols in it."""
        return frozenset[str]().union(*(part.symbols for part in self._parts))


Expr = int | Term
Say = Callable[[Term], str]
Known = dict[str, Expr]
Counted = tuple[tuple[Term, int], ...]
"""Terms of a sum with how many times they are taken, or factors with their powers."""


@dataclass(frozen=True, eq=False)
class Symbol(Term):
    """A number put in later; its text is its name, which begins with a letter."""

    @property
    def _parts(self) -> tuple[Term, ...]:
        return ()

    def _said(self, say: Say) -> str:
        return self.text

    def _derived(self, by: Symbol, known: Known) -> Expr:
        return int(self == by)

    @cached_property
    def symbols(self) -> frozenset[str]:
        """Its own name."""
        return frozenset((self.text,))


@dataclass(frozen=True, eq=False)
class Sum(Term):
    """A whole number and whole multiples of terms, which are no sums."""

    constant: int
    terms: Counted

    @property
    def _parts(self) -> tuple[Term, ...]:
        return tuple(term for term, _ in self.terms)

    def _said(self, say: Say) -> str:
        return _say_sum(self.constant, self.terms, say)

    def _derived(self, by: Symbol, known: Known) -> Expr:
        return add((derive(term, by, known), times) for term, times in self.terms)


@dataclass(frozen=True, eq=False)
class Product(Term):
    """Whole powers, above or below 0, of factors, which are no products."""

    factors: Counted

    @property
    def _parts(self) -> tuple[Term, ...]:
        return tuple(factor for factor, _ in self.factors)

    def _said(self, say: Say) -> str:
        return _say_product(self.factors, say)

    def _derived(self, by: Symbol, known: Known) -> Expr:
        found = ((factor, power, derive(factor, by, known)) for factor, power in self.factors)
        return add(
            (multiply([(self, 1), (factor, -1), (change, 1)]), power)
            for factor, power, change in found
            if change != 0
        )


@dataclass(frozen=True, eq=False)
class Wave(Term):
    """A sine or a cosine of an angle [rad]."""

    name: str
    angle: Term

    @property
    def _parts(self) -> tuple[Term, ...]:
        return (self.angle,)

    def _said(self, say: Say) -> str:
        return f"{self.name}({say(self.angle)})"

    def _derived(self, by: Symbol, known: Known) -> Expr:
        turned = cos(self.angle) if self.name == "sin" else -sin(self.angle)
        return multiply([(turned, 1), (derive(self.angle, by, known), 1)])


def sin(angle: Expr) -> Expr:
    """Return the sine of an angle [rad]; the only angle without a symbol is 0."""
    return 0 if isinstance(angle, int) else _wave("sin", angle)


def cos(angle: Expr) -> Expr:
    """Return the cosine of an angle [rad]; the only angle without a symbol is 0."""
    return 1 if isinstance(angle, int) else _wave("cos", angle)


def _wave(name: str, angle: Term) -> Term:
    return Wave(f"{name}({angle.text})", name, angle)


def add(parts: Iterable[tuple[Expr, int]]) -> Expr:
    """Return the sum of expressions, each as many times as the number beside it."""
    constant, counts = 0, _Counts()
    for part, times in parts:
        if isinstance(part, int):
            constant += part * times
        elif isinstance(part, Sum):
            constant += part.constant * times
            for term, count in part.terms:
                counts.more(term, count * times)
        else:
            counts.more(part, times)
    terms = counts.in_order()
    if not terms:
        return constant
    if not constant and len(terms) == 1 and terms[0][1] == 1:
        return terms[0][0]
    return Sum(_say_sum(constant, terms, _OWN_TEXT), constant, terms)


def multiply(parts: Iterable[tuple[Expr, int]]) -> Expr:
    """Return the product of expressions, each to the power beside it; of numbers to the first."""
    number, powers = 1, _Counts()
    waiting = list(parts)
    while waiting:
        part, power = waiting.pop()
        if isinstance(part, int):
            number *= part
        elif isinstance(part, Sum) and len(part.terms) == 1 and not part.constant and power == 1:
            waiting += [(part.terms[0][0], 1), (part.terms[0][1], 1)]
        elif isinstance(part, Product):
            waiting += [(factor, inner * power) for factor, inner in part.factors]
        else:
            powers.more(part, power)
    factors = powers.in_order()
    if not number or not factors:
        return number
    if len(factors) == 1 and factors[0][1] == 1:
        return add([(factors[0][0], number)])
    return add([(Product(_say_product(factors, _OWN_TEXT), factors), number)])


class _Counts:
    """Terms and how many of each, by their texts: a text's hash is kept, and a term's is not."""

    def __init__(self) -> None:
        self._held: dict[str, tuple[Term, int]] = {}

    def more(self, term: Term, count: int) -> None:
        """Add so many of a term."""
        held = self._held.get(term.text)
        self._held[term.text] = (term, count) if held is None else (held[0], held[1] + count)

    def in_order(self) -> Counted:
        """Return the terms of which any are left, in the order of their texts."""
        return tuple(self._held[text] for text in sorted(self._held) if self._held[text][1])


def derive(expr: Expr, by: Symbol, known: Known) -> Expr:
    """Differentiate by one symbol.

    Parameters
    ----------
    known : dict
        Derivatives by this symbol, by the text of what they are of, kept from call to call:
        expressions share parts.
    """
    if isinstance(expr, int) or by.text not in expr.symbols:
        return 0
    found = known.get(expr.text)
    if found is None:
        found = known[expr.text] = expr._derived(by, known)
    return found


def derive_along(exprs: Sequence[Expr], pairs: Iterable[tuple[Symbol, Symbol]]) -> list[Expr]:
    """Differentiate by a parameter: pairs of a symbol and the symbol of its own derivative."""
    known = [(symbol, dot, Known()) for symbol, dot in pairs]
    return [
        add(
            (multiply([(dot, 1), (change, 1)]), 1)
            for symbol, dot, kept in known
            if (change := derive(expr, symbol, kept)) != 0
        )
        for expr in exprs
    ]


# -- Python ---------------------------------------------------------------------------------------


def compiled(args: Sequence[Sequence[Symbol]], exprs: Sequence[Expr]) -> FunctionType:
    """Make one function of expressions, what they share computed once.

    Takes a list of numbers for each list of symbols, and returns a list; its sin and cos are those
    of `math` until others are put among its globals.
    """
    names = [f"_args{number}" for number in range(len(args))]
    lines = [
        f"[{', '.join(symbol.text for symbol in symbols)}] = {name}"
        for name, symbols in zip(names, args, strict=True)
    ]
    body = "".join(f"    {line}\n" for line in [*lines, *_statements(exprs)])
    made: dict[str, FunctionType] = {}
    # the text is made of our own symbols alone: no name from a sheet is in it
    exec(f"def function({', '.join(names)}):\n{body}", {"sin": math.sin, "cos": math.cos}, made)
    return made["function"]


def _statements(exprs: Sequence[Expr]) -> list[str]:
    """Return the lines that compute expressions; a part that is used twice has its own line."""
    uses = Counter[str]()
    for expr in exprs:
        _count(expr, uses)
    named: dict[str, str] = {}
    lines: list[str] = []

    def say(term: Term) -> str:
        name = named.get(term.text)
        if name is None:
            text = term._said(say)
            if uses[term.text] == 1 or isinstance(term, Symbol):
                return text
            name = named[term.text] = f"_{len(lines)}"
            lines.append(f"{name} = {text}")
        return name

    results = [str(expr) if isinstance(expr, int) else say(expr) for expr in exprs]
    return [*lines, f"return [{', '.join(results)}]"]


def _count(expr: Expr, uses: Counter[str]) -> None:
    if isinstance(expr, int):
        return
    uses[expr.text] += 1
    if uses[expr.text] == 1:
        for part in expr._parts:
            _count(part, uses)


_OWN_TEXT: Say = attrgetter("text")


def _say_sum(constant: int, terms: Counted, say: Say) -> str:
    """Write a sum, beginning with what is added: a minus in front is one step more."""
    multiples = [(times, say(term)) for term, times in terms]
    if constant:
        multiples.append((constant, ""))
    multiples.sort(key=lambda item: item[0] < 0)
    text = "".join(_say_multiple(times, of) for times, of in multiples)
    return f"({'-' if multiples[0][0] < 0 else ''}{text[3:]})"


def _say_multiple(times: int, of: str) -> str:
    many = str(abs(times)) if abs(times) != 1 or not of else ""
    return f" {'-' if times < 0 else '+'} {'*'.join(filter(None, (many, of)))}"


def _say_product(factors: Counted, say: Say) -> str:
    above = [_to_power(say(factor), power) for factor, power in factors if power > 0]
    below = [_to_power(say(factor), -power) for factor, power in factors if power < 0]
    return "/".join(["*".join(above) or "1", *below])


def _to_power(text: str, power: int) -> str:
    return text if power == 1 else f"{text}**{power}"
