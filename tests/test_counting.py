"""Errors of counts, against the Poisson and Skellam laws of scipy."""

import pytest
import scipy.stats

from radonwork.formulas import counting


@pytest.mark.parametrize("mean", [1.0, 25.0, 400.0, 8640.0])
def test_the_error_of_a_count_is_that_of_scipys_poisson_law(mean: float) -> None:
    law = scipy.stats.poisson(mean)
    assert counting.count_error(gross_count=mean) == pytest.approx(law.std() / law.mean(), rel=1e-12)


@pytest.mark.parametrize("background", [100.0, 2000.0, 1e5])
@pytest.mark.parametrize("chance", [0.05, 0.01])
def test_chance_exceeds_the_deciding_count_as_seldom_as_asked(background: float, chance: float) -> None:
    """The difference of two Poisson counts has Skellam's law; a normal law in its place is off by some of the last steps."""
    terms = {"background_count": background, "one_sided_quantile": float(scipy.stats.norm.isf(chance))}
    decides, detects = counting.decision_count(**terms), counting.detection_count(**terms)
    step = float(scipy.stats.skellam.pmf(round(decides), background, background))
    assert scipy.stats.skellam.sf(decides, background, background) == pytest.approx(chance, abs=step)
    missed = scipy.stats.skellam.cdf(decides, background + detects, background)
    assert missed == pytest.approx(chance, abs=2 * step)


def test_the_sum_of_variances_is_that_of_many_drawn_counts() -> None:
    gross, empty = scipy.stats.poisson.rvs([[510.0], [2400.0]], size=(2, 200_000), random_state=1)
    drawn = (gross / 5 - empty / 60).std()
    error = counting.net_rate_error(gross_count=510, gross_time=5, background_count=2400, background_time=60)
    assert error == pytest.approx(drawn, rel=0.01)  # 200,000 draws leave 0.16 % of a standard deviation
