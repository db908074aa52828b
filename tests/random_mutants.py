"""Change one operator, comparison, constant or order of arguments at random, and see that a related test fails.

Called by `python tests/mutations.py --random N --seed S`. Related tests are those of the same name, then those that
import the module, then `BY_PACKAGE`, then those of the modules that import it: the nearest first, and among them those
that name what the changed line is in. None takes more than `TEST_S` of processor time, all together take `MUTANT_S` at
most. So a survivor may still fall in the whole suite.
"""

from __future__ import annotations

import ast
import importlib
import json
import os
import random
import re
import signal
import sys
import time
import traceback
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("physics", "network", "solver", "analysis", "climate")
TEST_S, MUTANT_S = 5.0, 20.0  # longest test that is used, and all of a mutant's tests together
LEVELS = 3  # importers, their importers and so on
PYTEST = (
    "-q",
    "-x",
    "-n",
    "0",
    "--no-cov",
    "-p",
    "no:cacheprovider",
    "-p",
    "tests.time_limits",
    "-W",
    "ignore::pytest.PytestAssertRewriteWarning",
)  # plugins are loaded already
LIBRARIES = ("numpy", "pandas", "matplotlib.pyplot", "scipy.integrate", "pydantic", "pint", "typer", "rich.console",
             "jinja2", "hypothesis", "jsonschema", "pvlib", "meteostat", "psychrolib")  # fmt: skip
HANG_S = 600.0  # a mutant whose tests have not ended by then hangs
DOCTESTS = "tests/physics/test_doctests.py"
BY_PACKAGE = {
    "physics": ("tests/published/test_closed_forms.py",),
    "network": ("tests/published/test_closed_forms.py", "tests/laws/test_laws.py", "tests/laws/test_ready_plans.py"),
    "solver": ("tests/published/test_closed_forms.py", "tests/laws/test_laws.py", "tests/published/test_reference.py"),
    "analysis": ("tests/analysis/test_assessment.py", "tests/analysis/test_comparison.py"),
    "climate": ("tests/climate/test_bundled.py", "tests/climate/test_season_basis.py"),
}
SWAPS = {
    ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*", ast.Pow: "*", ast.FloorDiv: "*", ast.Mod: "*",
    ast.BitAnd: "|", ast.BitOr: "&", ast.Lt: ">", ast.Gt: "<", ast.LtE: "<", ast.GtE: ">", ast.Eq: "!=",
    ast.NotEq: "==", ast.And: "or", ast.Or: "and", ast.Is: "is not", ast.IsNot: "is", ast.In: "not in",
    ast.NotIn: "in",
}  # fmt: skip
TOKENS = {
    ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/", ast.Pow: "**", ast.FloorDiv: "//", ast.Mod: "%",
    ast.BitAnd: "&", ast.BitOr: "|", ast.Lt: "<", ast.Gt: ">", ast.LtE: "<=", ast.GtE: ">=", ast.Eq: "==",
    ast.NotEq: "!=", ast.And: "and", ast.Or: "or", ast.Is: "is", ast.IsNot: "is not", ast.In: "in",
    ast.NotIn: "not in",
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One changed place: bytes `start` to `end` of a file become `new`."""

    file: str
    line: int
    start: int
    end: int
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}  {self.old} -> {self.new}"


def mutants_of(file: Path) -> list[Mutant]:
    """Every change that one module allows; texts, annotations and what only refuses input are left alone."""
    raw = file.read_bytes()
    starts = [0]
    for line in raw.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    name = str(file.relative_to(ROOT))

    def at(line: int, column: int) -> int:
        return starts[line - 1] + column

    found = []
    for node in _mutable(ast.parse(raw)):
        for first, last, new in _changes(node, raw, at):
            line = raw.count(b"\n", 0, first) + 1
            found.append(Mutant(name, line, first, last, raw[first:last].decode(), new))
    return found


def _mutable(node: ast.AST) -> Iterator[ast.AST]:
    """The nodes below one whose change could change an answer."""
    yield node
    for field, value in ast.iter_fields(node):
        if field in ("annotation", "returns", "decorator_list"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not isinstance(child, ast.JoinedStr | ast.Raise | ast.Assert):
                yield from _mutable(child)


def _changes(node: ast.AST, raw: bytes, at) -> Iterator[tuple[int, int, str]]:
    """Start, end and new text of every change of one node."""
    if isinstance(node, ast.BinOp | ast.Compare | ast.BoolOp):
        yield from _operators(node, raw, at)
    elif isinstance(node, ast.Constant):
        first, last = at(node.lineno, node.col_offset), at(node.end_lineno, node.end_col_offset)
        value = node.value
        if isinstance(value, bool):
            yield first, last, str(not value)
        elif isinstance(value, float):
            yield first, last, f"{value * 1.3 + (value == 0):.9g}" if value * 1.3 != float("inf") else "1.0"
        elif isinstance(value, int):
            yield first, last, str(value + 1)
    elif isinstance(node, ast.Call) and len(node.args) > 1:
        one, two = node.args[:2]
        if not any(isinstance(arg, ast.Starred) for arg in (one, two)) and ast.dump(one) != ast.dump(two):
            a, b = ((at(arg.lineno, arg.col_offset), at(arg.end_lineno, arg.end_col_offset)) for arg in (one, two))
            yield a[0], b[1], (raw[b[0] : b[1]] + raw[a[1] : b[0]] + raw[a[0] : a[1]]).decode()


def _operators(node: ast.BinOp | ast.Compare | ast.BoolOp, raw: bytes, at) -> Iterator[tuple[int, int, str]]:
    """The operators of an expression, each turned into another; a text's are none."""
    if isinstance(node, ast.BinOp):
        operands, operators = [node.left, node.right], [node.op]
    elif isinstance(node, ast.Compare):
        operands, operators = [node.left, *node.comparators], node.ops
    else:
        operands, operators = node.values, [node.op] * (len(node.values) - 1)
    if any(isinstance(one, ast.JoinedStr) or isinstance(getattr(one, "value", None), str) for one in operands):
        return
    for left, right, operator in zip(operands, operands[1:], operators, strict=False):
        if type(operator) not in SWAPS:
            continue
        between = at(left.end_lineno, left.end_col_offset), at(right.lineno, right.col_offset)
        token = TOKENS[type(operator)].encode()
        place = re.search(rb"(?<![*<>=!])" + re.escape(token) + rb"(?![*=])", raw[between[0] : between[1]])
        if place:
            yield between[0] + place.start(), between[0] + place.end(), SWAPS[type(operator)]


def chosen(count: int, seed: int, packages: tuple[str, ...] = PACKAGES) -> list[Mutant]:
    """So many changes at random, at most one a line; the same for the same seed and code."""
    files = sorted(path for package in packages for path in (ROOT / "thermal" / package).rglob("*.py"))
    every = [mutant for file in files for mutant in mutants_of(file)]
    random.Random(seed).shuffle(every)
    lines = {(mutant.file, mutant.line): mutant for mutant in reversed(every)}
    return [mutant for mutant in every if lines[mutant.file, mutant.line] is mutant][:count]


@cache
def _texts(folder: str) -> dict[str, str]:
    return {str(path.relative_to(ROOT)): path.read_text("utf-8") for path in (ROOT / folder).rglob("*.py")}


def _importers(file: str, folder: str) -> list[str]:
    """Files below a folder that import a module of the package."""
    *package, module = Path(file).with_suffix("").parts
    parent = re.escape(".".join(package))
    pattern = re.compile(rf"{parent}\.{module}\b|from {parent} import [^\n]*\b{module}\b")
    return sorted(path for path, text in _texts(folder).items() if path != file and pattern.search(text))


def _names_around(mutant: Mutant) -> set[str]:
    """The function or class that a mutant is in, and those of its module that use it, directly or not."""
    tree = ast.parse((ROOT / mutant.file).read_bytes())
    places = [node for node in tree.body if isinstance(node, ast.FunctionDef | ast.ClassDef)]
    inner = [node for one in places for node in ast.walk(one) if isinstance(node, ast.FunctionDef | ast.ClassDef)]
    around = {node.name for node in inner if node.lineno <= mutant.line <= (node.end_lineno or 0)}
    around |= {
        target.id
        for node in tree.body
        if isinstance(node, ast.Assign | ast.AnnAssign) and node.lineno <= mutant.line <= (node.end_lineno or 0)
        for target in ast.walk(node)
        if isinstance(target, ast.Name) and isinstance(target.ctx, ast.Store)
    }
    while True:
        users = {
            node.name
            for node in places
            if any(getattr(one, "id", getattr(one, "attr", None)) in around for one in ast.walk(node))
        }
        if users <= around:
            return around
        around |= users


def related_tests(mutant: Mutant) -> list[str]:
    """Test files that may notice a change: of the module's name, of what imports it, then of its package."""
    file = mutant.file
    package, users, seen = Path(file).parts[1], [file], {file}
    named = re.compile(rf"\b({'|'.join(sorted(_names_around(mutant))) or '-'})\b")
    every = [DOCTESTS] if ">>> " in (ROOT / file).read_text("utf-8") else []
    for _ in range(LEVELS):
        near = [f"tests/{Path(user).parent.name}/test_{Path(user).stem}.py" for user in users]
        near += [test for user in users for test in _importers(user, "tests")]
        every += sorted(
            (test for test in dict.fromkeys(near) if (ROOT / test).exists()),
            key=lambda test: (not named.search((ROOT / test).read_text("utf-8")), Path(test).parts[1] != package),
        )
        every += BY_PACKAGE[package]
        users = [path for user in users for path in _importers(user, "thermal") if path not in seen]
        seen.update(users)
    return [test for test in dict.fromkeys(every) if Path(test).name.startswith("test_") and (ROOT / test).exists()]


class Bench:
    """A copy of the tree in which mutants are tried, one at a time."""

    def __init__(self, folder: Path, known: Path | None = None) -> None:
        self.folder, self.known = folder, known
        kept = json.loads(known.read_text("utf-8")) if known and known.exists() else {}
        self.slow: set[str] = set(kept.get("slow", ()))  # tests that take long, or fail, in the unchanged tree
        self.sound: set[str] = set(kept.get("sound", ()))  # tests that pass there in time
        for name in LIBRARIES:  # once; each mutant's tests run in a fork
            importlib.import_module(name)
        if (failed := self._ran(["tests/core/test_aligned.py"])[0]) is not None:
            raise SystemExit(f"the tests do not run in the unchanged tree: {failed}")

    def killer_of(self, mutant: Mutant) -> str | None:
        """The first test that fails with a mutant, None when none does."""
        tests = related_tests(mutant)
        while True:
            failed, over = self._with(mutant, tests)
            unknown = [name for name in [*over, failed] if name and name not in self.sound | self.slow]
            for name in unknown:
                (self.sound if self._passes(name) else self.slow).add(name)
                self._keep_known()
            hung = next((name for name in over if name in self.sound and self._hangs(mutant, name)), None)
            if failed not in self.slow:
                return failed or (f"no end: {hung}" if hung else None)

    def _keep_known(self) -> None:
        if self.known:
            kept = json.loads(self.known.read_text("utf-8")) if self.known.exists() else {}
            self.slow.update(kept.get("slow", ()))  # another part of the mutants may run beside
            self.sound.update(kept.get("sound", ()))
            self.known.write_text(json.dumps({"slow": sorted(self.slow), "sound": sorted(self.sound)}), "utf-8")

    def _with(self, mutant: Mutant, tests: list[str], longer: float = 1.0) -> tuple[str | None, list[str]]:
        """The test that fails with a mutant, and those that were broken off before."""
        place = self.folder / mutant.file
        whole = place.read_bytes()
        place.write_bytes(whole[: mutant.start] + mutant.new.encode() + whole[mutant.end :])
        self._forget(place)
        try:
            return self._ran(tests, longer)
        finally:
            place.write_bytes(whole)
            self._forget(place)

    def _hangs(self, mutant: Mutant, test: str) -> bool:
        """Whether a test that ends in time in the unchanged tree takes many times that with a mutant."""
        return self._with(mutant, [test], 8.0) != (None, [])

    def _passes(self, test: str) -> bool:
        """Whether a test passes, in time, in the unchanged tree; what cannot even be collected is no test."""
        return "::" not in test or self._ran([test]) == (None, [])

    def _ran(self, tests: list[str], longer: float = 1.0) -> tuple[str | None, list[str]]:
        over = self.folder / "over-time.txt"
        over.write_text("", "utf-8")
        skipped = [f"--deselect={name}" for name in sorted(self.slow)]
        listed = self.folder / "tests.txt"  # a command's length is bounded
        listed.write_text("\n".join([*skipped, *tests]), "utf-8")
        limits = {"OVER_TIME": str(over), "TEST_SECONDS": str(longer * TEST_S), "RUN_SECONDS": str(longer * MUTANT_S)}
        code, output = self._forked([*PYTEST, f"@{listed}"], limits)
        if code is None:
            return "no end", []
        found = re.search(r"^(?:FAILED|ERROR) (\S.*?)(?: - |$)", output, re.MULTILINE)
        failed = None if code in (0, 5) else found[1] if found else f"pytest ended: {output[-200:]!r}"
        return failed, over.read_text("utf-8").split("\n")[:-1]

    def _forked(self, arguments: list[str], environment: dict[str, str]) -> tuple[int | None, str]:
        """Exit code and output of pytest in a fork of this process, which has the libraries loaded; None: no end."""
        shown = self.folder / "shown.txt"
        child = os.fork()
        if child == 0:
            code = 3
            try:
                os.setsid()
                os.chdir(self.folder)
                with shown.open("wb") as file:
                    for stream in (1, 2):
                        os.dup2(file.fileno(), stream)
                os.environ.update(environment, PYTHONPATH=str(self.folder))
                for name in [name for name in sys.modules if name.split(".")[0] in ("thermal", "tests")]:
                    del sys.modules[name]
                sys.path.insert(0, str(self.folder))
                code = int(pytest.main(arguments))
            except BaseException:
                traceback.print_exc()
            finally:
                sys.stdout.flush()
                sys.stderr.flush()
                os._exit(code)
        end = time.monotonic() + HANG_S
        while (ended := os.waitpid(child, os.WNOHANG)) == (0, 0) and time.monotonic() < end:
            time.sleep(0.05)
        if ended == (0, 0):
            os.killpg(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return None, ""
        return os.waitstatus_to_exitcode(ended[1]), shown.read_text("utf-8", "replace")

    @staticmethod
    def _forget(place: Path) -> None:
        for compiled in (place.parent / "__pycache__").glob(f"{place.stem}.*.pyc"):
            compiled.unlink()


def try_mutants(mutants: dict[int, Mutant], bench: Bench) -> list[Mutant]:
    """The survivors of mutants by their number in the draw; every result is printed as it comes."""
    survivors = []
    for number, mutant in mutants.items():
        begun = time.monotonic()
        killer = bench.killer_of(mutant)
        print(f"{number:3d} {time.monotonic() - begun:4.0f} s  {mutant}  ==> {killer or 'SURVIVED'}", flush=True)
        survivors += [] if killer else [mutant]
    print(f"{len(mutants) - len(survivors)} of {len(mutants)} noticed", flush=True)
    return survivors
