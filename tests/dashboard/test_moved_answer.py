"""Watch says why the answer moved, and since when something is new."""

from datetime import datetime

import numpy as np
import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import route
from pipeline.publish import frames
from pipeline.publish.snapshot import FrameKey, newest_snapshot, publish, published_before
from tests.dashboard.framing import framed
from tests.dashboard.public_frames import store_with_answer
from tests.dashboard.tree import find, text_of

MOVED = pd.DataFrame(
    [
        ("corvane", "G07", 20.0, 31.0, 15.0, 16.25, 1.25),
        ("corvane", "G12", 9.0, 8.0, 15.0, 16.25, -0.1),
        ("tressel", "G20", np.nan, 4.0, 7.0, 6.5, -0.5),
    ],
    columns=[
        *("treatment", "site", "percent_before", "percent_now"),
        *("answer_before", "answer_now", "moved_points"),
    ],
)


@pytest.fixture
def seen(published) -> View:
    rows = framed(frames.MOVED, MOVED)
    both = published.replacing(rows, "moved", "tomato-graft", "2025")
    return View(both.replacing(rows, "moved", "tomato-graft", "2024"), OPEN_ACCOUNT)


def part(view: View, season: str) -> list:
    main = route(view, "/watch", f"?season={season}", Screen()).main
    return [one for one in find(list(main), "Section") if "Why the answer moved" in text_of(one)]


def csv(view: View, season: str) -> pd.DataFrame:
    from dashboard.address import Address
    from dashboard.router import page_at, selected

    page = page_at("/watch")
    assert page is not None
    selection = selected(view, page, Address.parse("/watch", f"season={season}"), Screen())
    return page.tables["moved"](view, selection, selection.trial)


def test_once_closed_the_garden_that_moved_the_answer_most_stands_first_with_its_points(seen):
    words = text_of(part(seen, "2024"))
    assert "Corvane stock lies 16.2%\u00a0more against own-root, 15.0%\u00a0more before" in words
    assert "G07 Post Rock Garden moved it most, by 1.25\u00a0points up" in words
    heads = [text_of(one) for one in find(part(seen, "2024"), "Th", scope="row")]
    assert [head.split()[0] for head in heads] == ["G07", "G20", "G12"]
    assert csv(seen, "2024")["site"].tolist() == ["G07", "G12", "G20"]


def test_while_a_trial_runs_only_how_far_is_told_and_never_which_way(seen):
    words = text_of(part(seen, "2025"))
    assert "3\u00a0gardens moved the answer" in words
    assert "1 far, 1 some, 1 little" in words
    for telling in (
        "percent more",
        "% more",
        "%\u00a0more",
        "%\u00a0less",
        "up",
        "down",
        "Corvane",
        "Tressel",
    ):
        assert telling not in words.replace("Treatments are", "")
    table = csv(seen, "2025")
    assert not {"moved_points", "percent_now", "answer_now", "treatment"} & set(table.columns)
    assert table["how_far"].tolist() == ["far", "little", "some"]


def test_gardens_that_moved_the_answer_lead_to_their_own_pages(seen):
    hrefs = [one.href for one in find(part(seen, "2025"), "A") if "/garden" in one.href]
    assert hrefs == ["/garden?garden=G07", "/garden?garden=G20", "/garden?garden=G12"]


def test_a_quiet_night_says_that_nothing_moved_the_answer(view):
    assert "Nothing new moved the answer since the page before this one." in text_of(part(view, "2025"))


def test_the_first_night_has_nothing_to_compare_with(published):
    all_new = published.frame("uploads").assign(is_new=True)
    first = View(published.replacing(all_new, "uploads"), OPEN_ACCOUNT)
    assert "This is the first night" in text_of(part(first, "2025"))
    assert "sheets came in with the first night" in text_of(
        list(route(first, "/watch", "?season=2025", Screen()).main)
    )


def test_what_is_new_is_counted_from_the_snapshot_before(tmp_path):
    engine = store_with_answer(tmp_path).engine
    first = newest_snapshot(engine)
    assert first is not None
    assert published_before(engine, first.id) is None
    frame = {FrameKey("moved", "a", "2024"): frames.MOVED.empty()}
    second = publish(engine, first.run, first.night, datetime(2025, 8, 21, 3), "other", frame)
    assert published_before(engine, second) == first.published
    engine.dispose()
