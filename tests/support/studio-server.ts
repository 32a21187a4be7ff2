/** A studio server of the test's own, on a free port, in this process. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { usualLimits } from '../../src/server/limits.ts';
import { type Listening, listen } from '../../src/server/listen.ts';
import { openStudio, type Studio, type StudioOptions } from '../../src/server/studio.ts';

export interface TestStudio {
  readonly url: URL;
  readonly studio: Studio;
  readonly folder: string;
  /** What the server wrote to its log. */
  readonly log: readonly string[];
  close(): Promise<void>;
}

export const temporaryFolder = (): string => mkdtempSync(join(tmpdir(), 'fairpeg-test-'));

/** Its data goes with `close`. */
export async function testStudio(options: Partial<StudioOptions> = {}): Promise<TestStudio> {
  const folder = temporaryFolder();
  const log: string[] = [];
  const studio = await openStudio({
    app: join(folder, 'app'),
    data: join(folder, 'data'),
    needsPass: false,
    secure: false,
    log: (line) => log.push(line),
    ...options,
  });
  const listening: Listening = await listen({
    handle: studio.handle,
    hosts: ['127.0.0.1'],
    port: 0,
    limits: { ...usualLimits, ...options.limits },
  });
  return {
    url: new URL(`http://127.0.0.1:${listening.port}/`),
    studio,
    folder,
    log,
    async close() {
      studio.stop();
      await listening.close();
      await studio.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
