"""Doing the work oneself against a quote: what it costs, what it saves, where the two are even."""

import sympy

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import Formula, formula, symbol
from radonwork.engine.sources import Source

_SUM = Source(kind="derived", place="the sum of its parts")
_EVEN = Source(kind="derived", place="own cost set equal to the quote")


@formula("own_cost", _SUM)
def own_cost(parts_cost, tools_cost, work_hours, hour_value):
    """Cost of doing the work oneself.

    Assumes that what the quote includes besides (permit, electrician, warranty, a retest) is among the parts or tools.
    """
    return parts_cost + tools_cost + work_hours * hour_value


@formula("quote_saving", Source(kind="derived", place="the difference of two prices"))
def quote_saving(quoted_price, own_cost):
    """What doing the work oneself saves against the quote; below zero the quote is the cheaper."""
    return quoted_price - own_cost


@formula("break_even_value", _EVEN, work_hours=("1 min", "10000 h"))
def break_even_value(quoted_price, parts_cost, tools_cost, work_hours):
    """Value of one's own hour at which doing it oneself costs what the quote asks.

    Assumes the hours as stated. Below zero parts and tools alone cost more than the quote.
    """
    return (quoted_price - parts_cost - tools_cost) / work_hours


@formula(
    "break_even_hours",
    _EVEN,
    when={
        "parts and tools cost no more than the quote": lambda quoted_price, parts_cost, tools_cost: (
            parts_cost + tools_cost <= quoted_price
        )
    },
    hour_value=("0.01 USD/h", "10000 USD/h"),
)
def break_even_hours(quoted_price, parts_cost, tools_cost, hour_value):
    """Hours of one's own work at which doing it oneself costs what the quote asks."""
    return (quoted_price - parts_cost - tools_cost) / hour_value


# ---------------------------------------------------------------- derivations

_own, _parts, _tools, _quote = (symbol(n) for n in ("own_cost", "parts_cost", "tools_cost", "quoted_price"))
_hours, _value, _saving = (symbol(n) for n in ("work_hours", "hour_value", "quote_saving"))
_work = sympy.Symbol("k_h", positive=True)


def _own_cost(derivation: Derivation) -> Derivation:
    return derivation.premise(
        "work", Eq(_work, _hours * _value), "Own work is so many hours at what one is worth."
    ).premise("sum", Eq(_own, _parts + _tools + _work), "What is spent: parts, tools, and one's own work.")


_own_cost(Derivation(of=own_cost, title="What doing it oneself costs")).step(
    "cost", lambda sum, work: sum.subs(_work, work.rhs), "Put the work in."
)
Derivation(of=quote_saving, title="What it saves").premise(
    "even", Eq(_own + _saving, _quote), "Own cost and saving together are the quote."
).step("saving", lambda even: Eq(_saving, sympy.solve(even, _saving)[0]), "Solve for the saving.")
_own_cost(Derivation(of=break_even_value, title="What an hour must be worth")).premise(
    "even", Eq(_own, _quote), "Let both cost the same."
).step("together", lambda sum, work, even: Eq(sum.rhs.subs(_work, work.rhs), even.rhs), "Put the parts in.").step(
    "value",
    lambda together: Eq(symbol("break_even_value"), sympy.solve(together, _value)[0]),
    "Solve for the value of an hour.",
)
_own_cost(Derivation(of=break_even_hours, title="How many hours it may take")).premise(
    "even", Eq(_own, _quote), "Let both cost the same."
).step("together", lambda sum, work, even: Eq(sum.rhs.subs(_work, work.rhs), even.rhs), "Put the parts in.").step(
    "hours",
    lambda together: Eq(symbol("break_even_hours"), sympy.solve(together, _hours)[0]),
    "Solve for the hours.",
)

__all__ = [name for name, value in list(globals().items()) if isinstance(value, Formula)]
