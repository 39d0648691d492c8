"""The route of a record as pieces, and the network made of it."""

import math

import fluids
import numpy as np
import pytest

from radonwork.files import DATA
from radonwork.house.record import House, parse_house, read_house
from radonwork.house.route import PIT, STRAIGHT, Piece, RouteError, VentRoute
from radonwork.solvers.fan_curve import FanCurve
from radonwork.solvers.network import Solution, solve
from radonwork.solvers.route import OUTSIDE, Fitting, Opening, Soil

AIR = {"air_density": 1.2, "air_viscosity": 1.81e-5}
FAN = FanCurve(((0.0, 600.0), (0.03, 400.0), (0.08, 0.0)))
SOIL = Soil(5000.0)
MAIN = '[run.pipe]\nnominal = "3"\nschedule = 40\n'
WALL = '[wall.pipe]\nnominal = "2"\nschedule = 40\n'


def alder() -> House:
    return read_house(DATA / "houses" / "alder-court.toml")


def route(text: str) -> VentRoute:
    found = parse_house(text, "x").route()
    assert found is not None
    return found


def pieces(*fields: str) -> str:
    return "".join(f"[[run.piece]]\n{field}\n" for field in fields)


def named(way: VentRoute, name: str) -> Piece:
    return next(piece for piece in way.pieces if piece.name == name)


def inches(value: float) -> float:
    return value / 0.0254


# ---------------------------------------------------------------- pieces and sections


def test_the_route_of_the_house_in_us_units_stands_in_three_sections() -> None:
    way = alder().route()
    assert way is not None
    assert [(s.name, s.pipe, s.side_by_side, len(s.pieces)) for s in way.sections] == [
        ("main 1", "run.pipe", 1, 5),
        ("wall", "wall.pipe", 2, 3),
        ("main 2", "run.pipe", 1, 7),
    ]
    # ASTM D1785: 3.068 in and 2.067 in inside with the least wall of Schedule 40
    assert [inches(s.bore) for s in way.sections] == pytest.approx([3.068, 2.067, 3.068], rel=1e-12)
    assert way.missing == ()
    assert (way.joined_by, way.fan_after, way.tap_after) == ("wye", 12, None)
    assert way.tap_distance == pytest.approx(1.524, rel=1e-12)
    assert way.length / 0.0254 == pytest.approx(72 + 108 + 135.125 + 168 + 48, rel=1e-12)


def test_every_piece_knows_its_place_in_the_record_and_along_the_pipe() -> None:
    way = read_house(DATA / "houses" / "kestrel-lane.toml").route()
    assert way is not None
    assert [piece.path for piece in way.pieces] == [f"run.piece[{n}]" for n in range(1, 11)]
    assert [piece.number for piece in way.pieces] == list(range(1, 11))
    assert [piece.start for piece in way.pieces] == pytest.approx([0, 0, 1.2, 1.2, 1.2, 2.7, 2.7, 3.7, 3.7, 4.45])
    attic = way.pieces[6]
    assert (attic.name, attic.kind, attic.length, attic.tolerance) == (STRAIGHT, STRAIGHT, 1.0, 0.3)
    elbows = way.pieces[2]
    assert (elbows.name, elbows.kind, elbows.count) == ("90° elbow, regular", "elbow", 1)
    assert way.section_of(elbows).name == "main 1"
    assert way.tap_after == 2


def test_a_piece_may_have_a_size_of_its_own() -> None:
    way = route(MAIN + pieces('length = "1 m"', 'length = "2 m"\nnominal = "4"\nschedule = 40', 'length = "1 m"'))
    assert [(s.name, s.pipe) for s in way.sections] == [
        ("main 1", "run.pipe"),
        ("main 2", "run.piece[2]"),
        ("main 3", "run.pipe"),
    ]
    assert inches(way.sections[1].bore) == pytest.approx(4.026, rel=1e-12)  # ASTM D1785, least wall


def test_a_size_that_is_not_stated_is_named_by_its_field() -> None:
    way = route(
        '[run.pipe]\nnominal = "3"\n'
        + pieces('length = "1 m"', 'length = "1 m"\npipe = "wall"', 'length = "1 m"\noutside_diameter = "4 in"')
    )
    assert way.missing == ("run.pipe.schedule", "wall.pipe.nominal", "run.piece[3].wall_thickness")
    with pytest.raises(RouteError, match=r"^run\.pipe\.schedule is not stated; the route needs every bore$"):
        way.network(SOIL)


# ---------------------------------------------------------------- losses of fittings, against the fluids library


def _step(fitting: str) -> tuple[VentRoute, Piece]:
    way = route(
        MAIN + WALL + pieces('length = "1 m"', f'fitting = "{fitting}"\npipe = "wall"', 'length = "1 m"\npipe = "wall"')
    )
    return way, way.pieces[1]


def test_a_change_of_bore_takes_the_pipes_before_and_after_it() -> None:
    wide, narrow = 3.068 * 0.0254, 2.067 * 0.0254
    way, piece = _step("sudden contraction")
    coefficient, bore = way.coefficient(piece)
    assert bore == pytest.approx(narrow, rel=1e-12)
    assert coefficient == pytest.approx(fluids.contraction_sharp(Di1=wide, Di2=narrow, method="Rennels"), rel=1e-9)
    way, piece = _step("sudden expansion")
    assert way.coefficient(piece)[0] == pytest.approx(fluids.diffuser_sharp(Di1=narrow, Di2=wide), rel=1e-9)


def test_a_mitre_turns_by_the_angle_in_its_name() -> None:
    for angle in (45, 90):
        way = route(MAIN + pieces(f'fitting = "{angle} deg mitre"\ncount = 3'))
        wanted = 3 * fluids.bend_miter(angle=angle, Di=0.0779272, method="Rennels")
        assert way.coefficient(way.pieces[0])[0] == pytest.approx(wanted, rel=1e-9)


def test_a_sleeve_is_as_wide_inside_as_the_pipe_outside() -> None:
    way = route(MAIN + pieces('fitting = "flexible coupling with a gap"'))
    ratio = 3.068 / 3.5
    wanted = fluids.diffuser_sharp(Di1=ratio, Di2=1.0) + fluids.contraction_sharp(Di1=1.0, Di2=ratio, method="Crane")
    assert way.coefficient(way.pieces[0])[0] == pytest.approx(wanted, rel=1e-9)


def test_the_whole_route_takes_what_its_pieces_take_one_by_one() -> None:
    """The metric house again with the fluids library: friction, elbows by the rough friction factor, entrance, exit."""
    house = read_house(DATA / "houses" / "kestrel-lane.toml")
    way, fan = house.route(), house.fan_curve()
    assert way is not None
    assert fan is not None
    found = solve(way.network(SOIL), fan, **AIR)
    flow, bore = float(found.fan_flow), 0.1036
    velocity = flow / (math.pi / 4 * bore**2)
    reynolds = 1.2 * velocity * bore / 1.81e-5
    friction = fluids.friction_factor(Re=reynolds, eD=1.5e-6 / bore)
    rough = fluids.friction.von_Karman(45.7e-6 / bore)  # clean steel, as in the handbook (0.00015 ft)
    coefficients = 0.5 + 2 * 30 * rough + 2 * 16 * rough + 1.0 + friction * 4.45 / bore
    taken = coefficients * 1.2 * velocity**2 / 2
    assert float(found.fan_pressure) == pytest.approx(5000 * flow + taken, rel=1e-6)
    curve = np.interp(flow, *np.array([(0.0, 320), (0.015, 280), (0.03, 200), (0.045, 100), (0.06, 0)]).T)
    assert float(found.fan_pressure) == pytest.approx(curve * 1.2 / fan.rated_density, rel=0.02)  # straight lines


# ---------------------------------------------------------------- the network


def balances(found: Solution) -> None:
    """At every node as much comes as goes."""
    net = dict.fromkeys(found.suctions, 0.0)
    for branch in found.network.branches:
        for node, sign in ((branch.start, -1), (branch.end, 1)):
            if node != OUTSIDE:
                net[node] += sign * float(found.flows[branch.name])
    assert list(net.values()) == pytest.approx([0.0] * len(net), abs=1e-9)


@pytest.mark.parametrize("count", [1, 2, 3, 4])
@pytest.mark.parametrize("joined_by", ["wye", "tee", None])
def test_any_number_of_pipes_in_the_wall_makes_a_network_that_balances(count: int, joined_by: str | None) -> None:
    joined = f'joined_by = "{joined_by}"\n' if joined_by else ""
    inner = ('fitting = "tapered reducer, 3 to 2 in"\npipe = "wall"', 'length = "3 m"\npipe = "wall"')
    way = route(f"{MAIN}{WALL}count = {count}\n{joined}" + pieces('length = "2 m"', *inner, 'length = "2 m"'))
    net = way.network(SOIL, Opening(1e-4))
    found = solve(net, FAN, **AIR)
    balances(found)
    walls = [float(flow) for name, flow in found.flows.items() if name in {f"wall {n}" for n in range(1, count + 1)}]
    assert len(net.wyes) == (2 * (count - 1) if joined_by else 0)
    if count == 1:
        assert found.flows["wall"] == found.fan_flow
    else:
        assert sum(walls) == pytest.approx(float(found.fan_flow), rel=1e-9)
        assert len(walls) == count
        alike = max(walls) / min(walls) == pytest.approx(1, abs=1e-9)
        assert alike is not bool(joined_by)
    assert found.flows["soil"] + found.flows["lid"] == pytest.approx(float(found.fan_flow), rel=1e-9)
    assert found.suctions[PIT] == pytest.approx(5000 * float(found.flows["soil"]), rel=1e-9)


def test_the_branch_of_a_wye_is_as_wide_as_what_follows_it() -> None:
    wall = f'{MAIN}{WALL}count = 2\njoined_by = "wye"\n'
    straight, reducer = 'length = "3 m"\npipe = "wall"', 'fitting = "tapered reducer, 3 to 2 in"\npipe = "wall"'
    way = route(wall + pieces('length = "2 m"', reducer, straight, 'length = "2 m"'))
    parting, joining = way.network(SOIL).wyes
    assert (parting.main, joining.main) == ("main 1", "main 2")
    assert inches(parting.branch_bore) == pytest.approx(3.068, rel=1e-12)  # a reducer follows the wye
    assert inches(joining.branch_bore) == pytest.approx(2.067, rel=1e-12)  # the pipe itself goes into it
    assert parting.angle == pytest.approx(math.pi / 4)


def test_pipes_in_the_wall_at_an_end_of_the_route_need_no_wye_there() -> None:
    way = route(
        f'{MAIN}{WALL}count = 2\njoined_by = "wye"\n' + pieces('length = "1 m"\npipe = "wall"', 'length = "2 m"')
    )
    net = way.network(SOIL)
    assert [wye.main for wye in net.wyes] == ["main 1"]
    balances(solve(net, FAN, **AIR))


def test_other_pipes_in_the_wall_change_the_flow_the_way_they_must() -> None:
    way = alder().route()
    assert way is not None

    def flow(changed: VentRoute) -> float:
        return float(solve(changed.network(SOIL), FAN, **AIR).fan_flow)

    small = {"bore": 2.067 * 0.0254, "outside_diameter": 2.375 * 0.0254}
    large = {"bore": 3.068 * 0.0254, "outside_diameter": 3.5 * 0.0254}
    one, two, three = (flow(way.with_wall(count=count, **small)) for count in (1, 2, 3))
    assert one < two < three
    assert two == pytest.approx(flow(way), rel=1e-9)
    single = way.with_wall(count=1, **large)
    assert three < flow(single)
    assert single.coefficient(named(single, "tapered reducer, 3 to 2 in"))[0] == 0  # nothing left to reduce


def test_many_bores_are_worked_at_once_as_one_by_one() -> None:
    way = alder().route()
    assert way is not None
    bores = np.array([2.067, 2.469, 3.068]) * 0.0254
    many = solve(way.with_wall(count=2, bore=bores, outside_diameter=bores + 0.01).network(SOIL), FAN, **AIR).fan_flow
    one_by_one = [
        solve(way.with_wall(count=2, bore=b, outside_diameter=b + 0.01).network(SOIL), FAN, **AIR).fan_flow
        for b in bores
    ]
    assert many == pytest.approx(np.array(one_by_one), rel=1e-9)


def test_the_fan_stands_in_the_branch_the_record_says() -> None:
    length = pieces('length = "1 m"', 'length = "1 m"\npipe = "wall"', 'length = "1 m"')
    text = f"{MAIN}{WALL}count = 2\n{length}"
    assert route(text).network(SOIL).fan == "main 2"
    assert route(f"{text}[fan]\nafter_piece = 1\n").network(SOIL).fan == "main 1"
    assert route(f"{text}[fan]\nafter_piece = 0\n").network(SOIL).fan == "main 1"
    with pytest.raises(RouteError, match=r"^fan\.after_piece: the fan stands in one of several pipes side by side"):
        route(f"{text}[fan]\nafter_piece = 2\n").network(SOIL)


def test_pieces_of_the_network_stand_one_for_one_for_those_of_the_route() -> None:
    way = alder().route()
    assert way is not None
    for section in way.sections:
        for piece, made in zip(section.pieces, way.air_pieces(section), strict=True):
            assert isinstance(made, Fitting) == (piece.kind != STRAIGHT)
