"""Panels: controls with a to-scale drawing, the result in words and the worked equations, all following the controls.

A panel whose statements are all formulas runs in the page: its JavaScript is printed from the same expressions. One
that needs a solver is answered by the kernel. Either way the kernel holds the values, judges the rules, carries the
tolerances and reads what a person types.
"""

import asyncio
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import Any, Protocol

import anywidget
import traitlets

from radonwork.drawings.shapes import Drawing
from radonwork.engine.formula import Formula, RangeError, TermError
from radonwork.engine.printing import MATHML
from radonwork.engine.program import Program, Template, sentence, worked
from radonwork.engine.sheet import Run, Sheet
from radonwork.engine.work import Work, difference
from radonwork.glossary import System, term
from radonwork.house import plausible
from radonwork.house.record import RecordError
from radonwork.report.pieces import findings_html
from radonwork.requirements.rules import Finding
from radonwork.units import DIMENSIONS, Quantity, QuantityError, decimal, shown, to_unit, unit_label

_HERE = Path(__file__).parent
_SCRIPT = (_HERE / "panel.js").read_text(encoding="utf-8")
_STYLE = (_HERE / "panel.css").read_text(encoding="utf-8")

_REST = 0.4  # seconds without a move before more is worked out: a key that is held down must not wait for it
_BREATH = 0.01  # seconds in which the kernel hears of a move that came meanwhile

Judge = Callable[[Mapping[str, Quantity]], Iterable[Finding]]


class Figure(Protocol):
    """A picture that the kernel draws anew at each move, where shapes of expressions cannot say it: a curve, a map."""

    @property
    def takes(self) -> tuple[str, ...]: ...
    def svg(self, values: Mapping[str, float], system: System = "us") -> str: ...
    def described(self, values: Mapping[str, float], system: System = "us") -> str: ...


@dataclass(frozen=True)
class Pane:
    """What a panel holds. `result` is a sentence with {term} in it; `worked` names the statements whose working shows.

    `drawing` is a Drawing, or a Figure if the kernel answers the panel. `defaults` are values as people write them for
    terms the record does not state; they are said to be such. `judged` is false for an example that is not the house.
    """

    title: str
    topic: str
    sheet: Sheet
    controls: tuple[str, ...]
    drawing: Drawing | Figure
    result: str
    worked: tuple[str, ...]
    defaults: Mapping[str, str] = field(default_factory=dict)
    judged: bool = True
    passes: tuple[str, ...] = ()  # results that stand for facts of the record when the rules are judged


class Panel(anywidget.AnyWidget):
    """One pane for one house. Set `values` (SI by term) to move its controls from Python."""

    _esm = _SCRIPT
    _css = _STYLE
    spec = traitlets.Dict().tag(sync=True)
    values = traitlets.Dict().tag(sync=True, echo_update=False)  # the page knows what it has set
    tails = traitlets.Dict().tag(sync=True)
    face = traitlets.Dict().tag(sync=True)
    findings = traitlets.Unicode().tag(sync=True)
    spread = traitlets.Unicode().tag(sync=True)
    judged_times = traitlets.Int().tag(sync=True)  # tells the page that findings and spread are those of now

    def __init__(
        self,
        pane: Pane,
        stated: Mapping[str, Quantity],
        system: System = "us",
        judged: Judge | None = None,
        record: Any = None,
    ) -> None:
        """`stated` are the record's quantities; `record` is what a change can be written to, or None.

        `judged` says what the rules find of the controls' values, put in place of the record's.
        """
        self.pane, self.system, self.judged, self.record = pane, system, judged, record
        constants = {name: q for statement in pane.sheet.statements for name, q in statement.defaults.items()}
        defaults = constants | {name: term(name).read(text) for name, text in pane.defaults.items()}
        self._stated = {name: stated.get(name, defaults.get(name)) for name in _needed(pane)}
        lacking = [name for name, quantity in self._stated.items() if quantity is None]
        if lacking:
            raise TermError(f"the panel {pane.title!r} has no value for {', '.join(lacking)}")
        self._tolerances = {name: q.tolerance for name, q in self._stated.items() if q and q.tolerance}
        self._typed: dict[str, Quantity] = {}
        self._change: Any = None
        self._next_step: asyncio.TimerHandle | None = None
        live = all(isinstance(s, Formula) and s.runs_in_page for s in pane.sheet.statements)
        self._said = sentence(pane.result, system)
        # What the kernel fills in at each move: the page draws for itself where it can.
        self._filled = [self._said]
        self._numbers = Program((), _expressions(self._filled))
        if not live and isinstance(pane.drawing, Drawing):
            self._filled = [pane.drawing.template(system), pane.drawing.description(system), self._said]
            self._numbers = pane.drawing.program(*self._filled)
        templates = _templates(pane, system) if live else []
        program = _program(pane, templates) if live else None
        if program:
            script = f"const program = {program.javascript};\nconst faultsOf = {program.faults};\n"
        else:
            script = "const program = null, faultsOf = null;\n"
        taken = [term(name).label for name in pane.controls if name not in stated]
        spec = {
            "title": pane.title,
            "taken": f"No field of the record, or one left empty, so only taken to begin with: {', '.join(taken)}."
            if taken
            else "",
            "record": record is not None,
            "controls": [self._control(name) for name in pane.controls],
            "units": _units(pane, templates, system),
            "faults": program.fault_texts(system) if program else [],
            "titles": [escape(statement.title) for statement in _worked(pane)],
            **_parts(templates),
        }
        values = {name: quantity.value for name, quantity in self._stated.items() if quantity}
        super().__init__(_esm=script + _SCRIPT, spec=spec, values=values, tails=self._tails())
        self._live = live
        self.observe(lambda _change: self._answer(), names="values")
        self.on_msg(lambda _widget, content, _buffers: self._heard(content))
        self._answer()

    def _control(self, name: str) -> dict[str, Any]:
        """A slider in the person's unit, its bounds on round steps and wide enough for the stated value.

        A number from -1 to 1 stands for something else, a kind or a direction: what it means is then seen at once.
        """
        entry, unit = term(name), term(name).unit(self.system)
        low, high = (float(to_unit(bound, unit)) for bound in entry.si_range)
        quantity = self._stated[name]
        assert quantity is not None
        here = float(to_unit(quantity.value, unit))
        step = 1.0 if entry.dimension == "count" else _round_step(high - low, unit)
        low = math.floor(min(low, here) / step + 1e-9) * step
        high = math.ceil(max(high, here) / step - 1e-9) * step
        return {
            "term": name, "label": entry.label, "meaning": entry.meaning, "unit": unit,
            "low": low, "high": high, "step": step, "stands_for": entry.si_range == (-1.0, 1.0),
        }  # fmt: skip

    def _given(self) -> dict[str, Quantity]:
        """The values of now, each with the tolerance that was stated or typed with it."""
        return {name: Quantity(float(v), "", self._tolerances.get(name, 0.0), "") for name, v in self.values.items()}

    def run(self, exact: bool = False) -> Run:
        """The sheet at the values of now, without their tolerances if `exact`."""
        return self.pane.sheet.run(self.values if exact else self._given(), self.system)

    def _answer(self) -> None:
        """Work everything out again; whatever goes wrong is said in the panel, never lost in the log.

        What follows the control goes to the page at once. Tolerances and rules wait until the hand rests, and come one
        after the other, so that the next move need not wait for both.
        """
        self._guarded(lambda: self._show(self._face()))
        self._after(_REST, self._carry_tolerances)

    def _after(self, seconds: float, step: Callable[[], None]) -> None:
        """Do `step` when so many seconds have passed without a newer answer."""
        if self._next_step:
            self._next_step.cancel()
        try:
            self._next_step = asyncio.get_running_loop().call_later(seconds, self._guarded, step)
        except RuntimeError:  # plain Python, without a page to wait for
            self._guarded(step)

    def _carry_tolerances(self) -> None:
        self.spread = self._spread()
        self._after(_BREATH, self._judge)

    def _judge(self) -> None:
        findings = self._judgement()
        with self.hold_sync():
            self.findings, self.judged_times = findings, self.judged_times + 1

    def _guarded(self, work: Callable[[], None]) -> None:
        try:
            work()
        except Exception as error:  # a fault in a callback would otherwise be invisible in the page
            self._show({"fault": f"This panel could not be worked out: {error}", "text": "No result."})

    def _show(self, face: dict[str, Any]) -> None:
        # The count makes every answer a new one, so that the page knows it has been answered.
        self.face = face | {"count": self.face.get("count", 0) + 1}

    def _judgement(self) -> str:
        """What the rules find of the values of now, as HTML; nothing where none is to be judged or applies."""
        if self.judged is None:
            return ""
        given = self._given()
        changed = {name: given[name] for name in self.pane.controls}
        if self.pane.passes:
            run = self.run()
            for name in self.pane.passes:
                if name in run.values:
                    value, span = run.values[name], run.spread(name)
                    half = max(span[1] - value, value - span[0]) if span else 0.0
                    changed[name] = Quantity(value, "", half, "")
        found = [f for f in self.judged(changed) if f.verdict != "does not apply"]
        return findings_html(found, self.system) if found else ""

    def _face(self) -> dict[str, Any]:
        run = self.run(exact=True)
        refused = "; ".join(dict.fromkeys(run.refused.values()))  # one reason may hold for several statements
        values = {**self.values, **run.values}
        face = {"fault": refused, "text": "No result for these values."}
        if refused:
            return face if self._live else face | {"result": face["text"], "equations": ""}
        numbers = iter(self._numbers(values))
        *drawn, face["text"] = [t.fill([next(numbers) for _ in t.slots]) for t in self._filled]
        if not self._live:
            works = [work for work in run.works if work.statement.name in self.pane.worked]
            drawn = drawn or [
                draw(values, self.system) for draw in (self.pane.drawing.svg, self.pane.drawing.described)
            ]
            face |= dict(zip(("svg", "description"), drawn, strict=True))
            face |= {"result": face["text"], "equations": "".join(_working(work) for work in works)}
        return face

    def _spread(self) -> str:
        """What the tolerances do to the result, in words; empty where there are none."""
        if not self._tolerances:
            return ""
        run, said = self.run(), []
        slots = [slot for slot in self._said.slots if slot.form.kind != "words"]
        for name in dict.fromkeys(slot.expression.name for slot in slots):
            span = run.spread(name)
            if span and name not in self.values:
                low, high = (decimal(value, term(name).unit(self.system)) for value in span)
                said.append(f"{term(name).label} {low} to {high}" if low != high else f"{term(name).label} stays")
        return f"Over the stated tolerances: {'; '.join(said)}." if said else ""

    def _tails(self) -> dict[str, str]:
        """What stands behind each value in its field: the tolerance, if one was stated."""
        unit_of = {name: term(name).unit(self.system) for name in self._tolerances}
        return {name: f" ± {difference(name, t, unit_of[name])}" for name, t in self._tolerances.items() if t}

    def _heard(self, message: dict[str, Any]) -> None:
        """A message from the page: something typed, a slider taken off its tolerance, or a button."""
        try:
            if "typed" in message:
                self._type(str(message["typed"]), str(message.get("text", "")))
            elif "exact" in message:
                self._tolerances.pop(str(message["exact"]), None)
                self.tails = self._tails()
                self._answer()
            elif "reset" in message:
                self.reset()
            elif "compare" in message:
                self._compare()
            elif "write" in message:
                self._write()
        except RangeError as reason:
            self._say(fault=reason.reason(self.system))
        except (QuantityError, TermError, RecordError) as reason:
            self._say(fault=str(reason))
        except Exception as error:
            self._say(fault=f"This could not be done: {error}")

    def _say(self, *terms: str, **parts: Any) -> None:
        """Tell the page, with the values of `terms` and no others: it may have moved another control meanwhile."""
        tails = self._tails()
        values = {name: self.values[name] for name in terms}
        self.send({"values": values, "tails": {name: tails.get(name, "") for name in terms}, **parts})

    def type(self, name: str, text: str) -> None:
        """Set a term as a person writes it, tolerance and all; raises QuantityError with the term's name in front."""
        if name not in self.pane.controls:
            raise TermError(f"{name[:60]!r} is not a control of this panel")
        try:
            quantity = term(name).read(text, unit=term(name).unit(self.system))
            if said := plausible.fault(quantity, name):
                raise QuantityError(f"{quantity.text[:48]!r} {said}")
        except QuantityError as reason:
            raise QuantityError(f"{term(name).label}: {reason}") from None
        self._tolerances.pop(name, None)
        if quantity.tolerance:
            self._tolerances[name] = quantity.tolerance
        self._typed[name] = quantity
        self._set({**self.values, name: quantity.value})

    def reset(self) -> None:
        """Every control back to what the record states."""
        self._tolerances = {name: q.tolerance for name, q in self._stated.items() if q and q.tolerance}
        self._set({name: quantity.value for name, quantity in self._stated.items() if quantity})
        self._say(*self.values, fault="", difference="", may_write=False)

    def _set(self, values: dict[str, float]) -> None:
        self.tails = self._tails()
        if values == self.values:
            self._answer()
        self.values = values

    def _type(self, name: str, text: str) -> None:
        self.type(name, text)
        self._say(name, fault=self.face.get("fault", ""))

    def _compare(self) -> None:
        changed = self._changed()
        written = {name: text for name, text in changed.items() if self.record.holds(name)}
        left = [term(name).label for name in changed if name not in written]
        self._change = self.record.change(written)
        difference = self._change.difference or "Nothing that the record states would change."
        if left:
            difference += f"\nNot written, because the record states it another way: {', '.join(left)}."
        self._say(difference=difference, may_write=bool(self._change.difference))

    def _write(self) -> None:
        if self._change is None:
            self._say(fault="Look at what would change first.")
            return
        self.record, self._change = self._change.save(), None
        self._say(difference="Written to the record. The record as it was is kept beside it.", may_write=False)

    def _changed(self) -> dict[str, str]:
        """Controls that differ from what was stated, as text by term: as it was typed, or else in the person's unit."""
        changed = {}
        for name in self.pane.controls:
            stated, tolerance = self._stated[name], self._tolerances.get(name, 0.0)
            value = float(self.values[name])
            if stated is None or stated.value != value or stated.tolerance != tolerance:
                typed, unit = self._typed.get(name), term(name).unit(self.system)
                if (
                    typed
                    and (typed.value, typed.tolerance) == (value, tolerance)
                    and _reads_as(name, typed.text, value)
                ):
                    changed[name] = typed.text
                    continue
                changed[name] = as_written(name, value, unit) + (
                    f" ± {difference(name, tolerance, unit)}" if tolerance else ""
                )
        return changed

    def __repr__(self) -> str:
        return f"{self.pane.title}\n{self.face.get('text', '')}" + "".join(
            f"\n{line}" for line in (self._spread(), self.face.get("fault")) if line
        )


def as_written(name: str, value: float, unit: str) -> str:
    """A value as it goes into a record: a fraction of an inch where it is one, enough decimals where it is not."""
    text = shown(value, unit)
    return text if _reads_as(name, text, value) else decimal(value, unit, 8)


def _reads_as(name: str, text: str, value: float) -> bool:
    """Whether a record that has this text has that value."""
    try:
        return math.isclose(term(name).read(text).value, value, rel_tol=1e-9)
    except QuantityError:
        return False


def _needed(pane: Pane) -> list[str]:
    """Terms the panel must hold a value of: its controls and whatever else its statements and drawing take."""
    given = {name for statement in pane.sheet.statements for name in statement.gives}
    picture = pane.drawing
    drawn = picture.program(picture.template("us")).takes if isinstance(picture, Drawing) else picture.takes
    return [n for n in dict.fromkeys((*pane.controls, *pane.sheet.takes, *drawn)) if n not in given]


def _worked(pane: Pane) -> list[Formula]:
    return [s for s in pane.sheet.statements if s.name in pane.worked and isinstance(s, Formula)]


def _templates(pane: Pane, system: System) -> list[Template]:
    assert isinstance(pane.drawing, Drawing)
    return [
        pane.drawing.template(system),
        pane.drawing.description(system),
        sentence(pane.result, system),
        *(worked(statement, system) for statement in _worked(pane)),
    ]


def _program(pane: Pane, templates: list[Template]) -> Program:
    assert isinstance(pane.drawing, Drawing)
    formulas = tuple(statement for statement in pane.sheet.statements if isinstance(statement, Formula))
    given = {formula.result for formula in formulas}
    formulas += tuple(formula for formula in pane.drawing.formulas if formula.result not in given)
    return Program(formulas, _expressions(templates), pane.drawing.lets)


def _expressions(templates: list[Template]) -> tuple[Any, ...]:
    return tuple(slot.expression for template in templates for slot in template.slots)


def _parts(templates: list[Template]) -> dict[str, Any]:
    """Templates as the page wants them: text pieces, and how each number between them is written."""
    written = [
        {
            "pieces": t.pieces,
            "slots": [vars(s.form) for s in t.slots],
        }
        for t in templates
    ]
    if not written:
        return {}
    return dict(zip(("drawing", "description", "result"), written, strict=False)) | {"equations": written[3:]}


def _units(pane: Pane, templates: list[Template], system: System) -> dict[str, dict[str, Any]]:
    names = {term(name).unit(system): term(name).dimension for name in pane.controls}
    wanted = {slot.form.unit for template in templates for slot in template.slots if slot.form.kind != "px"}
    table = {}
    for dimension in DIMENSIONS.values():
        for name, unit in dimension.units.items():
            if name in names or name in wanted:
                table[name] = {
                    "name": name, "label": unit_label(name), "numerator": unit.factor.numerator,
                    "denominator": unit.factor.denominator, "zero": float(unit.zero),
                }  # fmt: skip
    return table


def _round_step(span: float, unit: str) -> float:
    """A step of about a two-hundredth of the span: a fraction of an inch, or 1, 2 or 5 of a decimal place."""
    wanted = span / 200
    if unit in ("in", "in/ft"):
        steps = [2.0**power for power in range(-6, 4)]
    else:
        place = 10.0 ** math.floor(math.log10(wanted))
        steps = [place, 2 * place, 5 * place, 10 * place]
    return min(steps, key=lambda step: abs(math.log(step / wanted)))


def _working(work: Work) -> str:
    lines = [MATHML.whole(step) for step in work.steps(MATHML)]
    if len(work.results) > 1:  # a symbol alone says little of which it is
        first = len(lines) - len(work.results)
        names = [escape(term(name).label) for name in work.results]
        named = zip(names, lines[first:], strict=True)
        results = "".join(f"<div class='radonwork-named'><span>{name}</span>{line}</div>" for name, line in named)
        lines[first:] = [f"<div class='radonwork-results'>{results}</div>"]
    return f"<div class='radonwork-work'><p>{escape(work.statement.title)}</p>{''.join(lines)}</div>"
