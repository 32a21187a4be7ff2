/** GLSL for `gl-painter.ts`. */

/** A unit square put in place; `vUv` runs over `uWindow` (x, y, width, height) of the texture. */
export const quadVertex = `#version 300 es
in vec2 aCorner;
uniform mat3 uPlace;
uniform vec4 uWindow;
out vec2 vUv;
out vec2 vCorner;
void main() {
  vUv = uWindow.xy + aCorner * uWindow.zw;
  vCorner = aCorner;
  vec3 at = uPlace * vec3(aCorner, 1.0);
  gl_Position = vec4(at.xy, 0.0, 1.0);
}`;

/** Blank paper, its edge smoothed over one device px so that a turned paper has no steps. */
export const paperFragment = `#version 300 es
precision highp float;
in vec2 vCorner;
uniform vec3 uPaper;
out vec4 colour;
void main() {
  vec2 edge = min(vCorner, 1.0 - vCorner) / fwidth(vCorner);
  float cover = clamp(min(edge.x, edge.y) + 0.5, 0.0, 1.0);
  colour = vec4(uPaper * cover, cover);
}`;

/** What an ink program is made for: fixed at its making, as each test per pixel would cost more than the ink. */
export interface InkVariant {
  readonly grey: boolean;
  /** The footprint of a device px is averaged; else one tap is enough. */
  readonly averaged: boolean;
  /** Lays the ink on opaque paper in the same pass. */
  readonly onPaper: boolean;
}

/**
 * A picture as premultiplied ink (see painter.ts). When the picture is made smaller, the footprint of a
 * device px is averaged with uTaps² bilinear taps along its own axes: thin lines keep their weight and do
 * not shimmer at any angle, with no mipmaps to keep or to make after each upload.
 */
export const inkFragment = ({ grey, averaged, onPaper }: InkVariant) => `#version 300 es
precision highp float;
precision highp sampler2D;
in vec2 vUv;
uniform sampler2D uPicture;
uniform float uOpacity;
uniform vec4 uTint;
uniform int uTaps;
uniform vec3 uCoverage;
uniform vec3 uPaper;
out vec4 colour;
vec4 inkAt(vec2 uv) {
  vec4 texel = texture(uPicture, uv);
  ${
    grey
      ? 'return vec4(0.0, 0.0, 0.0, 1.0 - texel.r);'
      : `vec3 onWhite = texel.rgb * texel.a + (1.0 - texel.a);
  float low = min(onWhite.r, min(onWhite.g, onWhite.b));
  return vec4(onWhite - low, 1.0 - low);`
  }
}
void main() {
  ${
    averaged
      ? `vec2 across = dFdx(vUv), down = dFdy(vUv);
  vec4 ink = vec4(0.0);
  float taps = float(uTaps);
  for (int row = 0; row < uTaps; row++)
    for (int column = 0; column < uTaps; column++) {
      vec2 at = (vec2(column, row) + 0.5) / taps - 0.5;
      ink += inkAt(vUv + at.x * across + at.y * down);
    }
  ink *= uOpacity / (taps * taps);`
      : 'vec4 ink = inkAt(vUv) * uOpacity;'
  }
  ink.rgb = mix(ink.rgb, uTint.rgb * ink.a, uTint.a);
  ${
    onPaper
      ? 'colour = vec4(uPaper * (1.0 - ink.a) + ink.rgb, 1.0);'
      : 'colour = uCoverage != vec3(0.0) ? vec4(uCoverage * ink.a, 0.0) : ink;'
  }
}`;

/**
 * Clean (red channel) against rough (green channel). Told apart without colour: what both have is pale,
 * what only the clean has is solid, what only the rough has is hatched.
 */
export const differenceFragment = `#version 300 es
precision highp float;
uniform sampler2D uPicture;
uniform vec3 uCleanOnly;
uniform vec3 uRoughOnly;
uniform float uHatchPx;
out vec4 colour;
void main() {
  vec2 ink = texelFetch(uPicture, ivec2(gl_FragCoord.xy), 0).rg;
  float clean = ink.r * (1.0 - ink.g);
  float rough = ink.g * (1.0 - ink.r);
  float hatch = step(0.5, fract((gl_FragCoord.x + gl_FragCoord.y) / uHatchPx));
  rough *= hatch;
  float both = min(ink.r, ink.g) * 0.25;
  float alpha = clamp(clean + rough + both, 0.0, 1.0);
  colour = vec4(uCleanOnly * clean + uRoughOnly * rough, alpha);
}`;
