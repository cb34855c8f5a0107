/* What the page computes, the same for both ways of drawing: a picture has 256 codes a channel, so that levels, exposure and the place
   on the table's axes are worked out once for each code, in double precision, and never for each pixel. */

/* SMPTE narrow range: 10-bit codes 64 to 940 of 1023. */
const fromLegal = (part) => (64 + 876 * part) / 1023;
const toLegal = (signal) => (1023 * signal - 64) / 876;
const held = (value) => (value > 0 ? Math.min(value, 1) : 0);

/* Bytes from base64, and what they were before they were deflated. */
const bytesOf = (text) => Uint8Array.from(atob(text), (character) => character.charCodeAt(0));
async function inflated(bytes) {
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

/* The codes of a table, R, G and B of each node, red fastest. Packed are, channel by channel, differences along all three axes modulo
   65536, folded so that small ones of either sign are small numbers; all high bytes stand before all low bytes. */
async function unpackedTable(text, size) {
  const bytes = await inflated(bytesOf(text));
  const nodes = size * size * size;
  const count = 3 * nodes;
  if (bytes.length !== 2 * count) { throw new Error("the table is not whole"); }
  const codes = new Uint16Array(count);
  for (let channel = 0; channel < 3; channel += 1) {
    const own = new Uint16Array(nodes);
    for (let node = 0; node < nodes; node += 1) {
      const from = channel * nodes + node;
      const folded = 256 * bytes[from] + bytes[count + from];
      own[node] = folded & 1 ? ~(folded >> 1) : folded >> 1;
    }
    for (const stride of [1, size, size * size]) {
      for (let node = stride; node < nodes; node += 1) {
        if (Math.floor(node / stride) % size > 0) { own[node] += own[node - stride]; }
      }
    }
    for (let node = 0; node < nodes; node += 1) { codes[3 * node + channel] = own[node]; }
  }
  return codes;
}

/* A camera's curve: the light of equally spaced codes, straight lines between them, and the first and last code that it records. */
function curveOf({ light: text, first, last: end }) {
  const bytes = bytesOf(text);
  const view = new DataView(bytes.buffer);
  const light = Float64Array.from({ length: bytes.length / 4 }, (_, place) => view.getFloat32(4 * place, true));
  const last = light.length - 1;
  const decode = (signal) => {
    const place = held(signal) * last;
    const low = Math.min(Math.floor(place), last - 1);
    return light[low] + (place - low) * (light[low + 1] - light[low]);
  };
  /* The code of a light; what the codes can't hold is the first or the last of them. */
  const encode = (value) => {
    if (!(value > light[0])) { return 0; }
    if (value >= light[last]) { return 1; }
    let [low, high] = [0, last];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (light[middle] <= value) { low = middle; } else { high = middle; }
    }
    const step = light[high] - light[low];
    return held((low + (step > 0 ? (value - light[low]) / step : 0)) / last);
  };
  const recorded = (signal) => Math.max(Number(first), Math.min(Number(end), signal));
  return { exposed: (signal, stops) => (stops === 0 ? signal : recorded(encode(decode(signal) * 2 ** stops))) };
}

/* Where each 8-bit code lies on the three axes of a look's table, in points: 256 times three numbers. */
function axesOf(look, settings) {
  const axes = new Float64Array(3 * 256);
  for (let code = 0; code < 256; code += 1) {
    const part = code / 255;
    const signal = look.curve.exposed(settings.picture === "legal" ? fromLegal(part) : part, settings.stops);
    const input = held(look.inputLevels === "legal" ? toLegal(signal) : signal);
    for (let axis = 0; axis < 3; axis += 1) {
      const [from, to] = [look.from[axis], look.to[axis]];
      axes[3 * code + axis] = held((input - from) / (to - from)) * (look.size - 1);
    }
  }
  return axes;
}

/* What turns a node's code into the display's signal: an offset and a factor for the value, and again for the output's levels. */
function scalesOf(look) {
  const legal = look.outputLevels === "legal";
  return {
    range: [look.low, (look.high - look.low) / 65535],
    levels: legal ? [-64 / 876, 1023 / 876] : [0, 1],
  };
}

/* The display's signal for one colour, R, G and B as 8-bit codes. `result` takes it: nothing is made for each pixel. */
function through(look, axes, scales, trilinear, red, green, blue, result) {
  const { codes, size } = look;
  const [x, y, z] = [axes[3 * red], axes[3 * green + 1], axes[3 * blue + 2]];
  const last = size - 1;
  const [r, g, b] = [Math.min(Math.floor(x), last), Math.min(Math.floor(y), last), Math.min(Math.floor(z), last)];
  const [fr, fg, fb] = [x - r, y - g, z - b];
  const [dr, dg, db] = [r < last ? 3 : 0, g < last ? 3 * size : 0, b < last ? 3 * size * size : 0];
  const low = 3 * (r + size * (g + size * b));
  for (let channel = 0; channel < 3; channel += 1) {
    const at = low + channel;
    let value;
    if (trilinear) {
      const line = (from) => codes[from] + fr * (codes[from + dr] - codes[from]);
      const face = (from) => line(from) + fg * (line(from + dg) - line(from));
      value = face(at) + fb * (face(at + db) - face(at));
    } else {
      value = tetrahedron(codes, at, fr, fg, fb, dr, dg, db);
    }
    result[channel] = held(scales.levels[0] + scales.levels[1] * (scales.range[0] + scales.range[1] * value));
  }
}

/* From the low corner to the high one, along the axis with the largest part first. */
function tetrahedron(codes, at, fr, fg, fb, dr, dg, db) {
  const path = (first, second, third, a, b, c) => {
    const [one, two, end] = [codes[at + a], codes[at + a + b], codes[at + a + b + c]];
    return codes[at] + first * (one - codes[at]) + second * (two - one) + third * (end - two);
  };
  if (fr >= fg) {
    if (fg >= fb) { return path(fr, fg, fb, dr, dg, db); }
    return fr >= fb ? path(fr, fb, fg, dr, db, dg) : path(fb, fr, fg, db, dr, dg);
  }
  if (fr >= fb) { return path(fg, fr, fb, dg, dr, db); }
  return fg >= fb ? path(fg, fb, fr, dg, db, dr) : path(fb, fg, fr, db, dg, dr);
}
