"""The viewer of look reports in a real browser: what it draws against what `preview` makes of the same still.

A still is dropped on the page, the picture is saved by the page's own button and compared code by code: drawn by WebGL 2 (on SwiftShader,
so that no graphics card is needed) and without it, with both interpolations, exposed, at both levels, with a colour profile in the file
that nobody may follow. Also a clip, files that are no pictures, keys, a phone's width, and that nothing is fetched. The tolerance, one
code of 8 bits, is this project's own: page and program round at different places.
"""

import base64
import functools
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import time

import numpy as np
from PIL import Image

from devtools import Browser
from pages import PHONE
from pictures import read_png16, test_frame, write_png16
from program import ROOT, run
from tally import Tally, finish

RECIPE = ROOT / "recipes" / "dusk-car-deck.toml"

# How the browser gets at a graphics processor, or at none.
DRAWN = {
    "gpu": ["--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"],
    "cpu": ["--disable-gpu", "--disable-3d-apis"],
}

# Two devices that have nothing in common.
DEVICES = {
    "full": ["lut.size=33"],
    "legal": ["lut.size=17", "lut.interpolation=trilinear", "lut.input_levels=legal", "lut.output_levels=legal"],
}

# A look that exposes by a stop more is not the same table as a still that does: the tables differ between their points. The verifier holds greys
# to 4 codes of 10 bits, so 1 of 8, for each of both; with both roundings 3. Greys only, and the device that the recipe is verified for.
STOP_CODES = 3

# Rounding to YCbCr moves Y by half of 255/219 codes, Cb and Cr by half of 255/224, which blue takes 1.8556 times, red 1.5748 times (ITU-R BT.709):
# 1.6 in all, and rounding to R, G and B half a code more.
CLIP_CODES = 2

# Seconds after which the page has measured a small picture.
MEASURED = 0.25

DROP = """(() => {
  const bytes = Uint8Array.from(atob("%s"), (c) => c.charCodeAt(0));
  const data = new DataTransfer();
  data.items.add(new File([bytes], "%s", { type: "%s" }));
  for (const kind of ["dragover", "drop"]) {
    document.querySelector("h1").dispatchEvent(new DragEvent(kind, { dataTransfer: data, bubbles: true, cancelable: true }));
  }
})()"""


class Viewer:
    """The viewer of one page in one browser."""

    def __init__(self, browser, page, downloads):
        self.browser, self.downloads = browser, downloads
        browser.show(page.as_uri())
        browser.ask("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(downloads))

    def text(self, name):
        return self.browser.run(f"document.getElementById('viewer-{name}').textContent")

    def drop(self, path, kind):
        """Drops a file on the page's headline and waits until the page has said something about it."""
        data = base64.b64encode(path.read_bytes()).decode()
        # A measurement of the picture before may still be under way.
        time.sleep(MEASURED)
        self.browser.run("for (const id of ['difference', 'error']) document.getElementById('viewer-' + id).textContent = ''")
        self.browser.run(DROP % (data, path.name, kind))
        said = "['difference', 'error'].some((id) => document.getElementById('viewer-' + id).textContent !== '')"
        self.browser.until(said, "the page's words on a picture")

    def click(self, name):
        """What a button does is drawn when this comes back; only the difference of both interpolations is measured later."""
        self.browser.run(f"document.getElementById('viewer-{name}').click()")

    def choose(self, name, value):
        self.browser.run(
            f"(() => {{ const e = document.getElementById('viewer-{name}'); e.value = '{value}'; e.dispatchEvent(new Event('change')); }})()"
        )

    def saved(self):
        """The picture that the page's button saves."""
        self.browser.run("document.getElementById('viewer-save').click()")
        self.browser.wait_for(lambda: [one for one in self.downloads.iterdir() if one.suffix == ".png"], "the saved picture")
        (path,) = [one for one in self.downloads.iterdir() if one.suffix == ".png"]
        with Image.open(path) as picture:
            assert picture.mode in ("RGB", "RGBA"), picture.mode
            codes = np.asarray(picture.convert("RGB"), int)
        name = path.name
        path.unlink()
        return codes, name

    def point(self, x, y):
        """Moves the pointer to a pixel and gives what the page reads there: four rows of three codes."""
        self.browser.run(
            f"""(() => {{ const c = document.querySelector('#viewer-canvas canvas'), b = c.getBoundingClientRect();
            c.dispatchEvent(new PointerEvent('pointermove', {{ clientX: b.left + ({x} + .5) / c.width * b.width,
            clientY: b.top + ({y} + .5) / c.height * b.height, bubbles: true }})) }})()"""
        )
        assert self.text("at") == f"{x}, {y}", self.text("at")
        return [[int(code) for code in self.text(name).split()] for name in ("before", "before-ten", "after", "after-ten")]

    def key(self, key, shift=False):
        for kind in ("keyDown", "keyUp"):
            self.browser.ask("Input.dispatchKeyEvent", type=kind, key=key, code=key, modifiers=8 if shift else 0)


def previewed(folder, still, device, *options, depth=8):
    """What `preview` makes of a still, in codes of `depth` bits; for both ways of drawing it is asked once."""
    return asked_once(folder, still, tuple(device), options, depth)


@functools.cache
def asked_once(folder, still, device, options, depth):
    out = folder / "previews"
    sets = [part for one in device for part in ("--set", one)]
    run("preview", RECIPE, still, "--out", out, "--depth", depth, *sets, *options)
    (path,) = out.glob(f"{still.stem}.*.png")
    if depth == 16:
        codes = read_png16(path).astype(int)
    else:
        with Image.open(path) as picture:
            codes = np.asarray(picture.convert("RGB"), int)
    path.unlink()
    return codes


def made(folder):
    """The report for each device, and a still: random colours, ramps and corners, in a file whose profile says Display P3."""
    pages = {}
    for name, device in DEVICES.items():
        sets = [part for one in device for part in ("--set", one)]
        run("compile", RECIPE, "--report", "--out", folder / name, *sets, accept=(0, 1))
        (pages[name],) = (folder / name).glob("*.report.html")
    frame = (test_frame(256, 160) >> 8).astype(np.uint8)
    plain = folder / "still.png"
    Image.fromarray(frame).save(plain)
    run("preview", RECIPE, plain, "--for-screen=display-p3", "--out", folder / "profile")
    with Image.open(next((folder / "profile").glob("*.png"))) as shown:
        profile = shown.info["icc_profile"]
    assert b"Display P3" in profile or b"D\0i\0s\0p" in profile, "no Display P3 profile"
    profiled = folder / "profiled.png"
    Image.fromarray(frame).save(profiled, icc_profile=profile)
    # The same signal, as it was before something stretched its codes 64 to 940 over 0 to 255.
    narrow = folder / "narrow.png"
    write_png16(narrow, np.rint((64 + 876 * (frame / 255)) / 1023 * 65535).astype(np.uint16))
    return pages, frame, plain, profiled, narrow


class Tallies:
    def __init__(self):
        self.drawn = Tally("viewer against preview", 1, "codes of 255")
        self.difference = Tally("difference of both interpolations that the page tells", 0, "codes of 255")
        self.exposed = Tally("a stop in the page against preview --stops", 1, "codes of 255")
        self.look = Tally("a stop in the page against a look that exposes a stop more, greys", STOP_CODES, "codes of 255")
        self.stretched = Tally("a picture of legal levels against its full one", 1, "codes of 255")
        self.read = Tally("codes under the pointer", 1, "codes of 255 or 1023")
        self.frames = Tally("a clip's frame as the page reads it", CLIP_CODES, "codes of 255")
        self.clip = Tally("a clip of legal levels against preview of that frame", 1, "codes of 255")
        self.said = Tally("words that the page lacks", 0, "words")
        self.fetched = Tally("addresses that the page asked for, errors it ran into", 0, "addresses")
        self.wide = Tally("CSS pixels wider than a phone", 0, "px")
        self.keys = Tally("keys that did something else", 0, "keys")

    def all(self):
        return list(vars(self).values())


def hold_words(tally, words, wanted, where):
    tally.add_differences([sum(one not in words for one in wanted)], f"{where}: {words!r} lacks one of {wanted}")


def hold_stills(viewer, tallies, folder, made_stills, name, kind):
    """Both interpolations, exposure, levels and codes of one device."""
    frame, plain, profiled, narrow = made_stills
    device, where = DEVICES[name], f"{name}, {kind}"
    viewer.drop(profiled, "image/png")
    hold_words(tallies.said, viewer.text("state"), ["WebGL 2" if kind == "gpu" else "without a graphics processor", "256 × 160"], where)
    own, other = ("trilinear", "tetrahedral") if name == "legal" else ("tetrahedral", "trilinear")
    first, saved_as = viewer.saved()
    hold_words(tallies.said, saved_as, ["profiled.dusk-car-deck"], where)
    tallies.drawn.add(first, previewed(folder, plain, device), f"{where}, {own}")
    told = re.search(r"by (\d+) of 255", viewer.text("difference"))
    viewer.choose("interpolation", other)
    second, _ = viewer.saved()
    tallies.drawn.add(second, previewed(folder, plain, [*device, f"lut.interpolation={other}"]), f"{where}, {other}")
    tallies.difference.add(int(told.group(1)) if told else 0, np.abs(first - second).max(), where)
    # Otherwise the switch, or the test frame, does nothing.
    assert np.abs(first - second).max() > 1, where
    viewer.click("reset")
    for x, y in ((3, 112), (200, 150), (255, 10)):
        before, before_ten, after, after_ten = viewer.point(x, y)
        deep = previewed(folder, plain, device, depth=16)[y, x] / 65535
        tallies.read.add(before, frame[y, x], f"{where}, before at {x} {y}")
        tallies.read.add(before_ten, np.rint(frame[y, x] / 255 * 1023), f"{where}, before at {x} {y}")
        tallies.read.add(after, first[y, x], f"{where}, after at {x} {y}")
        tallies.read.add(after_ten, np.rint(deep * 1023), f"{where}, after at {x} {y}")
    for button, stops in (("brighter", "1"), ("darker", "-1")):
        viewer.click("reset")
        viewer.click(button)
        exposed, _ = viewer.saved()
        tallies.exposed.add(exposed, previewed(folder, plain, device, f"--stops={stops}"), f"{where}, {stops} stops")
        if button == "brighter" and name == "full":
            sets = [*device, "exposure.stops=0.6"]
            # The ramp of greys: the rest of the frame is colours that no camera records.
            tallies.look.add(exposed[:64], previewed(folder, plain, sets)[:64], where)
    viewer.click("reset")
    viewer.choose("picture", "legal")
    stretched, _ = viewer.saved()
    tallies.stretched.add(stretched, previewed(folder, narrow, device), where)
    viewer.click("reset")


def hold_refusals(viewer, tallies, folder, where):
    """What is no picture is told, and the picture before it stays."""
    for name, kind in (("frame.exr", ""), ("take.mov", "video/quicktime"), ("raw.dng", "image/x-adobe-dng")):
        path = folder / name
        path.write_bytes(b"\x76\x2f\x31\x01" + bytes(2000))
        viewer.drop(path, kind)
        hold_words(tallies.said, viewer.text("error"), [name, "PNG", "H.264", "lookwright preview"], where)
    deep = folder / "deep.png"
    write_png16(deep, test_frame(128, 128))
    viewer.drop(deep, "image/png")
    hold_words(tallies.said, viewer.text("state"), ["16 bits", "8 of them"], where)
    hold_words(tallies.said, viewer.text("error") or "silent", ["silent"], where)


def hold_keys(browser, viewer, tallies):
    """The line and the pixel move with keys, and every control is reached with one."""
    browser.run("document.getElementById('viewer-line').focus()")
    for key, value in (("ArrowRight", "51"), ("PageDown", "41"), ("Home", "0"), ("End", "100")):
        viewer.key(key)
        got = browser.run("document.getElementById('viewer-line').getAttribute('aria-valuenow')")
        tallies.keys.add_differences([got != value], f"{key}: {got} instead of {value}")
    viewer.click("reset")
    browser.run("document.querySelector('#viewer-canvas canvas').focus()")
    at = [int(part) for part in viewer.text("at").split(", ")]
    viewer.key("ArrowRight")
    viewer.key("ArrowUp", shift=True)
    wanted = f"{at[0] + 1}, {at[1] - 10}"
    tallies.keys.add_differences([viewer.text("at") != wanted], f"{viewer.text('at')} instead of {wanted}")
    reached = browser.run(
        """[...document.querySelectorAll('#viewer button, #viewer input, #viewer select, #viewer [role=slider]')]
        .filter((e) => e.offsetParent).map((e) => { e.focus(); return document.activeElement === e && e.tabIndex === 0 ? 0 : e.id })"""
    )
    tallies.keys.add_differences([one != 0 for one in reached], f"out of reach: {[one for one in reached if one]}")
    assert len(reached) >= 15, reached


def hold_phone(browser, viewer, tallies, folder):
    """A picture wider than the phone fits into it, or into its own scrolling part."""
    wide_still = folder / "wide.png"
    Image.fromarray(np.full((300, 2 * PHONE, 3), 90, np.uint8)).save(wide_still)
    viewer.drop(wide_still, "image/png")
    browser.ask("Emulation.setDeviceMetricsOverride", width=PHONE, height=844, deviceScaleFactor=2, mobile=True)
    for size in ("whole", "fit"):
        viewer.click(size)
        inside, wide, picture = browser.run(
            "[innerWidth, document.documentElement.scrollWidth, document.getElementById('viewer-frame').getBoundingClientRect().width]"
        )
        tallies.wide.add_differences([inside != PHONE, max(0, wide - PHONE)], f"{size}: {wide}")
        if size == "fit":
            tallies.wide.add_differences([max(0, picture - PHONE)], f"picture of {picture}")
    browser.ask("Emulation.clearDeviceMetricsOverride")


def hold_clip(browser, viewer, tallies, folder, where):
    """A clip of legal levels, losslessly made by ffmpeg from flat fields, begins at the right levels and gives preview's picture."""
    fields = np.zeros((128, 256, 3), np.uint8)
    for place in range(32):
        grey = 40 + 5 * place
        fields[32 * (place // 8) : 32 * (place // 8) + 32, 32 * (place % 8) : 32 * (place % 8) + 32] = [grey, grey, min(255, grey + place % 3 * 8)]
    stretched = folder / "fields.png"
    Image.fromarray(fields).save(stretched)
    clip = folder / "fields.webm"
    command = ["ffmpeg", "-nostdin", "-v", "error", "-y", "-loop", "1", "-i", str(stretched), "-t", "1", "-r", "12", "-vf"]
    command += ["scale=out_color_matrix=bt709:out_range=tv,format=yuv444p", "-color_range", "tv", "-colorspace", "bt709", "-color_primaries"]
    command += ["bt709", "-color_trc", "bt709", "-c:v", "libvpx-vp9", "-lossless", "1", str(clip)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(f"ffmpeg: {done.stderr}")
    viewer.drop(clip, "video/webm")
    hold_words(tallies.said, viewer.text("state"), ["A clip", "The file names its levels legal", "stretched"], where)
    assert browser.run("document.getElementById('viewer-picture').value") == "legal"
    seen = np.zeros_like(fields)
    for place in range(32):
        y, x = 32 * (place // 8), 32 * (place % 8)
        before = viewer.point(x + 16, y + 16)[0]
        tallies.frames.add(before, fields[y, x], f"{where}, field {place}")
        seen[y : y + 32, x : x + 32] = before
    # The signal before a browser stretches its codes 64 to 940 over 0 to 255.
    signal = folder / f"signal-{where}.png"
    write_png16(signal, np.rint((64 + 876 * (seen / 255)) / 1023 * 65535).astype(np.uint16))
    inner = np.s_[16::32, 16::32]
    tallies.clip.add(viewer.saved()[0][inner], previewed(folder, signal, DEVICES["full"])[inner], where)
    browser.run("document.getElementById('viewer-play').click()")
    browser.until("document.getElementById('viewer-play').textContent === 'Pause'", "the clip to play")
    browser.run("document.getElementById('viewer-play').click()")
    browser.run("(() => { const e = document.getElementById('viewer-scrub'); e.value = '0.5'; e.dispatchEvent(new Event('input')); })()")
    browser.until("document.getElementById('viewer-time').textContent.startsWith('0:00.5')", "the place in the clip")


def main():
    tallies = Tallies()
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        pages, *made_stills = made(folder)
        for kind, flags in DRAWN.items():
            downloads = folder / f"saved-{kind}"
            downloads.mkdir()
            browser = Browser(folder / kind, flags, (1280, 900))
            try:
                for device, page in pages.items():
                    viewer = Viewer(browser, page, downloads)
                    hold_stills(viewer, tallies, folder, made_stills, device, kind)
                    if device == "full":
                        hold_refusals(viewer, tallies, folder, kind)
                        viewer.drop(made_stills[1], "image/png")
                        hold_keys(browser, viewer, tallies)
                        hold_phone(browser, viewer, tallies, folder)
                        hold_clip(browser, viewer, tallies, folder, kind)
                complaints = browser.complaints()
                own = [page.as_uri() for page in pages.values()]
                foreign = [one for one in browser.asked_for() if one not in own and not one.startswith(("data:", "blob:"))]
                tallies.fetched.add_differences([len(foreign)], f"{kind}: {foreign[:3]}")
                # The policy of the page holds: what its script would never do is refused.
                refused = browser.run("fetch('data:text/plain,x').then(() => false, () => true)")
                tallies.fetched.add_differences([not refused], f"{kind}: the page may fetch")
                tallies.fetched.add_differences([len(complaints)], f"{kind}: {complaints[:3]}")
            finally:
                browser.close()
    return finish(tallies.all())


if __name__ == "__main__":
    os.environ.setdefault("LANG", "C.UTF-8")
    sys.exit(main())
