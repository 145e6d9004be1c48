"""What may come in at all, looked at before anything else is: where from, to whom, with what token.

A page of another server that is open in the same browser can send requests to this one. It cannot
read the token, nor say that it comes from here: `Host` is the name that the browser believes to
speak to, `Origin` and `Sec-Fetch-Site` say which page asks.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any
from urllib.parse import parse_qs

TOKEN_HEADER = "HTTP_X_BENCH_TOKEN"
MOST = 256 * 1024
"""Bytes of a request's body."""
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; "
    "form-action 'none'",
}
"""Of every answer; the page has a policy of its own in place of the last."""


def new_token() -> str:
    """Return a token that nobody can guess."""
    return secrets.token_urlsafe(24)


Environ = Mapping[str, Any]
Start = Callable[..., Any]


@dataclass(frozen=True)
class Door:
    """Who is let in."""

    port: int
    token: str

    @property
    def hosts(self) -> tuple[str, ...]:
        """The names by which a browser may call this server."""
        return (f"127.0.0.1:{self.port}", f"localhost:{self.port}")

    def refusal(self, environ: Environ) -> HTTPStatus | None:
        """Return why a request is refused; None where it may come in."""
        host = environ.get("HTTP_HOST", "")
        if host not in self.hosts:
            return HTTPStatus.MISDIRECTED_REQUEST
        if environ.get("HTTP_ORIGIN", f"http://{host}") != f"http://{host}":
            return HTTPStatus.FORBIDDEN
        site = environ.get("HTTP_SEC_FETCH_SITE", "same-origin")
        if site not in ("same-origin", "none"):
            return HTTPStatus.FORBIDDEN
        if not self._knows(environ):
            return HTTPStatus.FORBIDDEN
        return self._of_body(environ)

    def _knows(self, environ: Environ) -> bool:
        """Tell whether a request has the token, in its header or else in its URL."""
        given = environ.get(TOKEN_HEADER)
        if given is None:  # what a page begins with, and ends with, can have no header
            given = parse_qs(str(environ.get("QUERY_STRING", ""))).get("token", [""])[0]
        # bytes: texts that are not ASCII cannot be compared in constant time
        return secrets.compare_digest(str(given or "").encode("utf-8", "replace"),
                                      self.token.encode())  # fmt: skip

    def _of_body(self, environ: Environ) -> HTTPStatus | None:
        method = environ.get("REQUEST_METHOD")
        length = environ.get("CONTENT_LENGTH") or "0"
        if method not in ("GET", "POST"):
            return HTTPStatus.METHOD_NOT_ALLOWED
        if not (length.isascii() and length.isdigit()) or len(length) > 9 or int(length) > MOST:
            return HTTPStatus.REQUEST_ENTITY_TOO_LARGE
        if method == "GET":
            return HTTPStatus.BAD_REQUEST if int(length) else None
        kind = str(environ.get("CONTENT_TYPE", "")).partition(";")[0].strip().lower()
        return None if kind == "application/json" else HTTPStatus.UNSUPPORTED_MEDIA_TYPE


def guarded(app: Callable[..., Iterable[bytes]], door: Callable[[], Door]) -> Any:
    """Return an application that only sees what is let in, with our headers on all it answers."""

    def answer(environ: dict[str, Any], start: Start) -> Iterable[bytes]:
        def begin(status: str, headers: list[tuple[str, str]], *more: Any) -> Any:
            there = {name.lower() for name, _ in headers}
            ours = [(name, text) for name, text in HEADERS.items() if name.lower() not in there]
            return start(status, [*headers, *ours], *more)

        refused = door().refusal(environ)
        if refused is None:
            return app(environ, begin)
        said = f"{refused.phrase}\n".encode()
        begin(
            f"{refused.value} {refused.phrase}",
            [("Content-Type", "text/plain; charset=utf-8"), ("Content-Length", str(len(said)))],
        )
        return [said]

    return answer
