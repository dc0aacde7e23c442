"""Asks a shell what it offers on command lines of the program, after it has read the script that the program prints.

usage: completion.py PROGRAM MANUAL bash|zsh|fish
"""
import os
import pathlib
import pty
import re
import shlex
import subprocess
import sys
import tempfile
import time
import unittest

from tables import read_tables

PROGRAM, MANUAL, SHELL = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]), sys.argv[3]
VERBS, EVERYWHERE = read_tables(MANUAL)
ENVIRONMENT = {"LC_ALL": "C.UTF-8", "PATH": "/usr/bin:/bin", "TERM": "dumb"}
FILES = {"cover.yaml", "drawings", "casing.book", "my cover.yaml"}


class Bash:
    """Calls the function that the script gave to `complete`, as bash does when Tab is pressed."""

    def __init__(self, folder, script):
        self.folder, self.script = folder, script

    def offers(self, line):
        # As readline cuts it: "=" and ":" are words of their own.
        words = re.findall(r"[=:]|[^\s=:]+", line) + ([""] if line.endswith(" ") else [])
        ask = (f'source {shlex.quote(str(self.script))}; f=$(complete -p clampbook); f=${{f#*-F }}; f=${{f%% *}}; '
               f'COMP_WORDS=({" ".join(map(shlex.quote, words))}); COMP_CWORD={len(words) - 1}; "$f" clampbook; '
               '((${#COMPREPLY[@]})) && printf "%s\\n" "${COMPREPLY[@]}"; true')
        done = subprocess.run(["bash", "--norc", "-c", ask], cwd=self.folder, env=ENVIRONMENT, capture_output=True, text=True,
                              timeout=60, check=False)
        if done.returncode != 0 or done.stderr:
            raise AssertionError(f"bash: {done.stderr}")
        return set(done.stdout.splitlines())


class Fish:
    def __init__(self, folder, script):
        self.folder, self.script = folder, script

    def offers(self, line):
        done = subprocess.run(["fish", "--no-config", "-c", f"source {shlex.quote(str(self.script))}; complete -C {shlex.quote(line)}"],
                              cwd=self.folder, env={**ENVIRONMENT, "HOME": str(self.script.parent)}, capture_output=True, text=True, timeout=60, check=False)
        if done.returncode != 0 or done.stderr:
            raise AssertionError(f"fish: {done.stderr}")
        words = (row.split("\t")[0] for row in done.stdout.splitlines())
        return {re.sub(r"^--[a-z]+=", "", w).rstrip("/") for w in words}


# Notes down each match that the completion system is given, and asks it about the line in a file.
ZSHRC = r"""
fpath=($ASK/functions $fpath)
autoload -Uz compinit; compinit -u -D
compadd() {
  if [[ -z ${(M)argv:#-[OAD]*} ]]; then
    local -a hits
    builtin compadd -O hits "$@"
    (( $#hits )) && print -rl -- $hits >> $ASK/answer
  fi
  builtin compadd "$@"
}
ask() { BUFFER=$(<$ASK/line); CURSOR=$#BUFFER; zle list-choices; BUFFER=''; print -r -- END >> $ASK/answer }
zle -N ask
bindkey '^T' ask
PS1=''
print -r -- END >> $ASK/answer
"""


class Zsh:
    """One interactive shell at a terminal; Ctrl-T asks it."""

    def __init__(self, folder, script):
        self.ask = script.parent
        (self.ask / "functions").mkdir()
        (self.ask / "functions/_clampbook").write_bytes(script.read_bytes())
        (self.ask / ".zshrc").write_text(ZSHRC, encoding="utf-8")
        self.pid, self.terminal = pty.fork()
        if self.pid == 0:
            os.chdir(folder)
            os.execvpe("zsh", ["zsh", "-d", "-i"], {**ENVIRONMENT, "TERM": "xterm", "ZDOTDIR": str(self.ask), "ASK": str(self.ask), "HOME": str(self.ask)})
        os.set_blocking(self.terminal, False)
        self.answer()

    def answer(self):
        seen = b""
        until = time.monotonic() + 30
        while time.monotonic() < until:
            try:
                seen += os.read(self.terminal, 65536)
            except OSError:
                pass
            path = self.ask / "answer"
            if path.exists() and (text := path.read_text(encoding="utf-8")).endswith("END\n"):
                path.unlink()
                return text.splitlines()[:-1]
            time.sleep(0.01)
        raise AssertionError(f"zsh did not answer: {seen.decode(errors='replace')}")

    def offers(self, line):
        # A trailing blank would be lost by $(<...): a file without a line feed keeps it.
        (self.ask / "line").write_text(line, encoding="utf-8")
        os.write(self.terminal, b"\x14")
        return {word.rstrip("=/").replace("\\ ", " ") for word in self.answer() if word.strip()}

    def close(self):
        os.write(self.terminal, b"exit\r")
        os.close(self.terminal)
        os.waitpid(self.pid, 0)


class Completion(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        holder = tempfile.TemporaryDirectory(prefix="clampbook-completion-")
        cls.addClassCleanup(holder.cleanup)
        folder, own = pathlib.Path(holder.name) / "work", pathlib.Path(holder.name) / "own"
        (folder / "drawings").mkdir(parents=True)
        own.mkdir()
        for name in FILES - {"drawings"}:
            (folder / name).write_text("", encoding="utf-8")
        script = own / "script"
        with script.open("wb") as out:
            subprocess.run([PROGRAM, "completion", SHELL], stdout=out, env=ENVIRONMENT, timeout=60, check=True)
        cls.shell = {"bash": Bash, "zsh": Zsh, "fish": Fish}[SHELL](folder, script)
        if SHELL == "zsh":
            cls.addClassCleanup(cls.shell.close)

    def offers(self, line):
        return self.shell.offers(line)

    def test_verbs(self):
        self.assertEqual(self.offers("clampbook "), set(VERBS))
        self.assertEqual(self.offers("clampbook pr"), {"predict"})
        self.assertEqual(self.offers("clampbook --ascii --units imperial pl"), {"plan"})
        self.assertEqual(self.offers("clampbook nothing-such"), set())

    def test_every_option_of_every_verb(self):
        everywhere = {o["name"] for o in EVERYWHERE}
        self.assertEqual(self.offers("clampbook --"), everywhere)
        for verb, spec in VERBS.items():
            own = {o["name"] for o in spec["options"] if o["name"].startswith("--")}
            self.assertEqual(self.offers(f"clampbook {verb} --"), everywhere | own, verb)
            for name in own:
                self.assertIn(name, self.offers(f"clampbook {verb} {name[:4]}"), verb)
        self.assertEqual(self.offers("clampbook predict cover.yaml --sam"), {"--samples"})
        self.assertIn("-o", self.offers("clampbook report casing.book -"))

    def test_words_that_an_option_takes(self):
        self.assertEqual(self.offers("clampbook --units "), {"metric", "imperial"})
        self.assertEqual(self.offers("clampbook plan --color a"), {"auto", "always"})
        self.assertEqual(self.offers("clampbook --units=im"), {"imperial"})
        self.assertEqual(self.offers("clampbook report casing.book --format "), {"text", "html", "csv", "json"})
        self.assertEqual(self.offers("clampbook completion "), {"bash", "zsh", "fish"})

    def test_files(self):
        for line in ("check", "begin casing.book", "plan --tools", "plan --strict", "history casing.book casing.book",
                     "report casing.book -o", "log --lines", "--units metric plan", "trace --fastener case-bolt"):
            self.assertEqual(self.offers(f"clampbook {line} "), FILES, line)
        self.assertEqual(self.offers("clampbook check cas"), {"casing.book"})
        self.assertEqual(self.offers("clampbook report casing.book --svg "), {"drawings"})

    def test_nothing_where_only_the_person_knows(self):
        for line in ("log casing.book", "log casing.book 3", "plan --only", "bolt", "bolt M10", "amend casing.book --note",
                     "convert 30", "check casing.book", "log casing.book 3 30Nm --at 2026-05-04T09:30:00+02:00"):
            # Where no word is left to come, zsh offers the options.
            offered = {word for word in self.offers(f"clampbook {line} ") if not (SHELL == "zsh" and word.startswith("-"))}
            self.assertEqual(offered, set(), line)


sys.argv[1:] = []
unittest.main()
