"""A whole show, compiled from outside, against readers and mathematics that are not the program's.

The show of tidewater.py is compiled, and every file that it should hold is looked for, read strictly from its bytes
(here), by colour-science and by ffmpeg's lut3d, held to the rules of its monitor, and compared node by node with the
numpy implementation of docs/look-maths.md. Compiled a second time, with one thread, it must be the same bytes.
Prints, for each, the number of points and the worst disagreement; exits 1 beyond a tolerance.
"""

import hashlib
import json
import pathlib
import re
import sys
import tempfile
import tomllib
import warnings

warnings.filterwarnings("ignore")  # colour-science warns that its plotting is absent; none is used.

import colour
import numpy as np

import look as looks
import pictures
import recipe as recipes
import tidewater
from cross_check import NODE_TOLERANCE, PICTURE_CODES, interpolate
from program import node_inputs, run
from tally import Tally, finish

# What the page of the language promises for each choice of `charset`.
CHARACTERS = {
    "mixed": r"[A-Za-z0-9_]+",
    "upper": r"[A-Z0-9_]+",
    "lower": r"[a-z0-9_]+",
    "upper-plain": r"[A-Z0-9]+",
    "lower-plain": r"[a-z0-9]+",
    "digits": r"[0-9]+",
}
RULES = {"name_max": 20, "charset": "mixed", "name": None, "newline": "lf", "comments": True, "sizes": []}
NEWLINES = {"lf": b"\n", "crlf": b"\r\n"}
# Cube LUT Specification 1.0 (Adobe Systems, 2013): at most 250 bytes a line; here with its end, and below.
LINE_BYTES = 250
ROW = re.compile(rb"[01]\.[0-9]{6} [01]\.[0-9]{6} [01]\.[0-9]{6}")
# Of neighbouring pixels, corners and random colours: enough to tell one table from another.
FRAME_SIDE = 24


class Job:
    """One file that the show must hold."""

    def __init__(self, look, variant, camera, monitor):
        self.look, self.variant, self.camera, self.monitor = look, variant, camera, monitor
        self.rules = RULES | monitor.get("file", {})
        self.key = (look["id"], variant["id"] if variant else None, camera["id"], monitor["id"])
        self.name = "/".join(part or "-" for part in self.key)

    @property
    def size(self):
        wished = self.monitor.get("size", 33)
        return min(self.rules["sizes"], key=lambda size: abs(size - wished)) if self.rules["sizes"] else wished

    @property
    def interpolation(self):
        return self.monitor.get("interpolation", "tetrahedral")

    def reference(self, folder):
        """The look in numpy."""
        tables = recipes.for_show(recipes.read(folder / self.look["recipe"]), self.camera, self.monitor)
        trim = recipes.read(folder / self.camera["trim"])["trim"] if "trim" in self.camera else None
        variant = {key: value for key, value in (self.variant or {}).items() if key != "id"}
        return looks.Look(tables, trim, variant)


def jobs_of(show):
    """Every job that a show declares: look, variants, cameras, monitors."""

    def chosen(look, kind):
        return [entry for entry in show[kind] if entry["id"] in look.get(f"{kind}s", [entry["id"]])]

    return [
        Job(look, variant, camera, monitor)
        for look in show["look"]
        for variant in [None, *look.get("variants", [])]
        for camera in chosen(look, "camera")
        for monitor in chosen(look, "monitor")
    ]


def compile_show(path, out, *options):
    """The entries of the JSON report, by look, variant, camera and monitor. A missed tolerance (exit 1) is no failure here."""
    report = json.loads(run("compile", path, "--out", out, "--json", *options, accept=(0, 1)))
    entries = {}
    for entry in report["luts"]:
        key = (entry["look"], entry["variant"], entry["camera_id"], entry["monitor_id"])
        if key in entries:
            raise SystemExit(f"two files for {key}: {entries[key]['file']} and {entry['file']}")
        if entry["version"] is not None:
            raise SystemExit(f"{entry['file']} is of version {entry['version']}: the show has none")
        entries[key] = entry
    return entries


def strict_read(data, newline):
    """Header lines and rows (n^3 x 3) of a cube file's bytes, or what is wrong with them."""
    faults = []
    lines = data.split(newline)
    if lines.pop() != b"":
        faults.append("the last line has no end")
    if any(b"\r" in line or b"\n" in line for line in lines):
        faults.append("another newline")
    if not data.isascii():
        faults.append("not ASCII")
    longest = max(map(len, lines), default=0) + len(newline)
    if longest >= LINE_BYTES:
        faults.append(f"a line of {longest} bytes")
    first = next((index for index, line in enumerate(lines) if ROW.fullmatch(line)), len(lines))
    header, rows = lines[:first], lines[first:]
    odd = next((line for line in rows if not ROW.fullmatch(line)), None)
    if odd is not None:
        faults.append(f"a row {odd!r}")
        rows = []
    return header, np.array(b" ".join(rows).split(), float).reshape(-1, 3), faults


def header_faults(header, job):
    """What is wrong above the table."""
    comments = [line for line in header if line.startswith(b"#")]
    keywords = [line for line in header if not line.startswith(b"#")]
    faults = []
    if bool(comments) != job.rules["comments"]:
        faults.append(f"{len(comments)} comments where the device {'takes' if job.rules['comments'] else 'refuses'} them")
    size = b"LUT_3D_SIZE %d" % job.size
    if keywords.count(size) != 1:
        faults.append(f"no {size!r}")
    allowed = (size, b"DOMAIN_MIN 0 0 0", b"DOMAIN_MAX 1 1 1")
    others = [line for line in keywords if line not in allowed and not re.fullmatch(rb'TITLE "[^"]+"', line)]
    return faults + [f"a line {line!r}" for line in others]


def folder_of(name):
    """The folder of an id: the id in small letters."""
    return name.lower()


def name_faults(relative, job):
    """What is wrong with the path of a file, below the folder that was asked for."""
    faults, rules = [], job.rules
    *folders, name = relative.parts
    if folders[:3] != [tidewater.SLUG, folder_of(job.monitor["id"]), folder_of(job.look["id"])]:
        faults.append(f"it lies in {'/'.join(folders)}")
    if rules["name"] is not None:
        return faults + ([] if name == rules["name"] else [f"not {rules['name']}"])
    stem, dot, ending = name.rpartition(".")
    if (dot, ending) != (".", "cube"):
        faults.append("it does not end in .cube")
    if len(stem) > rules["name_max"]:
        faults.append(f"{len(stem)} characters, {rules['name_max']} are allowed")
    if not re.fullmatch(CHARACTERS[rules["charset"]], stem):
        faults.append(f"characters beyond {rules['charset']}")
    return faults


def check_paths(out, jobs, entries):
    """One file for each job and no other, and no two paths that a device without case would take for one."""
    whole = Tally("the show holds each of its files once, and no other", 0, "files amiss")
    wanted = {job.key for job in jobs}
    for key in wanted | set(entries):
        whole.add(int(key not in wanted or key not in entries), 0, f"{key}")
    reported = {pathlib.Path(entry["file"]).resolve() for entry in entries.values()}
    on_disk = {path.resolve() for path in out.rglob("*") if path.suffix.lower() == ".cube"}
    for path in reported | on_disk:
        whole.add(int(path not in reported or path not in on_disk), 0, f"{path}")
    case = Tally("paths differ in more than case", 0, "pairs")
    seen = {}
    for path in sorted(out.rglob("*")):
        relative = str(path.relative_to(out))
        twin = seen.setdefault(relative.lower(), relative)
        case.add(int(twin != relative), 0, f"{relative} and {twin}" if twin != relative else relative)
    return [whole, case]


class Readers:
    """Everything that a single file is held to."""

    def __init__(self, folder, out):
        self.folder, self.out = folder, out
        self.names = Tally("names: place, length, characters, the fixed name", 0, "faults")
        self.bytes = Tally("bytes: ASCII, newlines, comments, lines, size", 0, "faults")
        self.hashes = Tally("SHA-256 of the report (hashlib)", 0, "hashes that differ")
        self.nodes = Tally("nodes (numpy implementation of docs/look-maths.md)", NODE_TOLERANCE, "of the signal")
        self.read = Tally("tables as colour-science reads them", 0, "of the signal")
        self.applied = Tally("a picture through ffmpeg's lut3d (colour-science)", PICTURE_CODES, "16-bit codes")
        self.frame = pictures.test_frame()[104 : 104 + FRAME_SIDE, :FRAME_SIDE]
        # Twins hold the same bytes and mean the same look: each is computed and read once.
        self.references, self.tables = {}, {}
        self.picture = folder / "frame.png"
        pictures.write_png16(self.picture, self.frame)

    @property
    def tallies(self):
        return [self.names, self.bytes, self.hashes, self.nodes, self.read, self.applied]

    def hold(self, job, entry):
        """One file; its rows."""
        path = pathlib.Path(entry["file"])
        faults = name_faults(path.resolve().relative_to(self.out), job)
        self.names.add(len(faults), 0, f"{job.name} {path.name} {faults}" if faults else job.name)
        data = path.read_bytes()
        self.hashes.add(int(hashlib.sha256(data).hexdigest() != entry["sha256"]), 0, job.name)
        header, rows, faults = strict_read(data, NEWLINES[job.rules["newline"]])
        faults += header_faults(header, job)
        if len(rows) != job.size**3:
            faults.append(f"{len(rows)} rows for {job.size} points a side")
        self.bytes.add(len(faults), 0, f"{job.name} {faults}" if faults else job.name)
        if not faults:
            self.hold_values(job, path, data, rows)
        return rows

    def hold_values(self, job, path, data, rows):
        inputs = node_inputs(job.size)
        look = job.reference(self.folder)
        meant = (repr(look.r), repr(look.camera_trim), repr(look.variant), job.size)
        if meant not in self.references:
            self.references[meant] = look.output(inputs)
        expected = self.references[meant]
        self.nodes.add(rows, expected, lambda at: f"{job.name}, input {np.round(inputs[at // 3], 4)}")
        table = rows.reshape(*[job.size] * 3, 3).transpose(2, 1, 0, 3)
        if data not in self.tables:
            self.tables[data] = colour.io.read_LUT(str(path)).table
        self.read.add(self.tables[data], table, job.name)
        target = self.folder / "applied.png"
        pictures.ffmpeg_lut3d(self.picture, path, job.interpolation, "gbrp16le", target)
        shown = interpolate(table, self.frame / 65535, job.interpolation)
        self.applied.add(pictures.read_png16(target), np.rint(np.clip(shown, 0, 1) * 65535), job.name)


def check_fingerprints(jobs, entries, again, out, out_again, tables):
    """The same job is the same bytes, fingerprint and path; one fingerprint is one table."""
    twice = Tally("compiled twice, the second time with one thread, unverified: same paths, bytes, fingerprints", 0, "differences")
    for job in jobs:
        first, second = entries[job.key], again[job.key]
        one, other = pathlib.Path(first["file"]), pathlib.Path(second["file"])
        differences = [
            what
            for what, same in (
                ("path", one.resolve().relative_to(out) == other.resolve().relative_to(out_again)),
                ("bytes", one.read_bytes() == other.read_bytes()),
                ("fingerprint", first["fingerprint"] == second["fingerprint"]),
            )
            if not same
        ]
        twice.add(len(differences), 0, f"{job.name} {differences}" if differences else job.name)
    shared = Tally("files of one fingerprint hold one table", 0, "of the signal")
    first_with = {}
    for job in jobs:
        known = first_with.setdefault(entries[job.key]["fingerprint"], job)
        if known is not job:
            shared.add(tables[job.key], tables[known.key], f"{job.name} and {known.name}")
    print(f"       {len(jobs)} files, {len(first_with)} fingerprints")
    return [twice, shared, check_twins(jobs, entries)]


def check_twins(jobs, entries):
    """Cameras that record alike and have no trim have files of one fingerprint: names are no part of it."""
    alike = Tally("cameras that record alike share fingerprints", 0, "fingerprints that differ")
    for job in jobs:
        twin = (*job.key[:2], "a2", job.key[3])
        if job.key[2] == "a" and twin in entries:
            alike.add(int(entries[job.key]["fingerprint"] != entries[twin]["fingerprint"]), 0, job.name)
    return alike


def check_like_ids(folder):
    """Ids that make one folder name (`deck_1`, `deck-1`): the show is refused, or each of its files has a path of its own."""
    tally = Tally("ids that differ in a hyphen: refused, or a file each", 0, "files lost")
    for kind in ("camera", "monitor", "look"):
        place = folder / kind
        path = tidewater.write_like_ids(place, kind)
        text = run("compile", path, "--out", place / "out", "--json", accept=(0, 1, 2))
        files = [entry["file"] for entry in json.loads(text).get("luts", [])]
        tally.add(len(files) - len(set(files)), 0, f"two {kind}s: {files}")
    return tally


def main():
    print(f"lookwright: {run('--version').strip()}; colour-science {colour.__version__}, numpy {np.__version__}")
    with tempfile.TemporaryDirectory() as temporary:
        folder = pathlib.Path(temporary).resolve()
        path = tidewater.write(folder / "show")
        jobs = jobs_of(tomllib.loads(path.read_text(encoding="utf-8")))
        out, out_again = folder / "out", folder / "again"
        entries = compile_show(path, out)
        tallies = check_paths(out, jobs, entries)
        if not tallies[0].passed:
            return finish(tallies)
        readers = Readers(path.parent, out)
        tables = {job.key: readers.hold(job, entries[job.key]) for job in jobs}
        again = compile_show(path, out_again, "--threads", "1", "--no-verify")
        tallies += readers.tallies + check_fingerprints(jobs, entries, again, out, out_again, tables)
        return finish([*tallies, check_like_ids(folder / "like")])


if __name__ == "__main__":
    sys.exit(main())
