"""What a line costs while a pass grows: `log --lines` with a row for each step, sound and each with a finding, and a guide that reads
its readings from a pipe, beside a write and a sync for each row.

usage: lines_bench.py [--quick] PROGRAM [FOLDER]     where the books lie (default: where temporary files go)

Prints one JSON object with the keys that bench.h names; exits 1 when a limit is passed. In a folder in memory, such as /dev/shm, a sync
costs nothing: there the growth tells, not the ratio.
"""
import json
import math
import os
import pathlib
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

ROWS = (500, 1000, 2000, 4000)
READINGS = (500, 1000)
TURNS = 3
MOST_RATIO, MOST_GROWTH = 1.3, 1.1


def schedule(steps):
    return ("format: fastener schedule 1\ntitle: Bench\nfasteners: {b: {thread: M10, strength: \"10.9\"}}\norder: listed\nbolts:\n"
            + "".join(f"  - {{id: {i}}}\n" for i in range(1, steps + 1)) + "stages:\n  - {torque: 30 N·m}\n")


def floor_s(path, lines):
    fd = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | os.O_TRUNC)
    start = time.perf_counter()
    for _ in range(lines):
        os.write(fd, b"x" * 400)
        os.fdatasync(fd)
    taken = time.perf_counter() - start
    os.close(fd)
    return taken


def prepare(program, folder, lines):
    """A fresh book with `lines` steps; seconds of as many syncs."""
    (folder / "s.yaml").write_text(schedule(lines), encoding="utf-8")
    (folder / "b.book").unlink(missing_ok=True)
    subprocess.run([program, "begin", "b.book", "s.yaml"], cwd=folder, check=True, capture_output=True)
    return floor_s(folder / "bare", lines)


def ended(process, folder, lines, start):
    _, _, used = os.wait4(process.pid, 0)
    taken = time.perf_counter() - start
    kept = (folder / "b.book").read_bytes().count(b'"kind":"reading"')
    if kept != lines:
        raise SystemExit(f"{kept} of {lines} readings were kept")
    return taken, used.ru_maxrss * 1024


def table(value):
    """Files a table of that value: seconds, seconds of the floor, the memory that it held."""
    def run(program, folder, lines):
        floor = prepare(program, folder, lines)
        (folder / "rows.csv").write_text("bolt,value\n" + "".join(f"{i},{value}\n" for i in range(1, lines + 1)), encoding="utf-8")
        start = time.perf_counter()
        process = subprocess.Popen([program, "log", "b.book", "--lines", "rows.csv"], cwd=folder, stdout=subprocess.DEVNULL)
        taken, peak = ended(process, folder, lines, start)
        return taken, floor, peak
    return run


def guided(program, folder, lines):
    """Types each reading when the one before is recorded: one typed ahead is not for the step that is shown. No value is that
    of the one before: the same value at once may be one pull told twice, and is not recorded."""
    floor = prepare(program, folder, lines)
    start = time.perf_counter()
    process = subprocess.Popen([program, "guide", "b.book", "--json"], cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    typed = 0
    for line in process.stdout:
        if b'"event":"due"' in line:
            typed += 1
            process.stdin.write(f"30.{typed % 10} N·m\n".encode())
            process.stdin.flush()
    taken, peak = ended(process, folder, lines, start)
    return taken, floor, peak


def measure(work, run, program, folder, sizes, turns):
    least = {}
    for lines in sizes:
        runs = [run(program, folder, lines) for _ in range(turns)]
        least[lines] = min(taken for taken, _, _ in runs)
    ratio = statistics.median(taken / floor for taken, floor, _ in runs)
    growth = math.log(least[sizes[-1]] / least[sizes[0]]) / math.log(sizes[-1] / sizes[0])
    return {"work": work, "size": sizes[-1], "of": "rows", "ours_s": round(statistics.median(taken for taken, _, _ in runs), 6),
            "floor_s": round(statistics.median(floor for _, floor, _ in runs), 6), "ratio": round(ratio, 4), "growth": round(growth, 4),
            "peak_bytes": max(peak for _, _, peak in runs), "bytes": None, "limits": {"ratio": MOST_RATIO, "growth": MOST_GROWTH},
            "least_s": {str(lines): round(seconds, 4) for lines, seconds in least.items()}}


def main(arguments):
    quick = "--quick" in arguments
    program, *parent = [a for a in arguments if a != "--quick"]
    program = os.path.abspath(program)
    folder = pathlib.Path(tempfile.mkdtemp(prefix="clampbook-bench-", dir=parent[0] if parent else None))
    turns = 1 if quick else TURNS
    try:
        rows = [measure("log --lines, sound", table("30 N·m"), program, folder, ROWS, turns),
                measure("log --lines, findings", table("40 N·m"), program, folder, ROWS, turns),
                measure("guide, readings", guided, program, folder, READINGS, turns)]
    finally:
        shutil.rmtree(folder)
    print(json.dumps({"bench": "lines", "turns": turns, "quick": quick, "rows": rows}))
    return 1 if any(r[key] > most for r in rows for key, most in r["limits"].items()) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
