/** Decodes, reduces and digests one file at a time. */
import { reusedBuffers } from './buffers.ts';
import { decode } from './decode.ts';
import { makeImage } from './make-image.ts';
import type { Request, Response } from './messages.ts';
import { OddFileError } from './source.ts';

const buffers = reusedBuffers();

self.onmessage = async ({ data: { id, file, pixels } }: MessageEvent<Request>) => {
  try {
    const made = await makeImage(await decode(file, buffers), file, pixels);
    const handedOver = new Set([made.file, made.flip.data.buffer, made.thumb.data.buffer]);
    self.postMessage({ id, made } satisfies Response, [...handedOver] as ArrayBuffer[]);
  } catch (error) {
    self.postMessage(refusal(id, error));
  }
};

function refusal(id: number, error: unknown): Response {
  if (error instanceof OddFileError) return { id, why: error.message, todo: error.todo };
  const noMemory = error instanceof RangeError;
  return {
    id,
    why: noMemory ? 'there was no memory left to decode it' : `it could not be read (${String(error)})`,
    todo: noMemory ? 'Close other tabs and take it in again.' : 'Export it again as PNG.',
  };
}
