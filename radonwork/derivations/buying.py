"""Own work against a quote derived: sums of prices, and where the two are even."""

import sympy

from radonwork.engine.derivation import Derivation, Eq
from radonwork.engine.formula import symbol
from radonwork.formulas.buying import break_even_hours, break_even_value, own_cost, quote_saving

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
