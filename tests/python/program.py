"""Runs lookwright from outside and reads the files that it writes."""

import json
import os
import pathlib
import re
import subprocess

import numpy as np

ROOT = pathlib.Path(__file__).resolve().parents[2]


def program():
    """The program under test: $LOOKWRIGHT, else the release build, else the debug build."""
    candidates = [ROOT / "target" / kind / "lookwright" for kind in ("release", "debug")]
    named = os.environ.get("LOOKWRIGHT")
    for path in [pathlib.Path(named)] if named else candidates:
        if path.exists():
            return path
    raise SystemExit("no lookwright program: cargo build --release, or set LOOKWRIGHT to its path")


def run(*arguments, accept=(0,)):
    """Standard output of one command. Any exit code outside `accept` ends the script with the program's own words."""
    done = subprocess.run([program(), *map(str, arguments)], capture_output=True, text=True, check=False)
    if done.returncode not in accept:
        raise SystemExit(f"lookwright {' '.join(map(str, arguments))}: exit {done.returncode}\n{done.stderr or done.stdout}")
    return done.stdout


def refusal(recipe):
    """The codes of the errors for which `check` refuses a recipe, empty if it accepts it."""
    done = subprocess.run([program(), "check", recipe], capture_output=True, text=True, check=False)
    return sorted(set(re.findall(r"error\[(LW\d+)\]", done.stderr))) if done.returncode else []


def compile_recipe(recipe, folder, *options, verify=True):
    """Compiles one recipe and gives its entry of the JSON report. A missed tolerance (exit 1) is no failure here."""
    flags = [] if verify else ["--no-verify"]
    text = run("compile", recipe, "--out", folder, "--json", *flags, *options, accept=(0, 1))
    luts = json.loads(text)["luts"]
    assert len(luts) == 1, f"{recipe}: {len(luts)} files instead of 1"
    return luts[0]


def toml_value(value):
    """A number, text, truth value, list or table as inline TOML."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml_value(entry)}" for key, entry in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml_value, value)) + "]"
    return json.dumps(value)


def write_recipe(path, **tables):
    """Writes a recipe from keyword tables; a keyword that is no table is a key of the top."""
    lines = ["lookwright = 1"] + [f"{key} = {toml_value(value)}" for key, value in tables.items()]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def read_cube(path):
    """Size and rows (n^3 x 3, red fastest) of a cube file, by a reader of four lines."""
    lines = pathlib.Path(path).read_text(encoding="ascii").splitlines()
    size = next(int(line.split()[1]) for line in lines if line.startswith("LUT_3D_SIZE"))
    rows = [line for line in lines if line[:1] and line[0] in "0123456789-"]
    values = np.array(" ".join(rows).split(), float)
    assert (len(rows), values.size) == (size**3, 3 * size**3), f"{path}: {len(rows)} rows for size {size}"
    return size, values.reshape(-1, 3)


def read_cube_diagonal(path):
    """The rows of a cube file in which red, green and blue inputs are equal (n x 3); the rest is not parsed."""
    lines = pathlib.Path(path).read_text(encoding="ascii").splitlines()
    size = next(int(line.split()[1]) for line in lines if line.startswith("LUT_3D_SIZE"))
    rows = [line for line in lines if line and line[0] in "0123456789-"]
    assert len(rows) == size**3, f"{path}: {len(rows)} rows for size {size}"
    return np.array([line.split() for line in rows[:: size * size + size + 1]], float)


def node_inputs(size):
    """The LUT inputs of the rows of a cube file: red fastest."""
    axis = np.arange(size) / (size - 1)
    blue, green, red = np.meshgrid(axis, axis, axis, indexing="ij")
    return np.stack([red, green, blue], axis=-1).reshape(-1, 3)
