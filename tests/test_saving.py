"""Changing a record: only what was meant changes, and a save is whole or not at all."""

import multiprocessing
import os
import random
import time
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from radonwork.files import DATA
from radonwork.house.layout import layout
from radonwork.house.record import House, RecordError, dotted, parse_house, read_house
from radonwork.house.saving import Record, open_record

ALDER = (DATA / "houses" / "alder-court.toml").read_text(encoding="utf-8")
untimed = settings(deadline=None)


@pytest.fixture
def alder(tmp_path: Path) -> Path:
    path = tmp_path / "alder-court.toml"
    path.write_text(ALDER, encoding="utf-8", newline="")
    return path


def record_of(text: str, folder: Path) -> Record:
    path = folder / "house.toml"
    path.write_bytes(text.encode())
    return open_record(path)


def changed(text: str, folder: Path, **values: Any) -> str:
    """The text once these fields (a__b for a.b) are changed."""
    fields = {name.replace("__", "."): value for name, value in values.items()}
    return record_of(text, folder).change(fields).text


def refused(record: Record, values: dict[str, Any]) -> str:
    before = record.path.read_bytes()
    with pytest.raises(RecordError) as caught:
        record.change(values)
    assert record.path.read_bytes() == before
    assert os.listdir(record.path.parent) == [record.path.name]
    return str(caught.value)


# ---------------------------------------------------------------- the difference, then the save


def test_the_difference_is_shown_before_anything_is_written(alder: Path) -> None:
    change = open_record(alder).change({"wall.bay_width": "14 in"})
    assert alder.read_text(encoding="utf-8") == ALDER
    assert change.difference.splitlines()[:2] == ["--- alder-court.toml", "+++ alder-court.toml, changed"]
    lines = [line for line in change.difference.splitlines()[2:] if line[0] in "+-"]
    assert lines == [
        '-bay_width = "13-7/8 in ± 1/8 in" # measured: less than the layout says',
        '+bay_width = "14 in" # measured: less than the layout says',
    ]
    saved = change.save()
    assert read_house(alder) == saved.house == change.house
    assert saved.house.facts()["bay_width"].value == pytest.approx(0.3556)


def test_the_record_as_it_was_is_kept_beside_it(alder: Path) -> None:
    record = open_record(alder)
    kept = alder.with_name("alder-court.toml.bak")
    second = record.change({"wall.bay_width": "14 in"}).save()
    assert kept.read_text(encoding="utf-8") == ALDER
    third = second.change({"wall.bay_width": "15 in"}).save()
    assert kept.read_text(encoding="utf-8") == second.text != third.text
    assert sorted(os.listdir(alder.parent)) == [alder.name, kept.name]


def test_a_change_to_what_is_there_already_differs_in_nothing(alder: Path) -> None:
    assert open_record(alder).change({"wall.bay_width": "13-7/8 in ± 1/8 in"}).difference == ""


def test_a_field_can_be_named_by_the_term_it_states(alder: Path) -> None:
    record = open_record(alder)
    assert record.change({"pipe_length": "108 in"}).text == record.change({"wall.piece_length": "108 in"}).text
    assert record.holds("pipe_length")
    # a nominal size states diameter and bore already, and no field at all holds a depth of water
    assert not any(record.holds(term) for term in ("main_pipe_diameter", "large_bore", "water_depth"))
    assert refused(record, {"large_bore": "3 in"}) == "alder-court.toml: no field of the record states 'large_bore'"


def test_a_metric_pipe_is_changed_by_its_outside_diameter(tmp_path: Path) -> None:
    text = (DATA / "houses" / "kestrel-lane.toml").read_text(encoding="utf-8")
    house = record_of(text, tmp_path).change({"main_pipe_diameter": "125 mm"}).house
    assert house.facts()["large_bore"].value == pytest.approx(0.1186)


# ---------------------------------------------------------------- everything else stays


def test_every_field_can_be_changed_and_no_other_character_is() -> None:
    """Each value of the example written anew, without its tolerance: the text outside its span is the same."""
    places = layout(ALDER)
    parsed = tomllib.loads(ALDER)
    record = Record(Path("x.toml"), ALDER, "", parse_house(ALDER, "x"))
    tried = 0
    for path, (start, end) in places.values.items():
        value: Any = parsed
        for part in path:
            value = value[part]
        if isinstance(value, list | dict) or isinstance(path[-1], int):
            continue
        anew = value.split(" ± ")[0] if isinstance(value, str) else value
        text = record.change({dotted(path): anew}).text
        assert text.startswith(ALDER[:start])
        assert text.endswith(ALDER[end:])
        tried += 1
    assert tried > 45


def test_a_new_field_stands_in_its_section_above_the_next_ones_comment(tmp_path: Path) -> None:
    text = '[wall]\nplay = "1/4 in"  # snug\n\n# the roof\n[roof]\npitch = "7/12"'
    assert changed(text, tmp_path, wall__slot_start="0 in", roof__deck_thickness="5/8 in") == (
        '[wall]\nplay = "1/4 in"  # snug\nslot_start = "0 in"\n\n# the roof\n[roof]\npitch = "7/12"\ndeck_thickness = "5/8 in"\n'
    )


def test_a_new_section_stands_at_the_end(tmp_path: Path) -> None:
    text = '[wall]\nplay = "1/4 in"'
    values = {"climate__attic_temperature": "-5 degF", "climate__barometric_pressure": "99 kPa"}
    assert changed(text, tmp_path, **values) == (
        '[wall]\nplay = "1/4 in"\n\n[climate]\nattic_temperature = "-5 degF"\nbarometric_pressure = "99 kPa"\n'
    )
    assert changed("", tmp_path, run__pipe__nominal="3") == '[run.pipe]\nnominal = "3"\n'
    nested = changed('[run.pipe]\nnominal = "3"\n', tmp_path, run__slope="1 %")
    assert nested == '[run.pipe]\nnominal = "3"\n\n[run]\nslope = "1 %"\n'


# A library that keeps comments was seen to move both the second test and its comment out of this order.
INTERRUPTED = """\
[[test]]
concentration = "1 pCi/L"

[roof]   # stands between the tests
pitch = "7/12"

# second test
[[test]]
concentration = "2 pCi/L"
"""


def test_tests_with_another_section_between_them_stay_in_order(tmp_path: Path) -> None:
    record = record_of(INTERRUPTED, tmp_path)
    assert record.change({"test[2].concentration": "3 pCi/L"}).text == INTERRUPTED.replace("2 pCi", "3 pCi")
    assert record.change({"test[1].place": "den"}).text == INTERRUPTED.replace(
        '1 pCi/L"\n', '1 pCi/L"\nplace = "den"\n'
    )
    added = record.change({"test[3].kind": "long-term", "test[3].concentration": "4 pCi/L"})
    assert added.text == INTERRUPTED + '\n[[test]]\nkind = "long-term"\nconcentration = "4 pCi/L"\n'
    assert [test.concentration.text for test in added.house.test if test.concentration] == [
        "1 pCi/L",
        "2 pCi/L",
        "4 pCi/L",
    ]


def test_a_section_on_one_line_is_changed_on_that_line(tmp_path: Path) -> None:
    text = '[run]\npipe = { nominal = "3", schedule = 40 } # main\n'
    assert changed(text, tmp_path, run__pipe__schedule="80", run__pipe__diameters="nominal") == (
        '[run]\npipe = { nominal = "3", schedule = "80", diameters = "nominal" } # main\n'
    )
    assert changed("[run]\npipe = {}\n", tmp_path, run__pipe__nominal="3") == '[run]\npipe = { nominal = "3" }\n'


def test_windows_line_ends_stay(tmp_path: Path) -> None:
    text = '# house\r\n[wall]\r\nplay = "1/4 in"\r\n'
    record = record_of("\ufeff" + text, tmp_path)
    saved = record.change({"wall.slot_start": "0 in", "roof.pitch": "7/12"}).save()
    assert saved.path.read_bytes() == (text + 'slot_start = "0 in"\r\n\r\n[roof]\r\npitch = "7/12"\r\n').encode()


def test_values_of_every_kind_are_written_as_toml(tmp_path: Path) -> None:
    notes = 'a "quoted" \\ name\nwith ends\' and µ'
    text = changed(
        "",
        tmp_path,
        house__notes=notes,
        house__built=1986,
        wall__bearing_or_exterior=False,
        wall__room_height="7' 10\"",
        wall__bay_width='14"',
        tools__hole_saws=["2 in", '3-5/8"'],
    )
    assert "bay_width = '14\"'\n" in text
    house = parse_house(text, "x")
    assert house.house is not None
    assert house.wall is not None
    assert house.wall.room_height is not None
    assert house.wall.bearing_or_exterior is False
    assert (house.house.notes, house.house.built) == (notes, 1986)
    assert house.wall.room_height.value == pytest.approx(94 * 0.0254)


# ---------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"wall.bay_width": "14"}, "wall.bay_width: '14' has no unit; write a length, such as 3 in or 76 mm"),
        ({"wall.bay_width": "14 in", "roof.pitch": "steep"}, "roof.pitch: 'steep' does not start with a number"),
        ({"wall.bay_widht": "14 in"}, "wall.bay_widht: no field has this name; did you mean bay_width?"),
        ({"wall.pipe.outside_diameter": "2 in"}, "gives the size twice"),
        ({"water_depth": "1 mm"}, "no field of the record states 'water_depth'"),
        ({"wall.bay_width.x": "14 in"}, "there is no place for wall.bay_width.x"),
        ({"test[9].place": "den"}, "there is no place for test[9].place"),
        ({"test.place": "den"}, "there is no place for test.place"),
        ({"wall[1].play": "1 in"}, "there is no place for wall[1].play"),
        ({"wall. play": "1 in"}, "'wall. play' is not the name of a field, such as wall.bay_width"),
        ({"wall.x]\n[roof": "1 in"}, "is not the name of a field"),
        ({"house.name": "two\nlines"}, "has more than one line; write one"),
        ({"house.name": "bell\x07"}, "holds the control character"),
        ({"house.name": "delete\x7f"}, "holds the control character"),
        ({"house.name": "half \ud800"}, "is not text"),
        ({"house.built": "1986"}, "is not a whole number"),
    ],
)
def test_a_wrong_value_or_field_is_refused_and_nothing_is_written(
    alder: Path, values: dict[str, Any], told: str
) -> None:
    assert told in refused(open_record(alder), values)


def test_a_layout_that_cannot_take_the_value_is_left_to_its_owner(tmp_path: Path) -> None:
    record = record_of('wall.play = "1/4 in"\n', tmp_path)
    assert "house.toml" in refused(record, {"wall.slot_start": "0 in"})
    assert record.change({"wall.play": "1/2 in"}).text == 'wall.play = "1/2 in"\n'


def test_a_record_with_faults_cannot_be_opened_for_change(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="did you mean wall"):
        record_of("[wal]\n", tmp_path)


def test_a_record_that_would_grow_too_large_is_refused(tmp_path: Path) -> None:
    record = record_of("#" * (256 * 1024 - 10) + "\n", tmp_path)
    assert "is larger than 256 KiB" in refused(record, {"house.name": "A house with a long name"})


def test_a_file_changed_on_disk_since_it_was_read_is_not_overwritten(alder: Path) -> None:
    change = open_record(alder).change({"wall.bay_width": "14 in"})
    alder.write_text(ALDER + "# a note of somebody else\n", encoding="utf-8", newline="")
    with pytest.raises(RecordError, match="was changed on disk since it was read; open it again"):
        change.save()
    assert alder.read_text(encoding="utf-8").endswith("somebody else\n")
    assert os.listdir(alder.parent) == [alder.name]
    alder.unlink()
    with pytest.raises(RecordError, match="cannot be read"):
        change.save()


def test_a_disk_that_refuses_leaves_the_record_as_it_was(alder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    change = open_record(alder).change({"wall.bay_width": "14 in"})

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(RecordError, match=r"alder-court\.toml: cannot be written: No space left on device"):
        change.save()
    assert os.listdir(alder.parent) == [alder.name]
    assert alder.read_text(encoding="utf-8") == ALDER


@untimed
@given(
    st.sampled_from(
        ["house.name", "house.notes", "wall.play", "roof.pitch", "costs.notes", "test[2].place", "test[4].place"]
    ),
    st.one_of(st.text(), st.integers(), st.booleans(), st.floats(), st.lists(st.text(max_size=3), max_size=3)),
)
def test_any_value_is_saved_as_it_was_meant_or_refused(field: str, value: Any) -> None:
    record = Record(Path("x.toml"), ALDER, "", House())
    refusal = None
    try:
        change = record.change({field: value})
    except RecordError as reason:
        refusal = reason
    if refusal:
        assert all(line.isprintable() for line in refusal.lines)
        return
    kept = [line for line in ALDER.splitlines() if line not in change.text.splitlines()]
    assert len(kept) <= 1
    section, _, name = field.partition(".")
    data = tomllib.loads(change.text)
    inside = data[section[:-3]][int(section[-2]) - 1] if section.endswith("]") else data[section]
    assert inside[name] == value


# ---------------------------------------------------------------- interrupted saves


def test_files_left_by_an_interrupted_save_are_cleared_away(alder: Path) -> None:
    old, young = (alder.with_name(f".alder-court.toml.{name}.tmp") for name in ("old", "young"))
    other = alder.with_name(".kestrel-lane.toml.old.tmp")
    for path in (old, young, other):
        path.write_text("half a rec")
    hour_ago = time.time() - 3600
    os.utime(old, (hour_ago, hour_ago))
    os.utime(other, (hour_ago, hour_ago))
    open_record(alder)
    assert sorted(os.listdir(alder.parent)) == sorted([alder.name, young.name, other.name])


@pytest.mark.skipif(os.name == "nt", reason="no links and permissions of this kind")
def test_a_link_stays_a_link_and_permissions_stay(alder: Path) -> None:
    alder.chmod(0o640)
    link = alder.parent / "folder" / "house.toml"
    link.parent.mkdir()
    link.symlink_to(alder)
    open_record(link).change({"wall.bay_width": "14 in"}).save()
    assert link.is_symlink()
    assert alder.stat().st_mode & 0o777 == 0o640
    assert '"14 in"' in alder.read_text(encoding="utf-8")
    assert os.listdir(link.parent) == ["house.toml"]


def _save_for_ever(path: Path) -> None:
    record = open_record(path)
    while True:
        for width in ("14 in", "15 in"):
            record = record.change({"wall.bay_width": width}).save()


@pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(), reason="starts from a copy of this process")
def test_a_program_killed_while_saving_leaves_no_torn_record(tmp_path: Path) -> None:
    padding = "# " + "x" * 200_000 + "\n"  # long enough to be caught half written
    record = record_of(ALDER + padding, tmp_path)
    whole = {record.text} | {record.change({"wall.bay_width": width}).text for width in ("14 in", "15 in")}
    chance = random.Random(7)
    fork = multiprocessing.get_context("fork")
    seen = set()
    for _ in range(15):
        saver = fork.Process(target=_save_for_ever, args=(record.path,))
        saver.start()
        time.sleep(0.15 + 0.1 * chance.random())
        assert saver.is_alive(), "the saver ended by itself"
        saver.kill()
        saver.join()
        found = record.path.read_text(encoding="utf-8")
        assert found in whole
        seen.add(found)
    assert len(seen - {record.text}) > 0, "nothing was ever saved"
