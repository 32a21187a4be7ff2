/** From what is asked for to what is held: the plan of what to decode, and the best that can be shown now. */
import type { Box, Picture } from '../line/picture.ts';
import type { ImageRef } from '../shot/model.ts';
import { planCuttings, serves } from './cuttings.ts';
import { createDecoding, type Want } from './decoding.ts';
import { CUTTING_OVERLAP_PX, type Painter, type Sheet } from './painter.ts';
import { createSheets, type Held, type Room, type SheetKey, sheetKey } from './sheets.ts';
import type { PictureSource, Quality } from './types.ts';

/** The sizes made at intake: long edge of a thumb and of a flip picture, px. */
const LONG_EDGE_PX = { thumb: 320, flip: 2048 } as const;
/** Thumbs of the shot may take this share of the budget; beyond it only the nearest are kept. */
const THUMBS_SHARE = 0.25;
/** One original may take this share; a larger one is cut to what is seen. */
const FULL_SHARE = 0.25;

export interface PicturesHooks {
  readonly source: PictureSource;
  readonly budgetBytes: number;
  readonly painter: () => Painter;
  /** Something new can be drawn. */
  readonly changed: () => void;
  readonly view: (image: ImageRef) => { readonly visible: Box; readonly devicePxPerImagePx: number };
}

export interface Pictures {
  /** What is asked for now (`needed`), and what the hand may ask for next of the same drawing. */
  readonly want: (needed: readonly ImageRef[], others: readonly ImageRef[]) => void;
  /** Images of the drawings next in line, nearest first. */
  readonly ahead: (images: readonly (readonly ImageRef[])[]) => void;
  readonly keepThumbs: (images: readonly ImageRef[]) => void;
  /** Originals are decoded only while the hand rests. */
  readonly rest: (resting: boolean) => void;
  /** True when something right can be shown, or when it is known that the source does not have it. */
  readonly drawable: (image: ImageRef) => boolean;
  readonly best: (image: ImageRef) => { readonly sheet: Sheet; readonly quality: Quality } | undefined;
  readonly stats: () => { decodedBytes: number; peakDecodedBytes: number };
  /** The drawing context is gone, and every picture with it. */
  readonly forget: () => void;
  readonly stop: () => void;
}

export function createPictures(hooks: PicturesHooks): Pictures {
  const { source, budgetBytes } = hooks;
  let needed: readonly ImageRef[] = [];
  let others: readonly ImageRef[] = [];
  let next: readonly (readonly ImageRef[])[] = [];
  let thumbs: readonly ImageRef[] = [];
  let resting = false;
  let planning = false;
  let stopped = false;
  /** Channels seen so far, to guess the size of the next picture of the same image. */
  const channels = new Map<string, 1 | 4>();

  const sheets = createSheets(hooks.painter, budgetBytes, (key) => decoding.rank(key));
  const decoding = createDecoding({
    has: isHeld,
    reserve,
    release: sheets.release,
    load,
    changed: hooks.changed,
  });

  function isHeld(want: Want, key: SheetKey): boolean {
    const held = sheets.peek(key);
    return held !== undefined && (want.quality !== 'full' || isSharp(want.image, held));
  }

  function isSharp(image: ImageRef, { plan }: Held): boolean {
    if (!plan) return true;
    const { visible, devicePxPerImagePx } = hooks.view(image);
    return serves(plan, visible, devicePxPerImagePx, [image.width, image.height]);
  }

  function bytesOf(image: ImageRef, quality: Quality): number {
    const whole = image.width * image.height;
    // An original: its bitmap, one cutting of it, and the textures.
    if (quality === 'full') return whole * 4 + Math.min(whole * 4, budgetBytes * FULL_SHARE) * 1.5;
    const scale = Math.min(1, LONG_EDGE_PX[quality] / Math.max(image.width, image.height));
    return hooks.painter().bytesOf(whole * scale * scale, channels.get(image.sha256) ?? 1);
  }

  function reserve({ image, quality }: Want, key: SheetKey): Room | undefined {
    return sheets.reserve(key, bytesOf(image, quality));
  }

  async function load(
    { image, quality }: Want,
    key: SheetKey,
    signal: AbortSignal,
    room: Room,
  ): Promise<boolean> {
    if (quality === 'full') return loadFull(image, key, signal, room);
    const picture: Picture | undefined = await source[quality](image, signal);
    if (!picture) return false;
    if (!signal.aborted) {
      channels.set(image.sha256, picture.channels);
      sheets.addPicture(key, picture, room);
    }
    source.spent?.(picture);
    return !signal.aborted;
  }

  async function loadFull(image: ImageRef, key: SheetKey, signal: AbortSignal, room: Room): Promise<boolean> {
    const bitmap = await source.full(image, signal);
    if (!bitmap) return false;
    const painter = hooks.painter();
    let sheet: Sheet | undefined;
    try {
      const size = [bitmap.width, bitmap.height] as const;
      const maxBytes = budgetBytes * FULL_SHARE;
      const { visible } = hooks.view(image);
      const plan = planCuttings(size, visible, maxBytes, painter.maxCuttingPx, CUTTING_OVERLAP_PX);
      for (const box of plan.boxes) {
        if (signal.aborted) break;
        const cutting = await createImageBitmap(bitmap, ...box, {
          premultiplyAlpha: 'none',
          colorSpaceConversion: 'none',
          resizeWidth: Math.max(1, Math.round(box[2] * plan.scale)),
          resizeHeight: Math.max(1, Math.round(box[3] * plan.scale)),
          resizeQuality: 'high',
        });
        sheet = painter.addCutting(sheet, { bitmap: cutting, box }, size);
        cutting.close();
      }
      if (!sheet || signal.aborted || painter !== hooks.painter()) {
        if (sheet) painter.free(sheet);
        return false;
      }
      sheets.addFull(key, sheet, size[0], plan, room);
      return true;
    } finally {
      bitmap.close();
    }
  }

  /** An original is worth decoding only where the flip picture would be magnified. */
  function wantsFull(image: ImageRef): boolean {
    const flip = sheets.peek(sheetKey(image, 'flip'));
    if (!flip || flip.widthPx >= image.width) return false;
    return hooks.view(image).devicePxPerImagePx * image.width > flip.widthPx;
  }

  function plan(): void {
    planning = false;
    if (stopped) return;
    const wants: Want[] = [];
    const add = (images: readonly ImageRef[], quality: Quality) => {
      for (const image of images) wants.push({ image, quality });
    };
    add(needed, 'thumb');
    add(needed, 'flip');
    const urgent = wants.length;
    // Held originals keep their place while the hand moves, so that they are not thrown away at each pan.
    add(
      needed.filter((image) => wantsFull(image) && (resting || sheets.peek(sheetKey(image, 'full')))),
      'full',
    );
    const ahead = next.flat();
    let room = budgetBytes * THUMBS_SHARE;
    for (const image of [...others, ...ahead, ...thumbs]) {
      room -= bytesOf(image, 'thumb');
      if (room > 0) wants.push({ image, quality: 'thumb' });
    }
    add(others, 'flip');
    add(ahead, 'flip');
    decoding.plan(wants, urgent);
  }

  /** Planning waits until the step itself is drawn: it is no part of a flip. */
  function replan(): void {
    if (planning) return;
    planning = true;
    setTimeout(plan);
  }

  const absent = (image: ImageRef) =>
    (['thumb', 'flip'] as const).every((quality) => decoding.absent(sheetKey(image, quality)));

  function best(image: ImageRef): ReturnType<Pictures['best']> {
    for (const quality of ['full', 'flip', 'thumb'] as const) {
      const held = sheets.get(sheetKey(image, quality));
      if (!held || !isSharp(image, held)) continue;
      return { sheet: held.sheet, quality: held.widthPx >= image.width ? 'full' : quality };
    }
    return undefined;
  }

  return {
    want(images, rest) {
      decoding.retry(images);
      needed = images;
      others = rest.filter((image) => !images.some((each) => each.sha256 === image.sha256));
      replan();
    },
    ahead(images) {
      next = images;
      replan();
    },
    keepThumbs(images) {
      thumbs = images;
      replan();
    },
    rest(value) {
      if (value === resting && !value) return;
      resting = value;
      replan();
    },
    drawable: (image) => best(image) !== undefined || absent(image),
    best,
    stats: sheets.stats,
    forget() {
      decoding.stop();
      sheets.forget();
    },
    stop() {
      stopped = true;
      decoding.stop();
    },
  };
}
