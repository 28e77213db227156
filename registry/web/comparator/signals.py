"""The signals that a tech can play again years later: two settings of the noise that the Workbench makes."""

from typing import Final, NamedTuple
from urllib.parse import urlencode

from django.urls import reverse

from registry.web.workbench.calculations.noise import NOISE_SIGNAL
from registry.web.workbench.working import worked

# These never change: sites rely on the very file. Another signal is another number.
SETTINGS: Final = (
    {"kind": "programme", "seconds": "30", "rms": "-20", "seed": "1"},
    {"kind": "pink", "seconds": "30", "rms": "-20", "seed": "1"},
)


class ReferenceSignal(NamedTuple):
    """One file: what it holds, how to know it again, and where to get it."""

    says: str
    filename: str
    sha256: str
    seed: str
    file: str
    page: str


def reference_signals() -> list[ReferenceSignal]:
    """Return the programme noise and the pink noise of every site."""
    return [_signal(setting) for setting in SETTINGS]


def _signal(setting: dict[str, str]) -> ReferenceSignal:
    answer = worked(NOISE_SIGNAL, setting).answer
    if answer is None or answer.download is None:
        raise ValueError(f"{setting} makes no noise: correct it so that the Workbench's noise page takes it")
    query = urlencode(setting)
    return ReferenceSignal(
        says=answer.says,
        filename=answer.download.filename,
        sha256=str(next(result.value for result in answer.results if result.name == "sha256")),
        seed=setting["seed"],
        file=f"{reverse('calculation-file', args=[NOISE_SIGNAL.name])}?{query}",
        page=f"{reverse('calculation', args=[NOISE_SIGNAL.name])}?{query}",
    )
