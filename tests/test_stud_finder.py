"""The stud finder against walls built at random, against small walls counted out by hand, and against its own promises."""

import itertools

import numpy as np
import pytest

from radonwork.solvers.stud_finder import (
    APART,
    Box,
    Layout,
    Piece,
    Probe,
    Studs,
    Wall,
    WallError,
    find,
)
from radonwork.units import from_unit

INCH = float(from_unit(1.0, "in"))
STUD = 1.5 * INCH
DRILL = INCH / 8
SIXTEEN = Wall(168 * INCH, STUD, (Layout(16 * INCH, 0.9), Layout(24 * INCH, 0.1)))


def probe(at: float, found: str, false: float = 0.05, width: float = 0.125) -> Probe:
    return Probe(at * INCH, found, width * INCH, false)  # type: ignore[arg-type]


# ---------------------------------------------------------------- walls built at random: an independent computation


class Built:
    """Walls as carpenters build them, drawn at random in exact places: no cells, no windows, no sums."""

    def __init__(self, wall: Wall, count: int, seed: int) -> None:
        self.wall, self.rng, self.count = wall, np.random.default_rng(seed), count
        weights = np.array([layout.weight for layout in wall.layouts])
        which = self.rng.choice(len(weights), count, p=weights / weights.sum())
        self.spacing = np.array([layout.spacing for layout in wall.layouts])[which]
        start = self.rng.uniform(0, self.spacing)
        for number, layout in enumerate(wall.layouts):
            if layout.start is not None:
                told = (which == number) & (self.rng.random(count) < 0.8)
                start[told] = layout.start + self.rng.normal(0, layout.start_error, told.sum())
        marks = start[:, np.newaxis] + np.arange(-2, 14) * self.spacing[:, np.newaxis]
        reach = (self.spacing[:, np.newaxis] - wall.thickness - APART) / 2
        near = self.rng.normal(0, wall.layout_error, marks.shape)
        anywhere = self.rng.uniform(-1, 1, marks.shape) * reach
        away = np.where(self.rng.random(marks.shape) < wall.moved, anywhere, near)
        centres = marks + away
        there = self.rng.random(marks.shape) >= wall.missing
        half = wall.thickness / 2
        there &= (np.abs(away) < reach) & (centres > half) & (centres < wall.length - half)
        for low, high in wall.clear:
            there &= (centres < low - half) | (centres > high + half)
        for piece in wall.pieces:
            there &= np.abs(centres - piece.centre) > piece.error + piece.thickness / 2 + half + APART
        columns = [np.where(there, centres, np.nan)]
        thick = [np.full(marks.shape[1], wall.thickness)]
        for piece in wall.pieces:
            place = piece.centre + self.rng.uniform(-1, 1, (count, 1)) * piece.error
            columns.append(np.where(self.rng.random((count, 1)) < piece.presence, place, np.nan))
            thick.append(np.array([piece.thickness]))
        self.centres, self.thick = np.concatenate(columns, axis=1), np.concatenate(thick)

    def touches(self, at: np.ndarray | float, width: float) -> np.ndarray:
        """Whether a tool at a place (one, or one a wall) touches wood, wall by wall."""
        away = np.abs(self.centres - np.reshape(at, (-1, 1)))
        found: np.ndarray = np.any(away < (self.thick + width) / 2, axis=1)  # nowhere with what is not there
        return found

    def on_face(self, at: np.ndarray | float, width: float) -> np.ndarray:
        away = np.abs(self.centres - np.reshape(at, (-1, 1)))
        found: np.ndarray = np.any(np.abs(away - self.thick / 2) < width / 2, axis=1)
        return found

    def likelihood(self, probes: tuple[Probe, ...]) -> np.ndarray:
        """How likely each wall is to give what was read, and to have its boxes where they are."""
        found = np.ones(self.count)
        for p in probes:
            asked = self.on_face(p.at, p.width) if p.found == "edge" else self.touches(p.at, p.width)
            yes = p.found != "nothing"
            found *= np.where(asked == yes, 1 - p.false, p.false)
        for box in self.wall.boxes:
            # Hung on one of the wall's studs and one of its sides, or on none of them, anywhere along the wall.
            left = np.abs(self.centres + self.thick / 2 - box.left) < box.error
            right = np.abs(self.centres - self.thick / 2 - box.right) < box.error
            against = (left.sum(axis=1) + right.sum(axis=1)) / (2 * box.error)
            found *= 1 - box.nailed + box.nailed * self.spacing / 2 * against
        return found


def nearest(centres: np.ndarray, place: float, side: str) -> np.ndarray:
    away = centres - place if side == "right" else place - centres
    found: np.ndarray = np.nanmin(np.where(away > 0, away, np.nan), axis=1, initial=np.inf, where=away > 0)
    return found


FURNISHED = Wall(
    168 * INCH,
    STUD,
    (Layout(16 * INCH, 0.8, 15 * INCH, 0.5 * INCH), Layout(24 * INCH, 0.2)),
    (
        Piece(1.5 * INCH, 0.5 * INCH, 3 * INCH, 0.9),
        Piece(68.5 * INCH, 0.75 * INCH, 3 * INCH, 0.95),
        Piece(103.5 * INCH, 0.75 * INCH, 3 * INCH, 0.95),
    ),
    (Box(37.25 * INCH, 39.5 * INCH, 0.25 * INCH, 0.85),),
    ((70 * INCH, 102 * INCH),),
)

WALLS = {
    "nothing known": (SIXTEEN, (probe(40, "wood"), probe(41.5, "nothing"), probe(56.25, "wood"))),
    "an edge": (SIXTEEN, (probe(40, "edge", 0.1, 0.5), probe(41, "nothing"), probe(62, "nothing", 0.1, 0.75))),
    "openings, box, corner": (FURNISHED, (probe(50, "nothing"), probe(47, "wood"), probe(68, "nothing"))),
}


@pytest.mark.parametrize("name", WALLS)
def test_the_probability_of_wood_is_that_of_walls_built_at_random(name: str) -> None:
    """Half a million walls, each weighed by its readings. Allowed: four standard errors, and what half a cell of 3 mm does."""
    wall, probes = WALLS[name]
    studs, built = find(wall, probes), Built(wall, 500_000, seed=5)
    weight = built.likelihood(probes)
    weight /= weight.sum()
    for at in (1.0, 20.0, 36.25, 40.25, 47.0, 55.5, 63.0, 68.6, 85.0, 120.0):
        hit = built.touches(at * INCH, DRILL)
        theirs = float(weight[hit].sum())
        error = float(np.sqrt(np.sum((weight * (hit - theirs)) ** 2)))
        slope = float(np.ptp(studs.wood(at * INCH + np.array([-1, 0, 1]) * 0.0015, DRILL)))
        assert studs.wood(at * INCH, DRILL) == pytest.approx(theirs, abs=4 * error + slope + 1e-3)
    for low, high in ((42.0, 46.0), (20.0, 50.0), (60.0, 75.0)):
        free = ~np.any(
            (built.centres + built.thick / 2 > low * INCH) & (built.centres - built.thick / 2 < high * INCH), axis=1
        )
        theirs = float(weight[free].sum())
        error = float(np.sqrt(np.sum((weight * (free - theirs)) ** 2)))
        assert studs.clear(low * INCH, high * INCH) == pytest.approx(theirs, abs=4 * error + 0.01)
    shares = dict(studs.spacings)
    for layout in wall.layouts:
        theirs = float(weight[built.spacing == layout.spacing].sum())
        error = float(np.sqrt(np.sum((weight * ((built.spacing == layout.spacing) - theirs)) ** 2)))
        assert shares[layout.spacing] == pytest.approx(theirs, abs=4 * error + 0.01)


@pytest.mark.parametrize("name", WALLS)
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_nearest_stud_lies_where_walls_built_at_random_have_it(name: str, side: str) -> None:
    wall, probes = WALLS[name]
    studs, built = find(wall, probes), Built(wall, 200_000, seed=6)
    weight = built.likelihood(probes)
    place = 52.0 * INCH
    away = nearest(built.centres, place, side)
    there = np.isfinite(away)
    found = studs.first_right_of(place) if side == "right" else studs.first_left_of(place)
    assert found.presence == pytest.approx(float(weight[there].sum() / weight.sum()), abs=0.01)
    for edge, share in ((found.low, 0.05), (found.at, 0.5), (found.high, 0.95)):
        gone = np.abs(edge - place)
        nearer = float(weight[there & (away < gone)].sum() / weight[there].sum())
        wanted = share if side == "right" else 1 - share
        # A place on a steep flank of the distribution: a cell more or less is a few hundredths.
        assert nearer == pytest.approx(wanted, abs=0.03)


# ---------------------------------------------------------------- small walls counted out


def test_two_studs_on_known_marks_are_counted_out_by_hand() -> None:
    """One spacing with a stated start, no stray studs but missing ones: two yes-or-no studs and one reading.

    The stated start is believed four times in five; from elsewhere the layout is anywhere in 24 in, and then a drill of
    1/8 in meets the one stud of a stretch of 24 in on 1.625 in of it.
    """
    wall = Wall(48 * INCH, STUD, (Layout(24 * INCH, 1.0, 12 * INCH, 1e-4),), layout_error=3e-3, moved=0.0, missing=0.25)
    before = 0.75 * (0.8 + 0.2 * 1.625 / 24)
    assert find(wall).wood(12 * INCH, DRILL) == pytest.approx(before, abs=3e-3)
    studs = find(wall, (probe(12, "nothing", 0.1),))
    after = before * 0.1 / (before * 0.1 + (1 - before) * 0.9)
    assert studs.wood(12 * INCH, DRILL) == pytest.approx(after, abs=3e-3)
    # Of the other stud the reading says only whether the start is the stated one.
    stated = 0.8 * (0.75 * 0.1 + 0.25 * 0.9)
    elsewhere = 0.2 * (0.75 * 1.625 / 24 * 0.1 + (1 - 0.75 * 1.625 / 24) * 0.9)
    # From elsewhere it is on 36 in no oftener than the first on 12 in, which the reading makes rare.
    least = 0.75 * stated / (stated + elsewhere)
    assert least < studs.wood(36 * INCH, DRILL) < least + 0.75 * 1.625 / 24 * elsewhere / (stated + elsewhere)


def test_every_way_two_pieces_can_stand_is_counted_out() -> None:
    """Two posts, each in one of a row of places or not there, and readings between: every case, weighed and added up."""
    cell = 0.003
    wall = Wall(
        0.9, 0.03, (Layout(0.6, 1.0),), (Piece(0.3, 0.012, 0.03, 0.8), Piece(0.6, 0.009, 0.03, 0.5)), missing=1.0
    )
    probes = (Probe(0.29, "wood", 0.003, 0.1), Probe(0.32, "nothing", 0.003, 0.2), Probe(0.6, "nothing", 0.003, 0.05))
    middles = (np.arange(300) + 0.5) * cell

    def cases(centre: float, error: float, presence: float) -> list[tuple[float | None, float]]:
        inside = [float(m) for m in middles if abs(m - centre) <= error + 1e-12]
        inner = [m for m in inside if abs(m - centre) < error - cell / 4]
        return [(None, 1 - presence), *((m, presence / len(inner)) for m in inner)]

    total, hit = 0.0, 0.0
    for (a, chance_a), (b, chance_b) in itertools.product(cases(0.3, 0.012, 0.8), cases(0.6, 0.009, 0.5)):
        chance = chance_a * chance_b
        for p in probes:
            wood = any(c is not None and abs(c - p.at) < 0.0165 for c in (a, b))
            chance *= 1 - p.false if wood == (p.found == "wood") else p.false
        total += chance
        hit += chance * any(c is not None and abs(c - 0.3105) < 0.0165 for c in (a, b))
    # A place or a reading that falls in the midst of a cell shares it; here that is a cell in eight.
    assert float(find(wall, probes).wood(0.3105, 0.003)) == pytest.approx(hit / total, abs=0.06)
    assert find(wall).wood(0.3, 0.003) == pytest.approx(0.8, abs=1e-9)


# ---------------------------------------------------------------- what it promises holds as often as it says


def test_of_ranges_said_to_hold_nine_times_in_ten_nine_in_ten_hold() -> None:
    """400 walls, each probed at eight places by a tool that errs one time in twenty: 90 % within three standard errors."""
    wall, count = SIXTEEN, 400
    built = Built(wall, count, seed=11)
    places = np.array([44, 48, 52, 56, 60, 64, 68, 72]) * INCH
    truth = np.array([built.touches(at, DRILL) for at in places]).T
    read = truth ^ (built.rng.random(truth.shape) < 0.05)
    held = likely = 0
    listed = 0.0
    for number in range(count):
        probes = tuple(
            Probe(float(at), "wood" if yes else "nothing", DRILL, 0.05)
            for at, yes in zip(places, read[number], strict=True)
        )
        studs = find(wall, probes)
        right = studs.first_right_of(58 * INCH)
        centres = built.centres[number][np.isfinite(built.centres[number])]
        first = centres[centres > 58 * INCH].min()
        held += right.low <= first <= right.high
        for stud in studs.places():
            listed += min(stud.presence, 1.0)
            likely += bool(np.any((centres >= stud.low) & (centres <= stud.high)))
    assert held / count == pytest.approx(0.9, abs=3 * np.sqrt(0.9 * 0.1 / count))
    assert likely / listed == pytest.approx(0.9, abs=0.025)  # several of one wall stand and fall together


def test_probabilities_of_wood_come_true_as_often_as_they_say() -> None:
    wall, count = FURNISHED, 500
    built = Built(wall, count, seed=12)
    places = np.array([46, 52, 58, 63]) * INCH
    boxless = Wall(wall.length, wall.thickness, wall.layouts, wall.pieces, (), wall.clear)
    said, came = [], []
    for number in range(count):
        probes = []
        for at in places:
            wood = bool(np.any(np.abs(built.centres[number] - at) < (built.thick + DRILL) / 2))
            probes.append(Probe(float(at), "wood" if wood else "nothing", DRILL, 0.05))
        at = built.rng.uniform(4, 160) * INCH
        said.append(float(find(boxless, tuple(probes)).wood(at, DRILL)))
        came.append(bool(np.any(np.abs(built.centres[number] - at) < (built.thick + DRILL) / 2)))
    chances, outcomes = np.array(said), np.array(came)
    for low, high in ((0.0, 0.05), (0.05, 0.4), (0.4, 1.0)):
        group = (chances >= low) & (chances < high)
        assert group.sum() >= 15
        error = np.sqrt(np.sum(chances[group] * (1 - chances[group]))) / group.sum()
        # The probes here never err, though the finder allows for it, so high chances come true oftener.
        assert outcomes[group].mean() >= chances[group].mean() - 3 * error - 0.02
        assert outcomes[group].mean() <= chances[group].mean() + 3 * error + 0.12


# ---------------------------------------------------------------- the next probe


def test_the_information_of_a_probe_is_what_walls_built_at_random_share_with_its_reading() -> None:
    """Mutual information counted from joint frequencies of 400 000 weighed walls; its bias there is a few 1e-5 bits."""
    wall, probes = WALLS["nothing known"]
    studs, built = find(wall, probes), Built(wall, 400_000, seed=7)
    weight = built.likelihood(probes)
    weight /= weight.sum()
    low, high = 60 * INCH, 64 * INCH
    free = ~np.any((built.centres + built.thick / 2 > low) & (built.centres - built.thick / 2 < high), axis=1)
    told = studs.bits_about(low, high, DRILL, 0.05)
    all_told = studs.bits(DRILL, 0.05)
    for at in (57.0, 62.0, 66.0, 72.0, 90.0):
        wood = built.touches(at * INCH, DRILL)
        joint = np.array([[weight[wood & free].sum(), weight[wood & ~free].sum()],
                          [weight[~wood & free].sum(), weight[~wood & ~free].sum()]])  # fmt: skip
        heard = np.array([[0.95, 0.05], [0.05, 0.95]]) @ joint
        bits = np.sum(heard * np.log2(heard / np.outer(heard.sum(axis=1), heard.sum(axis=0))))
        cell = int(np.searchsorted(studs.x, at * INCH))
        assert told[cell] == pytest.approx(bits, abs=0.012)
        reading = heard.sum(axis=1)
        entropy = -np.sum(reading * np.log2(reading)) + 0.95 * np.log2(0.95) + 0.05 * np.log2(0.05)
        assert all_told[cell] == pytest.approx(entropy, abs=0.012)


def test_probes_where_it_says_narrow_a_stud_faster_than_probes_at_random() -> None:
    rng = np.random.default_rng(3)
    built = Built(SIXTEEN, 40, seed=21)

    def width(number: int, choose: str) -> float:
        probes: list[Probe] = []
        for _ in range(6):
            studs = find(SIXTEEN, tuple(probes))
            best = studs.best(studs.bits(DRILL, 0.05))
            at = best.at if choose == "best" else float(rng.uniform(0, SIXTEEN.length))
            wood = bool(np.any(np.abs(built.centres[number] - at) < (STUD + DRILL) / 2))
            probes.append(Probe(at, "wood" if wood else "nothing", DRILL, 0.05))
        found = find(SIXTEEN, tuple(probes)).first_right_of(80 * INCH)
        return found.high - found.low

    chosen = np.mean([width(number, "best") for number in range(40)])
    random = np.mean([width(number, "random") for number in range(40)])
    assert chosen < 0.75 * random


def test_the_next_probe_keeps_to_the_stretches_that_are_named() -> None:
    studs = find(SIXTEEN, (probe(40, "wood"),))
    best = studs.best(studs.bits(DRILL, 0.05), ((100 * INCH, 104 * INCH),))
    assert 100 * INCH <= best.at <= 104 * INCH
    free = studs.best(studs.bits(DRILL, 0.05))
    assert free.bits >= best.bits


# ---------------------------------------------------------------- plain sense


def test_two_hits_and_two_misses_either_side_leave_one_stud_between_them() -> None:
    sides = (probe(38.9, "nothing", 0.02), probe(41.2, "nothing", 0.02))
    studs = find(SIXTEEN, (probe(39.9, "wood", 0.02), probe(40.2, "wood", 0.02), *sides))
    stud = min(studs.places(), key=lambda place: abs(place.at - 40 * INCH))
    assert 39.4 * INCH < stud.low < stud.at < stud.high < 40.6 * INCH
    assert stud.presence > 0.95


def test_one_hit_that_may_be_false_leaves_it_open() -> None:
    sides = (probe(38.9, "nothing", 0.02), probe(41.2, "nothing", 0.02))
    studs = find(SIXTEEN, (probe(40, "wood", 0.02), *sides))
    # The stud's centre must lie in 0.675 in of a bay of 16 in: odds of 1 to 23 before, times 49 for the hit.
    assert 0.55 < studs.wood(40 * INCH, DRILL) < 0.8


def test_nothing_is_listed_where_nothing_is_known() -> None:
    assert find(SIXTEEN).places() == ()


def test_seven_studs_in_a_row_settle_the_spacing() -> None:
    probes = tuple(probe(8 + 24 * n, "wood") for n in range(6)) + tuple(probe(24 + 48 * n, "nothing") for n in range(3))
    shares = dict(find(SIXTEEN, probes).spacings)
    assert shares[24 * INCH] > 0.99


def test_a_box_says_that_a_stud_stands_at_one_of_its_sides() -> None:
    plain = Wall(168 * INCH, STUD, (Layout(16 * INCH),))
    boxed = Wall(168 * INCH, STUD, (Layout(16 * INCH),), boxes=(Box(40 * INCH, 42 * INCH, 0.125 * INCH, 0.9),))
    left, right, middle = 39.25 * INCH, 42.75 * INCH, 41 * INCH
    before, after = find(plain), find(boxed)
    assert after.wood(left, DRILL) == pytest.approx(float(after.wood(right, DRILL)), abs=0.02)
    assert 0.4 < after.wood(left, DRILL) < 0.5 < 4 * before.wood(left, DRILL) + 0.2
    assert after.wood(middle, DRILL) < 0.02
    settled = find(boxed, (probe(42.75, "nothing", 0.02),))
    assert settled.wood(left, DRILL) > 0.8


def test_no_stud_stands_inside_an_opening_and_posts_stand_beside_it() -> None:
    studs = find(FURNISHED)
    assert studs.wood(86 * INCH, DRILL) == 0.0
    assert studs.wood(68.5 * INCH, DRILL) > 0.9
    assert studs.clear(71 * INCH, 101 * INCH) == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize(
    ("bad", "says"),
    [
        (probe(170, "wood"), "beyond the wall's ends"),
        (probe(40, "wood", 0.5), "below a half"),
        (probe(40, "wood", 0.0), "above 0"),
        (probe(40, "wood", 0.05, 2.0), "no stud from its neighbour"),
    ],
)
def test_a_probe_that_cannot_be_is_refused_in_one_line(bad: Probe, says: str) -> None:
    with pytest.raises(WallError, match=says) as refusal:
        find(SIXTEEN, (bad,))
    assert "\n" not in str(refusal.value)


def test_a_wall_that_cannot_be_is_refused_in_one_line() -> None:
    for make in (
        lambda: Wall(0.1, STUD, (Layout(0.4),)),
        lambda: Wall(30.0, STUD, (Layout(0.4),)),
        lambda: Wall(4.0, STUD, (Layout(0.1),)),
    ):
        with pytest.raises(WallError) as refusal:
            make()
        assert "\n" not in str(refusal.value)


def test_what_is_found_from_the_left_is_found_from_the_right_of_the_wall_turned_round() -> None:
    wall = Wall(168 * INCH, STUD, (Layout(16 * INCH),), (Piece(150 * INCH, INCH, 3 * INCH, 0.9),))
    turned = Wall(168 * INCH, STUD, (Layout(16 * INCH),), (Piece(18 * INCH, INCH, 3 * INCH, 0.9),))
    one: Studs = find(wall, (probe(40, "wood"), probe(47, "nothing")))
    other = find(turned, (probe(128, "wood"), probe(121, "nothing")))
    at = np.linspace(2, 166, 200) * INCH
    assert one.wood(at, DRILL) == pytest.approx(other.wood(168 * INCH - at, DRILL), abs=0.01)
    left, right = one.first_left_of(100 * INCH), other.first_right_of(68 * INCH)
    assert left.at == pytest.approx(168 * INCH - right.at, abs=0.006)
