"""A real Chromium against `shopbins serve`: not run by pytest, needs chromium on the path.

    .venv/bin/python tests/bench/trial_serve_chromium.py FOLDER

Opens the link, names the device, lays a part down by keys, tries a fifth tab, a reload with four open, a
socket from a foreign page, another host name, no key and a wrong one, and ends the server; says of each what
came of it, and keeps pictures in FOLDER.
"""

from __future__ import annotations

import asyncio
import base64
import json
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import aiohttp

from shopbins.demo import write_demo
from shopbins.desk import Desk

PORT, DEBUG = 8133, 9333
SAID = "[...document.querySelectorAll('#over p')].filter(p => p.offsetParent).map(p => p.textContent).join()"
BASE = f"http://127.0.0.1:{PORT}"
FLAGS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--window-size=1280,860",
    "--remote-allow-origins=*",
)


class Tab:
    """One tab, by Chromium's own protocol."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self._socket, self._number = socket, 0

    async def do(self, method: str, **how: Any) -> dict[str, Any]:
        self._number += 1
        await self._socket.send_json({"id": self._number, "method": method, "params": how})
        while True:
            told = (await self._socket.receive()).json()
            if told.get("id") == self._number:
                return told.get("result", told)

    async def js(self, text: str, *, wait: bool = False) -> Any:
        told = await self.do("Runtime.evaluate", expression=text, returnByValue=True, awaitPromise=wait)
        return told.get("result", {}).get("value")

    async def open(self, url: str, seconds: float) -> None:
        await self.do("Page.navigate", url=url)
        await asyncio.sleep(seconds)

    async def keys(self, text: str) -> None:
        for key in text:
            await self.js("window.dispatchEvent(new Event('focus'))")
            await self.do("Input.dispatchKeyEvent", type="keyDown", text="\r" if key == "\n" else key)
            await self.do("Input.dispatchKeyEvent", type="keyUp")
            await asyncio.sleep(0.3)

    async def click(self, x: int, y: int) -> None:
        for kind in ("mousePressed", "mouseReleased"):
            await self.do("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)
        await asyncio.sleep(0.5)

    async def until(self, *classes: str, seconds: float = 60) -> str:
        """Wait until the page says how it stands; return that, or what it says after so long."""
        for _ in range(int(seconds / 0.2)):
            said = str(await self.js("document.body ? document.body.className : ''"))
            found = next((each for each in classes if each in said), "")
            if found:
                return found
            await asyncio.sleep(0.2)
        return f"nothing in {seconds:.0f} s: '{said}'"

    async def picture(self, path: Path) -> None:
        path.write_bytes(base64.b64decode((await self.do("Page.captureScreenshot", format="png"))["data"]))


async def tab(session: aiohttp.ClientSession) -> Tab:
    for _ in range(100):
        try:
            made = await (await session.put(f"http://127.0.0.1:{DEBUG}/json/new")).json()
            break
        except aiohttp.ClientError:
            await asyncio.sleep(0.2)
    return Tab(await session.ws_connect(made["webSocketDebuggerUrl"], max_msg_size=0))


async def trial(folder: Path, shop: Path, link: str, server: subprocess.Popen[str]) -> None:
    async with aiohttp.ClientSession() as session:
        first = await tab(session)
        await first.open(f"{BASE}/", 1)
        print("without the key:", await first.js("document.body.innerText"))
        await first.open(f"{BASE}/?key=wrong", 1)
        print("with a wrong key:", await first.js("document.body.innerText"))
        await first.open(link, 1)
        await first.js("document.querySelector('#name').value = 'hall tablet'")
        begun = time.perf_counter()
        await first.js("document.querySelector('form').requestSubmit()")
        while await first.js("document.body.className.includes('-first-byte')") is not True:
            await asyncio.sleep(0.1)
        print(f"first picture after {time.perf_counter() - begun:.1f} s")
        await asyncio.sleep(5)
        await first.click(400, 400)
        await first.js(
            "document.querySelector('[data-keys=esc]').dispatchEvent(new PointerEvent('pointerdown'))"
        )
        await asyncio.sleep(1)
        await first.picture(folder / "plan.png")
        with Desk.open(shop, readonly=True) as desk:
            waiting = [desk.state.group(each).name for each in desk.state.unplaced()]
            before = desk.seq
        await first.keys("/" + waiting[0][:12] + "\n")
        await asyncio.sleep(1)
        await first.keys("p")
        await asyncio.sleep(1)
        await first.keys("rack b/2\n")
        await asyncio.sleep(2)
        await first.picture(folder / "put.png")
        with Desk.open(shop, readonly=True) as desk:
            done = [(each.by, each.kind) for each in desk.ledger.events(before)]
        print(f"put down '{waiting[0]}':", json.dumps(done))
        others = [await tab(session) for _ in range(3)]
        for other in others:
            await other.open(f"{BASE}/", 0)
            print("another tab:", await other.until("first-byte", "refused"))
        fifth = await tab(session)
        await fifth.open(f"{BASE}/", 0)
        print("fifth tab:", await fifth.until("refused", "first-byte"), "-", await fifth.js(SAID))
        await fifth.picture(folder / "fifth.png")
        await fifth.do("Page.navigate", url="about:blank")
        begun = time.perf_counter()
        await first.do("Page.reload")
        await asyncio.sleep(0.5)
        again = await first.until("first-byte", "refused")
        print(f"a reload with four tabs open: {again} after {time.perf_counter() - begun:.1f} s")
        await asyncio.sleep(3)
        await first.picture(folder / "reloaded.png")
        await others[0].open("about:blank", 1)
        await fifth.open(f"{BASE}/", 0)
        print("the fifth after one is closed:", await fifth.until("first-byte", "refused"))
        stranger = await tab(session)
        await stranger.open("data:text/html,<title>another page</title>", 1)
        ask = (
            f"new Promise(r => {{const w = new WebSocket('ws://127.0.0.1:{PORT}/ws');"
            "w.onopen = () => r('open'); w.onerror = () => r('refused')})"
        )
        print("a foreign page's socket:", await stranger.js(ask, wait=True))
        await stranger.open(f"http://localhost:{PORT}/", 1)
        print("by another host name:", await stranger.js("document.body.innerText"))
        server.terminate()
        print("after the server has ended:", await first.until("ended"), "-", await first.js(SAID))


def main() -> None:
    folder = Path(sys.argv[1])
    shop = write_demo(folder / "shop")
    command = [sys.executable, "-m", "shopbins", "-s", str(shop), "serve", "--write", "--port", str(PORT)]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    link = server.stdout.readline().split()[-1]
    profile = [f"--user-data-dir={folder / 'profile'}", f"--remote-debugging-port={DEBUG}", "about:blank"]
    browser = subprocess.Popen(
        ["chromium", *FLAGS, *profile], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        asyncio.run(trial(folder, shop, link, server))
    finally:
        browser.terminate()
        server.terminate()


if __name__ == "__main__":
    main()
