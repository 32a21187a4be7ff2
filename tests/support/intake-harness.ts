/** Runs in a page: intake as the app uses it, with bytes passed as base64. Served by `modulePage`. */

import { bitmapOf } from '../../src/intake/as-stored.ts';
import { decode } from '../../src/intake/decode.ts';
import { onPaper } from '../../src/intake/on-paper.ts';
import {
  createImageMaker,
  filesFromDirectory,
  filesFromDrop,
  filesFromList,
  openIntake,
  planIntake,
  sayOdd,
  takeIn,
} from '../../src/intake/page.ts';
import { type InputFile, OddFileError } from '../../src/intake/source.ts';
import { writeShotZip } from '../../src/intake/write-shot.ts';
import { openShelf } from '../../src/shelf/open.ts';
import { each, inLanes } from '../../src/work/lanes.ts';
import { author } from './put-shot.ts';

export interface PassedFile {
  readonly path: string;
  readonly base64: string;
}

const fromBase64 = (text: string) => Uint8Array.from(atob(text), (char) => char.charCodeAt(0));
const toBase64 = (bytes: Uint8Array) => btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(''));

function fileOf({ path, base64 }: PassedFile): File {
  const file = new File([fromBase64(base64)], path.split('/').at(-1) ?? path);
  Object.defineProperty(file, 'webkitRelativePath', { value: path });
  return file;
}

/** Every file through one maker; what cannot be taken gives its line. */
async function decodeAll(files: readonly string[]) {
  const maker = createImageMaker();
  const results = await Promise.all(
    files.map(async (base64) => {
      try {
        const { flip, told, width, height, mediaType } = await maker.make(fromBase64(base64).buffer);
        return { width, height, mediaType, told, channels: flip.channels, flip: toBase64(flip.data) };
      } catch (error) {
        if (error instanceof OddFileError) return { odd: `${error.message}. ${error.todo}` };
        throw error;
      }
    }),
  );
  maker.close();
  return results;
}

/** As a drawing is shown at full size and as it is measured: R, G, B on white paper, base64. */
async function shownAndMeasured(base64: string) {
  const bitmap = await bitmapOf(fromBase64(base64).buffer);
  const { width, height } = bitmap;
  const context = new OffscreenCanvas(width, height).getContext('2d') as OffscreenCanvasRenderingContext2D;
  context.fillStyle = '#fff';
  context.fillRect(0, 0, width, height);
  context.drawImage(bitmap, 0, 0);
  const shown = new Uint8Array(context.getImageData(0, 0, width, height).data.buffer);
  const { picture } = await decode(fromBase64(base64).buffer);
  const measured = onPaper({ ...picture, data: picture.data.slice() });
  return {
    width,
    height,
    shown: toBase64(shown),
    measured: toBase64(measured.data),
    channels: measured.channels,
  };
}

async function takeFiles(files: readonly InputFile[], stopAfter = Infinity) {
  const shelf = await openShelf();
  const stop = new AbortController();
  const plan = planIntake(await openIntake(files, { signal: stop.signal }), new Map());
  const maker = createImageMaker();
  let done = 0;
  try {
    const { shots, odd } = await takeIn(plan, {
      maker,
      keeper: shelf,
      newId: () => crypto.randomUUID(),
      author,
      signal: stop.signal,
      onProgress: ({ doneFiles }) => {
        done = doneFiles;
        if (doneFiles >= stopAfter) stop.abort();
      },
    });
    const summary = shots.map(({ shot, added, unchanged }) => ({
      title: shot.title,
      added,
      unchanged,
      drawings: shot.levels.flatMap(({ drawings }) =>
        drawings.map(({ label, rough, takes }) => `${label}:${rough ? 'r' : ''}${'c'.repeat(takes.length)}`),
      ),
    }));
    return { shots: summary, odd: odd.map(sayOdd), questions: plan.questions.length, done };
  } catch (error) {
    return { stopped: error instanceof DOMException ? error.name : String(error), done };
  } finally {
    maker.close();
  }
}

/** What the shelf holds, and whether every picture of every shot is there in every form. */
async function shelfState() {
  const shelf = await openShelf();
  const shots = await shelf.shots();
  const images = shots.flatMap(({ levels }) =>
    levels.flatMap(({ drawings }) =>
      drawings.flatMap(({ rough, takes }) => [...(rough ? [rough] : []), ...takes.map(({ image }) => image)]),
    ),
  );
  const whole = await Promise.all(
    images.map(async ({ sha256 }) => {
      const [file, thumb, flip] = await Promise.all([
        shelf.file(sha256),
        shelf.picture(sha256, 'thumb'),
        shelf.picture(sha256, 'flip'),
      ]);
      return file !== undefined && thumb !== undefined && flip !== undefined;
    }),
  );
  return { shots: shots.map(({ title }) => title), images: images.length, whole: whole.every(Boolean) };
}

async function zipOfFirstShot(): Promise<string> {
  const shelf = await openShelf();
  const [shot] = await shelf.shots();
  if (!shot) throw new Error('The shelf is empty.');
  const blob = await new Response(writeShotZip(shot, (sha256) => shelf.file(sha256))).blob();
  return toBase64(new Uint8Array(await blob.arrayBuffer()));
}

/** A folder of the origin's private file system, through the same handles a folder picker gives. */
async function takePickedFolder(files: readonly PassedFile[]) {
  const root = await navigator.storage.getDirectory();
  for (const { path, base64 } of files) {
    const parts = path.split('/');
    const name = parts.pop() ?? '';
    let folder = root;
    for (const part of parts) folder = await folder.getDirectoryHandle(part, { create: true });
    const writable = await (await folder.getFileHandle(name, { create: true })).createWritable();
    await writable.write(fromBase64(base64));
    await writable.close();
  }
  return takeFiles(
    await filesFromDirectory(await root.getDirectoryHandle(files[0]?.path.split('/')[0] ?? '')),
  );
}

/** A drop of a folder, as the drag-and-drop entries API describes it: a hundred entries a call at most. */
function dropped(files: readonly PassedFile[]): DataTransfer {
  const entryOf = (path: string): unknown => {
    const file = files.find((one) => one.path === path);
    if (file)
      return {
        isFile: true,
        isDirectory: false,
        fullPath: `/${path}`,
        file: (done: (file: File) => void) => done(fileOf(file)),
      };
    const inner = [
      ...new Set(
        files
          .filter((one) => one.path.startsWith(`${path}/`))
          .map((one) => one.path.slice(path.length + 1).split('/')[0]),
      ),
    ];
    return {
      isFile: false,
      isDirectory: true,
      fullPath: `/${path}`,
      createReader: () => {
        let at = 0;
        return {
          readEntries: (done: (some: unknown[]) => void) =>
            done(inner.slice(at, (at += 100)).map((name) => entryOf(`${path}/${name}`))),
        };
      },
    };
  };
  const roots = [...new Set(files.map(({ path }) => path.split('/')[0] ?? ''))];
  return {
    items: roots.map((root) => ({ webkitGetAsEntry: () => entryOf(root) })),
    files: [],
  } as unknown as DataTransfer;
}

let fetched: File[] = [];

async function fetchFiles(list: readonly { readonly url: string; readonly path: string }[]): Promise<void> {
  fetched = [];
  for (const { url, path } of list) {
    const file = new File([await (await fetch(url)).arrayBuffer()], path.split('/').at(-1) ?? path);
    Object.defineProperty(file, 'webkitRelativePath', { value: path });
    fetched.push(file);
  }
}

/** Decodes every fetched picture, `width` at a time, and lets it go. */
async function decodeOnly(width: number, options?: ImageBitmapOptions): Promise<number> {
  const started = performance.now();
  const pictures = fetched.filter(({ name }) => name.endsWith('.png'));
  await inLanes(width, each(pictures), async (file) => (await createImageBitmap(file, options)).close());
  return performance.now() - started;
}

const decodersAtOnce = 2;

async function timedIntake(): Promise<{ ms: number; added: number }> {
  const started = performance.now();
  const { shots } = await takeFiles(filesFromList(fetched));
  return { ms: performance.now() - started, added: shots?.[0]?.added ?? 0 };
}

/** Decoding before and after intake, so that a machine that slows down slows both. The shelf must be empty. */
async function measure(): Promise<{ intakeMs: number; decodeMs: number; added: number }> {
  const before = await decodeOnly(decodersAtOnce);
  const { ms: intakeMs, added } = await timedIntake();
  const after = await decodeOnly(decodersAtOnce);
  return { intakeMs, added, decodeMs: (before + after) / 2 };
}

/** After `measure`: the same files once more, and decoding them without colour management. */
async function measureOn(): Promise<{ againMs: number; decodeStraightMs: number }> {
  const { ms: againMs } = await timedIntake();
  const straight: ImageBitmapOptions = { premultiplyAlpha: 'none', colorSpaceConversion: 'none' };
  return { againMs, decodeStraightMs: await decodeOnly(decodersAtOnce, straight) };
}

const harness = {
  fetchFiles,
  measure,
  measureOn,
  decodeAll,
  shownAndMeasured,
  shelfState,
  zipOfFirstShot,
  takePickedFolder,
  takeList: (files: readonly PassedFile[], stopAfter?: number) =>
    takeFiles(filesFromList(files.map(fileOf)), stopAfter),
  takeDrop: async (files: readonly PassedFile[]) => takeFiles(await filesFromDrop(dropped(files))),
  takeInput: (input: HTMLInputElement) => takeFiles(filesFromList(input.files ?? [])),
};

export type IntakeHarness = typeof harness;
Object.assign(globalThis, { intake: harness });
