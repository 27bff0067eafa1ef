"""The page of people and of what was done: its words, before there is anybody, and in trouble."""

import html

import pytest
import sqlalchemy as sa

from dashboard.access.words import _WORDS, LANGUAGES
from tests.dashboard.access.network import NAME_OF, make_network

HEADS = {
    "en": ["Name", "Link", "Role", "Gardens", "Mail", "Last seen"],
    "es": ["Nombre", "Enlace", "Función", "Huertos", "Correo", "Última vez"],
}


@pytest.mark.parametrize("language", LANGUAGES)
def test_everybody_stands_there_under_headings_in_the_readers_language(fresh, language):
    text = html.unescape(fresh.signed_in("lead").get(f"/people?lang={language}").text)
    assert all(f'<th scope="row">{name}</th>' in text for name in NAME_OF.values())
    assert all(f'<th scope="col">{words}</th>' in text for words in HEADS[language])
    assert {"en": "<td>volunteer</td>", "es": "<td>voluntariado</td>"}[language] in text


@pytest.mark.parametrize("language", LANGUAGES)
def test_before_the_first_account_the_page_says_how_to_add_one(tmp_path, published, language):
    network = make_network(tmp_path / "network", published, with_people=False)
    text = html.unescape(network.browser().get(f"/people?lang={language}").text)
    assert "longrow account add NAME --role lead" in text
    assert _WORDS["people_none"][LANGUAGES.index(language)] in text
    assert '<th scope="row">' not in text
    network.engine.dispose()


@pytest.mark.parametrize("language", LANGUAGES)
def test_while_the_store_cannot_be_read_the_page_says_so_and_that_nothing_is_lost(fresh, language):
    lead = fresh.signed_in("lead")
    with fresh.engine.begin() as connection:
        connection.execute(sa.text("ALTER TABLE account RENAME TO out_of_reach"))
    answer = lead.get(f"/people?lang={language}")
    text = html.unescape(answer.text)
    assert answer.status_code == 500
    assert _WORDS["trouble"][LANGUAGES.index(language)] in text
    assert _WORDS["trouble_lead"][LANGUAGES.index(language)] in text
    assert f'href="/people?lang={language}"' in text
    assert 'role="alert"' in text
    # What happened is for the log, not for readers.
    assert "sqlite" not in text.lower()
    assert "Traceback" not in text
