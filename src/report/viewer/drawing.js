/* Two ways of drawing the same picture. Both have a canvas of the picture's own pixels, take a source (a decoded still or the frame of
   a clip), draw it with the part left of a column untouched, and tell how far both interpolations are apart. */

const UNTOUCHED = { colorSpaceConversion: "none", premultiplyAlpha: "none" };

/* On the graphics processor. Nothing where there is no WebGL 2. `lost` is called when the processor was taken away. */
function gpuDrawing(lost) {
  const canvas = document.createElement("canvas");
  const gl = canvas.getContext("webgl2", { alpha: false, antialias: false, depth: false, stencil: false });
  if (!gl) { return null; }
  const program = programOf(gl);
  if (!program) { return null; }
  gl.useProgram(program);
  const place = Object.fromEntries(
    ["picture", "axes", "table", "height", "points", "split", "mode", "range", "levels"].map((name) => [name, gl.getUniformLocation(program, name)]),
  );
  ["picture", "axes", "table"].forEach((name, unit) => gl.uniform1i(place[name], unit));
  const [picture, axes, table] = [[0, gl.TEXTURE_2D], [1, gl.TEXTURE_2D], [2, gl.TEXTURE_3D]].map(([unit, kind]) => {
    gl.activeTexture(gl.TEXTURE0 + unit);
    const texture = gl.createTexture();
    gl.bindTexture(kind, texture);
    for (const filter of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) { gl.texParameteri(kind, filter, gl.NEAREST); }
    for (const wrap of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) { gl.texParameteri(kind, wrap, gl.CLAMP_TO_EDGE); }
    return { unit: gl.TEXTURE0 + unit, texture };
  });
  gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
  gl.pixelStorei(gl.UNPACK_COLORSPACE_CONVERSION_WEBGL, gl.NONE);
  gl.pixelStorei(gl.UNPACK_PREMULTIPLY_ALPHA_WEBGL, false);
  gl.pixelStorei(gl.UNPACK_FLIP_Y_WEBGL, false);
  canvas.addEventListener("webglcontextlost", (event) => { event.preventDefault(); lost(); });
  const most = gl.getParameter(gl.MAX_TEXTURE_SIZE);
  let look = null;

  const run = (mode, split) => {
    gl.uniform1i(place.mode, mode);
    gl.uniform1i(place.split, split);
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
  };
  return {
    canvas,
    kind: "on the graphics processor (WebGL 2)",
    holds(width, height) { return width <= most && height <= most && (!look || look.size <= gl.getParameter(gl.MAX_3D_TEXTURE_SIZE)); },
    /* False where the processor gave less than was asked for. */
    take(source, width, height) {
      if (canvas.width !== width || canvas.height !== height) { [canvas.width, canvas.height] = [width, height]; }
      if (gl.drawingBufferWidth !== width || gl.drawingBufferHeight !== height) { return false; }
      gl.activeTexture(picture.unit);
      gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA8, gl.RGBA, gl.UNSIGNED_BYTE, source);
      gl.uniform1i(place.height, height);
      return gl.getError() === gl.NO_ERROR;
    },
    setLook(next) {
      look = next;
      gl.activeTexture(table.unit);
      gl.texImage3D(gl.TEXTURE_3D, 0, gl.RGB16UI, look.size, look.size, look.size, 0, gl.RGB_INTEGER, gl.UNSIGNED_SHORT, look.codes);
      const scales = scalesOf(look);
      gl.uniform1i(place.points, look.size);
      gl.uniform2fv(place.range, scales.range);
      gl.uniform2fv(place.levels, scales.levels);
    },
    setAxes(numbers) {
      gl.activeTexture(axes.unit);
      gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGB32F, 256, 1, 0, gl.RGB, gl.FLOAT, Float32Array.from(numbers));
    },
    draw(trilinear, split) { run(trilinear ? 1 : 0, split); },
    difference() {
      const { width, height } = canvas;
      const [frame, target] = [gl.createFramebuffer(), gl.createRenderbuffer()];
      gl.bindRenderbuffer(gl.RENDERBUFFER, target);
      gl.renderbufferStorage(gl.RENDERBUFFER, gl.RGBA8, width, height);
      gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
      gl.framebufferRenderbuffer(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.RENDERBUFFER, target);
      run(2, 0);
      const codes = new Uint8Array(4 * width * height);
      gl.readPixels(0, 0, width, height, gl.RGBA, gl.UNSIGNED_BYTE, codes);
      gl.bindFramebuffer(gl.FRAMEBUFFER, null);
      gl.deleteFramebuffer(frame);
      gl.deleteRenderbuffer(target);
      let largest = 0;
      for (let place = 0; place < codes.length; place += 4) {
        largest = Math.max(largest, codes[place], codes[place + 1], codes[place + 2]);
      }
      return largest;
    },
  };
}

/* One triangle that covers the canvas, and the shader of the page. */
function programOf(gl) {
  const corners = "#version 300 es\nvoid main() { gl_Position = vec4(gl_VertexID == 1 ? 3.0 : -1.0, gl_VertexID == 2 ? 3.0 : -1.0, 0.0, 1.0); }";
  const program = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, corners], [gl.FRAGMENT_SHADER, element("shader").textContent]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  return gl.getProgramParameter(program, gl.LINK_STATUS) ? program : null;
}

/* On the main processor: the same numbers, more slowly. */
function cpuDrawing() {
  const canvas = document.createElement("canvas");
  const context = canvas.getContext("2d", { alpha: false, willReadFrequently: true });
  let [look, axes, scales, before] = [null, null, null, null];
  const signal = [0, 0, 0];
  const code = (value) => Math.floor(255 * value + 0.5);
  return {
    canvas,
    kind: "without a graphics processor, which takes longer",
    holds() { return true; },
    take(source, width, height) {
      if (canvas.width !== width || canvas.height !== height) { [canvas.width, canvas.height] = [width, height]; }
      context.drawImage(source, 0, 0, width, height);
      before = context.getImageData(0, 0, width, height);
      return true;
    },
    setLook(next) { look = next; scales = scalesOf(look); },
    setAxes(numbers) { axes = numbers; },
    draw(trilinear, split) {
      const { width, height, data } = before;
      const after = context.createImageData(width, height);
      after.data.set(data);
      for (let row = 0; row < height; row += 1) {
        for (let at = 4 * (row * width + split); at < 4 * (row + 1) * width; at += 4) {
          through(look, axes, scales, trilinear, data[at], data[at + 1], data[at + 2], signal);
          for (let channel = 0; channel < 3; channel += 1) { after.data[at + channel] = code(signal[channel]); }
        }
      }
      context.putImageData(after, 0, 0);
    },
    difference() {
      const { data } = before;
      const other = [0, 0, 0];
      let largest = 0;
      for (let at = 0; at < data.length; at += 4) {
        through(look, axes, scales, false, data[at], data[at + 1], data[at + 2], signal);
        through(look, axes, scales, true, data[at], data[at + 1], data[at + 2], other);
        for (let channel = 0; channel < 3; channel += 1) {
          largest = Math.max(largest, Math.abs(code(signal[channel]) - code(other[channel])));
        }
      }
      return largest;
    },
  };
}
