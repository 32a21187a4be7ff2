/** Drawings done anew, from their files: what the worker does, without being one. */
import { lineRules } from '../../check/ready/house.ts';
import { SentenceError } from '../../error/sentence.ts';
import { decode } from '../../intake/decode.ts';
import { flipEdgePx, makeImage, sha256Hex } from '../../intake/make-image.ts';
import { onPaper } from '../../intake/on-paper.ts';
import { pngSamples, type StoredSamples } from '../../intake/png-samples.ts';
import { writePng } from '../../intake/png-write.ts';
import { reduce } from '../../intake/reduce.ts';
import { sniff, sniffLength } from '../../intake/sniff.ts';
import { type Ink, inkOf } from '../../line/ink.ts';
import { lineSamples } from '../../line/line-samples.ts';
import { closeGap } from '../../line/mend/close-gap.ts';
import { applyMends, type Mend } from '../../line/mend/mend.ts';
import { removeSpeck } from '../../line/mend/remove-speck.ts';
import { snapColours } from '../../line/mend/snap-colours.ts';
import type { Picture } from '../../line/picture.ts';
import { isRefused } from '../../line/refused.ts';
import { applyChange, changeSamples } from '../../line/reweight/apply-change.ts';
import { reweigh } from '../../line/reweight/reweigh.ts';
import { whatBreaks } from '../../line/reweight/what-breaks.ts';
import { lineRuns } from '../../line/runs.ts';
import { skeletonOf } from '../../line/skeleton.ts';
import { measureWeight } from '../../line/weight.ts';
import type { MendPlaces, Redo, RedrawAnswer, RedrawAsk, Redrawn } from './messages.ts';

type FileOf = (sha256: string) => Promise<ArrayBuffer | undefined>;

interface Opened {
  readonly sha256: string;
  readonly samples: StoredSamples;
  readonly picture: Picture;
  readonly ink: Ink;
  readonly told: readonly string[];
}

const notes = {
  jpeg: 'It came as JPEG; done anew it is a PNG.',
  webp: 'It came as WebP; done anew it is a PNG on white paper.',
  tiff: 'It came as TIFF; done anew it is a PNG of 8 bits.',
} as const;

/** Answers one question at a time; the drawing asked for last stays open, since most is asked of one. */
export function redrawing(fileOf: FileOf): (ask: RedrawAsk) => Promise<RedrawAnswer> {
  let last: Opened | undefined;

  async function open(sha256: string): Promise<Opened> {
    if (last?.sha256 === sha256) return last;
    // Two drawings of 4K at once are too much for a tablet.
    last = undefined;
    const file = await fileOf(sha256);
    if (!file) throw new SentenceError('missing', 'its file is not on this tablet');
    const { kind } = sniff(new Uint8Array(file, 0, Math.min(file.byteLength, sniffLength)));
    const isPng = kind === 'png';
    const samples = isPng ? pngSamples(new Uint8Array(file)) : fromPicture((await decode(file)).picture);
    const picture = pictureOf(samples);
    const told = kind === 'jpeg' || kind === 'webp' || kind === 'tiff' ? [notes[kind]] : [];
    last = { sha256, samples, picture, ink: inkOf(picture), told };
    return last;
  }

  async function redrawn(sha256: string, redo: Redo): Promise<Redrawn | undefined> {
    const opened = await open(sha256);
    // Written into where it lies: a copy of 4K takes as much memory and time as all the rest.
    last = undefined;
    const after = redone(opened, redo, true);
    if (!after) return undefined;
    const file = (await writePng(after)).buffer;
    const made = await makeImage(
      { picture: pictureOf(after), mediaType: 'image/png', told: [] },
      file,
      false,
    );
    const { width, height, thumb, flip } = made;
    const ref = {
      sha256: await sha256Hex(file),
      width,
      height,
      mediaType: 'image/png',
      byteLength: file.byteLength,
    };
    return { ref, file, thumb, flip, told: opened.told };
  }

  return async (ask) => {
    switch (ask.kind) {
      case 'preview':
        return { picture: reweighed(ask.picture, ask.byPx) };
      case 'weigh': {
        const { ink } = await open(ask.sha256);
        const skeleton = skeletonOf(lineRuns(ink.coverage, ink.width, ink.height));
        const weight = measureWeight(lineSamples(ink, skeleton));
        return isRefused(weight) ? weight : { weightPx: weight.medianPx };
      }
      case 'foretell': {
        const { ink } = await open(ask.sha256);
        return { breaks: whatBreaks(ink, reweigh(ink, ask.byPx)) };
      }
      case 'offers': {
        const opened = await open(ask.sha256);
        const offers = mendsOf(opened, ask.places).map((mend) => ({
          kind: mend.kind,
          box: mend.box,
          ...(mend.kind === 'colour' && { from: mend.snap.from, to: mend.snap.to }),
        }));
        return { offers };
      }
      case 'shown': {
        const opened = await open(ask.sha256);
        const after = redone(opened, ask.redo);
        const whole = pictureOf(after ?? opened.samples);
        const paper = onPaper({ ...whole, data: whole.data.slice() });
        return { picture: reduce(paper, flipEdgePx) };
      }
      case 'redraw':
        return { redrawn: await redrawn(ask.sha256, ask.redo) };
    }
  };
}

/** Undefined: not a pixel changes. `inPlace`: what is open is written over. */
function redone({ samples, picture, ink }: Opened, redo: Redo, inPlace = false): StoredSamples | undefined {
  const { depth, shown } = samples;
  if (redo.kind === 'weight') {
    const change = reweigh(ink, redo.byPx);
    if (change.pixels.length === 0) return undefined;
    if (!inPlace) return { ...applyChange(samples, ink.coverage, ink.paper, change), depth, shown };
    changeSamples(samples, ink.coverage, ink.paper, change);
    return samples;
  }
  const all = mendsOf({ picture, ink }, redo.places);
  const chosen = redo.picks.flatMap((pick) => all[pick] ?? []);
  if (chosen.length === 0) return undefined;
  return { ...applyMends(samples, ink.coverage, ink.paper, chosen), depth, shown };
}

function mendsOf({ picture, ink }: Pick<Opened, 'picture' | 'ink'>, places: MendPlaces): Mend[] {
  const { gaps, specks, ends, rules } = places;
  return [
    ...gaps.flatMap((between) => closeGap(ink, between, ends) ?? []),
    // A flat patch on grain would be seen.
    ...(ink.paper.kind === 'scan' ? [] : specks.flatMap((middle) => removeSpeck(ink, middle) ?? [])),
    ...snapColours(picture, lineRules(rules)),
  ];
}

/** The picture in flip size with its line changed, as its file will be. */
function reweighed(picture: Picture, byPx: number): Picture {
  const ink = inkOf(picture);
  const { width, height, channels } = picture;
  const { data } = applyChange(picture, ink.coverage, ink.paper, reweigh(ink, byPx));
  return { width, height, channels, data: data as Uint8Array };
}

/** 8 bits, one or four channels, in memory of its own where anything has to be changed. */
export function pictureOf({ width, height, channels, data }: StoredSamples): Picture {
  if (data instanceof Uint8Array && (channels === 1 || channels === 4))
    return { width, height, channels, data };
  const shift = data instanceof Uint16Array ? 8 : 0;
  const out = channels === 1 ? 1 : 4;
  const bytes = new Uint8Array(width * height * out);
  for (let i = 0, from = 0, to = 0; i < width * height; i++, from += channels, to += out) {
    const first = data[from]! >> shift;
    bytes[to] = first;
    if (out === 1) continue;
    bytes[to + 1] = channels >= 3 ? data[from + 1]! >> shift : first;
    bytes[to + 2] = channels >= 3 ? data[from + 2]! >> shift : first;
    bytes[to + 3] = channels === 3 ? 255 : data[from + channels - 1]! >> shift;
  }
  return { width, height, channels: out, data: bytes };
}

/** Of a file that is no PNG; without an alpha sample where all of it is opaque. */
function fromPicture({ width, height, channels, data }: Picture): StoredSamples {
  if (channels === 1) return { width, height, channels, data, depth: 8, shown: [] };
  for (let at = 3; at < data.length; at += 4)
    if (data[at] !== 255) return { width, height, channels, data, depth: 8, shown: [] };
  const rgb = new Uint8Array(width * height * 3);
  for (let i = 0; i < width * height; i++) rgb.set(data.subarray(4 * i, 4 * i + 3), 3 * i);
  return { width, height, channels: 3, data: rgb, depth: 8, shown: [] };
}
