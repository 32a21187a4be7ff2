/**
 * The WebGL2 painter: one texture a picture (several for a large original), plies blended in order. Over 300 lines
 * because every function here shares the one context's state.
 */
import type { Box, Picture } from '../line/picture.ts';
import { type Affine, chain, type Frame, type Point } from './camera.ts';
import {
  CUTTING_OVERLAP_PX,
  type Cutting,
  type LaidPane,
  type LaidPly,
  type Painter,
  type Rgb,
  type Scene,
  type Sheet,
} from './painter.ts';
import { differenceFragment, type InkVariant, inkFragment, paperFragment, quadVertex } from './shaders.ts';

/** Above this the footprint of a device px is undersampled; it is reached only far below fitted size. */
const MAX_TAPS = 6;
/** One period of the hatch that marks rough-only ink, CSS px: two or three dashes across a thin line. */
const HATCH_PX = 6;

interface Tile {
  readonly texture: WebGLTexture;
  readonly widthPx: number;
  readonly heightPx: number;
  /** Part of the picture it fills, 0..1: x, y, width, height. */
  readonly part: Box;
  /** Part of the texture that is used, leaving the overlap out. */
  readonly window: Box;
}
interface GlSheet extends Sheet {
  readonly grey: boolean;
  readonly tiles: readonly Tile[];
}

interface Program {
  readonly handle: WebGLProgram;
  readonly at: (name: string) => WebGLUniformLocation | null;
}

/** `undefined` where the browser gives no WebGL2 context. */
export function createGlPainter(canvas: HTMLCanvasElement): Painter | undefined {
  const context = canvas.getContext('webgl2', {
    alpha: false,
    antialias: false,
    depth: false,
    stencil: false,
    powerPreference: 'low-power',
  });
  if (!context) return undefined;
  const gl = context;
  const paperProgram = link(gl, quadVertex, paperFragment);
  const inkPrograms = new Map<string, Program>();
  const differenceProgram = link(gl, quadVertex, differenceFragment);
  const vertexArray = unitSquare(gl);
  let size: Point = [1, 1];
  let ratio = 1;
  let coverage: { texture: WebGLTexture; buffer: WebGLFramebuffer } | undefined;

  gl.enable(gl.BLEND);
  gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
  gl.pixelStorei(gl.UNPACK_COLORSPACE_CONVERSION_WEBGL, gl.NONE);

  function newTexture(widthPx: number, heightPx: number, format: number): WebGLTexture {
    const texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texStorage2D(gl.TEXTURE_2D, 1, format, widthPx, heightPx);
    for (const side of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T])
      gl.texParameteri(gl.TEXTURE_2D, side, gl.CLAMP_TO_EDGE);
    for (const filter of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER])
      gl.texParameteri(gl.TEXTURE_2D, filter, gl.LINEAR);
    return texture;
  }

  function free(sheet: Sheet): void {
    for (const tile of (sheet as GlSheet).tiles) gl.deleteTexture(tile.texture);
  }

  function upload(picture: Picture, reuse?: Sheet): Sheet {
    const { width, height, channels, data } = picture;
    const grey = channels === 1;
    const old = reuse as GlSheet | undefined;
    const [tile] = old?.tiles ?? [];
    const fits = old?.grey === grey && old.tiles.length === 1;
    const kept = fits && tile?.widthPx === width && tile.heightPx === height ? tile.texture : undefined;
    if (old && !kept) free(old);
    const texture = kept ?? newTexture(width, height, grey ? gl.R8 : gl.RGBA8);
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texSubImage2D(gl.TEXTURE_2D, 0, 0, 0, width, height, grey ? gl.RED : gl.RGBA, gl.UNSIGNED_BYTE, data);
    const whole: Box = [0, 0, 1, 1];
    const tiles = [{ texture, widthPx: width, heightPx: height, part: whole, window: whole }];
    const sheet: GlSheet = { bytes: data.byteLength, grey, tiles };
    return sheet;
  }

  function addCutting(onto: Sheet | undefined, { bitmap, box }: Cutting, imagePx: Point): Sheet {
    const { width, height } = bitmap;
    const texture = newTexture(width, height, gl.RGBA8);
    gl.texSubImage2D(gl.TEXTURE_2D, 0, 0, 0, gl.RGBA, gl.UNSIGNED_BYTE, bitmap);
    const tile: Tile = { texture, widthPx: width, heightPx: height, ...withoutOverlap(box, imagePx) };
    const sheet: GlSheet = {
      bytes: (onto?.bytes ?? 0) + width * height * 4,
      grey: false,
      tiles: [...((onto as GlSheet | undefined)?.tiles ?? []), tile],
    };
    return sheet;
  }

  function bindQuad(program: Program, place: Affine, window: Box): void {
    gl.useProgram(program.handle);
    const [a, b, c, d, e, f] = chain([(2 * ratio) / size[0], 0, 0, (-2 * ratio) / size[1], -1, 1], place);
    gl.uniformMatrix3fv(program.at('uPlace'), false, [a, b, 0, c, d, 0, e, f, 1]);
    gl.uniform4fv(program.at('uWindow'), window as Box & number[]);
  }
  const drawQuad = () => gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);

  function paintPaper(pane: LaidPane, scene: Scene): void {
    bindQuad(paperProgram, overBox(pane.place, [0, 0, ...scene.paperPx]), [0, 0, 1, 1]);
    gl.uniform3fv(paperProgram.at('uPaper'), scene.paper as Rgb & number[]);
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    drawQuad();
  }

  function inkProgram(variant: InkVariant): Program {
    const source = inkFragment(variant);
    const program = inkPrograms.get(source) ?? link(gl, quadVertex, source);
    inkPrograms.set(source, program);
    return program;
  }

  /** `paper` lays it on opaque paper, else it is blended; `channels` gathers its coverage there instead. */
  function paintPly(
    ply: LaidPly,
    place: Affine,
    { paper, channels }: { paper?: Rgb; channels?: Rgb } = {},
  ): void {
    const sheet = ply.sheet as GlSheet;
    for (const tile of sheet.tiles) {
      const [x, y, width, height] = ply.box;
      const [px, py, pw, ph] = tile.part;
      const placed = overBox(place, [x + px * width, y + py * height, pw * width, ph * height]);
      const texelsPerPx = (tile.widthPx * tile.window[2]) / (Math.hypot(placed[0], placed[1]) * ratio);
      // A bilinear tap covers about one texel and a half without loss.
      const taps = Math.min(MAX_TAPS, Math.max(1, Math.ceil(texelsPerPx / 1.5)));
      const program = inkProgram({ grey: sheet.grey, averaged: taps > 1, onPaper: paper !== undefined });
      bindQuad(program, placed, tile.window);
      gl.bindTexture(gl.TEXTURE_2D, tile.texture);
      gl.uniform1f(program.at('uOpacity'), ply.opacity);
      gl.uniform4fv(program.at('uTint'), ply.tint ? [...ply.tint, 1] : [0, 0, 0, 0]);
      gl.uniform3fv(program.at('uCoverage'), channels ? [...channels] : [0, 0, 0]);
      gl.uniform3fv(program.at('uPaper'), paper ? [...paper] : [0, 0, 0]);
      gl.uniform1i(program.at('uTaps'), taps);
      drawQuad();
    }
  }

  /** The lowest ply brings its paper along when it covers it upright: half the pixels to fill in most flips. */
  function paintOver(pane: LaidPane, scene: Scene): void {
    const [lowest, ...rest] = pane.plies;
    const together = lowest && pane.place[1] === 0 && coversPaper(lowest.box, scene.paperPx);
    if (together) {
      gl.disable(gl.BLEND);
      paintPly(lowest, pane.place, { paper: scene.paper });
      gl.enable(gl.BLEND);
      gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    } else paintPaper(pane, scene);
    for (const ply of together ? rest : pane.plies) paintPly(ply, pane.place);
  }

  function coverageBuffer(): { texture: WebGLTexture; buffer: WebGLFramebuffer } {
    if (coverage) return coverage;
    const texture = newTexture(size[0], size[1], gl.RGBA8);
    const buffer = gl.createFramebuffer();
    gl.bindFramebuffer(gl.FRAMEBUFFER, buffer);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, texture, 0);
    coverage = { texture, buffer };
    return coverage;
  }
  function dropCoverage(): void {
    gl.deleteTexture(coverage?.texture ?? null);
    gl.deleteFramebuffer(coverage?.buffer ?? null);
    coverage = undefined;
  }

  function paintDifference(pane: LaidPane, scene: Scene): void {
    const { texture, buffer } = coverageBuffer();
    gl.bindFramebuffer(gl.FRAMEBUFFER, buffer);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT);
    // Coverage gathers per channel: c ← a + c(1 − a).
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_COLOR);
    for (const ply of pane.plies)
      paintPly(ply, pane.place, { channels: ply.layer === 'clean' ? [1, 0, 0] : [0, 1, 0] });
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    gl.bindTexture(gl.TEXTURE_2D, texture);
    bindQuad(differenceProgram, [size[0] / ratio, 0, 0, size[1] / ratio, 0, 0], [0, 0, 1, 1]);
    gl.uniform3fv(differenceProgram.at('uCleanOnly'), scene.cleanOnly as Rgb & number[]);
    gl.uniform3fv(differenceProgram.at('uRoughOnly'), scene.roughOnly as Rgb & number[]);
    gl.uniform1f(differenceProgram.at('uHatchPx'), HATCH_PX * ratio);
    drawQuad();
  }

  function scissor([x, y, width, height]: Frame): void {
    const left = Math.round(x * ratio);
    const right = Math.round((x + width) * ratio);
    const top = Math.round(y * ratio);
    const bottom = Math.round((y + height) * ratio);
    gl.scissor(left, size[1] - bottom, Math.max(0, right - left), Math.max(0, bottom - top));
  }

  return {
    kind: 'webgl2',
    maxCuttingPx: Math.min(2048, gl.getParameter(gl.MAX_TEXTURE_SIZE) as number),
    bytesOf: (pixels, channels) => pixels * channels,
    resize(widthPx, heightPx, devicePixelRatio) {
      canvas.width = widthPx;
      canvas.height = heightPx;
      size = [widthPx, heightPx];
      ratio = devicePixelRatio;
      dropCoverage();
    },
    upload,
    addCutting,
    free,
    paint(scene) {
      gl.viewport(0, 0, size[0], size[1]);
      gl.bindVertexArray(vertexArray);
      gl.disable(gl.SCISSOR_TEST);
      gl.clearColor(...scene.surround, 1);
      gl.clear(gl.COLOR_BUFFER_BIT);
      gl.enable(gl.SCISSOR_TEST);
      for (const pane of scene.panes) {
        scissor(pane.clip);
        if (pane.blend === 'over') paintOver(pane, scene);
        else {
          paintPaper(pane, scene);
          paintDifference(pane, scene);
        }
      }
    },
    destroy() {
      gl.getExtension('WEBGL_lose_context')?.loseContext();
    },
  };
}

/** Where a cutting lies in its picture, and the part of it to show, each side half the overlap short. */
function withoutOverlap([x, y, width, height]: Box, [imageW, imageH]: Point): Pick<Tile, 'part' | 'window'> {
  const inset = CUTTING_OVERLAP_PX / 2;
  const left = x > 0 ? inset : 0;
  const top = y > 0 ? inset : 0;
  const right = x + width < imageW ? inset : 0;
  const bottom = y + height < imageH ? inset : 0;
  const [w, h] = [width - left - right, height - top - bottom];
  return {
    part: [(x + left) / imageW, (y + top) / imageH, w / imageW, h / imageH],
    window: [left / width, top / height, w / width, h / height],
  };
}

function coversPaper([x, y, width, height]: Box, [paperW, paperH]: Point): boolean {
  return x <= 0 && y <= 0 && x + width >= paperW && y + height >= paperH;
}

/** Unit square to `box`, then `place`. */
function overBox(place: Affine, [x, y, width, height]: Box): Affine {
  return chain(place, [width, 0, 0, height, x, y]);
}

function unitSquare(gl: WebGL2RenderingContext): WebGLVertexArrayObject {
  const vertexArray = gl.createVertexArray();
  gl.bindVertexArray(vertexArray);
  gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ARRAY_BUFFER, new Float32Array([0, 0, 1, 0, 0, 1, 1, 1]), gl.STATIC_DRAW);
  gl.enableVertexAttribArray(0);
  gl.vertexAttribPointer(0, 2, gl.FLOAT, false, 0, 0);
  return vertexArray;
}

function link(gl: WebGL2RenderingContext, vertex: string, fragment: string): Program {
  const handle = gl.createProgram();
  for (const [type, source] of [
    [gl.VERTEX_SHADER, vertex],
    [gl.FRAGMENT_SHADER, fragment],
  ] as const) {
    const shader = gl.createShader(type);
    if (!shader) continue;
    gl.shaderSource(shader, source);
    gl.compileShader(shader);
    gl.attachShader(handle, shader);
  }
  gl.bindAttribLocation(handle, 0, 'aCorner');
  gl.linkProgram(handle);
  if (!gl.getProgramParameter(handle, gl.LINK_STATUS) && !gl.isContextLost())
    throw new Error(`The stage's shaders do not link here: ${gl.getProgramInfoLog(handle) ?? ''}`);
  const places = new Map<string, WebGLUniformLocation | null>();
  return {
    handle,
    at(name) {
      if (!places.has(name)) places.set(name, gl.getUniformLocation(handle, name));
      return places.get(name) ?? null;
    },
  };
}
