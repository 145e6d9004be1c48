"""The server: routes only. What may come in `guard` says, what is done `desk` and `jobs`."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from functools import wraps
from math import isfinite
from typing import Any

from flask import Flask, Response, abort, request
from werkzeug.exceptions import HTTPException

from linkage.bench.adding import Adding, Thing, say_addition, with_added, with_thing
from linkage.bench.asking import QUESTIONS, QUICK
from linkage.bench.beginning import new_sheet
from linkage.bench.callers import Callers
from linkage.bench.changes import Edit, say_number
from linkage.bench.desk import LONGEST_POLL, Desk, Stale
from linkage.bench.document import bench_document
from linkage.bench.leaving import LEFT
from linkage.bench.telling import BUG
from linkage.bench.words import LONGEST, with_words
from linkage.errors import LinkageError, Problem, SheetError
from linkage.report.voice import capital
from linkage.sheet.head import MOST_LINES

_MOST_EDITS = 200
ADDED, THING = (tuple(field.name for field in fields(kind)) for kind in (Adding, Thing))
_GIVEN = ("id", "typed", "side", "part", "snapshot", "format")


def make_app(desk: Desk, callers: Callers) -> Flask:
    """Return the application, to be set behind `guard.guarded`."""
    app = Flask("tightspot", static_folder=None)
    app.json.sort_keys = False  # type: ignore[attr-defined]  # numbers stand as on the sheet
    _answer_errors(app)
    _page_routes(app, desk, callers)
    _change_routes(app, desk, callers)
    _sheet_routes(app, desk, callers)
    _more_routes(app, desk, callers)
    _job_routes(app, desk, callers)
    return app


def _answer_errors(app: Flask) -> None:
    @app.errorhandler(Stale)
    def stale(_: Stale) -> tuple[dict[str, Any], int]:
        return {"says": "The sheet has changed since.", "stale": True}, 409

    @app.errorhandler(LinkageError)
    def ours(error: LinkageError) -> tuple[dict[str, Any], int]:
        problems = list(error.problems) if isinstance(error, SheetError) else []
        return {"says": str(error), "problems": [_problem(p) for p in problems]}, 422

    @app.errorhandler(Exception)
    def bug(error: Exception) -> tuple[dict[str, Any], int]:
        return {"says": BUG.format(kind=type(error).__name__, says=error)}, 500

    @app.errorhandler(HTTPException)
    def theirs(error: HTTPException) -> tuple[dict[str, Any], int]:
        return {"says": error.name}, error.code or 500


def _page_routes(app: Flask, desk: Desk, callers: Callers) -> None:
    @app.get("/")
    def page() -> Response:
        held = callers.comes()
        text, policy = bench_document({**held, "bench": desk.bench(first=True)})
        return Response(text, mimetype="text/html", headers={"Content-Security-Policy": policy})

    @app.get("/bench")
    @_owned(callers)
    def bench() -> dict[str, Any]:
        return desk.bench()

    @app.get("/found")
    @_owned(callers)
    def found() -> Response:
        revision = request.args.get("revision", type=int)
        if revision is None:
            abort(400)
        text = desk.found(revision, request.args.get("have"))
        return Response(status=204) if text is None else Response(text, mimetype="application/json")

    @app.post("/take")
    def take() -> dict[str, Any]:
        callers.takes(request.headers.get("X-Bench-Page", ""))
        return desk.bench(first=True)

    @app.post("/here")
    def here() -> Response:
        callers.owns(request.headers.get("X-Bench-Page", ""))  # a second page is heard, too
        return Response(status=204)

    @app.post("/bye")
    def bye() -> Response:
        callers.goes(str(_asked().get("page", "")))
        return Response(status=204)


def _change_routes(app: Flask, desk: Desk, callers: Callers) -> None:
    @app.post("/change")
    @_owned(callers)
    def change() -> dict[str, Any]:
        asked = _asked()
        edits = _edits(asked.get("edits"))
        grip = _text(asked, "grip", 40) if asked.get("grip") else ""
        drawn = asked.get("drawn") is True
        problems = desk.change(_number(asked, "revision"), edits, grip, drawn)
        return {"bench": desk.bench(), "problems": [_problem(p) for p in problems]}

    @app.post("/glimpse")
    @_owned(callers)
    def glimpse() -> Response:
        asked = _asked()
        place = asked.get("place")
        if place is not None:
            place = _text(asked, "place", 40) if isinstance(place, str) else _finite(place)
        text = desk.glimpse(_text(asked, "id", 200), _finite(asked.get("value")), place)
        return Response(status=204) if text is None else Response(text, mimetype="application/json")

    @app.post("/undo")
    @_owned(callers)
    def undo() -> dict[str, Any]:
        desk.undo()
        return desk.bench()

    @app.post("/redo")
    @_owned(callers)
    def redo() -> dict[str, Any]:
        desk.redo()
        return desk.bench()

    @app.post("/snapshot")
    @_owned(callers)
    def snapshot() -> dict[str, Any]:
        desk.name(_text(_asked(), "name", 60))
        return desk.bench()

    @app.post("/return")
    @_owned(callers)
    def back_to() -> dict[str, Any]:
        name = _text(_asked(), "name", 60)
        desk.put(desk.revision, f'back to "{name}"', desk.snapshot(name))
        return desk.bench()

    @app.post("/keep")
    @_owned(callers)
    def keep() -> dict[str, Any]:
        how = _text(_asked(), "how", 10)
        if how not in ("save", "mine", "theirs", "beside"):
            abort(400)
        desk.keep(how)
        return desk.bench()


def _sheet_routes(app: Flask, desk: Desk, callers: Callers) -> None:
    @app.post("/reset")
    @_owned(callers)
    def reset() -> dict[str, Any]:
        problems = desk.reset(_text(_asked(), "id", 200))
        return {"bench": desk.bench(), "problems": [_problem(p) for p in problems]}

    @app.post("/felt")
    @_owned(callers)
    def felt() -> dict[str, Any]:
        asked = _asked()
        lines = asked.get("felt")
        if not isinstance(lines, list) or len(lines) > MOST_LINES:
            abort(400)
        problems = desk.felt(_number(asked, "revision"), [_line(line) for line in lines])
        return {"bench": desk.bench(), "problems": [_problem(p) for p in problems]}

    @app.post("/open")
    @_owned(callers)
    def open_sheet() -> dict[str, Any]:
        desk.open(_text(_asked(), "name", 200))
        return desk.bench()

    @app.post("/new")
    @_owned(callers)
    def new() -> dict[str, Any]:
        asked = _asked()
        arrangement = _text(asked, "arrangement", 40)
        wheels = _text(asked, "wheels", 20) if asked.get("wheels") else None
        text = new_sheet(arrangement, _text(asked, "scale", 40), _text(asked, "unit", 2), wheels)
        desk.new(text, arrangement)
        return desk.bench()


def _more_routes(app: Flask, desk: Desk, callers: Callers) -> None:
    @app.post("/add")
    @_owned(callers)
    def add() -> dict[str, Any]:
        asked = _asked()
        held = {name: _text(asked, name, 200) for name in ADDED if asked.get(name)}
        if "key" not in held:
            abort(400)
        key = held["key"]
        text = with_added(desk.text, desk.source, desk.sheet, Adding(**held))
        return _put(desk, asked, f"added: {say_addition(key)}", text)

    @app.post("/thing")
    @_owned(callers)
    def thing() -> dict[str, Any]:
        asked = _asked()
        held = Thing(**{name: _words(asked, name, 100) for name in THING})
        text = with_thing(desk.text, desk.source, held)
        return _put(desk, asked, f"added: {held.name}", text)

    @app.post("/words")
    @_owned(callers)
    def words() -> dict[str, Any]:
        asked = _asked()
        key, typed = _text(asked, "key", 40), _words(asked, "typed", LONGEST)
        text = with_words(desk.text, desk.source, key, typed)
        return _put(desk, asked, f"report: {key.replace('_', ' ')}", text)


def _job_routes(app: Flask, desk: Desk, callers: Callers) -> None:
    @app.post("/ask")
    @_owned(callers)
    def ask() -> dict[str, Any]:
        return {"job": _job_of(desk, QUESTIONS)}

    @app.post("/leave")
    @_owned(callers)
    def leave() -> dict[str, Any]:
        return {"job": _job_of(desk, LEFT)}

    @app.get("/job/<int:number>")
    @_owned(callers)
    def job(number: int) -> dict[str, Any]:
        found = desk.jobs.follow(number, request.args.get("have", -1, type=int), LONGEST_POLL)
        return found if found is not None else abort(404)

    @app.post("/job/<int:number>/stop")
    @_owned(callers)
    def stop(number: int) -> Response:
        desk.jobs.stop(number)
        return Response(status=204)

    @app.post("/try")
    @_owned(callers)
    def try_cure() -> dict[str, Any]:
        asked = _asked()
        problems = desk.try_cure(_number(asked, "job"), _text(asked, "cure", 20))
        return {"bench": desk.bench(), "problems": [_problem(p) for p in problems]}

    @app.get("/file/<name>")
    @_owned(callers)
    def file(name: str) -> Response:
        content = desk.written(name)
        if content is None:
            abort(404)
        kind = KINDS.get(name.rpartition(".")[2], "application/octet-stream")
        return Response(content, mimetype=kind, headers={"Content-Disposition": "attachment"})


KINDS = {"pdf": "application/pdf", "html": "text/html", "gif": "image/gif", "png": "image/png"}


def _job_of(desk: Desk, known: Mapping[str, Any]) -> int:
    asked = _asked()
    what = _text(asked, "what", 20)
    if what not in known:
        abort(400)
    given = {key: value for key in _GIVEN if isinstance(value := asked.get(key), str)}
    return desk.ask(_number(asked, "revision"), what, given, what in QUICK)


def _put(desk: Desk, asked: dict[str, Any], says: str, text: str) -> dict[str, Any]:
    problems = desk.put(_number(asked, "revision"), says, text)
    return {"bench": desk.bench(), "problems": [_problem(p) for p in problems]}


def _line(line: Any) -> Any:
    if isinstance(line, str) and len(line) <= 300:
        return line
    if not isinstance(line, dict):
        abort(400)
    return {key: value for key, value in line.items() if key != "number"}


def _owned(callers: Callers) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Return a decorator that lets in the one page that works at the sheet."""

    def wrap(route: Callable[..., Any]) -> Callable[..., Any]:
        @wraps(route)
        def owned(*given: Any, **more: Any) -> Any:
            if not callers.owns(request.headers.get("X-Bench-Page", "")):
                return {"says": callers.SECOND, "second": True}, 409
            return route(*given, **more)

        return owned

    return wrap


def _asked() -> dict[str, Any]:
    try:
        found = json.loads(request.get_data(cache=False))
    except (ValueError, RecursionError):
        abort(400)
    if not isinstance(found, dict):
        abort(400)
    return found


def _number(asked: dict[str, Any], key: str) -> int:
    value = asked.get(key)
    if not isinstance(value, int) or isinstance(value, bool):
        abort(400)
    return value


def _finite(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        abort(400)
    return float(value)


def _text(asked: dict[str, Any], key: str, most: int) -> str:
    value = asked.get(key)
    if not isinstance(value, str) or not value.strip() or len(value) > most:
        abort(400)
    return " ".join(value.split())


def _words(asked: dict[str, Any], key: str, most: int) -> str:
    """Return a text as it was typed, which may be nothing."""
    value = asked.get(key)
    if not isinstance(value, str) or len(value) > most:
        abort(400)
    return value.strip()


def _edits(asked: Any) -> list[Edit]:
    if not isinstance(asked, list) or not 0 < len(asked) <= _MOST_EDITS:
        abort(400)
    found = []
    for one in asked:
        key, typed = (one.get("id"), one.get("typed")) if isinstance(one, dict) else (None, None)
        if not isinstance(key, str) or not 0 < len(key) <= 200:
            abort(400)
        if typed is not None and not isinstance(typed, str):
            abort(400)
        found.append(Edit(key, typed, one.get("sure") is True))
    return found


def _problem(problem: Problem) -> dict[str, Any]:
    about = capital(say_number(problem.key)) if problem.key else ""
    says = str(replace(problem, key=""))
    return {"id": problem.key or None, "about": about, "says": says, "question": problem.doubt}


class Serving:
    """The server, on this computer alone."""

    def __init__(self, app: Any, port: int) -> None:
        from waitress import create_server

        from linkage.bench.guard import MOST, Door, guarded, new_token

        self._door: Door | None = None
        self._server = create_server(
            guarded(app, self._let), host="127.0.0.1", port=port, threads=24, ident=None,
            max_request_body_size=MOST, max_request_header_size=32768,
            clear_untrusted_proxy_headers=True, channel_timeout=60, connection_limit=200,
        )  # fmt: skip
        self._door = Door(self._server.effective_port, new_token())

    def _let(self) -> Any:
        return self._door

    @property
    def url(self) -> str:
        """Where the page is, with its token."""
        door = self._let()
        return f"http://127.0.0.1:{door.port}/?token={door.token}"

    def run(self) -> None:
        """Serve until `stop`."""
        self._server.run()

    def stop(self) -> None:
        """Let the server end."""
        self._server.close()
