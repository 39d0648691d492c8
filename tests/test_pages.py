"""What stands in a workbook around its panels: where it leads, and what the start page says of a record."""

from pathlib import Path

from radonwork.workbook import book, start


def test_a_workbook_leads_on_from_its_beginning_and_names_the_start_page_once() -> None:
    first, later = (book(key).question()._repr_html_() for key in ("tests", "roof"))
    assert first.count("00-start.ipynb") == 1
    assert "Next: How radon enters" in first
    assert "Previous: Condensate slope" in later
    assert "Next: Route pieces and parts" in later
    assert "<nav" not in book("year").question()._repr_html_()  # the second topic of its workbook


def test_the_start_page_writes_the_command_for_the_record_that_it_shows(tmp_path: Path) -> None:
    record = tmp_path / "my own house.toml"
    record.write_text('[house]\nname = "Mine"\n')
    assert "radonwork report 'my own house.toml' -o 'my own house.html'" in repr(start(record).report())
    missing = repr(start(record).missing()).splitlines()
    assert len(missing) == len(set(missing))
