"""Kills runs with a ledger at random moments and holds what comes of them against an undisturbed run.

    kills.py TRACEARM FOLDER [--times 100] [--seed 1]

An undisturbed run without a ledger gives the reference and the time that it takes. Then runs with one ledger are each
killed (SIGKILL) at a random moment of the first nine tenths of that time, unless they end before. A run that came to its
end closes a series: its schedule must be byte for byte the reference, nothing unfinished may lie beside it, and the next
series begins with a new ledger. The last series is run to its end. Ends with 1 on any difference.
"""

import argparse
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path


def start(program, folder, output, *more):
    command = [program, "schedule", folder, "-o", output, *more]
    return subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def ended_in(process, seconds):
    """The exit code; None where it had to be killed."""
    try:
        return process.wait(timeout=seconds)
    except subprocess.TimeoutExpired:
        process.kill()
        # It may have ended between the two.
        code = process.wait()
        return None if code < 0 else code


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("tracearm")
    arguments.add_argument("folder")
    arguments.add_argument("--times", type=int, default=100)
    arguments.add_argument("--seed", type=int, default=1)
    asked = arguments.parse_args()
    moments = random.Random(asked.seed)
    with tempfile.TemporaryDirectory(prefix="tracearm-kills-") as place:
        return kills(asked, moments, Path(place))


def kills(asked, moments, place):
    reference, output, ledger = place / "reference.csv", place / "schedule.csv", place / "shop.ledger"
    began = time.monotonic()
    code = start(asked.tracearm, asked.folder, reference).wait()
    whole = time.monotonic() - began
    if not reference.exists():
        print(f"the undisturbed run ended with {code} and wrote no schedule")
        return 1
    expected = reference.read_bytes()
    print(f"undisturbed: {whole:.2f} s, {len(expected)} bytes, exit code {code}")

    killed = remains = series = longest = in_series = 0
    wrong = []

    def end_of_series(got):
        nonlocal series, longest, in_series
        series += 1
        longest, in_series = max(longest, in_series), 0
        if got != code:
            wrong.append(f"series {series}: exit code {got}")
        if not output.exists() or output.read_bytes() != expected:
            wrong.append(f"series {series}: the schedule differs")
        wrong.extend(f"series {series}: {path.name} was left" for path in place.glob("*.part"))
        for path in [output, *place.glob("shop.ledger*")]:
            path.unlink(missing_ok=True)

    for _ in range(asked.times):
        moment = moments.uniform(0, 0.9 * whole)
        got = ended_in(start(asked.tracearm, asked.folder, output, "--ledger", ledger), moment)
        if got is None:
            killed += 1
            in_series += 1
            remains += any(place.glob("*.part"))
            if output.exists():
                # A complete schedule takes its name at once, perhaps just before the end.
                if output.read_bytes() != expected:
                    wrong.append("a killed run left a schedule that is not whole")
                output.unlink()
        else:
            end_of_series(got)
    if in_series:
        end_of_series(start(asked.tracearm, asked.folder, output, "--ledger", ledger).wait())

    print(f"{asked.times} runs: {killed} killed, {asked.times - killed} ended before")
    print(f"{remains} kills left an unfinished file; {series} series, up to {longest} kills in one")
    for what in wrong:
        print(what)
    print(f"{len(wrong)} differences")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
