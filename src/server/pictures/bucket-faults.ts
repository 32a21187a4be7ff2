/** What an object store says no with, as a sentence that names the setting and a way on. */
import type { BucketPlace } from './bucket.ts';

/** Time may mend it: busy, broken, a time limit of its own. */
export function isPassing(status: number, code: string): boolean {
  return (
    status >= 500 ||
    status === 429 ||
    status === 408 ||
    code === 'RequestTimeout' ||
    code === 'SlowDown' ||
    code === 'OperationAborted'
  );
}

/**
 * Codes are those of the S3 API reference, "Error responses"; a store may leave them out (HEAD has no body), and then the
 * status says it. `said`: the store's XML.
 */
export function bucketFault(
  { url, region }: BucketPlace,
  status: number,
  code: string,
  said: string,
): string {
  const at = `The bucket ${url.href}`;
  const wanted = /<Region>([^<]+)<\/Region>/.exec(said)?.[1] ?? /expecting '([^']+)'/.exec(said)?.[1];
  switch (code) {
    case 'InvalidAccessKeyId':
      return `${at} does not know the key in AWS_ACCESS_KEY_ID. Set the one that your object store gave out.`;
    case 'SignatureDoesNotMatch':
      return `${at} takes no request signed with AWS_SECRET_ACCESS_KEY: it does not belong to AWS_ACCESS_KEY_ID, or a proxy changes what is sent. Set both as your object store gave them out.`;
    case 'InvalidToken':
    case 'ExpiredToken':
    case 'TokenRefreshRequired':
      return `${at} does not take AWS_SESSION_TOKEN any more. Set a new one with its keys, or keys that last, without a token.`;
    case 'RequestTimeTooSkewed':
      return `${at} does not take requests with the time of this machine. Set its clock, best by NTP.`;
    case 'NoSuchBucket':
      return `${at} does not exist. Make it, or give another with --pictures or PICTURES_URL.`;
    case 'AuthorizationHeaderMalformed':
    case 'PermanentRedirect':
    case 'TemporaryRedirect':
    case 'IllegalLocationConstraintException':
      return `${at} is not in the region ${region}. Set AWS_REGION${wanted === undefined ? ' to the bucket’s' : ` to ${wanted}`}, and look at its address.`;
    default:
  }
  if (status === 403)
    return `${at} is closed to the key in AWS_ACCESS_KEY_ID (${code || status}). Allow it to list, get, put and delete there (ListBucket, GetObject, PutObject, DeleteObject).`;
  if (status === 404)
    return `${at} does not exist. Make it, or give another with --pictures or PICTURES_URL.`;
  if (status >= 300 && status < 400)
    return `${at} is somewhere else: the store answers ${status}. Give its own address with --pictures or PICTURES_URL, and its region with AWS_REGION.`;
  return `${at} answered ${status} ${code}`
    .trim()
    .concat('. Look at its address (--pictures or PICTURES_URL) and at what the store logs.');
}
