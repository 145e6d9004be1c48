"""Nothing gets in without the token, this computer's name, and this page for its origin."""

import random

import pytest

from linkage.bench.guard import HEADERS, MOST, Door, guarded

DOOR = Door(8123, "a-token-nobody-knows")
GOOD = {
    "REQUEST_METHOD": "GET",
    "PATH_INFO": "/bench",
    "HTTP_HOST": "127.0.0.1:8123",
    "HTTP_X_BENCH_TOKEN": DOOR.token,
}
POST = {**GOOD, "REQUEST_METHOD": "POST", "CONTENT_TYPE": "application/json", "CONTENT_LENGTH": "2"}


def answer(environ):
    """Return the status and headers, and whether the application saw the request."""
    seen, begun = [], []

    def app(environ, start):
        seen.append(environ)
        start("200 OK", [])
        return [b""]

    list(guarded(app, lambda: DOOR)(environ, lambda *given: begun.append(given)))
    status, headers = begun[0][:2]
    return int(status.split()[0]), dict(headers), bool(seen)


@pytest.mark.parametrize("environ", [
    GOOD,
    {**GOOD, "HTTP_HOST": "localhost:8123", "HTTP_ORIGIN": "http://localhost:8123"},
    {**GOOD, "HTTP_X_BENCH_TOKEN": None, "QUERY_STRING": f"token={DOOR.token}"},
    {**GOOD, "HTTP_SEC_FETCH_SITE": "none"},
    POST,
])  # fmt: skip
def test_our_own_page_gets_in(environ):
    status, headers, seen = answer({k: v for k, v in environ.items() if v is not None})

    assert (status, seen) == (200, True)
    assert headers.keys() >= HEADERS.keys()


@pytest.mark.parametrize(("change", "status"), [
    ({"HTTP_HOST": "evil.example:8123"}, 421),
    ({"HTTP_HOST": "127.0.0.1"}, 421),
    ({"HTTP_HOST": ""}, 421),
    ({"HTTP_ORIGIN": "http://evil.example"}, 403),
    ({"HTTP_ORIGIN": "null"}, 403),
    ({"HTTP_ORIGIN": "http://localhost:8123"}, 403),
    ({"HTTP_SEC_FETCH_SITE": "cross-site"}, 403),
    ({"HTTP_SEC_FETCH_SITE": "same-site"}, 403),
    ({"HTTP_X_BENCH_TOKEN": ""}, 403),
    ({"HTTP_X_BENCH_TOKEN": DOOR.token[:-1]}, 403),
    ({"HTTP_X_BENCH_TOKEN": "\u00fc"}, 403),
    ({"HTTP_X_BENCH_TOKEN": "", "QUERY_STRING": f"token={DOOR.token}"}, 403),
    ({"REQUEST_METHOD": "PUT"}, 405),
    ({"REQUEST_METHOD": "OPTIONS"}, 405),
    ({"CONTENT_TYPE": "text/plain"}, 415),
    ({"CONTENT_TYPE": "application/x-www-form-urlencoded"}, 415),
    ({"CONTENT_LENGTH": str(MOST + 1)}, 413),
    ({"CONTENT_LENGTH": "-1"}, 413),
    ({"CONTENT_LENGTH": "9" * 400}, 413),
])  # fmt: skip
def test_each_thing_that_is_wrong_keeps_it_out(change, status):
    found, headers, seen = answer({**POST, **change})

    assert (found, seen) == (status, False)
    assert headers.keys() >= HEADERS.keys()


def test_two_thousand_requests_of_all_kinds_and_none_gets_in():
    """At least one thing is wrong with each; the rest is drawn at random."""
    draw = random.Random(7)
    wrong = {
        "HTTP_HOST": ["127.0.0.1:80", "[::1]:8123", "127.0.0.1:8123.evil.example", "a" * 9000],
        "HTTP_ORIGIN": ["http://127.0.0.1:8124", "https://127.0.0.1:8123", "file://", "null"],
        "HTTP_X_BENCH_TOKEN": ["", "x", DOOR.token.upper(), DOOR.token + "\0", "\udcff"],
        "CONTENT_LENGTH": ["1e3", "\u0664", str(MOST * 9), "0x10", "two"],
        "CONTENT_TYPE": ["", "text/html", "multipart/form-data; boundary=x", "application/jsonp"],
        "REQUEST_METHOD": ["DELETE", "TRACE", "CONNECT", "post", "", "\u0130"],
    }
    anything = {
        "PATH_INFO": ["/", "/../etc/passwd", "/file/..%2f", "//", "/\0"],
        "QUERY_STRING": ["", "token=", f"token={DOOR.token}x", "a=" * 500],
    }
    for _ in range(2000):
        environ = {**POST, **{key: draw.choice(held) for key, held in anything.items()}}
        for key in draw.sample(sorted(wrong), draw.randint(1, 4)):
            environ[key] = draw.choice(wrong[key])
        status, _, seen = answer(environ)
        assert not seen
        assert 400 <= status < 500
