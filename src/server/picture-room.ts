/** How much room pictures take in the data folder, and whether there is room for more. */
import { readdir, stat, statfs } from 'node:fs/promises';
import { join } from 'node:path';
import { Refusal } from './refusal.ts';

export interface PictureRoom {
  /**
   * Sets `bytes` aside for an upload. Throws a `Refusal` when they would be too many. The answer is called once,
   * with the bytes that the upload really added (fewer than none where it took some away).
   */
  claim(bytes: number): Promise<(added: number) => void>;
  /** Bytes of all files in the folder. */
  used(): Promise<number>;
  /** Room that was taken or given back otherwise. */
  changed(bytes: number): void;
}

export interface RoomLimits {
  /** Of all files in the folder. */
  readonly pictureBytes: number;
  /** Left free on the disk. */
  readonly freeBytes: number;
}

/** Counts what lies in `folder` when it is first asked. */
export function pictureRoom(folder: string, { pictureBytes, freeBytes }: RoomLimits): PictureRoom {
  let counted: Promise<void> | undefined;
  let used = 0;
  let claimed = 0;
  const count = async (): Promise<void> => {
    used += await bytesIn(folder);
  };
  return {
    async claim(bytes) {
      counted ??= count();
      await counted;
      if (used + claimed + bytes > pictureBytes) {
        const most = `${Number((pictureBytes / 1e9).toPrecision(3))} GB`;
        throw new Refusal(
          507,
          'room',
          `The studio server keeps at most ${most} of pictures, and this one is too much; it stays on your tablet. Whoever runs the server can give more room with --picture-gb.`,
        );
      }
      claimed += bytes;
      try {
        const { bavail, bsize } = await statfs(folder);
        if (bavail * bsize - claimed < freeBytes) throw diskNearlyFull();
      } catch (error) {
        claimed -= bytes;
        throw error;
      }
      return (added) => {
        claimed -= bytes;
        used += added;
      };
    },
    async used() {
      counted ??= count();
      await counted;
      return used;
    },
    changed(bytes) {
      // Before the count it is found there.
      if (counted) used += bytes;
    },
  };
}

function diskNearlyFull(): Refusal {
  return new Refusal(
    507,
    'full',
    'The studio server’s disk is nearly full, and the rest is kept for notes; this picture stays on your tablet. Free some space on the server, and it is sent again.',
  );
}

async function bytesIn(folder: string): Promise<number> {
  let bytes = 0;
  // One that goes meanwhile takes no room.
  for (const entry of await readdir(folder, { withFileTypes: true, recursive: true }))
    if (entry.isFile())
      bytes += (await stat(join(entry.parentPath, entry.name)).catch(() => undefined))?.size ?? 0;
  return bytes;
}
