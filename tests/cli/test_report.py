"""`tightspot report` on real files."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from linkage.sheet.ready import ready_sheets

BEFORE = str(ready_sheets()["ardmoor-2-6-0"])
AFTER = str(ready_sheets()["ardmoor-2-6-0-straightened"])
STARTS = {".pdf": b"%PDF-", ".html": b"<!DOCTYPE html>"}


def test_the_report_of_a_job_before_and_after(run, tmp_path):
    done = run("report", BEFORE, "--after", AFTER)

    assert done.exit_code == 0, done.output
    assert [path.name for path in tmp_path.iterdir()] == ["ardmoor-2-6-0-report.pdf"]
    pages = pypdfium2.PdfDocument(tmp_path / "ardmoor-2-6-0-report.pdf")
    said = " ".join(pages[0].get_textpage().get_text_range().split())
    assert "Ardmoor Junction Model Repairs" in said
    assert "the radius rod was straightened" in said


@pytest.mark.parametrize("ending", sorted(STARTS))
def test_the_ending_chooses_the_format(run, tmp_path, ending):
    done = run("report", str(ready_sheets()["four-bar"]), "--out", f"report{ending}")

    assert done.exit_code == 0, done.output
    assert done.output == f"report{ending} is written\n"
    assert (tmp_path / f"report{ending}").read_bytes().lstrip().startswith(STARTS[ending])


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("report.txt", "ends in '.txt'; reports end in .html or .pdf"),
        ("report", "has no ending; reports end in .html or .pdf"),
    ],
)
def test_another_ending_is_refused(run, tmp_path, name, said):
    done = run("report", BEFORE, "--out", name)

    assert done.exit_code == 2
    assert said in done.output
    assert not list(tmp_path.iterdir())


def test_a_file_that_is_there_is_kept_without_force(run, tmp_path):
    there = tmp_path / "report.html"
    there.write_text("mine")
    sheet = str(ready_sheets()["four-bar"])

    refused = run("report", sheet, "--out", "report.html")

    assert refused.exit_code == 2
    assert "--force" in refused.output
    assert there.read_text() == "mine"
    assert run("report", sheet, "--out", "report.html", "--force").exit_code == 0
    assert "Report on the motion" in there.read_text(encoding="utf-8")


def test_photographs_of_the_sheet_and_of_the_call(run, write, tmp_path):
    Image.new("RGB", (40, 30), "grey").save(tmp_path / "lock.jpg")
    Image.new("RGB", (40, 30), "grey").save(tmp_path / "rod.png")
    name = write({"job.photographs": [{"file": "lock.jpg", "caption": "Where it locked."}]})

    done = run("report", name, "--photo", "rod.png", "--out", "report.html")

    assert done.exit_code == 0, done.output
    page = (tmp_path / "report.html").read_text(encoding="utf-8")
    assert page.count("data:image/jpeg;base64,") == 2
    assert "Where it locked." in page


def test_photographs_that_are_not_there_are_said(run, write, tmp_path):
    name = write({"job.photographs": ["lock.jpg"]})

    done = run("report", name, "--out", "report.html")
    assert done.exit_code == 2
    assert 'job.photographs[1]: there is no such photograph (found "lock.jpg")' in done.output
    done = run("report", BEFORE, "--photo", "lock.jpg", "--out", "report.html")
    assert done.exit_code == 2
    assert "lock.jpg: there is no such photograph" in done.output
    assert not (tmp_path / "report.html").exists()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"job.complaynt": "it jams"}, 'job.complaynt: is not a known key; did you mean "complai'),
        ({"jobb": {"owner": "x"}}, 'jobb: is not a known key; did you mean "job"?'),
        ({"job.owner": 3}, "job.owner: should be text (found 3)"),
        ({"job.other_work": 3}, "job.other_work: should be a list of texts"),
        ({"job.advice": [""]}, 'job.advice[1]: should not be empty (found "")'),
        ({"job.photographs": [3]}, 'job.photographs[1]: should be a file "lock.jpg", or {'),
        ({"job.photographs": [{"caption": "x"}]}, "job.photographs[1].file: is missing"),
        ({"right.job": {"owner": "x"}}, "right.job: is not a known key"),
    ],
)
def test_a_job_table_is_read_like_any_other(run, write, changes, said):
    done = run("report", write(changes))

    assert done.exit_code == 2
    assert said in done.output


def test_a_job_is_no_number_of_the_sheet(run):
    done = run("window", BEFORE, "job.owner")

    assert done.exit_code == 2
    assert "job.owner: is no dimension of this sheet" in done.output


def test_a_job_survives_the_cure(run, tmp_path):
    run("check", BEFORE, "--apply", "cured.toml")

    cured = (tmp_path / "cured.toml").read_text(encoding="utf-8")
    before = tomllib.loads(Path(BEFORE).read_text(encoding="utf-8"))
    assert tomllib.loads(cured)["job"] == before["job"]
    assert run("report", BEFORE, "--after", "cured.toml").exit_code == 0


@pytest.mark.parametrize("name", ["walschaerts", "linkage"])
def test_a_blank_sheet_has_the_job_commented_out(run, tmp_path, name):
    run("new", name, "--out", "blank.toml")

    text = (tmp_path / "blank.toml").read_text(encoding="utf-8")
    head, _, job = text.partition("# [job]")
    assert "job" not in tomllib.loads(text)
    job, _, _ = job.partition("\n\n")  # what was felt comes after it
    uncommented = "[job]" + job.replace("\n# ", "\n")
    table = tomllib.loads(uncommented)["job"]
    assert set(table) >= {"letterhead", "owner", "complaint", "photographs", "advice", "date"}
    (tmp_path / "filled.toml").write_text(head + uncommented, encoding="utf-8")
    done = run("report", "filled.toml")
    assert "job.photographs[1]: there is no such photograph" in done.output
