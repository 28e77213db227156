"""Every row of the reference tables is tested, or its absence is explained."""

import pytest

from tests.engineering import reference, reference_report


@pytest.fixture(scope="module", autouse=True)
def _every_test_module_loaded() -> None:
    reference_report.load_every_test_module()


@pytest.mark.parametrize("file", reference_report.tables())
def test_every_row_is_tested_or_explained(file: str) -> None:
    assert reference_report.missing(file) == []


def test_explanations_are_of_rows_that_exist_and_are_not_tested() -> None:
    ids = {row.id for file in reference_report.tables() for row in reference.table(file)}
    assert set(reference.WHY_UNUSED) <= ids - reference.USED


def test_ids_are_unique() -> None:
    ids = [row.id for file in reference_report.tables() for row in reference.table(file)]
    assert len(ids) == len(set(ids))


def test_a_figure_outside_its_tolerance_is_refused() -> None:
    row = next(row for row in reference.table("wire") if row.id == "WIR-073")
    assert reference.matches(row, 20.94 * 1.0014)
    with pytest.raises(AssertionError, match=r"WIR-073.*Source"):
        reference.close(row, 20.94 * 1.0016)
