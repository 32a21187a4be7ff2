/** Files shared from another Android app (manifest `share_target`) wait here until intake takes them. */

/** The page's side is `src/sync/shared.ts`: same cache, same addresses. */
const CACHE = 'fairpeg-shared';

export async function stashShared(request: Request, scope: URL): Promise<Response> {
  const form = await request.formData();
  const files = form.getAll('files').filter((value) => value instanceof File);
  const cache = await caches.open(CACHE);
  const batch = crypto.randomUUID();
  for (const [index, file] of files.entries()) {
    const headers = {
      'content-type': file.type === '' ? 'application/octet-stream' : file.type,
      'x-file-name': encodeURIComponent(file.name),
    };
    const place = new URL(`shared/${batch}/${String(index).padStart(6, '0')}`, scope);
    await cache.put(place, new Response(file, { headers }));
  }
  return Response.redirect(new URL('./?shared', scope).href, 303);
}
