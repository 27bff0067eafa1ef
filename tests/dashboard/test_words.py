"""The words of the pages keep to their voice."""

import ast
import re
from pathlib import Path

from dashboard import words
from dashboard.wording import measures

#: Words that blame, frighten or claim; the network's own voice, no source.
NEVER = re.compile(
    r"\b(invalid|illegal|outliers?|errors?|null|anomal\w+|failed|failures?|wrong|mistakes?|significant|proves?|"
    r"safe|no effect|must|bad data)\b",
    re.IGNORECASE,
)


def strings() -> list[str]:
    """Return every text of the modules of words that pages may show."""
    home = Path(words.__file__)
    return [text for module in (home, *home.parent.glob("wording/*.py")) for text in texts_of(module)]


def texts_of(module: Path) -> list[str]:
    tree = ast.parse(module.read_text(encoding="utf-8"))
    documented = (node for node in ast.walk(tree) if isinstance(node, ast.Module | ast.ClassDef))
    docs = {ast.get_docstring(node, clean=False) for node in documented}
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value not in docs
    ]


def test_no_text_blames_frightens_or_claims():
    texts = strings()
    assert len(texts) > 150
    assert [text for text in texts if NEVER.search(text)] == []


def test_the_guard_sees_a_word_that_blames():
    assert NEVER.search("This row is invalid.")


def test_every_page_says_what_it_is_and_what_stands_while_it_cannot_show_its_figure():
    for page in (words.WATCH, words.COMPARE, words.GRADIENT):
        assert all((page.link, page.title, page.nothing, page.reading, page.trouble))
        assert page.reading.endswith("…")


def test_under_a_west_to_east_figure_stands_that_it_is_a_pattern():
    assert words.GRADIENT_WORDS["pattern"].startswith("This is a pattern, not a cause.")


def test_every_measure_of_a_plot_has_words():
    assert set(measures.OUTCOMES) <= set(measures.COLUMNS)


def test_no_text_names_a_colour_that_a_part_has_on_one_paper_alone():
    texts = [*strings(), *texts_of(Path(words.__file__).parent / "sending" / "words.py")]
    # On dark paper the white band is not white.
    assert [text for text in texts if re.search(r"\b(white|black)\b", text, re.IGNORECASE)] == []
