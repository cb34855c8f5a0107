"""Colour profiles and notes in picture files, seen by programs that know nothing of this project.

The tests of the library write the files (tests/pictures/other_readers.rs). Little CMS, which Pillow brings along, turns RGB
into XYZ and Lab through each profile; the expected numbers come from colour-science: the standards' primaries and curves, and
Bradford's adaptation to the D50 of ICC.1. Pillow, ffmpeg and ffprobe open the pictures and say what stands beside them. Exits 1
if anything disagrees.
"""

import ctypes
import io
import json
import pathlib
import struct
import subprocess
import sys

import colour
import numpy as np
import PIL
from PIL import Image, ImageCms

from program import ROOT
from tally import Tally, finish

# The wish: XYZ within a thousandth of what the standards say.
XYZ_TOLERANCE = 1e-3
# Numbers of a profile are multiples of 1/65536, and L* of a dark grey rises by 903 for each unit of XYZ: 0.014.
LAB_TOLERANCE = 0.02
# D50 of the connection space, as ICC.1 prints it.
D50 = np.array([0.9642, 1.0, 0.8249])

PROFILES = {
    "srgb": ("sRGB", "sRGB", None),
    "display-p3": ("Display P3", "Display P3", None),
    "bt709-gamma24": ("BT.709, Gamma 2.4", "ITU-R BT.709", 2.4),
    "p3-d65-gamma26": ("P3-D65, Gamma 2.6", "P3-D65", 2.6),
    "p3-d65-gamma22": ("P3-D65, Gamma 2.2", "P3-D65", 2.2),
}
# What the stills say of themselves, in ASCII, stands before it where a file has one place for all texts: TIFF and OpenEXR.
CARRIED = {
    "from-jpeg": "slate 12\ncafe\n",
    "from-png": "Title: Tidewater e\nSource: take 7 e\nCaption: the pier - dawn\n",
}
DESCRIPTION = 'through the look "Dusk"; lens diffusion 1/4 simulated: on the lens, not in the LUT'
SIZE = (24, 20)
RELATIVE_COLORIMETRIC = 1


def written():
    """The folder with fresh files."""
    command = ["cargo", "test", "--release", "--quiet", "--locked", "--test", "pictures", "files_for_other_readers"]
    subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    metadata = subprocess.run(
        ["cargo", "metadata", "--no-deps", "--format-version", "1", "--offline"], cwd=ROOT, check=True, capture_output=True
    )
    return pathlib.Path(json.loads(metadata.stdout)["target_directory"]) / "tmp" / "other-readers"


class LittleCms:
    """The library itself, for Pillow offers its conversions in 8 bits only."""

    def __init__(self):
        folder = pathlib.Path(PIL.__file__).parent.parent
        found = sorted(folder.glob("pillow.libs/liblcms2*")) + sorted(folder.glob("PIL/.dylibs/liblcms2*"))
        self.library = ctypes.CDLL(str(found[0]) if found else "liblcms2.so.2")
        for name in ("cmsOpenProfileFromMem", "cmsCreateXYZProfile", "cmsCreateLab4Profile", "cmsCreateTransform"):
            getattr(self.library, name).restype = ctypes.c_void_p

    def convert(self, profile, rgb, space):
        """Rows of RGB through a profile, as XYZ or Lab, in double precision."""
        doubles = lambda number: (1 << 22) | (number << 16) | (3 << 3)
        source = self.library.cmsOpenProfileFromMem(profile, len(profile))
        assert source, "the profile can't be opened"
        if space == "XYZ":
            target, number = self.library.cmsCreateXYZProfile(), 9
        else:
            target, number = self.library.cmsCreateLab4Profile(None), 10
        transform = self.library.cmsCreateTransform(
            ctypes.c_void_p(source), doubles(4), ctypes.c_void_p(target), doubles(number), RELATIVE_COLORIMETRIC, 0
        )
        assert transform, "the profile gives no transform"
        rgb = np.ascontiguousarray(rgb, np.float64)
        out = np.zeros_like(rgb)
        pointer = lambda array: array.ctypes.data_as(ctypes.c_void_p)
        self.library.cmsDoTransform(ctypes.c_void_p(transform), pointer(rgb), pointer(out), len(rgb))
        return out


def expected_xyz(space, power, rgb):
    """What the standards say, under D50."""
    space = colour.RGB_COLOURSPACES[space]
    light = colour.models.eotf_sRGB(rgb) if power is None else rgb**power
    matrix = colour.normalised_primary_matrix(space.primaries, np.array([0.3127, 0.3290]))
    white = colour.xy_to_XYZ(np.array([0.3127, 0.3290]))
    adaptation = colour.adaptation.matrix_chromatic_adaptation_VonKries(white, D50, transform="Bradford")
    return light @ (adaptation @ matrix).T


def check_profiles(folder, xyz, lab, facts):
    cms = LittleCms()
    greys = np.repeat(np.linspace(0, 1, 21)[:, None], 3, axis=1)
    corners = np.array([[r, g, b] for r in (0, 0.5, 1) for g in (0, 0.5, 1) for b in (0, 0.5, 1)], float)
    rgb = np.concatenate([greys, corners])
    for name, (title, space, power) in PROFILES.items():
        profile = (folder / f"{name}.icc").read_bytes()
        expected = expected_xyz(space, power, rgb)
        xyz.add(cms.convert(profile, rgb, "XYZ"), expected, name)
        illuminant = colour.XYZ_to_xy(D50)
        lab.add(cms.convert(profile, rgb, "Lab"), colour.XYZ_to_Lab(expected, illuminant), name)
        opened = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        facts.add_differences([float(ImageCms.getProfileDescription(opened).strip() != title)], name)
        told = opened.profile
        facts.add_differences([float(told.version != 4.3 or told.device_class != "mntr")], f"{name}: kind")
        neutral = cms.convert(profile, greys, "Lab")[:, 1:]
        lab.add(neutral, np.zeros_like(neutral), f"{name}: neutral greys")


def codes(channels):
    """The picture that every file holds, as 16-bit codes."""
    count = SIZE[0] * SIZE[1] * channels
    return (np.arange(count) * 40503 % 65536).reshape(SIZE[1], SIZE[0], channels)


def eight(sixteen):
    """The nearest 8-bit codes."""
    return (sixteen + 128) // 257


def decoded(path, pixels, channels):
    """16-bit or float samples as ffmpeg reads them."""
    command = ["ffmpeg", "-v", "error", "-i", str(path), "-f", "rawvideo", "-pix_fmt", pixels, "-"]
    raw = subprocess.run(command, check=True, capture_output=True).stdout
    if pixels == "gbrpf32le":
        planes = np.frombuffer(raw, "<f4").reshape(3, SIZE[1], SIZE[0])
        return np.stack([planes[2], planes[0], planes[1]], axis=-1)
    return np.frombuffer(raw, "<u2").reshape(SIZE[1], SIZE[0], channels)


def exr_attribute(path, wanted):
    """The value of an attribute of an OpenEXR header, read byte by byte."""
    data, at = path.read_bytes(), 8
    while data[at]:
        end = data.index(0, at)
        kind_end = data.index(0, end + 1)
        (length,) = struct.unpack("<I", data[kind_end + 1 : kind_end + 5])
        value = data[kind_end + 5 : kind_end + 5 + length]
        if data[at:end] == wanted:
            return value
        at = kind_end + 5 + length
    return None


def check_samples(folder, source, samples):
    for name in ("8.png", "8-alpha.png", "8.tif", "8-alpha.tif"):
        with Image.open(folder / f"{source}-{name}") as picture:
            channels = 4 if "alpha" in name else 3
            samples.add(np.asarray(picture).astype(float), eight(codes(channels)), f"{source}-{name}")
    for name, pixels, channels in (("16-alpha.png", "rgba64le", 4), ("16.tif", "rgb48le", 3)):
        found = decoded(folder / f"{source}-{name}", pixels, channels)
        samples.add(found.astype(float), codes(channels), f"{source}-{name}")
    found = decoded(folder / f"{source}-float.exr", "gbrpf32le", 3)
    samples.add(found, (codes(3) / 65535).astype(np.float32), f"{source}-float.exr")


def check_notes(folder, source, facts):
    def fact(what, found, expected):
        if found != expected:
            print(f"{what}: expected {expected!r}, found {found!r}")
        facts.add_differences([float(found != expected)], what)

    profile = (folder / "display-p3.icc").read_bytes()
    for name in ("8.png", "16-alpha.png", "8-alpha.png", "8.jpg", "8.tif", "8-alpha.tif"):
        what = f"{source}-{name}"
        with Image.open(folder / what) as picture:
            picture.load()
            fact(f"{what}: profile", picture.info.get("icc_profile"), profile)
            exif = picture.getexif()
            fact(f"{what}: orientation", exif.get(274), 1)
            fact(f"{what}: maker", exif.get(271), "Ferrycam")
            camera = exif.get_ifd(0x8769)
            fact(f"{what}: exposure", float(camera.get(33434)), 1 / 48)
            fact(f"{what}: date", camera.get(36867), "2026:05:01 05:40:00")
            fact(f"{what}: size", (camera.get(40962), camera.get(40963)), SIZE)
            fact(f"{what}: colour space", camera.get(40961), 65535)
            fact(f"{what}: maker's own data", 37500 in camera, False)
            fact(f"{what}: latitude", exif.get_ifd(0x8825).get(1), "N")
            dpi = tuple(round(float(value)) for value in picture.info["dpi"])
            fact(f"{what}: resolution", dpi, (72, 300))
            if name.endswith("png"):
                packet, words = picture.info.get("XML:com.adobe.xmp"), picture.info.get("Description")
                fact(f"{what}: program", str(picture.info.get("Software")).split()[0], "lookwright")
            elif name.endswith("jpg"):
                packet, words = picture.info.get("xmp"), picture.info.get("comment").decode()
            else:
                packet, words = picture.tag_v2.get(700), picture.tag_v2.get(270)
                fact(f"{what}: program", str(picture.tag_v2.get(305)).split()[0], "lookwright")
            packet = packet.decode() if isinstance(packet, bytes) else packet
            fact(f"{what}: packet", 'tiff:Orientation="1"' in packet and "ferry – pier" in packet, True)
            before = CARRIED[source] if name.endswith("tif") else ""
            fact(f"{what}: description", words, before + DESCRIPTION)
    exr = folder / f"{source}-float.exr"
    told = np.array(struct.unpack("<8f", exr_attribute(exr, b"chromaticities")))
    p3 = [0.680, 0.320, 0.265, 0.690, 0.150, 0.060, 0.3127, 0.3290]
    fact(f"{exr.name}: chromaticities", bool(np.allclose(told, p3, atol=1e-7)), True)
    comments = exr_attribute(exr, b"comments").decode()
    fact(f"{exr.name}: comments", comments, f"{CARRIED[source]}{DESCRIPTION}\nsamples are the signal of: Display P3")
    command = ["ffprobe", "-v", "error", "-show_frames", "-of", "json", str(folder / f"{source}-8.png")]
    told = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)["frames"][0]
    names = [data.get("name") for data in told.get("side_data_list", [])]
    fact(f"{source}-8.png: ffprobe's profile", names, ["Display P3"])


def main():
    folder = written()
    xyz = Tally("profiles: XYZ through Little CMS", XYZ_TOLERANCE, "")
    lab = Tally("profiles: Lab through Little CMS", LAB_TOLERANCE, "")
    samples = Tally("samples beside a profile and notes, other readers", 0, "codes")
    facts = Tally("notes, names and profiles, other readers", 0, "facts")
    check_profiles(folder, xyz, lab, facts)
    for source in ("from-jpeg", "from-png"):
        check_samples(folder, source, samples)
        check_notes(folder, source, facts)
    return finish([xyz, lab, samples, facts])


if __name__ == "__main__":
    sys.exit(main())
