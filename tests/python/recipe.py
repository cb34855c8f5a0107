"""Recipes as plain dictionaries, with every default of the language filled in.

Written from docs/look-maths.md ("Defaults and ranges", "Inheritance"), independently of the program: this
is the other side of the cross-check. It expects valid recipes and reports nothing.
"""

import copy
import pathlib
import tomllib
import xml.etree.ElementTree as xml

_EXCLUSIVE = (("greener_cc", "greener_duv"), ("grey", "grey_nits"))

# Diffusion presets: veil, knee_stops, softness_stops, loss_stops, bleach (look-maths, section 7).
_DIFFUSION_KEYS = ("veil", "knee_stops", "softness_stops", "loss_stops", "bleach")
_DIFFUSION_GRADES = {
    "1/8": (0.006, 2.0, 2.0, 0.15, 0.06),
    "1/4": (0.012, 2.0, 2.0, 0.25, 0.10),
    "1/2": (0.025, 1.75, 2.0, 0.45, 0.16),
    "1": (0.05, 1.5, 2.0, 0.8, 0.25),
    "2": (0.09, 1.0, 2.0, 1.3, 0.40),
}
_NO_DIFFUSION = (0.0, 2.0, 2.0, 0.0, 0.0)

_IDENTITY = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
_ZERO = [[0.0] * 3 for _ in range(3)]

_DEFAULTS = {
    "trim": {"stops": 0.0, "matrix": _IDENTITY, "root": _ZERO},
    "exposure": {"stops": 0.0},
    "white": {"reference_kelvin": 5600.0, "warmer_mired": 0.0},
    "grade": {"slope": [1.0] * 3, "offset": [0.0] * 3, "power": [1.0] * 3, "saturation": 1.0},
    "gamut": {"input_compress": True, "output_compress": True, "threshold": 0.9, "power": 1.2},
    "display": {"encoding": "bt1886", "gamut": "bt709", "peak_nits": 100.0},
    "lut": {
        "size": 33,
        "interpolation": "tetrahedral",
        "input_levels": "full",
        "output_levels": "full",
    },
    "colour": {"saturation": 1.0, "band": []},
    "after": {"interpolation": "tetrahedral", "input_levels": "full", "output_levels": "full"},
}
_TONE_DEFAULTS = {
    "contrast": 1.35,
    "white_stops": 6.0,
    "black_stops": 8.0,
    "straight_up": 0.5,
    "straight_down": 1.0,
    "white_slope": 0.0,
    "black_slope": 0.0,
    "black": 0.0005,
    "hue_hold": 0.0,
}
_BAND_DEFAULTS = {"shift_deg": 0.0, "saturation": 1.0, "lightness": 1.0}
_SPLIT_DEFAULTS = {"balance_stops": 0.0, "width_stops": 6.0}


def _merge_bands(parent, child):
    if not all("name" in band for band in [*parent, *child]):
        return child
    merged = copy.deepcopy(parent)
    places = {band["name"]: index for index, band in enumerate(merged)}
    for band in child:
        if band["name"] in places:
            merged[places[band["name"]]] = _merge(merged[places[band["name"]]], band)
        else:
            merged.append(copy.deepcopy(band))
    return merged


def _merge(parent, child):
    merged = copy.deepcopy(parent)
    for key, value in child.items():
        for pair in _EXCLUSIVE:
            if key in pair:
                merged.pop(pair[1 - pair.index(key)], None)
        if key == "band" and isinstance(value, list):
            merged[key] = _merge_bands(merged.get(key, []), value)
        elif isinstance(value, dict) and isinstance(merged.get(key), dict):
            merged[key] = _merge(merged[key], value)
        else:
            merged[key] = copy.deepcopy(value)
    return merged


_CDL = "{urn:ASC:CDL:v1.01}"


def _correction(path, wanted):
    """The ten numbers of a correction of an ASC CDL file."""
    root = xml.parse(path).getroot()
    (one,) = (found for found in root.iter(f"{_CDL}ColorCorrection") if wanted in (None, found.get("id")))

    def numbers(name):
        element = next(one.iter(_CDL + name), None)
        return None if element is None else [float(word) for word in element.text.split()]

    saturation = numbers("Saturation")
    return {
        "slope": numbers("Slope") or [1.0] * 3,
        "offset": numbers("Offset") or [0.0] * 3,
        "power": numbers("Power") or [1.0] * 3,
        "saturation": 1.0 if saturation is None else saturation[0],
    }


def read(path):
    """The tables of a recipe file, with what it extends merged in and the numbers of its correction filled in."""
    path = pathlib.Path(path)
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    grade = tables.get("grade", {})
    if "from" in grade:
        # All four numbers are then this file's: they displace those of its parent.
        numbers = _correction(path.parent / grade.pop("from"), grade.pop("from_id", None))
        tables["grade"] = numbers | grade
    if "cube" in tables.get("after", {}):
        tables["after"]["cube"] = str(path.parent / tables["after"]["cube"])
    parent = tables.get("look", {}).pop("extends", None)
    return tables if parent is None else _merge(read(path.parent / parent), tables)


def for_show(tables, camera, monitor):
    """A recipe's tables for a camera and a monitor of a show: what it says about both itself is left aside."""
    display = {key: monitor[key] for key in ("encoding", "gamut", "peak_nits") if key in monitor}
    lut = {key: monitor[key] for key in ("size", "interpolation", "input_levels", "output_levels") if key in monitor}
    recorded = {key: camera[key] for key in ("encoding", "gamut", "exposure_index") if key in camera}
    return tables | {"camera": recorded, "display": display, "lut": lut}


def trim_with_defaults(table):
    """A `[trim]` table, complete."""
    return _DEFAULTS["trim"] | table


def with_defaults(tables):
    """A copy of the tables in which every block that always applies is complete."""
    full = {"adaptation": tables.get("adaptation", "bradford"), "camera": dict(tables["camera"])}
    for name, defaults in _DEFAULTS.items():
        full[name] = defaults | tables.get(name, {})
    full["colour"]["band"] = [_BAND_DEFAULTS | band for band in full["colour"]["band"]]
    full["diffusion"] = _diffusion(tables.get("diffusion", {}))
    full["split"] = _SPLIT_DEFAULTS | tables["split"] if "split" in tables else None
    full["tone"] = _tone(tables["tone"], full["display"]["peak_nits"]) if "tone" in tables else None
    return full


def _diffusion(table):
    preset = _DIFFUSION_GRADES[table["grade"]] if "grade" in table else _NO_DIFFUSION
    values = {"veil_level": 0.18} | dict(zip(_DIFFUSION_KEYS, preset))
    return values | {key: value for key, value in table.items() if key != "grade"}


def _tone(table, peak_nits):
    tone = _TONE_DEFAULTS | table
    if "grey_nits" in tone:
        tone["grey"] = tone.pop("grey_nits") / peak_nits
    tone.setdefault("grey", 0.10)
    return tone
