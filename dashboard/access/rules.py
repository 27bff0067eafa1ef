"""The rules of access: one table says who may do what, and on which gardens.

`may` answers whether an account may do one thing, with the reason; `allowed` lists everything of one kind
that it may. What no row allows is denied. A page, route, callback, download or frame without a row fails
a test, so that adding one takes a row here.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from dashboard.access.account import Account, Role

#: What a rule is about. A page is named by its path, a route by its Flask endpoint, a callback by its first
#: output (or, without any, its first input), a download by page and figure, a frame by its name in the
#: published snapshot, an act by a verb.
Kind = Literal["page", "route", "callback", "frame", "act"]
#: On which gardens: all of the network, or a volunteer's own.
Gardens = Literal["all", "own"]


@dataclass(frozen=True)
class Rule:
    """Who may do one thing, on which gardens, and why; `until_close` shuts it while a trial runs."""

    kind: Kind
    name: str
    roles: frozenset[Role]
    gardens: Gardens
    reason: str
    until_close: bool = False


@dataclass(frozen=True)
class Verdict:
    """Whether something is allowed, and the reason in words for the person who asked."""

    allowed: bool
    reason: str

    def __bool__(self) -> bool:
        """Return whether it is allowed."""
        return self.allowed


LEAD: frozenset[Role] = frozenset({"lead"})
SENDERS: frozenset[Role] = frozenset({"lead", "volunteer"})
COUNTERS: frozenset[Role] = frozenset({"lead", "administrator"})
SIGNED_IN: frozenset[Role] = frozenset({"lead", "volunteer", "administrator"})
EVERYBODY: frozenset[Role] = frozenset({"lead", "volunteer", "administrator", "public"})

_NETWORK = "shows single gardens of the network, which the lead answers for"
_OWN = "shows a garden, which is for its own volunteers and the lead"
_TOTALS = "shows totals of the network"
_OPEN = "holds nothing of any garden"
_RELEASED = "shows the released answer, generalised"

#: The table. Order within a kind is of no meaning.
RULES: tuple[Rule, ...] = (
    Rule("page", "/watch", LEAD, "all", _NETWORK),
    Rule("page", "/questions", LEAD, "all", _NETWORK),
    Rule("page", "/compare", LEAD, "all", _NETWORK),
    Rule("page", "/gradient", LEAD, "all", _NETWORK),
    Rule("page", "/plan", LEAD, "all", _NETWORK),
    Rule("page", "/release", LEAD, "all", _NETWORK),
    Rule("page", "/garden", LEAD, "all", _NETWORK),
    Rule("page", "/visits", LEAD, "all", _NETWORK),
    Rule("page", "/paper", LEAD, "all", "shows pictures of paper records to whoever types them"),
    Rule("page", "/checks", SIGNED_IN, "all", "explains what is asked, and holds nothing of any garden"),
    Rule("page", "/send", SENDERS, "own", "takes sheets of a garden from its own volunteers and the lead"),
    Rule("page", "/picking", SENDERS, "own", "takes a picking of a garden"),
    Rule("page", "/paper-sheet", SENDERS, "own", "hands out blank sheets of a garden"),
    Rule("page", "/my-garden", SENDERS, "own", _OWN),
    Rule("page", "/reach", COUNTERS, "all", _TOTALS),
    Rule("page", "/results", EVERYBODY, "all", _RELEASED),
    Rule("page", "/glossary", EVERYBODY, "all", _OPEN),
    # Doors of the web framework. The index, the layout and the dependencies are empty frames.
    Rule("route", "/", EVERYBODY, "all", "opens the page that its own rule allows"),
    Rule("route", "/<path:path>", EVERYBODY, "all", "opens the page that its own rule allows"),
    Rule("route", "/_dash-layout", EVERYBODY, "all", _OPEN),
    Rule("route", "/_dash-dependencies", EVERYBODY, "all", "lists the callbacks that their rules allow"),
    Rule("route", "/_dash-update-component", EVERYBODY, "all", "runs the callback that its rule allows"),
    Rule(
        "route",
        "/_dash-component-suites/<string:package_name>/<path:fingerprinted_path>",
        EVERYBODY,
        "all",
        _OPEN,
    ),
    Rule("route", "_dash_assets.static", EVERYBODY, "all", _OPEN),
    Rule("route", "/_favicon.ico", EVERYBODY, "all", _OPEN),
    # Ours.
    Rule("route", "download", EVERYBODY, "all", "gives the table of a page that its own rule allows"),
    Rule("route", "table", EVERYBODY, "all", "gives the table of a page that its own rule allows"),
    Rule("route", "sign_in", EVERYBODY, "all", "is where people sign in"),
    Rule("route", "send_link", EVERYBODY, "all", "is where people ask for a link"),
    Rule("route", "invitation", EVERYBODY, "all", "is opened by a link that works once"),
    Rule("route", "privacy", EVERYBODY, "all", "says what is kept of people"),
    Rule("route", "sign_out", SIGNED_IN, "all", "ends the own session"),
    Rule("route", "account", SIGNED_IN, "all", "shows the own account"),
    Rule("route", "passphrase", SIGNED_IN, "all", "changes the own passphrase"),
    Rule("route", "own_record", SIGNED_IN, "all", "gives what is kept of oneself"),
    Rule("route", "upload", SENDERS, "own", "takes sheets of a garden from its own volunteers and the lead"),
    *(
        Rule(
            "route", name, SENDERS, "own", "takes or gives sheets of a garden to its volunteers and the lead"
        )
        for name in (
            "send_file_in",
            "send_picking_in",
            "send_corrected",
            "say_right",
            "take_corrected",
            "take_blank",
            "answer_own",
            "undo_own",
            "away_own",
        )
    ),
    Rule("route", "picture", LEAD, "all", "shows a picture of a paper record"),
    Rule("route", "reach-document", COUNTERS, "all", _TOTALS),
    Rule("route", "people", LEAD, "all", "shows accounts and what was done with them"),
    Rule("route", "new_link", LEAD, "all", "lets somebody back in"),
    # Callbacks.
    Rule("callback", "title.data", EVERYBODY, "own", "draws the page that its own rule allows"),
    Rule("callback", "release-told.children", LEAD, "all", "makes the answer public"),
    Rule("callback", "decided.data", LEAD, "all", "decides what counts"),
    Rule("callback", "undone.data", LEAD, "all", "takes a decision back"),
    Rule("callback", "typed.data", LEAD, "all", "types in what a picture shows"),
    # Frames of the published snapshot.
    Rule("frame", "gardens", SENDERS, "own", _OWN),
    Rule("frame", "outlines", EVERYBODY, "all", _OPEN),
    Rule("frame", "trials", SIGNED_IN, "all", "names the trials and their seasons"),
    Rule("frame", "treatments", SENDERS, "all", "names the treatments"),
    Rule("frame", "garden_states", SENDERS, "own", _OWN),
    Rule("frame", "weeks", SENDERS, "own", _OWN),
    Rule("frame", "plot_seasons", SENDERS, "own", _OWN),
    Rule("frame", "harvest_curves", SENDERS, "own", "adds up by treatment", until_close=True),
    Rule("frame", "attributes", SENDERS, "own", _OWN),
    Rule("frame", "effects", SENDERS, "own", "compares treatments", until_close=True),
    Rule("frame", "network", LEAD, "all", "is the answer before its release"),
    Rule("frame", "gradient", LEAD, "all", "is the answer before its release"),
    Rule("frame", "gradient_band", LEAD, "all", "is the answer before its release"),
    Rule("frame", "sentences", LEAD, "all", "is the answer before its release"),
    Rule("frame", "uploads", SENDERS, "own", _OWN),
    Rule("frame", "findings", SENDERS, "own", _OWN),
    *(
        Rule("frame", name, LEAD, "all", "is the answer before its release")
        for name in ("answer_basis", "gradient_curve", "estimates", "sensitivity", "interim", "moved")
    ),
    *(
        Rule("frame", name, LEAD, "all", _NETWORK)
        for name in ("questions", "double_scores", "score_agreement", "close_pairs")
    ),
    *(
        Rule("frame", name, SENDERS, "own", _OWN)
        for name in ("plot_curves", "layout", "weather_events", "planting_week", "season_notes")
    ),
    *(
        Rule("frame", name, SIGNED_IN, "all", _OPEN)
        for name in ("about", "glossary", "station_errors", "station_doubts", "stations_in_doubt")
    ),
    *(Rule("frame", name, COUNTERS, "all", _TOTALS) for name in ("reach", "reach_counties")),
    *(
        Rule("frame", name, LEAD, "all", "is the answer before its release")
        for name in (
            "public_trial",
            "public_answer",
            "public_counties",
            "public_band",
            "public_places",
        )
    ),
    # Acts that have no door of their own.
    Rule("act", "see contact details", SENDERS, "own", "is for the garden and the lead"),
    Rule("act", "decide", LEAD, "all", "decides what counts"),
    Rule("act", "release", LEAD, "all", "makes the answer public"),
)
_BY_NAME = {(rule.kind, rule.name): rule for rule in RULES}


def rule_of(kind: Kind, name: str) -> Rule | None:
    """Return the rule about one thing, None where there is none."""
    return _BY_NAME.get((kind, name))


def may(account: Account, kind: Kind, name: str, gardens: Iterable[str] = ()) -> Verdict:
    """Return whether the account may do this, on these gardens where it names any, and the reason."""
    rule = rule_of(kind, name)
    if rule is None:
        return Verdict(False, "No rule allows this.")
    if account.role not in rule.roles:
        whose = " and ".join(f"the {role}" for role in sorted(rule.roles))
        return Verdict(False, f"This is for {whose}: it {rule.reason}.")
    if rule.gardens == "own" and account.role != "lead":
        others = sorted(set(gardens) - set(account.gardens))
        if others:
            return Verdict(False, f"This is about another garden than yours: {', '.join(others)}.")
    return Verdict(True, f"It {rule.reason}.")


def allowed(account: Account, kind: Kind) -> list[str]:
    """Return the names of everything of one kind that the account may do, in the order of the table."""
    return [rule.name for rule in RULES if rule.kind == kind and may(account, kind, rule.name)]


def sees_all_gardens(account: Account, kind: Kind, name: str) -> bool:
    """Return whether the account may do this on every garden and not only on its own."""
    rule = rule_of(kind, name)
    return rule is not None and (account.role == "lead" or rule.gardens == "all")
