"""A server for the app that lets in only who holds the key it printed.

textual-serve runs an app for a browser, but asks nobody who they are: any page open in a browser of this
machine could drive it. So nothing of it is reached but through here. Every path needs the cookie that the
printed link sets (403), the Host the server was started for (421: a name made to point here), a socket the
Origin of our own page (403: a script of another page); a fifth tab is turned away (503). Tabs only look
unless writing was asked for.
"""

from __future__ import annotations

import asyncio
import hmac
import json
import secrets
import shlex
import sys
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn
from urllib.parse import urlsplit

from aiohttp import WSCloseCode, web
from textual_serve.app_service import AppService
from textual_serve.server import Server, to_int

KEY, NAME = "shopbins", "shopbins-device"
MOST_TABS = 4
RELOAD_S = 3.0
MOST_APPS = 2 * MOST_TABS
"""Those of closed tabs that are still ending, counted in."""
END_S = 10.0
LONGEST_NAME = 40
HERE = Path(__file__).parent
PAGES = {"index": "page.html", "name": "name.html"}
OWN = {"page.js": "text/javascript", "page.css": "text/css"}
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


@dataclass(frozen=True, slots=True)
class Served:
    """What is served: the shop and its ledger, and whether browsers may change anything."""

    shop: Path
    ledger: str | None
    write: bool

    def command(self, by: str) -> str:
        """Return the command line of the app for one tab."""
        words = [sys.executable, "-m", "shopbins", "-s", str(self.shop), "--by", by]
        if self.ledger:
            words += ["--ledger", self.ledger]
        return f"SHOPBINS_SERVED={'write' if self.write else 'look'} {shlex.join(words)}"


class Guarded(Server):
    """The server, guarded. `key` is what the link carries."""

    def __init__(
        self, served: Served, host: str, port: int, *, url: str | None = None, key: str | None = None
    ) -> None:
        super().__init__("shopbins", host=host, port=port, title="shopbins", public_url=url)
        self.served = served
        self.key = key or secrets.token_urlsafe(16)
        self.apps = 0
        self._sockets: set[web.WebSocketResponse] = set()

    @property
    def link(self) -> str:
        """The link that lets a browser in."""
        return f"{self.public_url}/?key={self.key}"

    @property
    def tabs(self) -> int:
        """How many tabs are open."""
        return len(self._sockets)

    async def _make_app(self) -> web.Application:
        app = web.Application(middlewares=[self.guard], client_max_size=4096)
        app.add_routes(
            [
                web.get("/", self.index),
                web.post("/name", self.named),
                web.get("/ws", self.socket),
                web.get("/own/{name}", self.own),
                web.get("/download/{key}", self.handle_download),
                web.static("/static", self.statics_path, show_index=False),
            ]
        )
        app.on_shutdown.append(self._close_tabs)
        return app

    async def _close_tabs(self, _: web.Application) -> None:
        """Close every tab's socket, that its app ends before the server does."""
        closing = (each.close(code=WSCloseCode.GOING_AWAY) for each in self._sockets if each.prepared)
        await asyncio.gather(*closing, return_exceptions=True)

    # -- who is let in

    @web.middleware
    async def guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Let nothing through without the cookie, from another page, or by another name."""
        own = urlsplit(self.public_url)
        if request.headers.get("Host", "") != own.netloc:
            raise web.HTTPMisdirectedRequest(text="this is not the address it is served at\n")
        given = request.query.get("key")
        if given is not None:
            self._let_in(given)
        if not self._same(request.cookies.get(KEY, "")):
            raise web.HTTPForbidden(text="open the link that 'shopbins serve' printed\n")
        acts = request.path == "/ws" or request.method != "GET"
        if acts and request.headers.get("Origin") != f"{own.scheme}://{own.netloc}":
            raise web.HTTPForbidden(text="another page asked for this\n")
        if request.path == "/ws":
            return await handler(request)
        return self._shut(await handler(request))

    def _same(self, given: str) -> bool:
        return hmac.compare_digest(given.encode(), self.key.encode())

    def _let_in(self, given: str) -> NoReturn:
        """Take the key once, from the link; from then on it is a cookie no script can read."""
        if not self._same(given):
            raise web.HTTPForbidden(text="this key does not open it: take the link that was printed last\n")
        answer = web.HTTPSeeOther("/")
        self._cookie(answer, KEY, self.key)
        answer.headers["Referrer-Policy"] = "no-referrer"
        raise answer

    def _cookie(self, answer: web.StreamResponse, name: str, value: str) -> None:
        secure = urlsplit(self.public_url).scheme == "https"
        answer.set_cookie(name, value, httponly=True, samesite="Strict", secure=secure, path="/")

    def _shut(self, answer: web.StreamResponse) -> web.StreamResponse:
        """Let the page load from and speak to this server only, and be in no other page."""
        own = urlsplit(self.public_url)
        socket = "wss" if own.scheme == "https" else "ws"
        if not answer.prepared:
            answer.headers["Content-Security-Policy"] = (
                f"default-src 'self'; connect-src 'self' {socket}://{own.netloc}; img-src 'self' data:; "
                "style-src 'self' 'unsafe-inline'; frame-ancestors 'none'; base-uri 'none'; "
                "form-action 'self'"
            )
            answer.headers["Referrer-Policy"] = "same-origin"  # without any, a form's Origin is null
            answer.headers["X-Content-Type-Options"] = "nosniff"
            answer.headers["Cache-Control"] = "no-store"
        return answer

    # -- pages

    async def index(self, request: web.Request) -> web.StreamResponse:
        """Show the app, or ask a new device for its name."""
        if not _name(request.cookies.get(NAME, "")):
            return self._page("name")
        return self._page("index")

    def _page(self, name: str) -> web.Response:
        own = urlsplit(self.public_url)
        socket = f"{'wss' if own.scheme == 'https' else 'ws'}://{own.netloc}/ws"
        page = (HERE / PAGES[name]).read_text(encoding="utf-8").replace("{socket}", socket)
        return web.Response(text=page, content_type="text/html")

    async def named(self, request: web.Request) -> web.StreamResponse:
        """Keep a device's name; what it does is recorded under it."""
        name = _name(str((await request.post()).get("name", "")))
        if not name:
            raise web.HTTPSeeOther("/")
        answer = web.HTTPSeeOther("/")
        self._cookie(answer, NAME, json.dumps(name).encode().hex())
        raise answer

    async def own(self, request: web.Request) -> web.StreamResponse:
        """Give our own script and style."""
        name = request.match_info["name"]
        if name not in OWN:
            raise web.HTTPNotFound
        return web.Response(text=(HERE / name).read_text(encoding="utf-8"), content_type=OWN[name])

    async def socket(self, request: web.Request) -> web.StreamResponse:
        """Run an app for one tab, under its device's name."""
        for _ in range(int(RELOAD_S / 0.1)):  # a reloaded tab begins anew before the old one has ended
            if self.tabs < MOST_TABS and self.apps < MOST_APPS:
                break
            await asyncio.sleep(0.1)
        else:
            raise web.HTTPServiceUnavailable(text=f"{MOST_TABS} tabs are open: close one\n")
        self.apps += 1
        try:
            return await self._run(request)
        finally:
            self.apps -= 1

    async def _run(self, request: web.Request) -> web.WebSocketResponse:
        by = _name(request.cookies.get(NAME, "")) or "browser"
        socket = web.WebSocketResponse(heartbeat=15, max_msg_size=65_536)
        self._sockets.add(socket)
        app = AppService(
            self.served.command(by),
            write_bytes=socket.send_bytes,
            write_str=socket.send_str,
            close=socket.close,  # type: ignore[arg-type]
            download_manager=self.download_manager,
        )
        try:
            await socket.prepare(request)
            width, height = (
                to_int(request.query.get(each, ""), n) for each, n in (("width", 80), ("height", 24))
            )
            await app.start(min(max(width, 1), 500), min(max(height, 1), 300))
            await self._process_messages(socket, app)
        except (ValueError, KeyError, IndexError, AssertionError, TypeError):
            await socket.close(message=b"not understood")
        finally:
            self._sockets.discard(
                socket
            )  # the tab is closed; a reloaded one need not wait for its app to end
            await _ended(app)
        return socket


async def _ended(app: AppService) -> None:
    """Tell an app to end, and end it where it does not."""
    try:
        async with asyncio.timeout(END_S):
            await app.stop()
    except TimeoutError:
        if app._process is not None:
            app._process.kill()


def _name(cookie_or_typed: str) -> str:
    """Return a device's name, from its cookie or as typed; '' where it is none."""
    text = cookie_or_typed.strip()
    try:
        found = json.loads(bytes.fromhex(text))
        text = found if isinstance(found, str) else text
    except ValueError:
        pass
    return text if text.isprintable() and 0 < len(text) <= LONGEST_NAME else ""


def run(guarded: Guarded) -> None:
    """Serve until stopped. No access log is written: it would hold the key."""
    web.run_app(
        guarded._make_app(), host=guarded.host, port=guarded.port, access_log=None, print=lambda *_: None,
        shutdown_timeout=END_S,
    )  # fmt: skip
