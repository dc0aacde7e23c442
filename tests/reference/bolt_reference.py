"""Holds the `bolt` command to every row of the tightening tables in values.csv.

usage: bolt_reference.py PROGRAM VALUES.csv

Each row of topics vdi-coarse and vdi-fine (assembly preload and torque at 90 % of yield, one friction for thread and
seat) is asked of the program, by thread and class as printed, and must come within the row's tolerance: half of the
last digit of the table. Bearing and hole are the row's; where it has none, the program's own.
"""
import csv
import json
import re
import subprocess
import sys

TOPICS = ("vdi-coarse", "vdi-fine")
KEYS = {"vdi_FM": ("assembly_preload_N", 1e-3), "vdi_MA": ("assembly_torque_Nm", 1.0)}
EXPECTED_ROWS = 383  # so that a filter that loses rows does not pass for a pass


def rows(path):
    with open(path, encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["topic"] in TOPICS:
                yield row, json.loads(row["inputs"])


def command(program, row, inputs):
    thread, strength = re.match(r"(M\S+) (\S+) mu=", row["quantity"]).groups()
    words = [program, "bolt", thread, strength, "--json", "--thread-friction", str(inputs["mu"]), "--seat-friction", str(inputs["mu"])]
    if "dw_mm" in inputs:
        words += ["--head-bearing", f"{inputs['dw_mm']}mm", "--hole", f"{inputs['dh_mm']}mm"]
    return words


def off(row, inputs, card):
    """How far the card is from the row, in shares of the row's tolerance."""
    key, scale = KEYS[inputs["fn"]]
    kind, _, amount = row["tolerance"].partition(":")
    allowed = float(amount) * (float(row["value"]) if kind == "rel" else 1)
    return abs(card[key] * scale - float(row["value"])) / allowed


def main(program, values):
    count, bad, worst, cards = 0, 0, 0.0, {}
    for row, inputs in rows(values):
        count += 1
        words = command(program, row, inputs)
        if tuple(words) not in cards:
            done = subprocess.run(words, capture_output=True, text=True, timeout=60)
            if done.returncode != 0:
                print(f"{row['id']}: exit {done.returncode}: {done.stderr}")
                return 1
            cards[tuple(words)] = json.loads(done.stdout)
        card = cards[tuple(words)]
        problems = []
        if abs(card["yield_MPa"] - inputs["Rp_MPa"]) > 1e-9 * inputs["Rp_MPa"]:
            problems.append(f"yield {card['yield_MPa']} MPa, not {inputs['Rp_MPa']}")
        distance = off(row, inputs, card)
        worst = max(worst, distance)
        if distance > 1 + 1e-9:
            problems.append(f"{row['value']} {row['unit']} missed by {distance:.2f} tolerances")
        bad += bool(problems)
        for problem in problems:
            print(f"{row['id']} ({row['quantity']}): {problem}")
    print(f"{count} rows, {len(cards)} runs, {bad} missed, the worst at {worst:.3f} of its tolerance")
    return 0 if count == EXPECTED_ROWS and bad == 0 else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2]))
