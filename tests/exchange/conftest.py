"""What every exchange test starts from."""

from collections.abc import Callable

import pytest
from django.apps import apps

from registry.exchange.folder import SurveyRefusedError
from registry.exchange.importing import import_survey
from tests.exchange.small_survey import survey

Counts = dict[str, int]


def count_rows() -> Counts:
    """Return the number of rows of every table of ours, history included."""
    labels = ("client_sites", "equipment", "audio", "baselines")
    return {
        model._meta.label: model._base_manager.count()
        for label in labels
        for model in apps.get_app_config(label).get_models()
    }


@pytest.fixture
def imported(db: None) -> dict[str, bytes]:
    files = survey()
    import_survey(files, by=None)
    return files


@pytest.fixture
def refused(db: None) -> Callable[[dict[str, bytes]], list[str]]:
    """Return a function that imports a broken survey and gives its faults, after making sure nothing was written."""

    def faults(files: dict[str, bytes]) -> list[str]:
        before = count_rows()
        with pytest.raises(SurveyRefusedError) as caught:
            import_survey(files, by=None)
        assert count_rows() == before
        return [str(problem) for problem in caught.value.problems]

    return faults
