"""Installs the build into an empty folder, builds the examples against it as a stranger would, and runs them.

usage: install.py CMAKE BUILD_DIR SOURCE_DIR [--package]    --package also makes the Debian packages and looks into them
"""
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

CMAKE, BUILD, SOURCE = sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3])


def run(*words, **more):
    done = subprocess.run([str(w) for w in words], capture_output=True, text=True, timeout=1200, check=False, **more)
    if done.returncode != 0:
        sys.exit(f"{' '.join(map(str, words))} ended with {done.returncode}\n{done.stdout}\n{done.stderr}")
    return done.stdout


def want(condition, what):
    if not condition:
        sys.exit(what)


def library(folder):
    prefix = folder / "prefix"
    run(CMAKE, "--install", BUILD, "--prefix", prefix)
    program = prefix / "bin" / "clampbook"
    want(run(program, "--version").startswith("clampbook "), "the installed program does not say its version")
    docs = prefix / "share" / "doc" / "clampbook"
    for name in ("README.md", "docs/README.md", "docs/tutorial.md", "docs/pictures/sheet.png", "schedules/split-crankcase.yaml",
                 "docs/examples/read_a_book.cpp"):
        want((docs / name).is_file(), f"{name} is not installed")
    for name in ("man/man1/clampbook.1", "man/man1/clampbook-plan.1", "bash-completion/completions/clampbook", "zsh/site-functions/_clampbook",
                 "fish/vendor_completions.d/clampbook.fish"):
        want((prefix / "share" / name).stat().st_size > 500, f"{name} is not installed")
    shown = run("mandoc", "-T", "utf8", prefix / "share/man/man1/clampbook-plan.1")
    want("print a schedule as an ordered checklist" in shown, "the page of plan can not be shown")
    # No header of ours needs one that is not installed, and the examples need nothing but the package.
    examples = folder / "examples"
    shutil.copytree(docs / "docs" / "examples", examples)
    run(CMAKE, "-S", examples, "-B", folder / "build", "-G", "Ninja", f"-DCMAKE_PREFIX_PATH={prefix}", "-DCMAKE_BUILD_TYPE=Release")
    run(CMAKE, "--build", folder / "build")
    built = folder / "build"
    want("19.6 kN" in run(built / "compute_a_preload") or "kN if friction is 0.12" in run(built / "compute_a_preload"), "no preload")
    steps = run(built / "plan_a_schedule", docs / "schedules" / "split-crankcase.yaml").splitlines()
    want(len(steps) == 58, f"{len(steps)} lines: title, notice, three cautions and 53 steps are wanted")
    run(program, "begin", folder / "b.book", docs / "schedules" / "split-crankcase.yaml")
    want("0 of 53 steps" in run(built / "read_a_book", folder / "b.book"), "the book was not read")
    # pkg-config finds the same.
    pc = next(prefix.rglob("clampbook.pc")).parent
    env = os.environ | {"PKG_CONFIG_PATH": str(pc)}
    flags = run("pkg-config", "--cflags", "--libs", "clampbook", env=env).split()
    run("g++", examples / "compute_a_preload.cpp", "-o", folder / "by_pkg_config", *flags)
    want("kN" in run(folder / "by_pkg_config"), "the example by pkg-config says nothing")


def packages(folder):
    run("cpack", "--config", BUILD / "CPackConfig.cmake", "-B", folder / "packages")
    made = sorted((folder / "packages").glob("*.deb"))
    want([p.name.split("_")[0] for p in made] == ["clampbook", "libclampbook-dev"], f"packages: {[p.name for p in made]}")
    root = folder / "root"
    for name in ("var/lib/dpkg/updates", "var/lib/dpkg/info", "var/log"):
        (root / name).mkdir(parents=True)
    (root / "var/lib/dpkg/status").write_text("", encoding="utf-8")
    dpkg = ("dpkg", f"--root={root}", "--force-not-root", "--force-depends", "--force-script-chrootless", "--log=/dev/null")
    run(*dpkg, "-i", made[0])
    want("clampbook 0." in run(root / "usr/bin/clampbook", "--version"), "the program of the package does not run")
    run(*dpkg, "-r", "clampbook")
    # The licences of what is inside stand where Debian looks for them.
    for deb, name in zip(made, ("clampbook", "libclampbook-dev")):
        run("dpkg-deb", "-x", deb, folder / name)
        text = (folder / name / "usr/share/doc" / name / "copyright").read_text(encoding="utf-8")
        want(text.startswith("Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/\n"), f"the copyright of {name}")
        for licence in ("Expat", "BSL-1.0", "BSD-3-clause", "BSD-3-clause-Aaron-D-Gifford", "MPL-2.0"):
            want(re.search(rf"^Files: .*\n(?:.+\n)*?License: {licence}$", text, re.M) and re.search(rf"^License: {licence}\n ", text, re.M),
                 f"{licence} in the copyright of {name}")
    left = [p for p in root.rglob("*") if p.is_file() and "dpkg" not in str(p)]
    want(not left, f"left behind: {left}")


def main():
    with tempfile.TemporaryDirectory(prefix="clampbook-install-") as name:
        folder = pathlib.Path(name)
        library(folder)
        if "--package" in sys.argv:
            packages(folder)


main()
