"""The tables of the verbs, as the program that fills in the manual pages prints them."""
import json
import subprocess


def read_tables(manual):
    """(every verb by its name, the options that every verb takes)"""
    done = subprocess.run([manual, "--tables"], capture_output=True, text=True, timeout=60, check=True)
    tables = json.loads(done.stdout)
    return {v["verb"]: v for v in tables["verbs"]}, tables["everywhere"]
