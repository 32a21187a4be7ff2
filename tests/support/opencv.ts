/** OpenCV, the outside reference for registration, distance, labels and moments. Loaded once a test file. */
import { createRequire } from 'node:module';
import type opencv from '@techstark/opencv-js';

type Cv = typeof opencv;

/** `require`, since the package's export is a promise, which module interop would wrap and break. */
export async function loadOpenCv(): Promise<Cv> {
  return (await createRequire(import.meta.url)('@techstark/opencv-js')) as Cv;
}
