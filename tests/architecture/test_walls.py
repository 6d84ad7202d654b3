"""The walls that import-linter holds, and two that only a running Python can show."""

import subprocess
import sys
from configparser import ConfigParser

from tests.architecture.source import ROOT


def test_no_import_breaks_a_wall() -> None:
    # by the function the command calls; its own output says which import broke which wall
    from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

    status = lint_imports(config_filename=str(ROOT / ".importlinter"), no_cache=True)
    assert status == EXIT_STATUS_SUCCESS


def test_every_module_must_be_placed() -> None:
    walls = ConfigParser()
    walls.read(ROOT / ".importlinter")
    exhaustive = {
        walls[section]["containers"].strip()
        for section in walls.sections()
        if walls[section].get("exhaustive") == "True"
    }
    assert exhaustive == {"shop", "records", "records.domain"}


LOAD_THE_DOMAIN = """
import importlib, pkgutil, sys
import records.domain
found = pkgutil.walk_packages(records.domain.__path__, "records.domain.")
names = [module.name for module in found]
for name in names:
    if not name.endswith("__main__"):
        importlib.import_module(name)
heavy = {"django", "rest_framework", "celery", "reportlab", "pyhanko", "environ", "shop", "api"}
loaded = sorted(heavy & {name.split(".")[0] for name in sys.modules})
print(len(names))
sys.exit(f"the domain loaded {loaded}" if loaded else 0)
"""


def test_the_domain_runs_without_django() -> None:
    done = subprocess.run(
        [sys.executable, "-c", LOAD_THE_DOMAIN],
        cwd=ROOT,
        capture_output=True,
        check=False,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 3, "the walk over the domain's modules found none"


def test_packages_above_the_domain_stay_empty() -> None:
    for package in ("records", "records/domain"):
        assert (ROOT / package / "__init__.py").read_text(encoding="utf-8").strip() == ""
