"""A tiny static site on a free port, with the policy headers that the real pages carry."""

from __future__ import annotations

import json
import threading
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any, Self

from django.template import Context, Engine

ROOT = Path(__file__).parents[2]
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "connect-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)


def template(name: str, **context: Any) -> str:
    """One of the project's template includes, rendered as a page would."""
    engine = Engine(dirs=[str(ROOT / "templates")])
    return engine.get_template(name).render(Context(context, use_l10n=False, use_tz=False))


class Site:
    """Serves ``static/`` and whatever :meth:`put` was given; use it as a context manager."""

    def __init__(self) -> None:
        self.files: dict[str, tuple[str, bytes]] = {
            "/icon.svg": ("image/svg+xml", b'<svg xmlns="http://www.w3.org/2000/svg"/>'),
        }
        handler = partial(_Handler, self.files, directory=str(ROOT))
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
        self.address = f"http://127.0.0.1:{self.server.server_port}"

    def __enter__(self) -> Self:
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        return self

    def __exit__(self, *_: object) -> None:
        self.server.shutdown()
        self.server.server_close()

    def put(self, name: str, body: str, *, scripts: tuple[str, ...] = ("player.js",)) -> str:
        """Serve a page with this body and say at which address."""
        tags = "".join(
            f'<script type="module" src="/static/js/{each}"></script>' for each in scripts
        )
        styles = "".join(
            f'<link rel="stylesheet" href="/static/css/{each}.css">'
            for each in ("tokens", "base", "player", "lanes")
        )
        html = (
            '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Test page</title>'
            '<meta name="viewport" content="width=device-width">'
            f'<link rel="icon" href="/icon.svg">{styles}{tags}</head>'
            f'<body><main class="main"><h1>Harbour walk</h1>{body}</main></body></html>'
        )
        self.files[f"/{name}"] = ("text/html; charset=utf-8", html.encode())
        return f"{self.address}/{name}"

    def put_json(self, name: str, value: object) -> str:
        """Serve a value as JSON and say at which path."""
        self.files[f"/{name}"] = ("application/json", json.dumps(value).encode())
        return f"/{name}"


class _Handler(SimpleHTTPRequestHandler):
    extensions_map = {**SimpleHTTPRequestHandler.extensions_map, ".js": "text/javascript"}

    def __init__(
        self, files: dict[str, tuple[str, bytes]], *args: Any, directory: str, **kwargs: Any
    ) -> None:
        self.files = files
        super().__init__(*args, directory=directory, **kwargs)

    def do_GET(self) -> None:
        held = self.files.get(self.path)
        if held is None:
            if not self.path.startswith("/static/"):
                self.send_error(404)
                return
            super().do_GET()
            return
        kind, content = held
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)

    def end_headers(self) -> None:
        self.send_header("Content-Security-Policy", POLICY)
        super().end_headers()

    def log_message(self, *_: object) -> None:
        """Keep the test output quiet."""
