"""Media hash lists of packages against the reference implementation of ASC MHL, `ascmhl`.

It must read ours, find every file in it right and find every change; and make the same hashes of files and folders itself.
"""

import pathlib
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree

from packages import made

SPACE = "{urn:ASC:MHL:v2.0}"


def tool(name, *arguments):
    """Exit code and output of a tool of the reference implementation."""
    command = [pathlib.Path(sys.executable).parent / name, *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr


def hashes(folder, generation="0001"):
    """The xxh128 of a hash list: of each file one, of each folder and of the root two; and the size of each file."""
    (path,) = (folder / "ascmhl").glob(f"{generation}_*.mhl")
    root = ElementTree.parse(path).getroot()
    assert root.tag == f"{SPACE}hashlist" and root.get("version") == "2.0", root.tag
    found = {}
    for entry in root.iter(f"{SPACE}hash"):
        place = entry.find(f"{SPACE}path")
        # The reference implementation leaves out the size of an empty file.
        found[place.text] = (place.get("size", "0"), entry.findtext(f"{SPACE}xxh128"))
    folders = [(entry.findtext(f"{SPACE}path"), entry) for entry in root.iter(f"{SPACE}directoryhash")]
    for name, entry in [*folders, ("", root.find(f"{SPACE}processinfo/{SPACE}roothash"))]:
        found[f"{name}/"] = tuple(entry.findtext(f"{SPACE}{kind}/{SPACE}xxh128") for kind in ("content", "structure"))
    return found


def check_same_hashes(package, folder):
    """The reference implementation makes the same list of the same files."""
    copy = folder / "copy"
    shutil.copytree(package, copy, ignore=shutil.ignore_patterns("ascmhl"))
    code, told = tool("ascmhl", "create", "-h", "xxh128", "-i", "SHA256SUMS", copy)
    assert code == 0, told
    ours, theirs = hashes(package), hashes(copy)
    assert ours == theirs, set(ours.items()) ^ set(theirs.items())
    assert len(ours) > 8 and all(all(pair) for pair in ours.values()), ours
    return len(ours)


def check_accepted(package):
    """All of the tools accept the package as it is."""
    code, told = tool("ascmhl", "info", package)
    assert code == 0 and "Generation 1 (2026-11-30T08:00:00+00:00)" in told, told
    for arguments in (["ascmhl", "diff", package], ["ascmhl-debug", "verify", package],
                      ["ascmhl-debug", "verify", "-dh", "-h", "xxh128", package]):
        code, told = tool(*arguments)
        assert code == 0, (arguments, told)


def check_changes_are_found(package, folder):
    """A changed byte, a file more, a file less, another name and a changed list: each makes the tool fail."""
    def change(root, name):
        if name == "byte":
            (root / "README.txt").write_bytes((root / "README.txt").read_bytes()[:-1] + b"!")
        elif name == "more":
            (root / "luts/other.cube").write_text("other\n")
        elif name == "less":
            (root / "README.txt").unlink()
        elif name == "other name":
            (root / "README.txt").rename(root / "READ.txt")
        else:
            (path,) = (root / "ascmhl").glob("0001_*.mhl")
            path.write_text(path.read_text(encoding="utf-8").replace("lookwright", "otherwise"), encoding="utf-8")

    for name in ("byte", "more", "less", "other name", "list"):
        copy = folder / name
        shutil.copytree(package, copy)
        change(copy, name)
        code, told = tool("ascmhl-debug", "verify", copy)
        assert code != 0, f"{name}: not found\n{told}"


def check_next_generation(package):
    """Whoever receives the package can go on with its history: everything is verified against our list."""
    code, told = tool("ascmhl", "create", "-v", "-h", "xxh128", package)
    assert code == 0, told
    (path,) = (package / "ascmhl").glob("0002_*.mhl")
    actions = [entry.get("action") for entry in ElementTree.parse(path).getroot().iterfind(f".//{SPACE}hash/{SPACE}xxh128")]
    assert len(actions) > 4 and set(actions) == {"verified"}, actions


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        _, package = made(folder)
        check_accepted(package)
        count = check_same_hashes(package, folder)
        check_changes_are_found(package, folder)
        check_next_generation(package)
        print(f"media hashes: {count} files and folders as the reference implementation has them, five changes found")


if __name__ == "__main__":
    main()
