/** Names of zip entries, in whatever script they were packed. */

/**
 * An entry's name: UTF-8 where the zip says so or the bytes are, else the Unicode path field (0x7075) that
 * some packers add, else Shift JIS (Windows in Japan) where that is valid, else Windows-1252.
 */
export function entryName(bytes: Uint8Array, extra: Uint8Array, saysUtf8: boolean): string {
  if (saysUtf8) return new TextDecoder('utf-8').decode(bytes);
  return (
    decodeAs('utf-8', bytes) ??
    unicodePath(extra) ??
    decodeAs('shift_jis', bytes) ??
    new TextDecoder('windows-1252').decode(bytes)
  );
}

function decodeAs(encoding: string, bytes: Uint8Array): string | undefined {
  try {
    return new TextDecoder(encoding, { fatal: true }).decode(bytes);
  } catch {
    return undefined;
  }
}

function unicodePath(extra: Uint8Array): string | undefined {
  for (let at = 0; at + 4 <= extra.length; ) {
    const [id, length] = [uint16(extra, at), uint16(extra, at + 2)];
    // One byte of version and four of checksum stand before the name.
    if (id === 0x70_75) return decodeAs('utf-8', extra.subarray(at + 9, at + 4 + length));
    at += 4 + length;
  }
  return undefined;
}

function uint16(bytes: Uint8Array, at: number): number {
  return (bytes[at] ?? 0) | ((bytes[at + 1] ?? 0) << 8);
}
