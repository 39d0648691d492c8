"""Rules with their limit and source, and what the facts of one house say of each.

A finding is one of four: met, not met, cannot be judged, does not apply. Missing is never met, and a limit known
only from memory is shown beside the value but never decides. The rules are rows of data/requirements.toml.
"""

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, Literal

import numpy as np

from radonwork.engine.sources import Source
from radonwork.files import DATA
from radonwork.glossary import System, term
from radonwork.requirements.clauses import clause
from radonwork.units import decimal, shown

Verdict = Literal["met", "not met", "cannot be judged", "does not apply"]
Sense = Literal["at least", "at most", "above", "below"]
Facts = Mapping[str, bool | str]
Wanted = bool | str | tuple[bool | str, ...]


@dataclass(frozen=True)
class Comparison:
    """One quantity against a limit: a stated value, or another quantity of the same kind."""

    quantity: str
    sense: Sense
    value: str = ""
    other: str = ""

    def __post_init__(self) -> None:
        if bool(self.value) == bool(self.other):
            raise ValueError(f"{self.quantity}: a comparison is with a value or with another quantity")
        if self.other and term(self.other).dimension != term(self.quantity).dimension:
            raise ValueError(f"{self.quantity} cannot be compared with {self.other}")

    def limit(self, values: Mapping[str, float]) -> float | None:
        """The limit in SI; None where it is a quantity that is not known."""
        return term(self.quantity).read(self.value).value if self.value else values.get(self.other)

    def margin(self, value: float | np.ndarray, limit: float | np.ndarray) -> float | np.ndarray:
        """How far on the right side of the limit: positive or zero is within it."""
        return value - limit if self.sense in ("at least", "above") else limit - value

    def holds(self, margin: float) -> bool:
        """Rounding of the last bits is no breach; a strict limit must be passed by more than that."""
        hair = 1e-9
        return margin > hair if self.sense in ("above", "below") else margin >= -hair

    def text(self, system: System) -> str:
        """ "pipe slope at least 1/8 in/ft (0.125 in/ft)" """
        entry = term(self.quantity)
        if self.other:
            return f"{entry.label} {self.sense} the {term(self.other).label}"
        limit = entry.read(self.value)
        there = shown(limit.value, entry.unit(system))
        # What people's units say again need not be said twice: 2.6 in is also 2-5/8 in (2.6 in).
        return f"{entry.label} {self.sense} {self.value}" + (f" ({there})" if self.value not in there else "")


@dataclass(frozen=True)
class Stated:
    """Something the record says in words, against what is asked of it: the `fact` called "gauge mark" is "in order".

    Where `wanted` is several words, any one of them will do.
    """

    fact: str
    wanted: "Wanted"

    @property
    def quantity(self) -> str:
        """What is judged, as a comparison names it."""
        return self.fact

    def holds(self, said: bool | str | None) -> bool:
        """Whether this is said, or one of several that will do."""
        return said in _choices(self.wanted)

    def text(self, system: System) -> str:
        """ "gauge mark: in order" """
        return _stated(self.fact, self.wanted)


NONE_HERE = "none here"
"""What a record says of a thing that the house has not got: a rule about it does not apply."""


def _choices(wanted: Wanted) -> tuple[bool | str, ...]:
    return wanted if isinstance(wanted, tuple) else (wanted,)


def _stated(fact: str, wanted: Wanted) -> str:
    return f"{fact.replace('_', ' ')}: {' or '.join(map(_word, _choices(wanted)))}"


def _wanted(row: Any) -> Wanted:
    """As a data file has it: one word, or a list of those that will do."""
    return tuple(row) if isinstance(row, list) else row


def _word(said: bool | str) -> str:
    return said if isinstance(said, str) else "yes" if said else "no"


@dataclass(frozen=True)
class Requirement:
    """A rule in our own words, with where it stands.

    `check` is what it asks; any one of `instead` does as well. `when` and `where` say to which houses it applies. Where the
    record says what `unless` has, it does not; a record that is silent on it leaves the rule standing.
    """

    name: str
    topic: str
    text: str
    check: Comparison | Stated
    source: Source
    when: tuple[Comparison, ...] = ()
    where: Mapping[str, Wanted] = field(default_factory=dict)
    unless: Mapping[str, Wanted] = field(default_factory=dict)
    instead: tuple[Comparison, ...] = ()
    advice: str = ""
    note: str = ""

    @property
    def quantities(self) -> set[str]:
        """Every quantity that decides it, or that says whether it applies."""
        comparisons = [one for one in (self.check, *self.instead, *self.when) if isinstance(one, Comparison)]
        return {name for one in comparisons for name in (one.quantity, one.other) if name}

    def asks(self, system: System) -> str:
        """What the rule asks for: "opening distance at least 10 ft, or opening rise at least 2 ft"."""
        return ", or ".join(check.text(system) for check in (self.check, *self.instead))


@dataclass(frozen=True)
class Finding:
    """What the facts say of one requirement. Numbers are SI; `low` and `high` bound the margin over the tolerances."""

    requirement: Requirement
    verdict: Verdict
    reason: str
    value: float | None = None
    limit: float | None = None
    margin: float | None = None
    low: float | None = None
    high: float | None = None

    @property
    def holds_over_tolerance(self) -> bool | None:
        """Whether the verdict stays the same to the edges of the stated tolerances; None where none is stated."""
        check = self.requirement.check
        if self.low is None or self.high is None or self.margin is None or isinstance(check, Stated):
            return None
        return check.holds(self.low) == check.holds(self.high) == check.holds(self.margin)

    def margin_text(self, system: System) -> str:
        """The margin and what the tolerances do to it, in the person's units."""
        if self.margin is None:
            return ""
        unit = term(self.requirement.check.quantity).unit(system)
        text = f"margin {decimal(self.margin, unit, 3)}"
        if self.low is not None and self.high is not None:
            text += f", {decimal(self.low, unit, 3)} to {decimal(self.high, unit, 3)} over the stated tolerances"
        return text


def judge(
    requirement: Requirement,
    values: Mapping[str, float],
    facts: Facts | None = None,
    samples: Mapping[str, np.ndarray] | None = None,
    system: System = "us",
    because: Mapping[str, str] | None = None,
) -> Finding:
    """What `values` (SI by term), words of the record and tolerance samples say of one requirement.

    `because` tells, by term or fact, why it is not known or how else than by the record's word it is.
    """
    facts, samples, because = facts or {}, samples or {}, because or {}
    if requirement.instead:
        return _any_of(requirement, values, facts, samples, system, because)
    check = requirement.check
    for name, wanted in requirement.unless.items():
        if facts.get(name) in _choices(wanted):
            return Finding(requirement, "does not apply", f"it does not apply with {_stated(name, facts[name])}")
    unknown = [f"{name.replace('_', ' ')} is not stated" for name in requirement.where if name not in facts]
    for name, wanted in requirement.where.items():
        if name in facts and facts[name] not in _choices(wanted):
            reason = f"it applies with {_stated(name, wanted)}; here it is {_word(facts[name])}"
            return Finding(requirement, "does not apply", reason)
    for condition in requirement.when:
        bound = condition.limit(values)
        if condition.quantity not in values or bound is None:
            unknown.append(_unknown(condition.quantity, because))
        elif not condition.holds(float(condition.margin(values[condition.quantity], bound))):
            return Finding(requirement, "does not apply", f"it applies with {condition.text(system)}")
    if isinstance(check, Stated):
        return _judge_words(requirement, check, facts, unknown, because)
    unit = term(check.quantity).unit(system)
    if check.quantity not in values:
        unknown.append(_unknown(check.quantity, because))
    limit = check.limit(values)
    if limit is None:
        unknown.append(_unknown(check.other, because))
    if unknown or limit is None:
        return Finding(requirement, "cannot be judged", "; ".join(dict.fromkeys(unknown)))
    value = values[check.quantity]
    margin = 0.0 if math.isclose(value, limit, rel_tol=1e-12) else float(check.margin(value, limit))
    low, high = _over_tolerance(check, samples, value, limit)
    holds = check.holds(margin)
    said = f"{term(check.quantity).label} is {shown(value, unit)}; asked: {check.sense} {shown(limit, unit)}"
    if requirement.source.kind == "from memory, unverified":
        against = "inside" if holds else "outside"
        reason = f"{said}; {against} a limit known only from memory, which does not decide"
        return Finding(requirement, "cannot be judged", reason, value, limit, margin, low, high)
    finding = Finding(requirement, "met" if holds else "not met", said, value, limit, margin, low, high)
    if finding.holds_over_tolerance is False:
        edge = (
            "at the edge of the stated tolerance it is not"
            if holds
            else "at the edge of the stated tolerance it is met"
        )
        reason = f"{said}; {finding.verdict} at the stated value, {edge}"
        return Finding(requirement, finding.verdict, reason, value, limit, margin, low, high)
    return finding


def _unknown(name: str, because: Mapping[str, str]) -> str:
    return f"{term(name).label} is not known" + (f": {because[name]}" if name in because else "")


def _any_of(
    requirement: Requirement,
    values: Mapping[str, float],
    facts: Facts,
    samples: Mapping[str, np.ndarray],
    system: System,
    because: Mapping[str, str],
) -> Finding:
    """A rule that several things meet, each by itself: met by the first that does, and not met only where none does."""
    each = [
        judge(replace(requirement, check=check, instead=()), values, facts, samples, system, because)
        for check in (requirement.check, *requirement.instead)
    ]
    main = each[0]
    if main.verdict == "does not apply":
        return main
    for verdict in ("met", "cannot be judged"):
        if found := next((one for one in each if one.verdict == verdict), None):
            return found
    return replace(
        main, requirement=requirement, reason=f"{main.reason}; nor {'; nor '.join(o.reason for o in each[1:])}"
    )


def _judge_words(
    requirement: Requirement, check: Stated, facts: Facts, unknown: list[str], because: Mapping[str, str]
) -> Finding:
    said, name = facts.get(check.fact), check.fact.replace("_", " ")
    if said == NONE_HERE:
        return Finding(requirement, "does not apply", f"{name}: the record says that there is none here")
    if said is None:
        unknown.append(because.get(check.fact, f"{name}: the record does not say what was found"))
    if unknown or said is None:
        return Finding(requirement, "cannot be judged", "; ".join(dict.fromkeys(unknown)))
    reason = because.get(check.fact, f"{name} is said to be: {_word(said)}")
    if requirement.source.kind == "from memory, unverified":
        return Finding(
            requirement, "cannot be judged", f"{reason}; the rule is known only from memory, which does not decide"
        )
    return Finding(requirement, "met" if check.holds(said) else "not met", reason)


def _over_tolerance(
    check: Comparison, samples: Mapping[str, np.ndarray], value: float, limit: float
) -> tuple[float | None, float | None]:
    if check.quantity not in samples and check.other not in samples:
        return None, None
    margins = np.asarray(check.margin(samples.get(check.quantity, value), samples.get(check.other, limit)))
    return float(margins.min()), float(margins.max())


@cache
def requirements() -> tuple[Requirement, ...]:
    """Every rule of data/requirements.toml, in file order."""
    rows = tomllib.loads((DATA / "requirements.toml").read_text(encoding="utf-8"))["requirement"]
    return tuple(
        Requirement(
            name=row["name"],
            topic=row["topic"],
            text=row["text"],
            check=_check(row["check"]),
            source=Source(row.get("source", ""), row.get("place", ""), row["kind"]),
            when=tuple(_comparison(condition) for condition in row.get("when", [])),
            where={fact: _wanted(wanted) for fact, wanted in row.get("where", {}).items()},
            unless={fact: _wanted(wanted) for fact, wanted in row.get("unless", {}).items()},
            instead=tuple(_comparison(other) for other in row.get("instead", [])),
            advice=row.get("advice", ""),
            note=row.get("note", ""),
        )
        for row in rows
    )


def _check(row: Mapping[str, Any]) -> Comparison | Stated:
    return Stated(row["fact"], _wanted(row["is"])) if "fact" in row else _comparison(row)


def _comparison(row: Mapping[str, str]) -> Comparison:
    """As a data file has it; the limit may be the figure of a `clause`, in the wording of a `protocol`."""
    value = row.get("value", "")
    if "clause" in row:
        value = clause(row["clause"], row.get("protocol", "")).figure
    return Comparison(row["quantity"], row["sense"], value, row.get("other", ""))  # type: ignore[arg-type]  # from data


def requirements_of(topic: str) -> list[Requirement]:
    """The rules of one topic."""
    return [requirement for requirement in requirements() if requirement.topic == topic]
