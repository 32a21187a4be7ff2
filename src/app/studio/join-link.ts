/** The link that lets someone in, as a tablet can follow it. */

const loopback = /^(localhost|.+\.localhost|127(\.\d+){3}|\[::1\])$/;

/**
 * From where this page stands. Opened on the studio's own machine that may be `localhost`, which on a tablet
 * is the tablet itself: then the first of `urls`, where others find the studio, is taken.
 */
export function joinLink(code: string, here: URL, urls: readonly string[]): string {
  const [best] = urls;
  const base = loopback.test(here.hostname) && best !== undefined ? new URL(best) : here;
  return new URL(`#/join/${encodeURIComponent(code)}`, base).href;
}
