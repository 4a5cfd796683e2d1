"""The command serve: the app in browsers of the shop's own network."""

from __future__ import annotations

import ipaddress
import socket
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser

if TYPE_CHECKING:
    from shopbins.cli.context import Context

PORT = 8017
LAN = (
    "Plain http: whoever is on this network can read the screen and the key. docs/serve.md tells how a",
    "reverse proxy with https shuts it. Never forward this port to the internet.",
)


def _arguments(parser: Parser) -> None:
    parser.add_argument("--port", type=int, default=PORT, metavar="N", help=f"else {PORT}")
    parser.add_argument("--write", action="store_true", help="let browsers record; else they only look")
    parser.add_argument(
        "--lan", metavar="ADDRESS", help="this machine's own address, for others on the network"
    )
    parser.add_argument("--url", metavar="URL", help="what browsers open, behind a reverse proxy")


def _serve(context: Context, args: Arguments) -> int:
    host = _own_address(args.lan) if args.lan else "127.0.0.1"
    if not 1 <= args.port <= 65535:
        raise UsageError("shopbins serve: a port is from 1 to 65535")
    url = _url(args.url) if args.url else None
    path = context.shop_path()
    context.desk(readonly=not args.write)  # what is wrong is said here, not in a browser
    try:
        from shopbins.serve.guard import Guarded, Served, run
    except ImportError:
        context.problem("serving needs a package more: pip install 'shopbins[serve]'")
        return 65
    if not _free(host, args.port):
        context.problem(f"{host}:{args.port} is taken: choose another --port")
        return 74
    guarded = Guarded(Served(path.absolute(), args.ledger or None, args.write), host, args.port, url=url)
    context.lines(_said(guarded.link, args))
    import sys

    sys.stdout.flush()
    run(guarded)
    return 0


def _said(link: str, args: Arguments) -> list[str]:
    import io

    import segno

    picture = io.StringIO()
    segno.make(link, error="m").terminal(picture, compact=True)
    may = (
        "may record, each under its device's name"
        if args.write
        else "may only look (--write lets them record)"
    )
    return [
        f"Open this on the other device: {link}",
        *(line for line in picture.getvalue().split("\n") if line.strip()),
        f"Browsers {may}. Ctrl+C ends it, and with it this key.",
        *(LAN if args.lan and not args.url else ()),
    ]


def _own_address(text: str) -> str:
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        raise UsageError(f"shopbins serve: '{text}' is no address, like 192.168.1.20") from None
    if address.is_unspecified or address.is_global or address.is_multicast:
        raise UsageError(f"shopbins serve: {text} is not an address of this machine on your own network")
    return str(address)


def _url(text: str) -> str:
    parts = urlsplit(text)
    if parts.scheme not in ("http", "https") or not parts.netloc or parts.path.strip("/") or parts.query:
        raise UsageError(f"shopbins serve: '{text}' is no address like https://shop.example.lan")
    return f"{parts.scheme}://{parts.netloc}"


def _free(host: str, port: int) -> bool:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
    return True


COMMANDS = (
    Command(
        "serve",
        ("shopbins serve", "shopbins serve --write --lan 192.168.1.20"),
        _arguments,
        _serve,
        "Shut to everybody without the printed link; only this machine, unless --lan. Needs the extra\n"
        "'serve'. The editor, printing and files of this machine are off in a browser (docs/serve.md).",
    ),
)
