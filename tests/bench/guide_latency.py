"""How long it takes from a wrench's line to "recorded", and to bring in a paper table, beside the writes and the syncs that
neither can do without.

usage: guide_latency.py [--quick] PROGRAM [FOLDER]     where the book lies (default: where temporary files go)

Prints one JSON object with the keys that bench.h names; exits 1 when a limit is passed. A line may take three syncs and 2 ms.
The syncs are measured in the same folder, in turns with the lines, or just before the table.
"""
import json
import math
import os
import pathlib
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

LINES = 120
STEPS = (150, 1500)  # more than LINES: a guide that has ended tells no more of its memory
MOST_GROWTH = 1.15
MOST_TABLE = 1.3  # as a single entry


def schedule(steps):
    return ("format: fastener schedule 1\ntitle: Bench\nfasteners: {b: {thread: M10, strength: \"10.9\"}}\norder: listed\nbolts:\n"
            + "".join(f"  - {{id: {i}}}\n" for i in range(1, steps + 1)) + "stages:\n  - {torque: 30 N·m}\n")


def sync_s(path):
    start = time.perf_counter()
    fd = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
    os.write(fd, b"x" * 400)
    os.fdatasync(fd)
    os.close(fd)
    return time.perf_counter() - start


def measure(program, folder, steps, count):
    """The median line, the median sync, the median of their ratios, and the memory that the guide held."""
    (folder / "s.yaml").write_text(schedule(steps), encoding="utf-8")
    (folder / "b.book").unlink(missing_ok=True)
    subprocess.run([program, "begin", "b.book", "s.yaml"], cwd=folder, check=True, capture_output=True)
    guide = subprocess.Popen([program, "guide", "b.book", "--json", "--wrench", "pipe"], cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    guide.stdout.readline()  # due
    lines, syncs = [], []
    with open(folder / "pipe", "wb", buffering=0) as wrench:
        for i in range(count):
            syncs.append(sync_s(folder / "bare"))
            start = time.perf_counter()
            wrench.write(f"{29 + i % 20 / 10:.1f} Nm\n".encode())
            while True:
                answer = guide.stdout.readline()
                if not answer:
                    raise SystemExit("the guide ended")
                if b'"recorded"' in answer:
                    break
            lines.append(time.perf_counter() - start)
    peak = int(re.search(r"VmHWM:\s+(\d+)", pathlib.Path(f"/proc/{guide.pid}/status").read_text())[1]) * 1024
    guide.stdin.close()
    guide.wait(20)
    ratio = statistics.median(line / sync for line, sync in zip(lines, syncs))
    return statistics.median(lines), statistics.median(syncs), ratio, peak


def measure_table(program, folder, steps):
    """Seconds of `log --lines` with a row for each step, seconds of as many syncs, and the memory that it held."""
    (folder / "s.yaml").write_text(schedule(steps), encoding="utf-8")
    (folder / "rows.csv").write_text("bolt,value\n" + "".join(f"{i},30 N·m\n" for i in range(1, steps + 1)), encoding="utf-8")
    (folder / "b.book").unlink(missing_ok=True)
    subprocess.run([program, "begin", "b.book", "s.yaml"], cwd=folder, check=True, capture_output=True)
    syncs = sum(sync_s(folder / "bare") for _ in range(steps))
    words = [program, "log", "b.book", "--lines", "rows.csv"]
    start = time.perf_counter()
    process = subprocess.Popen(words, cwd=folder, stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    taken = time.perf_counter() - start
    if status != 0:
        raise SystemExit("log --lines failed")
    return taken, syncs, used.ru_maxrss * 1024


def row(work, size, of, ours, floor, ratio, shorter, peak, limits):
    growth = math.log(ours / shorter) / math.log(STEPS[1] / STEPS[0])
    return {"work": work, "size": size, "of": of, "ours_s": round(ours, 6), "floor_s": round(floor, 6), "ratio": round(ratio, 4),
            "growth": round(growth, 4), "peak_bytes": peak, "bytes": None, "limits": {**limits, "growth": MOST_GROWTH}}


def main(arguments):
    quick = "--quick" in arguments
    program, *parent = [a for a in arguments if a != "--quick"]
    program = os.path.abspath(program)
    folder = pathlib.Path(tempfile.mkdtemp(prefix="clampbook-bench-", dir=parent[0] if parent else None))
    count = 5 if quick else LINES
    try:
        os.mkfifo(folder / "pipe")
        short, (line, sync, ratio, peak) = (measure(program, folder, steps, count) for steps in STEPS)
        short_table, (table, syncs, table_peak) = (measure_table(program, folder, steps) for steps in STEPS)
    finally:
        shutil.rmtree(folder)
    rows = [row("guide, one line", STEPS[1], "steps", line, sync, ratio, short[0], peak, {"ours_s": round(3 * sync + 0.002, 6)}),
            row("log --lines", STEPS[1], "rows", table, syncs, table / syncs, short_table[0], table_peak, {"ratio": MOST_TABLE})]
    print(json.dumps({"bench": "guide", "turns": count, "quick": quick, "rows": rows}))
    return 1 if any(r[key] > most for r in rows for key, most in r["limits"].items()) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
