/** Decodes, reduces and digests one file at a time. */
import { answerJobs } from '../work/answer.ts';
import { workerDesk } from '../work/worker-desk.ts';
import { reusedBuffers } from './buffers.ts';
import { decode } from './decode.ts';
import { makeImage } from './make-image.ts';
import type { MakeAnswer, MakeAsk } from './messages.ts';
import { OddFileError } from './source.ts';

const buffers = reusedBuffers();

answerJobs<MakeAsk, MakeAnswer>(
  workerDesk(),
  async ({ file, pixels }) => {
    try {
      return { made: await makeImage(await decode(file, buffers), file, pixels) };
    } catch (error) {
      return refusal(error);
    }
  },
  (answer) =>
    'made' in answer
      ? [answer.made.file, answer.made.flip.data.buffer, answer.made.thumb.data.buffer].map(
          (buffer) => buffer as ArrayBuffer,
        )
      : [],
);

function refusal(error: unknown): MakeAnswer {
  if (error instanceof OddFileError) return { why: error.message, todo: error.todo };
  const noMemory = error instanceof RangeError;
  return {
    why: noMemory ? 'there was no memory left to decode it' : 'it could not be read',
    todo: noMemory ? 'Close other tabs and take it in again.' : 'Export it again as PNG.',
  };
}
