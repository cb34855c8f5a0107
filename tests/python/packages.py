"""Packages against programs that know nothing of this project: Python's zipfile, unzip and sha256sum.

The packages are those of the test program `package`, which writes them where this script says.
"""

import collections
import hashlib
import os
import pathlib
import subprocess
import tempfile
import zipfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
TEST = "round_trips::other_programs_accept_the_archive_and_the_checksums"


def made(folder):
    """Has the test program write tidewater.zip and the folder tidewater, and gives both paths."""
    command = ["cargo", "test", "--release", "--quiet", "--locked", "--test", "package", "--", "--exact", TEST]
    environment = {**os.environ, "LOOKWRIGHT_PACKAGES_IN": str(folder), "CARGO_TARGET_DIR": str(ROOT / "target")}
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return folder / "tidewater.zip", folder / "tidewater"


def tree(folder):
    """Path and bytes of every file in a folder."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def check_zipfile(archive, files):
    """Python's zipfile reads the same files, and the fields that must not depend on machine or moment."""
    with zipfile.ZipFile(archive) as package:
        assert package.testzip() is None
        entries = package.infolist()
        assert {entry.filename: package.read(entry) for entry in entries} == files
    assert len(entries) == len(files), "a name is there twice"
    for entry in entries:
        assert entry.date_time == (1980, 1, 1, 0, 0, 0), (entry.filename, entry.date_time)
        assert entry.external_attr >> 16 == 0o100644 and entry.create_system == 3, entry.filename
        assert entry.extra == b"" and entry.comment == b"", entry.filename
        # Bit 11: the name is UTF-8. Source: PKWARE, APPNOTE.TXT, section 4.4.4.
        assert entry.filename.isascii() or entry.flag_bits & 0x800, entry.filename
    assert any(not entry.filename.isascii() for entry in entries), "no name tries the encoding"
    kinds = collections.Counter(entry.compress_type for entry in entries)
    assert set(kinds) <= {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED} and kinds[zipfile.ZIP_DEFLATED], kinds


def check_unzip(archive, files, folder):
    """unzip finds no fault and unpacks the same files."""
    subprocess.run(["unzip", "-tqq", archive], check=True)
    subprocess.run(["unzip", "-qq", archive, "-d", folder], check=True)
    # Names outside ASCII depend on unzip's locale: compared by their bytes' hashes.
    hashes = lambda found: sorted(hashlib.sha256(data).hexdigest() for data in found.values())
    assert hashes(tree(folder)) == hashes(files)


def check_sums(folder):
    """sha256sum accepts the list, it names every file but itself in order, and one changed byte is found."""
    sums = folder / "SHA256SUMS"
    paths = [line.split("  ", 1)[1] for line in sums.read_text(encoding="utf-8").splitlines()]
    assert paths == sorted(set(tree(folder)) - {"SHA256SUMS"}), paths
    command = ["sha256sum", "--check", "--strict", "--quiet", "SHA256SUMS"]
    subprocess.run(command, cwd=folder, check=True)
    readme = folder / "README.txt"
    kept = readme.read_bytes()
    readme.write_bytes(kept[:-1] + b"!")
    done = subprocess.run(command, cwd=folder, capture_output=True, check=False)
    readme.write_bytes(kept)
    assert done.returncode == 1 and b"README.txt: FAILED" in done.stdout, done


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        archive, plain = made(folder)
        files = tree(plain)
        check_zipfile(archive, files)
        check_unzip(archive, files, folder / "unzipped")
        check_sums(plain)
        print(f"packages: {len(files)} files read back by zipfile and unzip, checked by sha256sum")


if __name__ == "__main__":
    main()
