/** Files shared from another Android app (manifest `share_target`) wait here until intake takes them. */

/** The page's side is `src/sync/shared.ts`: same cache, same addresses. */
const CACHE = 'fairpeg-shared';

export async function stashShared(request: Request, scope: URL): Promise<Response> {
  const form = await request.formData();
  const files = form.getAll('files').filter((value) => value instanceof File);
  const cache = await caches.open(CACHE);
  const batch = crypto.randomUUID();
  const placeOf = (index: number): URL => new URL(`shared/${batch}/${String(index).padStart(6, '0')}`, scope);
  const putAway = async (file: File, index: number): Promise<void> => {
    const headers = {
      'content-type': file.type === '' ? 'application/octet-stream' : file.type,
      'x-file-name': encodeURIComponent(file.name),
    };
    await cache.put(placeOf(index), new Response(file, { headers }));
  };
  try {
    for (const [index, file] of files.entries()) await putAway(file, index);
  } catch {
    // No room: half of what was shared would look like all of it. The page says so.
    await Promise.all(files.map((_, index) => cache.delete(placeOf(index))));
    return Response.redirect(new URL('./?shared=none', scope).href, 303);
  }
  return Response.redirect(new URL('./?shared', scope).href, 303);
}
