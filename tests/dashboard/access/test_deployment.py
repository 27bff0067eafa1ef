"""The examples for nginx and systemd, with a local nginx in front of what `longrow serve` starts."""

import http.client
import re
import shutil
import socket
import ssl
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.conftest import lacking
from tests.dashboard.access.network import make_network

EXAMPLES = Path(__file__).parents[3] / "dashboard" / "deployment"
HOST = "trial.example.org"
SERVE = (
    "import sys, pathlib; from dashboard.serve import serve; "
    "serve(pathlib.Path(sys.argv[1]), port=int(sys.argv[2]))"
)
NGINX = shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin")


def free() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_for(port: int) -> None:
    for _ in range(600):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    pytest.fail(f"Nobody listens on port {port}.")


def our_nginx(folder: Path, behind: int, plain: int, tls: int) -> Path:
    """Write the example with ports and files of this test, and nothing else changed."""
    made = ["req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", f"/CN={HOST}"]
    files = ["-keyout", f"{folder}/key.pem", "-out", f"{folder}/fullchain.pem"]
    subprocess.run(["openssl", *made, *files], check=True, capture_output=True)
    text = (EXAMPLES / "nginx.conf").read_text()
    for old, new in (
        ("/etc/ssl/longrow", str(folder)),
        ("/var/log/nginx", str(folder)),
        ("listen 80;", f"listen 127.0.0.1:{plain};"),
        ("listen 443 ssl;", f"listen 127.0.0.1:{tls} ssl;"),
        ("127.0.0.1:8050", f"127.0.0.1:{behind}"),
    ):
        assert old in text
        text = text.replace(old, new)
    kinds = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    temporary = "".join(f"{kind}_temp_path {folder}/{kind};\n" for kind in kinds)
    path = folder / "nginx.conf"
    path.write_text(
        f"daemon off;\nmaster_process off;\npid {folder}/pid;\nerror_log {folder}/error.log;\nevents {{}}\n"
        f"http {{\n{temporary}{text}\n}}\n"
    )
    return path


@pytest.fixture(scope="module")
def served(published, tmp_path_factory):
    """Start the server and nginx in front of it; give the TLS port, the plain one and the folder."""
    if NGINX is None or not shutil.which("openssl"):
        lacking("nginx or openssl is not installed")
    folder = tmp_path_factory.mktemp("served")
    network = make_network(folder / "row", published, f'[serving]\naddress = "https://{HOST}"\n')
    network.engine.dispose()
    behind, plain, tls = free(), free(), free()
    server = subprocess.Popen([sys.executable, "-c", SERVE, str(folder / "row"), str(behind)])
    config = our_nginx(folder, behind, plain, tls)
    nginx = subprocess.Popen([NGINX, "-c", str(config), "-p", str(folder)], stderr=subprocess.DEVNULL)
    wait_for(behind)
    wait_for(tls)
    yield tls, plain, folder
    for process in (nginx, server):
        process.terminate()
        process.wait(timeout=30)


def ask(served, method: str, path: str, body: str | None = None, **headers: str):
    trusting = ssl._create_unverified_context()  # noqa: S323  # a certificate of this test's own
    connection = http.client.HTTPSConnection("127.0.0.1", served[0], context=trusting, timeout=60)
    connection.request(
        method, path, body, {"Host": HOST, **{k.replace("_", "-"): v for k, v in headers.items()}}
    )
    answer = connection.getresponse()
    text = answer.read().decode()
    connection.close()
    return answer, text


def test_pages_come_by_tls_with_cookies_for_tls_alone(served):
    answer, text = ask(served, "GET", "/sign-in")
    assert answer.status == 200
    assert "Sign in" in text
    cookies = answer.headers.get_all("Set-Cookie")
    assert any(cookie.startswith("__Host-longrow=") for cookie in cookies)
    assert all("Secure" in cookie for cookie in cookies)
    assert "max-age" in answer.headers["Strict-Transport-Security"]


def test_a_plain_request_is_sent_to_tls(served):
    connection = http.client.HTTPConnection("127.0.0.1", served[1], timeout=60)
    connection.request("GET", "/watch", headers={"Host": HOST})
    answer = connection.getresponse()
    assert (answer.status, answer.headers["Location"]) == (301, f"https://{HOST}/watch")
    connection.close()


def test_nobody_is_let_in_and_a_stranger_cannot_say_where_they_come_from(served):
    answer, _ = ask(served, "GET", "/watch", X_Forwarded_For="127.0.0.1", X_Forwarded_Proto="http")
    assert answer.status == 401


def test_a_form_is_taken_through_the_proxy(served):
    answer, text = ask(served, "GET", "/sign-in")
    cookies = "; ".join(one.split(";")[0] for one in answer.headers.get_all("Set-Cookie"))
    sent = re.search(r'name="proof" value="(\w+)"', text)[1]
    form = f"name=Ada+Lind&passphrase=not+this+one&proof={sent}"
    kind = "application/x-www-form-urlencoded"
    answer, text = ask(
        served, "POST", "/sign-in", form, Cookie=cookies, Content_Type=kind, Origin=f"https://{HOST}"
    )
    assert answer.status == 401
    assert "do not go together" in text


def test_a_link_that_lets_in_stays_out_of_the_log(served):
    ask(served, "GET", "/come-in/a-secret-token")
    time.sleep(0.2)
    log = (served[2] / "longrow.log").read_text()
    assert "/come-in/-" in log
    assert "a-secret-token" not in log
    assert "a-secret-token" not in (served[2] / "error.log").read_text()


@pytest.mark.parametrize("unit", ["longrow.service", "longrow-nightly.service", "longrow-nightly.timer"])
def test_the_units_of_systemd_hold_together(unit):
    if not (analyze := shutil.which("systemd-analyze")):
        text = (EXAMPLES / unit).read_text()
        assert re.findall(r"^\[(\w+)\]$", text, re.MULTILINE)[0] == "Unit"
        assert all(re.match(r"^(#.*|\[\w+\]|[A-Z]\w+=.*|)$", line) for line in text.splitlines())
        return
    said = subprocess.run(
        [analyze, "verify", str(EXAMPLES / unit)], capture_output=True, text=True, check=False
    )
    assert "Unknown" not in said.stderr
