"""How long it takes from a wrench's line to "recorded", beside the syncs that it can't do without.

usage: guide_latency.py PROGRAM [FOLDER]     where the book lies (default: where temporary files go)

Prints one JSON object; exits 1 when the median is over three syncs and 2 ms. The syncs are measured in the same
folder, in turns with the lines.
"""
import json
import os
import pathlib
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

LINES = 120
SCHEDULE = "format: fastener schedule 1\ntitle: Bench\nfasteners: {b: {thread: M10, strength: \"10.9\"}}\norder: listed\nbolts:\n" + "".join(
    f"  - {{id: {i}}}\n" for i in range(1, LINES + 1)) + "stages:\n  - {torque: 30 N·m}\n"


def sync_ms(path):
    start = time.perf_counter()
    fd = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
    os.write(fd, b"x" * 400)
    os.fdatasync(fd)
    os.close(fd)
    return (time.perf_counter() - start) * 1000


def main(program, parent):
    folder = pathlib.Path(tempfile.mkdtemp(prefix="clampbook-bench-", dir=parent))
    try:
        (folder / "s.yaml").write_text(SCHEDULE, encoding="utf-8")
        subprocess.run([program, "begin", "b.book", "s.yaml"], cwd=folder, check=True, capture_output=True)
        os.mkfifo(folder / "pipe")
        guide = subprocess.Popen([program, "guide", "b.book", "--json", "--wrench", "pipe"], cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        guide.stdout.readline()  # due
        lines, syncs = [], []
        with open(folder / "pipe", "wb", buffering=0) as wrench:
            for i in range(LINES):
                syncs.append(sync_ms(folder / "bare"))
                start = time.perf_counter()
                wrench.write(f"{29 + i % 20 / 10:.1f} Nm\n".encode())
                while b'"recorded"' not in guide.stdout.readline():
                    pass
                lines.append((time.perf_counter() - start) * 1000)
        guide.stdin.close()
        guide.wait(20)
    finally:
        shutil.rmtree(folder)
    line, sync = statistics.median(lines), statistics.median(syncs)
    limit = 3 * sync + 2
    print(json.dumps({"name": "guide", "lines": LINES, "line_ms": round(line, 3), "sync_ms": round(sync, 3), "limit_ms": round(limit, 3)}))
    return 0 if line <= limit else 1


sys.exit(main(os.path.abspath(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else None))
