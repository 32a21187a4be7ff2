/** A picture by its hash: how much of it arrived, and which bytes of it are sent. */
import * as v from 'valibot';

/** Lower-case hex, the name of a picture. */
export const isSha256 = (text: string): boolean => /^[0-9a-f]{64}$/.test(text);

/** `received`: bytes of the asker's own upload, before it is whole. */
export const uploadSchema = v.object({ whole: v.boolean(), received: v.number() });

/** `Content-Range` (RFC 9110, 14.4) of the bytes from `start` to the end of a file of `total`. */
export const contentRange = (start: number, total: number): string => `bytes ${start}-${total - 1}/${total}`;

/**
 * What `Content-Range` says, or a whole body's `Content-Length`. Undefined when neither is given or understood,
 * or when the range lies outside its total.
 */
export function readContentRange(
  range: string | undefined,
  length: string | undefined,
): { readonly start: number; readonly end: number; readonly total: number } | undefined {
  const said = range ?? (length === undefined ? '' : `bytes 0-${Number(length) - 1}/${length}`);
  const match = /^bytes (\d{1,15})-(\d{1,15})\/(\d{1,15})$/.exec(said);
  if (!match) return undefined;
  const [start, last, total] = match.slice(1).map(Number) as [number, number, number];
  return start <= last && last < total ? { start, end: last + 1, total } : undefined;
}
