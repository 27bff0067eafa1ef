"""What one garden has sent, what still waits for the night, and when nobody is there."""

from typing import Any

import pandas as pd

from dashboard import data
from dashboard.components.attributes import attributes
from dashboard.components.field import labelled
from dashboard.components.mark import icon
from dashboard.components.plain import Part, part
from dashboard.data import View
from dashboard.pages.volunteer import Volunteer
from dashboard.records import records

#: Sheets that stand on the page, the newest; the rest fold away.
_SHOWN = 8
#: What the page tells of a sheet.
_TOLD = ("file", "received", "sheet", "verdict", "rows", "used")


def sent_sheets(view: View, of: Volunteer) -> list[Any]:
    """Return the sheets of a garden, the newest first: those read tonight, then those that were read."""
    waiting = view.gate.waiting(of.site) if view.gate else []
    rows = [_row(file.name, of.short_day(file.received.date()), of.say("sent_tonight")) for file in waiting]
    own = records(data.of_garden(view, "uploads", of.site), _TOLD)
    rows += [_read_row(row, of) for row in reversed(own)]
    parts: list[Any] = [part("H2", of.say("sent_title"))]
    if rows:
        parts.append(_table(rows[:_SHOWN], of))
        if rest := rows[_SHOWN:]:
            summary = part("Summary", of.say("notes_more", n=len(rest)))
            parts.append(part("Details", [summary, _table(rest, of)], className="more"))
    else:
        parts.append(part("P", of.say("sent_none"), className="ledger-none"))
    return [*parts, part("P", [icon("kept"), part("Span", of.say("all_kept"))], className="kept")]


def _table(rows: list[Part], of: Volunteer) -> Part:
    head = [
        part("Th", of.say("sent_sheet"), scope="col"),
        part("Th", of.say("sent_when"), scope="col"),
        part("Th", of.say("sent_rows"), scope="col", className="n"),
    ]
    return part("Table", [part("Thead", part("Tr", head)), part("Tbody", rows)], className="sent-sheets")


def _row(file: str, day: str, words: str) -> Part:
    return part(
        "Tr",
        [
            part("Th", file, scope="row"),
            part("Td", day, className="nowrap"),
            part("Td", words, className="n"),
        ],
    )


def _read_row(row: dict[str, Any], of: Volunteer) -> Part:
    if row["verdict"] == "refused":
        words = of.say("sent_refused")
    elif pd.isna(row["sheet"]) or row["sheet"] == "":
        words = of.say("sent_picture")
    else:
        words = of.say("sent_used", used=row["used"], rows=row["rows"])
    return _row(row["file"], of.short_day(row["received"]), words)


def away_form(view: View, of: Volunteer) -> list[Any]:
    """Return the absences to come, and the form to tell of another."""
    if view.gate is None:
        return []
    tonight = pd.Timestamp(view.published.night)
    known = [
        part(
            "Li",
            [
                icon("rest"),
                part("Span", of.say("away_is", first=of.day(row["from"]), last=of.day(row["to"]))),
            ],
        )
        for row in view.gate.registered("absences", of.site)
        if row["to"] >= tonight
    ]
    return [
        part("H2", of.say("away_title")),
        part("P", of.say("away_hint"), className="small second"),
        *([part("Ul", known, className="ledger")] if known else []),
        part(
            "Form",
            [
                part(
                    "Div",
                    [
                        labelled(of.say("away_from"), "away-from", "from", type="date", required="required"),
                        labelled(of.say("away_to"), "away-to", "to", type="date", required="required"),
                    ],
                    className="numbers",
                ),
                labelled(of.say("away_who"), "away-who", "stand_in", maxlength="60"),
                part(
                    "Div",
                    className="wants",
                    role="alert",
                    tabIndex="-1",
                    **attributes(data_wants=of.say("picking_wants")),
                ),
                part("Button", of.say("away_save"), type="submit"),
                part("P", className="hand-in-state", role="status"),
            ],
            className="picking away",
            action=f"/my-garden/away?garden={of.site}&lang={of.language}",
            method="post",
            **attributes(data_post="yes", data_not_arrived=of.say("answer_lost")),
        ),
    ]
