"""Runs the PostgreSQL recipe of docs/durability.md, as it stands there, on a server of its own.

usage: postgresql_doc.py PROGRAM SOURCE_DIR
"""
import glob
import os
import pathlib
import pwd
import re
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import environment

PROGRAM, SOURCE = sys.argv[1], pathlib.Path(sys.argv[2])
RECIPE = re.search(r"^```sql\n(.*?)^```$", (SOURCE / "docs" / "durability.md").read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)[1]


def tool(name):
    """Debian keeps the server's programs off the path."""
    found = sorted(glob.glob(f"/usr/lib/postgresql/*/bin/{name}"))
    path = found[-1] if found else shutil.which(name)
    if not path:
        sys.exit(f"{name} is missing: sh .ci/setup --all installs it")
    return path


def as_server(*words, **more):
    """The server refuses to run as root."""
    user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    return subprocess.run([*user, *map(str, words)], check=True, capture_output=True, text=True, timeout=120, **more)


def main():
    folder = pathlib.Path(tempfile.mkdtemp(prefix="clampbook-sql-"))
    data = folder / "data"
    if os.geteuid() == 0:
        account = pwd.getpwnam("postgres")
        os.chown(folder, account.pw_uid, account.pw_gid)
    # Names and quotes that a loader could trip over, and a key on every line.
    (folder / "casing.yaml").write_text((SOURCE / "schedules" / "split-crankcase.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    for words in (["begin", "casing.book", "casing.yaml"], ["log", "casing.book", "1", "30Nm", "--stage", "4", "--note", 'back\\slash "quoted", and a comma']):
        if subprocess.run([PROGRAM, *words], cwd=folder, env=environment(), capture_output=True, timeout=60, check=False).returncode not in (0, 1):
            sys.exit(f"{words} failed")
    try:
        as_server(tool("initdb"), "-D", data, "-E", "UTF8", "-A", "trust", "-U", "postgres", cwd=folder)
        as_server(tool("pg_ctl"), "-D", data, "-w", "-l", folder / "log", "-o", f"-c listen_addresses= -k {folder}", "start", cwd=folder)
        try:
            done = as_server(tool("psql"), "-h", folder, "-U", "postgres", "-v", "ON_ERROR_STOP=1", "-A", "-t", "-F", "|", "-q", cwd=folder, input=RECIPE)
            kinds = dict(line.split("|") for line in done.stdout.split("\n") if "|" in line)
            note = as_server(tool("psql"), "-h", folder, "-U", "postgres", "-A", "-t", "-c", "SELECT body->>'note' FROM line WHERE body->>'kind' = 'reading'", cwd=folder)
        finally:
            as_server(tool("pg_ctl"), "-D", data, "-w", "-m", "fast", "stop", cwd=folder)
    finally:
        shutil.rmtree(folder)
    wanted = {"": "1", "begun": "1", "planned": "1", "reading": "1"}  # the first line has no kind
    if kinds != wanted or note.stdout.strip() != 'back\\slash "quoted", and a comma':
        sys.exit(f"loaded {kinds}, {note.stdout!r}")


main()
