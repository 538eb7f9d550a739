"""A real web server on this machine that answers as a test says and remembers what it got."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

Answer = Callable[[BaseHTTPRequestHandler, bytes], None]


class LocalServer(ThreadingHTTPServer):
    """Answers every request by ``answer``; ``asked`` holds (method, path, headers, body)."""

    daemon_threads = True
    answer: Answer

    def __init__(self) -> None:
        self.asked: list[tuple[str, str, dict[str, str], bytes]] = []
        super().__init__(("127.0.0.1", 0), _Handler)

    @property
    def address(self) -> str:
        """Where it listens."""
        return f"http://127.0.0.1:{self.server_address[1]}/ask"


class _Handler(BaseHTTPRequestHandler):
    server: LocalServer

    def do_GET(self) -> None:
        self._do()

    def do_POST(self) -> None:
        self._do()

    def log_message(self, *_: Any) -> None:
        """Keep quiet."""

    def _do(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        self.server.asked.append((self.command, self.path, dict(self.headers), body))
        try:
            self.server.answer(self, body)
        except (BrokenPipeError, ConnectionResetError):
            return


@contextmanager
def local_server(answer: Answer) -> Iterator[LocalServer]:
    """Run the server for the length of a test."""
    with LocalServer() as server:
        server.answer = answer
        thread = threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True)
        thread.start()
        try:
            yield server
        finally:
            server.shutdown()
            thread.join()


def says(value: Any, *, status: int = 200) -> Answer:
    """Answer with this JSON."""
    return says_bytes(json.dumps(value).encode(), status=status)


def says_bytes(data: bytes, *, status: int = 200, **headers: str) -> Answer:
    """Answer with these bytes."""

    def answer(handler: BaseHTTPRequestHandler, _: bytes) -> None:
        handler.send_response(status)
        for name, value in headers.items():
            handler.send_header(name, value)
        handler.send_header("Content-Length", str(len(data)))
        handler.end_headers()
        handler.wfile.write(data)

    return answer
