"""Who is let in and who is not, by a client that knows nothing of the guard over a real socket."""

from __future__ import annotations

import asyncio
import shlex
import signal
import socket
import subprocess
import sys
import time
from collections.abc import AsyncIterator
from pathlib import Path

import aiohttp
import pytest
from aiohttp import web

from shopbins.cli import main
from shopbins.desk import Desk
from shopbins.serve.guard import MOST_TABS, Guarded, Served, _name

SHOP = "shop: A\nprefix: AB\nrooms:\n  hall: {at: [0, 0], size: [9000, 6000]}\n"


QUIET = shlex.join(
    [sys.executable, "-Sc", "import sys; print('__GANGLION__', flush=True); sys.stdin.buffer.read(1)"]
)
"""An app that shows nothing and ends when it is told anything."""


class Serving:
    """A server on a free port, and a browser's view of it."""

    def __init__(self, guarded: Guarded) -> None:
        self.guarded = guarded
        self.base = guarded.public_url

    def session(self) -> aiohttp.ClientSession:
        return aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True))

    async def browser(self, name: str = "hall tablet") -> aiohttp.ClientSession:
        """A browser that opened the link and gave its device a name."""
        session = self.session()
        await session.get(self.guarded.link)
        await session.post(f"{self.base}/name", data={"name": name}, headers={"Origin": self.base})
        return session

    def socket(self, session: aiohttp.ClientSession, origin: str | None = None):
        headers = {"Origin": self.base if origin is None else origin}
        return session.ws_connect(f"{self.base}/ws?width=80&height=24", headers=headers)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture(params=[True])
async def serving(tmp_path: Path, request: pytest.FixtureRequest) -> AsyncIterator[Serving]:
    path = tmp_path / "shop.yaml"
    path.write_text(SHOP)
    with Desk.open(path, by="Ida") as desk:
        desk.take("water pump")
    guarded = Guarded(Served(path, None, request.param), "127.0.0.1", free_port())
    runner = web.AppRunner(await guarded._make_app(), access_log=None)
    await runner.setup()
    await web.TCPSite(runner, guarded.host, guarded.port).start()
    yield Serving(guarded)
    await runner.cleanup()


@pytest.mark.parametrize(
    "path", ["/", "/ws", "/static/js/textual.js", "/own/page.js", "/download/x", "/nothing"]
)
async def test_nothing_without_the_key(serving: Serving, path: str) -> None:
    async with serving.session() as session:
        assert (await session.get(serving.base + path)).status == 403
        assert (await session.get(f"{serving.base}{path}?key=wrong")).status == 403
        assert (await session.post(serving.base + path)).status == 403


async def test_the_link_sets_a_cookie_no_script_reads(serving: Serving) -> None:
    async with serving.session() as session:
        answer = await session.get(serving.guarded.link, allow_redirects=False)
        assert answer.status == 303
        assert serving.guarded.key not in answer.headers["Location"]
        cookie = answer.headers["Set-Cookie"]
        assert "HttpOnly" in cookie
        assert "SameSite=Strict" in cookie
        page = await session.get(serving.base + "/")
        assert page.status == 200
        assert "default-src 'self'" in page.headers["Content-Security-Policy"]
        assert "frame-ancestors 'none'" in page.headers["Content-Security-Policy"]
        assert (
            page.headers["Referrer-Policy"] == "same-origin"
        )  # with none, Chromium's forms say Origin: null
        assert "https://" not in await page.text()  # nothing is fetched from elsewhere
        assert (await session.get(serving.base + "/static/js/textual.js")).status == 200
        assert (await session.get(serving.base + "/static/")).status in (403, 404)  # no listing


async def test_another_host_name_is_turned_away(serving: Serving) -> None:
    async with await serving.browser() as session:
        for host in ("evil.example", f"localhost:{serving.guarded.port}", ""):
            answer = await session.get(serving.base + "/", headers={"Host": host})
            assert answer.status in (400, 421)


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "", "https://127.0.0.1"])
async def test_a_socket_of_another_page_is_turned_away(serving: Serving, origin: str) -> None:
    async with await serving.browser() as session:
        with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
            await serving.socket(session, origin)
        assert refused.value.status == 403
        answer = await session.post(f"{serving.base}/name", data={"name": "x"}, headers={"Origin": origin})
        assert answer.status == 403


async def read_until(ws: aiohttp.ClientWebSocketResponse, words: str, *, within_s: float = 30) -> str:
    """What the tab shows, from a stream of bytes and meta messages."""
    seen = ""
    async with asyncio.timeout(within_s):
        while words not in seen:
            message = await ws.receive()
            if message.type in (aiohttp.WSMsgType.CLOSED, aiohttp.WSMsgType.CLOSE, aiohttp.WSMsgType.CLOSING):
                raise AssertionError(f"closed before '{words}': {seen[-300:]}")
            if message.type is aiohttp.WSMsgType.BINARY:
                seen += message.data.decode("utf-8", "replace")
    return seen


async def test_the_app_runs_and_records_under_the_devices_name(serving: Serving) -> None:
    async with await serving.browser("hall tablet") as session, serving.socket(session) as ws:
        await read_until(ws, "1 Plan")
        for line in ("e", "old gasket", "\r"):
            await asyncio.sleep(0.4)
            await ws.send_json(["stdin", line])
        await read_until(ws, "old gasket")
        for _ in range(60):
            with Desk.open(serving.guarded.served.shop, readonly=True) as desk:
                events = desk.ledger.events()
            if any(each.by == "hall tablet" for each in events):
                break
            await asyncio.sleep(0.2)
        assert {each.by for each in events} == {"Ida", "hall tablet"}


@pytest.mark.parametrize("serving", [False], indirect=True)
async def test_a_browser_that_only_looks_records_nothing(serving: Serving) -> None:
    async with await serving.browser() as session, serving.socket(session) as ws:
        await read_until(ws, "1 Plan")
        for line in ("e", "old gasket", "\r"):
            await asyncio.sleep(0.4)
            await ws.send_json(["stdin", line])
        await read_until(ws, "reading only")
    with Desk.open(serving.guarded.served.shop, readonly=True) as desk:
        assert [each.by for each in desk.ledger.events()] == ["Ida"]


async def test_the_fifth_tab_is_turned_away_and_a_closed_one_makes_room(
    serving: Serving, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Served, "command", lambda self, by: QUIET)
    async with await serving.browser() as session:
        tabs = [await serving.socket(session) for _ in range(MOST_TABS)]
        with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
            await serving.socket(session)
        assert refused.value.status == 503
        await tabs.pop().close()
        for _ in range(50):
            if serving.guarded.tabs < MOST_TABS:
                break
            await asyncio.sleep(0.1)
        await (await serving.socket(session)).close()


ENDS_LATE = "import sys, time; print('__GANGLION__', flush=True); sys.stdin.buffer.read(1); time.sleep(2)"
SLOW = shlex.join([sys.executable, "-Sc", ENDS_LATE])
"""An app that takes long to end."""


async def test_a_reload_with_four_tabs_open_does_not_wait_for_its_app_to_end(
    serving: Serving, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reload closes the old socket and opens a new one; the app behind the old one is still ending."""
    monkeypatch.setattr(Served, "command", lambda self, by: SLOW)
    monkeypatch.setattr("shopbins.serve.guard.RELOAD_S", 0.5)
    async with await serving.browser() as session:
        tabs = [await serving.socket(session) for _ in range(MOST_TABS)]
        await tabs.pop().close()
        again = await serving.socket(session)
        assert not again.closed
        with pytest.raises(aiohttp.WSServerHandshakeError):
            await serving.socket(session)


async def test_an_app_that_does_not_end_is_ended(serving: Serving, monkeypatch: pytest.MonkeyPatch) -> None:
    stuck = SLOW.replace("time.sleep(2)", "time.sleep(600)")
    monkeypatch.setattr(Served, "command", lambda self, by: f"exec {stuck}")
    monkeypatch.setattr("shopbins.serve.guard.END_S", 0.5)
    async with await serving.browser() as session:
        await (await serving.socket(session)).close()
        for _ in range(80):
            if serving.guarded.apps == 0:
                break
            await asyncio.sleep(0.1)
        assert serving.guarded.apps == 0


async def test_nonsense_ends_the_tab_not_the_server(
    serving: Serving, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Served, "command", lambda self, by: QUIET)
    async with await serving.browser() as session:
        for nonsense in ("{}", "[]", "not json", '["resize", 5]'):
            async with serving.socket(session) as ws:
                await ws.send_str(nonsense)
                async with asyncio.timeout(10):
                    while not (await ws.receive()).type.name.startswith("CLOS"):
                        pass
        assert (await session.get(serving.base + "/")).status == 200


async def test_a_device_without_a_name_is_asked(serving: Serving) -> None:
    async with serving.session() as session:
        page = await (await session.get(serving.guarded.link)).text()
        assert "What is this device called" in page
        for bad in ("", " ", "x" * 41, "a\u202eb"):
            await session.post(f"{serving.base}/name", data={"name": bad}, headers={"Origin": serving.base})
            assert "What is this device called" in await (await session.get(serving.base + "/")).text()


@pytest.mark.parametrize("name", ["hall tablet", "Zoë's phone", "$(rm -rf ~)", "31", "abba", "; ls", '"'])
def test_a_name_stays_a_name(name: str) -> None:
    """It reaches the shell as one word, whatever is in it."""
    words = shlex.split(Served(Path("/s.yaml"), None, True).command(name))
    assert words[words.index("--by") + 1] == name
    assert _name(name) == name


@pytest.mark.parametrize(
    ("args", "status", "said"),
    [
        (["--lan", "0.0.0.0"], 64, "is not an address of this machine on your own network"),
        (["--lan", "8.8.8.8"], 64, "is not an address of this machine on your own network"),
        (["--lan", "hall"], 64, "is no address"),
        (["--url", "shop.lan"], 64, "is no address like https://"),
        (["--port", "0"], 64, "a port is from 1 to 65535"),
    ],
)
def test_what_cannot_be_served(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], args, status, said
) -> None:
    (tmp_path / "shop.yaml").write_text(SHOP)
    monkeypatch.chdir(tmp_path)
    assert main(["serve", *args]) == status
    assert said in capsys.readouterr().err


def test_a_port_that_is_taken(tmp_path: Path) -> None:
    (tmp_path / "shop.yaml").write_text(SHOP)
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        done = subprocess.run(
            [sys.executable, "-m", "shopbins", "serve", "--write", "--port", str(other.getsockname()[1])],
            cwd=tmp_path,
            capture_output=True,
            text=True,
        )
    assert done.returncode == 74
    assert "is taken: choose another --port" in done.stderr


async def test_ctrl_c_ends_it_at_once_without_a_word_while_tabs_are_open(tmp_path: Path) -> None:
    (tmp_path / "shop.yaml").write_text(SHOP)
    port = free_port()
    server = await asyncio.create_subprocess_exec(
        *[sys.executable, "-m", "shopbins", "serve", "--port", str(port)],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert server.stdout is not None
    link = (await server.stdout.readline()).decode().split()[-1]
    base = f"http://127.0.0.1:{port}"
    async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as session:
        for _ in range(100):
            try:
                await session.get(link)
                break
            except aiohttp.ClientError:
                await asyncio.sleep(0.1)
        await session.post(f"{base}/name", data={"name": "phone"}, headers={"Origin": base})
        for _ in range(2):
            ws = await session.ws_connect(f"{base}/ws?width=80&height=24", headers={"Origin": base})
            await read_until(ws, "1 Plan")
        begun = time.monotonic()
        server.send_signal(signal.SIGINT)
        _, err = await asyncio.wait_for(server.communicate(), 60)
    assert err.decode() == ""
    assert time.monotonic() - begun < 12
