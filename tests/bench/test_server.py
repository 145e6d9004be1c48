"""The routes, without the process that finds out and without a network."""

import json

import pytest

from linkage.bench import server as served
from linkage.bench.book import Book
from linkage.bench.callers import Callers
from linkage.bench.desk import Desk
from linkage.bench.keeping import Hold, Kept
from linkage.bench.server import make_app
from linkage.sheet.ready import demonstration
from tests.bench.test_desk import NoFinder

TEXT = demonstration().read_text(encoding="utf-8")
HOSTILE = '</script><script>alert(1)</script><img src=x onerror="alert(2)">'


class Page:
    """A page that is open."""

    def __init__(self, client):
        self._client = client
        html = client.get("/").get_data(as_text=True)
        self.html, self.first = html, json.loads(html.split('id="first">')[1].split("</script>")[0])
        self.headers = {"X-Bench-Page": self.first["page"]}

    def get(self, path):
        """Ask for something."""
        return self._client.get(path, headers=self.headers)

    def post(self, path, **body):
        """Send something."""
        return self._client.post(path, json=body, headers=self.headers)


@pytest.fixture
def client(tmp_path, monkeypatch):
    monkeypatch.setattr(served, "LONGEST_POLL", 0.05)
    path = tmp_path / "engine.toml"
    text = TEXT.replace("Ardmoor", HOSTILE.replace('"', "'"), 1)
    path.write_text(text, encoding="utf-8")
    desk = Desk(Kept(path, text), Book(text), NoFinder(), Hold())
    client = make_app(desk, Callers(lambda: None)).test_client()
    client.desk = desk
    yield client
    desk.close()


def test_what_hostile_text_a_sheet_has_stays_text(client):
    page = Page(client)

    assert "<script>alert" not in page.html
    assert "alert(1)" in page.first["bench"]["title"]


def test_the_page_lets_nothing_run_but_what_is_ours(client):
    policy = client.get("/").headers["Content-Security-Policy"]

    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert policy.count("sha256-") == 2


def test_a_second_page_is_told_and_may_take_over(client):
    one, other = Page(client), Page(client)

    assert other.first["second"]
    assert other.get("/bench").status_code == 409
    assert one.get("/bench").status_code == 200
    assert other.post("/take").status_code == 200
    assert other.get("/bench").status_code == 200
    assert one.post("/undo").get_json()["second"]


def test_undo_is_there_after_a_reload(client):
    page = Page(client)
    page.post("/change", revision=0, edits=[{"id": "radius_rod.out", "typed": "4.5"}])
    page.post("/bye", page=page.first["page"])
    page = Page(client)

    assert page.first["second"] is None
    assert "4.5" in page.first["bench"]["undo"]
    assert page.post("/undo").get_json()["saved"]


def test_a_change_of_an_old_revision_is_refused(client):
    page, edits = Page(client), [{"id": "radius_rod.out", "typed": "4.5"}]
    page.post("/change", revision=0, edits=edits)

    answer = page.post("/change", revision=0, edits=edits)

    assert (answer.status_code, answer.get_json()["stale"]) == (409, True)


def test_something_more_and_words_are_put_on_the_sheet_each_a_step_to_take_back(client):
    page = Page(client)
    said = page.post("/add", revision=0, key="valve_spindle.guide", side="right").get_json()
    assert said["bench"]["undo"] == "added: valve spindle's guide"
    sizes = {"rear": "1", "front": "2", "bottom": "0", "top": "1", "out": "30", "thickness": "1"}
    said = page.post("/thing", revision=1, name="a block", **sizes).get_json()
    assert said["bench"]["undo"] == "added: a block"
    said = page.post("/words", revision=2, key="owner", typed="A. Owner").get_json()
    assert said["bench"]["undo"] == "report: owner"
    there = {one["says"] for one in said["bench"]["additions"]["there"]}
    assert {"valve spindle's guide, right", "a block"} <= there
    answer = page.post("/add", revision=3, key="moon")
    assert (answer.status_code, answer.get_json()["problems"][0]["id"]) == (422, "moon")
    assert page.post("/add", revision=0, key="crank_pin.nut").status_code == 409


@pytest.mark.parametrize(("path", "body"), [
    ("/change", {"revision": 0}),
    ("/change", {"revision": True, "edits": [{"id": "a", "typed": "1"}]}),
    ("/change", {"revision": 0, "edits": []}),
    ("/change", {"revision": 0, "edits": [{"id": 4, "typed": "1"}]}),
    ("/change", {"revision": 0, "edits": [{"id": "a" * 900, "typed": "1"}]}),
    ("/change", {"revision": 0, "edits": [{"id": "a", "typed": ["1"]}]}),
    ("/snapshot", {"name": ""}),
    ("/keep", {"how": "burn"}),
    ("/ask", {"revision": 0, "what": "__class__"}),
    ("/leave", {"revision": 0, "what": "cures"}),
    ("/felt", {"revision": 0, "felt": "locks"}),
    ("/add", {"revision": 0}),
    ("/add", {"revision": 0, "key": ["crank_pin.nut"]}),
    ("/thing", {"revision": 0, "name": "bracket"}),
    ("/words", {"revision": 0, "key": "owner", "typed": "a" * 9000}),
    ("/try", {"job": "1", "cure": "0.0"}),
])  # fmt: skip
def test_what_is_not_as_agreed_is_refused(client, path, body):
    assert Page(client).post(path, **body).status_code == 400


@pytest.mark.parametrize(("path", "body"), [
    ("/open", {"name": "../engine.toml"}),
    ("/open", {"name": "/etc/passwd"}),
    ("/open", {"name": "link.toml"}),
    ("/new", {"arrangement": "beam", "scale": "4 mm", "unit": "mm"}),
    ("/return", {"name": "never kept"}),
    ("/try", {"job": 1, "cure": "0.0"}),
])  # fmt: skip
def test_what_cannot_be_is_said(client, path, body):
    (client.desk.folder / "link.toml").symlink_to("/etc/passwd")

    answer = Page(client).post(path, **body)

    assert answer.status_code == 422
    assert answer.get_json()["says"]


@pytest.mark.parametrize("name", ["engine.toml", "..%2fengine.toml", "%2e%2e", "a.pdf"])
def test_no_file_is_given_but_what_was_written_here(client, name):
    assert Page(client).get(f"/file/{name}").status_code == 404


def test_a_new_sheet_has_a_file_at_once_and_another_of_the_folder_can_be_opened(client):
    page = Page(client)
    new = page.post("/new", arrangement="slider-crank", scale="4 mm", unit="in").get_json()

    assert (new["file"], new["unit"], new["saved"]) == ("slider-crank.toml", "in", True)
    assert (client.desk.folder / "slider-crank.toml").exists()
    old = page.post("/open", name="engine.toml").get_json()
    assert old["file"] == "engine.toml"
    assert old["revision"] > new["revision"]


def test_what_was_felt_goes_on_the_sheet(client):
    page = Page(client)
    lines = ["locks at 5 o'clock on the right", {"what": "free", "side": "left"}]
    told = page.post("/felt", revision=0, felt=lines).get_json()

    assert told["problems"] == []
    assert [line["what"] for line in told["bench"]["felt"]] == ["locks", "free"]
    told = page.post("/felt", revision=1, felt=["it purrs"]).get_json()
    assert "should say what was felt" in told["problems"][0]["says"]
    told = page.post("/felt", revision=1, felt=[]).get_json()
    assert told["bench"]["felt"] == []


def test_a_snapshot_is_gone_back_to_as_a_change(client):
    page = Page(client)
    page.post("/snapshot", name="as it came")
    page.post("/change", revision=0, edits=[{"id": "radius_rod.out", "typed": "4.5"}])
    back = page.post("/return", name="as it came").get_json()

    assert back["undo"] == 'back to "as it came"'
    assert back["saved"]
    assert "4.5" in page.post("/undo").get_json()["undo"]


def test_a_number_is_reset_to_what_the_file_has(client):
    page = Page(client)
    page.post("/change", revision=0, edits=[{"id": "radius_rod.out", "typed": "4.5"}])

    told = page.post("/reset", id="radius_rod.out").get_json()

    assert told["bench"]["saved"] or told["bench"]["undo"].endswith("4.4")
