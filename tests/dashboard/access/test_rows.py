"""What of a published snapshot an account sees."""

import pytest

from dashboard.access.account import Account
from dashboard.access.rows import FEWEST_PEERS, Seen
from dashboard.access.rules import may
from dashboard.worked import Worked
from pipeline.publish.frames import FRAMES
from tests.dashboard.access.network import OTHER, OWN

VOLUNTEER = Account("Rosa", "volunteer", (OWN,), 2)
LEAD = Account("Ada", "lead", (), 1)
TRIAL = "tomato-graft"
RUNNING, CLOSED = "2025", "2024"
OF_GARDENS = [frame for frame in FRAMES if {"site", "sites"} & {column.name for column in frame.columns}]


@pytest.mark.parametrize("frame", FRAMES, ids=lambda frame: frame.name)
@pytest.mark.parametrize("season", [RUNNING, CLOSED])
def test_a_volunteer_sees_no_row_of_another_garden_in_any_frame(published, frame, season):
    place = (TRIAL, season) if frame.per_season else (None, None)
    rows = Seen(published, VOLUNTEER).frame(frame.name, *place)
    if "site" in rows:
        assert set(rows["site"]) <= {OWN}
    assert OTHER not in rows.to_csv()


def test_an_agent_of_several_gardens_sees_those_and_no_other(published):
    agent = Account("Kit", "volunteer", (OWN, OTHER), 3)
    rows = Seen(published, agent).frame("plot_seasons", TRIAL, CLOSED)
    assert set(rows["site"]) == {OWN, OTHER}
    assert set(published.frame("plot_seasons", TRIAL, CLOSED)["site"]) > {OWN, OTHER}


def test_an_agent_of_several_gardens_may_send_for_those_and_no_other():
    agent = Account("Kit", "volunteer", (OWN, OTHER), 3)
    assert may(agent, "page", "/send", [OWN])
    assert may(agent, "page", "/send", [OTHER])
    assert not may(agent, "page", "/send", ["G99"])


@pytest.mark.parametrize("frame", FRAMES, ids=lambda frame: frame.name)
def test_the_lead_sees_every_row(published, frame):
    place = (TRIAL, CLOSED) if frame.per_season else (None, None)
    assert len(Seen(published, LEAD).frame(frame.name, *place)) == len(published.frame(frame.name, *place))


@pytest.mark.parametrize("role", ["administrator", "public"])
@pytest.mark.parametrize("name", ["gardens", "plot_seasons", "effects", "network", "findings", "uploads"])
def test_nobody_else_sees_a_single_garden_or_an_answer_before_its_release(published, role, name):
    rows = Seen(published, Account("x", role)).frame(name, TRIAL, CLOSED)
    assert rows.empty


def test_a_volunteer_sees_no_effect_until_the_trial_is_closed(published):
    seen = Seen(published, VOLUNTEER)
    for name in ("effects", "harvest_curves"):
        assert seen.frame(name, TRIAL, RUNNING).empty
        assert set(seen.frame(name, TRIAL, CLOSED)["site"]) == {OWN}


def test_peers_are_shown_as_their_middle_half_without_a_name(published):
    spread = Seen(published, VOLUNTEER).middle_half("plot_seasons", "plants", ["block"], TRIAL, RUNNING)
    assert list(spread.columns) == ["block", "low", "high", "gardens"]
    others = published.frame("plot_seasons", TRIAL, RUNNING)
    others = others[(others["site"] != OWN) & (others["block"] == spread["block"][0])]
    means = others.groupby("site")["plants"].mean()
    assert spread["low"][0] == pytest.approx(means.quantile(0.25))
    assert spread["gardens"][0] == len(means)


def test_fewer_than_five_other_gardens_are_not_shown(published):
    rows = published.frame("plot_seasons", TRIAL, RUNNING)
    for gardens, is_shown in ((FEWEST_PEERS - 1, False), (FEWEST_PEERS, True)):
        kept = [OWN, *[site for site in sorted(rows["site"].unique()) if site != OWN][:gardens]]
        few = published.replacing(rows[rows["site"].isin(kept)], "plot_seasons", TRIAL, RUNNING)
        spread = Seen(few, VOLUNTEER).middle_half("plot_seasons", "plants", ["block"], TRIAL, RUNNING)
        assert spread.empty is not is_shown


def test_peers_of_a_running_trial_are_not_parted_by_treatment(published):
    seen = Seen(published, VOLUNTEER)
    assert seen.middle_half("plot_seasons", "plants", ["treatment"], TRIAL, RUNNING).empty
    assert not seen.middle_half("plot_seasons", "plants", ["treatment"], TRIAL, CLOSED).empty


@pytest.mark.parametrize("account", [LEAD, VOLUNTEER, Account("Kit", "volunteer", (OWN, OTHER), 3)])
@pytest.mark.parametrize("frame", OF_GARDENS, ids=lambda frame: frame.name)
@pytest.mark.parametrize("season", [RUNNING, CLOSED])
@pytest.mark.parametrize("site", [OWN, OTHER, "G99"])
def test_the_rows_of_one_garden_are_those_among_all_that_the_account_sees(
    published, account, frame, season, site
):
    place = (TRIAL, season) if frame.per_season else (None, None)
    seen = Seen(published, account)
    rows = seen.frame(frame.name, *place)
    if "site" in rows:
        about = rows["site"] == site
    else:
        about = rows["sites"].str.replace(",", " ").str.split().map(lambda named: site in named)
    assert seen.of_garden(frame.name, site, *place).to_csv(index=False) == rows[about].to_csv(index=False)


def test_what_was_worked_out_of_all_rows_gives_a_volunteer_no_row_of_another_garden(published):
    of_all = Worked()
    assert len(Seen(published, LEAD, of_all).of_garden("plot_seasons", OTHER, TRIAL, RUNNING)) > 0
    assert Seen(published, VOLUNTEER, of_all).of_garden("plot_seasons", OTHER, TRIAL, RUNNING).empty
    assert Seen(published, VOLUNTEER, of_all).of_garden("harvest_curves", OWN, TRIAL, RUNNING).empty
