"""The report of a house: complete, the same each time, and deaf to whatever a record tries to make it do."""

import hashlib
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from html import escape, unescape
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pypdf
import pytest

from radonwork.drawings.catalogue import Picture, Undrawn, pictures
from radonwork.drawings.charts import MOST_PIPES, along, charts
from radonwork.engine.case import Case, cases
from radonwork.engine.sources import Source
from radonwork.files import DATA
from radonwork.glossary import term
from radonwork.house.calculations import Calculation, calculate, calculations
from radonwork.house.job import parts
from radonwork.house.record import House, fields_of, parse_house, read_house
from radonwork.report import contents, pieces
from radonwork.report.blocks import Figure, capital
from radonwork.report.html import report_html
from radonwork.report.pdf import report_pdf, report_typst
from radonwork.report.told import told as told_of
from radonwork.report.writing import ReportError, write_report
from radonwork.requirements.rules import Finding, judge, requirements_of
from radonwork.workbook.pages import Book

VERDICTS = {"met", "not met", "cannot be judged", "does not apply"}
HOSTILE = [
    "<script>alert(1)</script>",
    '$#eval("x")',
    "]",
    "\\\\ back\\slash \\",
    "{{7*7}}",
    "{% raw %}",
    '"; #panic("out") //',
    "*strong* _weak_ @key <key> = head",
    "& &amp; &lt;",
    "<img src=x onerror=alert(1)>",
]


class Report:
    """One house with its report in both forms."""

    def __init__(self, house: House, file: str = "") -> None:
        self.house, self.file = house, file
        self.calculations = calculations(house)
        self.pictures: dict[str, list[Picture | Undrawn]] = {
            c.topic.key: [*pictures(c), *charts(c)] for c in self.calculations
        }
        self.html = report_html(house, self.calculations, self.pictures)
        self.pdf = report_pdf(house, self.calculations, self.pictures)
        self.reader = pypdf.PdfReader(BytesIO(self.pdf))
        self.pdf_text = _run_together("".join(page.extract_text() for page in self.reader.pages))

    @property
    def findings(self) -> list[Finding]:
        return [finding for c in self.calculations for finding in c.findings]


def _run_together(text: str) -> str:
    """Without blanks: where a line breaks is the page's business."""
    return re.sub(r"\s+", "", text)


@pytest.fixture(scope="module", params=["alder-court", "kestrel-lane"])
def report(request: pytest.FixtureRequest) -> Report:
    return Report(read_house(DATA / "houses" / f"{request.param}.toml"), request.param)


@pytest.fixture(scope="module")
def us_report() -> Report:
    return Report(read_house(DATA / "houses" / "alder-court.toml"))


@pytest.fixture
def record(tmp_path: Path) -> Callable[[str], House]:
    def read(text: str) -> House:
        file = tmp_path / "house.toml"
        file.write_text(text, encoding="utf-8")
        return read_house(file)

    return read


# ---------------------------------------------------------------- the same each time


def test_the_same_record_gives_the_same_bytes(us_report: Report) -> None:
    again = Report(read_house(DATA / "houses" / "alder-court.toml"))
    assert again.html == us_report.html
    assert again.pdf == us_report.pdf


def test_another_process_with_another_order_of_sets_gives_the_same_bytes(us_report: Report, tmp_path: Path) -> None:
    """Also in another folder, at another hour and place of the world, and with other names for its user."""
    script = (
        "import sys; from pathlib import Path\n"
        "from radonwork.house.record import read_house; from radonwork.report.writing import write_report\n"
        "house = read_house(Path(sys.argv[1]))\n"
        "for name in ('r.html', 'r.pdf'): write_report(house, Path(name))\n"
    )
    root = str(Path(__file__).parents[1])
    changed = {"PYTHONPATH": root, "PYTHONHASHSEED": "4242", "TZ": "Pacific/Kiritimati", "SOURCE_DATE_EPOCH": "86400"}
    house = str(DATA / "houses" / "alder-court.toml")
    subprocess.run([sys.executable, "-c", script, house], cwd=tmp_path, env=os.environ | changed, check=True)
    ours = [us_report.html.encode("utf-8"), us_report.pdf]
    theirs = [(tmp_path / name).read_bytes() for name in ("r.html", "r.pdf")]
    assert [hashlib.sha256(content).hexdigest() for content in theirs] == [
        hashlib.sha256(content).hexdigest() for content in ours
    ]


# ---------------------------------------------------------------- one file, no network, no script


class _Page(HTMLParser):
    """Every tag and address of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str, str]] = []
        self.words: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def test_the_page_loads_nothing_and_runs_nothing(report: Report) -> None:
    page = _Page(report.html)
    assert not page.tags & {
        "script",
        "link",
        "img",
        "iframe",
        "object",
        "embed",
        "base",
        "form",
        "image",
        "foreignobject",
    }
    assert all(value.startswith("#") for _, name, value in page.attributes if name in ("href", "xlink:href"))
    assert not [name for _, name, _ in page.attributes if name in ("src", "srcset", "action") or name.startswith("on")]
    addresses = [value for _, name, value in page.attributes if "://" in value and not name.startswith("xmlns")]
    assert addresses == []
    assert all(target.startswith(("data:", "#")) for target in re.findall(r"url\([\"']?([^)\"']*)", report.html))
    assert "@import" not in report.html


def test_an_id_is_used_once_and_every_link_leads_somewhere(report: Report) -> None:
    page = _Page(report.html)
    ids = [value for _, name, value in page.attributes if name == "id"]
    assert len(ids) == len(set(ids))
    links = {value[1:] for _, name, value in page.attributes if name in ("href", "xlink:href")}
    links |= set(re.findall(r"url\(#([^)\"']*)\)", report.html))
    links |= {value for _, name, value in page.attributes if name == "aria-labelledby"}
    assert links <= set(ids)


def test_every_formula_of_the_page_is_well_formed_mathml(report: Report) -> None:
    found = re.findall(r"<math\b.*?</math>", report.html, flags=re.DOTALL)
    assert len(found) > 50
    for text in found:
        ElementTree.fromstring(text)


def test_every_picture_is_well_formed(report: Report) -> None:
    found = re.findall(r"<svg\b.*?</svg>", report.html, flags=re.DOTALL)
    assert found
    for text in found:
        ElementTree.fromstring(text)


# ---------------------------------------------------------------- everything is in it


def test_every_calculation_shows_its_equation_numbers_result_source_and_assumptions(report: Report) -> None:
    for c in report.calculations:
        assert c.run.works or c.run.missing
        for work in c.run.works:
            shown = pieces.work_html(work)
            title = escape(work.statement.title).replace("&#x27;", "&#39;")
            start = report.html.index(f"{title}</h3>", report.html.index(f'id="{c.topic.key}-worked"'))
            there = report.html[start : report.html.index("</section>", start)]
            assert there.count("<mtable") == shown.count("<mtable")
            for equation in re.findall(r"<math display=.*?</math>", shown, flags=re.DOTALL):
                assert equation in there
            text = unescape(re.sub(r"<[^>]*>", "", there))
            for name in work.results:
                assert work.shown(name) in text
            for assumption in work.statement.assumptions:
                assert assumption[1:].rstrip(".") in text  # its first letter may be a capital of its own
            assert str(work.statement.source) in text


def test_a_statement_with_an_equation_never_appears_without_it(report: Report) -> None:
    for c in report.calculations:
        for work in c.run.works:
            assert pieces.work_html(work).count("<mtr>") >= 2 * len(work.statement.equations)


def test_every_verdict_is_said_in_words_beside_its_rule(report: Report) -> None:
    assert {finding.verdict for finding in report.findings} <= VERDICTS
    rows = re.findall(r'<tr><th scope="row">(.*?)</th><td><strong class="[\w-]*">(.*?)</strong>', report.html)
    said = [(unescape(rule), verdict) for rule, verdict in rows]
    for finding in report.findings:
        assert (finding.requirement.text, finding.verdict) in said
    for finding in report.findings:
        if finding.verdict != "does not apply":
            assert _run_together(finding.requirement.text) in report.pdf_text
            assert _run_together(finding.reason)[1:] in report.pdf_text  # its first letter is a capital there


def test_the_first_page_of_the_pdf_tells_the_design_and_the_second_begins_with_what_is_not_met(report: Report) -> None:
    first, second = (_run_together(report.reader.pages[n].extract_text()) for n in (0, 1))
    assert _run_together("do not replace codes, permits or licensed trades") in first
    assert [
        words for words in ("Prepared by", "Reviewed by", "Signature", "Date") if _run_together(words) not in first
    ] == []
    for c in report.calculations:
        assert [name for name in c.topic.shows if _run_together(term(name).label)[1:] not in first] == []
        for work in c.run.works:
            assert [
                name
                for name in set(c.topic.shows) & set(work.results)
                if _run_together(contents.result(work, name)[0]) not in first
            ] == []
    assert second.startswith(_run_together("What is not met, and what cannot be judged"))
    broken = [f.requirement.text for f in report.findings if f.verdict == "not met"]
    opened = report.html[report.html.index('id="open"') : report.html.index('id="contents"')]
    assert broken
    assert [text for text in broken if text not in unescape(opened)] == []


def test_a_long_name_and_many_facts_leave_the_design_on_its_page(record: Callable[[str], House]) -> None:
    name = "The house with the green shutters behind the old mill, " * 2
    house = record(f'[house]\nname = "{name}"\n[suction]\nplace = "{name}"\n[outlet]\nnotes = "{name}"\n')
    first, second = (_run_together(Report(house).reader.pages[n].extract_text()) for n in (0, 1))
    assert _run_together("green shutters") in first
    assert "Reviewedby" in first
    assert second.startswith(_run_together("What is not met, and what cannot be judged"))


def test_what_a_topic_shows_on_the_first_page_is_a_result_of_its_sheet(report: Report) -> None:
    for c in report.calculations:
        gives = {name for statement in c.run.sheet.statements for name in statement.gives}
        assert set(c.topic.shows) <= gives


def test_every_result_of_a_topic_stands_in_its_section_with_the_place_where_it_is_worked(report: Report) -> None:
    for number, c in enumerate(report.calculations, start=3):
        here = report.html[report.html.index(f'id="{c.topic.key}"') :]
        rows = re.findall(r"<td>([^<]*)</td><td>([^<]*)</td><td>(A\d+\.\d+)</td>", here[: here.index('id="house"')])
        said = {tuple(unescape(cell) for cell in row) for row in rows}
        for count, work in enumerate(c.run.works, start=1):
            assert {(*contents.result(work, name), f"A{number}.{count}") for name in work.results} <= said


def test_every_drawing_is_there_with_its_words_under_it(report: Report) -> None:
    drawn = [picture for some in report.pictures.values() for picture in some]
    assert drawn
    told = [
        b
        for c in report.calculations
        for piece in told_of(c.topic.key)
        for b in piece.blocks(c)
        if isinstance(b, Figure)
    ]
    assert report.html.count("<svg") == report.html.count("<figcaption") == len(drawn) + len(told)
    for picture in drawn:
        assert escape(picture.description).replace("&#x27;", "&#39;") in report.html
        assert _run_together(picture.description) in report.pdf_text


def _structure(node: Any) -> Iterator[Any]:
    node = node.get_object()
    if isinstance(node, pypdf.generic.ArrayObject):
        for one in node:
            yield from _structure(one)
    elif isinstance(node, pypdf.generic.DictionaryObject):
        yield node
        if "/K" in node:
            yield from _structure(node["/K"])


def test_the_pdf_is_tagged_titled_and_speaks_its_pictures_and_equations(report: Report) -> None:
    root = report.reader.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert report.reader.metadata is not None
    assert report.reader.metadata.title == f"Radon mitigation calculations: {report.house.name}"
    nodes = [node for node in _structure(root["/StructTreeRoot"]) if node.get("/S") in ("/Figure", "/Formula")]
    spoken = [str(node["/Alt"]) for node in nodes if node.get("/Alt")]
    for some in report.pictures.values():
        for picture in some:
            assert picture.description in spoken
    equations = sum(bool(work.statement.equations) for c in report.calculations for work in c.run.works)
    assert sum(node.get("/S") == "/Formula" for node in nodes) >= equations
    assert all(node.get("/Alt") for node in nodes if node.get("/S") == "/Formula")


def test_the_pdf_states_no_date_of_its_making(us_report: Report) -> None:
    assert us_report.reader.metadata is not None
    made = us_report.reader.metadata.creation_date
    assert made is not None
    assert (made.year, made.month, made.day) == (2000, 1, 1)


def test_the_eleven_parts_of_the_job_are_listed_with_what_is_not_built(report: Report) -> None:
    text = unescape(re.sub(r"<[^>]*>", " ", report.html))
    for part in parts():
        assert f"{part.number}. {part.name}" in text
        assert part.question in text
    unbuilt = sum(not part.topics and not part.command for part in parts())
    assert text.count("not built yet") == unbuilt


def _leaves(value: object) -> Iterator[str]:
    if isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from _leaves(inner)
    elif isinstance(value, bool):
        yield "yes" if value else "no"
    else:
        yield value.isoformat() if isinstance(value, date) else str(value)


def test_every_fact_of_the_record_stands_in_the_report_as_it_was_written(report: Report) -> None:
    page = unescape(re.sub(r"<[^>]*>", " ", report.html))
    record = (DATA / "houses" / f"{report.file}.toml").read_text(encoding="utf-8")
    facts = list(_leaves(tomllib.loads(record)))
    assert len(facts) > 30
    for fact in facts:
        assert fact in page
        assert _run_together(fact) in report.pdf_text


def test_works_cited_are_those_used_and_no_others(report: Report) -> None:
    cited = report.html[report.html.index('id="works"') : report.html.index('id="symbols"')]
    text = unescape(re.sub(r"<[^>]*>", "", cited))
    keys = {work.statement.source.key for c in report.calculations for work in c.run.works}
    keys |= {finding.requirement.source.key for finding in report.findings}
    worked = {work.statement.name for c in report.calculations for work in c.run.works}
    keys |= {case.source.key for case in cases() if case.of in worked}
    assert cited.count("<li>") == len(keys - {""})
    for key in keys - {""}:
        assert Source(key).work in text
        assert Source(key).how_read.lower() in text.lower()


def test_a_house_of_which_nothing_is_known_is_told_what_is_missing_and_meets_nothing(
    record: Callable[[str], House],
) -> None:
    report = Report(record('[house]\nname = "Empty"\n'))
    text = unescape(re.sub(r"<[^>]*>", " ", report.html))
    assert "met" not in {finding.verdict for finding in report.findings}
    absent = {field for c in report.calculations for field in c.missing.values()}
    assert absent
    for field in absent:
        assert field in text
        assert _run_together(field) in report.pdf_text


# ---------------------------------------------------------------- in plain words


def _texts(html: str) -> list[str]:
    """The text of the page, piece by piece, without formulas and pictures."""
    page = re.sub(r"<(svg|math|style)\b.*?</\1>", " ", html, flags=re.DOTALL)
    return [unescape(text) for text in re.split(r"<[^>]*>", page) if text.strip()]


def _not_plain(html: str) -> list[str]:
    """Texts that show how Python holds a thing, or a name joined by underscores that is no field of the record."""
    fields = {part for path, _ in fields_of(House) for part in path.replace("[]", "").split(".")}
    held = re.compile(r"\b[A-Za-z_]\w*\(\w+=|\bobject at 0x|\bNone\b|^[\[({]'|\bdatetime\b")
    found = []
    for text in _texts(html):
        joined = re.findall(r"[\w.]*_[\w.]+", re.sub(r"https?://\S+", "", text))
        if held.search(text) or any(not set(name.strip(".").split(".")) <= fields for name in joined):
            found.append(text)
    return found


def test_a_report_is_in_plain_words(report: Report) -> None:
    assert _not_plain(report.html) == []


def test_what_is_refused_is_told_in_plain_words_too() -> None:
    """A house whose radon, attic and roof are beyond what calculations hold for."""
    text = (DATA / "houses" / "alder-court.toml").read_text(encoding="utf-8")
    for stated, beyond in (
        ("10.1 pCi/L", "150 pCi/L"),
        ("9.1 pCi/L", "150 pCi/L"),
        ("-5 degF", "-60 degF"),
        ("6 in", "3 in"),
    ):
        assert f'"{stated}"' in text
        text = text.replace(f'"{stated}"', f'"{beyond}"')
    house = parse_house(text, "house.toml")
    worked = calculations(house)
    refused = {name: reason for c in worked for name, reason in c.run.refused.items()}
    assert len(refused) > 1
    assert [name for name, reason in refused.items() if reason.startswith(f"{name}:")] == []
    assert _not_plain(report_html(house, worked, {})) == []


def test_a_bodys_name_keeps_its_capitals_and_a_file_or_field_its_small_letters() -> None:
    assert (term("icrp_dose").label, term("reynolds_number").label) == ("ICRP dose", "Reynolds number")
    assert capital("slab area") == "Slab area"
    assert capital("monitor.file: nothing.csv is not there") == "monitor.file: nothing.csv is not there"
    assert capital("isoZ.csv has no readings") == "isoZ.csv has no readings"


# ---------------------------------------------------------------- text of strangers


@pytest.mark.parametrize("text", HOSTILE)
def test_text_of_a_record_is_shown_and_never_obeyed(record: Callable[[str], House], text: str) -> None:
    toml = "'''" + text + "'''"
    house = record(f"[house]\nname = {toml}\nnotes = {toml}\n\n[suction]\nplace = {toml}\n")
    report = Report(house)
    page = _Page(report.html)
    assert not page.tags & {"script", "img"}
    title = f"Radon mitigation calculations: {text}"
    words = "".join(page.words)
    assert words.count(title) == 2  # in the head and on the page
    assert words.count(text) >= 5  # title twice, name, notes, place
    assert report.reader.metadata is not None
    assert report.reader.metadata.title == title
    assert report.pdf_text.count(_run_together(text)) >= 4


def test_a_sign_that_the_fonts_lack_is_named_by_its_number(record: Callable[[str], House]) -> None:
    """DejaVu Sans has the Hebrew letter; neither it nor the others have the Chinese one, the sparkles and the house."""
    name = "Casa \u2728 \U0001f3e0 \u4e2d \u05d0 \u017b"
    report = Report(record(f'[house]\nname = "{name}"\n'))
    assert name in report.html
    assert "Casa[U+2728][U+1F3E0][U+4E2D]\u05d0\u017b" in report.pdf_text


def test_the_pdf_holds_no_font_of_boxes(record: Callable[[str], House]) -> None:
    report = Report(record('[house]\nname = "\u4e2d\u6587"\n'))
    resources = [page["/Resources"].get("/Font", {}) for page in report.reader.pages]
    fonts = {font.get_object()["/BaseFont"].partition("+")[2] for some in resources for font in some.values()}
    assert any(name.startswith("DejaVuSans") for name in fonts)
    assert [name for name in fonts if not name.startswith(("DejaVuSans", "LibertinusSerif", "NewCMMath"))] == []


def test_the_source_of_the_pdf_is_never_more_than_strings_of_what_a_record_says(record: Callable[[str], House]) -> None:
    report = Report(record("[house]\nname = '#import \"@preview/x:1.0.0\"'\n"))
    source = report_typst(report.house, report.calculations, report.pictures)
    assert source.count('#import "@preview') == 0
    assert source.count('#import \\"@preview') >= 2


# ---------------------------------------------------------------- pieces


def test_a_piece_says_where_each_number_comes_from(us_report: Report) -> None:
    (pipes,) = (c for c in us_report.calculations if c.topic.key == "pipes")
    work = pipes.run.work("flow_ratio")
    assert work is not None
    text = unescape(re.sub(r"<[^>]*>", " ", pieces.run_html(pipes)))
    assert "<details><summary>Values put in</summary>" in pieces.work_html(work)
    assert "worked out before" in text
    assert "assumed as 1/4" in text
    assert "stated as 2" in text


@pytest.mark.parametrize(("tolerance", "said"), [("0.01 in", True), ("0.2 in", False)])
def test_what_the_tolerances_do_to_a_verdict_is_said(tolerance: str, said: bool) -> None:
    """A bore of 3.068 in against a least bore of 3 in: 0.01 in leaves it met, 0.2 in does not."""
    rule = next(rule for rule in requirements_of("pipes") if rule.check.quantity == "large_bore")
    bore = term("large_bore").read(f"3.068 in ± {tolerance}")
    samples = {"large_bore": np.array([bore.value - bore.tolerance, bore.value + bore.tolerance])}
    flow = term("air_flow").read("62 cfm").value
    finding = judge(rule, {"large_bore": bore.value, "air_flow": flow}, samples=samples)
    text = unescape(pieces.findings_html([finding], "us"))
    assert finding.verdict == "met"
    assert finding.margin_text("us").removeprefix("margin ") in text
    assert ("stays the same to the edges" in text) is said
    assert ("at the edge of the stated tolerance it is not" in text) is not said


def test_a_value_from_memory_is_shown_as_never_deciding() -> None:
    one = cases()[0]
    remembered: Case = replace(one, source=Source(kind="from memory, unverified"))
    assert "never decides" not in pieces.cases_html([one])
    assert "never decides" in pieces.cases_html([remembered])


def test_a_published_value_that_differs_is_said_to_differ() -> None:
    one = next(case for case in cases() if case.decides and len(case.published) == 1)
    ((name, text),) = one.published.items()
    wrong = replace(one, published={name: re.sub(r"^[\d.]+", "77777", text)})
    assert "Does not agree" not in pieces.cases_html([one])
    assert "Does not agree" in pieces.cases_html([wrong])
    agreed, differing = contents.agreement([one]), contents.agreement([one, wrong])
    assert (len(agreed), len(differing)) == (1, 2)


def test_the_sources_of_nothing_are_an_empty_list() -> None:
    assert "<li>" not in pieces.sources_html([""])


# ---------------------------------------------------------------- charts


def test_a_chart_runs_through_the_values_of_the_sheet(us_report: Report) -> None:
    """Each point of a chart is what the sheet gives for that one value, worked by itself."""
    (pipes,) = (c for c in us_report.calculations if c.topic.key == "pipes")
    counts = np.arange(1.0, MOST_PIPES + 1)
    found = along(pipes, "pipe_count", counts)
    for count, flow, area in zip(counts, found["flow_ratio"], found["area_ratio"], strict=True):
        alone = pipes.run.sheet.run(pipes.run.given | {"pipe_count": float(count)}).values
        assert (flow, area) == pytest.approx((alone["flow_ratio"], alone["area_ratio"]), rel=1e-12)
    (chart,) = charts(pipes)
    assert (
        f"2: area {100 * pipes.run.values['area_ratio']:.0f} %, flow {100 * pipes.run.values['flow_ratio']:.0f} %"
        in (chart.description)
    )


def test_the_band_of_slopes_passes_through_that_of_the_design_flow(us_report: Report) -> None:
    (condensate,) = (c for c in us_report.calculations if c.topic.key == "condensate")
    design = condensate.run.values["air_flow"]
    found = along(condensate, "air_flow", np.array([0.8, 1.0, 1.2]) * design)
    for name in ("band_low_slope", "band_high_slope"):
        assert found[name][1] == pytest.approx(condensate.run.values[name], rel=1e-9)


def test_a_chart_keeps_its_words_as_text(us_report: Report) -> None:
    made = [chart for c in us_report.calculations for chart in charts(c)]
    assert len(made) == 4
    for chart in made:
        assert isinstance(chart, Picture)
        assert chart.svg.startswith("<svg ")
        assert "role='img'" in chart.svg
        assert chart.svg.count("<text") > 8
        assert "<style" not in chart.svg


def test_a_topic_of_which_nothing_is_known_has_no_chart(record: Callable[[str], House]) -> None:
    worked: tuple[Calculation, ...] = calculations(record('[house]\nname = "Empty"\n'))
    assert [chart for c in worked for chart in charts(c)] == []


@pytest.mark.parametrize("flow", ["200 cfm", "0 cfm"], ids=["not even a plumb pipe drains", "an axis of no length"])
def test_a_chart_that_these_values_do_not_let_be_made_is_named_in_report_and_workbook(
    tmp_path: Path, flow: str
) -> None:
    path = tmp_path / "house.toml"
    pipe = '{ nominal = "3", schedule = 40, diameters = "least wall" }'
    path.write_text(f'[run]\ndesign_flow = "{flow}"\ninlet_temperature = "55 degF"\npipe = {pipe}\n', encoding="utf-8")
    found = calculate(read_house(path), "condensate")
    assert charts(found) == [Undrawn("Slope that drains, against the flow of air")]
    told = "Not drawn: Slope that drains, against the flow of air. "
    assert told in report_html(read_house(path), [found], {"condensate": charts(found)})
    assert told in repr(Book("condensate", path).pictures())


# ---------------------------------------------------------------- the file


@pytest.mark.parametrize("name", ["report.txt", "report", "report.html.gz", "nowhere/report.html", "folder.pdf"])
def test_a_report_that_cannot_be_written_says_why_in_one_line(us_report: Report, tmp_path: Path, name: str) -> None:
    (tmp_path / "folder.pdf").mkdir()
    with pytest.raises(ReportError) as refused:
        write_report(us_report.house, tmp_path / name)
    assert "\n" not in str(refused.value)
    assert name.split("/")[0] in str(refused.value)
    assert [file.name for file in tmp_path.iterdir()] == ["folder.pdf"]


def test_a_write_that_fails_leaves_the_old_report(
    us_report: Report, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "report.html"
    file.write_text("old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ReportError, match="No space left on device"):
        write_report(us_report.house, file)
    assert file.read_text() == "old"
    assert list(tmp_path.iterdir()) == [file]
