"""The list of drawings: each is named with a term that it does take, so that none is left out for a term it never needs."""

import pytest

from radonwork.drawings.catalogue import _DRAWINGS, _OF_HOUSE, house_figures, topic_drawings
from radonwork.files import DATA
from radonwork.house.job import topics
from radonwork.house.record import House, read_house

HOUSE = read_house(DATA / "houses" / "alder-court.toml")


@pytest.mark.parametrize("key", _DRAWINGS)
def test_a_drawing_takes_the_term_it_is_listed_with(key: str) -> None:
    for need, drawing in zip(_DRAWINGS[key][1].values(), topic_drawings(key), strict=True):
        assert need in drawing.program(drawing.template("us"), drawing.description("us")).takes


@pytest.mark.parametrize("key", _OF_HOUSE)
def test_a_figure_takes_the_term_it_is_listed_with(key: str) -> None:
    for need, figure in zip(_OF_HOUSE[key][1].values(), house_figures(key, HOUSE), strict=True):
        assert need in figure.takes


def test_every_topic_listed_is_a_topic_and_without_terms_nothing_is_drawn() -> None:
    assert {*_DRAWINGS, *_OF_HOUSE} <= topics().keys()
    for key in topics():
        assert topic_drawings(key, ()) == ()
        assert house_figures(key, House(), ()) == ()
