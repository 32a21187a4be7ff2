/** Newer takes of the kettle shot, made by known edits of its own files. */
import sharp from 'sharp';
import { kettleFiles } from './desk-app.ts';

export interface PickedFile {
  readonly name: string;
  readonly mimeType: string;
  readonly buffer: Buffer;
}

const picked = (name: string, buffer: Buffer): PickedFile => ({ name, mimeType: 'image/png', buffer });

const cleanOf = async (label: string): Promise<Buffer> => {
  const file = (await kettleFiles()).get(`clean/${label.padStart(4, '0')}.png`);
  if (!file) throw new Error(`The kettle has no clean ${label}.`);
  return file;
};

/** Where the spout is, in shares of the paper: it is this that is redrawn. */
export const spout = { x: 0.7, y: 0.53 } as const;
/** Where the kettle stands on its base. */
export const base = { x: 0.48, y: 0.84 } as const;

/**
 * A retake: the old spout is gone, a fuller one drawn. One more of the squares is black (worth eight), so
 * that a screenshot tells old from new.
 */
export async function newSpout(label: string): Promise<PickedFile> {
  const edit = Buffer.from(
    `<svg xmlns="http://www.w3.org/2000/svg" width="960" height="540"><rect x="626" y="240" width="110" height="90" fill="white"/><path d="M626 322q30 10 50 -30t44 -20" fill="none" stroke="black" stroke-width="4"/><rect x="252" y="60" width="24" height="24"/></svg>`,
  );
  const buffer = await sharp(await cleanOf(label))
    .composite([{ input: edit }])
    .png()
    .toBuffer();
  return picked(`clean_${label.padStart(4, '0')}.png`, buffer);
}

/** The same drawing from another program: other bytes, equal pixels. */
export async function exportedAgain(label: string): Promise<PickedFile> {
  const buffer = await sharp(await cleanOf(label))
    .png({ compressionLevel: 0 })
    .toBuffer();
  return picked(`clean_${label.padStart(4, '0')}.png`, buffer);
}
