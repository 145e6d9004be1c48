"""Knock at a bench's server with random requests, and tell whether any got in or ended it.

    python -m tests.speed.bench_knocks --count 10000 [--seed 0]

Every request has at least one thing wrong, in its token, Host, Origin, where it comes from, its
method or size, or is no HTTP at all. None may be answered as our own page is, change the sheet, or
end the server, which must answer our own page after them as before.
"""

from __future__ import annotations

import argparse
import random
import re
import socket
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

from linkage.sheet.ready import demonstration
from tests.speed.bench_changes import Page

PATHS = ("/", "/bench", "/found?revision=0", "/change", "/glimpse", "/undo", "/redo", "/snapshot",
         "/return", "/keep", "/reset", "/felt", "/open", "/new", "/ask", "/leave", "/job/1",
         "/add", "/thing", "/words", "/job/1/stop", "/try", "/file/engine.toml",
         "/file/..%2fengine.toml", "/../../etc/passwd",
         "//", "/%00", "/take", "/here", "/bye", "*", "http://evil.example/",
         "/" + "a" * 9000)  # fmt: skip
BODIES = (b"", b"{}", b"[]", b"null", b'{"how": "save"}', b'{"revision": 0, "edits": []}',
          b"[" * 5000, b"\xff" * 300, b'{"name": "../engine.toml"}', b"x" * 300_000)  # fmt: skip


class Knocker:
    """Draws requests of which each has something wrong."""

    def __init__(self, page: Page, chance: random.Random) -> None:
        self._page, self._chance = page, chance
        self._port = int(page.base.rpartition(":")[2])

    def request(self) -> bytes:
        """Return one."""
        if self._chance.random() < 0.05:
            return self._chance.randbytes(self._chance.randrange(1, 600)) + b"\r\n\r\n"
        chance, host = self._chance, f"127.0.0.1:{self._port}"
        method = chance.choice(("GET", "POST"))
        head = {"Host": host, "Origin": f"http://{host}", "X-Bench-Token": self._page.token,
                "X-Bench-Page": self._page.page, "Content-Type": "application/json"}  # fmt: skip
        body = chance.choice(BODIES) if method == "POST" else b""
        head["Content-Length"] = str(len(body))
        for spoil in chance.sample(self._spoils, chance.randrange(1, 4)):
            method = spoil(head) or method
        lines = [f"{method} {chance.choice(PATHS)} HTTP/1.1"]
        lines += [f"{key}: {value}" for key, value in head.items()]
        return "\r\n".join(lines).encode("latin-1", "replace") + b"\r\n\r\n" + body

    @property
    def _spoils(self) -> list:
        return [self._token, self._host, self._origin, self._site, self._method, self._size]

    def _token(self, head):
        token = head.pop("X-Bench-Token", self._page.token)
        some = ("", "x", token.upper() + "x", token[:-1], token + "\x00", "\xff" * 40, "a" * 20_000)
        if self._chance.random() < 0.8:
            head["X-Bench-Token"] = self._chance.choice(some)

    def _host(self, head):
        some = ("evil.example", "127.0.0.1", f"[::1]:{self._port}", f"127.0.0.1:{self._port}.evil",
                f"evil@127.0.0.1:{self._port}", "", "a" * 5000)  # fmt: skip
        head["Host"] = self._chance.choice(some)

    def _origin(self, head):
        some = ("null", "http://evil.example", f"https://127.0.0.1:{self._port}", "file://",
                f"http://127.0.0.1:{self._port + 1}")  # fmt: skip
        head["Origin"] = self._chance.choice(some)

    def _site(self, head):
        head["Sec-Fetch-Site"] = self._chance.choice(("cross-site", "same-site", "x"))

    def _method(self, head):
        return self._chance.choice(("PUT", "DELETE", "TRACE", "OPTIONS", "HEAD", "PATCH", "post"))

    def _size(self, head):
        some = ("-1", "1e3", "0x10", "99999999999", "300001", "two")
        head["Content-Length"] = self._chance.choice(some)


def knock(port: int, request: bytes) -> str:
    """Send a request and return the status of the answer; "closed" where there was none."""
    with socket.create_connection(("127.0.0.1", port), timeout=20) as line:
        try:
            line.sendall(request)
            line.shutdown(socket.SHUT_WR)
            answer = line.recv(300)
        except TimeoutError:
            return "silence"
        except OSError:
            return "closed"
    found = re.match(rb"HTTP/1\.[01] (\d{3})", answer)
    return found[1].decode() if found else "closed"


def knock_often(count: int, seed: int) -> tuple[Counter[str], list[bytes], bool]:
    """Knock; return how often there was which answer, what got in, and whether it still serves."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "engine.toml"
        path.write_bytes(demonstration().read_bytes())
        before = path.read_bytes()
        process = subprocess.Popen(
            [sys.executable, "-u", "-m", "linkage", "bench", str(path), "--no-browser"],
            stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        try:
            page = Page(re.search(r"http\S+", process.stdout.readline())[0])
            knocker = Knocker(page, random.Random(seed))
            port = int(page.base.rpartition(":")[2])
            answers: Counter[str] = Counter()
            entered = []
            for _ in range(count):
                request = knocker.request()
                status = knock(port, request)
                answers[status] += 1
                if not (status == "closed" or status.startswith("4")):
                    entered.append(request)
            serves = process.poll() is None and page.ask("/bench")["revision"] == 0
            return answers, entered, serves and path.read_bytes() == before
        finally:
            process.kill()
            process.wait()
            process.stdout.close()


def main() -> int:
    """Knock and tell."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    answers, entered, serves = knock_often(asked.count, asked.seed)
    told = ", ".join(f"{often} times {status}" for status, often in sorted(answers.items()))
    print(f"{asked.count} requests: {told}")
    for request in entered[:5]:
        print("GOT IN:", request[:300])
    print(f"{len(entered)} got in; the sheet and the server are", "as before" if serves else "NOT")
    return 0 if serves and not entered else 1


if __name__ == "__main__":
    sys.exit(main())
