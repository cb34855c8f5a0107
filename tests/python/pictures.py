"""16-bit pictures: test frames, PNG files, and other programs that apply a LUT to them."""

import pathlib
import shutil
import struct
import subprocess
import zlib

import numpy as np

from program import run


def test_frame(width=512, height=384, seed=2014):
    """A frame (height x width x 3, 16-bit codes) of ramps, primaries, random colours and the corners of the cube."""
    generator = np.random.default_rng(seed)
    frame = generator.integers(0, 65536, (height, width, 3))
    ramp = np.linspace(0, 65535, width).round().astype(int)
    frame[:64] = ramp[None, :, None]
    for channel in range(3):
        band = slice(64 + 16 * channel, 80 + 16 * channel)
        frame[band] = 0
        frame[band, :, channel] = ramp
    corners = np.array([[r, g, b] for r in (0, 65535) for g in (0, 65535) for b in (0, 65535)])
    frame[112, : len(corners)] = corners
    # The nodes of a 33-point table and their neighbours, where interpolation changes its cell.
    nodes = np.rint(np.arange(33) * 65535 / 32).astype(int)
    frame[113, : 33 * 3] = np.clip(np.concatenate([nodes - 1, nodes, nodes + 1]), 0, 65535)[:, None]
    return frame.astype(np.uint16)


def write_png16(path, frame):
    """An RGB PNG with 16 bits a channel (PNG specification, filter 0), written here so that no library converts it."""
    height, width, _ = frame.shape
    rows = np.concatenate(
        [np.zeros((height, 1), np.uint8), frame.astype(">u2").reshape(height, -1).view(np.uint8)], axis=1
    )

    def chunk(kind, data):
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    header = struct.pack(">IIBBBBB", width, height, 16, 2, 0, 0, 0)
    data = chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(rows.tobytes(), 1)) + chunk(b"IEND", b"")
    pathlib.Path(path).write_bytes(b"\x89PNG\r\n\x1a\n" + data)


def read_png16(path):
    """Codes of an RGB PNG with 16 bits a channel, decoded here: no library is trusted to keep 16 bits."""
    data = pathlib.Path(path).read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n", f"{path} is no PNG"
    at, packed, header = 8, b"", None
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        kind, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        if kind == b"IHDR":
            header = struct.unpack(">IIBBBBB", body)
        if kind == b"IDAT":
            packed += body
        at += 12 + length
    width, height, depth, colour_type = header[:4]
    assert (depth, colour_type, header[6]) == (16, 2, 0), f"{path}: {depth} bits, colour type {colour_type}"
    return _unfilter(zlib.decompress(packed), width, height)


def _unfilter(raw, width, height):
    """Filters of the PNG specification: each byte needs those to its left and above, so that a diagonal can be worked out at once."""
    rows = np.frombuffer(raw, np.uint8).reshape(height, width * 6 + 1)
    kinds, lines = rows[:, 0].astype(int), rows[:, 1:].reshape(height, width, 6)
    assert kinds.max() <= 4, f"filter {kinds.max()}"
    # A border of zeros stands for what is above and to the left.
    out = np.zeros((height + 1, width + 1, 6), np.int16)
    for diagonal in range(width + height - 1):
        y = np.arange(max(0, diagonal - width + 1), min(height - 1, diagonal) + 1)
        x = diagonal - y
        left, up, corner = out[y + 1, x], out[y, x + 1], out[y, x]
        # Paeth: whichever is next to left + up - corner; the first of those that are equally near.
        a, b, c = np.abs(up - corner), np.abs(left - corner), np.abs(left + up - 2 * corner)
        paeth = np.where((a <= b) & (a <= c), left, np.where(b <= c, up, corner))
        guess = np.choose(kinds[y][:, None], [np.zeros_like(left), left, up, (left + up) // 2, paeth])
        out[y + 1, x + 1] = (lines[y, x] + guess) & 255
    codes = out[1:, 1:].astype(np.uint8).reshape(height, width * 6)
    return codes.view(">u2").reshape(height, width, 3).astype(np.uint16)


def preview(cube, recipe, picture, folder):
    """The picture through a cube file as `preview` writes it at 16 bits; the recipe says how the device interpolates."""
    folder.mkdir(parents=True, exist_ok=True)
    run("preview", cube, picture, "--recipe", recipe, "--out", folder, "--format", "png", "--depth", "16")
    written = sorted(folder.glob("*.png"))
    assert len(written) == 1, f"preview wrote {[path.name for path in written]}"
    return read_png16(written[0])


def ffmpeg_lut3d(picture, cube, interpolation, layout, target):
    """ffmpeg's lut3d filter on a 16-bit picture, in a planar (gbrp16le) or packed (rgb48le) layout."""
    if shutil.which("ffmpeg") is None:
        raise SystemExit("ffmpeg is missing: apt-get install ffmpeg")
    kind = {"tetrahedral": "tetrahedral", "trilinear": "trilinear"}[interpolation]
    steps = f"format={layout},lut3d=file={pathlib.Path(cube).name}:interp={kind},format=rgb48be"
    command = ["ffmpeg", "-nostdin", "-v", "error", "-y", "-i", str(picture), "-vf", steps, str(target)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=pathlib.Path(cube).parent)
    if done.returncode != 0:
        raise SystemExit(f"ffmpeg: {done.stderr}")
