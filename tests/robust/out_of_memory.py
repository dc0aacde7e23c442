"""Each allocation of each verb fails, once or with all after it: exit 4 and its message, never a signal, and the book is whole."""
import json
import os
import pathlib
import shutil
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent))
from lab import GOOD, RobustCase, environment, main

SHIM = os.path.abspath(sys.argv.pop())
FIRST = 100  # by then main has begun: what the libraries allocate before it is not ours
MOST = 1_000_000  # no call here allocates so often
CALLS = {**{verb: (words, (0, 1)) for verb, words in GOOD.items()}, "a page": (["report", "b.book", "-o", "out"], (0,)), "rows": (["log", "b.book", "--lines", "rows.csv"], (0,)),
         "trace": (GOOD["trace"], (0, 1, 3)),  # a file that can't be opened for want of memory says so
         "a refusal": (["plan", "b.book"], (3,)), "a refusal as JSON": (["check", "s.yaml", "--json"], (3,)), "no verb": (["plna"], (2,))}


class OutOfMemory(RobustCase):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        # Beside the program: who runs it may not be allowed into the folder of the build.
        cls.shim = shutil.copy(SHIM, cls.root)
        os.chmod(cls.shim, 0o755)

    def failing(self, words, at, on):
        env = {**environment(), "LD_PRELOAD": self.shim, "FAIL_AT": str(at), **({"FAIL_ON": "1"} if on else {})}
        return self.clampbook(*words, env=env)

    def test_each_allocation_may_fail(self):
        for name, (words, usual) in CALLS.items():
            at, met, quiet = FIRST, 0, 0
            while quiet < 3:  # beyond its last allocation a run ends as usual
                self.assertLess(at, MOST, name)
                with self.subTest(call=name, at=at):
                    on = at % 2 == 0
                    run = self.failing(words, at, on)
                    self.assertIn(run.status, (4, *usual), run)
                    if on:
                        quiet = quiet + 1 if run.status != 4 else 0
                    met += run.status == 4
                    if run.status == 4:
                        self.assertIn(b"out-of-memory", run.err, run)
                at += 1 if self.long else max(1, at // 12) | 1
            self.assertGreater(met, 2, name)

    def judge_output(self, run):
        if run.status == 4:
            err = self.as_text(run, run.err)
            self.judge_errors(run, err)
            return
        super().judge_output(run)


main()
