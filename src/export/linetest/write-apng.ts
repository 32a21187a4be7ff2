/** A line test as an animated PNG, on a tablet and at a prompt. */
import type { ImageRef } from '../../shot/model.ts';
import { apngWriter } from './apng.ts';
import { type LineTestSource, lineTestFrames, type Making } from './frames.ts';
import type { LineTestPlan } from './plan.ts';
import type { Rate } from './rate.ts';

/** The file, in parts. Rejects with a `FlashError` when it would flash. */
export async function writeApng(
  plan: LineTestPlan,
  rate: Rate,
  source: LineTestSource,
  making: Making = {},
  lacking?: (image: ImageRef) => void,
): Promise<Uint8Array<ArrayBuffer>[]> {
  const writer = apngWriter(plan, rate);
  for await (const { picture, frames } of lineTestFrames(plan, rate, source, making, lacking))
    writer.add(picture, frames);
  return writer.finish();
}
