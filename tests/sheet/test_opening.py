"""Files as people save and slip them: every slip at once, in words without TOML's."""

from __future__ import annotations

import re

import pytest

from linkage.errors import SheetError
from linkage.sheet import read_sheet, rewrite, sheet_in
from linkage.sheet.opening import data_in, open_text
from linkage.sheet.ready import demonstration

LINES = (
    "a line is the name of a table, [wheels], or a key with its value, throw = 4.33, or a remark, "
    "which begins with #"
)
VALUES = 'a value is a number, words in quotes "...", a list in [ ], or several keys in { }'
SLIPS = [
    ("throw = 4,33", 'a number with a decimal comma is written in quotes, "4,33"'),
    ("throw = 3/32 in", 'a number with its unit is written in quotes, "3/32 in"'),
    ("leads = 90 deg", 'a number with its unit is written in quotes, "3/32 in"'),
    ("throw: 4.33", "a value is given with =, not with :"),
    ("throw 4.33", LINES),
    ("chimney", LINES),
    ("// throw", "a remark begins with #"),
    ("throw == 4", "a value is given with one =, not with two"),
    ("throw = 4.3,", "no comma or semicolon stands at the end of a line"),
    ("throw = 4.3 measured", "after a number only a remark may stand, which begins with #"),
    ('throw = "4.3" mm', "the whole of a value stands in the quotes"),
    ('a = "C:\\photos"', "in quotes no \\ may stand; in the name of a file write / for it"),
    ("a = !", f"{LINES}; {VALUES}"),
    ("throw =", "there is no value after ="),
    ("= 4.33", "there is no key before ="),
    ("at = about 4", 'words are written in quotes, "..."'),
    ("at = True", "yes and no are written true, false"),
    ("at = .5", "a number is written like 0.5 or 4.0"),
    ("at = 4.", "a number is written like 0.5 or 4.0"),
    ("title = Fennel's engine", 'words are written in quotes, "..."'),
    ("[connecting rod]", "the name of a table is one word; its words are joined by _"),
    ("crank pin = 4", "a key is one word; its words are joined by _"),
    ('title = "Fennel', "a quote is missing"),
    ("title = “Fennel”", 'quotes are written straight, "..."'),
    ("[wheels", "a bracket is missing"),
    ("a = { b = 1", "a brace is missing"),
    ("first = 2", "this key stands there already; keep one of them"),
    ("[table]\na = 1\n[table]", "this table stands there already; put both together"),
]


def slips(text):
    with pytest.raises(SheetError) as caught:
        data_in(text, "engine.toml")
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(("line", "words"), SLIPS)
def test_a_slip_is_told_in_plain_words(line, words):
    (said,) = slips(f"first = 1\n{line}\n")
    number = line.count("\n") + 2
    last = line.splitlines()[-1]
    assert said == f"line {number} cannot be read: {words} (found {last})"


def test_all_slips_come_at_once():
    said = slips("a = 4,3\nb = 1\n[wheels\nthrow: 4\n[crank]\nx = 3/32 in\n")
    assert [line.split(" cannot")[0] for line in said] == ["line 1", "line 3", "line 4", "line 6"]


def test_slips_of_keys_are_told_beside_those_of_syntax():
    text = demonstration().read_text(encoding="utf-8")
    for old, new in (
        ("= 4.33 ", "= 4,33 "),
        ("[crosshead]", "[crosshead"),
        ("right_leads_by", "right_lead_by"),
        ('= "walschaerts"', ": walschaerts"),
    ):
        assert old in text
        text = text.replace(old, new)
    with pytest.raises(SheetError) as caught:
        sheet_in(text, "engine.toml")
    said = [str(problem) for problem in caught.value.problems]
    assert [line.partition(" ")[0] for line in said[:-1]] == ["line"] * (len(said) - 1)
    assert said[-1] == 'wheels.right_lead_by: is not a known key; did you mean "right_leads_by"?'


def test_what_is_lost_is_not_said_to_be_missing():
    said = slips_of_sheet('arrangement = "slider-crank"\n[wheels]\n!!\n')
    assert len(said) == 1


def slips_of_sheet(text):
    with pytest.raises(SheetError) as caught:
        sheet_in(text, "engine.toml")
    return [str(problem) for problem in caught.value.problems]


def test_no_word_of_a_parser_is_ever_told():
    """Each line of the demonstration, with each letter of it in turn left out or put in."""
    text = demonstration().read_text(encoding="utf-8").splitlines()[8:34]
    for number, line in enumerate(text):
        for mark in ("[", "]", "{", "}", '"', "=", ",", "!", "\\", "'"):
            for at in range(number % 5, len(line) + 1, 9):
                odd = line[:at] + mark + line[at:]
                lines = [*text[:number], odd, *text[number + 1 :]]
                opened = open_text("\n".join(lines), "engine.toml")
                for slip in opened.slips:
                    assert not re.search(
                        "(?i)invalid|illegal|expected|statement|unclosed|declare|namespace|token",
                        slip.wrong.partition("(found")[0],
                    ), slip.wrong


def test_a_list_without_its_end_is_told_once():
    (said,) = slips("a = [1, 2\nb = 3\nc = 4\n")
    assert said.startswith("line 1 cannot be read: a ")


def test_a_list_without_its_end_does_not_hide_what_comes_after():
    said = slips("a = [1, 2\nb = 3\n[c]\nd = 3/4 in\n")
    assert [line.split(" cannot")[0] for line in said] == ["line 1", "line 4"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a = " + "9" * 4400, "a number has thousands of digits"),
        ("a = " + "[" * 400 + "]" * 400, "brackets within brackets, more than 20 deep"),
        ("a = " + "[" * 90 + "]" * 90, "brackets within brackets, more than 20 deep"),
        ('"a\\u001b" = 1', "a: has letters that cannot be shown in it"),
    ],
)
def test_what_no_sheet_holds(text, words):
    (said,) = slips(text)
    assert words in said


def test_words_lose_what_cannot_be_shown():
    data = data_in('title = "A[/]\\u001b[31m \\ufeffrod\\u0085"\n', "engine.toml")
    assert data == {"title": "A[/][31m rod"}


@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_line_ends_and_byte_order_mark_stay(mark, ends):
    plain = demonstration().read_text(encoding="utf-8")
    text = mark + plain.replace("\n", ends)
    changed = rewrite(
        sheet_in(text, "engine.toml"), text, {"wheels.throw": 4.1, "left.crank_pin.diameter": 1.4}
    )

    assert changed[:5] == text[:5]
    assert '"to be 4.1"' in changed
    assert changed.replace("\r\n", "").count("\n") == (0 if ends == "\r\n" else changed.count("\n"))
    assert sheet_in(changed, "engine.toml").dimensions


HUGE = [
    ("throw = 1" + "0" * 309, "wheels.throw: should be no more than 10000000"),
    ("throw = 1e308", "wheels.throw: should be no more than 10000000"),
    ('throw = "1e308"', "wheels.throw: should be no more than 10000000"),
    ('throw = "' + "9" * 4400 + '/3"', "wheels.throw: should be a length"),
    ("throw = 1e-300", "wheels.throw: is smaller than anything that can be measured"),
]


@pytest.mark.parametrize(("line", "words"), HUGE, ids=range(len(HUGE)))
def test_numbers_of_no_engine(problems, line, words):
    said, *_ = problems(("throw = 4.0", line))
    assert said.startswith(words)
    assert len(said) < 300


def test_a_huge_key_is_shortened(problems):
    (said,) = problems(("throw = 4.0", "throw = 4.0\n" + "x" * 5000 + " = 1"))
    assert said.startswith("wheels.xxx")
    assert len(said) < 300


def test_a_name_that_no_file_can_have():
    with pytest.raises(SheetError, match="cannot be read"):
        read_sheet("a\0b.toml")


def test_outlines_of_too_many_corners_are_refused(problems):
    corners = ", ".join(f"[{i}, {i * i * 1e-3:.3f}]" for i in range(10_000))
    more = f'[[fixed]]\nname = "a"\nside_view = [{corners}]\nout = 1\nthickness = 1\n'
    said, *_ = problems(more=more)
    assert "has 10000 corners, and 400 are the most: leave some out" in said


def test_outlines_that_turn_inwards_too_often_are_refused(problems):
    """Each such corner makes one convex piece more of it, to be held against everything."""
    teeth = ", ".join(f"[{i}, {60 + i % 2}]" for i in range(100, -1, -1))
    more = f'[[fixed]]\nname = "a"\nside_view = [[0, 50], [100, 50], {teeth}]\nout=1\nthickness=1\n'
    said, *_ = problems(more=more)
    assert "turns inwards at 49 corners, and 40 are the most: leave some out" in said


def test_too_many_fixed_things_are_refused(problems):
    one = "disc = { x = 0, y = 0, diameter = 1 }\nout = 1\nthickness = 1\n"
    said, *_ = problems(more="".join(f'[[fixed]]\nname = "a{i}"\n{one}' for i in range(1000)))
    assert said.startswith("fixed: has too many values: 50 are the most")


def test_thousands_of_unknown_keys_are_told():
    text = demonstration().read_text(encoding="utf-8")
    with pytest.raises(SheetError) as caught:
        sheet_in("".join(f"key_{i} = 1\n" for i in range(3000)) + text, "engine.toml")
    assert len(caught.value.problems) == 3000
