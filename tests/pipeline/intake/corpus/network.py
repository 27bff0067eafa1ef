"""The network that the corpus is judged in: two gardens with an eggplant trial of summer 2024."""

from pathlib import Path

from pipeline.checks.context import Context, make_context
from pipeline.settings import Settings
from pipeline.workspace import make_workspace
from sites.crops import read_crops
from sites.registry import read_registry
from tests.pipeline.conftest import REGISTRY, TODAY


def small_network(folder: Path) -> Context:
    """Return what checks know of the network."""
    workspace = make_workspace(folder / "network", Settings(today=TODAY), REGISTRY)
    return make_context(read_registry(workspace.registry), read_crops(), TODAY)
