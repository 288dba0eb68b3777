"""What the machine must have beside Python: how to find it, and what to install where it is missing.

Standard library only: the set-up asks before there is anything else.
"""

import contextlib
import ctypes
import ctypes.util
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

from config.telling import busy


class Missing(Exception):
    """Something the machine lacks, said in plain sentences with the package to install."""


class Need(NamedTuple):
    """One thing the machine must have, and its packages by system."""

    name: str
    purpose: str
    debian: str
    fedora: str
    homebrew: str
    windows: str

    def missing(self, because=""):
        lines = [
            f"{self.name} is missing. {self.purpose}",
            f"  Debian, Ubuntu:  apt-get install {self.debian}",
            f"  Fedora:          dnf install {self.fedora}",
            f"  macOS:           brew install {self.homebrew}",
            f"  Windows:         {self.windows}",
        ]
        return Missing("\n".join(lines + ([because] if because else [])))


PANGO = Need(
    "Pango",
    "It sets the type of delivery notes, packing slips and invoices.",
    "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
    "pango",
    "pango",
    "install MSYS2, then in its shell: pacman -S mingw-w64-x86_64-pango",
)
CHROMIUM = Need(
    "Chromium",
    "The browser tests drive it.",
    "chromium",
    "chromium",
    "--cask chromium",
    "install Chromium or Google Chrome and put its folder on PATH",
)
POSTGRESQL = Need(
    "The PostgreSQL server",
    "The tests start one of their own for the second half of the run.",
    "postgresql",
    "postgresql-server",
    "postgresql@17",
    "install PostgreSQL and put its bin folder on PATH",
)
# The names under which WeasyPrint asks for its libraries: Linux, macOS, Windows.
LIBRARIES = {
    "gobject-2.0": ("libgobject-2.0.so.0", "libgobject-2.0.0.dylib", "libgobject-2.0-0.dll"),
    "pango-1.0": ("libpango-1.0.so.0", "libpango-1.0.dylib", "libpango-1.0-0.dll"),
    "harfbuzz": ("libharfbuzz.so.0", "libharfbuzz.0.dylib", "libharfbuzz-0.dll"),
    "harfbuzz-subset": ("libharfbuzz-subset.so.0", "libharfbuzz-subset.0.dylib", "libharfbuzz-subset-0.dll"),
    "fontconfig": ("libfontconfig.so.1", "libfontconfig.1.dylib", "libfontconfig-1.dll"),
    "pangoft2-1.0": ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib", "libpangoft2-1.0-0.dll"),
}
HOMEBREW = ("/opt/homebrew/lib", "/usr/local/lib")
MSYS2 = r"C:\msys64\mingw64\bin"


def show_libraries():
    """Tell this process and those it starts where Homebrew and MSYS2 keep libraries; neither is searched unasked."""
    if sys.platform == "darwin":
        os.environ.setdefault("DYLD_FALLBACK_LIBRARY_PATH", ":".join(HOMEBREW))
    elif os.name == "nt":
        os.environ.setdefault("WEASYPRINT_DLL_DIRECTORIES", MSYS2)
        for folder in os.environ["WEASYPRINT_DLL_DIRECTORIES"].split(";"):
            with contextlib.suppress(OSError):
                os.add_dll_directory(folder)


def loads(library):
    """Whether the library can be loaded, as WeasyPrint will."""
    for name in LIBRARIES[library]:
        with contextlib.suppress(OSError):
            ctypes.CDLL(name)
            return True
    # Only macOS needs the search: there the bare name is not looked up in Homebrew's folder.
    found = ctypes.util.find_library(library) if sys.platform == "darwin" else None
    with contextlib.suppress(OSError):
        return bool(found and ctypes.CDLL(found))
    return False


def find_pango():
    """True where everything that sets type can be loaded."""
    show_libraries()
    return all(map(loads, LIBRARIES))


def find_chromium():
    """The browser's path, or None."""
    names = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
    return next(filter(None, map(shutil.which, names)), None)


def find_postgres():
    """The folder with the server's own tools, the newest version first, or None."""
    on_path = shutil.which("initdb")
    # Debian keeps them off PATH.
    kept = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda tool: float(tool.parts[-3]))
    tool = on_path or (kept and kept[-1])
    return Path(tool).parent if tool else None


FINDERS = {PANGO: find_pango, CHROMIUM: find_chromium, POSTGRESQL: find_postgres}


def provide(need):
    """Nothing where the machine has it; else installs it where it may. Raises Missing where it may not or can't."""
    if FINDERS[need]():
        return
    if not may_install():
        raise need.missing()
    try:
        install(need.name, need.debian)
    except Missing as failed:
        raise need.missing(str(failed)) from None
    if not FINDERS[need]():
        raise need.missing("It was installed just now and still can't be found.")


def may_install():
    """Whether this is a Debian (or a child of it) and we are root."""
    return bool(shutil.which("apt-get")) and hasattr(os, "geteuid") and os.geteuid() == 0


def install(name, packages):
    """Install Debian packages, given as one line. Raises Missing with apt's last words."""
    apt = ["apt-get", "-q", "-y", "-o", "Dpkg::Use-Pty=0"]
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    with busy(f"{name} is missing; installing {packages} with apt-get"):
        for step in (["update"], ["install", "--no-install-recommends", *packages.split()]):
            run(apt + step, env=quiet)


def run(command, **options):
    """Run a tool without showing its chatter. Raises Missing with its last words when it fails."""
    try:
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            errors="replace",
            check=False,
            **options,
        )
    except OSError as failed:
        raise Missing(f"{command[0]} could not be started: {failed.strerror}.") from None
    if done.returncode:
        words = [line.strip() for line in done.stdout.splitlines() if line.strip()]
        raise Missing(f"{Path(command[0]).name} said: " + "\n  ".join(words[-3:] or ["nothing"]))
