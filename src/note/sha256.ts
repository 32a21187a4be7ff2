/**
 * SHA-256 (FIPS 180-4, 5.3.3 and 6.2) of a text's UTF-8 bytes, lower-case hex. The platform's own is asynchronous and
 * would end a transaction of IndexedDB; this one is for the short texts of entries.
 */
export function sha256(text: string): string {
  const bytes = padded(utf8(text));
  const state = Uint32Array.from(firstState);
  const words = new Uint32Array(64);
  for (let at = 0; at < bytes.length; at += 64) compress(state, words, bytes, at);
  return Array.from(state, (word) => word.toString(16).padStart(8, '0')).join('');
}

/** First 32 bits of the fractional parts of the cube (or square) roots of the first primes. */
function rootBits(count: number, power: number): Uint32Array {
  const primes: number[] = [];
  for (let n = 2; primes.length < count; n++) if (primes.every((prime) => n % prime !== 0)) primes.push(n);
  return Uint32Array.from(primes, (prime) => (prime ** power % 1) * 2 ** 32);
}

const constants = rootBits(64, 1 / 3);
const firstState = rootBits(8, 1 / 2);

function utf8(text: string): number[] {
  const bytes: number[] = [];
  for (const character of text) {
    const point = character.codePointAt(0) as number;
    // Half a pair stands for no character: U+FFFD, as every encoder writes it.
    const code = point >= 0xd800 && point <= 0xdfff ? 0xfffd : point;
    if (code < 0x80) bytes.push(code);
    else if (code < 0x800) bytes.push(0xc0 | (code >> 6), 0x80 | (code & 63));
    else if (code < 0x10000) bytes.push(0xe0 | (code >> 12), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63));
    else
      bytes.push(
        0xf0 | (code >> 18),
        0x80 | ((code >> 12) & 63),
        0x80 | ((code >> 6) & 63),
        0x80 | (code & 63),
      );
  }
  return bytes;
}

function padded(message: readonly number[]): Uint8Array {
  const bytes = new Uint8Array((((message.length + 8) >> 6) + 1) << 6);
  bytes.set(message);
  bytes[message.length] = 0x80;
  const view = new DataView(bytes.buffer);
  view.setUint32(bytes.length - 8, Math.floor(message.length / 2 ** 29));
  view.setUint32(bytes.length - 4, message.length << 3);
  return bytes;
}

function compress(state: Uint32Array, w: Uint32Array, bytes: Uint8Array, at: number): void {
  const view = new DataView(bytes.buffer);
  for (let t = 0; t < 16; t++) w[t] = view.getUint32(at + 4 * t);
  const word = (t: number): number => w[t] as number;
  for (let t = 16; t < 64; t++) {
    const [x, y] = [word(t - 15), word(t - 2)];
    const small0 = turn(x, 7) ^ turn(x, 18) ^ (x >>> 3);
    const small1 = turn(y, 17) ^ turn(y, 19) ^ (y >>> 10);
    w[t] = word(t - 16) + small0 + word(t - 7) + small1;
  }
  let [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0, g = 0, h = 0] = state;
  for (let t = 0; t < 64; t++) {
    const one =
      h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + (constants[t] as number);
    const t1 = (one + word(t)) | 0;
    const t2 = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + t1) | 0, c, b, a, (t1 + t2) | 0];
  }
  for (const [index, value] of [a, b, c, d, e, f, g, h].entries())
    state[index] = (state[index] as number) + value;
}

function turn(word: number, bits: number): number {
  return (word >>> bits) | (word << (32 - bits));
}
