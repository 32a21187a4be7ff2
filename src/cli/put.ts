/** Files that a command writes. */
import { createWriteStream } from 'node:fs';
import { rename, rm, stat } from 'node:fs/promises';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { reason } from './print.ts';

export type Written = string | Uint8Array | ReadableStream<Uint8Array>;

/**
 * Written aside and then put in place: a pack may be written over the very pack that is read. What is no file (a
 * pipe, a device) has no place to be put into and is written to as it stands.
 */
export async function put(file: string, written: Written): Promise<void> {
  const whole = typeof written === 'string' || written instanceof Uint8Array;
  const bytes = Readable.from(whole ? [written] : written);
  if (file === '-') return pipeline(bytes, process.stdout, { end: false });
  const there = await stat(file).catch(() => undefined);
  const aside = `${file}.${process.pid}.part`;
  try {
    if (there && !there.isFile()) return await pipeline(bytes, createWriteStream(file));
    await pipeline(bytes, createWriteStream(aside));
    await rename(aside, file);
  } catch (error) {
    await rm(aside, { force: true });
    throw new Error(`${file} could not be written: ${reason(error)}.`, { cause: error });
  }
}
