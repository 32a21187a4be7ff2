/** A line test as MP4 or WebM, encoded by the browser (W3C WebCodecs) and put together by mediabunny. */
import {
  BufferTarget,
  canEncodeVideo,
  Mp4OutputFormat,
  Output,
  QUALITY_VERY_HIGH,
  type VideoCodec,
  VideoSample,
  VideoSampleSource,
  WebMOutputFormat,
} from 'mediabunny';
import { SentenceError } from '../../error/sentence.ts';
import type { ImageRef } from '../../shot/model.ts';
import { type LineTestSource, lineTestFrames, type Making } from './frames.ts';
import type { LineTestPlan } from './plan.ts';
import type { Rate } from './rate.ts';
import { i420Of } from './yuv.ts';

export type MovieForm = 'mp4' | 'webm';

/** What players of each expect, the commonest first. */
const codecs: Readonly<Record<MovieForm, readonly VideoCodec[]>> = {
  mp4: ['avc'],
  webm: ['vp9', 'vp8', 'av1'],
};
/** sRGB as it comes from the drawings, in the matrix of `yuv.ts`. */
const colorSpace = {
  primaries: 'bt709',
  transfer: 'iec61966-2-1',
  matrix: 'bt709',
  fullRange: false,
} as const;
const keyFrameEverySeconds = 1;

async function codecOf(form: MovieForm, width: number, height: number): Promise<VideoCodec | undefined> {
  for (const codec of codecs[form])
    if (await canEncodeVideo(codec, { width, height, quality: QUALITY_VERY_HIGH })) return codec;
  return undefined;
}

/** In which forms this browser can encode frames of that size. */
export async function movieForms(width: number, height: number): Promise<MovieForm[]> {
  const forms: MovieForm[] = [];
  if (typeof VideoEncoder === 'undefined') return forms;
  for (const form of ['mp4', 'webm'] as const) if (await codecOf(form, width, height)) forms.push(form);
  return forms;
}

/**
 * A movie with one frame for each frame of the sheet. Rejects with a sentence when the browser cannot encode it, with a
 * `FlashError` when it would flash, with the signal's reason when it is stopped.
 */
export async function writeMovie(
  form: MovieForm,
  plan: LineTestPlan,
  rate: Rate,
  source: LineTestSource,
  making: Making = {},
  lacking?: (image: ImageRef) => void,
): Promise<ArrayBuffer> {
  const { width, height } = plan;
  const codec = await codecOf(form, width, height);
  if (!codec) throw cannot();
  const target = new BufferTarget();
  const format = form === 'mp4' ? new Mp4OutputFormat({ fastStart: 'in-memory' }) : new WebMOutputFormat();
  const output = new Output({ format, target });
  const track = new VideoSampleSource({
    codec,
    quality: QUALITY_VERY_HIGH,
    keyFrameInterval: keyFrameEverySeconds,
    latencyMode: 'quality',
  });
  output.addVideoTrack(track, { frameRate: rate.frames / rate.seconds });
  try {
    await output.start();
    let at = 0;
    for await (const { picture, frames } of lineTestFrames(plan, rate, source, making, lacking)) {
      const data = i420Of(picture);
      for (const end = at + frames; at < end; at++) {
        making.signal?.throwIfAborted();
        const sample = new VideoSample(data, {
          format: 'I420',
          codedWidth: width,
          codedHeight: height,
          timestamp: (at * rate.seconds) / rate.frames,
          duration: rate.seconds / rate.frames,
          colorSpace,
        });
        await track.add(sample);
        sample.close();
      }
    }
    await output.finalize();
  } catch (error) {
    await output.cancel().catch(() => undefined);
    making.signal?.throwIfAborted();
    if (error instanceof SentenceError) throw error;
    throw cannot(error);
  }
  if (!target.buffer) throw cannot();
  return target.buffer;
}

const cannot = (cause?: unknown): SentenceError =>
  new SentenceError(
    'encoder',
    'This browser cannot encode a movie of that size. Choose a smaller one, or take the moving picture (PNG).',
    { cause },
  );
