/** A screen in memory, for browsers that need one. */
import { existsSync } from 'node:fs';
import { type Started, start, untilThere } from './ended.ts';

export interface Screen extends Pick<Started, 'end'> {
  /** As `DISPLAY` wants it. */
  readonly name: string;
}

export async function openScreen(): Promise<Screen> {
  // The server takes the first number that is free, and says which.
  const server = start('Xvfb', ['-displayfd', '1', '-screen', '0', '1400x1100x24', '-nolisten', 'tcp']);
  try {
    const number = await untilThere('Xvfb did not start.', 30_000, () => {
      const told = /^(\d+)\s*$/m.exec(server.said())?.[1];
      return told !== undefined && existsSync(`/tmp/.X11-unix/X${told}`) ? told : undefined;
    });
    return { name: `:${number}`, end: () => server.end() };
  } catch (error) {
    await server.end();
    throw error;
  }
}
