"""Print the table of the faults: `python -m tests.faults`; `--write` puts it in its place."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.faults.table import BEGIN, END, table

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"


def main() -> None:
    if "--write" in sys.argv:
        text = DEVELOPERS.read_text(encoding="utf-8")
        before, after = text.partition(BEGIN)[0], text.partition(END)[2]
        DEVELOPERS.write_text(before + table() + after, encoding="utf-8")
    else:
        sys.stdout.write(f"{table()}\n")


if __name__ == "__main__":
    main()
