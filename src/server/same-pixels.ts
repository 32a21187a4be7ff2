/** Keeps a drawing exported again from looking like a retake. */
import { decodePicture } from '../intake/node/decode-picture.ts';
import type { Picture } from '../line/picture.ts';
import type { Drawing, ImageRef, Level, Shot } from '../shot/model.ts';
import { cleanOf } from '../shot/takes.ts';

/** Bytes of a picture, of the folder or of those kept here; undefined where they are not to be had. */
type BytesOf = (image: ImageRef) => Promise<Uint8Array | undefined>;

/**
 * Whether two pictures of a drawing are the same. Such a file stays in its folder, which is read again at each
 * change of any other: it is decoded and told once a run.
 */
const found = new Map<string, boolean>();

/**
 * What was read of a folder, with each newest take that shows the same pixels as the newest known one in
 * other bytes given as that one. `told` says which, each once.
 */
export async function withKnownPixels(
  known: Shot,
  read: Shot,
  bytesOf: BytesOf,
): Promise<{ readonly shot: Shot; readonly told: readonly string[] }> {
  const told: string[] = [];
  const settle = async (level: string, drawing: Drawing, was: Drawing | undefined): Promise<Drawing> => {
    const [newest, before] = [drawing.takes.at(-1), was && cleanOf(was)];
    if (!newest || !before || newest.image.sha256 === before.sha256) return drawing;
    const pair = [known.id, level, drawing.label, newest.image.sha256, before.sha256].join('\0');
    const already = found.get(pair);
    const isSame = already ?? (await showSame(newest.image, before, bytesOf));
    if (isSame === undefined) return drawing;
    found.set(pair, isSame);
    if (!isSame) return drawing;
    if (already === undefined)
      told.push(`${drawing.label} was exported again without a change, so it is no new take`);
    return { ...drawing, takes: [...drawing.takes.slice(0, -1), { ...newest, image: before }] };
  };
  const levels: Level[] = [];
  for (const level of read.levels) {
    const was = known.levels.find(({ name }) => name === level.name)?.drawings ?? [];
    const drawings: Drawing[] = [];
    for (const drawing of level.drawings)
      drawings.push(
        await settle(
          level.name,
          drawing,
          was.find(({ label }) => label === drawing.label),
        ),
      );
    levels.push({ ...level, drawings });
  }
  return { shot: { ...read, levels }, told };
}

/** Undefined where one of them is not to be had or does not decode. */
async function showSame(a: ImageRef, b: ImageRef, bytesOf: BytesOf): Promise<boolean | undefined> {
  if (a.width !== b.width || a.height !== b.height) return false;
  const [one, other] = [await decoded(a, bytesOf), await decoded(b, bytesOf)];
  if (!one || !other) return undefined;
  return one.channels === other.channels && Buffer.compare(one.data, other.data) === 0;
}

async function decoded(image: ImageRef, bytesOf: BytesOf): Promise<Picture | undefined> {
  const bytes = await bytesOf(image);
  return bytes && decodePicture(bytes).catch(() => undefined);
}
