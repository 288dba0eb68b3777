"""The rules of the house that a program can read: layers, lengths, pure modules, templates, format, migrations."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import call_command

pytestmark = pytest.mark.sqlite

ROOT = Path(__file__).resolve().parent.parent
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "manage.py", "requirements.txt", "pyproject.toml",
    "config", "inventory", "orders", "production", "templates", "tests",
}  # fmt: skip
HOUSE = ("inventory", "production", "orders", "config")
# What each app may import of the house: what lies below it, and who works where.
MAY_IMPORT = {
    "inventory": {"inventory", "config.roles"},
    "production": {"inventory", "production", "config.roles"},
    "orders": {"inventory", "production", "orders", "config.roles"},
}
PURE = (
    "config.whole_copy.keeping",
    "config.whole_copy.words",
    "inventory.gs1",
    "inventory.label_layout",
    "inventory.label_sheets",
    "inventory.material_words",
    "inventory.sheets",
    "inventory.sheets.words",
    "inventory.signs",
    "inventory.wax",
    "orders.aged",
    "orders.allotting",
    "orders.bank_csv",
    "orders.book_words",
    "orders.buying",
    "orders.carriage",
    "orders.complaint_words",
    "orders.case_bars",
    "orders.cover",
    "orders.crediting",
    "orders.deposits",
    "orders.e_invoice.cii",
    "orders.e_invoice.document",
    "orders.e_invoice.hybrid",
    "orders.e_invoice.schema",
    "orders.e_invoice.ubl",
    "orders.from_frame",
    "orders.late_payment",
    "orders.margins",
    "orders.matching",
    "orders.money",
    "orders.order_form.heads",
    "orders.order_form.page_words",
    "orders.order_form.parts",
    "orders.order_form.reading",
    "orders.order_form.rows",
    "orders.order_form.told",
    "orders.order_form.writing",
    "orders.packing",
    "orders.periods",
    "orders.price_words",
    "orders.prices",
    "orders.reading",
    "orders.recall",
    "orders.recall_file",
    "orders.scanned",
    "orders.ready_words",
    "orders.season.before_rows",
    "orders.season.booking_curve",
    "orders.season.by_candle",
    "orders.season.dates",
    "orders.season.make_ahead",
    "orders.season.words",
    "orders.seconds_prices",
    "orders.seconds_words",
    "orders.spread",
    "orders.vat_treatment",
    "production.balance_words",
    "production.burn_findings",
    "production.burning",
    "production.chances",
    "production.clock",
    "production.coat",
    "production.costing",
    "production.dip_plan.bound",
    "production.dip_plan.check",
    "production.dip_plan.codec",
    "production.dip_plan.compiled",
    "production.dip_plan.exact",
    "production.dip_plan.explain",
    "production.dip_plan.improve",
    "production.dip_plan.instances",
    "production.dip_plan.last_orders",
    "production.dip_plan.ready_by",
    "production.dip_plan.repair",
    "production.dip_plan.save",
    "production.floor_levelling",
    "production.gauging",
    "production.growth",
    "production.heat",
    "production.history",
    "production.label_words",
    "production.lifting",
    "production.needs",
    "production.p_chart",
    "production.pitch",
    "production.plan_beside",
    "production.plan_scenes",
    "production.plan_words",
    "production.stages",
    "production.student",
    "production.trace",
    "production.wax_balance",
    "production.wax_drawn",
    "production.wax_in_hand",
    "production.wax_use",
)
BEFORE_THE_SET_UP = ("config.bootstrap", "config.machine", "config.telling", "config.testing")
LONGEST_FILE, LONGEST_FUNCTION = 300, 40
INLINE = {
    "a script in the page": re.compile(r"<script(?![^>]*\ssrc=)", re.IGNORECASE),
    "a style sheet in the page": re.compile(r"<style\b", re.IGNORECASE),
    "a style attribute": re.compile(r"<[^>]*\sstyle\s*=", re.IGNORECASE),
    "a handler attribute": re.compile(r"<[^>]*\son[a-z]+\s*=", re.IGNORECASE),
    "a javascript address": re.compile(r"javascript:", re.IGNORECASE),
}


def python_files(*folders: str) -> list[Path]:
    """The house's own modules; migrations are written by Django."""
    found = [file for folder in folders for file in (ROOT / folder).rglob("*.py")]
    return sorted(file for file in found if "migrations" not in file.parts)


def shown(file: Path) -> str:
    return file.relative_to(ROOT).as_posix()


def imports_of(file: Path) -> list[tuple[int, str]]:
    """Line and dotted name of every import in a file, those inside functions too."""
    found = []
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [(node.lineno, name.name) for name in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{shown(file)}:{node.lineno} imports relatively"
            found += [(node.lineno, f"{node.module}.{name.name}") for name in node.names]
    return found


def is_within(name: str, allowed: set[str]) -> bool:
    return any(name == root or name.startswith(root + ".") for root in allowed)


@pytest.mark.parametrize("app", MAY_IMPORT)
def test_imports_run_one_way(app):
    upward = [
        f"{shown(file)}:{line} imports {name}"
        for file in python_files(app)
        for line, name in imports_of(file)
        if name.split(".")[0] in (*HOUSE, "tests") and not is_within(name, MAY_IMPORT[app])
    ]
    assert not upward, "\n".join(upward)


@pytest.mark.parametrize("app", MAY_IMPORT)
def test_foreign_keys_run_one_way(app):
    below = {name.split(".")[0] for name in MAY_IMPORT[app]}
    fields = [field for model in apps.get_app_config(app).get_models() for field in model._meta.get_fields()]
    # A reverse relation belongs to the model that points; `config` holds the people.
    upward = [str(field) for field in fields if field.concrete and points_outside(field, below)]
    assert not upward, "\n".join(upward)


def points_outside(field, below: set[str]) -> bool:
    return bool(field.related_model) and field.related_model._meta.app_label not in below


@pytest.mark.parametrize("module", PURE)
def test_pure_module_imports_no_django(module):
    code = f"import sys, {module}; sys.exit('django' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False).returncode == 0, (
        f"{module} needs Django"
    )


def test_set_up_needs_the_standard_library_only():
    code = f"import sys; sys.path.insert(0, {str(ROOT)!r}); import {', '.join(BEFORE_THE_SET_UP)}"
    # -I and -S leave out everything that was ever installed.
    done = subprocess.run([sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_no_template_carries_script_or_style():
    faults = []
    for file in sorted((ROOT / "templates").rglob("*.html")):
        text = file.read_text(encoding="utf-8")
        for fault, pattern in INLINE.items():
            faults += [
                f"{shown(file)}:{text.count(chr(10), 0, hit.start()) + 1} {fault}" for hit in pattern.finditer(text)
            ]
    assert not faults, "\n".join(faults)


def test_top_level_holds_only_what_the_design_names():
    strays = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} - TOP_LEVEL - {"__pycache__"}
    assert not strays


def test_no_file_is_too_long():
    files = [file for folder in (*HOUSE, "tests") for file in python_files(folder)]
    for ending in ("html", "css", "js"):
        files += [file for folder in ("templates", "config/static") for file in (ROOT / folder).rglob(f"*.{ending}")]
    lengths = {shown(file): len(file.read_text(encoding="utf-8").splitlines()) for file in files}
    assert not {name: lines for name, lines in lengths.items() if lines > LONGEST_FILE}


def test_no_function_is_too_long():
    long = []
    for file in python_files(*HOUSE, "tests"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                lines = node.end_lineno - node.lineno + 1
                long += (
                    [f"{shown(file)}:{node.lineno} {node.name} has {lines} lines"] if lines > LONGEST_FUNCTION else []
                )
    assert not long, "\n".join(long)


@pytest.mark.parametrize("command", [("format", "--check"), ("check",)], ids=["format", "check"])
def test_ruff_is_content(command):
    ruff = [sys.executable, "-m", "ruff", *command, "."]
    done = subprocess.run(ruff, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.django_db
def test_no_migration_is_missing(capsys):
    try:
        call_command("makemigrations", "--check", "--dry-run")
    except SystemExit:
        pytest.fail("models changed without a migration:\n" + capsys.readouterr().out)
