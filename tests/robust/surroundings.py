"""Odd environments, languages, time zones, clocks, limits and folders: the same answers, true times, and never a crash."""
import ctypes
import datetime
import json
import os
import pathlib
import resource
import shutil
import subprocess
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent))

from lab import GOOD, NOBODY, READERS, WRITERS, RobustCase, environment, main

SANITIZER = {"ASAN_OPTIONS": "verify_asan_link_order=0:detect_leaks=0"}


def at(text):
    return datetime.datetime.fromisoformat(text).timestamp()


class Surroundings(RobustCase):
    def variants(self):
        """Environments, each with the plain one that it must be like."""
        plain = environment()
        ascii_ = {**plain, "LC_ALL": "C"}
        for name, change in (("no HOME", {"HOME": None}), ("HOME absent", {"HOME": "/nonexistent/home"}), ("no TERM", {"TERM": None}), ("odd TERM", {"TERM": "no-such\x1bterminal"}),
                             ("no PATH", {"PATH": None}), ("columns", {"COLUMNS": "0", "LINES": "x"}), ("odd LANG", {"LANG": "no_SUCH"}), ("absent language", {"LC_ALL": "no_SUCH.UTF-8"}),
                             ("odd TZ", {"TZ": ":no/such"}), ("Apia", {"TZ": "Pacific/Apia"}), ("Kathmandu", {"TZ": "Asia/Kathmandu"}), ("LANGUAGE", {"LANGUAGE": "de:fr"}), ("long", {"NOTHING": "x" * 100_000})):
            yield name, {k: v for k, v in {**plain, **change}.items() if v is not None}, plain
        yield "empty", {**SANITIZER}, ascii_
        yield "POSIX", {**plain, "LC_ALL": "POSIX"}, ascii_
        yield "no language", {k: v for k, v in plain.items() if k != "LC_ALL"}, ascii_
        locales = self.comma_locale()
        if locales:
            yield "decimal comma", {**plain, "LOCPATH": locales, "LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8"}, plain
            yield "decimal comma in numbers alone", {**plain, "LOCPATH": locales, "LC_ALL": "", "LANG": "C.UTF-8", "LC_NUMERIC": "de_DE.UTF-8"}, plain

    @classmethod
    def comma_locale(cls):
        """A folder that holds a language with decimal commas, or nothing where it can't be made."""
        folder = cls.root / "locales"
        if folder.exists():
            return str(folder)
        if not shutil.which("localedef"):
            return None
        folder.mkdir()
        done = subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", str(folder / "de_DE.UTF-8")], capture_output=True, timeout=60)
        if not (folder / "de_DE.UTF-8").exists():
            folder.rmdir()
            print("no decimal comma:", done.stderr.decode(errors="replace")[:200])
            return None
        return str(folder)

    def test_readers_answer_alike_everywhere(self):
        plain = {}
        for index, (name, env, like) in enumerate(self.variants()):
            for verb in self.some(READERS, index, 3):
                for json_ in ([], ["--json"]) if self.long else ([],):
                    with self.subTest(environment=name, verb=verb, json=bool(json_)):
                        words = (*GOOD[verb], *json_)
                        key = (words, like["LC_ALL"])
                        if key not in plain:
                            plain[key] = self.clampbook(*words, env=like)
                        run = self.clampbook(*words, env=env)
                        self.assertEqual((run.status, run.out), (plain[key].status, plain[key].out), run)

    def test_writers_work_everywhere(self):
        for index, (name, env, _) in enumerate(self.variants()):
            for verb in self.some(("new", *WRITERS), index, 2):
                with self.subTest(environment=name, verb=verb):
                    run = self.clampbook(*GOOD[verb], env=env)
                    self.assertIn(run.status, (0, 1), run)
                    self.assertTrue(verb == "guide" or self.changed or "n.yaml" in self.after, run)

    def test_a_decimal_comma_is_refused_in_every_language(self):
        for index, (name, env, _) in enumerate(self.variants()):
            comma = "comma" in name
            for words in self.some((["convert", "1,5 N·m"], ["log", "b.book", "2", "12,0 N·m"], ["bolt", "M10", "8.8", "--hole", "11,5mm"], ["new", "n.yaml", "--spacing", "80,5x110mm"]), index, 1 if comma else 4):
                with self.subTest(environment=name, words=words):
                    run = self.clampbook(*words, env=env)
                    self.assertEqual((run.status, b"[decimal-comma]" in run.err), (3, True), run)
            run = self.clampbook("convert", "1.5", "kN", "N", env=env)
            self.assertEqual(run.out, b"1.5 kN = 1500 N\n", run)

    # --- clocks

    def book_at(self, moments, zone="UTC"):
        """A new book with a note at each moment: its lines, and the runs. It lies in a folder of its own."""
        folder = self.root / "clock"
        if folder.exists():
            shutil.rmtree(folder)
        folder.mkdir()
        shutil.copy(self.folder / "s.yaml", folder)
        if self.as_other:
            os.chown(folder, NOBODY, NOBODY)
            os.chown(folder / "s.yaml", NOBODY, NOBODY)
        runs = []
        for number, moment in enumerate(moments):
            words = ["begin", "b.book", "s.yaml"] if number == 0 else ["amend", "b.book", "--note", f"note {number}"]
            runs.append(self.at_moment(folder, moment, zone, words))
        book = folder / "b.book"
        lines = [json.loads(line) for line in book.read_bytes().splitlines()] if book.exists() else []
        return folder, lines, runs

    def at_moment(self, folder, moment, zone, words):
        shift = ["faketime", "-f", f"{moment - time.time():+.0f}s"] if moment is not None else []
        done = subprocess.run([*shift, self.here, *words], cwd=folder, env={**environment(), "TZ": zone}, stdin=subprocess.DEVNULL, capture_output=True, timeout=20, **self.as_other)
        self.assertIn(done.returncode, (0, 1, 2, 3, 4), done)
        return done

    def slugs(self, folder, moment=None, zone="UTC"):
        done = self.at_moment(folder, moment, zone, ["check", "b.book", "--so-far", "--json"])
        self.assertIn(done.returncode, (0, 1), done)
        return [f["slug"] for f in json.loads(done.stdout)["findings"]]

    def test_times_are_true_in_every_zone(self):
        for zone in ("UTC", "Pacific/Apia", "Asia/Kathmandu", "America/St_Johns", ":no/such", "nonsense", "", "AAA+24:59", "AAA-24:59", "AAA-1:02:03", "AAA+0:00:30", "AAA-167:00", "BBB-30CCC-31,J1,J2", "A" * 5000):
            with self.subTest(zone=zone):
                moments = [at("2026-07-01T12:00:00+00:00") + 60 * n for n in range(3)]
                folder, lines, runs = self.book_at(moments, zone)
                self.assertEqual([r.returncode for r in runs], [0, 0, 0], runs)
                for line, moment in zip(lines[1:], [moments[0], *moments]):
                    self.assertAlmostEqual(at(line["written"]), moment, delta=10)
                self.assertEqual(self.slugs(folder, moments[-1] + 60, zone), [])

    def test_order_keeps_over_a_change_of_clocks(self):
        for change in ("2026-03-08T05:30:00+00:00", "2026-11-01T04:30:00+00:00"):
            with self.subTest(change=change):
                moments = [at(change) + 1200 * n for n in range(-3, 4)]
                folder, lines, runs = self.book_at(moments, "America/St_Johns")
                self.assertEqual({r.returncode for r in runs}, {0}, runs)
                written = [line["written"] for line in lines[2:]]
                self.assertEqual({w[-6:] for w in written}, {"-02:30", "-03:30"})
                for line, moment in zip(written, moments):
                    self.assertAlmostEqual(at(line), moment, delta=10)
                self.assertEqual(self.slugs(folder, moments[-1] + 60, "America/St_Johns"), [])

    def test_clocks_far_off(self):
        for start in ("1969-12-31T23:59:30+00:00", "1902-01-01T00:00:00+00:00", "2038-01-19T03:14:00+00:00", "2106-02-07T06:28:00+00:00", "9998-12-31T23:59:00+00:00"):
            with self.subTest(start=start):
                moments = [at(start) + 30 * n for n in range(3)]
                folder, lines, runs = self.book_at(moments)
                self.assertEqual([r.returncode for r in runs], [0, 0, 0], runs)
                for line, moment in zip(lines[1:], [moments[0], *moments]):
                    self.assertAlmostEqual(at(line["written"]), moment, delta=10)
                self.assertEqual(self.slugs(folder, moments[-1] + 10), [])

    def test_a_clock_that_no_line_can_hold_records_nothing(self):
        year_10000 = at("9999-12-31T23:59:59+00:00") + 3600
        for zone, moment in (("UTC", year_10000), ("UTC", year_10000 + 1e10), ("AAA+5", year_10000 + 8 * 3600)):
            with self.subTest(zone=zone, moment=moment):
                folder, lines, runs = self.book_at([None], "UTC")
                before = (folder / "b.book").read_bytes()
                for words in (GOOD["log"], GOOD["amend"], GOOD["begin"], ["begin", "new.book", "s.yaml"]):
                    run = self.at_moment(folder, moment, zone, words)
                    self.assertEqual((run.returncode, b"[bad-time]" in run.stderr), (3, True), run)
                self.assertEqual((folder / "b.book").read_bytes(), before)
                self.assertFalse((folder / "new.book").exists())
                for words in (GOOD["check"], GOOD["report"], GOOD["plan"], GOOD["convert"]):
                    self.at_moment(folder, moment, zone, words)

    def test_a_zone_in_which_the_year_10000_has_come_is_left_for_utc(self):
        moment = at("9999-12-31T20:10:00+00:00")
        folder, lines, _ = self.book_at([moment, moment + 60], "Pacific/Apia")
        self.assertEqual([line["written"][:13] for line in lines], ["9999-12-31T20"] * 4)
        self.assertEqual(self.slugs(folder, moment + 120), [])

    def test_a_clock_that_steps_back_is_found(self):
        start = at("2026-05-04T09:00:00+00:00")
        folder, lines, runs = self.book_at([start, start + 600, start - 3600, start - 3590])
        self.assertEqual([r.returncode for r in runs][:2], [0, 0], runs)
        self.assertEqual([line["seq"] for line in lines], list(range(len(lines))))
        self.assertEqual(self.slugs(folder, start + 700).count("clock-back"), 1)

    # --- limits, rights, folders

    def test_modes_follow_the_mask(self):
        for mask in (0o777, 0o077, 0o022, 0):
            for words, name in ((["begin", "new.book", "s.yaml"], "new.book"), (["new", "n.yaml"], "n.yaml"), (["plan", "s.yaml", "--sheet", "out"], "out"), (["report", "b.book", "-o", "out"], "out")):
                with self.subTest(mask=oct(mask), words=words):
                    done = self.raw(words, umask=mask)
                    path = self.folder / name
                    mode = path.stat().st_mode & 0o777
                    again = self.raw(["log", "new.book", "1", "12Nm"])
                    path.unlink()
                    self.assertEqual((done.returncode, mode), (0, 0o666 & ~mask), done)
                    if name == "new.book":
                        self.assertEqual(again.returncode, 0 if mode & 0o200 and mode & 0o400 else 4, again)
            with self.subTest(mask=oct(mask), folder=True):
                done = self.raw(["report", "b.book", "--svg", "drawings"], umask=mask)
                drawings = self.folder / "drawings"
                drawings.chmod(0o700)
                written = list(drawings.iterdir())
                shutil.rmtree(drawings)
                self.assertEqual((done.returncode, bool(written)), (4, False) if mask == 0o777 else (0, True), done)

    def limited(self, *limits):
        def apply():
            for kind, size in limits:
                resource.setrlimit(kind, (size, size))
        return apply

    def test_a_limit_of_the_size_of_files(self):
        """As with ulimit -f: the system then sends a signal that kills whoever does not ignore it."""
        for size in (0, 1, 100, 1024) if self.long else (0, 100):
            for words in (*GOOD.values(), ["plan", "s.yaml", "--sheet", "out"], ["report", "b.book", "-o", "out"], ["log", "b.book", "--lines", "rows.csv"], ["begin", "new.book", "s.yaml"]):
                with self.subTest(size=size, words=words), open(self.root / "printed", "wb") as printed:
                    run = self.clampbook(*words, preexec_fn=self.limited((resource.RLIMIT_FSIZE, size)), stdout=printed)
                    if run.status not in (0, 1):
                        self.assertEqual(run.status, 4, run)
                        self.judge_errors(run, run.err.decode("utf-8"))

    def judge_files(self, run):
        # A book that could not take a whole line holds a part of it; the next entry mends that.
        if run.status == 4 and b"[not-recorded]" in run.err:
            self.assertTrue(self.after["b.book"].startswith(self.kept["b.book"]), run)
            return
        super().judge_files(run)

    def test_a_limit_of_descriptors(self):
        if b"__asan_init" in pathlib.Path(self.program).read_bytes():
            self.skipTest("a sanitizer needs descriptors of its own")
        for most in range(3, 8) if self.long else (3, 4, 5):
            probe = self.raw(["--version"], preexec_fn=self.limited((resource.RLIMIT_NOFILE, most)))
            if probe.returncode != 0:
                continue  # too few to load the program
            for words in (*GOOD.values(), ["plan", "s.yaml", "--sheet", "out"], ["report", "b.book", "-o", "out"], ["log", "b.book", "--lines", "rows.csv"], ["guide", "b.book", "--wrench", "rows.csv"]):
                with self.subTest(most=most, words=words):
                    run = self.clampbook(*words, preexec_fn=self.limited((resource.RLIMIT_NOFILE, most)))
                    self.assertIn(run.status, (0, 1, 3, 4), run)

    def test_a_limit_of_memory(self):
        if "Sanitizer" in subprocess.run(["nm", "-D", self.program], capture_output=True, text=True, errors="replace").stdout or b"__asan_init" in pathlib.Path(self.program).read_bytes():
            self.skipTest("a sanitizer needs all memory there is")
        many = ", ".join(f"{{id: {n}}}" for n in range(1, 5001))
        big = self.root / "big.yaml"
        big.write_text(self.kept["s.yaml"].decode("utf-8").replace("{id: 1}, {id: 2}", many), encoding="utf-8")
        seen = set()
        for megabytes in range(8, 60, 2 if self.long else 12):
            limit = self.limited((resource.RLIMIT_AS, megabytes << 20))
            if self.raw(["--version"], preexec_fn=limit).returncode != 0:
                continue  # too little to load the program
            for words in (["plan", str(big)], ["begin", "new.book", str(big)], ["predict", str(big)], *GOOD.values()):
                with self.subTest(megabytes=megabytes, words=words):
                    run = self.clampbook(*words, preexec_fn=limit)
                    seen.add(run.status)
                    if run.status not in (0, 1):
                        self.assertEqual((run.status, b"[out-of-memory]" in run.err), (4, True), run)
        self.assertTrue({0, 4} <= seen, seen)

    def test_a_folder_that_takes_no_files(self):
        if os.geteuid() == 0 and not self.as_other:
            self.skipTest("root may write everywhere")
        self.folder.chmod(0o555)
        try:
            for words, slug in ((["new", "n.yaml"], "output-failed"), (["begin", "new.book", "s.yaml"], "read-only"), (["plan", "s.yaml", "--sheet", "out"], "output-failed"),
                                (["report", "b.book", "-o", "out"], "output-failed"), (["report", "b.book", "--svg", "drawings"], "output-failed")):
                with self.subTest(words=words):
                    run = self.clampbook(*words)
                    self.assertEqual((run.status, slug.encode() in run.err), (4, True), run)
            self.assertEqual(self.clampbook("log", "b.book", "2", "12Nm").status, 0)
        finally:
            self.folder.chmod(0o755)

    def test_a_folder_that_is_gone(self):
        gone = self.root / "gone"
        def leave():
            os.rmdir(".")
        for verb, good in GOOD.items():
            with self.subTest(verb=verb):
                gone.mkdir()
                if self.as_other:
                    os.chown(gone, NOBODY, NOBODY)
                self.root.chmod(0o777)
                done = self.raw(good, cwd=gone, preexec_fn=lambda: os.rmdir(gone))
                self.root.chmod(0o755)
                self.assertEqual(done.returncode, 0 if verb in ("bolt", "convert", "completion") else 4 if verb == "new" else 3, done)
                self.assertFalse(gone.exists())

    def test_a_program_without_its_name(self):
        done = subprocess.run([""], executable=self.here, cwd=self.folder, env=environment(), capture_output=True, timeout=20, **self.as_other)
        self.assertEqual((done.returncode, b"[missing-argument]" in done.stderr), (2, True), done)
        # No words at all: newer kernels give it an empty one.
        child = os.fork()
        if child == 0:
            null = os.open(os.devnull, os.O_RDWR)
            for fd in (0, 1, 2):
                os.dup2(null, fd)
            libc = ctypes.CDLL(None, use_errno=True)
            libc.execve(self.here.encode(), (ctypes.c_char_p * 1)(None), (ctypes.c_char_p * 2)(b"LC_ALL=C.UTF-8", None))
            os._exit(99)
        self.assertEqual(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), 2)


main()
