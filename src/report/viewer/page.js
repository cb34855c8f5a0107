/* The controls of the page. */

const element = (name) => document.getElementById(`viewer-${name}`);
const MOST_STOPS = 6;
/* A change of the picture is measured once it has stood for so long, in milliseconds. */
const PAUSE = 150;

const settings = { look: 0, stops: 0, picture: "full", interpolation: "", split: 0.5, full: false };
let [source, drawing, gpu, look, measuring, loading] = [null, null, null, null, 0, 0];
const looks = [];
const curves = new Map();

function tell(place, words) {
  /* A screen reader says what is new. */
  if (element(place).textContent !== words) { element(place).textContent = words; }
  element(place).hidden = words === "";
}

/* A look of the page, made ready the first time that it is chosen. */
async function readied(number) {
  if (!looks[number]) {
    const { name, size, low, high, from, to, inputLevels, outputLevels, interpolation, curve, packed, file } = element(`look-${number}`).dataset;
    if (!curves.has(curve)) { curves.set(curve, curveOf(element(`curve-${curve}`).dataset)); }
    looks[number] = {
      name, inputLevels, outputLevels, interpolation, file, size: Number(size), low: Number(low), high: Number(high),
      from: from.split(" ").map(Number), to: to.split(" ").map(Number), curve: curves.get(curve),
      codes: await unpackedTable(packed, Number(size)),
    };
  }
  return looks[number];
}

function ready(next) {
  if (!next) { return null; }
  next.canvas.tabIndex = 0;
  next.canvas.setAttribute("role", "img");
  next.canvas.setAttribute("aria-label", "The picture, before and after. Arrow keys move the pixel that is read.");
  next.canvas.addEventListener("pointermove", (event) => readAt(placeOf(event)));
  next.canvas.addEventListener("pointerdown", (event) => readAt(placeOf(event)));
  next.canvas.addEventListener("keydown", readByKey);
  return next;
}

/* On the graphics processor while there is one; else, and for a picture that is too large for it, without. */
function useDrawing(next) {
  if (drawing === next) { return; }
  drawing = next;
  element("canvas").replaceChildren(drawing.canvas);
  if (look) { drawing.setLook(look); }
}

function gpuLost() {
  gpu = null;
  useDrawing(ready(cpuDrawing()));
  if (source) { refresh(); }
}

const place = { x: 0, y: 0 };
function placeOf(event) {
  const box = drawing.canvas.getBoundingClientRect();
  return [(event.clientX - box.left) / box.width * source.width, (event.clientY - box.top) / box.height * source.height];
}

function readByKey(event) {
  const step = event.shiftKey ? 10 : 1;
  const [x, y] = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key] ?? [0, 0];
  if (x === 0 && y === 0) { return; }
  event.preventDefault();
  readAt([place.x + x, place.y + y]);
}

const probe = document.createElement("canvas");
[probe.width, probe.height] = [1, 1];
const probing = probe.getContext("2d", { alpha: false, willReadFrequently: true });
probing.imageSmoothingEnabled = false;

/* One pixel before and after, as 8-bit and 10-bit codes. */
function readAt([x, y]) {
  place.x = Math.max(0, Math.min(source.width - 1, Math.floor(x)));
  place.y = Math.max(0, Math.min(source.height - 1, Math.floor(y)));
  probing.drawImage(source.drawable, place.x, place.y, 1, 1, 0, 0, 1, 1);
  const before = [...probing.getImageData(0, 0, 1, 1).data].slice(0, 3);
  const after = [0, 0, 0];
  through(look, axesOf(look, settings), scalesOf(look), settings.interpolation === "trilinear", ...before, after);
  const codes = (values, most) => values.map((value) => String(Math.round(value * most))).join(" ");
  element("at").textContent = `${place.x}, ${place.y}`;
  element("before").textContent = codes(before.map((code) => code / 255), 255);
  element("before-ten").textContent = codes(before.map((code) => code / 255), 1023);
  element("after").textContent = codes(after, 255);
  element("after-ten").textContent = codes(after, 1023);
}

const splitColumn = () => Math.round(settings.split * source.width);
function draw() {
  drawing.draw(settings.interpolation === "trilinear", splitColumn());
}

/* Takes the source's frame anew and draws it. */
function refresh() {
  const { drawable, width, height } = source;
  source.renew();
  if (!drawing.holds(width, height) || !drawing.take(drawable, width, height)) {
    useDrawing(ready(cpuDrawing()));
    drawing.take(drawable, width, height);
  }
  drawing.setAxes(axesOf(look, settings));
  draw();
  readAt([place.x, place.y]);
  resize();
  const kind = source.clip ? "A clip" : "A still";
  tell("state", `${source.name}. ${kind} of ${width} × ${height} pixels, drawn ${drawing.kind}. ${source.note}`);
  measureLater();
}

/* How far both interpolations are apart on this frame; of a clip, while it stands. */
function measureLater() {
  clearTimeout(measuring);
  if (source.clip && !source.clip.paused) { tell("difference", "The difference of both interpolations is measured when the clip stands still."); return; }
  measuring = setTimeout(() => {
    const largest = drawing.difference();
    draw();
    tell("difference", largest === 0
      ? "On this picture tetrahedral and trilinear interpolation give the same 8-bit codes."
      : `On this picture tetrahedral and trilinear interpolation differ by ${largest} of 255 codes at most.`);
  }, PAUSE);
}

function showSettings() {
  element("stops").textContent = `${settings.stops > 0 ? "+" : settings.stops < 0 ? "−" : ""}${Math.abs(settings.stops)} ${Math.abs(settings.stops) === 1 ? "stop" : "stops"}`;
  element("picture").value = settings.picture;
  element("interpolation").value = settings.interpolation;
  const per = Math.round(settings.split * 100);
  element("line").style.left = `${100 * settings.split}%`;
  element("line").setAttribute("aria-valuenow", String(per));
  element("line").setAttribute("aria-valuetext", `${per} % before, ${100 - per} % after`);
  for (const [name, on] of [["fit", !settings.full], ["whole", settings.full]]) { element(name).setAttribute("aria-pressed", String(on)); }
  for (const [name, split] of [["all-before", 1], ["half", 0.5], ["all-after", 0]]) {
    element(name).setAttribute("aria-pressed", String(settings.split === split));
  }
}

function changed(change) {
  Object.assign(settings, change);
  showSettings();
  if (!source) { return; }
  if ("split" in change && Object.keys(change).length === 1) { draw(); return; }
  refresh();
}

/* Fit: into the page and the window, and no larger than it is; 100 %: a pixel of the picture on a pixel of the screen. */
function resize() {
  element("frame").style.width = settings.full ? `${source.width / devicePixelRatio}px` : "100%";
  element("frame").style.maxWidth = settings.full ? "none" : `min(${source.width}px, ${85 * source.width / source.height}vh)`;
}

async function chooseLook(number) {
  look = await readied(number);
  drawing.setLook(look);
  for (const words of document.querySelectorAll("#viewer [data-of]")) { words.hidden = words.dataset.of !== String(number); }
  changed({ look: number, interpolation: look.interpolation });
}

async function open(file) {
  const turn = loading += 1;
  tell("error", "");
  tell("state", `${file.name}: being decoded …`);
  try {
    const next = await opened(file);
    if (turn !== loading) { next.close(); return; }
    if (source) { source.close(); }
    source = next;
  } catch (error) {
    if (turn === loading) { tell("error", error.message); tell("state", ""); }
    return;
  }
  [place.x, place.y] = [Math.floor(source.width / 2), Math.floor(source.height / 2)];
  element("work").hidden = false;
  element("clip").hidden = !source.clip;
  if (source.clip) { followClip(source.clip); }
  if (gpu) { useDrawing(gpu); }
  changed({ picture: source.levels });
}

const clock = (seconds) => `${Math.floor(seconds / 60)}:${(seconds % 60).toFixed(1).padStart(4, "0")}`;
function followClip(video) {
  const told = () => {
    element("time").textContent = `${clock(video.currentTime)} of ${clock(video.duration || 0)}`;
    element("scrub").max = String(video.duration || 0);
    element("scrub").value = String(video.currentTime);
    element("play").textContent = video.paused ? "Play" : "Pause";
  };
  const frame = () => { if (source && source.clip === video) { refresh(); told(); } };
  const next = () => {
    if (!source || source.clip !== video) { return; }
    frame();
    if (!video.paused) { ahead(); }
  };
  const ahead = () => (video.requestVideoFrameCallback ? video.requestVideoFrameCallback(next) : requestAnimationFrame(next));
  video.addEventListener("play", () => { told(); ahead(); });
  video.addEventListener("pause", frame);
  video.addEventListener("seeked", frame);
  told();
}

const stem = (name) => name.replace(/\.[^.]*$/, "");
function save() {
  drawing.draw(settings.interpolation === "trilinear", 0);
  drawing.canvas.toBlob((blob) => {
    if (!blob) { tell("error", "The browser could not make a PNG of this picture."); return; }
    const link = document.createElement("a");
    const address = URL.createObjectURL(blob);
    [link.href, link.download] = [address, `${stem(source.name)}.${look.file}.png`];
    link.click();
    setTimeout(() => URL.revokeObjectURL(address), 10000);
  }, "image/png");
  draw();
}

/* The line between before and after: dragged, or moved with keys. */
function followLine() {
  const line = element("line");
  const moved = (split) => changed({ split: Math.max(0, Math.min(1, split)) });
  line.addEventListener("pointerdown", (event) => { event.preventDefault(); line.focus(); line.setPointerCapture(event.pointerId); });
  line.addEventListener("pointermove", (event) => {
    if (line.hasPointerCapture(event.pointerId)) { moved(placeOf(event)[0] / source.width); }
  });
  line.addEventListener("keydown", (event) => {
    const steps = { ArrowLeft: -0.01, ArrowDown: -0.01, ArrowRight: 0.01, ArrowUp: 0.01, PageDown: -0.1, PageUp: 0.1, Home: -1, End: 1 };
    if (!(event.key in steps)) { return; }
    event.preventDefault();
    moved(Math.round(100 * (settings.split + steps[event.key])) / 100);
  });
}

function followControls() {
  const on = (name, event, what) => element(name).addEventListener(event, what);
  const stops = (by) => changed({ stops: Math.max(-MOST_STOPS, Math.min(MOST_STOPS, settings.stops + by)) });
  on("file", "change", () => { if (element("file").files[0]) { open(element("file").files[0]); } });
  for (const [name, by] of [["darker", -1], ["darker-half", -0.5], ["brighter-half", 0.5], ["brighter", 1]]) { on(name, "click", () => stops(by)); }
  for (const [name, split] of [["all-before", 1], ["half", 0.5], ["all-after", 0]]) { on(name, "click", () => changed({ split })); }
  for (const [name, full] of [["fit", false], ["whole", true]]) { on(name, "click", () => { changed({ full }); }); }
  for (const name of ["picture", "interpolation"]) { on(name, "change", () => changed({ [name]: element(name).value })); }
  on("reset", "click", () => changed({ stops: 0, split: 0.5, full: false, picture: source.levels, interpolation: look.interpolation }));
  on("save", "click", save);
  on("play", "click", () => (source.clip.paused ? source.clip.play().catch(() => {}) : source.clip.pause()));
  on("scrub", "input", () => { source.clip.currentTime = Number(element("scrub").value); });
  if (element("look")) { on("look", "change", () => chooseLook(Number(element("look").value))); }
  const files = (event) => event.dataTransfer && [...event.dataTransfer.types].includes("Files");
  addEventListener("dragover", (event) => { if (files(event)) { event.preventDefault(); element("drop").classList.add("over"); } });
  addEventListener("dragleave", (event) => { if (!event.relatedTarget) { element("drop").classList.remove("over"); } });
  addEventListener("drop", (event) => {
    if (!files(event)) { return; }
    event.preventDefault();
    element("drop").classList.remove("over");
    if (event.dataTransfer.files[0]) {
      element("drop").scrollIntoView({ block: "nearest" });
      open(event.dataTransfer.files[0]);
    }
  });
}

async function begin() {
  element("without").hidden = true;
  element("live").hidden = false;
  followLine();
  followControls();
  gpu = ready(gpuDrawing(gpuLost));
  useDrawing(gpu ?? ready(cpuDrawing()));
  await chooseLook(0);
}
begin().catch((error) => tell("error", `This part of the page could not start: ${error.message}. It needs a browser of 2023 or later.`));
