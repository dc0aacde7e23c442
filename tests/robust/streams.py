"""Standard input, output and error closed, full, gone, folders, or slow: the documented status, and no byte where it does not belong."""
import itertools
import json
import os
import pathlib
import re
import subprocess
import sys
import threading

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent))
from lab import GOOD, READERS, RobustCase, environment, main

# A call of each verb that is refused: its words and status.
REFUSED = {
    "new": (["new", "n.yaml", "--rows", "x"], 3),
    "plan": (["plan", "absent"], 3),
    "predict": (["predict", "s.yaml", "--samples", "1"], 3),
    "bolt": (["bolt", "M10"], 2),
    "begin": (["begin", "b.book", "absent"], 3),
    "log": (["log", "b.book", "2", "12"], 3),
    "guide": (["guide", "absent"], 3),
    "amend": (["amend", "b.book"], 2),
    "check": (["check", "b.book", "--pass", "9"], 2),
    "report": (["report", "b.book", "--format", "x"], 2),
    "trace": (["trace", "absent"], 3),
    "history": (["history", "absent"], 3),
    "convert": (["convert", "30"], 3),
    "completion": (["completion", "x"], 2),
}
# Calls that write files or read others than those above, and what they write.
FILES = (
    (["plan", "s.yaml", "--sheet", "out"], "out"), (["plan", "s.yaml", "--svg", "out"], "out"), (["predict", "s.yaml", "--samples", "100", "--svg", "out"], "out"),
    (["report", "b.book", "-o", "out.html"], "out.html"), (["report", "b.book", "-o", "out.csv"], "out.csv"), (["trace", "pull.csv", "--svg", "out"], "out"),
    (["log", "b.book", "--lines", "rows.csv"], None), (["log", "b.book", "--lines", "rows.csv", "--json"], None), (["plan", "s.yaml", "--tools", "tools.yaml"], None),
    (["guide", "b.book", "--wrench", "rows.csv"], None), (["new", "n.yaml"], "n.yaml"), (["report", "b.book", "--svg", "drawings"], None),
)
INPUT = {
    ("convert", "-"): b"30 N\xc2\xb7m\n22.1 ft\xc2\xb7lbf\n",
    ("trace", "-"): b"angle_deg,torque_Nm\n" + b"".join(b"%d,%.2f\n" % (a, max(0.5, (a - 40) * 0.4)) for a in range(0, 120, 2)),
    ("log", "b.book", "--lines", "-"): b"bolt,value\n2,12Nm\n1,45deg\n",
    ("guide", "b.book"): b"y\n12\ny\n",
    ("guide", "b.book", "--wrench", "-"): b"y\n12 Nm\n",
}


def closing(*descriptors):
    def close():
        for fd in descriptors:
            os.close(fd)
    return close


class Streams(RobustCase):
    def setUp(self):
        reader, gone = os.pipe()
        os.close(reader)
        # Outputs that take nothing.
        self.dead = [("closed", None), ("full", os.open("/dev/full", os.O_WRONLY)), ("gone", gone), ("only for reading", os.open(os.devnull, os.O_RDONLY))]
        for _, fd in self.dead[1:]:
            self.addCleanup(os.close, fd)

    def with_dead(self, fd, words, stream, **how):
        name = {1: "stdout", 2: "stderr"}[fd]
        if stream is None:
            return self.clampbook(*words, **{name: None, "preexec_fn": closing(fd), **how})
        return self.clampbook(*words, **{name: stream, **how})

    def test_a_dead_standard_output_is_told(self):
        for index, ((verb, good), json_) in enumerate(itertools.product(GOOD.items(), ([], ["--json"]))):
            for name, stream in self.some(self.dead, index // 2 + index % 2, 2):
                with self.subTest(verb=verb, output=name, json=bool(json_)):
                    run = self.with_dead(1, [*good, *json_], stream)
                    self.assertEqual(run.status, 4, run)
                    self.assertEqual(self.slugs(run), ["output-failed"], run)
                    kept = self.after["b.book"].count(b"\n") - self.kept["b.book"].count(b"\n")
                    self.assertEqual(kept, {"begin": 2, "log": 1, "amend": 1}.get(verb, 0), run)
                    self.assertEqual("n.yaml" in self.after, verb == "new", run)

    def test_a_table_is_kept_to_its_end_and_the_guide_ends_with_the_output(self):
        """Rows tell of bolts that were turned; the guide's steps are only now to be shown. What is kept is said."""
        for name, stream in self.dead:
            with self.subTest(output=name):
                (self.folder / "many.csv").write_text("bolt,value\n2,12Nm\n1,45deg\n2,45deg\n", encoding="utf-8")
                run = self.with_dead(1, ["log", "b.book", "--lines", "many.csv"], stream)
                self.assertEqual((run.status, self.slugs(run)), (4, ["output-failed"]), run)
                self.assertIn(b"from line 2 on no answer could be written; 3 rows were kept", run.err, run)
                self.assertEqual(self.after["b.book"].count(b"\n"), self.kept["b.book"].count(b"\n") + 3)
                reader, writer = os.pipe()
                os.write(writer, b"12 Nm\n45 deg\n")
                os.close(writer)
                run = self.with_dead(1, ["guide", "b.book"], stream, stdin=reader)
                os.close(reader)
                self.assertEqual((run.status, self.slugs(run)), (4, ["output-failed"]), run)
                self.assertEqual(self.after["b.book"], self.kept["b.book"])

    def slugs(self, run):
        err = run.err.decode("utf-8")
        return [e["slug"] for e in json.loads(err)["errors"]] if err.startswith('{"') else [line[line.rindex("[") + 1:-1] for line in err.splitlines() if "error: " in line]

    def test_a_refusal_is_told_although_standard_output_is_dead(self):
        for index, (verb, (words, status)) in enumerate(REFUSED.items()):
            for name, stream in self.some(self.dead, index, 4):
                with self.subTest(verb=verb, output=name):
                    run = self.with_dead(1, words, stream)
                    self.assertEqual((run.status, len(self.slugs(run))), (status, 1), run)

    def test_a_dead_standard_error_changes_no_answer(self):
        for index, (name, stream) in enumerate(self.dead):
            for verb, good in self.some(GOOD.items(), index, 4):
                with self.subTest(verb=verb, error=name):
                    run = self.with_dead(2, good, stream)
                    self.assertIn(run.status, (0, 1), run)
                    self.assertTrue(run.out, run)
            for verb, (words, status) in self.some(REFUSED.items(), index, 4):
                with self.subTest(verb=verb, error=name, refused=True):
                    run = self.with_dead(2, words, stream)
                    self.assertEqual((run.status, run.out), (status, b""), run)

    def test_closed_descriptors_are_never_mistaken_for_files(self):
        closed = [c for n in (1, 2, 3) for c in itertools.combinations((0, 1, 2), n)]
        calls = (*FILES, *((w, None) for w in GOOD.values()), *((w, None) for w, _ in REFUSED.values()))
        for index, (words, output) in enumerate(calls):
            usual = self.clampbook(*words)
            files = {name: self.unstamped(bytes_) for name, bytes_ in self.after.items()}
            for descriptors in self.some(closed, index, 3):
                with self.subTest(words=words, closed=descriptors):
                    run = self.clampbook(*words, preexec_fn=closing(*descriptors), **{("stdin", "stdout", "stderr")[fd]: None for fd in descriptors})
                    refused = usual.status in (2, 3, 4)
                    self.assertEqual(run.status, 4 if 1 in descriptors and not refused else usual.status, run)
                    self.assertEqual({name: self.unstamped(bytes_) for name, bytes_ in self.after.items()}, files, run)
                    if output:
                        self.assertTrue(self.after[output], run)

    def test_a_wrench_is_not_taken_for_a_closed_standard_input(self):
        # Its pipe took the number 0: it was read as what is typed too, and the guide never came to an end.
        pipe = os.open(self.folder / "fifo", os.O_RDWR)
        os.write(pipe, b"12 Nm\n")
        run = self.clampbook("guide", "b.book", "--wrench", "fifo", stdin=None, preexec_fn=closing(0))
        os.close(pipe)
        self.assertEqual(run.status, 0, run)
        self.assertEqual(self.after["b.book"].count(b"\n"), self.kept["b.book"].count(b"\n") + 1)

    def unstamped(self, bytes_):
        """Apart from what differs from run to run: times, seals, and the fingerprint that pages carry."""
        return re.sub(rb"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d+)?)?|\(\d+ \w+ ago\)|[0-9a-f]{32,}", b"", bytes_)

    def test_standard_input_that_cannot_be_read(self):
        expected = {"convert": 3, "trace": 3, "log": 3, "guide": 0}
        for words in INPUT:
            for name, how in (("closed", {"stdin": None, "preexec_fn": closing(0)}), ("folder", {"stdin": os.open(self.folder, os.O_RDONLY)}),
                              ("only for writing", {"stdin": os.open(os.devnull, os.O_WRONLY)})):
                with self.subTest(words=words, input=name):
                    run = self.clampbook(*words, **how)
                    self.assertEqual(run.status, expected[words[0]], run)
                    if words[0] != "guide":
                        self.assertEqual(self.slugs(run), ["unreadable-file"], run)
                if how["stdin"] is not None:
                    os.close(how["stdin"])

    def test_an_empty_standard_input(self):
        expected = {"convert": 0, "trace": 3, "log": 3, "guide": 0}
        for words in INPUT:
            with self.subTest(words=words):
                self.assertEqual(self.clampbook(*words).status, expected[words[0]])

    def test_standard_input_byte_by_byte(self):
        for words, text in INPUT.items():
            with self.subTest(words=words):
                with open(self.root / "input", "w+b") as whole:
                    whole.write(text)
                    whole.seek(0)
                    usual = self.clampbook(*words, stdin=whole)
                usual_book = self.unstamped(self.after["b.book"])
                reader, writer = os.pipe()
                feeder = threading.Thread(target=self.feed, args=(writer, text))
                feeder.start()
                run = self.clampbook(*words, stdin=reader)
                os.close(reader)
                feeder.join()
                self.assertEqual((run.status, self.unstamped(run.out)), (usual.status, self.unstamped(usual.out)), run)
                self.assertEqual(self.unstamped(self.after["b.book"]), usual_book, run)

    @staticmethod
    def feed(writer, text):
        with open(writer, "wb", buffering=0) as pipe:
            for byte in text:
                try:
                    pipe.write(bytes([byte]))
                except BrokenPipeError:
                    return

    def test_a_reader_that_leaves_early(self):
        many = ", ".join(f"{{id: {n}}}" for n in range(1, 3001))
        text = self.kept["s.yaml"].decode("utf-8").replace("{id: 1}, {id: 2}", many)
        big = self.root / "big.yaml"
        big.write_text(text, encoding="utf-8")
        for json_ in ([], ["--json"], ["--csv"]):
            with self.subTest(json=json_):
                running = subprocess.Popen([self.here, "plan", str(big), *json_], stdout=subprocess.PIPE, stderr=subprocess.PIPE, **self.as_other)
                running.stdout.read(10)
                running.stdout.close()
                err = running.stderr.read()
                running.stderr.close()
                self.assertEqual(running.wait(20), 4, err)
                self.assertIn(b"output-failed", err)

    def test_a_pipe_without_a_reader_as_a_file_to_write(self):
        for words in (["plan", "s.yaml", "--sheet", "fifo"], ["plan", "s.yaml", "--svg", "fifo"], ["predict", "s.yaml", "--samples", "100", "--svg", "fifo"],
                      ["report", "b.book", "-o", "fifo"], ["trace", "pull.csv", "--svg", "fifo"]):
            with self.subTest(words=words):
                run = self.clampbook(*words)
                self.assertEqual((run.status, self.slugs(run)), (4, ["output-failed"]), run)

    def test_a_pipe_with_a_reader_gets_everything(self):
        self.clampbook("report", "b.book", "-o", "out.html")
        usual = self.unstamped(self.after["out.html"])
        got = []
        reader = threading.Thread(target=lambda: got.append((self.folder / "fifo").read_bytes()))
        reader.start()
        opened = os.open(self.folder / "fifo", os.O_RDWR)  # so that neither end waits for the other
        run = self.clampbook("report", "b.book", "--format", "html", "-o", "fifo")
        os.close(opened)
        reader.join(20)
        self.assertEqual(run.status, 0, run)
        self.assertEqual(self.unstamped(got[0]), usual)

    def test_an_interrupted_write_is_repeated(self):
        for verb in READERS if self.long else ("plan", "check"):
            with self.subTest(verb=verb):
                usual = self.clampbook(*GOOD[verb])
                done = subprocess.run(["strace", "-qq", "-o", os.devnull, "-e", "inject=write:error=EINTR:when=1", self.here, *GOOD[verb]],
                                      cwd=self.folder, env=environment(), stdin=subprocess.DEVNULL, capture_output=True, timeout=20)
                self.assertEqual((done.returncode, done.stdout, done.stderr), (usual.status, usual.out, b""))


main()
