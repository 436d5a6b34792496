"""An own cache for every test, and the public-domain clips."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import settings

from walkgrade.speech.timeline import RATE

# On a busy machine single examples may take long; that is no fault of the code under test.
settings.register_profile("any-machine", deadline=None)
settings.load_profile("any-machine")

DATA = Path(__file__).parent.parent / "data"


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test touches the user's cache."""
    monkeypatch.setenv("WALKGRADE_CACHE", str(tmp_path_factory.mktemp("cache")))


@pytest.fixture(scope="session")
def clips() -> tuple[Path, ...]:
    """The five LibriVox clips, in order."""
    found = tuple(sorted((DATA / "librivox").glob("*.flac")))
    assert len(found) == 5
    return found


@pytest.fixture(scope="session")
def reading(clips: tuple[Path, ...], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The five clips one after the other with 2 s of faint noise between them."""
    noise = np.random.default_rng(1)
    parts = []
    for clip in clips:
        parts += [soundfile.read(clip, dtype="float32")[0], noise.normal(0, 1e-3, 2 * RATE)]
    path = tmp_path_factory.mktemp("reading") / "reading.flac"
    soundfile.write(path, np.concatenate(parts), RATE)
    return path
