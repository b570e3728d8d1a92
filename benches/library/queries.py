#!/usr/bin/env python3
"""How long each query of docs/libraries.md takes on a ledger, with how many rows it gives: python3 queries.py LEDGER."""

import re
import sqlite3
import sys
import time
from pathlib import Path

PAGE = Path(__file__).resolve().parents[2] / "docs" / "libraries.md"


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    # What is not there is not to be made.
    ledger = sqlite3.connect(f"{Path(sys.argv[1]).resolve().as_uri()}?mode=ro", uri=True)
    (sections,) = ledger.execute("SELECT count(*) FROM current_sections").fetchone()
    print(f"{sections} sections")
    queries = re.search(r"```sql\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)[1]
    for query in filter(str.strip, queries.split(";")):
        begin = time.perf_counter()
        rows = sum(1 for _ in ledger.execute(query))
        print(f"{time.perf_counter() - begin:7.3f} s {rows:7} rows {query.strip().splitlines()[0]}")


if __name__ == "__main__":
    main()
