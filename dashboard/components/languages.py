"""The choice of language; each is named in itself."""

from dash import html

from dashboard.address import Address
from dashboard.components.attributes import attributes
from dashboard.components.mark import link
from dashboard.speech import Speech
from pipeline.words import LANGUAGES

#: Languages by how each names itself.
NAMES = {"en": "English", "es": "Español"}


def languages(address: Address, speech: Speech) -> html.Div:
    """Return links to the same page in each language."""
    links = [
        html.Li(
            link(
                NAMES[code],
                address.choosing(lang=code).href,
                current="true" if code == speech.language else None,
                lang=code,
            )
        )
        for code in LANGUAGES
    ]
    return html.Div(
        html.Ul(links), className="langs", role="group", **attributes(aria_label=speech("Language"))
    )
