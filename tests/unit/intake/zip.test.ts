import { deflateRawSync } from 'node:zlib';
import { strToU8, unzipSync, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { openIntake } from '../../../src/intake/open.ts';
import { sayOdd } from '../../../src/intake/source.ts';
import { openZip } from '../../../src/intake/zip.ts';
import { crc32 } from '../../../src/line/crc32.ts';
import { anyPng, fileOf, sourceOf } from './make.ts';

/** The place of a field in the first central record and, by its signature, in the local one. */
function patched(zip: Uint8Array, change: (central: DataView, local: DataView) => void): Uint8Array {
  const out = Uint8Array.from(zip);
  const at = out.findIndex((_, i) => [0x50, 0x4b, 1, 2].every((byte, k) => out[i + k] === byte));
  change(new DataView(out.buffer, at), new DataView(out.buffer));
  return out;
}

describe('checksum', () => {
  it('is CRC-32: the check value of “123456789” is cbf43926 (catalogue of CRC algorithms, from memory)', () => {
    expect(crc32(strToU8('123456789')).toString(16)).toBe('cbf43926');
    expect(crc32(strToU8('6789'), crc32(strToU8('12345')))).toBe(crc32(strToU8('123456789')));
  });
});

describe('zip', () => {
  it('gives what another packer put in, packed and stored, in any script', async () => {
    const content = {
      'rough/1.png': strToU8('first'),
      'クリーン/2.png': strToU8('x'.repeat(100_000)),
      'e\u0301.png': strToU8(''),
    };
    const { files, odd } = await openZip(sourceOf(zipSync(content, { level: 6 })), 'sc04');
    expect(odd).toEqual([]);
    expect(files.map(({ path }) => path)).toEqual([
      'sc04/rough/1.png',
      'sc04/クリーン/2.png',
      'sc04/\u00e9.png',
    ]);
    const read = await Promise.all(files.map(async (file) => (await file.bytes()).length));
    expect(read).toEqual([5, 100_000, 0]);
    expect(new TextDecoder().decode(await files[1]?.head(7))).toBe('xxxxxxx');
    const plain = await openZip(sourceOf(zipSync(content, { level: 0 })), 's');
    expect(new TextDecoder().decode(await plain.files[0]?.bytes())).toBe('first');
  });

  it('reads what Python’s zipfile writes with streamed sizes and zip64 fields', async () => {
    // Made with ZipFile.open(…, 'w', force_zip64=True) on a stream that cannot seek.
    const zip = Buffer.from(
      [
        'UEsDBC0ACAAIAAAAIQAAAAAA//////////8LABQAY2xlYW4vNy5wbmcBABAAAAAAAAAAAAAAAAAAAAAAAO3EoQ0AAAgDsGtnMUu4',
        'nytwrWizmUqSJEmSJEn67ABQSwcIbTPbah8AAAAAAAAAiBMAAAAAAABQSwMEFAAIAAAAAAAhAAAAAAAAAAAAAAAAAAsAAABjbGVh',
        'bi84LnBuZ2VpZ2h0UEsHCIY+CmYFAAAABQAAAFBLAQItAy0ACAAIAAAAIQBtM9tqHwAAAIgTAAALAAAAAAAAAAAAAACAAQAAAABj',
        'bGVhbi83LnBuZ1BLAQIUAxQACAAAAAAAIQCGPgpmBQAAAAUAAAALAAAAAAAAAAAAAACAAXQAAABjbGVhbi84LnBuZ1BLBQYAAAAA',
        'AgACAHIAAACyAAAAAAA=',
      ].join(''),
      'base64',
    );
    const { files } = await openZip(sourceOf(zip), 'p');
    expect(await Promise.all(files.map(async (file) => (await file.bytes()).length))).toEqual([5000, 5]);
  });

  it('names an entry that points elsewhere, and takes it by its own name', async () => {
    const { files, odd } = await openZip(
      sourceOf(zipSync({ '../../etc/1.png': strToU8('a'), 'C:\\x\\2.png': strToU8('b') })),
      's',
    );
    expect(files.map(({ path }) => path)).toEqual(['s/etc/1.png', 's/x/2.png']);
    expect(odd.map(({ taken, why }) => [taken, why.slice(0, 37)])).toEqual([
      [true, 'its place in the zip points elsewhere'],
      [true, 'its place in the zip points elsewhere'],
    ]);
  });

  it('refuses an entry that says it is 10 GB, and one that is more than it says, quickly', async () => {
    const small = zipSync({ '1.png': strToU8('abc') });
    const declared = patched(small, (central) => central.setUint32(24, 4_000_000_000, true));
    const opened = await openZip(sourceOf(declared), 's');
    expect(opened.files).toEqual([]);
    expect(opened.odd.map(sayOdd)).toEqual([
      's/1.png: it unpacks to 4000 MB, more than a tablet can hold. Export it at a smaller size.',
    ]);
    const bomb = patched(zipSync({ '1.png': new Uint8Array(50_000_000) }), (central) =>
      central.setUint32(24, 1000, true),
    );
    const { files } = await openZip(sourceOf(bomb), 's');
    await expect(files[0]?.bytes()).rejects.toThrow('it unpacks to more than the zip says');
  });

  it('refuses forty entries of 200 MB by their sum, before any is inflated', async () => {
    const packed = new Uint8Array(10_000).fill(7);
    const zip = zipSync(Object.fromEntries(Array.from({ length: 40 }, (_, i) => [`${i}.png`, packed])), {
      level: 0,
    });
    const large = Uint8Array.from(zip);
    const view = new DataView(large.buffer);
    for (let at = 0; at + 46 < large.length; at++)
      if (view.getUint32(at, true) === 0x02_01_4b_50) view.setUint32(at + 24, 200_000_000, true);
    const source = sourceOf(large);
    let read = 0;
    const counted = {
      ...source,
      read: (start: number, end: number) => {
        read += end - start;
        return source.read(start, end);
      },
    };
    await expect(openZip(counted, 's')).rejects.toThrow(
      'its 40 files unpack to 8.0 GB, more than a tablet can hold',
    );
    // The end and the list of names, nothing of the entries.
    expect(read).toBeLessThan(80_000);
    expect(large.length).toBeGreaterThan(400_000);
  });

  it('reads of an entry that unpacks a thousandfold no more than its head needs, and stops when told', async () => {
    const zip = zipSync({ '1.png': new Uint8Array(40_000_000) }, { level: 1 });
    const opened = await openZip(sourceOf(zip), 's');
    const before = process.memoryUsage().arrayBuffers;
    expect((await opened.files[0]?.head(64))?.length).toBe(64);
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(8e6);
    const stop = new AbortController();
    const reading = opened.files[0]?.bytes(stop.signal);
    stop.abort();
    await expect(reading).rejects.toMatchObject({ name: 'AbortError' });
    await expect(openIntake([fileOf('a.zip', zip)], { signal: stop.signal })).rejects.toMatchObject({
      name: 'AbortError',
    });
  });

  it('reads a 10 GB size from a zip64 field and refuses it', async () => {
    const name = strToU8('1.png');
    const extra = new Uint8Array(20);
    const field = new DataView(extra.buffer);
    field.setUint16(0, 1, true);
    field.setUint16(2, 16, true);
    field.setBigUint64(4, 10_000_000_000n, true);
    field.setBigUint64(12, 3n, true);
    const central = new Uint8Array(46 + name.length + extra.length + 22);
    const view = new DataView(central.buffer);
    view.setUint32(0, 0x02_01_4b_50, true);
    view.setUint32(20, 0xff_ff_ff_ff, true);
    view.setUint32(24, 0xff_ff_ff_ff, true);
    view.setUint16(28, name.length, true);
    view.setUint16(30, extra.length, true);
    central.set(name, 46);
    central.set(extra, 46 + name.length);
    const end = 46 + name.length + extra.length;
    view.setUint32(end, 0x06_05_4b_50, true);
    view.setUint32(end + 12, end, true);
    expect((await openZip(sourceOf(central), 's')).odd.map(({ why }) => why)).toEqual([
      'it unpacks to 10000 MB, more than a tablet can hold',
    ]);
  });

  it('names locked, unknown and damaged entries; the rest goes in', async () => {
    const zip = zipSync(
      { '1.png': deflateRawSync(Buffer.from('noise')), '2.png': await anyPng() },
      { level: 0 },
    );
    const locked = await openZip(sourceOf(patched(zip, (central) => central.setUint16(8, 1, true))), 's');
    expect(locked.odd.map(sayOdd)).toEqual([
      's/1.png: it is locked with a password. Unpack the zip and take in the folder.',
    ]);
    expect(locked.files).toHaveLength(1);
    const unknown = await openZip(sourceOf(patched(zip, (central) => central.setUint16(10, 93, true))), 's');
    expect(unknown.odd[0]?.why).toBe('it is packed in a way this app cannot unpack');
    const flipped = patched(zip, (_, local) => local.setUint8(36, 0xff));
    await expect((await openZip(sourceOf(flipped), 's')).files[0]?.bytes()).rejects.toThrow(
      'it is damaged and cannot be read',
    );
  });

  it('is opened from among other files; litter is passed over, a zip within is named', async () => {
    const png = await anyPng();
    const inner = zipSync({ '1.png': png });
    const zip = zipSync({
      'rough/1.png': png,
      '__MACOSX/rough/._1.png': png,
      'rough/.DS_Store': png,
      'Thumbs.db': png,
      'more.zip': inner,
      'rough/2.png': png.subarray(0, 40),
    });
    const opened = await openIntake([
      fileOf('in/sc04.zip', zip),
      fileOf('in/cut.zip', zip.subarray(0, zip.length - 30)),
    ]);
    expect(opened.pictures.map(({ path }) => path)).toEqual(['in/sc04/rough/1.png', 'in/sc04/rough/2.png']);
    expect(opened.odd.map(sayOdd)).toEqual([
      'in/cut.zip: the zip is cut short or damaged: its end is missing. Copy or pack it again.',
      'in/sc04/more.zip: it is a zip within a zip. Take it in on its own.',
    ]);
  });

  it('keeps apart two entries of one name', async () => {
    const one = zipSync({ 'a/1.png': strToU8('first'), 'b/1.png': strToU8('other') }, { level: 0 });
    const twice = Uint8Array.from(one, (byte) => (byte === 'b'.charCodeAt(0) ? 'a'.charCodeAt(0) : byte));
    const { files } = await openZip(sourceOf(twice), 's');
    expect(files.map(({ path }) => path)).toEqual(['s/a/1.png', 's/a/1 (2).png']);
    expect(Object.keys(unzipSync(one))).toHaveLength(2);
  });
});
