#!/usr/bin/env python3
"""Mutation testing: small faults are put into a copy of the sources, one at a time, and the tests
must notice. A fault that no test notices has survived, and is printed.

    tests/mutate.py [--rooms fit,evaluate] [--sample 200] [--seed 1] [--build build-mutate]

Exits 1 when less than 90 % of the faults that compile are noticed. A fault that makes a test run
ten times longer than usual counts as noticed."""

import argparse
import pathlib
import random
import re
import shutil
import subprocess
import sys
import time

TOP = pathlib.Path(__file__).resolve().parent.parent
# What stands between blanks is an operator: the sources are formatted.
SWAPS = [
    (r" \+ ", " - "), (r" - ", " + "), (r" \* ", " / "), (r" / ", " * "),
    (r" < ", " <= "), (r" <= ", " < "), (r" > ", " >= "), (r" >= ", " > "),
    (r" < ", " > "), (r" > ", " < "), (r" == ", " != "), (r" != ", " == "),
    (r" && ", " || "), (r" \|\| ", " && "), (r" \+= ", " -= "), (r" -= ", " += "), (r" \*= ", " /= "),
    (r"std::max\b", "std::min"), (r"std::min\b", "std::max"), (r"(?<=[( ])!(?=\w)", ""),
    (r"\bsin\(", "cos("), (r"\bcos\(", "sin("), (r"\btrue\b", "false"), (r"\bfalse\b", "true"),
    (r"(?<=return )(?=[\w(])", "-"), (r"(?<![\w.\"])(\d+)(?![\w.\"])", None),
    (r"(?<![\w.\"])(\d+\.\d+)(?![\w.\"])", None),
]


def code_lines(text):
    """(number, line) of what is neither comment, include, string nor declaration of a template."""
    for number, line in enumerate(text.split("\n")):
        bare = line.split("//")[0]
        if not bare.strip() or bare.lstrip().startswith(("#", "template", "namespace", "*", "using")):
            continue
        if '"' in bare or "static_assert" in bare or "reserve(" in bare:
            continue
        yield number, bare


def mutants(path):
    text = path.read_text()
    lines = text.split("\n")
    for number, bare in code_lines(text):
        for pattern, new in SWAPS:
            for match in re.finditer(pattern, bare):
                if "<" in match.group() + (new or "") and re.search(r"\w<.*>", bare):
                    continue  # brackets of a template
                put = new if new is not None else str(type_of(match.group())(match.group()) + 1)
                changed = bare[: match.start()] + put + bare[match.end():]
                yield path, number, lines[number], changed


def type_of(number):
    return float if "." in number else int


def run(words, timeout=None):
    try:
        done = subprocess.run(words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, timeout=timeout)
        return done.returncode, done.stdout.decode(errors="replace")
    except subprocess.TimeoutExpired:
        return -1, "timeout"


def build(tree, targets, jobs):
    return run(["ninja", "-C", str(tree), f"-j{jobs}", *targets], timeout=1200)[0] == 0


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--rooms", default="fit,evaluate")
    parser.add_argument("--sample", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--build", default=str(TOP / "build-mutate"))
    given = parser.parse_args()
    rooms = given.rooms.split(",")
    source, tree = pathlib.Path(given.build) / "source", pathlib.Path(given.build) / "tree"
    shutil.rmtree(source, ignore_errors=True)
    shutil.copytree(TOP, source, ignore=shutil.ignore_patterns("build*", ".git", "demo_scans/*.ply"))
    launcher = [f"-DCMAKE_{kind}_COMPILER_LAUNCHER=ccache" for kind in ("C", "CXX")]
    code, said = run(["cmake", "-S", str(source), "-B", str(tree), "-G", "Ninja", *launcher])
    if code != 0:
        sys.exit(said)
    targets = [f"test_{room}" for room in rooms]
    if not build(tree, targets, given.jobs):
        sys.exit("the sources do not build as they are")
    tests = [str(tree / "tests" / room / f"test_{room}") for room in rooms]
    usual = {}
    for test in tests:
        start = time.monotonic()
        if run([test, "--gtest_brief=1"])[0] != 0:
            sys.exit(f"{test} fails as it is")
        usual[test] = time.monotonic() - start

    every = [m for room in rooms for path in sorted((source / "src" / room).glob("*.cpp"))
             for m in mutants(path)]
    random.Random(given.seed).shuffle(every)
    noticed = survived = stillborn = 0
    for path, number, before, after in every:
        if noticed + survived >= given.sample:
            break
        whole = path.read_text()
        lines = whole.split("\n")
        lines[number] = after
        path.write_text("\n".join(lines))
        if not build(tree, targets, given.jobs):
            stillborn += 1
        elif any(run([t, "--gtest_brief=1", "--gtest_fail_fast"], 10 * usual[t] + 10)[0] for t in tests):
            noticed += 1
        else:
            survived += 1
            print(f"survived {path.relative_to(source)}:{number + 1}\n  - {before.strip()}"
                  f"\n  + {after.strip()}", flush=True)
        path.write_text(whole)
    share = noticed / max(1, noticed + survived)
    print(f"{noticed} of {noticed + survived} faults noticed ({100 * share:.1f} %), drawn from "
          f"{len(every)} with seed {given.seed}; {stillborn} more did not compile")
    sys.exit(share < 0.9)


if __name__ == "__main__":
    main()
