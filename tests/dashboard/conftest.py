from collections.abc import Callable, Iterator

import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.address import Address
from dashboard.app import create_app
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import page_at, selected
from dashboard.selection import Selection
from pipeline.publish.releases import Releases
from tests.dashboard import synthetic
from tests.dashboard.browsing import browsing
from tests.dashboard.public_frames import store_with_answer
from tests.dashboard.synthetic import SyntheticPublished


@pytest.fixture(scope="session")
def published() -> SyntheticPublished:
    return synthetic.snapshot()


@pytest.fixture
def view(published) -> View:
    return View(published, OPEN_ACCOUNT)


@pytest.fixture
def releases(tmp_path) -> Iterator[Releases]:
    """Give a store with an answer that nobody released yet."""
    made = store_with_answer(tmp_path)
    yield made
    made.engine.dispose()


@pytest.fixture(scope="session")
def client(published):
    return browsing(create_app(lambda: published))


@pytest.fixture
def choose(view) -> Callable[..., Selection]:
    """Return a function from path and query to what they mean."""

    def selection(path: str, query: str = "", screen: Screen | None = None, over: View = view) -> Selection:
        page = page_at(path)
        assert page is not None
        return selected(over, page, Address.parse(path, query), screen or Screen())

    return selection
