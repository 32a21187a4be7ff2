/** CRC-32 (ISO 3309, as in PNG and zip), four bytes at a step (Kounavis & Berry 2005, “slicing”). */
const tables = makeTables();

function makeTables(): readonly [Uint32Array, Uint32Array, Uint32Array, Uint32Array] {
  const first = Uint32Array.from({ length: 256 }, (_, byte) => {
    let crc = byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ 0xed_b8_83_20 : crc >>> 1;
    return crc;
  });
  const next = (table: Uint32Array) => table.map((crc) => (crc >>> 8) ^ first[crc & 255]!);
  const second = next(first);
  const third = next(second);
  return [first, second, third, next(third)];
}

/** Checksum of `bytes`; `before` is the checksum of what came before them. */
export function crc32(bytes: Uint8Array, before = 0): number {
  const [one, two, three, four] = tables;
  let crc = ~before;
  let i = 0;
  for (; i + 4 <= bytes.length; i += 4) {
    crc ^= bytes[i]! | (bytes[i + 1]! << 8) | (bytes[i + 2]! << 16) | (bytes[i + 3]! << 24);
    crc = four[crc & 255]! ^ three[(crc >>> 8) & 255]! ^ two[(crc >>> 16) & 255]! ^ one[crc >>> 24]!;
  }
  for (; i < bytes.length; i++) crc = (crc >>> 8) ^ one[(crc ^ bytes[i]!) & 255]!;
  return ~crc >>> 0;
}
