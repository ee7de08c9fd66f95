#!/usr/bin/env python3
"""Mutation testing: small faults are put into a copy of the sources, one at a time, and the tests
must notice. A fault that no test notices has survived, and is printed.

    tests/mutate.py [--rooms fit,evaluate] [--sample 350] [--seed 1] [--build build-mutate]
    tests/mutate.py --again FILE    only the survivors in FILE, what an earlier run printed

Exits 1 when less than 90 % of the faults that compile and could be noticed are. Those that could
not are in mutants.argued with their reasons, and are neither printed nor counted. Prints the interval
(95 %, Clopper and Pearson) of the share among all the faults that could have been drawn. A fault that
makes a test take ten times its usual time of the processor counts as noticed."""

import argparse
import math
import pathlib
import random
import re
import resource
import shutil
import subprocess
import sys
import threading

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
TRUTH = re.compile(r"\b(true|false|nullopt)\b| (==|!=|<|>|<=|>=|&&|\|\|) |^!")
# What is asked about a fault, one after the other: its own room, then who uses it and is quick.
ASKED = {
    "fit": ["fit", "external_fit", "evaluate"],
    "evaluate": ["evaluate", "external_judge", "judge"],
}


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
                if new == "-" and TRUTH.search(bare[match.end():]):
                    continue  # −x is as true as x
                put = new if new is not None else str(type_of(match.group())(match.group()) + 1)
                changed = bare[: match.start()] + put + bare[match.end():]
                yield path.relative_to(TOP), number, lines[number], changed


def type_of(number):
    return float if "." in number else int


def run(words, seconds="unlimited"):
    """Exit code and output; killed after so many seconds of the processor, whoever shares it."""
    done = subprocess.run(["sh", "-c", f'ulimit -t {seconds}; exec "$@"', "sh", *words],
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                          start_new_session=True)  # a stop from the keyboard is for us alone
    return done.returncode, done.stdout.decode(errors="replace")


def processor_seconds():
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def interval(noticed, tried):
    """Clopper and Pearson's interval: the shares at which so few, or so many, have 2.5 % each."""
    def at_most(k, share):
        return sum(math.comb(tried, i) * share**i * (1 - share)**(tried - i) for i in range(k + 1))

    def root(k, level):
        low, high = 0.0, 1.0
        for _ in range(50):
            middle = (low + high) / 2
            low, high = (middle, high) if at_most(k, middle) > level else (low, middle)
        return low
    return (root(noticed - 1, 0.975) if noticed else 0.0), (root(noticed, 0.025) if noticed < tried else 1.0)


def earlier_survivors(text):
    for name, number, before, after in re.findall(r"survived (\S+):(\d+)\n  - (.*)\n  \+ (.*)", text):
        yield pathlib.Path(name), int(number) - 1, before, after


def argued_faults():
    text = (TOP / "tests" / "mutants.argued").read_text()
    return set(re.findall(r"^(src/\S+)\n  - (.*)\n  \+ (.*)\n  \S", text, re.MULTILINE))


def copy_changed(original, copy):
    """Makes `copy` the same as `original`, and leaves alone what is the same already: what was built
    of a fault that has been taken out since is older than the mended file, and must stay so."""
    wanted = set()
    for path in original.rglob("*"):
        inside = path.relative_to(original)
        if inside.parts[0].startswith("build") or inside.parts[0] == ".git" or path.suffix == ".ply":
            continue
        wanted.add(inside)
        if path.is_dir():
            (copy / inside).mkdir(parents=True, exist_ok=True)
        elif not (copy / inside).exists() or (copy / inside).read_bytes() != path.read_bytes():
            shutil.copy(path, copy / inside)
    for path in sorted(copy.rglob("*"), reverse=True):
        if path.relative_to(copy) not in wanted:
            path.rmdir() if path.is_dir() else path.unlink()


class Tree:
    """A copy that is broken and mended: as fast to build as may be, without ccache, which would
    only be filled with what is never built again."""

    def __init__(self, folder, rooms, original):
        self.source, self.tree = folder / "source", folder / "tree"
        copy_changed(original, self.source)
        plain = ["-DCMAKE_BUILD_TYPE=Mutant", "-DCMAKE_CXX_FLAGS_MUTANT=-O1 -g0", "-DRIGPROOF_PCH=ON",
                 "-DCMAKE_CXX_COMPILER_LAUNCHER=", "-DCMAKE_C_COMPILER_LAUNCHER="]
        code, said = run(["cmake", "-S", str(self.source), "-B", str(self.tree), "-G", "Ninja", *plain])
        tests = sorted({test for room in rooms for test in ASKED[room]})
        if code != 0 or not self.builds(tests):
            sys.exit(said + "\nthe sources do not build as they are")
        self.argued = argued_faults()
        self.usual = {}
        for test in tests:
            start = processor_seconds()
            if run(self.command(test))[0] != 0:
                sys.exit(f"test_{test} fails as it is")
            self.usual[test] = processor_seconds() - start

    def command(self, test):
        folder = "external" if test.startswith("external") else test
        return [str(self.tree / "tests" / folder / f"test_{test}"), "--gtest_brief=1",
                "--gtest_fail_fast"]

    def builds(self, tests):
        return run(["ninja", "-C", str(self.tree), "-j2", *[f"test_{test}" for test in tests]])[0] == 0

    def tries(self, fault):
        """noticed, survived, argued or stillborn."""
        path, number, before, after = fault
        argued = (str(path), before.strip(), after.strip()) in self.argued
        path = self.source / path
        whole = path.read_text()
        lines = whole.split("\n")
        same = [k for k, line in enumerate(lines) if line.strip() == before.strip()]
        if not same:
            return "stale"  # of an earlier run; the line has changed since
        number = min(same, key=lambda k: abs(k - number))
        lines[number] = after
        path.write_text("\n".join(lines))
        try:
            for test in ASKED[path.parent.name]:
                if not self.builds([test]):
                    return "stillborn"
                if run(self.command(test), int(10 * self.usual[test] + 5))[0] != 0:
                    return "noticed"
            return "argued" if argued else "survived"
        finally:
            path.write_text(whole)


def try_all(trees, faults, sample):
    """How each of the first faults ended, until `sample` of them compiled. Which are tried does not
    depend on how many are tried side by side: none is begun that may be too many. A stop from the
    keyboard ends it after the faults at hand."""
    stopped = threading.Event()
    ends, condition, ahead = {}, threading.Condition(), iter(range(len(faults)))

    def work(tree):
        while True:
            with condition:
                condition.wait_for(lambda: spare() > 0 or all(ends.values()))
                number = next(ahead, None) if spare() > 0 else None
                if number is None:
                    return
                ends[number] = ""
            end = tree.tries(faults[number])
            with condition:
                ends[number] = end
                if end in ("survived", "stale"):
                    path, line, before, after = faults[number]
                    print(f"{end} {path}:{line + 1}\n  - {before.strip()}\n  + {after.strip()}", flush=True)
                print(f"{len(ends)} tried", end="\r", file=sys.stderr, flush=True)
                condition.notify_all()

    def spare():
        if stopped.is_set():
            return 0
        return sample - sum(end != "stillborn" for end in ends.values())

    workers = [threading.Thread(target=work, args=(tree,)) for tree in trees]
    for worker in workers:
        worker.start()
    try:
        for worker in workers:
            worker.join()
    except KeyboardInterrupt:
        stopped.set()
        for worker in workers:
            worker.join()
    return list(ends.values())


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--rooms", default="fit,evaluate")
    parser.add_argument("--sample", type=int, default=350)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--side-by-side", type=int, default=2)
    parser.add_argument("--build", default=str(TOP / "build-mutate"))
    parser.add_argument("--again")
    given = parser.parse_args()
    rooms = given.rooms.split(",")
    if given.again:
        every = list(earlier_survivors(pathlib.Path(given.again).read_text()))
    else:
        every = [m for room in rooms for path in sorted((TOP / "src" / room).glob("*.cpp"))
                 for m in mutants(path)]
        random.Random(given.seed).shuffle(every)
    trees = []
    for k in range(given.side_by_side):  # the second is a copy of the first: nobody edits that
        trees.append(Tree(pathlib.Path(given.build) / str(k), rooms, trees[0].source if trees else TOP))
    ends = try_all(trees, every, given.sample)
    noticed, argued = ends.count("noticed"), ends.count("argued")
    tried = len(ends) - ends.count("stillborn") - argued
    low, high = interval(noticed, tried)
    print(f"{noticed} of {tried} faults noticed ({100 * noticed / max(1, tried):.1f} %, interval "
          f"{100 * low:.1f} to {100 * high:.1f} %), drawn from {len(every)} with seed {given.seed}; "
          f"{argued} more cannot be noticed, {ends.count('stillborn')} did not compile")
    sys.exit(noticed < 0.9 * tried)


if __name__ == "__main__":
    main()
