/** Keeps a drawing exported again from looking like a retake: the rule is `intake/same-take.ts`. */
import { createHash } from 'node:crypto';
import { type LabelledTake, sameTakes } from '../intake/same-take.ts';
import { drawingOf } from '../shot/drawing-ref.ts';
import type { ImageRef, Level, Shot, Take } from '../shot/model.ts';

/** Such a file stays in its folder, which is read again at each change of any other: it is decoded and told once a run. */
export interface PixelMemory {
  /** By the SHA-256 of the file. */
  readonly digests: Map<string, string>;
  readonly told: Set<string>;
}

export interface BytesOf {
  /** Of a picture in the folder. */
  readonly read: (image: ImageRef) => Promise<Uint8Array>;
  /** Of one that the studio keeps; undefined where it does not. */
  readonly file: (sha256: string) => Promise<Uint8Array | undefined>;
}

/**
 * `now` with each take that shows the pixels of a known take of its drawing, in other bytes, given as that one.
 * `told` says which, each once a run.
 */
export async function withKnownPixels(
  now: Shot,
  known: Shot,
  { read, file }: BytesOf,
  memory: PixelMemory,
): Promise<{ readonly shot: Shot; readonly told: readonly string[] }> {
  const told: string[] = [];
  const same = sameTakes(
    { make: async (bytes: Uint8Array) => ({ pixels: await pixelDigest(bytes, memory) }) },
    { file },
  );
  const settle = async (take: Take, label: string, earlier: readonly LabelledTake[]): Promise<Take> => {
    const { image } = take;
    const isKnown = earlier.some((one) => one.image.sha256 === image.sha256);
    const isOtherSize = ({ image: { width, height } }: Take): boolean =>
      width !== image.width || height !== image.height;
    if (isKnown || earlier.every(isOtherSize)) return take;
    const pixels = await pixelDigest(await read(image), memory);
    const twin = await same(earlier, { width: image.width, height: image.height, pixels });
    if (!twin) return take;
    const sentence = `${label} was exported again without a change (it is take ${twin.number}), so it is no new take`;
    if (!memory.told.has(image.sha256)) told.push(sentence);
    memory.told.add(image.sha256);
    return { ...take, image: twin.image };
  };
  const levels: Level[] = [];
  for (const level of now.levels) {
    const drawings: Level['drawings'][number][] = [];
    for (const drawing of level.drawings) {
      const { label } = drawing;
      const takes = drawingOf(known, { level: level.name, drawing: label })?.takes ?? [];
      const earlier = takes.map((take) => ({ ...take, label })).toReversed();
      const settled: Take[] = [];
      for (const take of drawing.takes) settled.push(await settle(take, label, earlier));
      drawings.push({ ...drawing, takes: settled });
    }
    levels.push({ ...level, drawings });
  }
  return { shot: { ...now, levels }, told };
}

/** Rejects with an `OddFileError` for what no tablet could decode. */
export async function pixelDigest(bytes: Uint8Array, memory: PixelMemory): Promise<string> {
  const sha256 = createHash('sha256').update(bytes).digest('hex');
  const known = memory.digests.get(sha256);
  if (known !== undefined) return known;
  // Loaded when it is needed: the server answers sooner without its picture decoders.
  const [{ decodePicture }, { pixelsOf }] = await Promise.all([
    import('../intake/node/decode-picture.ts'),
    import('../intake/node/pixels-of.ts'),
  ]);
  const pixels = await pixelsOf(await decodePicture(bytes));
  memory.digests.set(sha256, pixels);
  return pixels;
}
