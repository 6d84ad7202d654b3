"""The gauge study of AIAG MSA (4th edition) and random ones against least squares (NumPy)."""

from __future__ import annotations

import random

import numpy as np
import pytest
from scipy import stats

from records.domain.errors import BadValue
from records.domain.measure.coverage import beyond_f
from records.domain.measure.gauge_rows import GaugeRow, Study, study_of
from records.domain.measure.gauge_study import anova, average_and_range
from tests import outside


def printed_rows() -> list[GaugeRow]:
    return [
        GaugeRow(row["part"], row["appraiser"], row["trial"], float(row["value"]))
        for row in outside.data("aiag_msa4_grr_10x3x3.csv")
    ]


def printed() -> Study:
    return study_of(printed_rows())


def invented(seed: int, parts: int, people: int, trials: int, *, mixed: float) -> list[GaugeRow]:
    chance = random.Random(seed)
    of_part = [chance.gauss(500, 2) for _ in range(parts)]
    of_person = [chance.gauss(0, 0.2) for _ in range(people)]
    return [
        GaugeRow(
            f"p{p}", f"a{a}", f"t{t}", of_part[p] + of_person[a] + shift + chance.gauss(0, 0.1)
        )
        for p in range(parts)
        for a in range(people)
        for shift in [chance.gauss(0, mixed)]
        for t in range(trials)
    ]


def squares_left(rows: list[GaugeRow], *factors: str) -> float:
    """What a least-squares fit of these factors leaves, by a matrix of ones and zeros."""
    columns = [np.ones(len(rows))]
    for factor in factors:
        names = [tuple(getattr(row, key) for key in factor.split("*")) for row in rows]
        columns += [np.array([float(name == one) for name in names]) for one in set(names)]
    matrix, values = np.array(columns).T, np.array([row.value for row in rows])
    fit = np.linalg.lstsq(matrix, values, rcond=None)[0]
    return float(((values - matrix @ fit) ** 2).sum())


def test_the_copy_of_the_study_is_the_printed_one() -> None:
    values = [row.value for row in printed_rows()]
    assert sum(values) == pytest.approx(0.13)
    assert sum(value * value for value in values) == pytest.approx(94.6473, abs=5e-5)


def test_average_and_range() -> None:
    spread = average_and_range(printed())
    # unrounded .20186 and .22967; printed from rounded constants .20188, .22963
    assert spread.ev == pytest.approx(0.20186, abs=5e-6)
    assert spread.av == pytest.approx(0.22967, abs=2e-5)
    assert spread.grr == pytest.approx(0.30575, abs=5e-5)
    assert spread.pv == pytest.approx(1.10456, abs=2e-4)
    assert spread.tv == pytest.approx(1.14610, abs=2e-4)
    assert spread.grr_percent == pytest.approx(26.68, abs=5e-3)
    assert 100 * spread.ev / spread.tv == pytest.approx(17.62, abs=1e-2)
    assert 100 * spread.av / spread.tv == pytest.approx(20.04, abs=1e-2)
    assert 100 * spread.pv / spread.tv == pytest.approx(96.38, abs=1e-2)
    assert 1.41 * spread.pv / spread.grr == pytest.approx(5.094, abs=2e-3)
    assert spread.ndc == 5


def test_the_table_of_variance() -> None:
    lines = anova(printed()).lines
    expected = {
        "appraiser": (3.1673, 2, 1.58363),
        "part": (88.3619, 9, 9.81799),
        "interaction": (0.3590, 18, 0.01994),
        "repeatability": (2.7589, 60, 0.04598),
    }
    for name, (ss, df, ms) in expected.items():
        assert lines[name].ss == pytest.approx(ss, abs=5.1e-5)
        assert lines[name].df == df
        assert lines[name].ms == pytest.approx(ms, abs=5.1e-6)
    assert sum(line.ss for line in lines.values()) == pytest.approx(94.6471, abs=5.1e-5)


def test_anova_with_the_interaction_pooled() -> None:
    found = anova(printed())
    spread = found.spread
    assert found.interaction_p == pytest.approx(0.974106, abs=5e-7)
    assert found.pooled
    assert spread.ev == pytest.approx(0.199933, abs=5e-7)
    assert spread.av == pytest.approx(0.226838, abs=6e-7)
    assert spread.grr == pytest.approx(0.302373, abs=2e-6)
    assert spread.pv == pytest.approx(1.042327, abs=6e-7)
    assert spread.tv == pytest.approx(1.085300, abs=6e-7)
    variances = [x * x for x in (spread.ev, spread.av, spread.grr, spread.pv, spread.tv)]
    assert variances == pytest.approx([0.03997, 0.05146, 0.09143, 1.08645, 1.17788], abs=6e-6)
    shares = [100 * v / variances[-1] for v in variances[:-1]]
    assert shares == pytest.approx([3.4, 4.4, 7.8, 92.2], abs=0.051)
    assert spread.grr_percent == pytest.approx(27.86, abs=5e-3)
    assert spread.percent_of_tolerance(8) == pytest.approx(22.68, abs=5e-3)
    # 4.861 is truncated, though some print 5
    assert spread.ndc == 4


def test_anova_with_the_interaction_kept() -> None:
    found = anova(printed(), pooling_p=1.0)
    spread = found.spread
    assert not found.pooled
    assert spread.ev == pytest.approx(0.214435, abs=6e-7)
    assert spread.av == pytest.approx(0.228304, abs=6e-7)
    # its variance comes out negative and becomes 0
    assert spread.grr == pytest.approx(0.313217, abs=1e-6)
    assert spread.pv == pytest.approx(1.043395, abs=6e-7)
    assert spread.tv == pytest.approx(1.089393, abs=6e-7)
    assert spread.grr_percent == pytest.approx(28.75, abs=5e-3)
    assert 1.41 * spread.pv / spread.grr == pytest.approx(4.697, abs=5e-4)


@pytest.mark.parametrize("seed", range(8))
def test_sums_of_squares_are_those_of_least_squares(seed: int) -> None:
    chance = random.Random(seed)
    parts, people, trials = chance.randint(2, 6), chance.randint(2, 4), chance.randint(2, 4)
    rows = invented(seed, parts, people, trials, mixed=0.1)
    lines = anova(study_of(rows)).lines
    total = squares_left(rows)
    without_parts, without_people = squares_left(rows, "appraiser"), squares_left(rows, "part")
    additive = squares_left(rows, "part", "appraiser")
    full = squares_left(rows, "part*appraiser")
    assert lines["part"].ss == pytest.approx(total - without_people, rel=1e-7)
    assert lines["appraiser"].ss == pytest.approx(total - without_parts, rel=1e-6)
    assert lines["interaction"].ss == pytest.approx(additive - full, rel=1e-6)
    assert lines["repeatability"].ss == pytest.approx(full, rel=1e-7)


def test_a_strong_interaction_is_kept_and_counts_in_grr() -> None:
    found = anova(study_of(invented(3, 8, 3, 3, mixed=1.0)))
    assert found.interaction_p < 1e-6
    assert not found.pooled
    assert found.spread.grr > 1.5 * (found.spread.ev**2 + found.spread.av**2) ** 0.5


def test_what_each_method_calls_repeatability_is_near_what_was_put_in() -> None:
    study = study_of(invented(11, 20, 3, 3, mixed=0.0))
    assert average_and_range(study).ev == pytest.approx(0.1, rel=0.15)
    assert anova(study).spread.ev == pytest.approx(0.1, rel=0.15)


def test_the_order_of_rows_does_not_matter() -> None:
    rows = printed_rows()
    random.Random(1).shuffle(rows)
    assert anova(study_of(rows)).spread.grr == pytest.approx(anova(printed()).spread.grr)


@pytest.mark.parametrize(
    ("ratio", "upper", "lower"),
    [(3.8379, 3, 351), (0.4337, 18, 60), (2.5, 1, 1), (40.0, 5, 125), (0.01, 99, 9801)],
)
def test_p_of_f_is_scipys(ratio: float, upper: int, lower: int) -> None:
    assert beyond_f(ratio, upper, lower) == pytest.approx(stats.f.sf(ratio, upper, lower), rel=1e-9)
    assert beyond_f(0.0, upper, lower) == 1
    assert beyond_f(1e-30, upper, lower) == pytest.approx(1)
    assert beyond_f(1e40, upper, lower) == pytest.approx(0, abs=1e-15)
    # NIST mass check standard: F.99(3, 351) = 3.8379
    assert beyond_f(3.83787, 3, 351) == pytest.approx(0.01, abs=1e-6)


def _rows(values: dict[tuple[str, str, str], float]) -> list[GaugeRow]:
    return [GaugeRow(*key, value) for key, value in values.items()]


FULL = {(p, a, t): float(p == "2") for p in "12" for a in "AB" for t in "xy"}


def test_a_gauge_that_never_differs_has_no_grr_and_no_ndc() -> None:
    study = study_of(_rows(FULL))
    found = anova(study)
    assert (found.spread.grr, found.spread.ndc, found.interaction_p) == (0, None, 1)
    assert average_and_range(study).grr == 0


def test_rounding_of_floats_is_no_scatter() -> None:
    tenths = {
        key: 0.1 + 500.3 * (key[0] == "2")
        for key in ((p, a, t) for p in "12" for a in "ABC" for t in "xyz")
    }
    study = study_of(_rows(tenths))
    assert (anova(study).spread.grr, average_and_range(study).ndc) == (0, None)


def test_an_interaction_without_any_scatter_is_significant() -> None:
    crossed = {key: float((key[0] == "2") == (key[1] == "B")) for key in FULL}
    assert anova(study_of(_rows(crossed))).interaction_p == 0


def test_nothing_that_differs_is_refused() -> None:
    study = study_of(_rows(dict.fromkeys(FULL, 5.0)))
    for method in (average_and_range, anova):
        with pytest.raises(BadValue, match="some differ"):
            method(study)


def test_a_hole_is_refused_and_named() -> None:
    rows = [
        row for row in printed_rows() if (row.part, row.appraiser, row.trial) != ("4", "B", "2")
    ]
    with pytest.raises(BadValue, match="none of part 4, appraiser B, trial 2") as refused:
        study_of(rows)
    assert refused.value.field == "rows"
    assert "another estimator" in refused.value.message


def test_a_reading_given_twice_is_refused_at_its_row() -> None:
    rows = printed_rows()
    with pytest.raises(BadValue, match="again") as refused:
        study_of([*rows, rows[5]])
    assert refused.value.field == "rows/90"


@pytest.mark.parametrize(("key", "of"), [(0, "parts"), (1, "appraisers"), (2, "trials")])
def test_one_of_a_kind_is_no_study(key: int, of: str) -> None:
    first = next(iter(FULL))[key]
    with pytest.raises(BadValue, match=f"at least 2 {of}|2 to 100 {of}"):
        study_of(_rows({k: v for k, v in FULL.items() if k[key] == first}))
    with pytest.raises(BadValue):
        study_of([])
