"""Files of the Common LUT Format, seen by a reader that knows nothing of this project.

The tests of the library write the files and what its own evaluation gives (tests/exchange/other_readers.rs): every kind and style of
step, and texts of the specification. colour-clf-io, a reader by the makers of colour-science, parses them. What they say is then
computed three times: by the equations of S-2014-006 v3.0, written here again from the specification's text; by the functions of
colour-science that are made for this format; and by colour-clf-io's own evaluation where it covers the step. Exits 1 beyond a
tolerance.
"""

import json
import pathlib
import re
import subprocess
import sys
import warnings

warnings.filterwarnings("ignore")  # Of powers and logarithms of negative values, whose results are not taken.

import colour
import colour_clf_io
import numpy as np
from colour.models.rgb.transfer_functions.exponent import exponent_function_basic, exponent_function_monitor_curve
from colour.models.rgb.transfer_functions.log import logarithmic_function_camera, logarithmic_function_quasilog

from program import ROOT
from tally import Tally, finish

# All sides compute in 64 bits from the same text; what is left is rounding of a few operations, of powers above all. Relative above 1.
TOLERANCE = 1e-12
FLT_MIN = 1.175494e-38
FULL = {"8i": 255.0, "10i": 1023.0, "12i": 4095.0, "16i": 65535.0, "16f": 1.0, "32f": 1.0}
LUMA = np.array([0.2126, 0.7152, 0.0722])


def written():
    """The folder with fresh files."""
    command = ["cargo", "test", "--release", "--quiet", "--locked", "--test", "exchange", "files_for_other_readers"]
    subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    metadata = subprocess.run(
        ["cargo", "metadata", "--no-deps", "--format-version", "1", "--offline"], cwd=ROOT, check=True, capture_output=True
    )
    return pathlib.Path(json.loads(metadata.stdout)["target_directory"]) / "tmp" / "clf"


def parsed(path):
    """The file, by the other reader. It takes comments between steps for steps and knows no default of a CDL's style: both are
    settled before it sees the text.
    """
    text = re.sub(b"<!--.*?-->", b"", path.read_bytes(), flags=re.DOTALL)
    return colour_clf_io.read_clf(re.sub(rb"<ASC_CDL (?![^>]*style=)", b'<ASC_CDL style="Fwd" ', text))


def full(depth):
    return FULL[depth.value]


def by_channel(values, params, function):
    """One set of parameters for all channels, or one for each."""
    out = np.empty_like(values)
    for index, name in enumerate("RGB"):
        own = [one for one in params if one.channel is None or one.channel.value == name]
        assert len(own) == 1, "one set of parameters a channel"
        out[:, index] = function(values[:, index], own[0])
    return out


# The steps, by the specification.


def half_positions():
    """All finite half floats in order, with their rows: IEEE 754 bits as numpy reads them."""
    bits = np.arange(65536, dtype=np.uint16)
    values = bits.view(np.float16).astype(float)
    rows = np.arange(65536)[np.isfinite(values) & ~((values == 0) & (bits > 0))]
    rows = rows[np.argsort(values[rows], kind="stable")]
    return values[rows], rows


def lut1(node, values, hue_adjust):
    table = np.array(node.array.values, float).reshape(node.array.dim) / full(node.out_bit_depth)
    table = np.repeat(table, 3, axis=1) if node.array.dim[1] == 1 else table
    if node.half_domain:
        positions, rows = half_positions()
        table = table[rows]
    else:
        positions = np.linspace(0, 1, len(table))
    out = np.stack([np.interp(values[:, i], positions, table[:, i]) for i in range(3)], axis=1)
    return adjusted_hue(values, out) if hue_adjust else out


def adjusted_hue(before, after):
    """The middle channel keeps its place between the others (dw3; from memory, no source)."""
    out = after.copy()
    for row, (old, new) in enumerate(zip(before, after)):
        least, middle, most = np.argsort(old, kind="stable")
        chroma = old[most] - old[least]
        place = (old[middle] - old[least]) / chroma if chroma else 0.0
        out[row, middle] = place * (new[most] - new[least]) + new[least]
    return out


def lut3(node, values):
    size = node.array.dim[0]
    assert tuple(node.array.dim) == (size, size, size, 3)
    # The third index changes fastest: numpy's own order of (red, green, blue).
    table = np.array(node.array.values, float).reshape(size, size, size, 3) / full(node.out_bit_depth)
    place = np.clip(values, 0, 1) * (size - 1)
    low = np.minimum(place.astype(int), size - 2)
    part = place - low

    def corner(r, g, b):
        return table[low[:, 0] + r, low[:, 1] + g, low[:, 2] + b]

    dr, dg, db = (part[:, i : i + 1] for i in range(3))
    if node.interpolation.value == "trilinear":
        out = 0
        for r in (0, 1):
            for g in (0, 1):
                for b in (0, 1):
                    weight = (dr if r else 1 - dr) * (dg if g else 1 - dg) * (db if b else 1 - db)
                    out = out + weight * corner(r, g, b)
        return out
    v000, v111 = corner(0, 0, 0), corner(1, 1, 1)
    # The six tetrahedra of appendix A, in its order.
    cases = [(db >= dr) & (dr >= dg), (db >= dg) & (dg >= dr), (dg >= db) & (db >= dr), (dr >= db) & (db >= dg), (dr >= dg) & (dg >= db)]
    v001, v101, v011, v010, v100, v110 = (corner(*bits) for bits in [(0, 0, 1), (1, 0, 1), (0, 1, 1), (0, 1, 0), (1, 0, 0), (1, 1, 0)])
    results = [
        v000 + db * (v001 - v000) + dr * (v101 - v001) + dg * (v111 - v101),
        v000 + db * (v001 - v000) + dr * (v111 - v011) + dg * (v011 - v001),
        v000 + db * (v011 - v010) + dr * (v111 - v011) + dg * (v010 - v000),
        v000 + db * (v101 - v100) + dr * (v100 - v000) + dg * (v111 - v101),
        v000 + db * (v111 - v110) + dr * (v100 - v000) + dg * (v110 - v100),
    ]
    last = v000 + db * (v111 - v110) + dr * (v110 - v010) + dg * (v010 - v000)
    return np.select(cases, results, last)


def matrix(node, values):
    array = np.array(node.array.values, float).reshape(node.array.dim[:2])
    out = values * full(node.in_bit_depth) @ array[:, :3].T
    return (out + (array[:, 3] if array.shape[1] == 4 else 0)) / full(node.out_bit_depth)


def range_(node, values):
    low_in, high_in, low_out, high_out = node.min_in_value, node.max_in_value, node.min_out_value, node.max_out_value
    codes = values * full(node.in_bit_depth)
    scale = full(node.out_bit_depth) / full(node.in_bit_depth)
    if high_in is None:
        out = np.maximum(low_out, codes * scale)
    elif low_in is None:
        out = np.minimum(high_out, codes * scale)
    else:
        scale = (high_out - low_out) / (high_in - low_in)
        out = codes * scale + low_out - low_in * scale
        if node.style is None or node.style.value == "Clamp":
            out = np.clip(out, low_out, high_out)
    return out / full(node.out_bit_depth)


def log_parameters(params):
    """In the order of the specification, with its defaults."""
    defaults = (2.0, 1.0, 0.0, 1.0, 0.0)
    given = (params.base, params.log_side_slope, params.log_side_offset, params.lin_side_slope, params.lin_side_offset)
    return tuple(default if value is None else value for value, default in zip(given, defaults))


def straight_line(params):
    """logSideBreak, linearSlope, linearOffset."""
    base, log_slope, log_offset, lin_slope, lin_offset = log_parameters(params)
    argument = lin_slope * params.lin_side_break + lin_offset
    log_break = log_slope * np.log(argument) / np.log(base) + log_offset
    slope = params.linear_slope
    if slope is None:
        slope = log_slope * lin_slope / (argument * np.log(base))
    return log_break, slope, log_break - slope * params.lin_side_break


def log(node, values):
    style = node.style.value
    plain = {
        "log10": lambda x: np.log10(np.maximum(x, FLT_MIN)),
        "antiLog10": lambda y: 10.0**y,
        "log2": lambda x: np.log2(np.maximum(x, FLT_MIN)),
        "antiLog2": lambda y: 2.0**y,
    }
    if style in plain:
        return plain[style](values)

    def one(x, params):
        base, log_slope, log_offset, lin_slope, lin_offset = log_parameters(params)
        if style.endswith("inToLog"):
            out = log_slope * np.log(np.maximum(lin_slope * x + lin_offset, FLT_MIN)) / np.log(base) + log_offset
            if style.startswith("camera"):
                _, slope, offset = straight_line(params)
                out = np.where(x <= params.lin_side_break, slope * x + offset, out)
            return out
        out = (base ** ((x - log_offset) / log_slope) - lin_offset) / lin_slope
        if style.startswith("camera"):
            log_break, slope, offset = straight_line(params)
            out = np.where(x <= log_break, (x - offset) / slope, out)
        return out

    return by_channel(values, node.log_params, one)


def exponent(node, values):
    style = node.style.value
    reverse = style.endswith("Rev")

    def one(x, params):
        g, k = params.exponent, params.offset
        if style.startswith("basic"):
            power = 1 / g if reverse else g
            below = {"Mirror": -(np.abs(x) ** power), "PassThru": x}.get(re.sub("^basic|Fwd$|Rev$", "", style), 0.0)
            return np.where(x >= 0, np.abs(x) ** power, below)

        y_break = (k * g / ((g - 1) * (1 + k))) ** g
        slope = (g - 1) / k * y_break

        def curve(v):
            if reverse:
                return np.where(v >= y_break, (1 + k) * np.abs(v) ** (1 / g) - k, v / slope)
            return np.where(v >= k / (g - 1), np.abs((v + k) / (1 + k)) ** g, v * slope)

        if "Mirror" in style:
            return np.where(x >= 0, curve(x), -curve(-x))
        return curve(x)

    return by_channel(values, node.exponent_params, one)


def asc_cdl(node, values):
    style = node.style.value if node.style else "Fwd"
    sop = node.sopnode
    slope, offset, power = (np.array(row, float) for row in ((sop.slope, sop.offset, sop.power) if sop else ([1] * 3, [0] * 3, [1] * 3)))
    saturation = node.sat_node.saturation if node.sat_node else 1.0
    clamp = (lambda x: x) if "NoClamp" in style else (lambda x: np.clip(x, 0, 1))

    def raised(x, to):
        return np.where(x < 0, x, np.abs(x) ** to)

    if style.startswith("Fwd"):
        graded = raised(clamp(values * slope + offset), power)
        luma = (graded @ LUMA)[:, None]
        return clamp(luma + saturation * (graded - luma))
    held = clamp(values)
    luma = (held @ LUMA)[:, None]
    return clamp((raised(clamp(luma + (held - luma) / saturation), 1 / power) - offset) / slope)


def by_specification(process_list, values, hue_adjust):
    for node in process_list.process_nodes:
        kind = type(node).__name__
        if kind == "LUT1D":
            values = lut1(node, values, hue_adjust)
        else:
            step = {"LUT3D": lut3, "Matrix": matrix, "Range": range_, "Log": log, "Exponent": exponent, "ASC_CDL": asc_cdl}[kind]
            values = step(node, values)
    return values


# Functions that colour-science has for this format; only those of one step are called directly.


def by_colour_science(node, values):
    """None where the library has no function for the step, or not for all of its values."""
    kind = type(node).__name__
    if kind == "Exponent":
        style = node.style.value

        def one(x, params):
            if style.startswith("basic"):
                return exponent_function_basic(x, params.exponent, style)
            return exponent_function_monitor_curve(x, params.exponent, params.offset, style)

        return by_channel(values, node.exponent_params, one)
    if kind == "Log" and node.style.value in ("linToLog", "logToLin"):
        return by_channel(values, node.log_params, lambda x, p: quasilog(x, node.style.value, p))
    if kind == "Log" and node.style.value.startswith("camera"):
        return by_channel(values, node.log_params, lambda x, p: camera(x, node.style.value, p))
    if kind == "LUT3D":
        table = np.array(node.array.values, float).reshape(node.array.dim) / full(node.out_bit_depth)
        interpolator = getattr(colour.algebra, f"table_interpolation_{node.interpolation.value}")
        return colour.LUT3D(table).apply(np.clip(values, 0, 1), interpolator=interpolator)
    return None


def quasilog(x, style, params):
    base, log_slope, log_offset, lin_slope, lin_offset = log_parameters(params)
    return logarithmic_function_quasilog(x, style, base, log_slope, lin_slope, log_offset, lin_offset)


def camera(x, style, params):
    base, log_slope, log_offset, lin_slope, lin_offset = log_parameters(params)
    rest = (params.lin_side_break, params.linear_slope)
    return logarithmic_function_camera(x, style, base, log_slope, lin_slope, log_offset, lin_offset, *rest)


def relative(got, expected):
    return np.abs(got - expected) / np.maximum(1.0, np.abs(expected))


def check(folder):
    names = sorted(path.stem for path in folder.glob("*.clf"))
    assert len(names) > 50, f"{len(names)} files"
    equations = Tally("our evaluation (equations of S-2014-006)", TOLERANCE, "relative above 1")
    functions = Tally("our evaluation (functions of colour-science)", TOLERANCE, "relative above 1")
    reader = Tally("our evaluation (colour-clf-io's own)", TOLERANCE, "relative above 1")
    kinds = set()
    for name in names:
        path = folder / f"{name}.clf"
        process_list = parsed(path)
        assert process_list.compatible_CLF_version.startswith("3"), name
        table = np.genfromtxt(folder / f"{name}.csv", delimiter=",", skip_header=1)
        values, ours = table[:, :3], table[:, 3:]
        hue_adjust = 'hueAdjust="dw3"' in path.read_text(encoding="utf-8")
        kinds.update((type(node).__name__, str(getattr(node, "style", ""))) for node in process_list.process_nodes)
        expected = by_specification(process_list, values, hue_adjust)
        finite = np.isfinite(expected)
        assert np.array_equal(finite, np.isfinite(ours)), f"{name}: infinities in other places"
        equations.add_differences(relative(ours[finite], expected[finite]), name)
        if len(process_list.process_nodes) == 1:
            other = by_colour_science(process_list.process_nodes[0], values)
            if other is not None:
                # The library gives no number where the argument of a logarithm is not above 0; the format holds it to FLT_MIN.
                finite = np.isfinite(other) & np.isfinite(ours)
                assert finite.mean() > 0.75, f"{name}: the library covers {finite.mean():.0%}"
                functions.add_differences(relative(ours[finite], other[finite]), name)
    # Seven kinds, and every style of those that have one: 2 of Range, 8 of Log, 10 of Exponent, 4 of ASC_CDL.
    assert len({kind for kind, _ in kinds}) == 7, kinds
    for kind, styles in [("Range", 2), ("Log", 8), ("Exponent", 10), ("ASC_CDL", 4)]:
        found = {style for one, style in kinds if one == kind and style != "None"}
        assert len(found) == styles, f"{kind}: {sorted(found)}"
    own_evaluation(folder, names, reader)
    return [equations, functions, reader]


# What colour-clf-io 0.2.0 evaluates at all: it has no offset of a matrix, and its camera logarithms ask for attributes that the format
# makes optional; it multiplies the input of a table by its nodes less one before colour-science spans it over 0..1, which is right for two
# nodes only (the specification spans the table over 0..1, and colour-science's own LUT3D, above, agrees). The equations judge the rest.
COVERED = ("matrix.", "cdl-", "exponent-", "foreign-lab", "foreign-default-interpolation")
# Every so-manieth colour: some of its steps take one at a time.
STRIDE = 23


def own_evaluation(folder, names, tally):
    for name in names:
        if f"{name}.".startswith(COVERED):
            process_list = colour_clf_io.CLFProcessList(parsed(folder / f"{name}.clf"))
            table = np.genfromtxt(folder / f"{name}.csv", delimiter=",", skip_header=1)
            inside = table[np.all((table[:, :3] >= 0) & (table[:, :3] <= 1), axis=1)][::STRIDE]
            got = np.array([process_list.apply(row[:3], normalised_values=True) for row in inside])
            tally.add_differences(relative(inside[:, 3:], got), name)


def main():
    print(f"colour-clf-io {colour_clf_io.__version__}, colour-science {colour.__version__}, numpy {np.__version__}")
    return finish(check(written()))


if __name__ == "__main__":
    sys.exit(main())
