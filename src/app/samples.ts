/** The sample shots that come with the app: fetched from beside it and taken in like anyone's files. */
import { type ReadonlySignal, signal } from '@preact/signals';
import type { Home } from './home.ts';
import { startIntake } from './intake-run.ts';

interface SampleList {
  readonly shots: readonly {
    readonly id: string;
    readonly title: string;
    readonly files: readonly { readonly path: string; readonly byteLength: number }[];
  }[];
}

export type SampleState =
  | { readonly at: 'rest' }
  | { readonly at: 'laying out'; readonly title: string; readonly done: number; readonly total: number }
  | { readonly at: 'failed' };

export interface Samples {
  readonly state: ReadonlySignal<SampleState>;
  /** Lays the sample shots out; those that lie on the shelf stay as they are. */
  readonly layOut: () => Promise<void>;
  readonly stop: () => void;
}

const keyLaidOut = 'samples laid out';
/** As many at once as a browser sends to one host. */
const atOnce = 6;

export function createSamples(home: Home): Samples {
  const state = signal<SampleState>({ at: 'rest' });
  let stopped = new AbortController();

  async function layOut(): Promise<void> {
    if (state.peek().at === 'laying out') return;
    stopped = new AbortController();
    const { signal: aborted } = stopped;
    state.value = { at: 'laying out', title: '', done: 0, total: 0 };
    try {
      const list = await fetchJson(new URL('samples/index.json', document.baseURI), aborted);
      const there = new Set((await home.shelf.shots()).map(({ id }) => id));
      const shots = list.shots.filter(({ id }) => !there.has(sampleId(id)));
      // A file is counted when it is fetched, and again when it is taken in.
      const total = 2 * shots.reduce((sum, { files }) => sum + files.length, 0);
      let done = 0;
      for (const shot of shots) {
        const tell = (): void => {
          state.value = { at: 'laying out', title: shot.title, done, total };
        };
        tell();
        const files = await fetchFiles(shot, aborted, () => {
          done += 1;
          tell();
        });
        await takeIn(shot.id, files, aborted, (taken) => {
          state.value = { at: 'laying out', title: shot.title, done: done + taken, total };
        });
        done += files.length;
      }
      await home.shelf.keepValue(keyLaidOut, true);
      state.value = { at: 'rest' };
    } catch {
      state.value = aborted.aborted ? { at: 'rest' } : { at: 'failed' };
    }
  }

  async function takeIn(
    id: string,
    files: readonly File[],
    aborted: AbortSignal,
    progress: (taken: number) => void,
  ): Promise<void> {
    const run = startIntake({
      shelf: home.shelf,
      newId: () => sampleId(id),
      isNew: true,
      files: async (intake) => intake.filesFromList(files),
    });
    const stopWatching = run.state.subscribe((now) => {
      if (now.at === 'taking' && now.progress) progress(now.progress.doneFiles);
    });
    aborted.addEventListener('abort', run.stop);
    try {
      await run.settled;
      if (aborted.aborted) throw new Error('stopped');
      const end = run.state.peek();
      if (end.at !== 'done')
        throw new Error(end.at === 'failed' ? end.says : `the sample asks something: ${end.at}`);
    } finally {
      stopWatching();
      run.close();
    }
  }

  return { state, layOut, stop: () => stopped.abort() };
}

/** Whether this is the first start of this tablet: nothing on the shelf, and no sample was ever laid out. */
export async function isFirstStart(home: Home): Promise<boolean> {
  const [shots, laidOut] = await Promise.all([home.shelf.shots(), home.shelf.value<boolean>(keyLaidOut)]);
  return shots.length === 0 && laidOut !== true;
}

const sampleId = (id: string): string => `sample-${id}`;

async function fetchJson(url: URL, aborted: AbortSignal): Promise<SampleList> {
  const response = await fetch(url, { signal: aborted });
  if (!response.ok) throw new Error(`${url.pathname}: ${response.status}`);
  return (await response.json()) as SampleList;
}

async function fetchFiles(
  shot: SampleList['shots'][number],
  aborted: AbortSignal,
  fetched: () => void,
): Promise<File[]> {
  const files: File[] = [];
  const open = shot.files.entries();
  const fetchNext = async (): Promise<void> => {
    for (const [index, { path }] of open) {
      const address = [shot.id, ...path.split('/')].map(encodeURIComponent).join('/');
      const response = await fetch(new URL(`samples/${address}`, document.baseURI), { signal: aborted });
      if (!response.ok) throw new Error(`${path}: ${response.status}`);
      const file = new File([await response.arrayBuffer()], path.split('/').at(-1) ?? path);
      // The folders tell rough from clean; a File made here has none of its own.
      Object.defineProperty(file, 'webkitRelativePath', { value: `${shot.id}/${path}` });
      files[index] = file;
      fetched();
    }
  };
  await Promise.all(Array.from({ length: atOnce }, fetchNext));
  return files;
}
