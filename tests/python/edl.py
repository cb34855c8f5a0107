"""Edit decision lists that `tests/cdl` wrote corrections into, read by a general editorial library: its clips carry the same numbers.

The library: opentimelineio 0.18.1 with its CMX 3600 adapter 1.0.0.
"""

import json
import pathlib
import sys

import opentimelineio

FOLDER = pathlib.Path(__file__).resolve().parents[2] / "target" / "tmp" / "edl"


def numbers(clip):
    """Name and the ten numbers of a clip; None for one without a correction."""
    cdl = clip.metadata.get("cdl")
    if not cdl:
        return None
    sop = cdl["asc_sop"]
    return {
        "clip": clip.name,
        "slope": list(sop["slope"]),
        "offset": list(sop["offset"]),
        "power": list(sop["power"]),
        "saturation": cdl["asc_sat"],
    }


def main():
    compared, wrong = 0, []
    for case in json.loads((FOLDER / "expected.json").read_text()):
        text = (FOLDER / case["file"]).read_bytes().decode("utf-8")
        timeline = opentimelineio.adapters.read_from_string(text, "cmx_3600", rate=case["rate"])
        found = [one for one in map(numbers, timeline.find_clips()) if one]
        compared += len(found)
        if found != case["events"]:
            wrong.append(f"{case['file']}: expected {case['events']}, found {found}")
    print(*wrong, sep="\n")
    print(f"{compared} corrections of edit decision lists compared, {len(wrong)} lists differ")
    return 1 if wrong or compared < 9 else 0


if __name__ == "__main__":
    sys.exit(main())
