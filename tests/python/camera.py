"""Log encodings and gamuts under lookwright's names, computed by colour-science.

An encoding is a pair of functions between a code value V (10-bit code / 1023, full range) and scene-linear
light with 18 % grey at 0.18. Source of every formula: colour-science (its docstrings cite the makers'
documents); where its defaults speak of another revision or of legal range, the arguments say so.
"""

import functools

import colour
import numpy as np

# lookwright's id -> (name of colour-science's pair of functions, arguments of both directions).
_LOG = {
    "logc4": ("ARRILogC4", {}),
    "s-log": ("SLog", {}),
    "s-log2": ("SLog2", {}),
    "s-log3": ("SLog3", {}),
    "v-log": ("VLog", {}),
    "f-log": ("FLog", {}),
    "f-log2": ("FLog2", {}),
    "c-log": ("CanonLog", {"method": "v1.2"}),
    "c-log-v1": ("CanonLog", {"method": "v1"}),
    "c-log2": ("CanonLog2", {"method": "v1.2"}),
    "c-log2-v1": ("CanonLog2", {"method": "v1"}),
    "c-log3": ("CanonLog3", {"method": "v1.2"}),
    "c-log3-v1": ("CanonLog3", {"method": "v1"}),
    "n-log": ("NLog", {}),
    "d-log": ("DJIDLog", {}),
    "l-log": ("LLog", {}),
    "mi-log": ("MiLog", {}),
    "t-log": ("FilmLightTLog", {}),
    "log3g10": ("Log3G10", {"method": "v3"}),
    "log3g10-v1": ("Log3G10", {"method": "v1"}),
    "log3g10-v2": ("Log3G10", {"method": "v2"}),
    "log3g12": ("Log3G12", {}),
    "redlog": ("REDLog", {}),
    "redlogfilm": ("REDLogFilm", {}),
    "apple-log": ("AppleLogProfile", {}),
    "protune": ("Protune", {}),
    "panalog": ("Panalog", {}),
    "p-log": ("PivotedLog", {}),
    "viper-log": ("ViperLog", {}),
    "cineon": ("Cineon", {}),
    "acescc": ("ACEScc", {}),
    "acescct": ("ACEScct", {}),
    "acesproxy10": ("ACESproxy", {"bit_depth": 10}),
    "acesproxy12": ("ACESproxy", {"bit_depth": 12}),
}

# The exposure indices of the published table (ARRI 2012, "ALEXA - Log C Curve - Usage in VFX").
LOGC3_INDICES = (160, 200, 250, 320, 400, 500, 640, 800, 1000, 1280, 1600)

_GAMUTS = {
    "awg3": "ARRI Wide Gamut 3",
    "awg4": "ARRI Wide Gamut 4",
    "s-gamut": "S-Gamut",
    "s-gamut3": "S-Gamut3",
    "s-gamut3.cine": "S-Gamut3.Cine",
    "venice-s-gamut3": "Venice S-Gamut3",
    "venice-s-gamut3.cine": "Venice S-Gamut3.Cine",
    "v-gamut": "V-Gamut",
    "f-gamut": "F-Gamut",
    "f-gamut-c": "F-Gamut C",
    "cinema-gamut": "Cinema Gamut",
    "n-gamut": "N-Gamut",
    "d-gamut": "DJI D-Gamut",
    "redwidegamutrgb": "REDWideGamutRGB",
    "blackmagic-wide-gamut": "Blackmagic Wide Gamut",
    "protune-native": "Protune Native",
    "acescg": "ACEScg",
    "aces2065-1": "ACES2065-1",
    "bt709": "ITU-R BT.709",
    "srgb": "sRGB",
    "bt2020": "ITU-R BT.2020",
    "p3-d65": "P3-D65",
    "p3-dci": "DCI-P3",
    "display-p3": "Display P3",
}


GAMUT_IDS = tuple(_GAMUTS)


def canonical(name):
    """A name as lookwright compares it: no case, spaces, hyphens, dots or underscores."""
    return "".join(c for c in name.lower() if c not in " -._")


def _by_canonical(table):
    return {canonical(name): name for name in table}


def encoding_id(name):
    """The canonical id of an encoding, whatever its spelling."""
    every = list(_LOG) + ["logc3", "linear", "bmd-film-gen5"]
    return _by_canonical(every)[canonical(name)]


def ids():
    """Every encoding as (id, exposure index or None)."""
    plain = [(name, None) for name in (*_LOG, "bmd-film-gen5", "linear")]
    return plain + [("logc3", index) for index in LOGC3_INDICES]


def _functions(name, exposure_index):
    if name == "linear":
        return (lambda x: x), (lambda v: v)
    if name == "logc3":
        if exposure_index not in LOGC3_INDICES:
            raise ValueError(f"LogC3 has no exposure index {exposure_index}")
        arguments = {"EI": exposure_index}
        return (
            functools.partial(colour.models.log_encoding_ARRILogC3, **arguments),
            functools.partial(colour.models.log_decoding_ARRILogC3, **arguments),
        )
    if name == "bmd-film-gen5":
        return (
            colour.models.oetf_BlackmagicFilmGeneration5,
            colour.models.oetf_inverse_BlackmagicFilmGeneration5,
        )
    family, arguments = _LOG[name]
    return (
        functools.partial(getattr(colour.models, f"log_encoding_{family}"), **arguments),
        functools.partial(getattr(colour.models, f"log_decoding_{family}"), **arguments),
    )


def decode(name, code, exposure_index=None):
    """Code value (fraction of full scale) to scene-linear light."""
    return np.asarray(_functions(encoding_id(name), exposure_index)[1](np.asarray(code, float)), float)


def encode(name, linear, exposure_index=None):
    """Scene-linear light to code value (fraction of full scale)."""
    return np.asarray(_functions(encoding_id(name), exposure_index)[0](np.asarray(linear, float)), float)


def gamut(name):
    """Primaries (3x2) and white (2) of a gamut as xy chromaticities."""
    space = colour.RGB_COLOURSPACES[_GAMUTS[_by_canonical(_GAMUTS)[canonical(name)]]]
    return np.asarray(space.primaries, float), np.asarray(space.whitepoint, float)
