"""Holds the rooms in their order, every third-party library behind its one door, and planning to its one way.

usage: rooms.py SOURCE_DIR. Prints each offence and exits with 1; a tree without sources is an offence too.
"""
import pathlib
import re
import sys

ROOMS = ["text", "units", "joint", "trace", "schedule", "plan", "record", "review", "bench", "report"]

# Which files may include a header, by a pattern on the header's name.
DOORS = [
    (r"nlohmann/", r"lib/clampbook/text/json\.cpp|tests/bench/.*"),
    (r"utf8\.h", r"lib/clampbook/text/utf8\.cpp"),
    (r"boost/units/", r"lib/clampbook/units/.*"),
    (r"boost/math/", r"lib/clampbook/joint/.*\.cpp"),
    (r"yaml-cpp/", r"lib/clampbook/schedule/yaml_tree\.cpp|tests/bench/.*"),
    (r"Eigen/", r"lib/clampbook/joint/neighbours\.cpp"),
    (r"sha2\.h", r"lib/clampbook/record/seal\.cpp|tests/bench/.*"),
    (r"spdlog/", r"cli/main\.cpp"),
    (r"CLI/", r"cli/arguments\.cpp|tests/bench/.*"),
    (r"catch2/", r"tests/support/catch\.h"),
    (r"fmt/", r".*"),
]
# Headers of the operating system; everything else without a folder is the standard library's.
SYSTEM = re.compile(r"(sys/\w+|fcntl|unistd|time|termios|poll|pty|signal|dirent)\.h")
STANDARD = re.compile(r"[a-z_]+")
# The parts of plan::prepare: called one by one outside of the room, one of them is sooner or later forgotten.
PLANNING = re.compile(r"\b(make_plan|choose_tools|use_tools|accuracies_of|find_cautions|file_cautions|number_cautions"
                      r"|tool_cautions|mark_yielding_steps|predict)\(")
PLANS_ALONE = ("lib/clampbook/plan/", "tests/", "lib/clampbook/report/prediction_drawing.cpp")  # the way between stages
INCLUDE = re.compile(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]')


def room_of(path):
    parts = path.parts
    return parts[2] if parts[:2] == ("lib", "clampbook") and len(parts) > 3 else None


def offences_of_include(path, quote, header):
    name = str(path)
    for pattern, allowed in DOORS:
        if re.match(pattern, header) and quote == "<":
            return [] if re.fullmatch(allowed, name) else [f"{header} is behind a door: {allowed}"]
    if header.startswith("clampbook/"):
        if quote != "<":
            return [f"{header} is included with quotes"]
        room = room_of(path)
        other = header.split("/")[1]
        if other not in ROOMS:
            return [f"{header} lies in no room"]
        if room is not None and ROOMS.index(other) > ROOMS.index(room):
            return [f"{room} is above {other} and may not include {header}"]
        return []
    if header.startswith(("cli/", "tests/")):
        if name.startswith("lib/") or (name.startswith("cli/") and header.startswith("tests/")):
            return [f"{header} from below"]
        return []
    if SYSTEM.fullmatch(header) or STANDARD.fullmatch(header):
        return []
    return [f"{header} has no door"]


def offences_of_text(path, text):
    name = str(path)
    found = []
    if name.startswith(("lib/", "cli/")) and not name.startswith("lib/clampbook/units/") and re.search(r"\.value\(\)", text):
        if not (name.startswith("lib/clampbook/") or name.startswith("cli/")):
            return found
        found += [f"line {n}: .value() outside units" for n, line in enumerate(text.split("\n"), 1)
                  if re.search(r"\.value\(\)", line)]
    if not name.startswith(PLANS_ALONE):
        found += [f"line {n}: {m[1]}() is a part of plan::prepare" for n, line in enumerate(text.split("\n"), 1)
                  if (m := PLANNING.search(line))]
    if name.startswith("tests/"):
        if re.search(r"\bApprox\b", text) and not name.endswith("catch.h"):
            found.append("Approx is too loose; use WithinRel or WithinAbs")
        for title in re.findall(r'(?:TEST_CASE|SCENARIO)\(\s*"([^"]*)"', text):
            if re.search(r"[,;\[\]\\]", title):
                found.append(f"the case name '{title}' holds a character that breaks filters")
    return found


def main(top):
    top = pathlib.Path(top)
    count, bad = 0, 0
    for path in sorted(p for d in ("lib", "cli", "tests") for p in (top / d).rglob("*") if p.suffix in (".h", ".cpp", ".inc")):
        relative = path.relative_to(top)
        if "compile_fail" in relative.parts:
            continue
        count += 1
        text = path.read_text(encoding="utf-8")
        offences = offences_of_text(relative, text)
        for number, line in enumerate(text.split("\n"), 1):
            match = INCLUDE.match(line)
            if match:
                offences += [f"line {number}: {o}" for o in offences_of_include(relative, match[1], match[2])]
        for offence in offences:
            bad += 1
            print(f"{relative}: {offence}")
    print(f"{count} files read, {bad} offences")
    return 0 if count > 20 and bad == 0 else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
