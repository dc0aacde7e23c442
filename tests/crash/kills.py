"""The program is killed at random moments, and before each of its system calls: what was acknowledged is in the book.

usage: kills.py PROGRAM [--kills N] [--seed S] [--every-call] [--keep FOLDER]   kill it N times, then verify
       kills.py PROGRAM --verify FOLDER                                         verify what an earlier run kept

Before each run its intent goes into a file beside the books, after it what was acknowledged. After each run the book
must hold every acknowledged entry byte for byte, every other one whole or not at all, and nothing else; and it must go
on. Now and then the bytes that nobody acknowledged are cut off somewhere, as a power cut can leave them.
"""
import argparse
import json
import os
import pathlib
import random
import re
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from book_lines import faults, read_book
from crash_lab import SECONDS, environment

BOLTS = 40
KINDS = ("begin", "log", "lines", "amend")
RUNS_PER_BOOK = 60
ACKNOWLEDGED = re.compile(r"^recorded (\d+):", re.MULTILINE)
SCHEDULE = """\
format: fastener schedule 1
title: Practice flange
notice: Invented data for practice. Never use on a real machine.
fasteners: {flange-bolt: {thread: M8, strength: "8.8"}}
bolts: [%s]
stages: [{torque: 12 N·m}, {angle: 45°}]
""" % ", ".join(f"{{id: {n}}}" for n in range(1, BOLTS + 1))


class Broken(Exception):
    """A promise was broken: the message says which."""


def token_of(body):
    """What ties a line to the run that wrote it; None for the first line and for `planned`, which follows its `begun`."""
    return body.get("note") or body.get("by")


class Lab:
    def __init__(self, program, folder):
        self.program, self.folder = program, pathlib.Path(folder)
        self.ledger = self.folder / "expected"
        (self.folder / "s.yaml").write_text(SCHEDULE, encoding="utf-8")

    def tell(self, **what):
        with open(self.ledger, "a", encoding="utf-8") as ledger:
            ledger.write(json.dumps(what) + "\n")

    def start(self, words):
        return subprocess.Popen([self.program, *words], cwd=self.folder, env=environment(), stdin=subprocess.DEVNULL,
                                stdout=subprocess.PIPE, stderr=subprocess.PIPE)

    def run(self, *words):
        """A run that nobody disturbs; its output."""
        done = subprocess.run([self.program, *words], cwd=self.folder, env=environment(), stdin=subprocess.DEVNULL,
                              capture_output=True, timeout=SECONDS)
        if done.returncode not in (0, 1):
            raise Broken(f"{' '.join(words)}: exit {done.returncode}\n{done.stdout.decode()}{done.stderr.decode()}")
        return done.stdout.decode()

    def verify(self):
        """The books against the ledger alone, and the program's own check of every pass. How many lines were compared."""
        intents, acknowledged = {}, {}
        for line in self.ledger.read_text(encoding="utf-8").splitlines():
            entry = json.loads(line)
            if "intent" in entry:
                intents.setdefault(entry["book"], set()).update(entry["intent"])
            else:
                acknowledged.setdefault(entry["book"], {}).update(entry["acknowledged"])
        for name, intended in intents.items():
            path = self.folder / name
            data = path.read_bytes() if path.exists() else b""
            lines = {token_of(line.body): line.raw.decode() for line in read_book(data) if line.body}
            for token, raw in acknowledged.get(name, {}).items():
                if lines.get(token) != raw:
                    raise Broken(f"{name}: {token} was acknowledged as\n{raw}\nand is now\n{lines.get(token)}")
            unknown = set(lines) - intended - {None}
            if unknown or faults(data):
                raise Broken(f"{name}: {unknown} {faults(data)}")
            for number in {line.body["pass"] for line in read_book(data) if line.body and line.body.get("kind") == "begun"}:
                found = json.loads(self.run("check", name, "--pass", str(number), "--json"))["findings"]
                if any(f["slug"] == "altered-record" for f in found):
                    raise Broken(f"{name}: {found}")
        return sum(len(lines) for lines in acknowledged.values())


class Driver:
    """One book after another, one run after another."""

    def __init__(self, lab, random):
        self.lab, self.random = lab, random
        self.runs = self.books = self.torn = self.settled = self.acknowledged = 0
        self.new_book()

    def new_book(self):
        self.books += 1
        self.name = f"{self.books}.book"
        self.path = self.lab.folder / self.name
        self.passes = []

    def content(self):
        return self.path.read_bytes() if self.path.exists() else b""

    def next_words(self, kind=None):
        """The words of a run and the tokens of the entries that it makes, in order."""
        self.runs += 1
        token = f"run-{self.runs}"
        kind = kind or ("begin" if not self.passes else self.random.choices(KINDS, (1, 5, 2, 2))[0])
        if kind == "begin":
            return ["begin", self.name, "s.yaml", "--by", token, "--key", token], [token]
        number, bolt = str(self.random.choice(self.passes)), str(self.random.randint(1, BOLTS))
        if kind == "log":
            return ["log", self.name, bolt, "12Nm", "--stage", "1", "--pass", number, "--note", token, "--key", token], [token]
        if kind == "amend":
            what = self.random.choice([[], ["--unsure", bolt], ["--removed", bolt], ["--fitted", bolt]])
            return ["amend", self.name, *what, "--pass", number, "--note", token, "--key", token], [token]
        tokens = [f"{token}-{row}" for row in range(1, 6)]
        rows = [f"{self.random.randint(1, BOLTS)},12Nm,1,{t},{t}" for t in tokens]
        (self.lab.folder / "rows.csv").write_text("\n".join(["bolt,value,stage,key,note", *rows, ""]), encoding="utf-8")
        return ["log", self.name, "--lines", "rows.csv", "--pass", number], tokens

    def settle(self, before, tokens, out):
        """Holds the book to the promise after a run that wrote `tokens`, printed `out` and may have been killed."""
        after = self.content()
        if not after.startswith(before):
            raise Broken(f"{self.name}: what stood in the book was changed")
        if faults(after):
            raise Broken(f"{self.name}: {faults(after)}")
        old = len([line for line in read_book(before) if line.body])
        fresh = [line for line in read_book(after) if line.body][old:]
        written = [line for line in fresh if token_of(line.body)]
        if [token_of(line.body) for line in written] != tokens[: len(written)]:
            raise Broken(f"{self.name}: {tokens} were to be written, there are {[line.raw for line in fresh]}")
        said = ACKNOWLEDGED.findall(out)
        if [int(seq) for seq in said] != [line.body["seq"] for line in written[: len(said)]]:
            raise Broken(f"{self.name}: {said} were acknowledged, there are {[line.raw for line in fresh]}")
        sure = written[: len(said)]
        if sure:
            self.lab.tell(book=self.name, acknowledged={token_of(line.body): line.raw.decode() for line in sure})
            self.acknowledged += len(sure)
        elif len(after) > len(before) and self.random.random() < 0.5:
            self.cut_power(before, after)
        for line in read_book(self.content()):
            if line.body and line.body.get("kind") == "begun" and line.body["pass"] not in self.passes:
                self.passes.append(line.body["pass"])

    def cut_power(self, before, after):
        os.truncate(self.path, self.random.randint(len(before), len(after)))
        self.torn += 1

    def undisturbed(self, kind=None):
        """The book goes on: the next entry works and is acknowledged, and a check runs."""
        before, (words, tokens) = self.content(), self.next_words(kind)
        self.lab.tell(book=self.name, intent=tokens)
        out = self.lab.run(*words)
        if len(ACKNOWLEDGED.findall(out)) != len(tokens):
            raise Broken(f"{words}: {out}")
        self.settle(before, tokens, out)
        self.lab.run("check", self.name, "--so-far")

    def disturbed(self, kill, kind=None):
        """A run that `kill` starts, given its words, and ends; `kill` returns what it printed."""
        before, (words, tokens) = self.content(), self.next_words(kind)
        self.lab.tell(book=self.name, intent=tokens)
        out = kill(words)
        self.settle(before, tokens, out)
        if len(ACKNOWLEDGED.findall(out)) < len(tokens) and self.random.random() < 0.5:
            self.ask_again(words, tokens)

    def ask_again(self, words, tokens):
        """The same words with the same keys settle what is unknown: every entry is there, and once."""
        before = self.content()
        there = {token_of(line.body): line.body["seq"] for line in read_book(before) if line.body}
        out = self.lab.run(*words)
        self.settle(before, [token for token in tokens if token not in there], out)
        repeated = [int(seq) for seq in re.findall(r"^recorded before, as (\d+):", out, re.MULTILINE)]
        if repeated != [there[token] for token in tokens if token in there] or len(repeated) + len(ACKNOWLEDGED.findall(out)) != len(tokens):
            raise Broken(f"{words}: {out}")
        self.settled += 1


def random_kills(driver, count):
    start = time.monotonic()
    for _ in range(5):
        driver.undisturbed()
    typical = (time.monotonic() - start) / 10  # of two runs each

    def kill(words):
        child = driver.lab.start(words)
        time.sleep(driver.random.random() * 1.3 * typical)
        child.kill()
        return child.communicate(timeout=SECONDS)[0].decode("utf-8", "replace")

    for number in range(1, count + 1):
        driver.disturbed(kill)
        if number % 10 == 0:
            driver.undisturbed()
        if number % RUNS_PER_BOOK == 0:
            driver.new_book()


class Tracer:
    """Runs of the program in which strace sees every call, and ends one of them before its k-th."""

    def __init__(self, lab):
        self.lab, self.trace = lab, lab.folder / "trace"

    def run(self, words, inject=()):
        done = subprocess.run(["strace", "-f", "-qq", "-o", str(self.trace), *inject, self.lab.program, *words], cwd=self.lab.folder,
                              env=environment(), stdin=subprocess.DEVNULL, capture_output=True, timeout=SECONDS)
        return done.stdout.decode("utf-8", "replace")

    def seen(self):
        return self.trace.read_text(encoding="utf-8", errors="replace").splitlines()


def kills_before_calls(driver, every):
    """Kills a run of each kind before its k-th system call, for each k; without `every`, for a sample of them, but for
    each from the moment that `log` opens the book. How many there were."""
    tracer, count, missed = Tracer(driver.lab), 0, []

    def fresh(kind):
        driver.new_book()
        if kind != "begin":
            driver.undisturbed("begin")

    for kind in KINDS:
        fresh(kind)
        driver.disturbed(tracer.run, kind)
        lines = [line for line in tracer.seen() if re.match(r"\d+ +\w+\(", line)]
        names = [re.match(r"\d+ +(\w+)", line)[1] for line in lines]
        opened = next(k for k, line in enumerate(lines, 1) if "openat" in line and f'"{driver.name}"' in line and "O_RDWR" in line)
        for k in range(2, len(lines) + 1):  # the first starts the program
            if k % (20 if k < opened else 1 if kind == "log" else 3) and not every:
                continue
            fresh(kind)
            nth = names[:k].count(names[k - 1])  # strace counts each call by its name
            inject = ["-e", f"inject={names[k - 1]}:signal=KILL:when={nth}"]
            driver.disturbed(lambda words: tracer.run(words, inject), kind)
            # The loader and the allocator do not make the same calls in every run: a call may not come.
            if not any("+++ killed by SIGKILL +++" in line for line in tracer.seen()[-1:]):
                missed.append(f"{kind}: before call {k}, {lines[k - 1]}")
            if every or k % 2:
                driver.undisturbed()
            count += 1
    if len(missed) * 10 > count:
        raise Broken(f"{len(missed)} of {count} runs were not killed: {missed[0]}")
    return count - len(missed)


def main():
    options = argparse.ArgumentParser()
    options.add_argument("program", type=os.path.abspath)
    options.add_argument("--kills", type=int, default=500)
    options.add_argument("--seed", type=int, default=20260504)
    options.add_argument("--every-call", action="store_true")
    options.add_argument("--keep", metavar="FOLDER")
    options.add_argument("--verify", metavar="FOLDER")
    chosen = options.parse_args()
    if chosen.verify:
        print(f"{Lab(chosen.program, chosen.verify).verify()} acknowledged lines are in their books")
        return
    with tempfile.TemporaryDirectory(prefix="clampbook-kills-") as scratch:
        folder = chosen.keep or scratch
        pathlib.Path(folder).mkdir(exist_ok=True)
        print(f"seed {chosen.seed}", flush=True)
        driver = Driver(Lab(chosen.program, folder), random.Random(chosen.seed))
        random_kills(driver, chosen.kills)
        calls = kills_before_calls(driver, chosen.every_call)
        compared = driver.lab.verify()
        print(f"{chosen.kills} kills at random and {calls} before a system call, {driver.runs} runs, {driver.books} books, "
              f"{driver.torn} cut as by a power cut, {driver.settled} settled by key: {compared} acknowledged lines are in their books")
        if compared != driver.acknowledged or compared == 0:
            raise Broken(f"{driver.acknowledged} lines were acknowledged, {compared} compared")


try:
    main()
except Broken as broken:
    sys.exit(f"broken: {broken}")
