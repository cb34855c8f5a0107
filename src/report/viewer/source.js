/* Stills and clips that the browser can decode. A source has its size, what can be drawn, `renew`, which brings that up to date, and
   `close`. */

const WORKING = "Stills that work are PNG, JPEG and WebP; clips are what this browser plays: as a rule H.264 in MP4, and VP9 or AV1 in WebM.";
const INSTEAD = "Raw files, ProRes and other recordings of cameras have to be exported as one of these first. For TIFF, OpenEXR and stills of 16 bits "
  + "there is “lookwright preview”: it sees them through the look in full depth, and writes a PNG.";
const CLIP_ENDINGS = ["mp4", "m4v", "mov", "webm", "mkv", "ogv"];

const endingOf = (name) => (name.includes(".") ? name.split(".").pop().toLowerCase() : "");
const isClip = (file) => file.type.startsWith("video") || (file.type === "" && CLIP_ENDINGS.includes(endingOf(file.name)));

/* Words for the file that can't be shown. */
const refusal = (file) => `${file.name}: this browser can’t decode it. ${WORKING} ${INSTEAD}`;

async function opened(file) {
  return isClip(file) ? openedClip(file) : openedStill(file);
}

async function openedStill(file) {
  let bitmap;
  try {
    bitmap = await createImageBitmap(file, UNTOUCHED);
  } catch {
    throw new Error(refusal(file));
  }
  const deep = await bitsOfPng(file);
  return {
    name: file.name, clip: null, drawable: bitmap, width: bitmap.width, height: bitmap.height, levels: "full",
    note: deep > 8 ? `The file has ${deep} bits; the browser made 8 of them. “lookwright preview” keeps them all.` : "",
    renew() {},
    close() { bitmap.close(); },
  };
}

/* Bits a sample of a PNG, as its header says; 0 for another kind of file. (PNG, third edition, 11.2.1: byte 24.) */
async function bitsOfPng(file) {
  const bytes = new Uint8Array(await file.slice(0, 25).arrayBuffer());
  return bytes.length === 25 && bytes[0] === 0x89 && bytes[1] === 0x50 && bytes[2] === 0x4e && bytes[3] === 0x47 ? bytes[24] : 0;
}

function openedClip(file) {
  const video = document.createElement("video");
  const address = URL.createObjectURL(file);
  [video.muted, video.loop, video.playsInline, video.preload] = [true, true, true, "auto"];
  const close = () => { video.pause(); video.removeAttribute("src"); video.load(); URL.revokeObjectURL(address); };
  return new Promise((resolve, reject) => {
    video.addEventListener("error", () => { close(); reject(new Error(refusal(file))); }, { once: true });
    video.addEventListener("loadeddata", async () => {
      await firstFrame(video);
      const [width, height] = [video.videoWidth, video.videoHeight];
      if (width === 0) { close(); reject(new Error(refusal(file))); return; }
      const [levels, note] = levelsOf(video);
      /* Browsers convert a frame to R, G and B in one way for a texture and in another for a canvas, a code apart: all see this canvas. */
      const canvas = document.createElement("canvas");
      [canvas.width, canvas.height] = [width, height];
      const context = canvas.getContext("2d", { alpha: false });
      const renew = () => context.drawImage(video, 0, 0, width, height);
      resolve({ name: file.name, clip: video, drawable: canvas, width, height, levels, note, renew, close });
    }, { once: true });
    video.src = address;
  });
}

/* On a busy machine a clip's first frame comes after the word that it is there: until then it is black, and nobody knows its levels. */
async function firstFrame(video) {
  for (let tries = 0; tries < 100; tries += 1) {
    try { new VideoFrame(video).close(); return; } catch (error) {
      if (error.name !== "InvalidStateError") { return; }
    }
    await new Promise((go) => { setTimeout(go, 20); });
  }
}

/* What the frames' 0 and 255 stand for. Browsers stretch narrow range over all codes; few tell which range the file names. */
function levelsOf(video) {
  const stretched = "The browser stretched codes 64 to 940 over 0 to 255 and cut what lay outside";
  try {
    const frame = new VideoFrame(video);
    const { fullRange, primaries } = frame.colorSpace;
    frame.close();
    const other = primaries && primaries !== "bt709" ? ` Its primaries are named ${primaries}: a browser may convert the colours of such a clip.` : "";
    if (fullRange === true) { return ["full", `The file names its levels full.${other}`]; }
    if (fullRange === false) { return ["legal", `The file names its levels legal. ${stretched}.${other}`]; }
  } catch { /* Not every browser has it. */ }
  return ["legal", `Taken for a clip of legal levels. ${stretched}; a clip of full levels needs the other setting.`];
}
