#version 300 es
/* One pixel through a look's table. Every value is fetched, none filtered: texture filters have few bits, and a device's
   interpolation is to be seen as it is. */
precision highp float;
precision highp int;
precision highp sampler2D;
precision highp usampler3D;

/* The frame as the browser decoded it; where each of its 256 codes lies on the axes of the table, in points; the table. */
uniform sampler2D picture;
uniform sampler2D axes;
uniform usampler3D table;

uniform int height;
uniform int points;
/* Columns left of this one stay as they are. */
uniform int split;
/* 0 tetrahedral, 1 trilinear, 2 the difference of both in 8-bit codes. */
uniform int mode;
/* A node's code q stands for range.x + range.y q; then the output's levels: levels.x + levels.y of that. */
uniform vec2 range;
uniform vec2 levels;

out vec4 shown;

vec3 node(ivec3 place) {
  return vec3(texelFetch(table, place, 0).rgb);
}

vec3 tetrahedral(ivec3 low, ivec3 high, vec3 part) {
  vec3 ordered;
  ivec3 first = low;
  ivec3 second = high;
  if (part.r >= part.g) {
    if (part.g >= part.b) { ordered = part.rgb; first.r = high.r; second.b = low.b; }
    else if (part.r >= part.b) { ordered = part.rbg; first.r = high.r; second.g = low.g; }
    else { ordered = part.brg; first.b = high.b; second.g = low.g; }
  } else {
    if (part.r >= part.b) { ordered = part.grb; first.g = high.g; second.b = low.b; }
    else if (part.g >= part.b) { ordered = part.gbr; first.g = high.g; second.r = low.r; }
    else { ordered = part.bgr; first.b = high.b; second.r = low.r; }
  }
  return (1.0 - ordered.x) * node(low) + (ordered.x - ordered.y) * node(first) + (ordered.y - ordered.z) * node(second)
    + ordered.z * node(high);
}

vec3 trilinear(ivec3 low, ivec3 high, vec3 part) {
  vec3 a = mix(node(low), node(ivec3(high.r, low.g, low.b)), part.r);
  vec3 b = mix(node(ivec3(low.r, high.g, low.b)), node(ivec3(high.r, high.g, low.b)), part.r);
  vec3 c = mix(node(ivec3(low.r, low.g, high.b)), node(ivec3(high.r, low.g, high.b)), part.r);
  vec3 d = mix(node(ivec3(low.r, high.g, high.b)), node(high), part.r);
  return mix(mix(a, b, part.g), mix(c, d, part.g), part.b);
}

/* The nearest 8-bit code of a value of the table. */
vec3 codes(vec3 value) {
  vec3 signal = levels.x + levels.y * (range.x + range.y * value);
  return floor(clamp(signal, 0.0, 1.0) * 255.0 + 0.5);
}

void main() {
  ivec2 at = ivec2(int(gl_FragCoord.x), height - 1 - int(gl_FragCoord.y));
  vec3 seen = texelFetch(picture, at, 0).rgb;
  if (at.x < split) {
    shown = vec4(seen, 1.0);
    return;
  }
  ivec3 code = ivec3(seen * 255.0 + 0.5);
  vec3 place = vec3(texelFetch(axes, ivec2(code.r, 0), 0).r, texelFetch(axes, ivec2(code.g, 0), 0).g,
    texelFetch(axes, ivec2(code.b, 0), 0).b);
  ivec3 low = min(ivec3(place), points - 1);
  ivec3 high = min(low + 1, points - 1);
  vec3 part = place - vec3(low);
  vec3 result;
  if (mode == 0) { result = codes(tetrahedral(low, high, part)); }
  else if (mode == 1) { result = codes(trilinear(low, high, part)); }
  else { result = abs(codes(tetrahedral(low, high, part)) - codes(trilinear(low, high, part))); }
  shown = vec4(result / 255.0, 1.0);
}
