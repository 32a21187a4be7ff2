/** Whether a tablet can take a picture: decoded whole, by the tablet's own decoders where they run here. */
import { readFile } from 'node:fs/promises';
import { damaged } from '../../intake/limits.ts';
import { checkWholeFile } from '../../intake/node/whole-file.ts';
import { decodePng } from '../../intake/png.ts';
import { isPicture, sniff, sniffLength } from '../../intake/sniff.ts';
import { OddFileError } from '../../intake/source.ts';

/** Why the picture in a file cannot be taken, a sentence; undefined when it can. Rejects when the file cannot be read. */
export async function faultOfPicture(file: string): Promise<string | undefined> {
  const bytes = await readFile(file);
  try {
    await decodeAsTablet(bytes);
    return undefined;
  } catch (error) {
    if (!(error instanceof OddFileError)) throw error;
    return `This picture was not taken: ${error.message}. ${error.todo}`.trim();
  }
}

async function decodeAsTablet(bytes: Buffer): Promise<void> {
  const { kind, words } = sniff(bytes.subarray(0, sniffLength));
  if (!isPicture(kind)) throw new OddFileError(`it is ${words}`, 'Export it as PNG.');
  if (kind === 'png') {
    decodePng(bytes);
    return;
  }
  if (kind === 'tiff') {
    await (await import('../../intake/tiff.ts')).decodeTiff(new Uint8Array(bytes).buffer);
    return;
  }
  checkWholeFile(kind, bytes);
  // A tablet's browser decodes these, with the same libraries as a rule.
  const { default: sharp } = await import('sharp');
  await sharp(bytes, { limitInputPixels: false, failOn: 'truncated' })
    .raw()
    .toBuffer()
    .catch((error: unknown) => {
      throw damaged(error);
    });
}
