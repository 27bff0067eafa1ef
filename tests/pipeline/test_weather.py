"""Weather taken from files and from a server on this machine. Layouts: GHCN-Daily readme."""

import contextlib
import gzip
import shutil
import socket
import ssl
import subprocess
import threading
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, HTTPServer
from types import SimpleNamespace

import pytest
from typer.testing import CliRunner

from pipeline.cli import app
from pipeline.fetching import FetchLimits, fetch
from pipeline.settings import Settings, Weather, commented_file
from pipeline.weather import fetch_all, kind_of, take_files
from pipeline.workspace import open_workspace
from sites.climate import read_daily, read_stations
from sites.errors import InputError, SettingsError
from tests.conftest import lacking

HEADER = "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n"
NEAR = "ZZ0LGR00001  39.4200 -101.8000 1148.3 KS NEAR THE FIRST GARDEN\n"
FAR = "ZZ0LGR00099  10.0000   20.0000   50.0    NEAR NO GARDEN\n"
LIMITS = FetchLimits(largest_bytes=100_000, silent_seconds=5.0, tries=3)


def record(station="ZZ0LGR00001", value=300, days=range(1, 11)):
    return HEADER + "".join(f"{station},202407{day:02},TMAX,{value},,,V,\n" for day in days)


@pytest.fixture
def files(tmp_path):
    def write(name, text):
        (tmp_path / name).write_text(text)
        return tmp_path / name

    return write


@pytest.fixture
def server():
    """A server on this machine: `answers` by path are lists of (code, bytes), used up but for the last."""
    known = SimpleNamespace(answers={}, asked=[])

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self):
            known.asked.append(self.path)
            waiting = known.answers.get(self.path.split("?")[0], [(404, b"")])
            code, content = waiting.pop(0) if len(waiting) > 1 else waiting[0]
            self.send_response(code)
            if code == 302:
                self.send_header("Location", content.decode())
                content = b""
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_):
            pass

    listening = HTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=listening.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    known.address = f"http://127.0.0.1:{listening.server_port}"
    yield known
    listening.shutdown()
    listening.server_close()
    thread.join()


def at(workspace, address):
    settings = Settings(today=workspace.settings.today, weather=Weather(address=address))
    (workspace.root / "network.toml").write_text(commented_file(settings))
    return open_workspace(workspace.root)


def asking(address):
    return fetch(address, LIMITS, wait=lambda _: None)


def daily_of(workspace, station="ZZ0LGR00001"):
    return read_daily(workspace.daily / f"{station}.csv")


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        (NEAR, "stations"),
        ("station,lat,lon,elevation_m\nK1,39,-100,500\n", "stations"),
        ("ZZ0LGR00001  39.4200 -101.8000 TMAX 1990 2025\n", "inventory"),
        (record(), "record"),
        ("date,tmax_f\n2024-07-01,90\n", "record"),
        (f"ZZ0LGR00001202407TMAX{'  300  V' * 31}\n", "record"),
    ],
)
def test_a_weather_file_is_known_by_its_first_line(files, text, kind):
    assert kind_of(files("some.txt", text)) == kind


def test_records_and_the_stations_that_gardens_reach_are_taken(workspace, files):
    report = take_files(workspace, [files("list.txt", NEAR + FAR), files("some.csv", record())])
    assert read_stations(workspace.climate / "stations.txt")["station"].tolist() == ["ZZ0LGR00001"]
    assert len(daily_of(workspace)) == 10
    assert (report.listed, report.without_place) == (1, [])


def test_a_station_with_a_record_is_listed_however_far_it_is(workspace, files):
    report = take_files(workspace, [files("list.txt", NEAR + FAR), files("some.csv", record("ZZ0LGR00099"))])
    assert (report.listed, report.without_place) == (2, [])


def test_an_inventory_says_which_stations_are_fetched(workspace, files, server):
    inventory = "".join(
        f"{line[:30]} {element} 2000 2024\n" for line in (NEAR, FAR) for element in ("TMAX", "TMIN", "PRCP")
    )
    take_files(workspace, [files("list.txt", NEAR), files("inventory.txt", inventory)])
    server.answers["/ZZ0LGR00001"] = [(200, record().encode())]
    fetch_all(at(workspace, server.address + "/{station}"), asking)
    assert server.asked == ["/ZZ0LGR00001"]


def test_a_station_that_stands_in_no_list_is_named(workspace, files):
    assert take_files(workspace, [files("some.csv", record())]).without_place == ["ZZ0LGR00001"]


def test_a_second_file_of_a_station_is_joined_with_the_first(workspace, files):
    take_files(workspace, [files("one.csv", record(value=300))])
    taken = take_files(workspace, [files("two.csv", record(value=310, days=range(9, 13)))]).stations[0]
    assert (taken.new, taken.changed, taken.last_day) == (2, 2, "2024-07-12")
    assert daily_of(workspace)["tmax_c"].tolist() == [30.0] * 8 + [31.0] * 4


def test_fixed_width_and_plain_tables_are_taken_too(workspace, files):
    take_files(workspace, [files("a.dly", f"ZZ0LGR00001202407TMAX{'  300  V' * 31}\n")])
    take_files(workspace, [files("K1.csv", "date,tmax_f,prcp_in\n2024-07-01,90,0.5\n")])
    assert daily_of(workspace)["tmax_c"].eq(30.0).sum() == 31
    assert daily_of(workspace, "K1")[["tmax_c", "prcp_mm"]].iloc[0].tolist() == [32.2, 12.7]


def test_a_station_name_that_would_leave_the_folder_is_refused(workspace, files):
    with pytest.raises(InputError, match="cannot be the name of a file"):
        take_files(workspace, [files("some.csv", record(station="../../evil"))])


def test_nothing_is_fetched_unless_the_settings_name_an_address(workspace):
    with pytest.raises(InputError, match="Nothing is fetched"):
        fetch_all(workspace, asking)


def test_a_record_is_fetched_and_the_last_sixty_days_are_asked_for_again(workspace, files, server):
    take_files(workspace, [files("list.txt", NEAR)])
    place = at(workspace, server.address + "/{station}?from={start}&to={end}")
    server.answers["/ZZ0LGR00001"] = [(200, record().encode())]
    assert fetch_all(place, asking).stations[0].new == 10
    fetch_all(place, asking)
    assert server.asked == [
        "/ZZ0LGR00001?from=2023-01-01&to=2024-09-01",
        "/ZZ0LGR00001?from=2024-05-11&to=2024-09-01",
    ]


@pytest.mark.parametrize(
    "answer",
    [
        (404, b""),
        (503, b""),
        (200, b"<html>Sorry</html>"),
        (200, record("ZZ0LGR00002").encode()),
        (200, b"x" * 200_000),
        (200, gzip.compress(b"x" * 2_000_000)),
        (200, gzip.compress(record().encode())[:60]),
        (302, b"http://example.invalid/elsewhere"),
    ],
)
def test_whatever_goes_wrong_the_last_good_copy_stays(workspace, files, server, answer):
    take_files(workspace, [files("list.txt", NEAR), files("some.csv", record())])
    before = (workspace.daily / "ZZ0LGR00001.csv").read_bytes()
    server.answers["/ZZ0LGR00001"] = [answer]
    report = fetch_all(at(workspace, server.address + "/{station}"), asking)
    assert [(each.station, each.last_day) for each in report.troubles] == [("ZZ0LGR00001", "2024-07-10")]
    assert (workspace.daily / "ZZ0LGR00001.csv").read_bytes() == before


def test_a_server_in_passing_trouble_is_asked_again(server):
    server.answers["/a"] = [(503, b""), (429, b""), (200, b"here")]
    waits = []
    assert fetch(f"{server.address}/a", LIMITS, wait=waits.append) == b"here"
    assert waits == [1.0, 2.0]


def test_a_server_that_says_no_is_not_asked_again(server):
    server.answers["/a"] = [(404, b"")]
    with pytest.raises(InputError, match="404"):
        asking(f"{server.address}/a")
    assert len(server.asked) == 1


def test_a_packed_answer_is_unpacked(server):
    server.answers["/a"] = [(200, gzip.compress(b"plain"))]
    assert asking(f"{server.address}/a") == b"plain"


@pytest.mark.parametrize(
    "address", ["http://example.invalid/a", "file:///etc/passwd", "ftp://example.invalid/a"]
)
def test_only_https_leaves_this_machine(address):
    with pytest.raises(InputError, match="not HTTPS"):
        asking(address)


@pytest.mark.parametrize(
    "address", ["https://example.invalid/all", "http://example.invalid/{station}", "{station}"]
)
def test_an_address_that_cannot_be_fetched_is_refused_in_the_settings(workspace, address):
    text = commented_file(Settings()).replace('address = ""', f'address = "{address}"')
    (workspace.root / "network.toml").write_text(text)
    with pytest.raises(SettingsError, match="https://"):
        open_workspace(workspace.root)


def test_the_command_says_what_it_took(workspace, files):
    said = CliRunner().invoke(
        app, ["weather", str(files("some.csv", record())), "--workspace", str(workspace.root)]
    )
    assert said.exit_code == 0
    assert "ZZ0LGR00001  until 2024-07-10: 10 new, 0 changed, 0 withdrawn" in said.stdout


def test_the_command_wants_files_or_fetch(workspace):
    assert CliRunner().invoke(app, ["weather", "--workspace", str(workspace.root)]).exit_code == 2


def test_a_server_whose_certificate_nobody_vouches_for_is_not_believed(tmp_path):
    program = shutil.which("openssl")
    if program is None:
        lacking("openssl is not installed")
    key, certificate = tmp_path / "key.pem", tmp_path / "certificate.pem"
    subprocess.run(
        [
            *(
                program,
                "req",
                "-x509",
                "-newkey",
                "rsa:2048",
                "-nodes",
                "-days",
                "2",
                "-subj",
                "/CN=localhost",
            ),
            *("-addext", "subjectAltName=DNS:localhost", "-keyout", key, "-out", certificate),
        ],
        check=True,
        capture_output=True,
    )
    secured = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    secured.load_cert_chain(certificate, key)
    with socket.create_server(("127.0.0.1", 0)) as listening:
        thread = threading.Thread(target=shake_hands, args=(secured, listening))
        thread.start()
        with pytest.raises(InputError, match="certificate"):
            fetch(f"https://localhost:{listening.getsockname()[1]}/a", replace(LIMITS, tries=1))
        thread.join()


def shake_hands(secured, listening):
    connection, _ = listening.accept()
    with connection, contextlib.suppress(ssl.SSLError, ConnectionError):
        secured.wrap_socket(connection, server_side=True).close()
