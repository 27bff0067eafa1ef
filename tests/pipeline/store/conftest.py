"""Nights played one after the other on the small network."""

import pytest

from pipeline import nightly
from tests.pipeline.store.nights import Nights


@pytest.fixture
def nights(workspace, monkeypatch):
    """Give nights that take and keep what is sent; what they publish is no matter here."""
    monkeypatch.setattr(nightly, "_publish", lambda *_args, **_more: None)
    played = Nights(workspace)
    yield played
    played.engine.dispose()
