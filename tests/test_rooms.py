"""The three rooms import one way only: dashboard, then pipeline, then sites."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MAY_IMPORT = {
    "sites": {"sites"},
    "pipeline": {"sites", "pipeline"},
    "dashboard": {"sites", "pipeline", "dashboard"},
}


def rooms_imported(source: str) -> set[str]:
    """Return the top-level names of everything that a module imports, wherever in the module it does so."""
    names = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            names.add(node.module.split(".")[0])
    return names & set(MAY_IMPORT)


@pytest.mark.parametrize("room", MAY_IMPORT)
def test_a_room_imports_only_itself_and_the_rooms_below(room):
    modules = list((ROOT / room).rglob("*.py"))
    assert modules
    wrong = {
        str(module.relative_to(ROOT)): extra
        for module in modules
        if (extra := rooms_imported(module.read_text(encoding="utf-8")) - MAY_IMPORT[room])
    }
    assert wrong == {}


def test_the_guard_sees_an_import_inside_a_function():
    assert rooms_imported("def late():\n    from dashboard import app\n") == {"dashboard"}
