"""Makes one table of the JSON objects that the benchmarks print, one a line on standard input (bench.h has their keys).

usage: table.py < objects     as `sh tests/bench/run --json` prints them

Exits 1 when a row is above a limit, and says which; 2 when the input is none.
"""
import json
import sys

HEAD = ("work", "size", "ours", "floor", "ratio", "limit", "exponent of growth", "peak memory")


def duration(seconds):
    for unit, scale in (("s", 1), ("ms", 1e3), ("µs", 1e6)):
        if seconds * scale >= 1:
            break
    return f"{seconds * scale:.3g} {unit}"


def amount(number):
    """Digits in groups of three, with a plain space."""
    return f"{number:,.0f}".replace(",", " ")


def size_of_file(count):
    return f"{count / 1e6:.3g} MB" if count >= 1e6 else f"{count / 1e3:.3g} kB"


SHOWN = {  # how a limit is told: what is held, in the order of the table
    "ratio": ("{}", lambda x: f"{x:.2f}".rstrip("0").rstrip(".")),
    "growth": ("growth {}", lambda x: f"{x:.2f}".rstrip("0").rstrip(".")),
    "ours_s": ("{}", duration),
    "bytes": ("{} written", size_of_file),
}


def limit_text(row):
    return ", ".join(text.format(show(row["limits"][key])) for key, (text, show) in SHOWN.items() if key in row["limits"])


def cells(row):
    growth = "-" if row["growth"] is None else f"{row['growth']:.2f}"
    return (row["work"], f"{amount(row['size'])} {row['of']}", duration(row["ours_s"]), duration(row["floor_s"]), f"{row['ratio']:.2f}",
            limit_text(row), growth, f"{row['peak_bytes'] / 1e6:.3g} MB")


def above(row):
    """The keys whose value is above its limit, or is none."""
    return [key for key, most in row["limits"].items() if row[key] is None or not row[key] <= most]


def complaint(row):
    parts = []
    for key in above(row):
        text, show = SHOWN[key]
        value = "no value" if row[key] is None else show(row[key])
        parts.append(f"{key} {value}, limit {show(row['limits'][key])}")
    return f"above its limit: {row['work']}: {'; '.join(parts)}"


def table(rows):
    lines = [HEAD] + [cells(row) for row in rows]
    widths = [max(len(line[i]) for line in lines) for i in range(len(HEAD))]
    left = {0, 5}
    out = []
    for line in lines:
        out.append(" | ".join(cell.ljust(width) if i in left else cell.rjust(width) for i, (cell, width) in enumerate(zip(line, widths))))
    out.insert(1, "-|-".join("-" * width for width in widths))
    return "\n".join(line.rstrip() for line in out)


def read(text):
    objects = [json.loads(line) for line in text.splitlines() if line.strip()]
    return objects, [row for o in objects for row in o["rows"]]


def main():
    try:
        objects, rows = read(sys.stdin.read())
    except (ValueError, KeyError, TypeError) as fault:
        print(f"table.py: no object of a benchmark: {fault}", file=sys.stderr)
        return 2
    if not rows:
        print("table.py: there is no row", file=sys.stderr)
        return 2
    print(table(rows))
    if any(o["quick"] for o in objects):
        print("quick: a few turns of each work, too few to judge by")
    complaints = [complaint(row) for row in rows if above(row)]
    print("\n".join(complaints) if complaints else "every row is within its limits")
    return 1 if complaints else 0


if __name__ == "__main__":
    sys.exit(main())
