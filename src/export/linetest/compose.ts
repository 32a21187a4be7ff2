/** Drawings and what is burnt in, put together to one opaque frame. Pure. */
import type { Picture } from '../../line/picture.ts';

export interface Laid {
  /** Of a ply: opaque. Of what is burnt in: R, G, B, A. */
  readonly picture: Picture;
  readonly x: number;
  readonly y: number;
}

export interface LaidPly extends Laid {
  /** Of its ink, 0 to 1. */
  readonly opacity: number;
}

/**
 * A frame of `width` × `height` px on white paper. Plies darken each other as ink does (W3C Compositing, `multiply`: the
 * product of the two); `over` lies on top, source-over. What reaches beyond the frame is cut off. One channel when
 * everything is grey, else four with A = 255. Values are sRGB as stored.
 */
export function composeFrame(
  [width, height]: readonly [number, number],
  plies: readonly LaidPly[],
  over: readonly Laid[],
): Picture {
  const coloured = over.length > 0 || plies.some(({ picture }) => picture.channels === 4);
  const channels = coloured ? 4 : 1;
  const data = new Uint8Array(width * height * channels).fill(255);
  const frame: Picture = { width, height, channels, data };
  for (const ply of plies) multiply(frame, ply);
  for (const one of over) layOver(frame, one);
  return frame;
}

/** Grey again where burnt-in black text alone made it coloured; the same picture when there is colour in it. */
export function greyWherePossible(picture: Picture): Picture {
  if (picture.channels === 1) return picture;
  const { width, height, data } = picture;
  const grey = new Uint8Array(width * height);
  for (let at = 0, to = 0; to < grey.length; at += 4, to++) {
    const red = data[at] as number;
    if (red !== data[at + 1] || red !== data[at + 2]) return picture;
    grey[to] = red;
  }
  return { width, height, channels: 1, data: grey };
}

interface Part {
  readonly fromX: number;
  readonly toX: number;
  readonly fromY: number;
  readonly toY: number;
}

/** What of it lies on the frame, px of its own. */
function partOn(frame: Picture, { picture, x, y }: Laid): Part {
  return {
    fromX: Math.max(0, -x),
    toX: Math.min(picture.width, frame.width - x),
    fromY: Math.max(0, -y),
    toY: Math.min(picture.height, frame.height - y),
  };
}

function multiply(frame: Picture, ply: LaidPly): void {
  const { picture, x, y, opacity } = ply;
  const { fromX, toX, fromY, toY } = partOn(frame, ply);
  // What a value of the ply leaves of the light, 0 to 255.
  const leaves = Uint8Array.from({ length: 256 }, (_, value) => Math.round(255 - (255 - value) * opacity));
  const [into, from] = [frame.data, picture.data];
  const [step, source] = [frame.channels, picture.channels];
  const count = Math.min(step, 3);
  for (let row = fromY; row < toY; row++) {
    let at = ((row + y) * frame.width + fromX + x) * step;
    let own = (row * picture.width + fromX) * source;
    for (let column = fromX; column < toX; column++, at += step, own += source)
      for (let channel = 0; channel < count; channel++) {
        const light = leaves[from[own + (source === 4 ? channel : 0)] as number] as number;
        if (light === 255) continue;
        into[at + channel] = Math.round(((into[at + channel] as number) * light) / 255);
      }
  }
}

function layOver(frame: Picture, laid: Laid): void {
  const { picture, x, y } = laid;
  const { fromX, toX, fromY, toY } = partOn(frame, laid);
  const [into, from] = [frame.data, picture.data];
  for (let row = fromY; row < toY; row++) {
    let at = ((row + y) * frame.width + fromX + x) * 4;
    let own = (row * picture.width + fromX) * 4;
    for (let column = fromX; column < toX; column++, at += 4, own += 4) {
      const alpha = from[own + 3] as number;
      if (alpha === 0) continue;
      for (let channel = 0; channel < 3; channel++) {
        const under = (into[at + channel] as number) * (255 - alpha);
        into[at + channel] = Math.round(((from[own + channel] as number) * alpha + under) / 255);
      }
    }
  }
}
