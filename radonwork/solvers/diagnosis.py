"""What each fault of a running system does to the gauge and to the flow: the system is changed and solved again.

Nothing here is a typed verdict. A fault is a change of the network or of the fan's speed; the row says what the gauge
then reads. A gauge whose own hose is off or wet is not in it: that reads nothing whatever the system does.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from radonwork.formulas import pipes
from radonwork.solvers.fan_curve import Fan
from radonwork.solvers.route import (
    OUTSIDE,
    Branch,
    Fitting,
    Network,
    NetworkError,
    NotAttainable,
    Opening,
    Piece,
    Pipe,
    Soil,
)
from radonwork.solvers.system import Solved, Tap, last_tap, solve_system, with_leak, with_lid, with_soil

Reading = Literal["rises", "falls", "zero", "stays"]
SQUARE_INCH = 0.0254**2
RESOLUTION = 5.0
"""Pa: a change a person sees on the gauge; 0.02 inWC."""
_STOPPED = 1e-3  # of its speed: a fan that stands still, as near as the laws of a turning fan go
_NOTICED = 0.02  # of the flow


@dataclass(frozen=True)
class System:
    """A network, the gauge's tap in it, how many pieces of its branch stand before the fan, and the fan's speed."""

    network: Network
    tap: Tap
    fan_after: int = 0
    speed_ratio: float = 1.0


@dataclass(frozen=True)
class Fault:
    """A fault, and how it changes a system."""

    name: str
    change: Callable[[System], System]


@dataclass(frozen=True)
class Diagnosis:
    """Gauge and suction in Pa, flows in m³/s, without the fault and with it."""

    fault: str
    gauge_before: float
    gauge_after: float
    flow_before: float
    flow_after: float
    soil_flow_before: float
    soil_flow_after: float
    suction_before: float
    suction_after: float
    resolution: float = RESOLUTION

    @property
    def reading(self) -> Reading:
        """What a person sees on the gauge."""
        if self.gauge_after <= self.resolution:
            return "zero"
        moved = self.gauge_after - self.gauge_before
        return "stays" if abs(moved) <= self.resolution else "rises" if moved > 0 else "falls"

    @property
    def flow(self) -> Reading:
        """What the flow out of the pipe does."""
        if self.flow_after <= _NOTICED * self.flow_before:
            return "zero"
        moved = self.flow_after - self.flow_before
        return "stays" if abs(moved) <= _NOTICED * self.flow_before else "rises" if moved > 0 else "falls"


def diagnose(
    network: Network,
    curve: Fan,
    *,
    air_density: float,
    air_viscosity: float,
    tap: Tap | None = None,
    fan_after: int = 0,
    faults: tuple[Fault, ...] | None = None,
    resolution: float = RESOLUTION,
) -> list[Diagnosis]:
    """One row for each fault. A fault whose answer lies beyond the fan's curve has no row."""
    sound = System(network, tap or last_tap(network), fan_after)

    def at(system: System) -> Solved:
        return solve_system(
            system.network, curve, air_density=air_density, air_viscosity=air_viscosity,
            speed_ratio=system.speed_ratio, tap=system.tap,
        )  # fmt: skip

    before, rows = at(sound), []
    for fault in FAULTS if faults is None else faults:
        try:
            after = at(fault.change(sound))
        except NotAttainable:
            continue
        rows.append(
            Diagnosis(
                fault.name,
                gauge_before=float(before.gauge_suction),
                gauge_after=float(after.gauge_suction),
                flow_before=float(before.air_flow),
                flow_after=float(after.air_flow),
                soil_flow_before=float(before.soil_flow),
                soil_flow_after=float(after.soil_flow),
                suction_before=float(before.soil_suction),
                suction_after=float(after.soil_suction),
                resolution=resolution,
            )
        )
    return rows


def suspects(rows: list[Diagnosis], reading: Reading) -> list[Diagnosis]:
    """The faults that make the gauge do this."""
    return [row for row in rows if row.reading == reading]


# ---------------------------------------------------------------- changes


def water(left: float, beyond: bool) -> Callable[[System], System]:
    """Water in a low place of the pipe that leaves a share of its area open, before the gauge or beyond it."""

    def change(system: System) -> System:
        branch, pipe = _tapped(system)
        hole = Opening(left * pipes.bore_area(bore=pipe.bore))
        place = system.tap.piece - (0 if beyond else 1)
        pieces = (*branch.pieces[:place], hole, *branch.pieces[place:])
        moved = replace(system.tap, piece=system.tap.piece + (0 if beyond else 1))
        inside = branch.name == system.network.fan and place < system.fan_after
        return replace(
            system,
            network=_with(system.network, replace(branch, pieces=pieces)),
            tap=moved,
            fan_after=system.fan_after + inside,
        )

    return change


def crack(area: float, beyond: bool) -> Callable[[System], System]:
    """A joint that lets air in, just before the piece of pipe with the gauge or just beyond it."""

    def change(system: System) -> System:
        branch, _ = _tapped(system)
        cut = system.tap.piece - (0 if beyond else 1)
        network = _cut(system, branch, cut)
        further = replace(system.tap, branch=f"{branch.name} further", piece=system.tap.piece - cut)
        return replace(
            system, network=with_leak(network, _JOINT, area, name="crack"), tap=system.tap if beyond else further
        )

    return change


def lid(area: float) -> Callable[[System], System]:
    """The lid off or a plug out of it."""
    return lambda system: replace(system, network=with_lid(system.network, area))


def outlet(left: float) -> Callable[[System], System]:
    """Ice, a nest or leaves that leave a share of the outlet's area open."""

    def change(system: System) -> System:
        last = next(branch for branch in system.network.branches if branch.end == OUTSIDE)
        bores = [piece.bore for piece in last.pieces if isinstance(piece, Pipe | Fitting)]
        pieces = (*last.pieces, Opening(left * pipes.bore_area(bore=bores[-1])))
        return replace(system, network=_with(system.network, replace(last, pieces=pieces)))

    return change


def fan_speed(ratio: float) -> Callable[[System], System]:
    """A fan that turns slower than it should."""
    return lambda system: replace(system, speed_ratio=ratio)


def soil(times: float) -> Callable[[System], System]:
    """Soil that lets through less air than before, as after long rain, or more."""

    def change(system: System) -> System:
        pieces = [piece for branch in system.network.branches for piece in branch.pieces]
        now = next(piece.resistance for piece in pieces if isinstance(piece, Soil))
        return replace(system, network=with_soil(system.network, times * now))

    return change


FAULTS = (
    Fault("water in the pipe before the gauge, a tenth of its area open", water(0.1, beyond=False)),
    Fault("water that closes the pipe before the gauge", water(1e-4, beyond=False)),
    Fault("water in the pipe beyond the gauge, a tenth of its area open", water(0.1, beyond=True)),
    Fault("water that closes the pipe beyond the gauge", water(1e-4, beyond=True)),
    Fault("joint cracked before the gauge, 2 square inches", crack(2 * SQUARE_INCH, beyond=False)),
    Fault("joint cracked beyond the gauge, 2 square inches", crack(2 * SQUARE_INCH, beyond=True)),
    Fault("lid of the sump open, 20 square inches", lid(20 * SQUARE_INCH)),
    Fault("outlet blocked but for a tenth of its area", outlet(0.1)),
    Fault("fan failing, at 7 tenths of its speed", fan_speed(0.7)),
    Fault("fan stopped", fan_speed(_STOPPED)),
    Fault("soil three times as tight, as after rain", soil(3.0)),
    Fault("soil a third as tight, as after drought", soil(1 / 3)),
)

_JOINT = "cracked joint"


def _tapped(system: System) -> tuple[Branch, Pipe]:
    branch = next(b for b in system.network.branches if b.name == system.tap.branch)
    pipe = branch.pieces[system.tap.piece - 1]
    if not isinstance(pipe, Pipe):
        raise NetworkError(f"tap: piece {system.tap.piece} of {branch.name} is not a pipe to tap; give one that is")
    return branch, pipe


def _with(network: Network, changed: Branch) -> Network:
    return replace(network, branches=tuple(changed if b.name == changed.name else b for b in network.branches))


def _cut(system: System, branch: Branch, place: int) -> Network:
    """The network with a node among the pieces of a branch; what lies beyond it is a branch called so."""
    network, rest = system.network, f"{branch.name} further"
    bore = next(piece.bore for piece in branch.pieces if isinstance(piece, Pipe))
    nothing: tuple[Piece, ...] = (Fitting(0.0, bore),)
    first = Branch(branch.name, branch.start, _JOINT, branch.pieces[:place] or nothing)
    second = Branch(rest, _JOINT, branch.end, branch.pieces[place:] or nothing)
    starts = {b.name: b.start for b in network.branches}
    ends = {b.name: b.end for b in network.branches}
    wyes = []
    for wye in network.wyes:
        node = starts[wye.main] if ends[wye.run] == starts[wye.main] else ends[wye.main]
        if node == branch.end:
            run, aside, main = (rest if leg == branch.name else leg for leg in (wye.run, wye.branch, wye.main))
            wye = replace(wye, run=run, branch=aside, main=main)
        wyes.append(wye)
    others = (b for b in network.branches if b is not branch)
    fan = rest if network.fan == branch.name and system.fan_after >= place else network.fan
    return Network((*others, first, second), fan, tuple(wyes))
