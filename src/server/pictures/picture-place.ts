/** Where a server is told to keep its pictures: a folder, or a bucket with its keys in the environment. */
import { resolve } from 'node:path';
import type { BucketPlace } from './bucket.ts';

export type PicturePlace = { readonly folder: string } | { readonly bucket: BucketPlace };

type Environment = Readonly<Record<string, string | undefined>>;

/**
 * What `--pictures` says, else `PICTURES_URL`; undefined for the data folder. Throws one sentence, without a secret, for
 * what is neither a folder nor a bucket with its keys.
 */
export function picturesAt(
  given: string | undefined,
  env: Environment = process.env,
): PicturePlace | undefined {
  const where = given ?? env['PICTURES_URL'];
  if (where === undefined || where === '') return undefined;
  const setting = given === undefined ? 'PICTURES_URL' : '--pictures';
  if (!/^[a-z][a-z0-9+.-]+:/i.test(where)) return { folder: resolve(where) };
  const isBucket = /^https?:\/\//i.test(where) && URL.canParse(where);
  const url = new URL(isBucket ? where : 'http://none');
  if (!isBucket || url.username !== '' || url.password !== '')
    throw new Error(
      `${setting} wants a folder, or the address of a bucket such as https://s3.example.org/house-pictures; keys stand in AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY.`,
    );
  const prefix = prefixIn(url, setting);
  url.search = '';
  url.hash = '';
  url.pathname = url.pathname.replace(/\/+$/, '');
  const accessKeyId = fromEnv('AWS_ACCESS_KEY_ID', env);
  const secretAccessKey = fromEnv('AWS_SECRET_ACCESS_KEY', env);
  const region = env['AWS_REGION'] || env['AWS_DEFAULT_REGION'] || regionIn(url.hostname);
  const sessionToken = env['AWS_SESSION_TOKEN'] || undefined;
  return { bucket: { url, prefix, region, accessKeyId, secretAccessKey, sessionToken } };
}

function prefixIn(url: URL, setting: string): string {
  const prefix = url.searchParams.get('prefix') ?? '';
  url.searchParams.delete('prefix');
  // Letters that every store and every tool takes as they are.
  if (url.search === '' && /^[A-Za-z0-9._/-]*$/.test(prefix) && !prefix.startsWith('/'))
    return prefix === '' || prefix.endsWith('/') ? prefix : `${prefix}/`;
  throw new Error(
    `${setting} may end with ?prefix=studio/ (letters, digits, - _ . and /) after the address of its bucket, and with nothing else.`,
  );
}

function fromEnv(name: string, env: Environment): string {
  const value = env[name];
  if (value !== undefined && value.trim() !== '') return value.trim();
  throw new Error(
    `${name} is not set. A bucket for pictures wants AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY in the environment; your object store gives them out.`,
  );
}

/** As the hosts of Amazon S3 say it; other stores mostly take the usual one. */
const regionIn = (host: string): string =>
  /(?:^|\.)s3[.-]([a-z0-9-]+)\.amazonaws\.com(?:\.cn)?$/.exec(host)?.[1] ?? 'us-east-1';
