"""The library alone walks the shipped crankcase, and writes the lines that `guide` and `log` write.

usage: same_lines.py PROGRAM EXAMPLE SCHEDULE. EXAMPLE is docs/examples/walk_a_pass.cpp, built. The three books have to
be the same, byte for byte, but for times, the book's id, the seals that hang on both, and who wrote it.
"""
import os
import pathlib
import re
import subprocess
import sys
import tempfile

PROGRAM, EXAMPLE, SCHEDULE = (os.path.abspath(word) for word in sys.argv[1:4])
TIMES = re.compile(rb'"(id|written|at|after|seal|program)":"[^"]*"')


def run(words, given=b"", status=(0,)):
    env = dict(os.environ, LC_ALL="C.UTF-8", TZ="UTC", ASAN_OPTIONS="verify_asan_link_order=0:detect_leaks=0")
    done = subprocess.run(words, input=given, capture_output=True, env=env, timeout=120)
    if done.returncode not in status:
        raise SystemExit(f"{words}: {done.returncode}\n{done.stdout.decode()}{done.stderr.decode()}")
    return done.stdout.decode()


def plan_steps():
    import json
    return json.loads(run([PROGRAM, "plan", SCHEDULE, "--json"]))["steps"]


def words_of(step, slip):
    """What is typed at a step, and the same as options of `log`. A slip: the first torque lies above its window. No value is
    that of the step before: the same value at once may be one pull told twice."""
    if step["kind"] in ("do", "wait"):
        return "y", ["--tick"]
    if step["kind"] == "count":
        return str(step["expect"]), ["--count", str(step["expect"])]
    if step["kind"] == "measure":
        return "1.5 N·m", ["--measure", "1.5 N·m"]
    share = 1.2 if slip else 1 + step["step"] / 10000
    value = f"{step['target_Nm'] * share:g} N·m" if "target_Nm" in step else f"{step['target_deg'] * share:g}°"
    return value, [step["bolt"], value]


def lines_of(book):
    return TIMES.sub(rb'"\1":""', pathlib.Path(book).read_bytes()).split(b"\n")


def main():
    steps = plan_steps()
    typed, calls, slipped = [], [], False
    for step in steps:
        slip = step["kind"] == "torque" and not slipped
        slipped = slipped or slip
        line, options = words_of(step, slip)
        typed.append(line)
        calls.append(options + (["--stage", str(step["stage"])] if step["bolt"] else ["--stage", str(step["stage"])] + (["--label", step["label"]] if step["label"] else [])))
    with tempfile.TemporaryDirectory() as folder:
        alone, guided, logged = (os.path.join(folder, name) for name in ("alone.book", "guided.book", "logged.book"))
        keys = "".join(line + "\n" for line in typed).encode()
        run([EXAMPLE, alone, SCHEDULE], keys)
        run([PROGRAM, "begin", guided, SCHEDULE, "--quiet"])
        run([PROGRAM, "guide", guided, "--json"], keys, (0, 1))
        run([PROGRAM, "begin", logged, SCHEDULE, "--quiet"])
        for call in calls:
            run([PROGRAM, "log", logged, *call], status=(0, 1))
        first = lines_of(alone)
        if len(first) != len(steps) + 4:  # the first line, begun, planned, and nothing behind the last line feed
            raise SystemExit(f"{len(first)} lines for {len(steps)} steps")
        for name, book in (("guide", guided), ("log", logged)):
            for number, (mine, theirs) in enumerate(zip(first, lines_of(book), strict=True)):
                if mine != theirs:
                    raise SystemExit(f"line {number} differs from what {name} writes:\n{mine.decode()}\n{theirs.decode()}")
    print(f"{len(steps)} steps, the same lines three times")


main()
