/** How much room pictures take where they lie, and whether there is room for more. */
import { statfs } from 'node:fs/promises';
import { Refusal } from '../refusal.ts';

export interface PictureRoom {
  /**
   * Sets `bytes` aside for an upload. Throws a `Refusal` when they would be too many. The answer is called once,
   * with the bytes that the upload really added (fewer than none where it took some away).
   */
  claim(bytes: number): Promise<(added: number) => void>;
  /** Bytes of all that lies with the pictures. */
  used(): Promise<number>;
  /** Room that was taken or given back otherwise. */
  changed(bytes: number): void;
}

export interface RoomLimits {
  /** Of all that lies with the pictures. */
  readonly pictureBytes: number;
  /** Left free on the disk. */
  readonly freeBytes: number;
}

export interface RoomNeeds {
  /** Bytes that are taken already; asked once, for the first upload. */
  readonly used: () => Promise<number>;
  /** A folder on the disk where uploads gather. */
  readonly disk: string;
  readonly limits: RoomLimits;
}

export function pictureRoom({
  used: look,
  disk,
  limits: { pictureBytes, freeBytes },
}: RoomNeeds): PictureRoom {
  let counted: Promise<void> | undefined;
  let used = 0;
  let claimed = 0;
  const count = async (): Promise<void> => {
    used += await look();
  };
  const counting = async (): Promise<void> => {
    counted ??= count();
    await counted.catch((error: unknown) => {
      // Out of reach now: counted when it is back.
      counted = undefined;
      throw error;
    });
  };
  return {
    async claim(bytes) {
      await counting();
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
        const { bavail, bsize } = await statfs(disk);
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
      await counting();
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
