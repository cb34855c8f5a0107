"""docs/look-maths.md in numpy: an implementation that shares no line with the program.

`Look(tables).output(u)` takes LUT inputs u (n x 3, 0..1) and gives output signals; a show's camera may add its trim,
and a variant may change the look. Section numbers are those of the page.
"""

import colour
import numpy as np

import camera as logs
import recipe
import white

ACES_WHITE = np.array([0.32168, 0.33767])
D65 = np.array([0.3127, 0.3290])
GREY = 0.18
_CAT = {"bradford": "Bradford", "cat02": "CAT02", "cat16": "CAT16"}


def xy_to_xyz(xy):
    return np.array([xy[0] / xy[1], 1.0, (1 - xy[0] - xy[1]) / xy[1]])


def primary_matrix(primaries, white_xy):
    """SMPTE RP 177:1993."""
    columns = np.array([[x, y, 1 - x - y] for x, y in primaries]).T
    return columns * np.linalg.solve(columns, xy_to_xyz(white_xy))


def adaptation(cone, from_xy, to_xy):
    gain = (cone @ xy_to_xyz(to_xy)) / (cone @ xy_to_xyz(from_xy))
    return np.linalg.inv(cone) @ np.diag(gain) @ cone


BRADFORD = np.array(colour.CHROMATIC_ADAPTATION_TRANSFORMS["Bradford"], float)
AP1 = primary_matrix(*logs.gamut("acescg"))


def _times(matrix, pixels):
    return pixels @ np.asarray(matrix, float).T


# 4 ---------------------------------------------------------------------------------------------------
def apply_trim(x, trim):
    pairs = x[:, [0, 0, 1]] * x[:, [1, 2, 2]]
    agree = np.sign(x[:, [0, 0, 1]]) == np.sign(x[:, [1, 2, 2]])
    roots = np.where(agree, np.sign(x[:, [0, 0, 1]]) * np.sqrt(np.where(agree, pairs, 0.0)), 0.0)
    return 2.0 ** trim["stops"] * (_times(trim["matrix"], x) + _times(trim["root"], roots))


# 5 ---------------------------------------------------------------------------------------------------
def compress_input(x):
    limits = np.array([1.147, 1.264, 1.312])
    threshold = np.array([0.815, 0.803, 0.880])
    power = 1.2
    peak = x.max(axis=1, keepdims=True)
    size = np.abs(peak)
    distance = np.where(size == 0, 0.0, (peak - x) / np.where(size == 0, 1.0, size))
    ratio = (1 - threshold) / (limits - threshold)
    scale = (limits - threshold) / (ratio ** -power - 1) ** (1 / power)
    n = np.maximum((distance - threshold) / scale, 0)
    compressed = threshold + scale * n / (1 + n**power) ** (1 / power)
    return peak - np.where(distance < threshold, distance, compressed) * size


# 7 ---------------------------------------------------------------------------------------------------
def diffuse(x, d):
    if d["veil"] == 0 and d["loss_stops"] == 0 and d["bleach"] == 0:
        return x
    x1 = (1 - d["veil"]) * x + d["veil"] * d["veil_level"]
    n = x1.max(axis=1, keepdims=True)
    t = np.where(n > 0, np.log2(np.where(n > 0, n, 1.0) / GREY) - d["knee_stops"], 0.0)
    t = np.maximum(t, 0)
    amount = t**2 / (t**2 + d["softness_stops"] ** 2)
    x2 = 2.0 ** (-d["loss_stops"] * amount) * x1
    luminance = (x2 @ AP1[1])[:, None]
    return x2 + d["bleach"] * amount * (luminance - x2)


# 8 ---------------------------------------------------------------------------------------------------
def acescct_encode(x):
    safe = np.where(x > 0.0078125, x, 1.0)
    return np.where(
        x <= 0.0078125, 10.5402377416545 * x + 0.0729055341958355, (np.log2(safe) + 9.72) / 17.52
    )


def acescct_decode(c):
    return np.where(
        c > 0.155251141552511,
        2.0 ** (c * 17.52 - 9.72),
        (c - 0.0729055341958355) / 10.5402377416545,
    )


def grade(x, g):
    slope, offset, power = (np.array(g[key], float) for key in ("slope", "offset", "power"))
    identity = np.all(slope == 1) and np.all(offset == 0) and np.all(power == 1)
    if identity and g["saturation"] == 1:
        return x
    c = np.maximum(0, acescct_encode(x) * slope + offset) ** power
    luma = (c @ np.array([0.2126, 0.7152, 0.0722]))[:, None]
    return acescct_decode(luma + g["saturation"] * (c - luma))


# 9 ---------------------------------------------------------------------------------------------------
def split(x, table, shadows, highlights):
    shadows = np.eye(3) if shadows is None else shadows
    highlights = np.eye(3) if highlights is None else highlights
    luminance = np.maximum(x @ AP1[1], GREY * 2.0**-12)
    s = np.log2(luminance / GREY)
    z = np.clip((s - table["balance_stops"]) / table["width_stops"] + 0.5, 0, 1)
    z = (z * z * (3 - 2 * z))[:, None]
    return (1 - z) * _times(shadows, x) + z * _times(highlights, x)


# 10 --------------------------------------------------------------------------------------------------
def rational_quadratic(u, length, height, slope0, slope1):
    xi, sigma = u / length, height / length
    bend = xi * (1 - xi)
    return height * (sigma * xi**2 + slope0 * bend) / (sigma + (slope1 + slope0 - 2 * sigma) * bend)


def tone_curve(x, t):
    flare = GREY * 2.0 ** -t["black_stops"] / (1 - 2.0 ** -t["black_stops"])
    span_white = np.log2((GREY * 2.0 ** t["white_stops"] + flare) / (GREY + flare))
    kappa = t["black"] ** (1 / 2.4)
    grey = (t["grey"] ** (1 / 2.4) * (1 - kappa) + kappa) ** 2.4
    rise, fall = np.log2(1 / grey), np.log2(grey / t["black"])

    safe = np.where(x > 0, x, GREY)
    s = np.log2((safe + flare) / (GREY + flare))
    zero, one = (x <= 0) | (s <= -t["black_stops"]), (x > 0) & (s >= span_white)

    def half(distance, straight, span, total, end_slope):
        inside = np.clip(distance - straight, 0, span - straight)
        curve = t["contrast"] * straight + rational_quadratic(
            inside, span - straight, total - t["contrast"] * straight, t["contrast"], end_slope
        )
        return np.where(distance <= straight, t["contrast"] * distance, curve)

    up = half(np.maximum(s, 0), t["straight_up"], span_white, rise, t["white_slope"])
    down = half(np.maximum(-s, 0), t["straight_down"], t["black_stops"], fall, t["black_slope"])
    e = np.where(s >= 0, up, -down)
    v = np.maximum(((grey * 2.0**e) ** (1 / 2.4) - kappa) / (1 - kappa), 0)
    return np.where(zero, 0.0, np.where(one, 1.0, v**2.4))


def tone(x, t):
    if t is None:
        return x
    curve, hold = tone_curve(x, t), t["hue_hold"]
    if hold == 0:
        return curve
    n = x.max(axis=1, keepdims=True)
    held = np.where(n > 0, tone_curve(n, t) * np.maximum(x, 0) / np.where(n > 0, n, 1.0), 0.0)
    return (1 - hold) * curve + hold * held


# 11 --------------------------------------------------------------------------------------------------
def _oklab_matrices():
    # Ottosson 2020, as colour-science prints them; then made exact on white as section 11 asks.
    m1 = np.array(colour.models.oklab.MATRIX_1_XYZ_TO_LMS, float)
    m2 = np.array(colour.models.oklab.MATRIX_2_LMS_TO_LAB, float)
    m1 = m1 / (m1 @ xy_to_xyz(D65))[:, None]
    m2[0] /= m2[0].sum()
    m2[1:, 2] = -(m2[1:, 0] + m2[1:, 1])
    return m1, m2


OKLAB_M1, OKLAB_M2 = _oklab_matrices()


def oklab(xyz):
    return _times(OKLAB_M2, np.cbrt(_times(OKLAB_M1, xyz)))


def from_oklab(lab):
    return _times(np.linalg.inv(OKLAB_M1), _times(np.linalg.inv(OKLAB_M2), lab) ** 3)


def colour_block(xyz, c):
    if c["saturation"] == 1 and not any(
        (b["shift_deg"], b["saturation"], b["lightness"]) != (0, 1, 1) for b in c["band"]
    ):
        return xyz
    lab = oklab(xyz)
    lightness, chroma = lab[:, 0], np.hypot(lab[:, 1], lab[:, 2])
    hue = np.degrees(np.arctan2(lab[:, 2], lab[:, 1]))
    new_hue, factor = hue.copy(), np.full_like(chroma, c["saturation"])
    coloured = chroma**2 / (chroma**2 + 0.05**2)
    for band in c["band"]:
        away = np.abs((hue - band["centre_deg"] + 180) % 360 - 180)
        k = np.where(away < band["width_deg"], np.cos(np.radians(90 * away / band["width_deg"])) ** 2, 0.0)
        new_hue = new_hue + k * band["shift_deg"]
        factor = factor * (1 + k * (band["saturation"] - 1))
        lightness = lightness * (1 + k * coloured * (band["lightness"] - 1))
    chroma, radians = chroma * factor, np.radians(new_hue)
    return from_oklab(np.stack([lightness, chroma * np.cos(radians), chroma * np.sin(radians)], axis=1))


# 12 --------------------------------------------------------------------------------------------------
def _knee(r, threshold, power):
    z = np.maximum((r - threshold) / (1 - threshold), 0)
    return np.where(r < threshold, r, threshold + (1 - threshold) * z / (1 + z**power) ** (1 / power))


def compress_output(rgb, luminance_row, threshold, power):
    peak = rgb.max(axis=1, keepdims=True)
    size = np.abs(peak)
    distance = np.where(size == 0, 0.0, (peak - rgb) / np.where(size == 0, 1.0, size))
    rgb = peak - _knee(distance, threshold, power) * size
    luminance = np.clip(rgb @ luminance_row, 0, 1)[:, None]
    peak = rgb.max(axis=1, keepdims=True)
    room = np.where(luminance < 1, 1 - luminance, 1.0)
    rho = (peak - luminance) / room
    shrink = np.where(rho > threshold, _knee(rho, threshold, power) / np.where(rho > threshold, rho, 1.0), 1.0)
    return np.where(luminance == 1, 1.0, np.where(rho > threshold, luminance + shrink * (rgb - luminance), rgb))


# 13 --------------------------------------------------------------------------------------------------
def _pq(y, peak):
    # SMPTE ST 2084, constants in the standard's own form.
    m1, m2 = 2610 / 16384, 2523 / 4096 * 128
    c1, c2, c3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32
    p = (y * peak / 10000) ** m1
    return ((c1 + c2 * p) / (1 + c3 * p)) ** m2


def _hlg(y, peak):
    # ITU-R BT.2100; the system gamma outside 400..2000 nits by its extended formula.
    gamma = 1.2 + 0.42 * np.log10(peak / 1000) if 400 <= peak <= 2000 else 1.2 * 1.111 ** np.log2(peak / 1000)
    luminance = (y @ np.array([0.2627, 0.6780, 0.0593]))[:, None]
    lit = luminance > 0
    e = np.where(lit, y * np.where(lit, luminance, 1.0) ** ((1 - gamma) / gamma), 0.0)
    a, b = 0.17883277, 0.28466892
    c = 0.55991073
    high = a * np.log(np.where(e > 1 / 12, 12 * e - b, 1.0)) + c
    return np.minimum(np.where(e <= 1 / 12, np.sqrt(3 * e), high), 1.0)


def encode_display(y, encoding, peak):
    power = {"bt1886": 2.4, "gamma24": 2.4, "gamma22": 2.2, "gamma26": 2.6}
    name = logs.canonical(encoding)
    if name in power:
        return y ** (1 / power[name])
    if name == "srgb":
        return np.where(y <= 0.0031308, 12.92 * y, 1.055 * y ** (1 / 2.4) - 0.055)
    return {"pq": _pq, "hlg": _hlg}[name](y, peak)


def decode_display(v, encoding, peak):
    """The display's light of a signal, 1 = peak white: the inverse of encode_display."""
    power = {"bt1886": 2.4, "gamma24": 2.4, "gamma22": 2.2, "gamma26": 2.6}
    name = logs.canonical(encoding)
    if name in power:
        return v ** power[name]
    if name == "srgb":
        return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)
    if name == "pq":
        return colour.models.eotf_ST2084(v, 10000) / peak
    # Linear interpolation in a fine table would be no reference: invert the OETF, then the OOTF.
    gamma = 1.2 + 0.42 * np.log10(peak / 1000) if 400 <= peak <= 2000 else 1.2 * 1.111 ** np.log2(peak / 1000)
    a, b, c = 0.17883277, 0.28466892, 0.55991073
    e = np.where(v <= 0.5, v * v / 3, (np.exp((v - c) / a) + b) / 12)
    luminance = (e @ np.array([0.2627, 0.6780, 0.0593]))[:, None]
    return e * np.where(luminance > 0, luminance, 1.0) ** (gamma - 1)


def legal_to_full(u):
    return (64 + 876 * u) / 1023


# 14 --------------------------------------------------------------------------------------------------
def read_after(path):
    """A cube file's tables, by colour-science's own reader: one or two of them, applied in order."""
    read = colour.io.read_LUT(path)
    return read.sequence if isinstance(read, colour.LUTSequence) else [read]


def lay_after(v, tables, after):
    """A cube of post over the display's signal."""
    kinds = {
        "tetrahedral": colour.algebra.table_interpolation_tetrahedral,
        "trilinear": colour.algebra.table_interpolation_trilinear,
    }
    w = legal_to_full(v) if after["input_levels"] == "legal" else v
    for table in tables:
        low, high = table.domain
        place = np.clip((w - low) / (high - low), 0, 1)
        if isinstance(table, colour.LUT3D):
            w = kinds[after["interpolation"]](place, table.table)
        else:
            columns = table.table if table.table.ndim == 2 else np.repeat(table.table[:, None], 3, axis=1)
            axis = np.linspace(0, 1, len(columns))
            w = np.stack([np.interp(place[:, i], axis, columns[:, i]) for i in range(3)], axis=1)
    v = (w * 1023 - 64) / 876 if after["output_levels"] == "legal" else w
    return np.clip(v, 0, 1)


# "Shows and variants" ------------------------------------------------------------------------------------
# What makes a look of a conversion: without these blocks a recipe is the plain conversion.
LOOK_BLOCKS = ("white", "diffusion", "grade", "split", "colour")
UNCHANGED = {"exposure_stops": 0.0, "strength": 1.0, "monochrome": False}


class Look:
    """A recipe, ready to be evaluated: with its camera's trim and as a variant, where a show says so."""

    def __init__(self, tables, camera_trim=None, variant=None):
        self.r = r = recipe.with_defaults(tables)
        self.camera_trim = None if camera_trim is None else recipe.trim_with_defaults(camera_trim)
        self.variant = UNCHANGED | (variant or {})
        self.plain = None
        if self.variant["strength"] != 1:
            bare = {name: table for name, table in tables.items() if name not in LOOK_BLOCKS}
            self.plain = Look(bare, camera_trim, self.variant | {"strength": 1.0})
        self.cone = cone = np.array(colour.CHROMATIC_ADAPTATION_TRANSFORMS[_CAT[r["adaptation"]]], float)
        primaries, camera_white = logs.gamut(r["camera"]["gamut"])
        to_aces = adaptation(cone, camera_white, ACES_WHITE)
        self.camera = np.linalg.inv(AP1) @ to_aces @ primary_matrix(primaries, camera_white)
        kelvin = r["white"]["reference_kelvin"]
        self.white = white.shift_matrix(r["white"], kelvin, cone, AP1)
        self.shadows = self.highlights = None
        if r["split"] is not None:
            self.shadows, self.highlights = (
                white.shift_matrix(part, part.get("reference_kelvin", kelvin), cone, AP1)
                for part in (r["split"].get("shadows", {}), r["split"].get("highlights", {}))
            )
        display_primaries, self.display_white = logs.gamut(r["display"]["gamut"])
        self.display_to_xyz = primary_matrix(display_primaries, self.display_white)
        self.after = read_after(r["after"]["cube"]) if "cube" in r["after"] else None

    def scene(self, code):
        """Code values V to scene-linear AP1 light, up to and including the split (sections 2 to 9)."""
        r, camera = self.r, self.r["camera"]
        x = _times(self.camera, logs.decode(camera["encoding"], code, camera.get("exposure_index")))
        if self.camera_trim is not None:
            x = apply_trim(x, self.camera_trim)
        x = apply_trim(x, r["trim"])
        x = 2.0 ** (r["exposure"]["stops"] + self.variant["exposure_stops"]) * x
        if r["gamut"]["input_compress"]:
            x = compress_input(x)
        x = diffuse(x, r["diffusion"])
        if self.white is not None:
            x = _times(self.white, x)
        x = grade(x, r["grade"])
        if self.shadows is not None or self.highlights is not None:
            x = split(x, r["split"], self.shadows, self.highlights)
        return x

    def graded(self, code):
        """Code values V to XYZ (D65) of the display's light, before it meets the display's gamut (sections 2 to 11)."""
        strength = self.variant["strength"]
        if strength == 0:
            return self.plain.graded(code)
        y = tone(self.scene(code), self.r["tone"])
        xyz = colour_block(_times(adaptation(self.cone, ACES_WHITE, D65) @ AP1, y), self.r["colour"])
        if strength == 1:
            return xyz
        return from_oklab((1 - strength) * oklab(self.plain.graded(code)) + strength * oklab(xyz))

    def display_light(self, code):
        """Code values V to the display's linear light in 0..1 (sections 2 to 12, and `monochrome`)."""
        r, xyz = self.r, self.graded(code)
        rgb = _times(
            np.linalg.inv(self.display_to_xyz) @ adaptation(self.cone, D65, self.display_white), xyz
        )
        if r["gamut"]["output_compress"]:
            rgb = compress_output(rgb, self.display_to_xyz[1], r["gamut"]["threshold"], r["gamut"]["power"])
        rgb = np.where(np.abs(rgb) < 1e-12, 0.0, rgb)
        rgb = np.clip(rgb, 0, 1)
        if self.variant["monochrome"]:
            rgb = np.repeat((rgb @ self.display_to_xyz[1])[:, None], 3, axis=1)
        return rgb

    def output(self, u):
        """LUT inputs u in 0..1 to output signals."""
        lut, display = self.r["lut"], self.r["display"]
        u = np.asarray(u, float)
        code = legal_to_full(u) if lut["input_levels"] == "legal" else u
        v = np.clip(encode_display(self.display_light(code), display["encoding"], display["peak_nits"]), 0, 1)
        if self.after is not None:
            v = lay_after(v, self.after, self.r["after"])
            if self.variant["monochrome"]:
                light = decode_display(v, display["encoding"], display["peak_nits"])
                grey = np.repeat((light @ self.display_to_xyz[1])[:, None], 3, axis=1)
                v = np.clip(encode_display(grey, display["encoding"], display["peak_nits"]), 0, 1)
        return legal_to_full(v) if lut["output_levels"] == "legal" else v
