"""One question to a server that the owner named: limited in time and size, and never repeated.

Nothing here is used unless an address is set in the environment. No redirect is followed and no
proxy or stored sign-in of the machine is used, so that what is asked goes where the owner said and
nowhere else. Everything that can go wrong comes back as :class:`NoAnswer` with a sentence.
"""

from __future__ import annotations

import json
import threading
from dataclasses import dataclass
from typing import Any

import requests
from django.conf import settings

MOST_BYTES = 1_000_000
_PART = 16_384


class NoAnswer(Exception):
    """The server did not answer, or not in a way that can be used; ``str()`` says which."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: parameters in the address, or a body of JSON."""

    address: str
    token: str = ""
    parameters: dict[str, str] | None = None
    body: Any = None


def network_answer(question: Question, *, seconds: float | None = None) -> Any:
    """Return the answer's JSON.

    The time counts for the whole of it: a server that sends a byte a second is given up as well.

    :raises NoAnswer: after that time, for more than a megabyte, for anything but 200 and JSON
    """
    limit = settings.NETWORK_SECONDS if seconds is None else seconds
    asked = _Asked(question, limit)
    # A read of a socket knows only how long it waited for the next byte. So the whole is done
    # beside this thread, which goes on when the time is up.
    worker = threading.Thread(target=asked.run, name="network answer", daemon=True)
    worker.start()
    worker.join(limit)
    if worker.is_alive():
        asked.is_given_up.set()
        raise NoAnswer(f"It did not answer within {limit:g} seconds.")
    if asked.trouble:
        raise NoAnswer(asked.trouble)
    return asked.answer


class _Asked:
    """The asking, in a thread of its own."""

    def __init__(self, question: Question, seconds: float) -> None:
        self.question, self.seconds = question, seconds
        self.answer: Any = None
        self.trouble = ""
        self.is_given_up = threading.Event()

    def run(self) -> None:
        """Ask; leave the answer or the trouble behind, and let no exception out."""
        try:
            self.answer = self._read()
        except requests.Timeout:
            self.trouble = f"It did not answer within {self.seconds:g} seconds."
        except (requests.RequestException, OSError, ValueError):
            self.trouble = "It could not be reached."
        except NoAnswer as said:
            self.trouble = str(said)

    def _read(self) -> Any:
        asked = self.question
        headers = {"Accept": "application/json", "User-Agent": "drum-studio"}
        if asked.token:
            headers["Authorization"] = f"Bearer {asked.token}"
        with requests.Session() as session:
            session.trust_env = False
            with session.request(
                "GET" if asked.body is None else "POST",
                asked.address,
                params=asked.parameters,
                json=asked.body,
                headers=headers,
                timeout=self.seconds,
                stream=True,
                allow_redirects=False,
            ) as response:
                if response.status_code != 200:
                    raise NoAnswer(f"It answered with the number {response.status_code}.")
                return _as_json(self._bytes(response))

    def _bytes(self, response: requests.Response) -> bytes:
        found = bytearray()
        for part in response.iter_content(_PART):
            found += part
            if len(found) > MOST_BYTES:
                raise NoAnswer("Its answer is too long.")
            if self.is_given_up.is_set():
                raise NoAnswer("It was too slow.")
        return bytes(found)


def _as_json(data: bytes) -> Any:
    try:
        return json.loads(data)
    except (ValueError, RecursionError):
        raise NoAnswer("Its answer is not JSON.") from None
