import pytest

from tests.dashboard import synthetic
from tests.dashboard.access.network import make_network


@pytest.fixture(scope="session")
def published():
    return synthetic.snapshot()


@pytest.fixture
def fresh(published, tmp_path):
    """Give a network of one test's own."""
    made = make_network(tmp_path / "row", published)
    yield made
    made.engine.dispose()


@pytest.fixture(scope="module")
def network(published, tmp_path_factory):
    """Give a network that the attacks of one module share."""
    made = make_network(tmp_path_factory.mktemp("network") / "row", published)
    yield made
    made.engine.dispose()
