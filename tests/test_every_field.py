"""Whatever one field of a record says, a house is worked as far as it goes, or refused with lines that name the field."""

import random
import re
from contextlib import suppress

import pytest

from radonwork.glossary import term
from radonwork.house.calculations import calculate
from radonwork.house.record import RecordError, parse_house
from radonwork.report.blocks import Para
from radonwork.report.told import Told
from tests.changed_records import HOUSES, Change, changes, work_through

SAMPLE = 40
"""Changes that are worked in a run of the tests: of all that the record's reader lets by, each has the same chance."""
KESTREL = (HOUSES / "kestrel-lane.toml").read_text(encoding="utf-8")
ALDER = (HOUSES / "alder-court.toml").read_text(encoding="utf-8")


def _accepted(change: Change) -> bool:
    try:
        parse_house(change.text(), "house.toml", HOUSES)
    except RecordError:
        return False
    return True


def test_a_change_that_is_refused_is_told_in_plain_lines_that_name_a_field() -> None:
    for change in random.Random(1).sample(changes(), 200):
        try:
            parse_house(change.text(), "house.toml", HOUSES)
        except RecordError as refusal:
            for line in refusal.lines:
                assert re.match(r"house\.toml line \d+: [a-z_]+[\w.\[\]]*: \S", line), f"{change}\n{line}"


@pytest.mark.filterwarnings("error", "ignore::ResourceWarning")  # of files that other tests left to be closed
def test_a_house_is_worked_whatever_one_of_its_fields_says() -> None:
    shuffled = changes()
    random.Random(2).shuffle(shuffled)
    worked = 0
    for change in shuffled:
        if worked == SAMPLE:
            break
        if _accepted(change):
            worked += 1
            try:
                work_through(change.text())
            except Exception as reason:
                raise AssertionError(f"{change}: {type(reason).__name__}: {reason}") from reason
    assert worked == SAMPLE


def changed(text: str, old: str, new: str) -> str:
    assert text.count(old) == 1, old
    return text.replace(old, new)


@pytest.mark.filterwarnings("error", "ignore::ResourceWarning")  # of files that other tests left to be closed
@pytest.mark.parametrize(
    "text",
    [
        changed(ALDER, 'suction = "72 Pa ± 5 Pa"', 'suction = "0 Pa"'),
        changed(ALDER, 'suction = "75 Pa ± 5 Pa"', 'suction = "3 ± 1 Pa"'),
        changed(KESTREL, '  { flow = "0 L/s", pressure = "320 Pa" },\n', ""),
        changed(KESTREL, '  { flow = "60 L/s", pressure = "0 Pa" },\n', ""),
        changed(KESTREL, 'air_change = "0.12 1/h ± 0.03 1/h"', 'air_change = "0 1/h"'),
        changed(KESTREL, 'altitude = "240 m"', 'barometric_pressure = "0 kPa"'),
        changed(KESTREL, 'neutral_height = "1.6 m"', 'neutral_height = "0 m"'),
        changed(KESTREL, 'hours = "28 h ± 8 h"', 'hours = "40 s"'),
        changed(KESTREL, 'pit_radius = "250 mm ± 50 mm"', 'pit_radius = "40 m"'),
        changed(KESTREL, 'stud_spacing = "600 mm"', 'stud_spacing = "60 m"'),
        changed(KESTREL, 'soil_suction = "150 Pa ± 10 Pa"', 'soil_suction = "90 kPa"'),
        changed(ALDER, 'shows = "8.2 pCi/L"', 'shows = "27,000 pCi/L"'),
        changed(ALDER, 'go = "up 11 ft 3-1/8 in"\npipe = "wall"', 'go = "up 11 ft 3-1/8 in"'),
        changed(KESTREL, 'stick = ["3 m", "6 m"]', 'stick = ["16 mm"]'),
        changed(ALDER, 'device_error = "10 %"', 'device_error = "100 %"'),
    ],
    ids=[
        *("hole of none", "weak hole", "fan from above zero", "fan that ends", "no air", "no pressure", "level"),
        *(
            "half a minute",
            "pit beyond walls",
            "studs apart",
            "soil that is shut",
            "display beyond all",
            "no pipe in wall",
            "short sticks",
            "device far off",
        ),
    ],
)
def test_what_once_fell_is_worked_or_refused_as_a_record(text: str) -> None:
    with suppress(RecordError):
        work_through(text)


def test_a_piece_that_asks_for_what_is_not_known_says_so_in_one_line() -> None:
    found = calculate(parse_house(KESTREL, "house.toml", HOUSES), "air")
    piece = Told("piece", "A piece", lambda one: (Para((str(one.run.values["roof_hole_diameter"]),)),))
    assert "roof_hole_diameter" not in found.run.values
    assert piece.blocks(found) == (Para((f"This is not worked: {term('roof_hole_diameter').label} is not known.",)),)


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        *(
            ("\ncount = 1\n", f'\ncount = "{count}"\n', f"wall.pipe.count: '{count}' is no number of pipes in a wall; ")
            for count in ("0", "9", "99", "2 ± 1")
        ),
        ("[foundation]\n", '[foundation]\nstone_diameter = "0 mm"\n', "foundation.stone_diameter: '0 mm' is no size"),
        ("[foundation]\n", '[foundation]\nstone_porosity = "0.2"\n', "foundation.stone_porosity: '0.2' is not that of"),
        (
            '"20 degC"\npower',
            '"2000 degC"\npower',
            "fan.rated_temperature: '2000 degC' cannot be: that is not air in a fan; ",
        ),
    ],
)
def test_a_figure_that_nothing_can_be_worked_with_is_a_fault_of_the_record(old: str, new: str, line: str) -> None:
    with pytest.raises(RecordError) as refusal:
        parse_house(changed(KESTREL, old, new), "house.toml")
    (told,) = refusal.value.lines
    assert line in told
