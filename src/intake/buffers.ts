/** Room for decoding. A fresh 35 MB array costs as much as decoding into it: its pages have to be found first. */

export interface Buffers {
  /** At least `size` bytes with any content, for inflated rows. Valid until the next call. */
  raw(size: number): Uint8Array;
  /** Exactly `size` bytes with any content, for pixels. Valid until the next call. */
  pixels(size: number): Uint8Array;
}

export const freshBuffers: Buffers = {
  raw: (size) => new Uint8Array(size),
  pixels: (size) => new Uint8Array(size),
};

/** A 4096 × 2160 picture in four channels; what is larger is let go after use. */
const mostKept = 36 * 1024 * 1024;

/** Buffers of a worker that decodes one file after the other. */
export function reusedBuffers(): Buffers {
  const reused = () => {
    let kept = new Uint8Array(0);
    return (size: number) => {
      if (size > mostKept) return new Uint8Array(size);
      if (size > kept.length) kept = new Uint8Array(size);
      return kept.subarray(0, size);
    };
  };
  return { raw: reused(), pixels: reused() };
}
