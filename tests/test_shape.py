"""The shape of the package: imports point down between folders and inside them; modules and functions stay small."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parent.parent / "thermal"
LEVELS = (
    {"errors"},
    {"core"},
    {"physics"},
    {"data"},
    {"plan", "climate"},
    {"network"},
    {"solver"},
    {"analysis"},
    {"report"},
    {"api"},
    {"cli"},
    {"thermal", "__main__"},
)
LEVEL = {folder: level for level, folders in enumerate(LEVELS) for folder in folders}
LONGEST_IN_FOLDER, LONGEST_IN_PACKAGE = 4, 16  # modules in a chain of imports at module level
FILES = sorted(PACKAGE.rglob("*.py"))
NOT_FOLDERS = {"errors", "api", "thermal", "__main__"}
TOP_LEVEL = {"__init__.py", "__main__.py", "errors.py", "api.py"}
HOMES = {  # each law of the model, and where a newcomer looks for it
    "evaporation": "physics/evaporation.py",
    "natural convection at a wall": "physics/natural_convection.py",
    "longwave radiation": "physics/radiation.py",
    "U-values and studs": "physics/wall_resistance.py",
    "ground": "physics/ground.py",
    "infiltration and door openings": "physics/infiltration.py",
    "moist air": "physics/moist_air.py",
    "water surface and lids": "physics/water_surface.py",
    "vapour balance of the room": "physics/humidity_balance.py",
    "condensation and mould": "physics/condensation.py",
    "freezing": "physics/freezing.py",
    "theta method": "solver/theta_method.py",
    "fabric split": "physics/fabric_split.py",
    "attic factor": "physics/attic.py",
    "flood and drain": "physics/flood_drain.py",
    "bed heat capacity": "physics/bed_heat_capacity.py",
    "hut skin": "physics/wall_resistance.py",
    "heat pump": "physics/heat_pump.py",
    "lumped cooling": "physics/lumped_cooling.py",
    "Latin hypercube": "core/latin_hypercube.py",
    "Levenberg-Marquardt": "core/levenberg_marquardt.py",
    "80 % of a circuit": "analysis/circuit.py",
    "lapse rate and coldest night": "climate/adjustments.py",
    "tariff": "plan/tariff.py",
    "one step, plainly": "solver/reference.py",
}


def module_of(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {module_of(path): path for path in FILES}


def folder_of(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else parts[0]


def statements(body: list[ast.stmt]) -> Iterator[ast.stmt]:
    """Statements that run when the module is read, those under `if` and `try` too, but not imports for types only."""
    for statement in body:
        yield statement
        if isinstance(statement, ast.Try) or (isinstance(statement, ast.If) and not for_types(statement)):
            yield from statements(statement.body)


def for_types(statement: ast.If) -> bool:
    return isinstance(statement.test, ast.Name) and statement.test.id == "TYPE_CHECKING"


def imported(module: str, *, inside_functions: bool) -> set[str]:
    """Modules of the package that a module imports."""
    tree = ast.parse(MODULES[module].read_text("utf-8"))
    targets = set()
    for node in ast.walk(tree) if inside_functions else statements(tree.body):
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "thermal":
            names = [f"{node.module}.{alias.name}" for alias in node.names]
            targets |= {name if name in MODULES else str(node.module) for name in names}
        elif isinstance(node, ast.Import):
            targets |= {alias.name for alias in node.names if alias.name in MODULES}
    return targets - {module}


AT_MODULE_LEVEL = {module: imported(module, inside_functions=False) for module in MODULES}


def longest_chain(follows: Callable[[str, str], bool]) -> list[str]:
    """The longest chain of imports at module level; fails on a cycle."""
    known: dict[str, list[str]] = {}

    def chain(module: str, above: tuple[str, ...]) -> list[str]:
        assert module not in above, f"cycle: {' -> '.join((*above, module))}"
        if module not in known:
            below = [chain(m, (*above, module)) for m in AT_MODULE_LEVEL[module] if follows(module, m)]
            known[module] = [module, *max(below, key=len, default=[])]
        return known[module]

    return max((chain(module, ()) for module in MODULES), key=len)


@pytest.mark.parametrize("module", sorted(MODULES))
def test_imports_point_down(module):
    for target in imported(module, inside_functions=True):
        own, other = folder_of(module), folder_of(target)
        assert own == other or LEVEL[other] < LEVEL[own], f"{module} imports {target}"


@pytest.mark.parametrize("folder", sorted({folder for level in LEVELS for folder in level}))
def test_no_long_chain_inside_a_folder(folder):
    chain = longest_chain(lambda module, target: folder_of(module) == folder_of(target) == folder)
    assert len(chain) <= LONGEST_IN_FOLDER, " -> ".join(chain)


def test_no_long_chain_through_the_package():
    chain = longest_chain(lambda module, target: True)
    assert len(chain) <= LONGEST_IN_PACKAGE, " -> ".join(chain)


def test_the_top_holds_folders_and_four_files():
    assert {path.name for path in PACKAGE.glob("*.py")} == TOP_LEVEL
    folders = {path.name for path in PACKAGE.iterdir() if path.is_dir() and path.name != "__pycache__"}
    assert folders - {"climates"} == {name for level in LEVELS for name in level} - NOT_FOLDERS


@pytest.mark.parametrize("folder", sorted({path.parent for path in FILES} - {PACKAGE}), ids=lambda path: path.name)
def test_every_folder_is_one_sentence(folder):
    docstring = ast.get_docstring(ast.parse((folder / "__init__.py").read_text("utf-8"))) or ""
    assert docstring.split("\n\n")[0].count(". ") == 0
    assert docstring.split("\n\n")[0].endswith(".")


@pytest.mark.parametrize("law", sorted(HOMES))
def test_every_law_has_its_home(law):
    assert (PACKAGE / HOMES[law]).is_file()


@pytest.mark.parametrize("path", FILES, ids=[str(path.relative_to(PACKAGE)) for path in FILES])
def test_modules_and_functions_stay_small(path):
    text = path.read_text("utf-8")
    assert len(text.splitlines()) <= 400
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            first = node.body[1] if ast.get_docstring(node) and len(node.body) > 1 else node.body[0]
            assert node.end_lineno - first.lineno < 50, f"{node.name} is too long"


@pytest.mark.parametrize("folder", ["core", "physics", "network", "solver"])
def test_physics_knows_no_pandas(folder):
    for path in (PACKAGE / folder).rglob("*.py"):
        assert "import pandas" not in path.read_text("utf-8")


def test_physics_knows_no_plan():
    for path in (PACKAGE / "physics").rglob("*.py"):
        assert {folder_of(target) for target in imported(module_of(path), inside_functions=True)} <= {"core", "physics"}


RIDDLES = {"one", "found", "said", "told", "its"}  # names that say nothing of what they hold
PAST_PARTICIPLES = {"unvented", "holds_unheated"}  # what is meant, not what was done


@pytest.mark.parametrize("path", FILES, ids=[str(path.relative_to(PACKAGE)) for path in FILES])
def test_names_say_what_they_hold_or_do(path):
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.FunctionDef):
            word = node.name.rsplit("_", 1)[-1]
            ends = word.endswith("ed") and word not in ("bed", "embed")
            assert not ends or node.name in PAST_PARTICIPLES, f"{node.name} is named for what was done"
            names = {node.name} | {argument.arg for argument in node.args.args}
        else:
            names = {node.id} if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store) else set()
        assert not names & RIDDLES, f"line {node.lineno}: {names & RIDDLES}"


def test_tests_mirror_the_package():
    folders = {path.name for path in PACKAGE.iterdir() if (path / "__init__.py").exists()}
    for folder in folders:
        assert list((PACKAGE.parent / "tests" / folder).glob("test_*.py")), f"no test in tests/{folder}"


def test_every_mutation_still_finds_its_line():
    from tests.mutations import ROOT, TERMS

    assert len(TERMS) == 10
    for file, old, new in TERMS.values():
        assert (ROOT / file).read_text("utf-8").count(old) == 1
        assert old != new
