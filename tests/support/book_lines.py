"""Reads a book with nothing of the project's: lines, seals, the chain of `after`, numbers, and what was torn."""
import hashlib
import json
import re

SEALED = re.compile(rb'(.*),"seal":"([0-9a-f]{32})"\}', re.DOTALL)


class Line:
    """One line: its number, its bytes without the line feed, its members when its seal holds, else None."""

    def __init__(self, number, raw):
        self.number, self.raw = number, raw
        found = SEALED.fullmatch(raw)
        holds = found and hashlib.sha256(found[1]).hexdigest()[:32].encode() == found[2]
        self.body = json.loads(raw) if holds else None
        self.seal = found[2].decode() if holds else None


def sealed(members, after):
    """A line of these members below a line with the seal `after`."""
    front = json.dumps(members, ensure_ascii=False, separators=(",", ":"))[:-1].encode() + b',"after":"%s"' % after.encode()
    return Line(members["seq"], front + b',"seal":"%s"}' % hashlib.sha256(front).hexdigest()[:32].encode())


def read_book(data):
    parts = data.split(b"\n")
    if parts[-1] == b"":
        parts.pop()
    return [Line(number, raw) for number, raw in enumerate(parts)]


def faults(data):
    """What is wrong with a book that nobody altered; torn lines are no fault where the next line mends them all, or
    where nothing follows."""
    out, torn, seal = [], [], ""
    for line in read_book(data):
        if line.body is None:
            torn.append(line)
            continue
        if line.body["seq"] != line.number:
            out.append(f"line {line.number} says that it is {line.body['seq']}")
        if line.body["after"] != seal:
            out.append(f"line {line.number} does not follow the line above it")
        if line.body.get("mends", 0) != len(b"\n".join(t.raw for t in torn)):
            out.append(f"line {line.number} mends {line.body.get('mends', 0)} bytes below {[t.raw for t in torn]}")
        torn, seal = [], line.seal
    return out
